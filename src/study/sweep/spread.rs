//! What is known of a value without listing its values: a range, or a value with its uncertainty.

use statrs::distribution::{ContinuousCDF, Normal};

use crate::units::{Kind, Range, format_digits, parse_measured, split_uncertainty};

/// A spread of values to draw from.
#[derive(Clone, Debug, PartialEq)]
pub enum InputSpread {
    /// All values of a range equally likely; with `log`, all ratios.
    Range(Range),
    /// A normal distribution, typed as value ± standard uncertainty.
    Measured(String),
    /// The same, as the scenario states it.
    Own,
}

/// Significant digits of a drawn value: quantiles and their inverse agree to about so many.
const DRAWN_DIGITS: usize = 9;

impl InputSpread {
    /// Whether equal ratios are equally likely.
    pub(super) fn is_log(&self) -> bool {
        matches!(self, InputSpread::Range(range) if range.is_log())
    }

    /// Shares of the draws below the two ends of a range, or below the value less and plus
    /// `standard` standard uncertainties.
    pub(super) fn ends(&self, standard: f64) -> [f64; 2] {
        match self {
            InputSpread::Range(_) => [0.0, 1.0],
            InputSpread::Measured(_) | InputSpread::Own => {
                let below = Normal::standard().cdf(-standard);
                [below, 1.0 - below]
            }
        }
    }

    /// The value below which the share `share` of all draws lies, as it would be typed. `kind` is
    /// what the path measures, `own` its text in the scenario.
    ///
    /// # Errors
    /// Why there is none, and what to type.
    pub(super) fn at(
        &self,
        share: f64,
        kind: Option<Kind>,
        own: Option<String>,
    ) -> Result<String, (String, String)> {
        let text = match self {
            InputSpread::Range(range) => return Ok(range.at(share)),
            InputSpread::Measured(text) => text.clone(),
            InputSpread::Own => {
                own.filter(|t| split_uncertainty(t).is_some()).ok_or_else(|| {
                    let hint = "write PATH=LOW..HIGH or PATH=VALUE ± UNCERTAINTY, with units.";
                    ("has no ± in the scenario".to_owned(), hint.to_owned())
                })?
            }
        };
        let z = Normal::standard().inverse_cdf(share);
        let kind = kind.unwrap_or(Kind::Number);
        let measured = parse_measured(kind, &text).map_err(|e| (e.to_string(), e.hint()))?;
        let si = measured.value + z * measured.sd.unwrap_or(0.0);
        Ok(format_digits(kind, si, DRAWN_DIGITS))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_of_values_with_units() {
        // 1.959964 is the 97.5 % point of the normal distribution (any table of it).
        let spread = InputSpread::Measured("21 °C ± 0.5 K".into());
        let text = spread.at(0.975, Some(Kind::Temperature), None).unwrap();
        let shown: f64 = text.strip_suffix(" °C").unwrap().parse().unwrap();
        assert!((shown - (21.0 + 0.5 * 1.959_964)).abs() < 1e-6, "{text}");
        let own = Some("3.00 ± 0.02 g".to_owned());
        let text = InputSpread::Own.at(0.5, Some(Kind::Mass), own).unwrap();
        assert_eq!(text, "3 g");
        let plain = InputSpread::Measured("0.9 ± 0.05".into()).at(0.5, None, None).unwrap();
        assert!((plain.parse::<f64>().unwrap() - 0.9).abs() < 1e-12);
        // 5 % of 160 W are 8 W; 0.841345 is the share below one standard deviation (any table).
        for (typed, kind) in [("160 W ± 5 %", Some(Kind::Power)), ("160 ± 5 %", None)] {
            let text = InputSpread::Measured(typed.into()).at(0.841_344_746, kind, None).unwrap();
            let shown: f64 = text.trim_end_matches(" W").parse().unwrap();
            assert!((shown - 168.0).abs() < 1e-5, "{text}");
        }
        let odd =
            InputSpread::Measured("21 °C ± 5 %".into()).at(0.5, Some(Kind::Temperature), None);
        assert_eq!(odd.unwrap_err().1, "write \"50 °C ± 0.5 K\".");
        assert!(InputSpread::Own.at(0.5, Some(Kind::Mass), Some("3 g".into())).is_err());
        assert!(InputSpread::Measured("3 ± 1".into()).at(0.5, Some(Kind::Mass), None).is_err());
    }
}
