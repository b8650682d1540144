//! Transport properties of moist air between 0 and 100 °C near atmospheric pressure.

use super::constants::{CP_AIR, CP_VAPOUR, MOLAR_MASS_AIR, MOLAR_MASS_WATER};
use crate::real::Real;
use crate::units::ZERO_CELSIUS_K;

/// What surfaces, holes and plates need to know of a gas mixture.
#[derive(Clone, Copy, Debug)]
pub struct Mixture<R> {
    /// Density \[kg/m3\].
    pub density: R,
    /// Dynamic viscosity \[Pa s\].
    pub viscosity: R,
    /// Thermal conductivity \[W/(m K)\].
    pub conductivity: R,
    /// Specific heat of the mixture \[J/(kg K)\].
    pub cp: R,
}

/// Molar gas constant over the molar mass of dry air \[J/(kg K)\].
const R_AIR: f64 = super::constants::R_AIR;

/// Viscosity of dry air \[Pa s\] at `temp_c` \[°C\], a parabola through the reference values at
/// 0, 40 and 80 °C. Within 0.05 % over 0..100 °C. Source: \[LemmonJacobsen2004\].
#[inline]
pub fn viscosity_dry_air<R: Real>(temp_c: R) -> R {
    (temp_c * -3.2225e-11 + 4.995_95e-8) * temp_c + 1.721_841e-5
}

/// Thermal conductivity of dry air \[W/(m K)\], as [`viscosity_dry_air`].
/// Source: \[LemmonJacobsen2004\].
#[inline]
pub fn conductivity_dry_air<R: Real>(temp_c: R) -> R {
    (temp_c * -3.836e-8 + 7.6379e-5) * temp_c + 0.024_360_5
}

/// Properties of the mixture at `temp_k` with the vapour's mole fraction `y`, at `total_pa`.
///
/// Viscosity by Wilke's rule; conductivity with the same interaction factors (Mason and Saxena).
/// The vapour's own values are straight lines through the saturated-vapour tables at 0 and 100 °C
/// (9.22 to 12.27 µPa s, 17.1 to 24.6 mW/(m K); from memory of the IAPWS releases of 2008 and 2011).
/// Against a reference property library over 0 to 95 °C and all humidities: viscosity within 2 %,
/// conductivity within 3 %; the specific heat within 1.5 % up to y = 0.24.
///
/// Source: \[Wilke1950\], \[MasonSaxena1958\]. Checked in: `tests/published/transport.rs`.
#[inline]
pub fn mixture<R: Real>(temp_k: R, y: R, total_pa: R) -> Mixture<R> {
    let t = temp_k - ZERO_CELSIUS_K;
    let (mu_a, k_a) = (viscosity_dry_air(t), conductivity_dry_air(t));
    let (mu_v, k_v) = (t * 3.05e-8 + 9.22e-6, t * 7.5e-5 + 0.0171);
    // Interaction factors; m = (M_v/M_a)^(1/4) and the two denominators are plain numbers.
    let m = (MOLAR_MASS_WATER / MOLAR_MASS_AIR).sqrt().sqrt();
    let per_av = 1.0 / (8.0 * (1.0 + MOLAR_MASS_AIR / MOLAR_MASS_WATER)).sqrt();
    let per_va = 1.0 / (8.0 * (1.0 + MOLAR_MASS_WATER / MOLAR_MASS_AIR)).sqrt();
    let s = (mu_a / mu_v).sqrt() * m;
    let phi_av = (s + 1.0).sq() * per_av;
    let phi_va = (s.recip_of(1.0) + 1.0).sq() * per_va;
    let x = R::from_sub(1.0, y);
    let share_a = x / (x + y * phi_av);
    let share_v = y / (y + x * phi_va);
    let molar = x * MOLAR_MASS_AIR + y * MOLAR_MASS_WATER;
    Mixture {
        density: molar * total_pa / (temp_k * (R_AIR * MOLAR_MASS_AIR)),
        viscosity: share_a * mu_a + share_v * mu_v,
        conductivity: share_a * k_a + share_v * k_v,
        cp: (x * (MOLAR_MASS_AIR * CP_AIR) + y * (MOLAR_MASS_WATER * CP_VAPOUR)) / molar,
    }
}

/// Diffusivity of water vapour in air \[m2/s\].
///
/// ```text
/// D = 1.87e-10 T^2.072 (101325 Pa / p)          T in K, 282 to 450 K
/// ```
/// Published fits differ by 5 to 7 %. Source: \[MarreroMason1972\].
/// Checked in: `tests/published/transport.rs`.
#[inline]
pub fn vapour_diffusivity<R: Real>(temp_k: R, total_pa: R) -> R {
    temp_k.powf(2.072) * (1.87e-10 * super::constants::STANDARD_PRESSURE) / total_pa
}
