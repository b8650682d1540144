//! A cleaned log: channels over one rising time axis, each row with the line it came from.

/// What a channel holds; its values are in the SI unit named here, NaN where there is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Quantity {
    /// Temperature reading \[K\].
    Temperature,
    /// Relative humidity reading, a fraction of 1.
    RelativeHumidity,
    /// Absolute pressure \[Pa\].
    Pressure,
    /// Set point of the control \[K\].
    SetPoint,
    /// Heater command: 0 off, 1 on, or a share between.
    Heater,
    /// Fan command: 0 off, 1 on, or a share between.
    Fan,
    /// Electric power \[W\].
    Power,
    /// Electric energy, a counter \[J\].
    Energy,
    /// Mass on a scale \[kg\].
    Mass,
    /// A quantity that this program does not know, as logged; the name of its channel is its own.
    Other,
}

/// One column of a log.
#[derive(Clone, Debug, PartialEq)]
pub struct Channel {
    /// Name of the sensor, such as `hot`; empty for the only sensor of a log.
    pub sensor: String,
    /// What it holds.
    pub quantity: Quantity,
    /// One value per time of the series.
    pub values: Vec<f64>,
}

/// The clock at time 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// Seconds on the logger's own clock: since 1970-01-01 00:00 when the date is known, else since
    /// midnight.
    pub clock_s: f64,
    /// Whether the date is known.
    pub dated: bool,
    /// Offset of that clock from UTC \[s\], when the log states it.
    pub utc_offset_s: Option<f64>,
}

/// A cleaned log.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Series {
    /// Time since the first row \[s\], strictly rising.
    pub time_s: Vec<f64>,
    /// Line of the raw text each row came from, from 1.
    pub line: Vec<u64>,
    /// The clock at time 0; absent when the log has none.
    pub start: Option<Start>,
    /// The columns.
    pub channels: Vec<Channel>,
    /// Remarks of the log, with their times \[s\].
    pub notes: Vec<(f64, String)>,
}

impl Series {
    /// The channel of this sensor and quantity.
    #[must_use]
    pub fn channel(&self, sensor: &str, quantity: Quantity) -> Option<&Channel> {
        self.channels.iter().find(|c| c.sensor == sensor && c.quantity == quantity)
    }
}
