//! Surfaces: radiation between two of them, what an infrared thermometer shows of one, and the film of
//! condensed water on a cold one.

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

/// True temperature from what a thermometer set to `e_set` shows of a grey surface:
///
/// ```text
/// e_set T_read⁴ + (1 - e_set) T_refl⁴ = e T⁴ + (1 - e) T_refl⁴
/// ```
///
/// The whole spectrum stands for the thermometer's band (8 to 14 µm): below 100 °C that changes the
/// correction by less than its uncertainty. Source: Stefan-Boltzmann law for grey surfaces
/// \[Incropera2007\].
pub fn grey_surface_k(reading_k: f64, set: f64, emissivity: f64, reflected_k: f64) -> f64 {
    let seen = set * reading_k.powi(4) + (1.0 - set) * reflected_k.powi(4);
    ((seen - (1.0 - emissivity) * reflected_k.powi(4)) / emissivity).powf(0.25)
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
    use crate::units::k_from_c;

    #[test]
    fn a_black_surface_needs_no_correction_and_a_shiny_one_much() {
        let (room, read) = (k_from_c(22.0), k_from_c(40.0));
        assert!((grey_surface_k(read, 0.95, 0.95, room) - read).abs() < 1e-9);
        // Hand computation: 0.95 (313.15⁴ - 295.15⁴) = 0.3 (T⁴ - 295.15⁴), T = 344.0 K
        let shiny = grey_surface_k(read, 0.95, 0.30, room);
        let want = ((0.95 / 0.30) * (read.powi(4) - room.powi(4)) + room.powi(4)).powf(0.25);
        assert!((shiny - want).abs() < 1e-9 && (shiny - 344.0).abs() < 0.1, "{shiny}");
    }

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
