//! Weighings, meter readings and lid openings of the notes, and openings that logs show.

use crate::assess::energy::meter;
use crate::assess::evidence::{Evidence, LidOpening, Weighed};
use crate::measured::Moment;
use crate::measured::folder::{EventKind, RunSpec, Timeline};
use crate::measured::sensors::{FoundOpening, Verdict, compare, openings};
use crate::measured::weighings::{self, Weighings};
use crate::reader::Issue;
use crate::uncertainty::Estimate;

/// An opening for a weighing, where its length is not noted \[s\] (common practice).
const WEIGHING_S: f64 = 40.0;
/// Clocks are read to the minute: a weighing may seem to be so much before the start \[s\].
const EARLY_S: f64 = 90.0;
/// Openings that two sensors show within this time are one \[s\].
const SAME_OPENING_S: f64 = 240.0;

pub(super) fn weighed(
    spec: &RunSpec,
    notes: &Weighings,
    timeline: &Timeline,
    offset_s: f64,
    list: &mut Vec<String>,
) -> Weighed {
    let stated = spec.weighings.as_ref().and_then(|w| w.scale_kg).map(|sd| Estimate::new(0.0, sd));
    let scale = stated.or_else(|| notes.scale()).unwrap_or(Estimate::exact(0.0)).for_few();
    if stated.is_none() && notes.repeats.is_empty() {
        list.push("the scale's scatter is not known: only the rounding of its display counts (note five repeat weighings, or pin: scale_uncertainty in [weighings])".into());
    }
    let mass = |kg: f64| Estimate { value: kg, ..scale };
    let elapsed =
        |w: &weighings::Weighing| timeline.elapsed_s(w.at.moved(offset_s)).unwrap_or(w.time_s);
    Weighed {
        dry_kg: notes.dry.map(|m| mass(m.kg)),
        start_kg: notes.start.map(|m| mass(m.kg)),
        weighings: notes.weighings.iter().map(|w| (elapsed(w).max(0.0), mass(w.kg))).collect(),
        continuous: false,
    }
}

/// Weighings before the start of the run, each as a question.
pub(super) fn before_start(spec: &RunSpec, notes: &Weighings, timeline: &Timeline) -> Vec<Issue> {
    let Some(own) = &spec.weighings else { return Vec::new() };
    let at = |m: Moment| timeline.elapsed_s(m.moved(own.clock_offset_s));
    let by_clock = |m: &Moment| !matches!(m, Moment::Elapsed(_));
    let early = |m: Moment| Some(m).filter(by_clock).and_then(at).filter(|t| *t < -EARLY_S);
    let weighed = notes.weighings.iter().filter_map(|w| Some((early(w.at)?, w.line, "weighed")));
    let hint = "write start = \"10:00\" at the top of run.toml with the time when heat and load went in, or strike the line";
    let told = |(t, line, what): (f64, usize, &str)| {
        let what = format!("{what} {:.0} min before the start of the run", -t / 60.0);
        Issue { line, ..Issue::of_file("before-start", &own.file, what, hint) }
    };
    weighed.map(told).collect()
}

pub(super) fn energy_of_notes(
    notes: &Weighings,
    timeline: &Timeline,
    offset_s: f64,
) -> Vec<(f64, Estimate)> {
    let at =
        |m: Option<Moment>| m.and_then(|m| timeline.elapsed_s(m.moved(offset_s))).unwrap_or(0.0);
    notes.energy.iter().map(|e| (at(e.at), meter(e.joule))).collect()
}

pub(super) fn noted_lids(spec: &RunSpec, timeline: &Timeline) -> Vec<LidOpening> {
    let lids = spec.events.iter().filter(|e| e.kind == EventKind::LidOpen);
    lids.filter_map(|e| {
        let from_s = timeline.elapsed_s(e.at)?;
        let exchange = e.exchange.map(Estimate::from);
        Some(LidOpening::noted(from_s, from_s + e.duration_s, exchange))
    })
    .collect()
}

/// Every weighing takes the load out of the box, so the lid was open.
pub(super) fn lids_of_weighings(
    notes: &Weighings,
    weighed: &Weighed,
    list: &mut Vec<String>,
) -> Vec<LidOpening> {
    let usual = notes.lids.iter().find_map(|l| l.duration_s).unwrap_or(WEIGHING_S);
    if !weighed.weighings.is_empty() {
        list.push(format!("each weighing is taken as a lid opening of {usual:.0} s"));
    }
    weighed.weighings.iter().map(|(t, _)| LidOpening::noted(*t, t + usual, None)).collect()
}

/// Noted openings compared with those that the logs show.
pub(super) fn lids(run: &Evidence, mut noted: Vec<LidOpening>) -> Vec<LidOpening> {
    let mut found: Vec<FoundOpening> = Vec::new();
    let mut step = 0.0_f64;
    for probe in run.humid_probes() {
        for new in openings(&probe.readings()) {
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
            Verdict::NotNoted(f) => {
                let found = LidOpening::noted(f.from_s, f.to_s, None);
                noted.push(LidOpening { noted: false, seen: true, ..found });
            }
        }
    }
    noted.sort_by(|a, b| a.from_s.total_cmp(&b.from_s));
    noted
}
