//! One series of readings with its model as lines and symbols.

use super::super::course::colour;
use crate::report::figure::{Dash, Series, Symbol};
use crate::report::text::plain;
use crate::study::box_fit::{Course, Curve, HeldOut, Outcome};

/// Most readings of a series that are drawn: more would be a blot.
const MOST_DRAWN: usize = 50;

/// Readings of a series up to which their uncertainties are drawn.
const MOST_BARS: usize = 12;

/// Width of the model's line, so that its band shows beside it, and of symbols and bars.
const FINE: f64 = 0.7;
const SMALL: f64 = 0.8;

/// Colours of series in turn, and symbols: so many that no two series of a figure are alike.
const COLOURS: [usize; 7] = [
    colour::VERMILLION,
    colour::SKY,
    colour::GREEN,
    colour::PURPLE,
    colour::ORANGE,
    colour::BLUE,
    colour::YELLOW,
];
const SYMBOLS: [Symbol; 4] = [Symbol::Dot, Symbol::Square, Symbol::Diamond, Symbol::Triangle];

/// End of the name of a humidity that is compared as vapour pressure.
const AS_PRESSURE: &str = " as vapour pressure";

/// Ends of headers of a table that state a unit.
const UNITS: [&str; 9] = ["_C", "_F", "_K", "_pct", "_g", "_kg", "_W", "_Wh", "_J"];

/// The model along a run for one series, its readings that were fitted, and those that were not.
pub(super) struct Pair<'a> {
    pub(super) curve: &'a Curve,
    pub(super) fitted: Option<&'a Course>,
    pub(super) held: Option<&'a HeldOut>,
    /// Place among the series of the run, for colour and symbol.
    at: usize,
}

/// Readings with the model beside them.
struct Rows<'a> {
    time_s: &'a [f64],
    reading: &'a [f64],
    u: &'a [f64],
    model: &'a [f64],
    hollow: bool,
}

impl<'a> Pair<'a> {
    /// All series of a run.
    pub(super) fn all(
        run: &str,
        curves: &'a [Curve],
        outcome: &'a Outcome,
        held: &'a [HeldOut],
    ) -> Vec<Self> {
        let own = curves.iter().filter(|c| c.run == run).enumerate();
        let pair = |(at, curve): (usize, &'a Curve)| {
            let fits = |r: &str, name: &str| r == run && *name == curve.name;
            let fitted = outcome.courses.iter().find(|c| fits(&c.run, &c.name));
            let fitted = fitted.filter(|c| !c.time_s.is_empty());
            let held = held.iter().find(|h| fits(&h.run, &h.name));
            Pair { curve, fitted, held, at }
        };
        own.map(pair).collect()
    }

    /// What the picture calls it, in words: the panel says the unit, and that it is a vapour pressure.
    pub(super) fn name(&self) -> String {
        let name = self.curve.name.strip_suffix(AS_PRESSURE).unwrap_or(&self.curve.name);
        let bare = UNITS.iter().find_map(|end| name.strip_suffix(end)).unwrap_or(name);
        bare.replace('_', " ")
    }

    /// Greatest width of the band, in the unit of the readings.
    pub(super) fn band_width(&self) -> f64 {
        self.curve.band.iter().map(|(low, high)| high - low).fold(0.0, f64::max)
    }

    /// Its name with half the greatest width of its band.
    pub(super) fn width_words(&self) -> String {
        format!("{} (± {} {})", self.name(), plain(0.5 * self.band_width(), 1), self.curve.unit)
    }

    fn count(&self) -> usize {
        self.rows().map(|r| r.time_s.len()).sum()
    }

    /// One reading in so many is drawn.
    pub(super) fn step(&self) -> usize {
        self.count().div_ceil(MOST_DRAWN).max(1)
    }

    /// Whether its uncertainties are drawn.
    pub(super) fn has_bars(&self) -> bool {
        self.count() <= MOST_BARS
    }

    fn rows(&self) -> impl Iterator<Item = Rows<'a>> {
        let fitted = self.fitted.map(|c| Rows {
            time_s: &c.time_s,
            reading: &c.reading,
            u: &c.u,
            model: &c.model,
            hollow: false,
        });
        let held = self.held.map(|h| Rows {
            time_s: &h.time_s,
            reading: &h.reading,
            u: &h.u,
            model: &h.predicted,
            hollow: true,
        });
        fitted.into_iter().chain(held)
    }

    /// The model with its band, in two parts where the rest was held out, and the readings.
    pub(super) fn series(&self, per_s: f64, split_s: Option<f64>) -> Vec<Series> {
        let at = |t: f64| t * per_s;
        let split_s = split_s.unwrap_or(if self.fitted.is_some() { f64::INFINITY } else { -1.0 });
        let part = |later: bool| {
            let c = self.curve;
            let last = c.time_s.partition_point(|t| *t <= split_s);
            // Both parts share the place where they meet.
            let rows = if later { last.saturating_sub(1)..c.time_s.len() } else { 0..last };
            Series {
                name: self.name(),
                points: rows.clone().map(|i| (at(c.time_s[i]), c.model[i])).collect(),
                reach: c.band.get(rows).unwrap_or_default().to_vec(),
                shaded: true,
                dash: if later { Dash::Dash } else { Dash::Solid },
                width: FINE,
                ..self.styled()
            }
        };
        let parts = [part(false), part(true)].into_iter();
        let mut out: Vec<Series> = parts.filter(|s| s.points.len() > 1).collect();
        if let Some(last) = out.last_mut() {
            last.quiet = false;
        }
        let step = self.step();
        out.extend(self.rows().map(|r| {
            let some = (0..r.time_s.len()).step_by(step);
            let end = |i: usize, k: f64| r.reading[i] + k * 2.0 * r.u[i];
            let bars = some.clone().filter(|_| self.has_bars());
            Series {
                points: some.map(|i| (at(r.time_s[i]), r.reading[i])).collect(),
                reach: bars.map(|i| (end(i, -1.0), end(i, 1.0))).collect(),
                ..self.symbols(&r)
            }
        }));
        out
    }

    /// Model less reading over the uncertainty of the reading.
    pub(super) fn residuals(&self, per_s: f64) -> Vec<Series> {
        let step = self.step();
        let of = |r: Rows<'_>| {
            let over_u = |i: usize| (r.time_s[i] * per_s, (r.model[i] - r.reading[i]) / r.u[i]);
            let points = (0..r.time_s.len()).step_by(step).map(over_u).collect();
            Series { points, ..self.symbols(&r) }
        };
        self.rows().map(of).collect()
    }

    fn symbols(&self, rows: &Rows<'_>) -> Series {
        let what = if rows.hollow { "held out" } else { "fitted" };
        Series {
            name: format!("{}, {what} readings", self.name()),
            symbol: Some(SYMBOLS[self.at % SYMBOLS.len()]),
            hollow: rows.hollow,
            width: SMALL,
            ..self.styled()
        }
    }

    fn styled(&self) -> Series {
        Series { colour: COLOURS[self.at % COLOURS.len()], quiet: true, ..Series::default() }
    }
}
