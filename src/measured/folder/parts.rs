//! The tables of a run's description.

use super::keys::{
    ACCURACY_HUMIDITY, ACCURACY_TEMPERATURE, AT, CHANNEL, CLOCK_OFFSET, CONTROLS, DURATION,
    EMISSIVITY, ENERGY, EXCHANGE, FILE, FIRST_ROW_AT, FROM, KIND, LIMIT, LIMIT_SOURCE, LOG,
    METER_ACCURACY, OFFSET_HUMIDITY, OFFSET_TEMPERATURE, PLACE, READING, REFLECTED, ROOM_HUMIDITY,
    ROOM_PRESSURE, ROOM_TEMPERATURE, SCALE_UNCERTAINTY, SET_EMISSIVITY, SPOT_AT, TIME_CONSTANT, TO,
};
use crate::measured::{Moment, log, weighings};
use crate::reader::Section;
use crate::units::Measured;

/// The room as noted by hand.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RoomValues {
    /// Temperature \[K\].
    pub temp_k: Option<Measured>,
    /// Relative humidity, 0..1.
    pub relative_humidity: Option<Measured>,
    /// Pressure \[Pa\].
    pub pressure_pa: Option<Measured>,
}

impl RoomValues {
    pub(super) fn read(s: &Section) -> Self {
        RoomValues {
            temp_k: s.measured_opt(&ROOM_TEMPERATURE),
            relative_humidity: s.measured_opt(&ROOM_HUMIDITY),
            pressure_pa: s.measured_opt(&ROOM_PRESSURE),
        }
    }
}

/// `[log.<name>]`: one logger text.
#[derive(Clone, Debug)]
pub struct LogSpec {
    /// Name in the description.
    pub name: String,
    /// Where the text is, relative to the folder.
    pub file: String,
    /// Added to this logger's clock to get that of the run \[s\].
    pub clock_offset_s: f64,
    /// When its first row was taken; needed by a log without a clock that did not start with the
    /// run.
    pub first_row: Option<Moment>,
    /// What is pinned about the text.
    pub options: log::ImportOptions,
}

impl LogSpec {
    pub(super) fn read(s: &Section) -> Self {
        LogSpec {
            name: s.name(),
            file: s.text(&FILE),
            clock_offset_s: s.quantity(&CLOCK_OFFSET),
            first_row: Moment::read(s, &FIRST_ROW_AT),
            options: log::ImportOptions::read(s),
        }
    }
}

/// `[weighings]`: notes of weighings.
#[derive(Clone, Debug)]
pub struct WeighingSpec {
    /// Where the text is, relative to the folder.
    pub file: String,
    /// Added to the clock of the notes to get that of the run \[s\].
    pub clock_offset_s: f64,
    /// Standard uncertainty of one weighing \[kg\], where the notes do not tell.
    pub scale_kg: Option<f64>,
    /// Stated limits of error of the meter whose readings are noted, as a share.
    pub meter_accuracy: Option<f64>,
    /// What is pinned about the text.
    pub options: weighings::WeighingOptions,
}

impl WeighingSpec {
    pub(super) fn read(s: &Section) -> Self {
        WeighingSpec {
            file: s.text(&FILE),
            clock_offset_s: s.quantity(&CLOCK_OFFSET),
            scale_kg: s.quantity_opt(&SCALE_UNCERTAINTY),
            meter_accuracy: s.quantity_opt(&METER_ACCURACY),
            options: weighings::WeighingOptions::read(s),
        }
    }
}

/// Where a sensor is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SensorPlace {
    /// The hot side, where air enters from the heater.
    Supply,
    /// The cold side, where air goes back to it.
    Return,
    /// Somewhere in the box.
    Box,
    /// The room.
    Room,
}

impl SensorPlace {
    fn read(s: &Section) -> Self {
        match s.choice(&PLACE) {
            "supply" => SensorPlace::Supply,
            "return" => SensorPlace::Return,
            "room" => SensorPlace::Room,
            _ => SensorPlace::Box,
        }
    }
}

/// `[sensor.<name>]`: what is known of one sensor.
#[derive(Clone, Debug)]
pub struct SensorSpec {
    /// Name in the description, used in results.
    pub name: String,
    /// Name in the log; empty for the only sensor of one.
    pub channel: String,
    /// Name of the log; every log when not given.
    pub log: Option<String>,
    /// Where it is.
    pub place: SensorPlace,
    /// Whether the control reads it.
    pub controls: bool,
    /// What it reads too much \[K\].
    pub offset_k: Measured,
    /// What it reads too much, as a fraction of 1.
    pub offset_rh: Measured,
    /// Stated limits of its error \[K\], as a half width.
    pub accuracy_k: Option<f64>,
    /// Stated limits of its error, as a fraction of 1.
    pub accuracy_rh: Option<f64>,
    /// Time constant \[s\].
    pub time_constant_s: Option<Measured>,
}

impl SensorSpec {
    pub(super) fn read(s: &Section) -> Self {
        let zero = Measured { value: 0.0, sd: None };
        SensorSpec {
            name: s.name(),
            channel: s.text_opt(&CHANNEL).unwrap_or_else(|| s.name()),
            log: s.text_opt(&LOG),
            place: SensorPlace::read(s),
            controls: s.switch(&CONTROLS),
            offset_k: s.measured_opt(&OFFSET_TEMPERATURE).unwrap_or(zero),
            offset_rh: s.measured_opt(&OFFSET_HUMIDITY).unwrap_or(zero),
            accuracy_k: s.quantity_opt(&ACCURACY_TEMPERATURE),
            accuracy_rh: s.quantity_opt(&ACCURACY_HUMIDITY),
            time_constant_s: s.measured_opt(&TIME_CONSTANT),
        }
    }
}

/// `[meter.<name>]`: one reading of an energy meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeterReading {
    /// When.
    pub at: Moment,
    /// What it showed \[J\].
    pub energy_j: Measured,
}

impl MeterReading {
    pub(super) fn read(s: &Section) -> Option<Self> {
        let energy_j = s.measured(&ENERGY);
        Some(MeterReading { at: Moment::required(s, &AT)?, energy_j })
    }
}

/// What was done by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EventKind {
    /// The lid was opened.
    LidOpen,
    /// The heater was switched on for the first time.
    HeaterOn,
    /// The heater was switched off for good.
    HeaterOff,
    /// Something worth a mark.
    Note,
}

/// `[event.<name>]`.
#[derive(Clone, Debug)]
pub struct EventSpec {
    /// Name in the description.
    pub name: String,
    /// What.
    pub kind: EventKind,
    /// When.
    pub at: Moment,
    /// For how long \[s\].
    pub duration_s: f64,
    /// Share of the gas swapped in that time.
    pub exchange: Option<Measured>,
}

impl EventSpec {
    pub(super) fn read(s: &Section) -> Option<Self> {
        let kind = match s.choice(&KIND) {
            "lid_open" => EventKind::LidOpen,
            "heater_on" => EventKind::HeaterOn,
            "heater_off" => EventKind::HeaterOff,
            _ => EventKind::Note,
        };
        let lid = kind == EventKind::LidOpen;
        let duration_s = if lid { s.quantity(&DURATION) } else { 0.0 };
        let exchange = lid.then(|| s.measured_opt(&EXCHANGE)).flatten();
        let at = Moment::required(s, &AT)?;
        Some(EventSpec { name: s.name(), kind, at, duration_s, exchange })
    }
}

/// A stretch of time that says something of a sensor: `[side_by_side]` or `[step.<sensor>]`.
#[derive(Clone, Debug)]
pub struct WindowSpec {
    /// The sensor: the one taken as right, or the one that went through a step.
    pub sensor: String,
    /// From when.
    pub from: Moment,
    /// To when.
    pub to: Moment,
}

impl WindowSpec {
    pub(super) fn read(s: &Section, sensor: &str) -> Option<Self> {
        let (from, to) = (Moment::required(s, &FROM), Moment::required(s, &TO));
        Some(WindowSpec { sensor: sensor.to_owned(), from: from?, to: to? })
    }
}

/// How hot a surface may be touched depends on what it is.
#[derive(Clone, Debug)]
pub struct Surface {
    /// Temperature above which it burns, entered by the user \[K\].
    pub limit_k: f64,
    /// Where that limit comes from, in the user's words.
    pub source: String,
}

/// `[spot.<name>]`: one infrared reading of an outside surface.
#[derive(Clone, Debug)]
pub struct SpotSpec {
    /// Name in the description.
    pub name: String,
    /// When it was taken.
    pub at: Option<Moment>,
    /// Which side of the box it is on.
    pub place: SensorPlace,
    /// What the thermometer showed \[K\].
    pub reading_k: Measured,
    /// Emissivity that the thermometer was set to.
    pub set_emissivity: f64,
    /// Emissivity of the surface.
    pub emissivity: Measured,
    /// Temperature of what the surface reflects; the room when not given \[K\].
    pub reflected_k: Option<Measured>,
    /// Limit to compare with.
    pub limit: Option<Surface>,
}

impl SpotSpec {
    pub(super) fn read(s: &Section) -> Self {
        let limit = s.quantity_opt(&LIMIT);
        let limit = limit.map(|limit_k| Surface { limit_k, source: s.text(&LIMIT_SOURCE) });
        SpotSpec {
            name: s.name(),
            at: Moment::read(s, &SPOT_AT),
            place: SensorPlace::read(s),
            reading_k: s.measured(&READING),
            set_emissivity: s.quantity(&SET_EMISSIVITY),
            emissivity: s.measured(&EMISSIVITY),
            reflected_k: s.measured_opt(&REFLECTED),
            limit,
        }
    }
}
