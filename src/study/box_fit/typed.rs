//! What a user types for a fit: free paths with bounds, and which column is compared with what.

use super::data::{Compared, FreePath, Observed, RunData};
use super::link::Link;
use super::look;
use super::table::{Convert, FitTable, unit_of_header, values};
use super::vapour::humidity_to_pressure;
use crate::address::{Address, Place};
use crate::reader::{Issue, Report, present_path};
use crate::run::Column;
use crate::scenario::Scenario;
use crate::text::closest;
use crate::units::{self, Kind, c_from_k, k_from_c, parse, parse_measured};

/// Reads `path=low..high unit` or `path=start, low..high unit`; a path alone takes its bounds from
/// the value's own ± in the scenario. Without a start it is the scenario's value if that lies
/// between the bounds, else their middle.
///
/// # Errors
/// What is wrong, with one thing to type.
pub fn free_path(text: &str, per_run: bool, report: &Report) -> Result<FreePath, Issue> {
    let fail = |what: String, hint: &str| {
        Err(Issue::of_file("bad-free", &format!("--free {text}"), what, hint))
    };
    let (path, rest) =
        text.split_once('=').map_or((text.trim(), ""), |(p, r)| (p.trim(), r.trim()));
    let Some(record) = report.value(path) else {
        let known: Vec<&str> =
            report.values.iter().filter(|v| v.kind().is_some()).map(|v| v.path.as_str()).collect();
        let hint = match (present_path(path, &known), closest(path, known.iter().copied())) {
            (Some(now), _) => format!("it is called {now} now"),
            (None, Some(near)) => format!("did you mean {near}?"),
            (None, None) => "drybench check lists all paths".into(),
        };
        return fail(format!("{path} is no value of this scenario"), &hint);
    };
    let (Some(kind), Some(now)) = (record.kind(), record.si()) else {
        return fail(
            format!("{path} = {} is no quantity", record.text()),
            "free a value with a unit",
        );
    };
    let (start, low, high) = match bounds(kind, now, rest, &record.text()) {
        Ok(found) => found,
        Err(what) => {
            let hint =
                format!("write {path}=LOW..HIGH, for example \"{path}={}\"", example(kind, now));
            return fail(what, &hint);
        }
    };
    let shown = |v| units::format(kind, v);
    if low >= high {
        return fail(
            format!("the bounds {} and {} leave no room", shown(low), shown(high)),
            "write the smaller one first",
        );
    }
    if !(low..=high).contains(&start) {
        let what = format!("starts at {}, outside {} to {}", shown(start), shown(low), shown(high));
        return fail(what, "move the start or the bounds");
    }
    Ok(FreePath { path: path.into(), kind, start, low, high, per_run })
}

/// Bounds of a parameter whose value has a standard uncertainty: so many of them either way.
const BY_OWN: f64 = 4.0;

fn bounds(kind: Kind, now: f64, rest: &str, text: &str) -> Result<(f64, f64, f64), String> {
    if rest.is_empty() {
        let sd = parse_measured(kind, text).ok().and_then(|m| m.sd);
        let Some(sd) = sd else { return Err("has no bounds".into()) };
        return Ok((now, now - BY_OWN * sd, now + BY_OWN * sd));
    }
    let (start, range) = match rest.split_once(',') {
        Some((start, range)) => (Some(start.trim()), range.trim()),
        None => (None, rest),
    };
    let Some((low, high)) = range.split_once("..") else {
        return Err(format!("\"{rest}\" is no range"));
    };
    let unit = high.trim().trim_start_matches(|c: char| c.is_ascii_digit() || "+-.eE".contains(c));
    let read = |part: &str| {
        let part = part.trim();
        let bare = part.parse::<f64>().is_ok();
        let whole = if bare { format!("{part} {}", unit.trim()) } else { part.to_owned() };
        parse(kind, whole.trim()).map_err(|e| format!("{e}"))
    };
    let (low, high) = (read(low)?, read(high)?);
    let inside = (low..=high).contains(&now);
    let start = match start {
        Some(text) => read(text)?,
        None if inside => now,
        None => 0.5 * (low + high),
    };
    Ok((start, low, high))
}

/// Half to double of the present value, as an example of bounds.
fn example(kind: Kind, now: f64) -> String {
    if kind == Kind::Temperature || now == 0.0 {
        return format!("{0}..{0}", kind.example());
    }
    format!("{}..{}", units::format(kind, 0.5 * now), units::format(kind, 2.0 * now))
}

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
