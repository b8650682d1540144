//! Water in polymers: equilibrium content and diffusivity.

use super::constants::GAS_CONSTANT;
use crate::physics::root::newton;
use crate::real::{Dual, Real};

/// Width over which the activity is held back where it would pass 1 \[1\]: condensation in the gaps is
/// left out, so content must stay finite there. Our choice, as for fibres.
const CAP_ROUNDING: f64 = 0.05;

/// Beyond this no activity is looked for \[1\].
const MOST_ACTIVITY: f64 = 2.0;

/// Shape of an isotherm at the reference temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// `c = S a (1 + k a^6)`: Henry's law, and clusters above 60 %RH.
    Henry {
        /// Slope S \[kg/kg\].
        slope: f64,
        /// Strength k of the clusters.
        cluster: f64,
    },
    /// `c = m0 C K a / ((1 - K a)(1 - K a + C K a))`. Source: \[vandenBerg1981\].
    Gab {
        /// Monolayer content m0 \[kg/kg\].
        monolayer: f64,
        /// Energy constant C.
        c: f64,
        /// Energy constant K.
        k: f64,
    },
}

impl Form {
    /// Henry's law through `content_50` at 50 %RH with clusters that end at `content_wet` at 100 %RH
    /// \[kg/kg\].
    pub fn henry(content_50: f64, content_wet: f64) -> Self {
        let ratio = 0.5 * content_wet / content_50;
        let cluster = ((ratio - 1.0) / (1.0 - ratio / 64.0)).max(0.0);
        Form::Henry { slope: content_50 / (0.5 * (1.0 + cluster / 64.0)), cluster }
    }

    /// The same shape with all contents multiplied by `factor`.
    pub fn scaled(self, factor: f64) -> Self {
        match self {
            Form::Henry { slope, cluster } => Form::Henry { slope: slope * factor, cluster },
            Form::Gab { monolayer, c, k } => Form::Gab { monolayer: monolayer * factor, c, k },
        }
    }

    /// Activity at which `content` \[kg/kg\] is in equilibrium at the reference temperature.
    pub fn activity(&self, content: f64) -> f64 {
        let most = 2.0 * MOST_ACTIVITY;
        newton(-most, most, |a| {
            let found = self.content(Dual::<1>::seeded(a, 0));
            (found.v - content, found.d[0])
        })
    }

    #[inline]
    fn content<R: Real>(&self, a: R) -> R {
        match *self {
            Form::Henry { slope, cluster } => {
                let a6 = a.sq().cube();
                a * slope * (a6 * cluster + 1.0)
            }
            Form::Gab { monolayer, c, k } => {
                let capped = R::c(1.0) - R::from_sub(1.0, a).rounded_positive(CAP_ROUNDING);
                let ka = capped * k;
                let free = R::from_sub(1.0, ka);
                ka * (monolayer * c) / (free * (free + ka * c))
            }
        }
    }
}

/// An isotherm with its dependence on temperature.
///
/// The content at equal humidity falls with temperature as the heat of sorption beyond condensation
/// demands (Clausius-Clapeyron), so isotherm and heat of sorption agree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sorption {
    /// Shape at `reference_k`.
    pub form: Form,
    /// Heat of sorption beyond condensation \[J/mol\].
    pub excess_j_mol: f64,
    /// Temperature of the shape \[K\].
    pub reference_k: f64,
}

impl Sorption {
    /// Heat of sorption beyond condensation \[J/kg\].
    pub fn excess_j_kg(&self) -> f64 {
        self.excess_j_mol / super::constants::MOLAR_MASS_WATER
    }

    /// Equilibrium content \[kg/kg\] at activity `a` and `temp_k`; odd in `a` near zero.
    #[inline]
    pub fn content<R: Real>(&self, a: R, temp_k: R) -> R {
        let inverse = temp_k.recip_of(1.0) - 1.0 / self.reference_k;
        self.form.content(a * (inverse * (self.excess_j_mol / GAS_CONSTANT)).exp())
    }

    /// Activity at which `content` \[kg/kg\] is in equilibrium at `temp_k`, at most 2.
    pub fn activity(&self, content: f64, temp_k: f64) -> f64 {
        self.activity_at(self.form.activity(content), temp_k)
    }

    /// The same from the activity at the reference temperature, as [`Form::activity`] gives it: several
    /// temperatures need one inversion.
    pub fn activity_at(&self, at_reference: f64, temp_k: f64) -> f64 {
        let inverse = 1.0 / temp_k - 1.0 / self.reference_k;
        let shift = (inverse * (self.excess_j_mol / GAS_CONSTANT)).exp();
        (at_reference / shift).clamp(-MOST_ACTIVITY, MOST_ACTIVITY)
    }
}

/// Diffusivity that follows Arrhenius and grows with the water content.
///
/// ```text
/// D = D_0 exp(-E/R (1/T - 1/T_0)) exp(k c)
/// ```
/// The form (Fickian, rising with water above the glass temperature) is that of published work on
/// polyamides; the constants stand in the table of polymers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Diffusion {
    /// Diffusivity D_0 of the dry polymer at `reference_k` \[m2/s\].
    pub dry_m2_s: f64,
    /// Temperature T_0 \[K\].
    pub reference_k: f64,
    /// Activation energy E \[J/mol\].
    pub activation_j_mol: f64,
    /// Growth k per content \[1/(kg/kg)\].
    pub growth: f64,
}

impl Diffusion {
    /// Diffusivity of the dry polymer at `temp_k` \[m2/s\].
    #[inline]
    pub fn dry<R: Real>(&self, temp_k: R) -> R {
        let inverse = temp_k.recip_of(1.0) - 1.0 / self.reference_k;
        (inverse * (-self.activation_j_mol / GAS_CONSTANT)).exp() * self.dry_m2_s
    }

    /// Potential whose gradient times the dry diffusivity is the flux: `(e^(k c) - 1)/k`
    /// (Kirchhoff's transform). Exact for a diffusivity that depends on the content.
    /// Source: \[Crank1975\], ch. 7 (from memory).
    #[inline]
    pub fn potential<R: Real>(&self, content: R) -> R {
        if self.growth == 0.0 {
            return content;
        }
        ((content * self.growth).exp() - 1.0) / self.growth
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn polyamide() -> Sorption {
        Sorption { form: Form::henry(0.028, 0.095), excess_j_mol: 5e3, reference_k: 296.15 }
    }

    #[test]
    fn the_isotherm_meets_its_two_points_and_is_odd() {
        let s = polyamide();
        assert!((s.content(0.5, 296.15) - 0.028).abs() < 1e-12);
        assert!((s.content(1.0, 296.15) - 0.095).abs() < 1e-12);
        assert_eq!(s.content(0.0, 330.0), 0.0);
        assert_eq!(s.content(-0.1, 330.0), -s.content(0.1, 330.0));
    }

    #[test]
    fn the_activity_inverts_it() {
        let s = polyamide();
        for (a, t) in [(0.05, 296.15), (0.6, 343.0), (0.9, 310.0)] {
            assert!((s.activity(s.content(a, t), t) - a).abs() < 1e-9);
        }
    }

    #[test]
    fn warm_polymer_holds_less_at_equal_humidity_by_its_heat_of_sorption() {
        let s = polyamide();
        // d ln c/d(1/T) = dH/R for Henry's law.
        let (t1, t2) = (296.15_f64, 343.15_f64);
        let want = (s.excess_j_mol / GAS_CONSTANT * (1.0 / t2 - 1.0 / t1)).exp();
        assert!((s.content(0.01, t2) / s.content(0.01, t1) / want - 1.0).abs() < 1e-9);
    }

    #[test]
    fn the_potential_is_the_integral_of_the_diffusivity_over_the_content() {
        let d =
            Diffusion { dry_m2_s: 1e-13, reference_k: 296.15, activation_j_mol: 5e4, growth: 35.0 };
        let (c, h) = (0.02, 1e-6);
        let slope = (d.potential(c + h) - d.potential(c - h)) / (2.0 * h);
        assert!((slope / (35.0_f64 * 0.02).exp() - 1.0).abs() < 1e-8);
    }
}
