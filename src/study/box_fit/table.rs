//! A tidy table of readings: `time_s` and one column per quantity, its unit at the end of its name.

use crate::reader::Issue;
use crate::units::{Kind, k_from_c};

/// Header of the column of seconds.
const TIME: &str = "time_s";

/// Most complaints about cells of one table.
const MOST_COMPLAINTS: usize = 5;

/// A table of readings.
#[derive(Clone, Debug, PartialEq)]
pub struct FitTable {
    /// What messages call it.
    pub name: String,
    /// Times \[s\].
    pub time_s: Vec<f64>,
    /// Header and values of every other column; NaN where a cell is empty or says so.
    pub columns: Vec<(String, Vec<f64>)>,
}

impl FitTable {
    /// Reads comma-separated text with a header line. Empty cells and `nan` are missing values.
    ///
    /// # Errors
    /// No table of commas, or one without `time_s`; two columns of one name; cells that are no numbers,
    /// with their lines; times that are missing or do not rise.
    pub fn read(name: &str, text: &str) -> Result<Self, Vec<Issue>> {
        let fail = |code, what: &str| {
            vec![Issue::of_file(code, name, what.to_owned(), "give a table of readings")]
        };
        if text.trim().is_empty() {
            return Err(fail("no-data", "is empty"));
        }
        let mut reader =
            csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
        let headers = reader.headers().map_err(|e| vec![unreadable(name, &e)])?;
        let headers: Vec<String> = headers.iter().map(str::to_owned).collect();
        let time = time_of(name, &headers).map_err(|issue| vec![issue])?;
        let mut columns = vec![Vec::new(); headers.len()];
        let (mut issues, mut lines) = (Vec::new(), Vec::new());
        for record in reader.records() {
            let record = record.map_err(|e| vec![unreadable(name, &e)])?;
            let line = record.position().map_or(0, |p| p.line() as usize);
            lines.push(line);
            for (i, column) in columns.iter_mut().enumerate() {
                let cell = record.get(i).unwrap_or("");
                let value = number(cell);
                if let Some((what, hint)) = complaint(&headers[i], cell, value) {
                    issues.push(Issue { line, ..Issue::of_file("bad-cell", name, what, hint) });
                }
                column.push(value.unwrap_or(f64::NAN));
            }
        }
        let time_s = columns[time].clone();
        issues.extend(out_of_order(name, &time_s, &lines));
        if time_s.is_empty() {
            issues.extend(fail("no-data", "has a header, but no row of readings"));
        }
        if !issues.is_empty() {
            issues.truncate(MOST_COMPLAINTS);
            return Err(issues);
        }
        let others = headers.into_iter().zip(columns).enumerate().filter(|(i, _)| *i != time);
        let columns = others.map(|(_, c)| c).collect();
        Ok(FitTable { name: name.into(), time_s, columns })
    }

    /// The values under a header.
    #[must_use]
    pub fn column(&self, header: &str) -> Option<&[f64]> {
        self.columns.iter().find(|(h, _)| h == header).map(|(_, v)| v.as_slice())
    }
}

fn number(cell: &str) -> Option<f64> {
    if cell.is_empty() || cell.eq_ignore_ascii_case("nan") {
        return Some(f64::NAN);
    }
    cell.parse().ok()
}

/// The first time that does not rise above the last one before it; cells without a time are told
/// elsewhere.
fn out_of_order(name: &str, time_s: &[f64], lines: &[usize]) -> Option<Issue> {
    let times: Vec<(f64, usize)> =
        time_s.iter().copied().zip(lines.iter().copied()).filter(|t| t.0.is_finite()).collect();
    let pair = times.windows(2).find(|w| w[1].0 <= w[0].0)?;
    let what = format!("time_s does not rise: {} after {}", pair[1].0, pair[0].0);
    let hint = "sort the rows by time and drop doubles";
    Some(Issue { line: pair[1].1, ..Issue::of_file("time-order", name, what, hint) })
}

/// What to type for a file that is not yet a table of commas with `time_s`.
fn import(name: &str) -> String {
    format!("let drybench make one of it: drybench import {name} -o clean.csv")
}

/// What is wrong with a cell, and what to do.
fn complaint(header: &str, cell: &str, value: Option<f64>) -> Option<(String, &'static str)> {
    match (value, header == TIME) {
        (None, true) => Some((
            format!("`{cell}` under {TIME} is no number"),
            "write the time in seconds, or drop the row",
        )),
        (None, false) => Some((
            format!("`{cell}` under {header} is no number"),
            "leave the cell empty if the value is missing",
        )),
        (Some(v), true) if !v.is_finite() => Some((
            format!("has nothing under {TIME}"),
            "write the time in seconds, or drop the row",
        )),
        _ => None,
    }
}

/// Place of the column of seconds in a header without doubles.
fn time_of(name: &str, headers: &[String]) -> Result<usize, Issue> {
    let Some(time) = headers.iter().position(|h| h == TIME) else {
        let parted = match headers {
            [one] => {
                [(';', "semicolons"), ('\t', "tabs")].into_iter().find(|(c, _)| one.contains(*c))
            }
            _ => None,
        };
        let what = match parted {
            Some((_, words)) => format!("is no table of commas: {words} part its columns"),
            None => format!("has no column `{TIME}`, only {}", headers.join(", ")),
        };
        return Err(Issue::of_file("no-time", name, what, &import(name)));
    };
    if let Some(i) = (0..headers.len()).find(|i| headers[..*i].contains(&headers[*i])) {
        let what = format!("has two columns called {}", headers[i]);
        let hint = "give each column a name of its own";
        return Err(Issue::of_file("same-name", name, what, hint));
    }
    Ok(time)
}

/// A text that is no table.
fn unreadable(name: &str, e: &csv::Error) -> Issue {
    if let csv::ErrorKind::UnequalLengths { pos, expected_len, len } = e.kind() {
        let line = pos.as_ref().map_or(0, |p| p.line() as usize);
        let what = format!("{len} cells stand in this row, {expected_len} under the header");
        let hint = "correct the row; a decimal comma makes two cells of one";
        return Issue { line, ..Issue::of_file("bad-table", name, what, hint) };
    }
    Issue::of_file("bad-table", name, format!("is no table: {e}"), &import(name))
}

/// The values under a header, or why there are none.
pub(super) fn values<'t>(table: &'t FitTable, header: &str) -> Result<&'t [f64], Issue> {
    table.column(header).ok_or_else(|| {
        let names: Vec<&str> = table.columns.iter().map(|(h, _)| h.as_str()).collect();
        let what = format!("has no column `{header}`");
        Issue::of_file(
            "no-column",
            &table.name,
            what,
            &format!("its columns are: {}", names.join(", ")),
        )
    })
}

pub(super) type Convert = fn(f64) -> f64;

/// What the end of a header says: kind, and conversion to SI.
pub(super) fn unit_of_header(header: &str) -> Option<(Kind, Convert)> {
    let end = header.rsplit('_').next()?;
    Some(match end {
        "C" => (Kind::Temperature, |v| k_from_c(v)),
        "F" => (Kind::Temperature, |v| k_from_c((v - 32.0) / 1.8)),
        "K" => (Kind::Temperature, |v| v),
        "pct" => (Kind::RelativeHumidity, |v| 0.01 * v),
        "g" => (Kind::Mass, |v| 1e-3 * v),
        "kg" => (Kind::Mass, |v| v),
        "W" => (Kind::Power, |v| v),
        "Wh" => (Kind::Energy, |v| 3600.0 * v),
        "J" => (Kind::Energy, |v| v),
        _ => return None,
    })
}
