//! Figures of a measured run (or of a simulated one shown as if it had been measured).

mod humidity;
mod readings;
mod weighings;

use super::course::{colour, joined};
use crate::assess::{Evidence, Probe, SensorPlace};
use crate::report::figure::{Dash, Figure, Mark, Panel, Series};
use crate::units::c_from_k;

/// A figure of a measured run that can be asked for by name.
#[derive(Clone, Copy, Debug)]
pub struct EvidencePicture {
    /// Its name, also that of its files.
    pub name: &'static str,
    /// What it shows, in one line.
    pub purpose: &'static str,
    /// Makes it; `None` if the run has nothing to show in it.
    pub draw: fn(&Evidence) -> Option<Figure>,
}

/// All figures of a measured run.
pub const EVIDENCE_PICTURES: [EvidencePicture; 3] = [
    EvidencePicture {
        name: "readings",
        purpose: "temperatures and relative humidities as logged, doubtful readings crossed",
        draw: readings::figure,
    },
    EvidencePicture {
        name: "humidity",
        purpose: "relative humidity beside vapour density, box and room",
        draw: humidity::figure,
    },
    EvidencePicture {
        name: "weighings",
        purpose: "water remaining at each weighing with its uncertainty",
        draw: weighings::figure,
    },
];

/// A unit of time that suits the run, and how many of it a second is.
fn time_unit(run: &Evidence) -> (&'static str, f64) {
    super::course::time_unit(run.end_s())
}

/// Colours of probes: hot side, cold side, others in the box in turn.
fn colour_of(run: &Evidence, probe: &Probe) -> usize {
    let others = [colour::GREEN, colour::PURPLE, colour::YELLOW, colour::BLUE];
    match probe.place {
        SensorPlace::Supply => colour::VERMILLION,
        SensorPlace::Return => colour::SKY,
        SensorPlace::Room => colour::INK,
        SensorPlace::Box => {
            let boxed = run.probes.iter().filter(|p| p.place == SensorPlace::Box);
            let at = boxed.take_while(|p| p.name != probe.name).count();
            others[at % others.len()]
        }
    }
}

/// One line over time; a pause longer than `gap_s` leaves a gap.
fn line(run: &Evidence, probe: &Probe, per_s: f64, value: impl Fn(usize) -> f64) -> Series {
    let gap_s = 5.0 * usual_step_s(&probe.time_s);
    let mut points = Vec::with_capacity(probe.time_s.len());
    for (i, &t) in probe.time_s.iter().enumerate() {
        if i > 0 && t - probe.time_s[i - 1] > gap_s {
            points.push((0.5 * (t + probe.time_s[i - 1]) * per_s, f64::NAN));
        }
        points.push((t * per_s, value(i)));
    }
    let dash = if probe.place == SensorPlace::Room { Dash::Dot } else { Dash::Solid };
    Series {
        name: probe.name.clone(),
        points,
        colour: colour_of(run, probe),
        dash,
        ..Series::default()
    }
}

/// Median distance of readings.
fn usual_step_s(time_s: &[f64]) -> f64 {
    let mut steps: Vec<f64> = time_s.windows(2).map(|w| w[1] - w[0]).collect();
    steps.sort_by(f64::total_cmp);
    steps.get(steps.len() / 2).copied().unwrap_or(f64::INFINITY)
}

/// Lid openings and remarks.
fn marks(run: &Evidence, per_s: f64) -> Vec<Mark> {
    let lids = run.lids.iter().map(|l| {
        let words = match (l.noted, l.seen) {
            (false, _) => "lid opened (from the log)",
            (true, _) => "lid opened",
        };
        Mark { x: l.from_s * per_s, label: words.into() }
    });
    let notes = run.marks.iter().map(|(t, words)| Mark { x: t * per_s, label: words.clone() });
    let mut all: Vec<Mark> = lids.chain(notes).collect();
    all.sort_by(|a, b| a.x.total_cmp(&b.x));
    all
}

/// Puts the words around panels.
fn figure(run: &Evidence, what: &str, clauses: Vec<String>, panels: Vec<Panel>) -> Option<Figure> {
    if panels.iter().all(|p| p.series.is_empty()) {
        return None;
    }
    let (x_unit, per_s) = time_unit(run);
    let kind = if run.simulated { "simulated" } else { "measured" };
    let subtitle = super::course::capital(&joined(clauses));
    let title = format!("{what}: {}", run.title);
    let words = panels.iter().map(|p| {
        let names: Vec<&str> = p.series.iter().map(|s| s.name.as_str()).collect();
        format!("{} in {} ({})", p.label.to_lowercase(), p.unit, names.join(", "))
    });
    let alt_text =
        format!("{title}. {subtitle}. Panels: {}.", words.collect::<Vec<_>>().join("; "));
    Some(Figure {
        title,
        subtitle,
        x_label: "Time".into(),
        x_unit: x_unit.into(),
        panels,
        marks: marks(run, per_s),
        source_line: format!("drybench {} · {kind}", env!("CARGO_PKG_VERSION")),
        alt_text,
        ..Figure::default()
    })
}

/// The set point over the run.
fn set_point(run: &Evidence, per_s: f64) -> Option<Series> {
    let set_c = c_from_k(run.set_point_k?);
    Some(Series {
        name: "set point".into(),
        points: vec![(0.0, set_c), (run.end_s() * per_s, set_c)],
        colour: colour::INK,
        dash: Dash::DashDot,
        ..Series::default()
    })
}
