//! A tidy table of readings: `time_s` and one column per quantity, its unit at the end of its name.

use crate::reader::Issue;

/// Most complaints about cells of one table.
const MOST_COMPLAINTS: usize = 5;

/// A table of readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// What messages call it.
    pub name: String,
    /// Times \[s\].
    pub time_s: Vec<f64>,
    /// Header and values of every other column; NaN where a cell is empty or says so.
    pub columns: Vec<(String, Vec<f64>)>,
}

impl Table {
    /// Reads comma-separated text with a header line. Empty cells and `nan` are missing values.
    ///
    /// # Errors
    /// Cells that are no numbers, with their lines; no `time_s`; times that do not rise.
    pub fn read(name: &str, text: &str) -> Result<Self, Vec<Issue>> {
        let fail = |code, what: String, hint: &str| vec![Issue::of_file(code, name, what, hint)];
        let mut reader =
            csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
        let unreadable = |e: csv::Error| {
            fail(
                "bad-table",
                format!("is no table: {e}"),
                "give a file as `drybench import` writes it",
            )
        };
        let headers: Vec<String> =
            reader.headers().map_err(unreadable)?.iter().map(str::to_owned).collect();
        let Some(time) = headers.iter().position(|h| h == "time_s") else {
            let what = format!("has no column `time_s`, only {}", headers.join(", "));
            return Err(fail("no-time", what, "name the column of seconds time_s"));
        };
        let mut columns = vec![Vec::new(); headers.len()];
        let mut issues = Vec::new();
        for record in reader.records() {
            let record = record.map_err(unreadable)?;
            let line = record.position().map_or(0, |p| p.line() as usize);
            for (i, column) in columns.iter_mut().enumerate() {
                let cell = record.get(i).unwrap_or("");
                column.push(number(cell).unwrap_or_else(|| {
                    let what = format!("`{cell}` under {} is no number", headers[i]);
                    let hint = "leave the cell empty if the value is missing";
                    issues.push(Issue { line, ..Issue::of_file("bad-cell", name, what, hint) });
                    f64::NAN
                }));
            }
        }
        let time_s = columns[time].clone();
        if let Some(i) = time_s
            .windows(2)
            .position(|w| w[1].partial_cmp(&w[0]) != Some(std::cmp::Ordering::Greater))
        {
            let what = format!("time_s does not rise after {}", time_s[i]);
            let hint = "sort the rows by time and drop doubles";
            issues.push(Issue { line: i + 3, ..Issue::of_file("time-order", name, what, hint) });
        }
        if time_s.is_empty() {
            issues.push(Issue::of_file(
                "no-data",
                name,
                "has no rows".into(),
                "give a table with readings",
            ));
        }
        if !issues.is_empty() {
            issues.truncate(MOST_COMPLAINTS);
            return Err(issues);
        }
        let others = headers.into_iter().zip(columns).enumerate().filter(|(i, _)| *i != time);
        let columns = others.map(|(_, c)| c).collect();
        Ok(Table { name: name.into(), time_s, columns })
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
