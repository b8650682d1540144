//! Convective transfer: forced flow along a plate, natural convection, and mass transfer beside heat.

use super::constants::{GRAVITY, MOLAR_MASS_WATER};
use super::transport::{self, Mixture};
use crate::real::Real;
use crate::units::ZERO_CELSIUS_K;

/// Width \[K\] over which |temperature difference| is rounded at zero, so that the derivative of a
/// coefficient stays finite there. It changes by less than 1 % above 0.5 K.
const ROUNDING_K: f64 = 0.1;

/// Prandtl number of air, used where only its quarter or third power enters. Source: \[ASHRAE2017\].
const PRANDTL: f64 = 0.707;

/// Coefficient of the average Nusselt number of a plate. Source: \[Incropera2007\], ch. 7.
const PLATE: f64 = 0.664;

/// Which way a plate in still air faces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Facing {
    /// An upright plate; the characteristic length is its height.
    Sideways,
    /// A hot plate facing up or a cold one facing down; length = area / perimeter.
    FreeSide,
    /// A hot plate facing down or a cold one facing up; length = area / perimeter.
    BoundSide,
}

/// A characteristic length with the powers of it that the laws need, worked out once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Length {
    per_m: f64,
    quarter: f64,
    fifth: f64,
}

impl Length {
    /// From a length \[m\] above zero.
    pub fn new(length_m: f64) -> Self {
        Length { per_m: 1.0 / length_m, quarter: length_m.powf(-0.25), fifth: length_m.powf(-0.4) }
    }
}

/// Natural convection in dry air for one temperature difference, for plates of any length.
///
/// Sideways: `Nu = 0.68 + 0.670 Ra^1/4 / (1 + (0.492/Pr)^(9/16))^(4/9)`, Ra < 1e9, Source:
/// \[ChurchillChu1975\]. Free side `Nu = 0.54 Ra^1/4`, bound side `Nu = 0.52 Ra^1/5`, Source:
/// \[Incropera2007\], ch. 9. Checked in: `tests/published/convection.rs`.
#[derive(Clone, Copy, Debug)]
pub struct Natural<R> {
    conductivity: R,
    /// Rayleigh number over the cube of the length \[1/m3\].
    rayleigh: R,
    quarter: R,
}

impl<R: Real> Natural<R> {
    /// For the difference `dt_k` between plate and air, at their mean temperature `mean_k`.
    #[inline]
    pub fn new(dt_k: R, mean_k: R, total_pa: R) -> Self {
        let dt = (dt_k.sq() + ROUNDING_K * ROUNDING_K).sqrt();
        let celsius = mean_k - ZERO_CELSIUS_K;
        // Ra/L^3 = g (dT/T) Pr / nu^2 with nu = mu T / (p/R_a).
        let nu =
            transport::viscosity_dry_air(celsius) * mean_k * super::constants::R_AIR / total_pa;
        let rayleigh = dt * (GRAVITY * PRANDTL) / (mean_k * nu.sq());
        Natural {
            conductivity: transport::conductivity_dry_air(celsius),
            rayleigh,
            quarter: rayleigh.sqrt().sqrt(),
        }
    }

    /// Heat transfer coefficient \[W/(m2 K)\] of a plate of characteristic length `l`.
    #[inline]
    pub fn coefficient(&self, facing: Facing, l: &Length) -> R {
        let nusselt_per_m = match facing {
            // (1 + (0.492/0.707)^(9/16))^(4/9) = 1.3035
            Facing::Sideways => self.quarter * (0.670 / 1.3035 * l.quarter) + 0.68 * l.per_m,
            Facing::FreeSide => self.quarter * (0.54 * l.quarter),
            Facing::BoundSide => self.rayleigh.powf(0.2) * (0.52 * l.fifth),
        };
        nusselt_per_m * self.conductivity
    }
}

/// Heat and mass transfer coefficients of a plate of length `length_m` in a stream of `speed_m_s`, mixed with
/// natural convection: `h = (h_forced^3 + h_natural^3)^(1/3)`.
///
/// Returns that of heat \[W/(m2 K)\] and that of mass \[m/s\]. The latter has the Schmidt number
/// in place of the Prandtl number in the forced part and follows the same ratio in the natural part
/// (heat and mass transfer are alike: \[ChiltonColburn1934\]). `gain` multiplies both (turbulent
/// jets: 1.2 to 1.8, common practice; 1 for laminar flow).
///
/// Checked in: `tests/published/convection.rs`.
#[inline]
pub fn plate<R: Real>(
    gas: &Mixture<R>,
    diffusivity: R,
    natural: R,
    speed_m_s: f64,
    length_m: f64,
    gain: f64,
) -> (R, R) {
    let nu = gas.viscosity / gas.density;
    let prandtl = gas.viscosity * gas.cp / gas.conductivity;
    let reynolds = nu.recip_of(speed_m_s * length_m);
    // The cube of `Nu = 0.664 Re^1/2 Pr^1/3` of a laminar plate (Re < 5e5), without its cube root.
    let forced_cubed = (gas.conductivity / length_m).cube()
        * reynolds
        * reynolds.sqrt()
        * prandtl
        * (PLATE * PLATE * PLATE);
    let heat = (forced_cubed + natural.cube()).cbrt() * gain;
    // h_m = h / (rho c_p Le^(2/3)), Le = alpha / D.
    let volumetric = gas.density * gas.cp;
    let le_23 = (gas.conductivity / (volumetric * diffusivity)).powf(2.0 / 3.0);
    (heat, heat / (volumetric * le_23))
}

/// Evaporation flux from a surface \[kg/(m2 s)\], with Stefan's correction for the air that the
/// vapour has to push aside; negative: condensation.
///
/// ```text
/// N = h_m (p M_w / (R T_film)) ln((p - p_v,gas) / (p - p_v,surface))
/// ```
/// Not finite where the surface reaches boiling, which the solver treats as a failed step.
/// Source: \[BirdStewartLightfoot2007\], film theory. Checked in: `tests/published/pad.rs`.
#[inline]
pub fn stefan_flux<R: Real>(
    mass_coefficient: R,
    mean_k: R,
    gas_pa: R,
    surface_pa: R,
    total_pa: R,
) -> R {
    let drive = ((total_pa - gas_pa) / (total_pa - surface_pa)).ln();
    mass_coefficient * drive * total_pa * (MOLAR_MASS_WATER / super::constants::GAS_CONSTANT)
        / mean_k
}

/// Heat transfer coefficient corrected for the vapour that flows through it (Ackermann): `h phi/(e^phi - 1)` with
/// `phi = N c_pv / h`. Evaporation (N > 0) thins the heat flow to the surface, condensation adds.
///
/// Source: \[BirdStewartLightfoot2007\], film theory; series for small phi, exact to 1e-9 below 0.1.
#[inline]
pub fn ackermann<R: Real>(heat_coefficient: R, flux: R) -> R {
    let phi = flux * super::constants::CP_VAPOUR / heat_coefficient;
    if phi.val().abs() < 0.1 {
        let p2 = phi.sq();
        heat_coefficient * (R::c(1.0) - phi * 0.5 + p2 / 12.0 - p2.sq() / 720.0)
    } else {
        heat_coefficient * phi / (phi.exp() - 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stefan_flux_is_zero_at_equilibrium_and_changes_sign() {
        let f = |p_s: f64| stefan_flux(0.01, 320.0, 3_000.0, p_s, 101_325.0);
        assert_eq!(f(3_000.0), 0.0);
        assert!(f(4_000.0) > 0.0 && f(2_000.0) < 0.0);
    }

    #[test]
    fn ackermann_series_meets_the_closed_form() {
        let h = 10.0;
        for phi in [0.0999_f64, -0.0999] {
            let flux = phi * h / super::super::constants::CP_VAPOUR;
            let closed = h * phi / (phi.exp() - 1.0);
            assert!((ackermann(h, flux) / closed - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn natural_convection_grows_with_the_difference() {
        for facing in [Facing::Sideways, Facing::FreeSide, Facing::BoundSide] {
            let l = Length::new(0.2);
            let h = |dt| Natural::new(dt, 310.0, 101_325.0).coefficient(facing, &l);
            assert!(h(20.0) > h(5.0) && h(5.0) > h(0.0) && h(0.0) > 0.0);
            assert!((h(-20.0_f64) - h(20.0)).abs() < 1e-12);
        }
    }
}
