//! The room of a run, as an assignment of `[room]`, and what its sensor may have wrong.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use super::data::{Input, drift};
use super::link::Link;
use super::table::{FitTable, unit_of_header, values};
use crate::reader::Issue;
use crate::scenario::Scenario;
use crate::units::{self, Kind, c_from_k};

/// How far the room may be off its thinned table: below what its sensor resolves.
const ROOM_NEAR: (f64, f64) = (0.05, 0.2);

/// Most rows of the room's table: every row is a stop of the solver.
const MOST_KNOTS: usize = 60;

/// A room that follows a sensor.
pub(super) struct Room {
    /// Time \[s\], temperature \[°C\] and relative humidity \[%\].
    pub(super) rows: Vec<[f64; 3]>,
    /// Pressure \[Pa\].
    pub(super) total_pa: f64,
    /// What messages call the sensor.
    pub(super) sensor: String,
    /// Standard uncertainties \[K, %\]; zero if not stated.
    pub(super) u: (f64, f64),
}

impl Room {
    /// The assignment of `[room]`.
    pub(super) fn text(&self) -> String {
        room_table(&self.rows, self.total_pa)
    }

    /// What the sensor may have wrong: an offset and a drift of either quantity.
    pub(super) fn inputs(&self) -> Vec<Input> {
        let times: Vec<f64> = self.rows.iter().map(|r| r[0]).collect();
        let (stays, drifts) = (vec![1.0; times.len()], drift(&times));
        let moved = |column: usize, u: f64, by: &[f64]| {
            let one = |(row, by): (&[f64; 3], &f64)| {
                let mut row = *row;
                row[column] += u * by;
                row[2] = row[2].clamp(0.0, 100.0);
                row
            };
            let rows: Vec<[f64; 3]> = self.rows.iter().zip(by).map(one).collect();
            vec![("room".to_owned(), room_table(&rows, self.total_pa))]
        };
        let mut all = Vec::new();
        for (column, u, what) in [(1, self.u.0, "temperature"), (2, self.u.1, "humidity")] {
            for (how, by) in [("offset", &stays), ("drift", &drifts)] {
                let name = format!("{} {what}: {how}", self.sensor);
                all.push(Input { name, sets: moved(column, u, by) });
            }
        }
        all.retain(|i| i.sets[0].1 != self.text());
        all
    }
}

/// The room of a table of readings, if any link names it.
pub(super) fn of_table(
    table: &FitTable,
    links: &[Link],
    scenario: &Scenario,
) -> Result<Option<Room>, Issue> {
    let headers = ["room.temperature", "room.relative_humidity"].map(|t| Link::header_of(links, t));
    if headers == [None, None] {
        return Ok(None);
    }
    let u = |target: &str, kind: Kind| match Link::u_of(links, target) {
        Some(text) => match units::parse(kind.difference(), text) {
            Ok(u) if u < 0.0 => {
                let what = format!("the uncertainty of {target} is ± {text}, below zero");
                let hint = format!("write \"{target} ± {}\"", kind.difference().example());
                Err(Issue::of_file("bad-map", &table.name, what, &hint))
            }
            Ok(u) => Ok(u),
            Err(e) => {
                let what = format!("{text} for {target}: {e}");
                Err(Issue::of_file("bad-map", &table.name, what, &e.hint()))
            }
        },
        None => Ok(0.0),
    };
    let u = (
        u("room.temperature", Kind::Temperature)?,
        100.0 * u("room.relative_humidity", Kind::RelativeHumidity)?,
    );
    let read = |header: Option<&str>, kind: Kind, fixed: f64| -> Result<Vec<f64>, Issue> {
        let Some(header) = header else { return Ok(vec![fixed; table.time_s.len()]) };
        let raw = values(table, header)?;
        match unit_of_header(header).filter(|u| u.0 == kind) {
            Some((_, to_si)) => Ok(raw.iter().map(|v| to_si(*v)).collect()),
            None => {
                let what = format!("{header} is no {} by its header", kind.name());
                Err(Issue::of_file("bad-map", &table.name, what, "end it with _C or _pct"))
            }
        }
    };
    let temps = read(headers[0], Kind::Temperature, scenario.room.temp_k)?;
    let humidities = read(headers[1], Kind::RelativeHumidity, scenario.room.relative_humidity)?;
    let rows = table.time_s.iter().zip(temps.iter().zip(&humidities));
    let rows: Vec<[f64; 3]> = rows
        .map(|(t, (temp, rh))| [*t, c_from_k(*temp), 100.0 * rh])
        .filter(|r| r.iter().all(|v| v.is_finite()) && r[0] >= 0.0)
        .collect();
    if rows.is_empty() {
        let what = "the room's columns hold no usable row".to_owned();
        return Err(Issue::of_file(
            "no-room",
            &table.name,
            what,
            "leave room.temperature out of --map",
        ));
    }
    let (total_pa, sensor) = (scenario.room.total_pa, "the room's sensor".to_owned());
    Ok(Some(Room { rows, total_pa, sensor, u }))
}

/// `[room]` that follows rows of time \[s\], temperature \[°C\] and relative humidity \[%\].
fn room_table(rows: &[[f64; 3]], total_pa: f64) -> String {
    let kept = thinned(rows);
    let list = |i: usize, unit: &str| {
        let all: Vec<String> = kept.iter().map(|r| format!("\"{} {unit}\"", r[i])).collect();
        all.join(", ")
    };
    format!(
        "{{ pressure = \"{total_pa} Pa\", table = {{ time = [{}], temperature = [{}], relative_humidity = [{}] }} }}",
        list(0, "s"),
        list(1, "degC"),
        list(2, "%RH")
    )
}

/// The rows between which straight lines are near enough, the coarser the fewer are allowed.
fn thinned(rows: &[[f64; 3]]) -> Vec<[f64; 3]> {
    let mut coarse = 1.0;
    loop {
        let mut kept = vec![0];
        let mut from = 0;
        while from + 1 < rows.len() {
            let mut to = from + 1;
            while to + 1 < rows.len() && straight(&rows[from..=to + 1], coarse) {
                to += 1;
            }
            kept.push(to);
            from = to;
        }
        if kept.len() <= MOST_KNOTS {
            return kept.into_iter().map(|i| rows[i]).collect();
        }
        coarse *= 1.5;
    }
}

fn straight(rows: &[[f64; 3]], coarse: f64) -> bool {
    let (a, b) = (rows[0], rows[rows.len() - 1]);
    rows.iter().all(|r| {
        let x = (r[0] - a[0]) / (b[0] - a[0]);
        let off = |i: usize| (a[i] + x * (b[i] - a[i]) - r[i]).abs();
        off(1) <= coarse * ROOM_NEAR.0 && off(2) <= coarse * ROOM_NEAR.1
    })
}
