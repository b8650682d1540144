//! A run folder as evidence: every text imported, all clocks on one.

use super::energy::meter;
use super::evidence::{Doubt, Evidence, LidOpening, Place, Probe, Room, Spot, Weighed};
use crate::measured::folder::{
    EventKind, LogSpec, Moment, RunSpec, SensorSpec, Timeline, WindowSpec,
};
use crate::measured::log::{self, Failure};
use crate::measured::sensors::{
    FlagKind, FoundOpening, Readings, Verdict, compare, flags, openings,
};
use crate::measured::weighings::{self, Weighings};
use crate::measured::{Quantity, Series};
use crate::reader::{Issue, Severity};
use crate::uncertainty::Estimate;

/// Limits of error of a sensor of which nothing is known: usual data sheets of cheap capacitive
/// sensors (common practice).
const USUAL_K: f64 = 0.5;
const USUAL_RH: f64 = 0.03;
/// An opening for a weighing, where its length is not noted \[s\] (common practice).
const WEIGHING_S: f64 = 40.0;
/// Last digit of a plug meter \[J\]: 1 Wh.
const METER_STEP_J: f64 = 3600.0;
/// Openings that two sensors show within this time are one \[s\].
const SAME_OPENING_S: f64 = 240.0;

/// One logger text, imported and placed.
#[derive(Clone, Debug)]
pub struct LogText {
    /// Name in the description.
    pub name: String,
    /// What was found, in one line.
    pub detected: String,
    /// The count of its lines.
    pub ledger: String,
    /// The series, its times counted from the start of the run.
    pub series: Series,
}

/// Everything gathered from a run folder.
#[derive(Clone, Debug, Default)]
pub struct Gathered {
    /// The run.
    pub evidence: Evidence,
    /// Its logs.
    pub logs: Vec<LogText>,
    /// Its weighings.
    pub weighings: Option<Weighings>,
    /// Guesses and assumptions, each with how to replace it.
    pub told: Vec<String>,
}

/// Imports all texts of a run. `text` opens a file of the folder.
///
/// # Errors
/// Everything that is wrong with the texts and how they fit together.
pub fn gather(
    spec: &RunSpec,
    text: impl Fn(&str) -> Result<Vec<u8>, Issue>,
) -> Result<Gathered, Vec<Issue>> {
    let mut issues = Vec::new();
    let mut out = Gathered::default();
    for log in &spec.logs {
        match import(log, &text) {
            Ok((read, told)) => {
                out.logs.push(read);
                out.told.extend(told);
            }
            Err(more) => issues.extend(more),
        }
    }
    if let Some(notes) = &spec.weighings {
        let read = text(&notes.file).map_err(|i| vec![i]);
        match read.and_then(|bytes| weighings::read(&notes.file, &bytes, &notes.options)) {
            Ok(found) => {
                out.told.extend(found.told.iter().map(|t| format!("{}: {t}", notes.file)));
                out.weighings = Some(found);
            }
            Err(more) => issues.extend(more),
        }
    }
    if !issues.is_empty() {
        return Err(issues);
    }
    let timeline = timeline(spec, &out);
    place(spec, &timeline, &mut out, &mut issues);
    common_time(spec, &out, &mut issues);
    if !issues.is_empty() {
        return Err(issues);
    }
    out.evidence = evidence(spec, &timeline, &mut out);
    Ok(out)
}

type Imported = (LogText, Vec<String>);

fn import(
    spec: &LogSpec,
    text: &impl Fn(&str) -> Result<Vec<u8>, Issue>,
) -> Result<Imported, Vec<Issue>> {
    let bytes = text(&spec.file).map_err(|i| vec![i])?;
    let (summary, series) =
        log::import(&spec.file, &bytes, spec.options.clone()).map_err(|f| match f {
            Failure::Input(issues) => issues.into_iter().map(|i| in_folder(i, spec)).collect(),
            Failure::Output(_) => Vec::new(),
        })?;
    let guess = |g: &log::Guess| {
        format!("{}: {} (pin: {} in [log.{}])", spec.file, g.what, key_of(&g.pin), spec.name)
    };
    let mut told: Vec<String> = summary.guesses.iter().map(guess).collect();
    told.extend(summary.warnings.iter().map(|w| {
        let place = if w.line > 0 { format!("{}:{}", w.file, w.line) } else { w.file.clone() };
        format!("{place}: {}", w.what)
    }));
    let read = LogText {
        name: spec.name.clone(),
        detected: summary.detected.clone(),
        ledger: summary.ledger.to_string(),
        series,
    };
    Ok((read, told))
}

/// `--date-order dmy` on the command line is `date_order = "dmy"` in a run's description.
fn key_of(pin: &str) -> String {
    match pin.trim().strip_prefix("--").map(|p| p.split_once(' ').unwrap_or((p, "true"))) {
        Some((key, value)) => {
            let value = value.trim_matches('"');
            format!("{} = \"{value}\"", key.replace('-', "_"))
        }
        None => pin.to_owned(),
    }
}

/// The same message with what to type in a folder.
fn in_folder(issue: Issue, spec: &LogSpec) -> Issue {
    let typed =
        issue.hint.as_ref().and_then(|h| h.split_once("--").map(|(_, rest)| rest.to_owned()));
    let hint = typed.map(|rest| {
        format!("write in [log.{}] of run.toml:  {}", spec.name, key_of(&format!("--{rest}")))
    });
    Issue { hint: hint.or(issue.hint), ..issue }
}

/// The clock of the run: stated, else that of the notes, else that of the first log with one.
fn timeline(spec: &RunSpec, found: &Gathered) -> Timeline {
    if let Some(start) = spec.start {
        return Timeline::at(start);
    }
    let notes = found.weighings.as_ref().and_then(|w| w.into_box);
    let dated = found.logs.iter().zip(&spec.logs).find_map(|(l, s)| {
        l.series.start.map(|mut start| {
            start.clock_s += s.clock_offset_s;
            start
        })
    });
    match (notes, dated) {
        (Some(moment @ (Moment::Clock(_) | Moment::Dated(_))), log) => {
            let offset = spec.weighings.as_ref().map_or(0.0, |w| w.clock_offset_s);
            let moment = moved(moment, offset);
            // The log's date makes the notes' clock one, when it has one.
            match (log, moment) {
                (Some(start), Moment::Clock(_)) if start.dated => {
                    let into = Timeline::of(start).elapsed_s(moment).unwrap_or(0.0);
                    Timeline::at(Moment::Dated(start.clock_s + into))
                }
                _ => Timeline::at(moment),
            }
        }
        (_, Some(start)) => Timeline::of(start),
        _ => Timeline::default(),
    }
}

fn moved(moment: Moment, by_s: f64) -> Moment {
    match moment {
        Moment::Clock(s) => Moment::Clock(s + by_s),
        Moment::Dated(s) => Moment::Dated(s + by_s),
        Moment::Elapsed(s) => Moment::Elapsed(s + by_s),
    }
}

/// Shifts every log to the clock of the run.
fn place(spec: &RunSpec, timeline: &Timeline, out: &mut Gathered, issues: &mut Vec<Issue>) {
    for (log, s) in out.logs.iter_mut().zip(&spec.logs) {
        let by_clock = log.series.start.and_then(|mut start| {
            start.clock_s += s.clock_offset_s;
            timeline.start_s(start)
        });
        let stated = s.first_row.and_then(|m| timeline.elapsed_s(moved(m, s.clock_offset_s)));
        let shift = match (stated, by_clock) {
            (Some(t), _) | (None, Some(t)) => t,
            (None, None) if s.first_row.is_some() => {
                let what = format!(
                    "log.{}.first_row_at is a clock time, but the run has no clock",
                    s.name
                );
                issues.push(problem(
                    "run.toml",
                    "no-clock",
                    what,
                    "write start = \"10:00\" at the top of run.toml",
                ));
                0.0
            }
            (None, None) => {
                out.told.push(format!("{}: no clock; its first row is taken as the start of the run (pin: first_row_at in [log.{}])", s.file, s.name));
                0.0
            }
        };
        for t in &mut log.series.time_s {
            *t += shift;
        }
        for (t, _) in &mut log.series.notes {
            *t += shift;
        }
    }
}

/// Logs and weighings that do not overlap cannot be one run.
fn common_time(spec: &RunSpec, out: &Gathered, issues: &mut Vec<Issue>) {
    let span = |s: &Series| Some((*s.time_s.first()?, *s.time_s.last()?));
    let spans: Vec<(&str, (f64, f64))> = out
        .logs
        .iter()
        .zip(&spec.logs)
        .filter_map(|(l, s)| Some((s.file.as_str(), span(&l.series)?)))
        .collect();
    for pair in spans.windows(2) {
        let ((a, (from, to)), (b, (start, end))) = (pair[0], pair[1]);
        if end < from || start > to {
            let what = format!(
                "{b} has no time in common with {a}: {:.1} to {:.1} h against {:.1} to {:.1} h of the run",
                start / 3600.0,
                end / 3600.0,
                from / 3600.0,
                to / 3600.0
            );
            issues.push(problem(
                "run.toml",
                "no-common-time",
                what,
                "state clock_offset or first_row_at of one of them",
            ));
        }
    }
}

fn problem(file: &str, code: &'static str, what: String, hint: &str) -> Issue {
    Issue {
        severity: Severity::Error,
        code,
        file: file.to_owned(),
        line: 0,
        column: 0,
        path: String::new(),
        what,
        why: None,
        hint: Some(hint.to_owned()),
    }
}

fn evidence(spec: &RunSpec, timeline: &Timeline, found: &mut Gathered) -> Evidence {
    let mut told = Vec::new();
    let mut run = Evidence {
        title: spec.title.clone(),
        clock_s: timeline.clock_s(),
        set_point_k: spec.set_point_k.or_else(|| logged_set_point(&found.logs)),
        pressure_pa: spec
            .room
            .pressure_pa
            .map(Estimate::from)
            .or_else(|| logged_pressure(&found.logs)),
        volume_m3: spec.free_volume_m3.map(Estimate::from),
        vent_flow_m3_s: spec.vent_flow_m3_s.map(Estimate::from),
        heater_w: spec.heater_w.map(Estimate::from),
        ..Evidence::default()
    };
    for log in &found.logs {
        for probe in probes(spec, log, &mut told) {
            let readings = Readings {
                time_s: &probe.0.time_s,
                temp_k: &probe.0.temp_k,
                relative_humidity: &probe.0.relative_humidity,
            };
            run.flags.extend(flags(&readings).into_iter().map(|f| doubt(&f, &probe)));
            run.probes.push(probe.0);
        }
        run.heater.extend(switchings(&log.series));
        run.marks.extend(log.series.notes.iter().cloned());
    }
    run.room = room(spec, &run);
    let window = |w: &WindowSpec| Some((timeline.elapsed_s(w.from)?, timeline.elapsed_s(w.to)?));
    run.side_by_side =
        spec.side_by_side.as_ref().and_then(|w| window(w).map(|(a, b)| (a, b, w.sensor.clone())));
    run.steps = spec
        .steps
        .iter()
        .filter_map(|w| window(w).map(|(a, b)| (w.sensor.clone(), a, b)))
        .collect();
    run.spots = spec.spots.iter().map(spot).collect();
    let mut noted = noted_lids(spec, timeline);
    if let Some(notes) = &found.weighings {
        let offset = spec.weighings.as_ref().map_or(0.0, |w| w.clock_offset_s);
        run.weighed = weighed(spec, notes, timeline, offset, &mut told);
        noted.extend(lids_of_weighings(notes, &run.weighed, &mut told));
        run.energy = energy_of_notes(notes, timeline, offset);
    }
    let meters = spec.meter.iter().filter_map(|m| {
        Some((
            timeline.elapsed_s(m.at)?,
            meter(m.energy_j.value, METER_STEP_J).widened(m.energy_j.sd.unwrap_or(0.0)),
        ))
    });
    run.energy.extend(meters);
    if run.energy.is_empty() {
        run.energy = logged_energy(&found.logs);
    }
    run.energy.sort_by(|a, b| a.0.total_cmp(&b.0));
    run.lids = lids(&run, noted);
    let marks = spec.events.iter().filter(|e| e.kind != EventKind::LidOpen);
    run.marks
        .extend(marks.filter_map(|e| Some((timeline.elapsed_s(e.at)?, e.name.replace('_', " ")))));
    run.marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    found.told.extend(told);
    run
}

/// All sensors of a log, failed readings left out; with the raw line of each reading.
fn probes(spec: &RunSpec, log: &LogText, told: &mut Vec<String>) -> Vec<(Probe, Vec<u64>)> {
    let series = &log.series;
    let temperatures = series.channels.iter().filter(|c| c.quantity == Quantity::Temperature);
    temperatures
        .map(|channel| {
            let known = spec.sensor(&log.name, &channel.sensor);
            let humid = series.channel(&channel.sensor, Quantity::RelativeHumidity);
            let name = known.map_or_else(|| named(&log.name, &channel.sensor), |k| k.name.clone());
            let good: Vec<usize> =
                (0..series.time_s.len()).filter(|i| channel.values[*i].is_finite()).collect();
            let (off_k, off_rh) =
                known.map_or((0.0, 0.0), |k| (k.offset_k.value, k.offset_rh.value));
            let probe = Probe {
                place: known.map_or(Place::Box, |k| k.place),
                controls: known.is_some_and(|k| k.controls),
                exact: false,
                time_s: good.iter().map(|i| series.time_s[*i]).collect(),
                temp_k: good.iter().map(|i| channel.values[*i] - off_k).collect(),
                relative_humidity: humid.map_or_else(Vec::new, |h| {
                    good.iter().map(|i| h.values[*i] - off_rh).collect()
                }),
                temp_sd_k: sd(
                    &name,
                    "accuracy_temperature",
                    known.and_then(|k| k.accuracy_k),
                    known.and_then(|k| k.offset_k.sd),
                    USUAL_K,
                    "0.5 K",
                    told,
                ),
                rh_sd: match humid {
                    Some(_) => sd(
                        &name,
                        "accuracy_humidity",
                        known.and_then(|k| k.accuracy_rh),
                        known.and_then(|k| k.offset_rh.sd),
                        USUAL_RH,
                        "3 %RH",
                        told,
                    ),
                    None => 0.0,
                },
                time_constant_s: known
                    .and_then(|k: &SensorSpec| k.time_constant_s)
                    .map(Estimate::from),
                name,
            };
            let lines = good.iter().map(|i| series.line.get(*i).copied().unwrap_or(0)).collect();
            (probe, lines)
        })
        .collect()
}

fn named(log: &str, sensor: &str) -> String {
    if sensor.is_empty() { log.to_owned() } else { sensor.to_owned() }
}

/// Standard uncertainty of a sensor: that of its known offset, else its stated limits, else usual
/// ones, which is told.
fn sd(
    name: &str,
    key: &str,
    limits: Option<f64>,
    offset: Option<f64>,
    usual: f64,
    shown: &str,
    told: &mut Vec<String>,
) -> f64 {
    if let Some(offset) = offset {
        return offset;
    }
    let half = limits.unwrap_or_else(|| {
        told.push(format!("{name}: limits of error ± {shown} are taken, those of usual sensors (pin: {key} in [sensor.{name}])"));
        usual
    });
    Estimate::within(0.0, half).standard
}

fn doubt(flag: &crate::measured::sensors::Flag, (probe, lines): &(Probe, Vec<u64>)) -> Doubt {
    let (from, to) = flag.rows;
    let line = lines.get(from).copied().unwrap_or(0);
    Doubt {
        probe: probe.name.clone(),
        from_s: probe.time_s[from],
        to_s: probe.time_s[to],
        what: format!("{} (line {line})", flag.what),
        spoils: matches!(
            flag.kind,
            FlagKind::Spike | FlagKind::Impossible | FlagKind::PowerOn | FlagKind::Stuck
        ),
    }
}

/// The last set point that a log has.
fn logged_set_point(logs: &[LogText]) -> Option<f64> {
    let channels = logs.iter().flat_map(|l| &l.series.channels);
    let mut set = channels.filter(|c| c.quantity == Quantity::SetPoint);
    set.find_map(|c| c.values.iter().rev().copied().find(|v| v.is_finite()))
}

fn logged_pressure(logs: &[LogText]) -> Option<Estimate> {
    let channels = logs.iter().flat_map(|l| &l.series.channels);
    let pressure = channels.into_iter().find(|c| c.quantity == Quantity::Pressure)?;
    let good: Vec<f64> = pressure.values.iter().copied().filter(|v| v.is_finite()).collect();
    crate::uncertainty::mean_of_series(&good)
}

/// Changes of the heater command.
fn switchings(series: &Series) -> Vec<(f64, f64)> {
    let Some(heater) = series.channels.iter().find(|c| c.quantity == Quantity::Heater) else {
        return Vec::new();
    };
    let mut out: Vec<(f64, f64)> = Vec::new();
    for (t, v) in series.time_s.iter().zip(&heater.values).filter(|(_, v)| v.is_finite()) {
        if out.last().is_none_or(|last| last.1 != *v) {
            out.push((*t, *v));
        }
    }
    out
}

/// First and last reading of an energy counter; else power added up.
fn logged_energy(logs: &[LogText]) -> Vec<(f64, Estimate)> {
    for log in logs {
        let series = &log.series;
        let of = |q| series.channels.iter().find(move |c| c.quantity == q);
        if let Some(counter) = of(Quantity::Energy) {
            let good: Vec<usize> =
                (0..series.time_s.len()).filter(|i| counter.values[*i].is_finite()).collect();
            if let (Some(&a), Some(&b)) = (good.first(), good.last()) {
                return [a, b]
                    .map(|i| (series.time_s[i], meter(counter.values[i], METER_STEP_J)))
                    .to_vec();
            }
        }
        if let Some(power) = of(Quantity::Power) {
            let rows: Vec<(f64, f64)> = series
                .time_s
                .iter()
                .copied()
                .zip(power.values.iter().copied())
                .filter(|r| r.1.is_finite())
                .collect();
            let sum: f64 =
                rows.windows(2).map(|w| 0.5 * (w[0].1 + w[1].1) * (w[1].0 - w[0].0)).sum();
            if let (Some(a), Some(b)) = (rows.first(), rows.last()) {
                // Plug meters: class 2, limits of 2 % (common practice).
                return vec![(a.0, Estimate::exact(0.0)), (b.0, Estimate::within(sum, 0.02 * sum))];
            }
        }
    }
    Vec::new()
}

/// A room sensor goes before what was noted by hand.
fn room(spec: &RunSpec, run: &Evidence) -> Room {
    let logged =
        run.probes.iter().find(|p| p.place == Place::Room && !p.relative_humidity.is_empty());
    if let Some(probe) = logged {
        let end = probe.time_s.last().copied().unwrap_or(0.0);
        if let Some((temp, rh)) = super::air::mean_state(probe, 0.0, end) {
            let source = format!("the log, mean of {}", probe.name);
            return Room { temp_k: Some(temp), relative_humidity: Some(rh), source };
        }
    }
    Room {
        temp_k: spec.room.temp_k.map(Estimate::from),
        relative_humidity: spec.room.relative_humidity.map(Estimate::from),
        source: "the run's description".into(),
    }
}

fn spot(s: &crate::measured::folder::SpotSpec) -> Spot {
    Spot {
        name: s.name.clone(),
        reading_k: s.reading_k.into(),
        set_emissivity: s.set_emissivity,
        emissivity: s.emissivity.into(),
        reflected_k: s.reflected_k.map(Estimate::from),
        limit: s.limit.as_ref().map(|l| (l.limit_k, l.source.clone())),
    }
}

fn weighed(
    spec: &RunSpec,
    notes: &Weighings,
    timeline: &Timeline,
    offset_s: f64,
    told: &mut Vec<String>,
) -> Weighed {
    let stated = spec.weighings.as_ref().and_then(|w| w.scale_kg).map(|sd| Estimate::new(0.0, sd));
    let scale = stated.or_else(|| notes.scale()).unwrap_or(Estimate::exact(0.0));
    if stated.is_none() && notes.repeats.is_empty() {
        told.push("the scale's scatter is not known: only the rounding of its display counts (note five repeat weighings, or pin: scale_uncertainty in [weighings])".into());
    }
    let mass = |kg: f64| Estimate { value: kg, ..scale };
    let elapsed =
        |w: &weighings::Weighing| timeline.elapsed_s(moved(w.at, offset_s)).unwrap_or(w.time_s);
    Weighed {
        dry_kg: notes.dry.map(|m| mass(m.kg)),
        start_kg: notes.start.map(|m| mass(m.kg)),
        weighings: notes.weighings.iter().map(|w| (elapsed(w), mass(w.kg))).collect(),
        continuous: false,
    }
}

fn energy_of_notes(notes: &Weighings, timeline: &Timeline, offset_s: f64) -> Vec<(f64, Estimate)> {
    let at =
        |m: Option<Moment>| m.and_then(|m| timeline.elapsed_s(moved(m, offset_s))).unwrap_or(0.0);
    notes.energy.iter().map(|e| (at(e.at), meter(e.joule, METER_STEP_J))).collect()
}

fn noted_lids(spec: &RunSpec, timeline: &Timeline) -> Vec<LidOpening> {
    let lids = spec.events.iter().filter(|e| e.kind == EventKind::LidOpen);
    lids.filter_map(|e| {
        let from_s = timeline.elapsed_s(e.at)?;
        let exchange = e.exchange.map(Estimate::from);
        Some(LidOpening { from_s, to_s: from_s + e.duration_s, exchange, noted: true, seen: false })
    })
    .collect()
}

/// Every weighing takes the load out of the box, so the lid was open.
fn lids_of_weighings(
    notes: &Weighings,
    weighed: &Weighed,
    told: &mut Vec<String>,
) -> Vec<LidOpening> {
    let usual = notes.lids.iter().find_map(|l| l.duration_s).unwrap_or(WEIGHING_S);
    if !weighed.weighings.is_empty() {
        told.push(format!("each weighing is taken as a lid opening of {usual:.0} s"));
    }
    let opening = |t: f64| LidOpening {
        from_s: t,
        to_s: t + usual,
        exchange: None,
        noted: true,
        seen: false,
    };
    weighed.weighings.iter().map(|(t, _)| opening(*t)).collect()
}

/// Noted openings compared with those that the logs show.
fn lids(run: &Evidence, mut noted: Vec<LidOpening>) -> Vec<LidOpening> {
    let mut found: Vec<FoundOpening> = Vec::new();
    let mut step = 0.0_f64;
    for probe in run.probes.iter().filter(|p| p.in_box() && !p.relative_humidity.is_empty()) {
        let readings = Readings {
            time_s: &probe.time_s,
            temp_k: &probe.temp_k,
            relative_humidity: &probe.relative_humidity,
        };
        for new in openings(&readings) {
            if !found.iter().any(|f| (f.from_s - new.from_s).abs() < SAME_OPENING_S) {
                found.push(new);
            }
        }
        let n = probe.time_s.len();
        if n > 1 {
            step = step.max((probe.time_s[n - 1] - probe.time_s[0]) / (n - 1) as f64);
        }
    }
    noted.sort_by(|a, b| a.from_s.total_cmp(&b.from_s));
    noted.dedup_by(|b, a| (b.from_s - a.from_s).abs() < 60.0);
    let times: Vec<f64> = noted.iter().map(|l| l.from_s).collect();
    for verdict in compare(&times, &found, step) {
        match verdict {
            Verdict::Confirmed(t, _) => {
                noted.iter_mut().filter(|l| l.from_s == t).for_each(|l| l.seen = true);
            }
            Verdict::NotSeen(_) => {}
            Verdict::NotNoted(f) => noted.push(LidOpening {
                from_s: f.from_s,
                to_s: f.to_s,
                exchange: None,
                noted: false,
                seen: true,
            }),
        }
    }
    noted.sort_by(|a, b| a.from_s.total_cmp(&b.from_s));
    noted
}
