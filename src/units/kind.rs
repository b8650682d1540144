//! The kinds of value a key can hold.

use serde::{Deserialize, Serialize};

/// A value with, if it was given, its standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// The value in SI.
    pub value: f64,
    /// Standard uncertainty in SI; a difference, also for temperatures.
    pub sd: Option<f64>,
}

/// What a value measures. It decides which units may be typed and how the value is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// A length \[m\].
    Length,
    /// An area \[m²\].
    Area,
    /// A volume \[m³\].
    Volume,
    /// A mass \[kg\].
    Mass,
    /// A time span \[s\].
    Time,
    /// A reading on a temperature scale \[K\].
    Temperature,
    /// A difference between two temperatures \[K\].
    TemperatureDifference,
    /// A relative humidity, as a fraction 0..1.
    RelativeHumidity,
    /// A difference or uncertainty of a relative humidity, as a fraction.
    HumidityDifference,
    /// Mass of vapour per mass of dry air \[kg/kg\].
    HumidityRatio,
    /// A pressure \[Pa\].
    Pressure,
    /// A power \[W\].
    Power,
    /// An energy \[J\].
    Energy,
    /// A volume flow \[m³/s\].
    VolumeFlow,
    /// A thermal conductance \[W/K\].
    Conductance,
    /// A heat transfer coefficient \[W/(m² K)\].
    HeatTransferCoefficient,
    /// A thermal conductivity \[W/(m K)\].
    Conductivity,
    /// A heat capacity \[J/K\].
    HeatCapacity,
    /// A specific heat capacity \[J/(kg K)\].
    SpecificHeat,
    /// A density \[kg/m³\].
    Density,
    /// A speed \[m/s\].
    Speed,
    /// A share, as a fraction 0..1.
    Share,
    /// A plain number.
    Number,
    /// A relative change per kelvin \[1/K\].
    PerKelvin,
}

impl Kind {
    /// Every kind, in the order of declaration.
    pub const ALL: [Self; 24] = [
        Self::Length,
        Self::Area,
        Self::Volume,
        Self::Mass,
        Self::Time,
        Self::Temperature,
        Self::TemperatureDifference,
        Self::RelativeHumidity,
        Self::HumidityDifference,
        Self::HumidityRatio,
        Self::Pressure,
        Self::Power,
        Self::Energy,
        Self::VolumeFlow,
        Self::Conductance,
        Self::HeatTransferCoefficient,
        Self::Conductivity,
        Self::HeatCapacity,
        Self::SpecificHeat,
        Self::Density,
        Self::Speed,
        Self::Share,
        Self::Number,
        Self::PerKelvin,
    ];

    /// The kind of a difference or of an uncertainty of values of this kind.
    #[must_use]
    pub fn difference(self) -> Self {
        match self {
            Self::Temperature => Self::TemperatureDifference,
            Self::RelativeHumidity => Self::HumidityDifference,
            other => other,
        }
    }

    /// Whether a bare number is a complete value of this kind.
    #[must_use]
    pub fn is_bare(self) -> bool {
        matches!(self, Self::Share | Self::Number)
    }

    /// Whether a bare 0 is a complete value: it is, unless the units disagree about where 0 lies.
    #[must_use]
    pub fn zero_is_clear(self) -> bool {
        self != Self::Temperature
    }
}
