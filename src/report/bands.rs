//! Results with the bands that the uncertainty of a fit gives them.

use std::fmt::Write;

use serde::Serialize;

use super::text::{digits, left, right, widest};
use crate::metric::Metric;
use crate::run::Run;
use crate::study::fit::Band;
use crate::study::sweep::SweepTable;
use crate::text::{Csv, number};

/// A line per setting and metric: middle and 95 % band over the draws.
#[must_use]
pub fn sweep_csv(table: &SweepTable) -> String {
    let fixed: Vec<usize> = (0..table.paths.len()).filter(|p| !table.drawn.contains(p)).collect();
    let mut heads = vec!["scenario"];
    heads.extend(fixed.iter().map(|p| table.paths[*p].as_str()));
    heads.extend(["metric", "unit", "middle", "low", "high", "draws", "with_value"]);
    let mut out = Csv::with_head(heads);
    for bundle in table.bundles() {
        let mut settings = vec![bundle.first.scenario.as_str()];
        settings.extend(fixed.iter().map(|p| bundle.first.settings[*p].text.as_str()));
        for (m, Metric { key, unit, .. }) in table.metrics.iter().enumerate() {
            let (band, count) = bundle.band(m);
            let of = |part: fn(&Band) -> f64| number(band.as_ref().map(part));
            let numbers = [of(|b| b.middle), of(|b| b.low), of(|b| b.high)];
            let counts = [bundle.rows.len().to_string(), count.to_string()];
            let cells = numbers.iter().chain(&counts).map(String::as_str);
            out.row(settings.iter().copied().chain([key.as_str(), unit]).chain(cells));
        }
    }
    out.text()
}

/// One metric over draws.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DrawnBand {
    /// The figure, with its value at the best values of the fit.
    pub metric: Metric,
    /// Its band; absent where fewer than half of the draws have a value.
    pub band: Option<Band>,
    /// Draws with a value.
    pub count: usize,
}

/// Bands as JSON.
#[derive(Debug, Serialize)]
pub struct Saved<'a> {
    schema_version: u32,
    program_version: &'static str,
    units: &'static str,
    title: &'a str,
    /// Runs drawn.
    draws: usize,
    /// Paths that were drawn.
    drawn: &'a [String],
    metrics: &'a [DrawnBand],
}

/// Version of the layout of [`Saved`].
const SCHEMA_VERSION: u32 = 1;

impl<'a> Saved<'a> {
    /// Of a run, its bands, the number of draws and their paths.
    #[must_use]
    pub fn new(best: &'a Run, metrics: &'a [DrawnBand], draws: usize, drawn: &'a [String]) -> Self {
        Saved {
            schema_version: SCHEMA_VERSION,
            program_version: env!("CARGO_PKG_VERSION"),
            units: "each metric and its band in its own unit",
            title: &best.title,
            draws,
            drawn,
            metrics,
        }
    }
}

/// The metrics of a run at the best values of a fit, with their bands over drawn runs.
#[must_use]
pub fn metrics(best: &Run, drawn: &[Run]) -> Vec<DrawnBand> {
    let one = |metric: &Metric| {
        let values: Vec<f64> = drawn.iter().filter_map(|r| r.metric(&metric.key)).collect();
        let count = values.len();
        let enough = count > 0 && 2 * count >= drawn.len();
        let band = enough.then(|| Band::of(values));
        DrawnBand { metric: metric.clone(), band, count }
    };
    best.metrics.iter().map(one).collect()
}

/// Metrics with their bands, for people.
#[must_use]
pub fn page(best: &Run, bands: &[DrawnBand], draws: usize) -> String {
    let mut out = format!("{}\n{draws} runs with values drawn from the fit\n\n", best.title);
    let head = ["best values", "95 % band", ""];
    let wide = widest(bands.iter().map(|b| &b.metric.label), LABEL);
    let _ =
        writeln!(out, "{}{}{}{}", left("", wide), right(head[0], 14), right(head[1], 24), head[2]);
    for DrawnBand { metric, band, count } in bands {
        let value = metric.value.map_or_else(|| "-".into(), digits);
        let band = match band {
            Some(b) => format!("{} to {}", digits(b.low), digits(b.high)),
            None => format!("{count} of {draws} reach it"),
        };
        let _ = writeln!(
            out,
            "{}{}{}  {}",
            left(&metric.label, wide),
            right(&value, 14),
            right(&band, 24),
            metric.unit
        );
    }
    out.push_str(
        "\nThe band holds what the fit left uncertain in its own parameters: not what the model leaves \
         out, nor what\nwas not fitted.\n",
    );
    out
}

/// Least width of the words before the numbers.
const LABEL: usize = 52;

/// The series of a run with their bands over drawn runs on the same times: time, then for each
/// column its value at the best values, low and high.
#[must_use]
pub fn series_csv(best: &Run, drawn: &[Run]) -> String {
    let mut heads = vec!["time_s".to_owned()];
    for column in &best.columns {
        heads.extend(["", "_low", "_high"].map(|end| format!("{}{end}", column.name)));
    }
    let mut out = Csv::with_head(heads);
    for (i, time_s) in best.time_s.iter().enumerate() {
        let mut cells = vec![time_s.to_string()];
        for column in &best.columns {
            let (low, high) = at(drawn, &column.name, i).map(|b| (b.low, b.high)).unzip();
            cells.extend([Some(column.values[i]), low, high].map(number));
        }
        out.row(cells);
    }
    out.text()
}

/// The band of a column at the i-th sample; absent without values.
#[must_use]
pub fn at(drawn: &[Run], column: &str, i: usize) -> Option<Band> {
    let value = |r: &Run| r.column(column)?.values.get(i).copied().filter(|v| v.is_finite());
    let values: Vec<f64> = drawn.iter().filter_map(value).collect();
    (!values.is_empty()).then(|| Band::of(values))
}
