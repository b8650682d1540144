//! The keys of `run.toml`.

use crate::reader::{Key, Keys, key};
use crate::units::{Kind, ZERO_CELSIUS_K};

pub(super) const TITLE: Key = key::text("title").help("stands over tables and figures");
pub(super) const START: Key =
    key::text("start").optional().help("when the run began: clock time, or date and time");
pub(super) const FREE_VOLUME: Key = key::quantity("free_volume", Kind::Volume, 1e-5..=10.0)
    .optional()
    .help("air in the box, for air changes and balances");
pub(super) const VENT_FLOW: Key = key::quantity("vent_flow", Kind::VolumeFlow, 0.0..=0.1)
    .optional()
    .help("flow of room air through the box, at the state of the room");
pub(super) const SCENARIO: Key =
    key::text("scenario").optional().help("scenario of the same box, relative to the folder");
pub(super) const POWER: Key = key::quantity("power", Kind::Power, 0.0..=1e4)
    .optional()
    .help("mean power of the heater while it is on");
pub(super) const SET_POINT: Key =
    key::quantity("set_point", Kind::Temperature, ZERO_CELSIUS_K..=ZERO_CELSIUS_K + 150.0)
        .optional()
        .help("what the control was set to");

pub(super) const ROOM_TEMPERATURE: Key =
    key::quantity("temperature", Kind::Temperature, ZERO_CELSIUS_K - 30.0..=ZERO_CELSIUS_K + 60.0)
        .optional()
        .help("temperature of the room, as noted");
pub(super) const ROOM_HUMIDITY: Key =
    key::quantity("relative_humidity", Kind::RelativeHumidity, 0.0..=1.0)
        .optional()
        .help("relative humidity of the room, as noted");
pub(super) const ROOM_PRESSURE: Key = key::quantity("pressure", Kind::Pressure, 60e3..=110e3)
    .optional()
    .help("pressure at the place, not reduced to sea level");
pub(super) const FILE: Key = key::text("file").help("path of the text within the folder");
pub(super) const CLOCK_OFFSET: Key =
    key::quantity("clock_offset", Kind::Time, -400.0 * DAY_S..=400.0 * DAY_S)
        .or(0.0, "the clocks agree")
        .help("added to this clock to get that of the run");
pub(super) const FIRST_ROW_AT: Key = key::text("first_row_at").optional().help(
    "when its first row was taken, for a log without a clock that did not start with the run",
);
pub(super) const SCALE_UNCERTAINTY: Key = key::quantity("scale_uncertainty", Kind::Mass, 0.0..=1.0)
    .optional()
    .help("standard uncertainty of one weighing, where the notes do not tell");
pub(super) const METER_ACCURACY: Key = key::quantity("meter_accuracy", Kind::Share, 0.0..=0.2)
    .optional()
    .help("stated limits of error of the energy meter whose readings are noted");
pub(super) const PLACE: Key = key::word("place", PLACES)
    .or_word("box", "somewhere in the box")
    .help("where it is: the hot side, the cold side, somewhere in the box, the room");
pub(super) const CHANNEL: Key =
    key::text("channel").follows("the name of this table").help("name of the sensor in the log");
pub(super) const LOG: Key =
    key::text("log").optional().help("name of its log; every log without it");
pub(super) const CONTROLS: Key = key::switch("controls")
    .or_switch(false, "the control reads another one")
    .help("whether the control reads this sensor");
pub(super) const OFFSET_TEMPERATURE: Key =
    key::quantity("offset_temperature", Kind::TemperatureDifference, -20.0..=20.0)
        .optional()
        .help("what it reads too much; 0 without it");
pub(super) const OFFSET_HUMIDITY: Key =
    key::quantity("offset_humidity", Kind::HumidityDifference, -0.5..=0.5)
        .optional()
        .help("what it reads too much; 0 without it");
pub(super) const ACCURACY_TEMPERATURE: Key =
    key::quantity("accuracy_temperature", Kind::TemperatureDifference, 0.0..=20.0)
        .optional()
        .help("stated limits of its error, as ±");
pub(super) const ACCURACY_HUMIDITY: Key =
    key::quantity("accuracy_humidity", Kind::HumidityDifference, 0.0..=0.5)
        .optional()
        .help("stated limits of its error, as ±");
pub(super) const TIME_CONSTANT: Key = key::quantity("time_constant", Kind::Time, 0.1..=7_200.0)
    .optional()
    .help("lag of its temperature");
pub(super) const ENERGY: Key =
    key::quantity("energy", Kind::Energy, 0.0..=1e12).help("what the meter showed");
pub(super) const AT: Key =
    key::text("at").help("when: clock time, date and time, or time since the start");
pub(super) const KIND: Key = key::word("kind", KINDS).help("what was done");
pub(super) const DURATION: Key = key::quantity("duration", Kind::Time, 0.5..=1e5)
    .or(LID_OPEN_S, "time to lift a load out and back (common practice)")
    .within(2.0, 'C')
    .help("how long the lid was open");
pub(super) const EXCHANGE: Key = key::quantity("exchange", Kind::Share, 0.0..=1.0)
    .optional()
    .help("share of the gas that was swapped in that time");
pub(super) const REFERENCE: Key = key::text("reference").help("sensor that is taken as right");
pub(super) const FROM: Key = key::text("from").help("from when");
pub(super) const TO: Key = key::text("to").help("to when");
pub(super) const LIMIT: Key = key::quantity("limit", Kind::Temperature, SPOTS)
    .optional()
    .help("temperature above which the surface may not be touched");
pub(super) const LIMIT_SOURCE: Key = key::text("limit_source")
    .or_word("not stated", "no source given")
    .help("where that limit comes from");
pub(super) const SPOT_AT: Key = key::text("at").optional().help("when it was taken");
pub(super) const READING: Key =
    key::quantity("reading", Kind::Temperature, SPOTS).help("what the infrared thermometer showed");
pub(super) const SET_EMISSIVITY: Key = key::number("set_emissivity", 0.05..=1.0)
    .or(0.95, "what most infrared thermometers are fixed to (common practice)")
    .help("emissivity that the thermometer was set to");
pub(super) const EMISSIVITY: Key =
    key::number("emissivity", 0.05..=1.0).help("emissivity of the surface");
pub(super) const REFLECTED: Key = key::quantity("reflected", Kind::Temperature, SPOTS)
    .optional()
    .help("temperature of what the surface reflects; the room without it");

/// Temperatures of surfaces \[K\].
const SPOTS: std::ops::RangeInclusive<f64> = ZERO_CELSIUS_K - 40.0..=ZERO_CELSIUS_K + 400.0;
const DAY_S: f64 = 86_400.0;

/// The keys of tables with a file of their own here.
const TABLES: &[Keys] = &[
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
        "steady",
        "when the run is steady, for means, swing, duty and cycles; without it the last 30 min while the box is kept warm, at most half the run",
        &[&FROM, &TO],
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

const PLACES: &[&str] = &["box", "supply", "return", "room"];
const KINDS: &[&str] = &["lid_open", "heater_on", "heater_off", "note"];
/// A lid opening whose length was not noted: taking a load out, weighing and putting it back.
const LID_OPEN_S: f64 = 40.0;

/// All keys of `run.toml`.
#[must_use]
pub fn keys() -> Vec<Keys> {
    let own = [
        Keys::always("", "", &[&TITLE, &START]),
        Keys::always("enclosure", "the box", &[&FREE_VOLUME, &VENT_FLOW, &SCENARIO]),
        Keys::always("heater", "the heating element", &[&POWER]),
        Keys::always("control", "what the heater was told to do", &[&SET_POINT]),
    ];
    let text = [
        Keys::always("log.NAME", "", crate::measured::log::ImportOptions::KEYS),
        Keys::always("weighings", "", crate::measured::weighings::WeighingOptions::KEYS),
    ];
    own.into_iter().chain(TABLES.iter().copied()).chain(text).collect()
}
