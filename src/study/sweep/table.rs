//! The finished rows, read back for figures.

use super::range::number;
use super::row::Setting;
use crate::merit::Merit;

/// All rows of a sweep.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// Paths of the axes.
    pub paths: Vec<String>,
    /// The figures of merit; their values are those of a glance and mean nothing here.
    pub merits: Vec<Merit>,
    /// One per case, failed ones without values.
    pub rows: Vec<Line>,
}

/// One row.
#[derive(Clone, Debug, Default)]
pub struct Line {
    /// Name of the scenario.
    pub scenario: String,
    /// One per path.
    pub settings: Vec<Setting>,
    /// One per figure of merit.
    pub values: Vec<Option<f64>>,
}

impl Table {
    /// Reads the text of `cases.csv` with these paths and figures of merit.
    ///
    /// # Errors
    /// What the CSV reader says of a damaged file.
    pub fn read(text: &str, paths: Vec<String>, merits: Vec<Merit>) -> Result<Self, String> {
        let mut rows = Vec::new();
        for record in csv::Reader::from_reader(text.as_bytes()).records() {
            let record = record.map_err(|e| e.to_string())?;
            let cell = |i: usize| record.get(i).unwrap_or_default();
            let first = 2 + 2 * paths.len();
            rows.push(Line {
                scenario: cell(1).to_owned(),
                settings: (0..paths.len())
                    .map(|k| Setting {
                        text: cell(2 + k).to_owned(),
                        si: cell(2 + paths.len() + k).parse().ok(),
                    })
                    .collect(),
                values: (0..merits.len()).map(|k| cell(first + k).parse().ok()).collect(),
            });
        }
        Ok(Table { paths, merits, rows })
    }

    /// The place of a figure of merit.
    #[must_use]
    pub fn merit(&self, key: &str) -> Option<usize> {
        self.merits.iter().position(|m| m.key == key)
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
