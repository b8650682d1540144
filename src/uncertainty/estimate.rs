//! A value with its standard uncertainty.

use std::fmt;

use serde::{Deserialize, Serialize};
use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

use crate::units::Measured;

/// Coverage factor of expanded uncertainties: about 95 % for a normal distribution.
pub const COVERAGE_FACTOR: f64 = 2.0;

/// Share that twice the standard uncertainty covers of a normal distribution.
const COVERAGE: f64 = 0.954_499_736;

/// A value with its standard uncertainty and how well that is known.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// Its standard uncertainty.
    pub standard: f64,
    /// Degrees of freedom of that; infinite when it was stated or assumed.
    #[serde(with = "freedom")]
    pub degrees_of_freedom: f64,
}

/// JSON knows no infinity: it is written as null.
mod freedom {
    use serde::{Deserialize, Deserializer, Serializer};

    pub fn serialize<S: Serializer>(v: &f64, to: S) -> Result<S::Ok, S::Error> {
        if v.is_finite() { to.serialize_some(v) } else { to.serialize_none() }
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<f64, D::Error> {
        Ok(Option::<f64>::deserialize(from)?.unwrap_or(f64::INFINITY))
    }
}

impl Estimate {
    /// A value with a stated standard uncertainty.
    #[must_use]
    pub fn new(value: f64, standard: f64) -> Self {
        Estimate { value, standard, degrees_of_freedom: f64::INFINITY }
    }

    /// A value without uncertainty.
    #[must_use]
    pub fn exact(value: f64) -> Self {
        Estimate::new(value, 0.0)
    }

    /// A value of which only limits are known, value ± half_width, all inside equally likely.
    /// Source: \[JCGM100\], rectangular distribution.
    #[must_use]
    pub fn within(value: f64, half_width: f64) -> Self {
        Estimate::new(value, half_width.abs() / 3.0_f64.sqrt())
    }

    /// The standard uncertainty that rounding to a step adds. Source: \[JCGM100\].
    #[must_use]
    pub fn of_rounding(step: f64) -> f64 {
        step.abs() / 12.0_f64.sqrt()
    }

    /// Expanded uncertainty for k = 2.
    #[must_use]
    pub fn expanded(&self) -> f64 {
        COVERAGE_FACTOR * self.standard
    }

    /// Coverage factor for a share of all cases, from Student's distribution with these degrees
    /// of freedom. Source: \[JCGM100\], annex G.
    #[must_use]
    pub fn coverage_factor(&self, share: f64) -> f64 {
        // Beyond this many degrees of freedom the two distributions agree to five digits.
        const NORMAL_FROM: f64 = 1e5;
        let (freedom, p) = (self.degrees_of_freedom.max(1.0), 0.5 + 0.5 * share);
        if freedom >= NORMAL_FROM {
            return Normal::standard().inverse_cdf(p);
        }
        StudentsT::new(0.0, 1.0, freedom).map_or(COVERAGE_FACTOR, |t| t.inverse_cdf(p))
    }

    /// For k = 2, where few repeats stand behind it: enlarged so that twice of it has the coverage that
    /// Student's factor gives. Source: \[JCGM100\], annex G.
    #[must_use]
    pub fn for_few(self) -> Self {
        if self.degrees_of_freedom.is_infinite() {
            return self;
        }
        let factor = self.coverage_factor(COVERAGE) / COVERAGE_FACTOR;
        Estimate::new(self.value, self.standard * factor.max(1.0))
    }

    /// The same with another independent standard uncertainty added.
    #[must_use]
    pub fn widened(self, standard: f64) -> Self {
        Estimate { standard: self.standard.hypot(standard), ..self }
    }

    /// In another unit.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Estimate { value: factor * self.value, standard: factor.abs() * self.standard, ..self }
    }

    /// Moved by a constant.
    #[must_use]
    pub fn shifted(self, by: f64) -> Self {
        Estimate { value: self.value + by, ..self }
    }
}

impl From<Measured> for Estimate {
    fn from(m: Measured) -> Self {
        Estimate::new(m.value, m.sd.unwrap_or(0.0))
    }
}

impl fmt::Display for Estimate {
    /// `24.8 ± 1.8`: expanded uncertainty (k = 2) to two digits, the value to match.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let expanded = self.expanded();
        if expanded <= 0.0 || !expanded.is_finite() {
            return write!(f, "{}", plain(self.value));
        }
        let decade = (expanded.log10().floor() as i32 - 1).clamp(-12, 12);
        let unit = 10.0_f64.powi(decade);
        // 0.0996 rounds to 0.10: one digit less behind the point.
        let decade = if (expanded / unit).round() >= 100.0 { decade + 1 } else { decade };
        let decimals = (-decade).max(0) as usize;
        let round = |v: f64| {
            let unit = 10.0_f64.powi(decade.max(0));
            // adding zero turns -0 into 0
            (v / unit).round() * unit + 0.0
        };
        let (value, expanded) =
            if decade > 0 { (round(self.value), round(expanded)) } else { (self.value, expanded) };
        let value = format!("{value:.decimals$}");
        let value = if value.trim_start_matches('-').chars().all(|c| c == '0' || c == '.') {
            value.trim_start_matches('-').to_owned()
        } else {
            value
        };
        write!(f, "{value} ± {expanded:.decimals$}")
    }
}

/// Four significant digits.
fn plain(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    let decimals = (3 - value.abs().log10().floor() as i32).clamp(0, 9) as usize;
    format!("{value:.decimals$}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_match_the_uncertainty() {
        let shown = |v, u| Estimate::new(v, u).to_string();
        assert_eq!(shown(24.8136, 0.9), "24.8 ± 1.8");
        assert_eq!(shown(2.96, 0.005), "2.960 ± 0.010");
        assert_eq!(shown(0.1234, 0.0498), "0.12 ± 0.10");
        assert_eq!(shown(12_345.0, 321.0), "12350 ± 640");
        assert_eq!(shown(-0.001, 0.1), "0.00 ± 0.20");
        assert_eq!(shown(50.0, 0.0), "50.00");
        assert_eq!(Estimate::within(1.0, 0.3).standard, 0.3 / 3.0_f64.sqrt());
    }

    #[test]
    fn few_repeats_need_a_larger_factor() {
        let few = Estimate { value: 0.0, standard: 1.0, degrees_of_freedom: 4.0 };
        // Student's t for 95 % and 4 degrees of freedom, any table: 2.776
        assert!((few.coverage_factor(0.95) - 2.776).abs() < 1e-3);
        // and for 95.45 %, table G.2 of the Guide: 2.87
        assert!((few.for_few().expanded() - 2.87).abs() < 5e-3);
        assert_eq!(Estimate::new(0.0, 1.0).for_few().standard, 1.0);
        assert!((Estimate::new(0.0, 1.0).coverage_factor(0.95) - 1.960).abs() < 1e-3);
    }
}
