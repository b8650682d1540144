//! What a user types for a fit: which column is compared with what.

use super::data::{Compared, Observed, RunData};
use super::link::Link;
use super::look;
use super::table::{Convert, FitTable, unit_of_header, values};
use super::vapour::humidity_to_pressure;
use crate::address::{Address, Place};
use crate::reader::Issue;
use crate::run::Column;
use crate::scenario::Scenario;
use crate::units::{Kind, c_from_k, k_from_c, parse};

/// Turns a table into a run's data: room and heater as assignments, the rest as readings.
///
/// A temperature and a relative humidity compared with the same sensor become the temperature and
/// the vapour pressure, unless `keep_humidity`.
///
/// # Errors
/// Every link that cannot be made.
pub fn bind(
    table: &FitTable,
    links: &[Link],
    scenario: &Scenario,
    columns: &[Column],
    correlation_s: Option<f64>,
    keep_humidity: bool,
) -> Result<RunData, Vec<Issue>> {
    let hint = "rename the column so that it ends in _F, or convert it".to_owned();
    let name = table.name.clone();
    let mut run = RunData { name, fahrenheit_hint: hint, ..RunData::default() };
    let mut issues = Vec::new();
    for link in links {
        if link.is_input() {
            continue;
        }
        match observed(table, link, scenario, columns, correlation_s) {
            Ok(o) => run.observed.push(o),
            Err(issue) => issues.push(issue),
        }
    }
    let mut rest_k = scenario.start.0;
    match super::room::of_table(table, links, scenario) {
        Ok(Some(room)) => {
            run.inputs = room.inputs();
            run.sets.push(("room".into(), room.text()));
            // The box starts as its room, unless it says otherwise.
            if scenario.start.0 == scenario.room.temp_k {
                rest_k = k_from_c(room.rows[0][1]);
            }
        }
        Ok(None) => {}
        Err(issue) => issues.push(issue),
    }
    match super::write::heater(table, links) {
        Ok(set) => run.sets.extend(set),
        Err(issue) => issues.push(issue),
    }
    if run.observed.is_empty() && issues.is_empty() {
        let names: Vec<&str> = table.columns.iter().map(|(h, _)| h.as_str()).collect();
        let what =
            format!("nothing is compared: no --map names a column; it has {}", names.join(", "));
        issues.push(Issue::of_file(
            "no-map",
            &table.name,
            what,
            "write --map \"hot_temperature_C=sensor_logger_temperature_C ± 0.2 K\"",
        ));
    }
    if !issues.is_empty() {
        return Err(issues);
    }
    // Here too, for means over heating cycles do not show the box at rest.
    let hot = look::fahrenheit(&run.name, &run.fahrenheit_hint, &run.observed, rest_k);
    if !hot.is_empty() {
        return Err(hot);
    }
    if !keep_humidity {
        humidity_to_pressure(&mut run.observed);
    }
    Ok(run)
}

fn observed(
    table: &FitTable,
    link: &Link,
    scenario: &Scenario,
    columns: &[Column],
    correlation_s: Option<f64>,
) -> Result<Observed, Issue> {
    let fail = |what: String, hint: &str| Issue::of_file("bad-map", &table.name, what, hint);
    let raw = values(table, &link.header)?;
    let Some(column) = columns.iter().find(|c| c.name == link.target) else {
        let names: Vec<&str> = columns.iter().map(|c| c.name.as_str()).collect();
        let what = format!(
            "{} is compared with `{}`, which is no column of a run",
            link.header, link.target
        );
        return Err(fail(what, &format!("the columns are: {}", names.join(", "))));
    };
    let Some((kind, to_si)) = unit_of_header(&link.header) else {
        let what = format!("the unit of `{}` cannot be told from its header", link.header);
        return Err(fail(what, "end it with _C, _F, _K, _pct, _g, _kg, _W, _Wh or _J"));
    };
    let Some(shown) = shown_in(&column.unit).filter(|s| s.0 == kind) else {
        let what = format!(
            "{} holds {}, but `{}` is in {}",
            link.header,
            kind.name(),
            column.name,
            column.unit
        );
        return Err(fail(what, "compare it with a column of its own kind"));
    };
    let typed = |text: &str, kind: Kind| {
        parse(kind, text).map_err(|e| fail(format!("{} for {}: {e}", text, link.header), &e.hint()))
    };
    let minus = link.minus.as_deref().map_or(Ok(0.0), |t| typed(t, kind))?;
    let u_si = match &link.u {
        Some(text) => typed(text, kind.difference())?,
        None => by_accuracy(column.address, scenario, kind).ok_or_else(|| {
            let what = format!("the uncertainty of {} is not stated", link.header);
            let hint = format!(
                "write --map \"{}={} ± {}\"",
                link.header,
                link.target,
                kind.difference().example()
            );
            fail(what, &hint)
        })?,
    };
    if u_si <= 0.0 {
        let typed = link.u.as_deref().unwrap_or("0");
        let what =
            format!("the uncertainty of {} is ± {typed}, it must be above zero", link.header);
        let hint = format!(
            "write what its readings may be off by: --map \"{}={} ± {}\"",
            link.header,
            link.target,
            kind.difference().example()
        );
        return Err(fail(what, &hint));
    }
    let observed = Observed {
        name: link.header.clone(),
        target: Compared::Column(column.address),
        unit: column.unit.clone(),
        times_s: table.time_s.clone(),
        values: raw.iter().map(|v| (shown.1)(to_si(*v) - minus)).collect(),
        u: vec![u_si * shown.2; raw.len()],
        clock_s: 0.0,
        correlation_s,
        common: Vec::new(),
        moments: None,
    };
    Ok(match &link.u {
        Some(_) => observed,
        // The limits of a data sheet are of errors that stay rather than of scatter.
        None => observed.by_instrument(&link.header, false),
    })
}

/// A stated accuracy is taken as limits of equal probability: divided by the root of three.
/// Common practice.
fn by_accuracy(target: Address, scenario: &Scenario, kind: Kind) -> Option<f64> {
    let Place::Sensor(i) = target.place else { return None };
    let (kelvin, share) = scenario.sensors.get(i)?.accuracy?;
    match kind {
        Kind::Temperature => Some(kelvin / 3.0_f64.sqrt()),
        Kind::RelativeHumidity => Some(share / 3.0_f64.sqrt()),
        _ => None,
    }
}

/// A column's unit: kind, conversion from SI, and the factor for differences.
fn shown_in(unit: &str) -> Option<(Kind, Convert, f64)> {
    Some(match unit {
        "°C" => (Kind::Temperature, |v| c_from_k(v), 1.0),
        "%RH" => (Kind::RelativeHumidity, |v| 100.0 * v, 100.0),
        "g" => (Kind::Mass, |v| 1e3 * v, 1e3),
        "W" => (Kind::Power, |v| v, 1.0),
        "Wh" => (Kind::Energy, |v| v / 3600.0, 1.0 / 3600.0),
        _ => return None,
    })
}
