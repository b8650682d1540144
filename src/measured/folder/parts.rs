//! The tables of a run's description.

use crate::measured::{Moment, log, weighings};
use crate::reader::{Key, Keys, Section, key};
use crate::units::{Kind, Measured, ZERO_CELSIUS_K};

const ROOM_TEMPERATURE: Key =
    key::quantity("temperature", Kind::Temperature, ZERO_CELSIUS_K - 30.0..=ZERO_CELSIUS_K + 60.0)
        .optional()
        .help("temperature of the room, as noted");
const ROOM_HUMIDITY: Key = key::quantity("relative_humidity", Kind::RelativeHumidity, 0.0..=1.0)
    .optional()
    .help("relative humidity of the room, as noted");
const ROOM_PRESSURE: Key = key::quantity("pressure", Kind::Pressure, 60e3..=110e3)
    .optional()
    .help("pressure at the place, not reduced to sea level");
const FILE: Key = key::text("file").help("path of the text within the folder");
const CLOCK_OFFSET: Key = key::quantity("clock_offset", Kind::Time, -400.0 * DAY_S..=400.0 * DAY_S)
    .or(0.0, "the clocks agree")
    .help("added to this clock to get that of the run");
const FIRST_ROW_AT: Key = key::text("first_row_at").optional().help(
    "when its first row was taken, for a log without a clock that did not start with the run",
);
const SCALE_UNCERTAINTY: Key = key::quantity("scale_uncertainty", Kind::Mass, 0.0..=1.0)
    .optional()
    .help("standard uncertainty of one weighing; from the digits without it");
const METER_ACCURACY: Key = key::quantity("meter_accuracy", Kind::Share, 0.0..=0.2)
    .optional()
    .help("stated limits of error of the energy meter whose readings are noted");
const PLACE: Key = key::word("place", PLACES)
    .or_word("box", "somewhere in the box")
    .help("where it is: the hot side, the cold side, somewhere in the box, the room");
const CHANNEL: Key =
    key::text("channel").follows("the name of this table").help("name of the sensor in the log");
const LOG: Key = key::text("log").optional().help("name of its log; every log without it");
const CONTROLS: Key = key::switch("controls")
    .or_switch(false, "the control reads another one")
    .help("whether the control reads this sensor");
const OFFSET_TEMPERATURE: Key =
    key::quantity("offset_temperature", Kind::TemperatureDifference, -20.0..=20.0)
        .optional()
        .help("what it reads too much; 0 without it");
const OFFSET_HUMIDITY: Key = key::quantity("offset_humidity", Kind::HumidityDifference, -0.5..=0.5)
    .optional()
    .help("what it reads too much; 0 without it");
const ACCURACY_TEMPERATURE: Key =
    key::quantity("accuracy_temperature", Kind::TemperatureDifference, 0.0..=20.0)
        .optional()
        .help("stated limits of its error, as ±");
const ACCURACY_HUMIDITY: Key =
    key::quantity("accuracy_humidity", Kind::HumidityDifference, 0.0..=0.5)
        .optional()
        .help("stated limits of its error, as ±");
const TIME_CONSTANT: Key = key::quantity("time_constant", Kind::Time, 0.1..=7_200.0)
    .optional()
    .help("lag of its temperature");
const ENERGY: Key = key::quantity("energy", Kind::Energy, 0.0..=1e12).help("what the meter showed");
const AT: Key = key::text("at").help("when: clock time, date and time, or time since the start");
const KIND: Key = key::word("kind", KINDS).help("what was done");
const DURATION: Key = key::quantity("duration", Kind::Time, 0.5..=1e5)
    .or(LID_OPEN_S, "time to lift a load out and back (common practice)")
    .within(2.0, 'C')
    .help("how long the lid was open");
const EXCHANGE: Key = key::quantity("exchange", Kind::Share, 0.0..=1.0)
    .optional()
    .help("share of the gas that was swapped in that time");
pub(super) const REFERENCE: Key = key::text("reference").help("sensor that is taken as right");
const FROM: Key = key::text("from").help("from when");
const TO: Key = key::text("to").help("to when");
const LIMIT: Key = key::quantity("limit", Kind::Temperature, SPOTS)
    .optional()
    .help("temperature above which the surface may not be touched");
const LIMIT_SOURCE: Key = key::text("limit_source")
    .or_word("not stated", "no source given")
    .help("where that limit comes from");
const SPOT_AT: Key = key::text("at").optional().help("when it was taken");
const READING: Key =
    key::quantity("reading", Kind::Temperature, SPOTS).help("what the infrared thermometer showed");
const SET_EMISSIVITY: Key = key::number("set_emissivity", 0.05..=1.0)
    .or(0.95, "what most infrared thermometers are fixed to (common practice)")
    .help("emissivity that the thermometer was set to");
const EMISSIVITY: Key = key::number("emissivity", 0.05..=1.0).help("emissivity of the surface");
const REFLECTED: Key = key::quantity("reflected", Kind::Temperature, SPOTS)
    .optional()
    .help("temperature of what the surface reflects; the room without it");

/// Temperatures of surfaces \[K\].
const SPOTS: std::ops::RangeInclusive<f64> = ZERO_CELSIUS_K - 40.0..=ZERO_CELSIUS_K + 400.0;
const DAY_S: f64 = 86_400.0;

/// The keys of all these tables.
pub(super) const KEYS: &[Keys] = &[
    Keys::always(
        "room",
        "the room, as noted by hand",
        &[&ROOM_TEMPERATURE, &ROOM_HUMIDITY, &ROOM_PRESSURE],
    ),
    Keys::always("log.NAME", "one logger text", &[&FILE, &CLOCK_OFFSET, &FIRST_ROW_AT]),
    Keys::always(
        "weighings",
        "notes of weighings",
        &[&FILE, &CLOCK_OFFSET, &SCALE_UNCERTAINTY, &METER_ACCURACY],
    ),
    Keys::always(
        "sensor.NAME",
        "what is known of one sensor",
        &[
            &CHANNEL,
            &LOG,
            &PLACE,
            &CONTROLS,
            &OFFSET_TEMPERATURE,
            &OFFSET_HUMIDITY,
            &ACCURACY_TEMPERATURE,
            &ACCURACY_HUMIDITY,
            &TIME_CONSTANT,
        ],
    ),
    Keys::always("meter.NAME", "one reading of an energy meter", &[&AT, &ENERGY]),
    Keys::always("event.NAME", "what was done by hand", &[&KIND, &AT]),
    Keys::when("event.NAME", ("kind", "lid_open"), "the lid was opened", &[&DURATION, &EXCHANGE]),
    Keys::always(
        "side_by_side",
        "a time when all sensors were in one place: their offsets follow",
        &[&REFERENCE, &FROM, &TO],
    ),
    Keys::always(
        "step.SENSOR",
        "a time when a sensor went through a step: its lag follows",
        &[&FROM, &TO],
    ),
    Keys::always(
        "spot.NAME",
        "one infrared reading of the outside",
        &[
            &SPOT_AT,
            &PLACE,
            &READING,
            &SET_EMISSIVITY,
            &EMISSIVITY,
            &REFLECTED,
            &LIMIT,
            &LIMIT_SOURCE,
        ],
    ),
];

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

const PLACES: &[&str] = &["box", "supply", "return", "room"];

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

const KINDS: &[&str] = &["lid_open", "heater_on", "heater_off", "note"];
/// A lid opening whose length was not noted: taking a load out, weighing and putting it back.
const LID_OPEN_S: f64 = 40.0;

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
