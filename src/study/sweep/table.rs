//! The finished rows, read back for figures.

use std::collections::HashMap;

use super::row::{BOUNDS, ENDED, STATUS, Setting};
use crate::metric::{Bound, Metric, bound_of, keeps};
use crate::study::fit::Band;
use crate::text::unmarked;
use crate::units::number;

/// All rows of a sweep.
#[derive(Clone, Debug, Default)]
pub struct SweepTable {
    /// Paths of the axes.
    pub paths: Vec<String>,
    /// The metrics; their values are those of a glance and mean nothing here.
    pub metrics: Vec<Metric>,
    /// One per case, failed ones without values.
    pub rows: Vec<Line>,
    /// Places of the paths that were drawn from a fit: their cases make bands.
    pub drawn: Vec<usize>,
    /// Whether the cases are draws without an order.
    pub scattered: bool,
    /// Places of the paths whose values go by equal ratios.
    pub log: Vec<usize>,
    /// Words for what differs between the scenarios beside the axes; empty where there is one.
    pub differ: String,
}

/// Rows that differ in drawn values only.
#[derive(Clone, Debug)]
pub struct Bundle<'t> {
    /// The first of them.
    pub first: &'t Line,
    /// All of them.
    pub rows: Vec<&'t Line>,
}

impl Bundle<'_> {
    /// The band of a metric, and how many rows have a value. `None` if fewer than half of
    /// the draws have one: a band of the rest would flatter.
    #[must_use]
    pub fn band(&self, metric: usize) -> (Option<Band>, usize) {
        let values: Vec<f64> = self.rows.iter().filter_map(|r| r.values[metric]).collect();
        let count = values.len();
        let enough = 2 * count >= self.rows.len() && count > 0;
        (enough.then(|| Band::of(values)), count)
    }
}

/// One row.
#[derive(Clone, Debug, Default)]
pub struct Line {
    /// Number of the case.
    pub case: usize,
    /// Name of the scenario.
    pub scenario: String,
    /// One per path.
    pub settings: Vec<Setting>,
    /// One per metric; none where it is known from one side only.
    pub values: Vec<Option<f64>>,
    /// Those that are known from one side only, by their places, with that side.
    pub bounds: Vec<(usize, f64, Bound)>,
    /// Whether the case left the range of the model before its time.
    pub ended: bool,
}

impl Line {
    /// Whether a metric is sure to be on the wanted side of a level.
    #[must_use]
    pub fn keeps(&self, metric: usize, level: f64, above: bool) -> bool {
        let one_sided = self.bounds.iter().find(|b| b.0 == metric);
        match (self.values[metric], one_sided) {
            (Some(value), _) => keeps(value, None, level, above),
            (None, Some((_, value, bound))) => keeps(*value, Some(*bound), level, above),
            (None, None) => false,
        }
    }
}

impl SweepTable {
    /// Reads the text of `cases.csv` with these paths and metrics.
    ///
    /// # Errors
    /// What the CSV reader says of a damaged file.
    pub fn read(text: &str, paths: Vec<String>, metrics: Vec<Metric>) -> Result<Self, String> {
        let mut rows = Vec::new();
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let head = reader.headers().map_err(|e| e.to_string())?;
        let place = |of: &str| (0..head.len()).rfind(|i| &head[*i] == of).unwrap_or(head.len());
        let (bounds_at, status_at) = (place(BOUNDS), place(STATUS));
        for record in reader.records() {
            let record = record.map_err(|e| e.to_string())?;
            let cell = |i: usize| record.get(i).unwrap_or_default();
            let first = 2 + 2 * paths.len();
            let told = cell(bounds_at);
            let mut bounds = Vec::new();
            let mut value = |(k, metric): (usize, &Metric)| {
                let value: f64 = cell(first + k).parse().ok()?;
                match bound_of(told, &metric.key) {
                    Some(bound) => {
                        bounds.push((k, value, bound));
                        None
                    }
                    None => Some(value),
                }
            };
            let values = metrics.iter().enumerate().map(&mut value).collect();
            rows.push(Line {
                case: cell(0).parse().unwrap_or(rows.len()),
                scenario: unmarked(cell(1)).to_owned(),
                settings: (0..paths.len())
                    .map(|k| Setting {
                        text: unmarked(cell(2 + k)).to_owned(),
                        si: cell(2 + paths.len() + k).parse().ok(),
                    })
                    .collect(),
                values,
                bounds,
                ended: cell(status_at) == ENDED,
            });
        }
        Ok(SweepTable { paths, metrics, rows, ..SweepTable::default() })
    }

    /// Rows that differ in drawn values only, bundled, in the order of their first rows.
    #[must_use]
    pub fn bundles(&self) -> Vec<Bundle<'_>> {
        let fixed: Vec<usize> = (0..self.paths.len()).filter(|p| !self.drawn.contains(p)).collect();
        let key = |r: &Line| {
            let texts = fixed.iter().map(|p| r.settings[*p].text.clone());
            (r.scenario.clone(), texts.collect::<Vec<_>>())
        };
        let mut places = HashMap::new();
        let mut bundles: Vec<Bundle> = Vec::new();
        for row in &self.rows {
            let place = *places.entry(key(row)).or_insert(bundles.len());
            match bundles.get_mut(place) {
                Some(bundle) => bundle.rows.push(row),
                None => bundles.push(Bundle { first: row, rows: vec![row] }),
            }
        }
        bundles
    }

    /// The unit of a path if all its values are numbers in that unit.
    #[must_use]
    pub fn unit(&self, path: usize) -> Option<String> {
        let mut units = self.rows.iter().map(|r| number(&r.settings[path].text).map(|n| n.1));
        let first = units.next()??;
        units.all(|u| u.as_deref() == Some(&first)).then_some(first)
    }

    /// The typed number of a path in a row.
    #[must_use]
    pub fn typed(line: &Line, path: usize) -> f64 {
        number(&line.settings[path].text).map_or(f64::NAN, |n| n.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_known_from_one_side_is_no_value_but_judges_limits() {
        let text = "case,scenario,p,p_si,peak_air_C,t90_min,warnings,bounds,missing,status,reason\n\
            0,box,1 W,1,70,30,,,,ok,\n\
            1,box,2 W,2,150,,,peak_air_C >=,t90_min: unknown after 5 min,ended,too hot\n";
        let metric = |key: &str| Metric { key: key.into(), ..Metric::default() };
        let metrics = vec![metric("peak_air_C"), metric("t90_min")];
        let table = SweepTable::read(text, vec!["p".into()], metrics).expect("a table");
        let [whole, early] = &table.rows[..] else { panic!("{table:?}") };
        assert_eq!((&whole.values[..], whole.ended), (&[Some(70.0), Some(30.0)][..], false));
        assert_eq!((&early.values[..], early.ended), (&[None, None][..], true));
        assert_eq!(early.bounds, [(0, 150.0, Bound::AtLeast)]);
        // At least 150 °C is above 100 °C, and nobody knows whether it is below 200 °C.
        assert!(early.keeps(0, 100.0, true) && !early.keeps(0, 200.0, false));
        assert!(!early.keeps(1, 60.0, false) && whole.keeps(1, 60.0, false));
    }
}
