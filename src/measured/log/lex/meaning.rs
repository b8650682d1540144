//! What names of columns and labels announce.

use crate::measured::Quantity;

/// What a label announces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// A time of any kind: counter, clock, date with clock.
    Time,
    /// A time since the start, as a number or `hh:mm:ss`.
    Elapsed,
    /// A date alone, or a clock alone.
    DateOrClock,
    /// Year, month, day, hour, minute or second as a number of its own: index 0 to 5.
    Part(usize),
    /// A reading that is kept.
    Reading(Quantity),
    /// `t`: a time, or a temperature when there is no other.
    LowerT,
    /// A remark.
    Note,
    /// A measure of humidity that gives the relative humidity with the temperature beside it.
    Humidity(HumidityMeasure),
    /// A quantity of another kind, kept under its own name.
    Other,
    /// Which sensor a row is of.
    Sensor,
    /// Something known that is not kept, and why.
    Ignored(&'static str),
    /// Nothing known.
    Unknown,
}

/// Measures of humidity other than the relative one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HumidityMeasure {
    /// Dew point.
    DewPoint,
    /// Mass of vapour in a volume of air, or beside a mass of dry air: its unit says which.
    Content,
}
