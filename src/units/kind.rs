//! The kinds of value a key can hold.

use serde::{Deserialize, Serialize};

use super::table::{self, Unit};

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

    /// The kind in words with its article, for messages: "a length".
    #[must_use]
    pub fn name(self) -> &'static str {
        table::vocabulary(self).name
    }

    /// The SI unit the value is kept in; empty for plain fractions and numbers.
    #[must_use]
    pub fn si_unit(self) -> &'static str {
        table::vocabulary(self).si_unit
    }

    /// The unit shown first to a user; empty for plain numbers.
    #[must_use]
    pub fn preferred_unit(self) -> &'static str {
        table::vocabulary(self).preferred.shown
    }

    /// A value of this kind as a user would type it: `6 mm`.
    #[must_use]
    pub fn example(self) -> &'static str {
        table::vocabulary(self).example
    }

    /// Every accepted spelling of every unit of this kind, in canonical ASCII form where there is
    /// one. Superscripts, dots, brackets and blanks are accepted besides.
    pub fn unit_names(self) -> impl Iterator<Item = &'static str> {
        self.units().iter().flat_map(|u| u.names.iter().copied())
    }

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

    pub(super) fn units(self) -> &'static [Unit] {
        table::vocabulary(self).units
    }

    pub(super) fn unit(self, canonical: &str) -> Option<&'static Unit> {
        self.units().iter().find(|u| u.names.contains(&canonical))
    }
}
