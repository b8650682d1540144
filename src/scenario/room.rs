//! `[room]`: temperature, humidity and pressure around the box, constant or from a table.

use crate::model::room::{Knot, Room, air_of};
use crate::physics::constants::STANDARD_PRESSURE;
use crate::physics::moist_air::standard_atmosphere_pa;
use crate::reader::{Key, Keys, Section, key};
use crate::units::{Kind, ZERO_CELSIUS_K};
use std::ops::RangeInclusive;

const TEMPERATURE: Key = key::quantity("temperature", Kind::Temperature, TEMPERATURES)
    .help("temperature of the room; lists of a `table` have the same name");
const RELATIVE_HUMIDITY: Key =
    key::quantity("relative_humidity", Kind::RelativeHumidity, 0.0..=1.0)
        .help("relative humidity of the room, over water below 0 °C too");
const PRESSURE: Key = key::quantity("pressure", Kind::Pressure, PRESSURES)
    .or(STANDARD_PRESSURE, "standard atmosphere")
    .likely(97e3, 103e3, 'B')
    .help("pressure at the place, not reduced to sea level");
const ALTITUDE: Key = key::quantity("altitude", Kind::Length, -500.0..=4_500.0)
    .optional()
    .help("height above the sea, in place of `pressure`");
const TABLE: Key = key::table("table")
    .help("a room that changes: lists of times and values, in place of the two above");
const TIMES: Key = key::quantities("time", Kind::Time, 0.0..=3.2e7).help("times, rising");
const TEMPERATURE_LIST: Key = key::quantities("temperature", Kind::Temperature, TEMPERATURES)
    .help("temperature at each time");
const HUMIDITY_LIST: Key = key::quantities("relative_humidity", Kind::RelativeHumidity, 0.0..=1.0)
    .help("relative humidity at each time");
const START_TEMPERATURE: Key =
    key::quantity("temperature", Kind::Temperature, 230.0..=ZERO_CELSIUS_K + 100.0)
        .follows("room.temperature")
        .help("temperature of air, walls, element and loads; below boiling with a wet pad");
const START_HUMIDITY: Key = key::quantity("relative_humidity", Kind::RelativeHumidity, 0.0..=1.0)
    .follows("room.relative_humidity")
    .help("relative humidity of the air in the box");

/// `[room]`.
#[derive(Clone, Debug)]
pub struct RoomSpec {
    /// Temperature at the start \[K\].
    pub temp_k: f64,
    /// Relative humidity at the start, 0..1.
    pub relative_humidity: f64,
    /// Pressure \[Pa\].
    pub total_pa: f64,
    /// Rows of a table in time, if there is one.
    pub table: Vec<Knot>,
}

pub(super) const TEMPERATURES: RangeInclusive<f64> = ZERO_CELSIUS_K - 20.0..=ZERO_CELSIUS_K + 60.0;
const PRESSURES: RangeInclusive<f64> = 60e3..=110e3;

impl RoomSpec {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[
        Keys::always(
            "room",
            "the room around the box",
            &[&TEMPERATURE, &RELATIVE_HUMIDITY, &PRESSURE, &ALTITUDE, &TABLE],
        ),
        Keys::always(
            "room.table",
            "a room that changes",
            &[&TIMES, &TEMPERATURE_LIST, &HUMIDITY_LIST],
        ),
        Keys::always(
            "start",
            "the box at the start; as the room without it",
            &[&START_TEMPERATURE, &START_HUMIDITY],
        ),
    ];

    /// Reads `temperature`, `relative_humidity`, `pressure` or `altitude`, and `table`.
    pub fn read(s: &Section) -> Self {
        let total_pa = read_pressure(s);
        let table = s.section_opt(&TABLE).map(|t| read_table(&t)).unwrap_or_default();
        let (temp_k, relative_humidity) = match table.first() {
            Some(first) => (first.temp_k, first.relative_humidity),
            None => (s.quantity(&TEMPERATURE), s.quantity(&RELATIVE_HUMIDITY)),
        };
        for key in [&TEMPERATURE, &RELATIVE_HUMIDITY] {
            if !table.is_empty() && s.has(key) {
                s.fail(
                    key,
                    "two-rooms",
                    "and room.table are both given",
                    None,
                    Some("keep the table, or the constant values".into()),
                );
                // Read it all the same, so that it is not reported as unknown.
                let _ = s.text_opt(key);
            }
        }
        let coldest = table.iter().map(|k| k.temp_k).fold(temp_k, f64::min);
        warn_of_ice(s, if table.is_empty() { "temperature" } else { "table" }, coldest);
        RoomSpec { temp_k, relative_humidity, total_pa, table }
    }

    /// Makes the room.
    pub fn build(&self) -> Room {
        if self.table.is_empty() {
            Room::Constant(air_of(self.temp_k, self.relative_humidity, self.total_pa))
        } else {
            Room::Table(self.table.clone(), self.total_pa)
        }
    }
}

/// Says that there is no ice in this model, where a room makes some.
pub(super) fn warn_of_ice(s: &Section, key: &str, temp_k: f64) {
    if temp_k < ZERO_CELSIUS_K {
        let what = "goes below 0 °C, where water stays liquid in this model: it has no ice";
        s.warn(key, "no-ice", what, None);
    }
}

fn read_pressure(s: &Section) -> f64 {
    if let Some(altitude) = s.quantity_opt(&ALTITUDE) {
        if s.has(&PRESSURE) {
            let hint = Some("keep `pressure`, which is what counts".to_owned());
            s.fail("altitude", "two-pressures", "and room.pressure are both given", None, hint);
            let _ = s.quantity_opt(&PRESSURE);
        }
        let pa = standard_atmosphere_pa(altitude);
        s.derived("pressure", Kind::Pressure, pa, "standard atmosphere at this altitude");
        return pa;
    }
    s.quantity(&PRESSURE)
}

fn read_table(t: &Section) -> Vec<Knot> {
    let times = t.quantities(&TIMES, None);
    let temps = t.quantities(&TEMPERATURE_LIST, Some(times.len()));
    let humidities = t.quantities(&HUMIDITY_LIST, Some(times.len()));
    if let Some(i) = times.windows(2).position(|w| w[1] <= w[0]) {
        let what = format!("does not rise at entry {}", i + 2);
        let hint = "sort the rows by time".to_owned();
        t.fail("time", "table-order", &what, None, Some(hint));
    }
    let rows = times.iter().zip(temps.iter().zip(&humidities));
    rows.map(|(&time_s, (&temp_k, &relative_humidity))| Knot { time_s, temp_k, relative_humidity })
        .collect()
}

/// `[start]`: air, walls, element and loads when the run begins; as the room by default.
pub(super) fn read_start(root: &Section, room: &RoomSpec) -> (f64, f64) {
    let own = (room.temp_k, room.relative_humidity);
    let Some(s) = root.section_opt("start") else { return own };
    (s.quantity_from(&START_TEMPERATURE, own.0), s.quantity_from(&START_HUMIDITY, own.1))
}
