//! What a person is asked where the lines do not tell.

use super::Sample;
use crate::measured::log::complaint::{Attempt, error};
use crate::measured::log::options::ImportOptions;
use crate::reader::Issue;

/// Names for columns that nothing tells: every pair of the open ones as temperature and humidity.
pub(super) fn which_columns(sample: &Sample<'_>, plain: &[&str], open: &[usize]) -> Vec<Attempt> {
    /// More columns than that are not tried in pairs.
    const MOST_OPEN: usize = 5;
    let mut attempts = Vec::new();
    let mut add = |names: Vec<&str>| {
        let columns = Some(names.iter().map(|n| (*n).to_owned()).collect());
        let options = ImportOptions { columns, ..sample.options.clone() };
        attempts.push(Attempt { text: format!("--columns {}", names.join(",")), options });
    };
    for &h in open.iter().take(MOST_OPEN) {
        for &t in open.iter().take(MOST_OPEN).filter(|t| **t != h) {
            for unit in ["temp_c", "temp_f"] {
                let mut names = plain.to_vec();
                (names[h], names[t]) = ("rh", unit);
                add(names);
            }
        }
    }
    if let [only] = open[..] {
        for unit in ["temp_c", "temp_f", "rh"] {
            let mut names = plain.to_vec();
            names[only] = unit;
            add(names);
        }
    }
    attempts
}

/// Names for the columns, as a list.
pub(super) fn columns(sample: &Sample<'_>, list: &str) -> Vec<Attempt> {
    let columns = Some(list.split(',').map(str::to_owned).collect());
    let options = ImportOptions { columns, ..sample.options.clone() };
    vec![Attempt { text: format!("--columns {list}"), options }]
}

/// Why there is nothing to import; weighing notes are told apart.
pub fn no_reading(sample: &Sample<'_>) -> Issue {
    let words = ["weigh", "gram", "scale", "syringe", " g ", "mass"];
    let notes = sample.bodies().filter(|(_, b)| {
        let lower = format!("{} ", b.to_lowercase());
        words.iter().any(|w| lower.contains(w)) || lower.trim_end().ends_with('g')
    });
    let count = sample.lines.len();
    if notes.count() * 4 >= count.max(1) {
        let what = "these look like weighing notes, not a log of temperature and humidity";
        let hint = "name the file as the weighings of a run; import reads logs";
        return error(sample.file, 0, "weighing-notes", what, None, hint);
    }
    let what = match count {
        1 => "no reading in its one line".to_owned(),
        n => format!("no reading in the first {n} lines"),
    };
    let first = sample.bodies().map(|(_, b)| b.trim()).find(|b| !b.is_empty()).unwrap_or("");
    let shown: String = first.chars().take(60).collect();
    let why = format!("it starts with \"{shown}\"");
    let hint = "a reading is a line such as \"Humidity: 45.4 %  Temperature: 22.1 C\", or rows under \
                a header such as time_s,temp_c,rh";
    error(sample.file, 0, "no-reading", what, Some(why), hint)
}
