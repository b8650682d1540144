//! Bound water: which vapour pressure a moist fibre keeps, and the heat that binds the water.

use super::constants::{GAS_CONSTANT, MOLAR_MASS_WATER};
use crate::physics::root::bisect;
use crate::real::Real;
use crate::units::ZERO_CELSIUS_K;

/// Temperature at which the isotherm constants hold \[K\].
const REFERENCE_K: f64 = ZERO_CELSIUS_K + 25.0;

/// Half-width of the rounded corner where the activity reaches 1: takes 1 % off at the corner and
/// nothing off wet fibre. Our choice, wide enough for the solver to see the corner coming.
const CAP_ROUNDING: f64 = 0.05;

/// A GAB isotherm `X = m0 C K a / ((1 - K a)(1 - K a + C K a))` at 25 °C with its heat of sorption.
///
/// X in kg of water per kg of dry fibre, a the water activity (relative humidity at equilibrium).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Isotherm {
    /// Monolayer content m0 \[kg/kg\].
    pub monolayer: f64,
    /// Energy constant C of the first layer.
    pub c: f64,
    /// Energy constant K of the further layers.
    pub k: f64,
    /// Heat that binds the water.
    pub binding: Binding,
}

/// Heat of sorption beyond condensation, `dq exp(-X/X_0)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Binding {
    /// Of the first traces of water dq \[J/kg\].
    pub first_j_kg: f64,
    /// Water content X_0 over which it falls by e \[kg/kg\].
    pub scale: f64,
}

/// Binding heat of cellulose and wood: 1 MJ/kg falling with 0.05 kg/kg (0.8 to 1.2 MJ/kg; from
/// memory).
pub const CELLULOSE: Binding = Binding { first_j_kg: 1.0e6, scale: 0.05 };

/// Binding heat of silica gel: 0.32, 0.19 and 0.10 MJ/kg at 10, 30 and 50 %RH, as its isotherm has it
/// \[Schawe2000\].
pub const SILICA_GEL: Binding = Binding { first_j_kg: 0.44e6, scale: 0.196 };

const fn cellulose(monolayer: f64, c: f64, k: f64) -> Isotherm {
    Isotherm { monolayer, c, k, binding: CELLULOSE }
}

/// Names of [`FIBRES`].
pub const FIBRE_NAMES: &[&str] = &[FIBRES[0].0, FIBRES[1].0, FIBRES[2].0];

/// Fibres a pad may be made of. GAB constants are fits to the customary textile regain at 65 %RH
/// (common practice); desorption holds 10 to 25 % more.
pub const FIBRES: &[(&str, Isotherm)] = &[
    ("cotton", cellulose(0.040, 11.0, 0.78)),
    ("paper", cellulose(0.045, 12.0, 0.76)),
    ("viscose", cellulose(0.062, 10.0, 0.76)),
];

impl Isotherm {
    /// Equilibrium water content \[kg/kg\] at activity `a` (0..1) and 25 °C.
    pub fn content_25c(&self, a: f64) -> f64 {
        let ka = self.k * a;
        self.monolayer * self.c * ka / ((1.0 - ka) * (1.0 - ka + self.c * ka))
    }

    /// Equilibrium water content \[kg/kg\] at activity `a` and `temp_k`: the inverse of
    /// [`Isotherm::activity`], by bisection.
    pub fn content(&self, a: f64, temp_k: f64) -> f64 {
        // X where the fibre is wet at 25 °C bounds the hygroscopic range from above at lower
        // temperatures by less than a factor of two.
        bisect(0.0, 2.0 * self.content_25c(1.0), |x| self.activity(x, temp_k) < a)
    }

    /// Water activity of fibre with `content` \[kg/kg\] at `temp_k`: 1 when wet, the isotherm below.
    ///
    /// The closed inverse of the GAB form at 25 °C, carried to other temperatures by the binding
    /// heat (Clausius-Clapeyron), so that isotherm and heat of sorption agree. Odd near zero: a
    /// slightly negative content draws water in again.
    ///
    /// Source: \[vandenBerg1981\] (GAB form, from memory).
    #[inline]
    pub fn activity<R: Real>(&self, content: R, temp_k: R) -> R {
        let x = content;
        let b = R::c(self.monolayer * self.c) - x * (self.c - 2.0);
        let root = (b.sq() + x.sq() * (4.0 * (self.c - 1.0))).sqrt();
        let at_25c = x * 2.0 / ((b + root) * self.k);
        let heat = self.binding.heat_j_kg(x);
        let shift = heat
            * (MOLAR_MASS_WATER / GAS_CONSTANT)
            * R::from_sub(1.0 / REFERENCE_K, temp_k.recip_of(1.0));
        let a = at_25c * shift.exp();
        R::c(1.0) - R::from_sub(1.0, a).rounded_positive(CAP_ROUNDING)
    }

    /// Content \[kg/kg\] that fibre holding `content` tends to at activity `a` and `temp_k`: the
    /// isotherm, with the binding heat of the content it has now, so that the end point is exact.
    #[inline]
    pub fn tends_to<R: Real>(&self, a: R, content: R, temp_k: R) -> R {
        let shift = self.binding.heat_j_kg(content)
            * (MOLAR_MASS_WATER / GAS_CONSTANT)
            * (temp_k.recip_of(1.0) - 1.0 / REFERENCE_K);
        let capped = R::c(1.0) - R::from_sub(1.0, a * shift.exp()).rounded_positive(CAP_ROUNDING);
        let ka = capped * self.k;
        let free = R::from_sub(1.0, ka);
        ka * (self.monolayer * self.c) / (free * (free + ka * self.c))
    }
}

impl Binding {
    /// Heat that binds the next water beyond condensation \[J/kg\].
    #[inline]
    pub fn heat_j_kg<R: Real>(&self, content: R) -> R {
        (content * (-1.0 / self.scale)).exp() * self.first_j_kg
    }

    /// Binding heat of all the water at `content`, per kg of dry matter \[J/kg\]: the integral of
    /// [`Binding::heat_j_kg`] from zero.
    #[inline]
    pub fn energy_j_kg<R: Real>(&self, content: R) -> R {
        R::from_sub(1.0, (content * (-1.0 / self.scale)).exp()) * (self.first_j_kg * self.scale)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cotton() -> Isotherm {
        FIBRES[0].1
    }

    #[test]
    fn activity_inverts_the_isotherm_at_25_c() {
        for a in [0.05, 0.3, 0.65, 0.9] {
            let x = cotton().content_25c(a);
            assert!((cotton().activity(x, REFERENCE_K) - a).abs() < 2e-4, "{a}");
        }
    }

    #[test]
    fn wet_fibre_has_activity_one_and_a_negative_store_pulls_water_in() {
        assert!((cotton().activity(1.0, 320.0) - 1.0).abs() < 3e-5);
        assert!(cotton().activity(-1e-4, 320.0) < 0.0);
    }

    #[test]
    fn warm_fibre_holds_less_water_at_equal_humidity() {
        assert!(cotton().content(0.5, 338.0) < 0.95 * cotton().content(0.5, 298.0));
    }

    #[test]
    fn bound_energy_is_the_integral_of_the_binding_heat() {
        let (f, h) = (cotton().binding, 1e-5);
        for x in [0.0, 0.03, 0.2] {
            let slope = (f.energy_j_kg(x + h) - f.energy_j_kg(x - h)) / (2.0 * h);
            assert!((slope / f.heat_j_kg(x) - 1.0).abs() < 1e-6);
        }
    }
}
