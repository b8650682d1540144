//! A run folder as evidence: every text imported, all clocks on one.

mod hints;
mod notes;
mod probes;

use self::hints::{in_folder, key_of};
use self::notes::{before_start, energy_of_notes, lids, lids_of_weighings, noted_lids, weighed};
use self::probes::{doubt, logged_energy, logged_pressure, logged_set_point, probes, switchings};
use super::energy::meter;
use super::evidence::{Evidence, Room, SensorPlace, Spot};
use super::{heater, heating};
use crate::measured::folder::{EventKind, FILE, LogSpec, RunSpec, Timeline, WindowSpec};
use crate::measured::log::{self, Failure};
use crate::measured::sensors::flags;
use crate::measured::weighings::{self, Weighings};
use crate::measured::{Moment, Series, Start};
use crate::reader::Issue;
use crate::uncertainty::Estimate;

/// Limits of error of plug meters: class 2 (common practice).
const USUAL_METER: f64 = 0.02;

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
    pub notes: Vec<String>,
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
                out.notes.extend(told);
            }
            Err(more) => issues.extend(more),
        }
    }
    if let Some(notes) = &spec.weighings {
        let read = text(&notes.file).map_err(|i| vec![i]);
        match read.and_then(|bytes| weighings::read(&notes.file, &bytes, &notes.options)) {
            Ok(found) => {
                out.notes.extend(found.notes.iter().map(|t| format!("{}: {t}", notes.file)));
                out.weighings = Some(found);
            }
            Err(more) => issues.extend(more.into_iter().map(|i| in_folder(i, "[weighings]"))),
        }
    }
    if !issues.is_empty() {
        return Err(issues);
    }
    let timeline = timeline(spec, &out);
    place(spec, &timeline, &mut out, &mut issues);
    common_time(spec, &out, &mut issues);
    issues.extend(out.weighings.iter().flat_map(|w| before_start(spec, w, &timeline)));
    issues.extend(steady_trouble(spec, &timeline, &out));
    if !issues.is_empty() {
        return Err(issues);
    }
    out.evidence = evidence(spec, &timeline, &mut out);
    out.notes.extend(heating::lag_taken(&out.evidence));
    Ok(out)
}

fn import(
    spec: &LogSpec,
    text: &impl Fn(&str) -> Result<Vec<u8>, Issue>,
) -> Result<(LogText, Vec<String>), Vec<Issue>> {
    let bytes = text(&spec.file).map_err(|i| vec![i])?;
    let (summary, series) =
        log::import(&spec.file, &bytes, spec.options.clone()).map_err(|f| match f {
            Failure::Input(issues) => {
                let table = format!("[log.{}]", spec.name);
                issues.into_iter().map(|i| in_folder(i, &table)).collect()
            }
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

/// The clock of the run: stated, else that of the notes, else that of the first log with one.
fn timeline(spec: &RunSpec, found: &Gathered) -> Timeline {
    if let Some(start) = spec.start {
        return Timeline::at(start);
    }
    let notes = found.weighings.as_ref().and_then(|w| w.into_box);
    let dated = found.logs.iter().zip(&spec.logs).find_map(|(l, s)| first_row(l, s));
    match (notes, dated) {
        (Some(moment @ (Moment::Clock(_) | Moment::Dated(_))), log) => {
            let offset = spec.weighings.as_ref().map_or(0.0, |w| w.clock_offset_s);
            let moment = moment.moved(offset);
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

/// Where a log starts by the clock of the run.
fn first_row(log: &LogText, spec: &LogSpec) -> Option<Start> {
    let start = log.series.start?;
    Some(Start { clock_s: start.clock_s + spec.clock_offset_s, ..start })
}

/// Shifts every log to the clock of the run.
fn place(spec: &RunSpec, timeline: &Timeline, out: &mut Gathered, issues: &mut Vec<Issue>) {
    for (log, s) in out.logs.iter_mut().zip(&spec.logs) {
        let by_clock = first_row(log, s).and_then(|start| timeline.start_s(start));
        let stated = s.first_row.and_then(|m| timeline.elapsed_s(m.moved(s.clock_offset_s)));
        if let Some(shift) = stated.or(by_clock) {
            let notes = log.series.notes.iter_mut().map(|(t, _)| t);
            log.series.time_s.iter_mut().chain(notes).for_each(|t| *t += shift);
        } else if s.first_row.is_some() {
            let what =
                format!("log.{}.first_row_at is a clock time, but the run has no clock", s.name);
            let hint = "write start = \"10:00\" at the top of run.toml";
            issues.push(Issue::of_file("no-clock", FILE, what, hint));
        } else {
            out.notes.push(format!("{}: no clock; its first row is taken as the start of the run (pin: first_row_at in [log.{}])", s.file, s.name));
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
            let hint = "state clock_offset or first_row_at of one of them";
            issues.push(Issue::of_file("no-common-time", FILE, what, hint));
        }
    }
}

/// What is wrong with the steady window that is stated.
fn steady_trouble(spec: &RunSpec, timeline: &Timeline, out: &Gathered) -> Option<Issue> {
    let stated = spec.steady.as_ref()?;
    let fail = |code, what: &str, hint: &str| Some(Issue::of_file(code, FILE, what.into(), hint));
    let (Some(from), Some(to)) = (timeline.elapsed_s(stated.from), timeline.elapsed_s(stated.to))
    else {
        let what = "steady.from or steady.to is a clock time, but the run has no clock";
        return fail("no-clock", what, "write start = \"10:00\" at the top of run.toml");
    };
    if from >= to {
        let what = "steady.from is not before steady.to";
        return fail(
            "bad-window",
            what,
            "write, for example, from = \"90 min\" and to = \"120 min\"",
        );
    }
    let inside = |t: &f64| (from..=to).contains(t);
    let seen = out.logs.iter().any(|l| l.series.time_s.iter().any(inside));
    if seen || out.logs.is_empty() {
        return None;
    }
    fail(
        "bad-window",
        "no log has a reading between steady.from and steady.to",
        "correct one of the two",
    )
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
            let found = flags(&probe.0.readings()).into_iter();
            run.flags.extend(found.map(|f| doubt(&f, &probe, run.set_point_k)));
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
    run.steady = spec.steady.as_ref().and_then(window);
    run.spots = spec.spots.iter().map(|s| spot(s, timeline)).collect();
    run.switched = spec
        .events
        .iter()
        .filter(|e| matches!(e.kind, EventKind::HeaterOn | EventKind::HeaterOff))
        .filter_map(|e| Some((timeline.elapsed_s(e.at)?, e.kind == EventKind::HeaterOn)))
        .collect();
    let mut noted = noted_lids(spec, timeline);
    if let Some(notes) = &found.weighings {
        let offset = spec.weighings.as_ref().map_or(0.0, |w| w.clock_offset_s);
        run.weighed = weighed(spec, notes, timeline, offset, &mut told);
        noted.extend(lids_of_weighings(notes, &run.weighed, &mut told));
        run.energy = energy_of_notes(notes, timeline, offset);
    }
    let meters = spec.meter.iter().filter_map(|m| {
        let reading = meter(m.energy_j.value).widened(m.energy_j.sd.unwrap_or(0.0));
        Some((timeline.elapsed_s(m.at)?, reading))
    });
    run.energy.extend(meters);
    let limit = spec.weighings.as_ref().and_then(|w| w.meter_accuracy);
    if run.energy.is_empty() {
        run.energy = logged_energy(&found.logs);
    }
    if run.energy.is_empty() {
        run.heater.sort_by(|a, b| a.0.total_cmp(&b.0));
        run.energy = heater::energy(&run);
        run.metered = heater::HEATER.into();
    } else {
        run.meter_limit = limit.unwrap_or(USUAL_METER);
        if limit.is_none() {
            told.push("limits of error of the energy meter ± 2 % are taken, those of class 2 (pin: meter_accuracy in [weighings])".into());
        }
    }
    run.energy.sort_by(|a, b| a.0.total_cmp(&b.0));
    run.lids = lids(&run, noted);
    let marks = spec.events.iter().filter(|e| e.kind != EventKind::LidOpen);
    run.marks
        .extend(marks.filter_map(|e| Some((timeline.elapsed_s(e.at)?, e.name.replace('_', " ")))));
    run.marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    found.notes.extend(told);
    run
}

/// A room sensor goes before what was noted by hand.
fn room(spec: &RunSpec, run: &Evidence) -> Room {
    let logged =
        run.probes.iter().find(|p| p.place == SensorPlace::Room && !p.relative_humidity.is_empty());
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

fn spot(s: &crate::measured::folder::SpotSpec, timeline: &Timeline) -> Spot {
    Spot {
        name: s.name.clone(),
        at_s: s.at.and_then(|at| timeline.elapsed_s(at)),
        place: s.place,
        reading_k: s.reading_k.into(),
        set_emissivity: s.set_emissivity,
        emissivity: s.emissivity.into(),
        reflected_k: s.reflected_k.map(Estimate::from),
        limit: s.limit.as_ref().map(|l| (l.limit_k, l.source.clone())),
    }
}
