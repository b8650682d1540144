//! Isotherms of silica gel and of wood.

use super::constants::GAS_CONSTANT;
use crate::real::Real;
use crate::units::ZERO_CELSIUS_K;

/// Least activity of the gel's isotherm: its logarithm has none at zero. Our choice, far below any air.
const LEAST_ACTIVITY: f64 = 1e-6;

/// Equilibrium content of silica gel beads of 1 to 3.5 mm \[kg/kg\] at activity `a` and `temp_k`.
///
/// ```text
/// q = rho_w (a/pi (atan((A - b)/c) + pi/2) + d),   A = R T ln(1/a)
/// ```
/// with the density of water rho_w, a 4.5278e-4 and d 6.03e-7 m3/kg, b 2214 and c -1593.8 J/mol. Spread between
/// sources 30 %. Source: \[Schawe2000\], as given in an open library of sorption properties.
/// Checked in: `tests/published/sorption.rs`.
#[inline]
pub fn silica_gel<R: Real>(activity: R, temp_k: R) -> R {
    let a = (activity - LEAST_ACTIVITY).rounded_positive(LEAST_ACTIVITY) + LEAST_ACTIVITY;
    let potential = -(temp_k * GAS_CONSTANT) * a.ln();
    let x = (potential - 2214.0) / -1593.8;
    let slope = 1.0 / (1.0 + x.val() * x.val());
    let atan = x.chain(x.val().atan(), slope);
    let volume =
        (atan + std::f64::consts::FRAC_PI_2) * (4.5278e-4 / std::f64::consts::PI) + 6.03e-7;
    // Density of water, within 0.1 % up to 80 °C (from memory).
    let expansion = (temp_k - (ZERO_CELSIUS_K + 4.0)).sq() * 5.2e-6;
    volume * R::from_sub(1.0, expansion) * 1000.0
}

/// Equilibrium content of wood \[kg/kg\] at activity `a` (0 to 1) and `temp_k`, also for plywood and
/// cardboard; the form of Hailwood and Horrobin with the constants of the wood handbook.
/// Source: \[Simpson1998\]. Checked in: `tests/published/sorption.rs`.
#[inline]
pub fn wood<R: Real>(activity: R, temp_k: R) -> R {
    let t = temp_k - ZERO_CELSIUS_K;
    let t2 = t.sq();
    let w = t * 1.29 + t2 * 0.0135 + 349.0;
    let k = t * 0.000736 - t2 * 2.73e-6 + 0.805;
    let k1 = t * -0.009_38 - t2 * 0.000_303 + 6.27;
    let k2 = t * 0.0407 - t2 * 0.000_293 + 1.91;
    let capped = R::c(1.0) - R::from_sub(1.0, activity).rounded_positive(0.05);
    let kh = k * capped;
    let kkh = k1 * kh;
    let k2h = k1 * k2 * kh.sq();
    let bound = (kkh + k2h * 2.0) / (kkh + k2h + 1.0);
    (kh / R::from_sub(1.0, kh) + bound) * 18.0 / w
}

/// Activation energy of bound water on its way through wood, some 8 % moist \[J/mol\]; 38.5 kJ/mol dry.
/// Taken for textile and paper too. Source: \[Siau1984\].
const CELLULOSE_ACTIVATION: f64 = 36_000.0;

/// Temperature at which time constants of wood, textile and paper are stated \[K\]: that of a dryer.
const STATED_K: f64 = ZERO_CELSIUS_K + 60.0;

/// How much faster than at 60 °C water moves in wood, textile and paper: a fifth at 25 °C.
#[inline]
pub fn cellulose_pace<R: Real>(temp_k: R) -> R {
    let inverse = temp_k.recip_of(1.0) - 1.0 / STATED_K;
    (inverse * (-CELLULOSE_ACTIVATION / GAS_CONSTANT)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_rise_with_humidity_and_fall_with_temperature() {
        for f in [silica_gel::<f64>, wood::<f64>] {
            for a in [0.05, 0.2, 0.5, 0.8] {
                assert!(f(a + 0.1, 300.0) > f(a, 300.0) && f(a, 338.0) < f(a, 300.0), "{a}");
            }
        }
        // 36 kJ/mol from 25 to 60 °C.
        let pace = |c: f64| cellulose_pace(ZERO_CELSIUS_K + c);
        assert!((pace(60.0) - 1.0).abs() < 1e-12 && (pace(25.0) - 0.218).abs() < 2e-3);
        assert!(silica_gel(-0.01, 300.0_f64).is_finite() && wood(1.2, 300.0_f64) < 0.4);
    }
}
