//! A run as courses over time: its unit of time, its columns by what they are, its event marks.

use crate::address::{Change, Event, Place, Quantity, Side};
use crate::report::figure::{Band, Dash, Figure, Mark, Panel, Series};
use crate::report::text::duration;
use crate::run::{Column, Run};

/// Palette places, so that a thing has the same colour in every figure.
pub(super) mod colour {
    pub const BLUE: usize = 0;
    pub const VERMILLION: usize = 1;
    pub const GREEN: usize = 2;
    pub const ORANGE: usize = 3;
    pub const SKY: usize = 4;
    pub const PURPLE: usize = 5;
    pub const YELLOW: usize = 6;
    pub const INK: usize = 7;
}

/// Colours of the zones' air, in airflow order.
pub(super) const ZONES: [usize; 3] = [colour::VERMILLION, colour::ORANGE, colour::YELLOW];
/// Colours of the loads.
pub(super) const LOADS: [usize; 3] = [colour::SKY, colour::GREEN, colour::BLUE];

/// Longest run shown in minutes \[s\]; a longer one is shown in hours.
const MINUTES_UP_TO_S: f64 = 3.0 * 3600.0;
/// With more heater switchings than this, marks for them would only be clutter.
const MOST_SWITCHINGS: usize = 12;
/// With more switching cycles than this, a curve that follows them is drawn as a band.
const MOST_CYCLES: usize = 40;
/// Cycles that the stretch of a band holds: two, so that its edges do not follow the phase.
const CYCLES_IN_BAND: f64 = 2.0;

/// A unit of time that suits a run that ends then, and how many of it a second is.
pub(super) fn time_unit(end_s: f64) -> (&'static str, f64) {
    if end_s <= MINUTES_UP_TO_S { ("min", 1.0 / 60.0) } else { ("h", 1.0 / 3600.0) }
}

/// A run with the unit of time that fits it.
pub(super) struct Course<'a> {
    pub(super) run: &'a Run,
    /// Unit of the time axis.
    pub(super) unit: &'static str,
    /// Units per second.
    pub(super) per_s: f64,
}

impl<'a> Course<'a> {
    /// `None` for a run without samples.
    pub(super) fn new(run: &'a Run) -> Option<Self> {
        let (unit, per_s) = time_unit(*run.time_s.last()?);
        Some(Course { run, unit, per_s })
    }

    /// Length of the run \[s\].
    pub(super) fn end_s(&self) -> f64 {
        self.run.time_s.last().copied().unwrap_or(0.0)
    }

    /// A quantity of each zone's air, in airflow order.
    pub(super) fn zone_air(&self, quantity: Quantity) -> Vec<&'a Column> {
        self.run.in_zones(quantity).collect()
    }

    /// The inner (or outer) faces of the walls, in the order of the zones.
    pub(super) fn walls(&self, side: Side) -> Vec<&'a Column> {
        let temperatures = self.run.of(Quantity::Temperature);
        let is = |c: &&Column| matches!(c.address.place, Place::Face(_, s) if s == side);
        temperatures.filter(is).collect()
    }

    /// The inner face that is coldest at the end.
    pub(super) fn coldest_wall(&self) -> Option<&'a Column> {
        self.walls(Side::Inside).into_iter().min_by(|a, b| last(a).total_cmp(&last(b)))
    }

    pub(super) fn element(&self) -> Option<&'a Column> {
        self.run.at(Place::Element, Quantity::Temperature)
    }

    /// Temperatures of the loads and of their pieces.
    pub(super) fn loads(&self) -> Vec<&'a Column> {
        let temperatures = self.run.of(Quantity::Temperature);
        temperatures.filter(|c| c.address.place.load().is_some()).collect()
    }

    /// Values over time in the unit of the axis.
    pub(super) fn points(&self, values: impl Iterator<Item = f64>) -> Vec<(f64, f64)> {
        self.run.time_s.iter().map(|t| t * self.per_s).zip(values).collect()
    }

    pub(super) fn line(&self, column: &Column, colour: usize, dash: Dash) -> Series {
        Series {
            name: column.label.clone(),
            points: self.points(column.values.iter().copied()),
            colour,
            dash,
            ..Series::default()
        }
    }

    /// As [`Course::line`], for what follows every switching of the heater.
    pub(super) fn swinging(&self, column: &Column, colour: usize, dash: Dash) -> Series {
        Series { band: self.band(), ..self.line(column, colour, dash) }
    }

    /// How a fast on/off swing is shown. The heating up before the first cycle stays a line.
    fn band(&self) -> Option<Band> {
        let over = self.band_s()?;
        let from = self.run.events.iter().find(|h| h.change == Change::HeaterOff)?.time_s;
        Some(Band { over: over * self.per_s, from: from * self.per_s, mean: true })
    }

    fn times_on(&self) -> impl Iterator<Item = f64> {
        self.run.events.iter().filter(|h| h.change == Change::HeaterOn).map(|h| h.time_s)
    }

    /// Stretch of time \[s\] over which a fast on/off swing is shown as a band: whole cycles, so
    /// that its edges and its mean do not follow their phase.
    pub(super) fn band_s(&self) -> Option<f64> {
        let count = self.times_on().count();
        let span = self.times_on().last()? - self.times_on().next()?;
        (count > MOST_CYCLES).then(|| CYCLES_IN_BAND * span / (count - 1) as f64)
    }

    /// Whether the controller switches rather than modulates.
    pub(super) fn switches(&self) -> bool {
        self.run.events.iter().any(|h| h.change.is_switching())
    }

    /// The set point as a line.
    pub(super) fn set_point(&self) -> Option<Series> {
        let column = self.run.at(Place::Controller, Quantity::SetPoint)?;
        Some(self.line(column, colour::INK, Dash::DashDot))
    }

    /// Everything that happened, the heater's switchings only while they are few.
    fn marks(&self) -> Vec<Mark> {
        let events = &self.run.events;
        let switchings = events.iter().filter(|h| h.change.is_switching()).count();
        let shown = events.iter().filter(|h| {
            let hidden = h.change.is_switching() && switchings > MOST_SWITCHINGS;
            // The end of a lid opening follows so soon that two marks would look like one.
            !hidden && h.change != Change::LidClosed
        });
        let label = |event: &Event| match event.change {
            Change::LidOpened => event.change.to_string(),
            _ => event.to_string(),
        };
        shown.map(|h| Mark { x: h.time_s * self.per_s, label: label(h) }).collect()
    }

    /// Puts the words around panels. `what` heads the title; empty for the run's own title.
    pub(super) fn figure(
        &self,
        what: &str,
        subtitle: String,
        panels: Vec<Panel>,
    ) -> Option<Figure> {
        if panels.is_empty() {
            return None;
        }
        let run = self.run;
        let ended = run.ended.as_ref().map(|e| format!("the run ends here: {}", e.reason));
        let subtitle = capital(&joined(ended.into_iter().chain([subtitle]).collect()));
        let title =
            if what.is_empty() { run.title.clone() } else { format!("{what}: {}", run.title) };
        let mut source_line = format!("drybench {} · simulated", run.program_version);
        let banded = panels.iter().flat_map(|p| &p.series).any(|s| s.band.is_some());
        if let (Some(s), true) = (self.band_s(), banded) {
            let words = " · bands: lowest to highest within";
            let minutes = s / 60.0;
            source_line.push_str(&format!("{words} {minutes:.1} min, lines in them: mean"));
        }
        let alt_text = self.alt_text(&title, &subtitle, &panels);
        Some(Figure {
            title,
            subtitle,
            x_label: "Time".into(),
            x_unit: self.unit.into(),
            panels,
            marks: self.marks(),
            source_line,
            alt_text,
            ..Figure::default()
        })
    }

    fn alt_text(&self, title: &str, subtitle: &str, panels: &[Panel]) -> String {
        let mut text = format!("{title}. Simulated over {}.", duration(self.end_s()));
        if !subtitle.is_empty() {
            text.push_str(&format!(" {subtitle}."));
        }
        text.push_str(if panels.len() > 1 { " Panels from top to bottom: " } else { " Panel: " });
        let words = panels.iter().map(|p| {
            let right = p.right.iter().flat_map(|r| r.series.iter().map(|s| s.name.as_str()));
            let names: Vec<&str> = p.series.iter().map(|s| s.name.as_str()).chain(right).collect();
            format!("{} in {} ({})", p.label.to_lowercase(), p.unit, names.join(", "))
        });
        text.push_str(&words.collect::<Vec<_>>().join("; "));
        text.push('.');
        text
    }
}

/// A time of the run in words, in minutes as long as people do so.
pub(super) fn clock(seconds: f64) -> String {
    if seconds < MINUTES_UP_TO_S {
        format!("{:.0} min", seconds / 60.0)
    } else {
        format!("{:.1} h", seconds / 3600.0)
    }
}

/// The last value of a column.
pub(super) fn last(column: &Column) -> f64 {
    column.values.last().copied().unwrap_or(f64::NAN)
}

/// The largest value of a column: between the samples too, where that is known.
pub(super) fn highest(column: &Column) -> Option<f64> {
    let samples = column.values.iter().copied().filter(|v| v.is_finite());
    samples.chain(column.peak.map(|p| p.value)).reduce(f64::max)
}

/// The columns added up.
pub(super) fn sum(columns: &[&Column], rows: usize) -> Vec<f64> {
    (0..rows).map(|i| columns.iter().filter_map(|c| c.values.get(i)).sum()).collect()
}

/// Clauses joined to one line.
pub(super) fn joined(clauses: Vec<String>) -> String {
    let clauses: Vec<_> = clauses.into_iter().filter(|c| !c.is_empty()).collect();
    clauses.join("; ")
}

/// With a capital first letter.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}
