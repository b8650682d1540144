//! What can be wrong with a typed value.

use std::fmt;

use super::Kind;

/// Why a text is not a value of the wanted kind.
///
/// `Display` gives the clause that follows the value in a message ("has no unit");
/// [`UnitError::hint`] gives one thing to type instead.
#[derive(Clone, Debug, PartialEq)]
pub enum UnitError {
    /// A bare number where a unit is needed.
    MissingUnit {
        /// The wanted kind.
        kind: Kind,
        /// The same number with the usual unit.
        write: String,
    },
    /// A unit that no kind knows.
    UnknownUnit {
        /// The wanted kind.
        kind: Kind,
        /// The unit as typed.
        unit: String,
        /// The whole value with the closest known unit, if one is close.
        suggestion: Option<String>,
    },
    /// A unit of another kind.
    WrongKind {
        /// The wanted kind.
        wanted: Kind,
        /// The kind the unit belongs to.
        found: Kind,
    },
    /// A temperature reading where a difference is needed.
    ReadingForDifference {
        /// A difference to write instead.
        write: String,
    },
    /// A temperature difference where a reading is needed.
    DifferenceForReading,
    /// A relative humidity that was probably meant as a fraction.
    Ambiguous {
        /// The value as a percentage.
        write: String,
        /// The value as typed, read as a percentage.
        literal: String,
    },
    /// A comma as decimal sign.
    DecimalComma {
        /// The value with a point.
        fixed: String,
    },
    /// Thousands separators.
    ThousandsSeparator {
        /// The value without them.
        fixed: String,
        /// The other reading, when the comma may have been a decimal sign.
        or: Option<String>,
    },
    /// Several number-unit pairs that do not add up to one time.
    BadCompound,
    /// An uncertainty that is not above zero.
    BadUncertainty,
    /// A plain number was wanted but a unit was given.
    UnitOnNumber {
        /// The number alone.
        write: String,
    },
    /// No number at the start.
    NotANumber {
        /// The wanted kind.
        kind: Kind,
    },
    /// A range, a list or the like where something else is taken.
    Shape {
        /// What was typed.
        found: &'static str,
        /// What is taken.
        wanted: &'static str,
        /// One of these.
        write: String,
    },
    /// A range or a list that is wrong in itself.
    Slip {
        /// What it was taken for.
        found: &'static str,
        /// The clause that follows the text.
        what: String,
        /// What to type instead.
        hint: String,
    },
    /// Infinite, not a number, or too large to hold.
    NonFinite {
        /// The wanted kind.
        kind: Kind,
    },
}

impl UnitError {
    /// A stable word for this mistake, for machine-readable output.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::MissingUnit { .. } => "no-unit",
            Self::UnknownUnit { .. } => "unknown-unit",
            Self::WrongKind { .. } | Self::UnitOnNumber { .. } => "wrong-kind",
            Self::ReadingForDifference { .. } => "reading-for-difference",
            Self::DifferenceForReading => "difference-for-reading",
            Self::Ambiguous { .. } => "ambiguous",
            Self::DecimalComma { .. } => "decimal-comma",
            Self::ThousandsSeparator { .. } => "thousands-separator",
            Self::BadCompound => "bad-time",
            Self::BadUncertainty => "bad-uncertainty",
            Self::NotANumber { .. } => "not-a-number",
            Self::NonFinite { .. } => "not-finite",
            Self::Shape { .. } => "wrong-shape",
            Self::Slip { .. } => "bad-values",
        }
    }

    /// What to type instead.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::MissingUnit { write, .. } => {
                format!("write \"{write}\". Plain numbers are not guessed.")
            }
            Self::UnknownUnit { suggestion: Some(s), .. } => format!("did you mean \"{s}\"?"),
            Self::UnknownUnit { kind, .. } => accepted(*kind),
            Self::WrongKind { wanted, .. } => {
                format!("write {}, for example \"{}\".", wanted.name(), wanted.example())
            }
            Self::ReadingForDifference { write } => format!(
                "a difference is a width or an offset, not a place on a scale. Write \"{write}\"."
            ),
            Self::DifferenceForReading => {
                "a reading is a place on a scale. Write, for example, \"50 °C\".".to_owned()
            }
            Self::Ambiguous { write, literal } => {
                format!("did you mean \"{write}\"? {literal} would be far below any room.")
            }
            Self::DecimalComma { fixed } => format!("write \"{fixed}\"."),
            Self::ThousandsSeparator { fixed, or: None } => format!("write \"{fixed}\"."),
            Self::ThousandsSeparator { fixed, or: Some(other) } => {
                format!("write \"{fixed}\", or \"{other}\" if the comma was a decimal sign.")
            }
            Self::BadCompound => "write, for example, \"1 h 30 min\" or \"90 min\".".to_owned(),
            Self::BadUncertainty => {
                "write, for example, \"2.96 ± 0.03 g\", or leave the ± part out.".to_owned()
            }
            Self::UnitOnNumber { write } => format!("write {write} without a unit."),
            Self::Shape { write, .. } => format!("write \"{write}\"."),
            Self::Slip { hint, .. } => hint.clone(),
            Self::NotANumber { kind } | Self::NonFinite { kind } => {
                format!("write {}, for example \"{}\".", kind.name(), kind.example())
            }
        }
    }
}

/// The units of a kind in words, one spelling each.
fn accepted(kind: Kind) -> String {
    let shown: Vec<&str> = kind.units().iter().map(|u| u.shown).collect();
    let (last, rest) = match shown.split_last() {
        Some((last, rest)) if !rest.is_empty() => (*last, rest.join(", ")),
        _ => return format!("write, for example, \"{}\".", kind.example()),
    };
    format!("{} is written in {rest} or {last}, for example \"{}\".", kind.name(), kind.example())
}

impl fmt::Display for UnitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::MissingUnit { .. } => f.write_str("has no unit"),
            Self::UnknownUnit { unit, .. } => write!(f, "has an unknown unit `{unit}`"),
            Self::WrongKind { wanted, found } => {
                write!(f, "is {} where {} is needed", found.name(), wanted.name())
            }
            Self::ReadingForDifference { .. } => {
                f.write_str("is a temperature reading where a difference is needed")
            }
            Self::DifferenceForReading => {
                f.write_str("is a temperature difference where a reading is needed")
            }
            Self::Ambiguous { .. } => f.write_str("is ambiguous"),
            Self::DecimalComma { .. } => f.write_str("has a decimal comma"),
            Self::ThousandsSeparator { .. } => f.write_str("has a thousands separator"),
            Self::BadCompound => f.write_str("is not one time"),
            Self::BadUncertainty => f.write_str("has an uncertainty that is not above zero"),
            Self::UnitOnNumber { .. } => f.write_str("has a unit where a plain number is needed"),
            Self::NotANumber { kind } => write!(f, "is not {}", kind.name()),
            Self::NonFinite { .. } => f.write_str("is not a finite number"),
            Self::Shape { found, wanted, .. } => write!(f, "is {found} where {wanted} is needed"),
            Self::Slip { what, .. } => f.write_str(what),
        }
    }
}

impl std::error::Error for UnitError {}
