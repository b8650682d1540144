//! Readings of one run beside the model with its band, and what is left between them.

use super::super::course::{colour, time_unit};
use super::series::Pair;
use super::spaced;
use crate::report::figure::{Figure, Mark, Panel, Series};
use crate::study::box_fit::{Curve, HeldOut, Outcome, ParameterRow};

/// Parameters named below the title.
const MOST_NAMED: usize = 6;

/// Standard uncertainties between which 95 of 100 good readings lie.
const NEARLY_ALL: f64 = 2.0;

/// Height of the panel of residuals, over that of a panel of readings.
const RESIDUALS: f64 = 0.8;

/// Part of the height of a panel below which a band hides behind its line.
const THIN: f64 = 0.01;

/// One run of a fit, or one that was predicted from it, as it is to be drawn.
#[derive(Clone, Copy, Debug)]
pub struct FitPicture<'a> {
    /// Title of the fit.
    pub title: &'a str,
    /// The run.
    pub run: &'a str,
    /// The fit.
    pub outcome: &'a Outcome,
    /// The model along this run, and maybe others.
    pub curves: &'a [Curve],
    /// Readings that were predicted, of this run and maybe others.
    pub held: &'a [HeldOut],
    /// Time after which the run was held out \[s\].
    pub split_s: Option<f64>,
    /// Parameter sets behind the bands.
    pub draws: usize,
}

impl FitPicture<'_> {
    /// The figures of the run, each with what to append to the name of its files: nothing for the
    /// first. They have a panel for each unit of the readings, at most `most` in one figure, and one of
    /// residuals. Where there is more, sensors and amounts (mass, power, energy) are apart.
    #[must_use]
    pub fn pages(&self, most: usize) -> Vec<(String, Figure)> {
        let pairs = Pair::all(self.run, self.curves, self.outcome, self.held);
        let mut units: Vec<&str> = Vec::new();
        for pair in &pairs {
            if !units.contains(&pair.curve.unit.as_str()) {
                units.push(&pair.curve.unit);
            }
        }
        let (sensors, amounts): (Vec<&str>, Vec<&str>) =
            units.iter().copied().partition(|u| ["°C", "Pa", "%RH"].contains(u));
        let parts = if units.len() <= most { vec![units] } else { vec![sensors, amounts] };
        let pages = parts.iter().flat_map(|part| part.chunks(most.max(1))).enumerate();
        pages.map(|(k, units)| (appendix(k, units[0]), self.page(&pairs, units))).collect()
    }

    fn page(&self, pairs: &[Pair<'_>], units: &[&str]) -> Figure {
        let own: Vec<&Pair> =
            pairs.iter().filter(|p| units.contains(&p.curve.unit.as_str())).collect();
        let end_s =
            own.iter().filter_map(|p| p.curve.time_s.last()).fold(0.0_f64, |a, b| a.max(*b));
        let (x_unit, per_s) = time_unit(end_s);
        let split_s = self.split_s.filter(|_| own.iter().any(|p| p.held.is_some()));
        let mut thin = Vec::new();
        let mut panels = Vec::new();
        for unit in units {
            let in_it: Vec<&&Pair> = own.iter().filter(|p| p.curve.unit == *unit).collect();
            let series: Vec<Series> = in_it.iter().flat_map(|p| p.series(per_s, split_s)).collect();
            let height = span(&series);
            let hidden = |p: &&&&Pair| p.band_width() < THIN * height;
            thin.extend(in_it.iter().filter(hidden).map(|p| p.width_words()));
            panels.push(Panel::new(label(unit), unit, series));
        }
        panels.push(residuals(&own, per_s, !self.outcome.errors.is_empty()));
        let title = self.headline();
        let subtitle = self.subtitle(&own);
        let legend = self.legend(&own, &thin);
        let names: Vec<String> = own.iter().map(|p| p.name()).collect();
        Figure {
            alt_text: format!("{title}. {subtitle}. Shown: {}. {legend}.", names.join(", ")),
            title,
            subtitle,
            x_label: "Time".into(),
            x_unit: x_unit.into(),
            panels,
            marks: split_s
                .map(|t| Mark { x: t * per_s, label: "from here on held out and predicted".into() })
                .into_iter()
                .collect(),
            source_line: format!("drybench {} · {legend}", env!("CARGO_PKG_VERSION")),
            ..Figure::default()
        }
    }

    /// Whether no reading of this run was fitted.
    fn is_other(&self) -> bool {
        self.outcome.courses.iter().all(|c| c.run != self.run)
    }

    fn headline(&self) -> String {
        let first = self.outcome.courses.first().map_or("", |c| c.run.as_str());
        let several = self.outcome.courses.iter().any(|c| c.run != first);
        match (self.is_other(), several) {
            (true, _) => format!("Predicted, not fitted: {}", self.run),
            (false, true) => format!("Fit of several runs: {}", self.run),
            (false, false) => format!("Fit: {}", self.title),
        }
    }

    /// The fitted values, and how held-out readings were met.
    fn subtitle(&self, own: &[&Pair<'_>]) -> String {
        let mine =
            |p: &&ParameterRow| p.name == p.path || p.name == format!("{} in {}", p.path, self.run);
        let all: Vec<&ParameterRow> = self.outcome.parameters.iter().filter(mine).collect();
        let named = all.iter().take(MOST_NAMED);
        let mut words: Vec<String> =
            named.map(|p| format!("{} {}", spaced(&p.path), p.text)).collect();
        if let Some(more) = all.len().checked_sub(MOST_NAMED + 1) {
            words.push(format!("and {} more", more + 1));
        }
        let mut out = format!("Fitted (± standard error): {}", words.join("; "));
        let held = || own.iter().filter_map(|p| p.held);
        let count: usize = held().map(|h| h.count).sum();
        if count > 0 {
            let inside: f64 = held().map(|h| h.coverage * h.count as f64).sum();
            out += &format!(
                ". Of {count} held-out readings {:.0} % lie in the 95 % band of prediction and reading",
                100.0 * inside / count as f64
            );
        }
        out
    }

    /// What the signs mean.
    fn legend(&self, own: &[&Pair<'_>], thin: &[String]) -> String {
        let held = own.iter().any(|p| p.held.is_some());
        let mut words = vec![match (self.is_other(), held) {
            (true, _) => "open symbols: readings, none of them fitted".to_owned(),
            (false, true) => "filled symbols: fitted readings; open: held-out ones".to_owned(),
            (false, false) => "symbols: readings".to_owned(),
        }];
        if let Some(step) = own.iter().map(|p| p.step()).max().filter(|s| *s > 1) {
            words.push(format!("of many readings one in {step} is drawn"));
        }
        if own.iter().any(|p| p.has_bars()) {
            words.push("bars, where longer than the symbol: ± 2 standard uncertainties".to_owned());
        }
        words.push(match (self.is_other(), held) {
            (true, _) => "dashed: what the fitted model predicts".to_owned(),
            (false, true) => "lines: the fitted model, dashed where it predicts".to_owned(),
            (false, false) => "lines: the fitted model".to_owned(),
        });
        words.push(self.band_words(own, thin));
        words.join("; ")
    }

    fn band_words(&self, own: &[&Pair<'_>], thin: &[String]) -> String {
        if own.iter().all(|p| p.curve.band.is_empty()) {
            return "no band of the model: no parameter has a standard error".to_owned();
        }
        let mut out = format!(
            "shaded: 95 % band of the model by what the fit leaves open in its parameters ({} draws)",
            self.draws
        );
        let rows = &self.outcome.parameters;
        let without: Vec<String> =
            rows.iter().filter(|p| p.standard_error.is_none()).map(|p| spaced(&p.name)).collect();
        if !without.is_empty() {
            out += &format!(", without {}, which has no standard error", without.join(", "));
        }
        if !thin.is_empty() {
            out += &format!(", thinner than the line of {}", thin.join(", "));
        }
        out
    }
}

/// What is appended to the name of the files of page `k`.
fn appendix(k: usize, first_unit: &str) -> String {
    match k {
        0 => String::new(),
        _ => format!("_{}", label(first_unit).to_lowercase().replace(' ', "_")),
    }
}

/// What may be appended to the names of the files of a run's figures.
#[must_use]
pub fn appendices() -> Vec<String> {
    let all = ["°C", "Pa", "%RH", "g", "W", "Wh", ""].map(|unit| appendix(1, unit));
    std::iter::once(String::new()).chain(all).collect()
}

/// Model less reading over the uncertainty of the reading, symbols as above. Errors that readings share,
/// such as the offset of a sensor, are still in it, so that a series may lie off
/// zero without a misfit.
fn residuals(own: &[&Pair<'_>], per_s: f64, shared: bool) -> Panel {
    let end = own.iter().filter_map(|p| p.curve.time_s.last()).fold(0.0_f64, |a, b| a.max(*b));
    let line = |y: f64| Series {
        name: "limit of 95 %".into(),
        points: vec![(0.0, y), (end * per_s, y)],
        colour: colour::INK,
        width: 0.4,
        quiet: true,
        ..Series::default()
    };
    let limits = [-NEARLY_ALL, NEARLY_ALL].map(line);
    let words = match shared {
        true => "shared errors, such as offsets, are still in it",
        false => "95 of 100 should lie within ± 2",
    };
    Panel {
        label: format!("Model less reading, in standard uncertainties: {words}"),
        series: limits.into_iter().chain(own.iter().flat_map(|p| p.residuals(per_s))).collect(),
        zero_based: true,
        reach: Some((-1.25 * NEARLY_ALL, 1.25 * NEARLY_ALL)),
        weight: RESIDUALS,
        ..Panel::default()
    }
}

/// From the lowest to the highest value of a panel.
fn span(series: &[Series]) -> f64 {
    let values = || series.iter().flat_map(|s| &s.points).map(|p| p.1).filter(|y| y.is_finite());
    values().fold(f64::NEG_INFINITY, f64::max) - values().fold(f64::INFINITY, f64::min)
}

/// What a unit measures.
fn label(unit: &str) -> &'static str {
    match unit {
        "°C" => "Temperature",
        "Pa" => "Vapour pressure",
        "%RH" => "Relative humidity",
        "g" => "Mass",
        "W" => "Power",
        "Wh" => "Energy",
        _ => "Reading",
    }
}
