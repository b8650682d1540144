//! Surfaces: radiation between two of them, and the film of condensed water on a cold one.

use super::constants::STEFAN_BOLTZMANN;
use crate::real::Real;

/// Radiative heat transfer coefficient \[W/(m2 K)\]: `eps sigma (T1^2 + T2^2)(T1 + T2)`.
///
/// `emissivity` is the effective one of the pair. Source: \[Incropera2007\], ch. 1.
/// Checked in: `tests/published/convection.rs`.
#[inline]
pub fn radiative_coefficient<R: Real>(emissivity: f64, a_k: R, b_k: R) -> R {
    (a_k.sq() + b_k.sq()) * (a_k + b_k) * (emissivity * STEFAN_BOLTZMANN)
}

/// Half-width of the rounded corner of the condensation law \[kg/(m2 s)\]: 7 mg/h on 0.2 m2, and only
/// while the flux itself is that small. Our choice.
const FLUX_ROUNDING: f64 = 1e-8;

/// Area density \[kg/m2\] below which a film of water is patchy and evaporates from part of the
/// surface only. A few g/m2; order from memory.
const PATCHY_KG_M2: f64 = 3e-3;

/// Net condensation on a wall \[kg/(m2 s)\] from the flux `towards` that a fully wet wall would
/// take, and the film already there \[kg/m2\].
///
/// ```text
/// c = P(j) - P(-j) (1 - exp(-m/m_0)),      P(x) = max(x, 0), rounded within |x| < e
/// ```
/// A dry wall condenses but cannot evaporate; a wet one does both. Once continuously
/// differentiable, so no event is needed when a wall dries.
#[inline]
pub fn film_growth<R: Real>(towards: R, film_kg_m2: R) -> R {
    let gain = towards.rounded_positive(FLUX_ROUNDING);
    let loss = gain - towards; // P(-j) = P(j) - j
    let wet = R::c(1.0) - (film_kg_m2 * (-1.0 / PATCHY_KG_M2)).exp();
    gain - loss * wet
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dry_wall_cannot_give_water_and_a_wet_one_gives_all_it_can() {
        assert!(film_growth(-1e-5, 0.0).abs() < 1e-8);
        assert!((film_growth(-1e-5, 0.1) / -1e-5 - 1.0).abs() < 1e-3);
        assert!((film_growth(1e-5, 0.0) / 1e-5 - 1.0).abs() < 1e-3);
    }

    #[test]
    fn radiation_between_equal_bodies_is_the_slope_of_the_fourth_power() {
        let t = 300.0;
        let h = radiative_coefficient(1.0, t, t);
        assert!((h - 4.0 * STEFAN_BOLTZMANN * t * t * t).abs() < 1e-12);
    }
}
