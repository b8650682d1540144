//! What was understood of the texts of a measured run.

use std::fmt::Write;

use serde::Serialize;

use super::text::quoted;
use crate::assess::Gathered;
use crate::measured::{Quantity, Series};
use crate::physics::constants::STANDARD_PRESSURE;
use crate::physics::moist_air::{humidity_ratio, saturation_pressure_pa, vapour_density_kg_m3};
use crate::physics::psychrometrics::dew_point_k;
use crate::reader::{Issue, Report};
use crate::units::c_from_k;

/// The page of `check`, below the values.
pub fn page(run: &Gathered) -> String {
    let mut out = String::from("Texts\n");
    for log in &run.logs {
        let (first, last) = span(&log.series);
        let _ = writeln!(out, "  [log.{}] {}", log.name, log.ledger);
        let _ = writeln!(out, "      {}", log.detected);
        let _ = writeln!(out, "      {:.1} to {:.1} min of the run", first / 60.0, last / 60.0);
    }
    if let Some(notes) = &run.weighings {
        let _ = writeln!(out, "  [weighings] {}", notes.ledger);
    }
    let lids = &run.evidence.lids;
    if !lids.is_empty() {
        out.push_str("\nLid openings\n");
        for lid in lids {
            let verdict = match (lid.noted, lid.seen) {
                (true, true) => "noted, and the log shows it",
                (true, false) => "noted; the log does not show it",
                (false, _) => "the log shows it; not noted",
            };
            let _ = writeln!(out, "  {:>7.1} min  {verdict}", lid.from_s / 60.0);
        }
    }
    if !run.evidence.flags.is_empty() {
        out.push_str("\nReadings in doubt\n");
        for flag in &run.evidence.flags {
            let _ =
                writeln!(out, "  {:>7.1} min  {}: {}", flag.from_s / 60.0, flag.probe, flag.what);
        }
    }
    if !run.told.is_empty() {
        out.push_str("\nTaken as given\n");
        for line in &run.told {
            let _ = writeln!(out, "  {line}");
        }
    }
    out
}

fn span(series: &Series) -> (f64, f64) {
    let ends = (series.time_s.first(), series.time_s.last());
    (ends.0.copied().unwrap_or(0.0), ends.1.copied().unwrap_or(0.0))
}

/// What `check` says of a run folder, for JSON.
#[derive(Debug, Serialize)]
pub struct Summary<'a> {
    schema_version: u32,
    units: &'static str,
    title: &'a str,
    warnings: &'a [Issue],
    logs: Vec<LogSummary<'a>>,
    weighings: Option<String>,
    lid_openings: usize,
    readings_in_doubt: usize,
    taken_as_given: &'a [String],
}

#[derive(Debug, Serialize)]
struct LogSummary<'a> {
    name: &'a str,
    ledger: &'a str,
    detected: &'a str,
    first_s: f64,
    last_s: f64,
}

/// The same for JSON.
pub fn summary<'a>(run: &'a Gathered, report: &'a Report) -> Summary<'a> {
    let logs = run.logs.iter().map(|l| {
        let (first_s, last_s) = span(&l.series);
        LogSummary { name: &l.name, ledger: &l.ledger, detected: &l.detected, first_s, last_s }
    });
    Summary {
        schema_version: crate::run::SCHEMA_VERSION,
        units: "times in s of the run",
        title: &run.evidence.title,
        warnings: &report.warnings,
        logs: logs.collect(),
        weighings: run.weighings.as_ref().map(|w| w.ledger.to_string()),
        lid_openings: run.evidence.lids.len(),
        readings_in_doubt: run.evidence.flags.len(),
        taken_as_given: &run.told,
    }
}

/// A cleaned log on the clock of the run, raw line numbers kept, moist-air columns added.
pub fn series_csv(series: &Series) -> String {
    let mut out = String::from("time_s,line");
    for channel in &series.channels {
        let sensor =
            if channel.sensor.is_empty() { String::new() } else { format!("{}_", channel.sensor) };
        let _ = write!(out, ",{sensor}{}", header(channel.quantity));
        if channel.quantity == Quantity::RelativeHumidity {
            for name in ["dew_point_C", "humidity_ratio_g_kg", "vapour_density_g_m3"] {
                let _ = write!(out, ",{sensor}{name}");
            }
        }
    }
    out.push_str(",note\n");
    let pressure = series.channels.iter().find(|c| c.quantity == Quantity::Pressure);
    let mut notes = series.notes.iter().peekable();
    for (i, t) in series.time_s.iter().enumerate() {
        let _ = write!(out, "{},{}", rounded(*t), series.line.get(i).copied().unwrap_or(0));
        for channel in &series.channels {
            let v = channel.values.get(i).copied().unwrap_or(f64::NAN);
            let _ = write!(out, ",{}", cell(shown(channel.quantity, v)));
            if channel.quantity == Quantity::RelativeHumidity {
                let temp = series.channel(&channel.sensor, Quantity::Temperature);
                let temp_k = temp.and_then(|c| c.values.get(i)).copied().unwrap_or(f64::NAN);
                let total =
                    pressure.and_then(|c| c.values.get(i)).copied().filter(|v| v.is_finite());
                let total_pa = total.unwrap_or(STANDARD_PRESSURE);
                for value in moist(temp_k, v, total_pa) {
                    let _ = write!(out, ",{}", cell(value));
                }
            }
        }
        let mut words = Vec::new();
        while let Some((_, note)) = notes.next_if(|(at, _)| at <= t) {
            words.push(note.as_str());
        }
        let _ = writeln!(out, ",{}", quoted(&words.join("; ")));
    }
    out
}

fn header(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Temperature => "temperature_C",
        Quantity::RelativeHumidity => "relative_humidity_pct",
        Quantity::Pressure => "pressure_hPa",
        Quantity::SetPoint => "set_point_C",
        Quantity::Heater => "heater_pct",
        Quantity::Fan => "fan_pct",
        Quantity::Power => "power_W",
        Quantity::Energy => "energy_Wh",
        Quantity::Mass => "mass_g",
    }
}

fn shown(quantity: Quantity, si: f64) -> f64 {
    match quantity {
        Quantity::Temperature | Quantity::SetPoint => c_from_k(si),
        Quantity::RelativeHumidity | Quantity::Heater | Quantity::Fan => 100.0 * si,
        Quantity::Pressure => si / 100.0,
        Quantity::Power => si,
        Quantity::Energy => si / 3600.0,
        Quantity::Mass => 1e3 * si,
    }
}

/// Dew point \[°C\], humidity ratio \[g/kg\], vapour density \[g/m³\].
fn moist(temp_k: f64, rh: f64, total_pa: f64) -> [f64; 3] {
    let vapour_pa = rh * saturation_pressure_pa(temp_k);
    let dew = dew_point_k(vapour_pa).map_or(f64::NAN, c_from_k);
    [dew, 1e3 * humidity_ratio(vapour_pa, total_pa), 1e3 * vapour_density_kg_m3(vapour_pa, temp_k)]
}

/// Readings have no more than six digits that mean anything.
fn rounded(v: f64) -> f64 {
    (v * 1e4).round() / 1e4 + 0.0
}

fn cell(v: f64) -> String {
    if v.is_finite() { rounded(v).to_string() } else { String::new() }
}
