//! Text that others wrote, made harmless where it is shown: on a terminal, in JSON, in a table; and the word
//! that they probably meant.
//!
//! ```
//! use drybench::text::{closest, visible};
//!
//! assert_eq!(visible("a\u{1b}[31mb"), "a\\u{1b}[31mb");
//! assert_eq!(closest("diametre", ["height", "diameter"]), Some("diameter"));
//! ```

mod closest;

pub use closest::closest;

use std::borrow::Cow;

/// Whether a terminal would obey a character, or show it nowhere or in another order.
fn is_odd(c: char) -> bool {
    let reorders =
        matches!(c, '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    c.is_control() || reorders
}

/// The text with what a terminal would obey shown as an escape, such as `\u{1b}`; lines and tabs stay.
#[must_use]
pub fn visible(text: &str) -> Cow<'_, str> {
    escaped(text, |c| is_odd(c) && c != '\n' && c != '\t', |c| c.escape_default().to_string())
}

/// The same for the text of JSON, in the escapes of JSON.
#[must_use]
pub fn visible_json(json: &str) -> Cow<'_, str> {
    escaped(json, |c| is_odd(c) && c != '\n', |c| format!("\\u{:04x}", u32::from(c)))
}

fn escaped(text: &str, odd: impl Fn(char) -> bool, shown: impl Fn(char) -> String) -> Cow<'_, str> {
    if !text.contains(&odd) {
        return Cow::Borrowed(text);
    }
    let one = |c: char| if odd(c) { shown(c) } else { c.to_string() };
    Cow::Owned(text.chars().map(one).collect())
}

/// What a spreadsheet takes for the start of a formula, in both widths.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];

/// The mark before a text that would else be a formula.
const MARK: char = '\'';

/// A cell that a spreadsheet cannot take for a formula, on one line.
fn harmless(cell: &str) -> Cow<'_, str> {
    let cell = escaped(cell, is_odd, |c| c.escape_default().to_string());
    // A lone dash is what tables write where there is nothing.
    if cell.starts_with(FORMULA) && cell != "-" && !is_amount(&cell) {
        return Cow::Owned(format!("{MARK}{cell}"));
    }
    cell
}

/// Whether a text is a number, or one with its unit and uncertainty: `-5 °C`, `-0.5 ± 0.1 K/s`.
fn is_amount(text: &str) -> bool {
    let bare = text.trim_start_matches(['-', '+']);
    let signs = text.len() - bare.len();
    let plain = |c: char| c.is_alphanumeric() || " .°%/·±²³µ".contains(c);
    text.parse::<f64>().is_ok()
        || signs == 1 && bare.starts_with(|c: char| c.is_ascii_digit()) && bare.chars().all(plain)
}

/// What [`Csv`] made of a cell, as it was.
#[must_use]
pub fn unmarked(cell: &str) -> &str {
    cell.strip_prefix(MARK).filter(|rest| rest.starts_with(FORMULA)).unwrap_or(cell)
}

/// A table as CSV: quoted where a cell needs it, harmless for spreadsheets, lines end in LF.
pub struct Csv(csv::Writer<Vec<u8>>);

impl Csv {
    /// A table without rows.
    #[must_use]
    pub fn new() -> Self {
        Csv(csv::WriterBuilder::new().flexible(true).buffer_capacity(512).from_writer(Vec::new()))
    }

    /// A table with a head.
    #[must_use]
    pub fn with_head<T: AsRef<str>>(head: impl IntoIterator<Item = T>) -> Self {
        let mut table = Csv::new();
        table.row(head);
        table
    }

    /// Adds a row.
    pub fn row<T: AsRef<str>>(&mut self, cells: impl IntoIterator<Item = T>) {
        // Writing to memory cannot fail.
        for cell in cells {
            let _ = self.0.write_field(harmless(cell.as_ref()).as_bytes());
        }
        let _ = self.0.write_record(None::<&[u8]>);
    }

    /// The text so far.
    #[must_use]
    pub fn text(self) -> String {
        String::from_utf8(self.0.into_inner().unwrap_or_default()).unwrap_or_default()
    }
}

impl Default for Csv {
    fn default() -> Self {
        Csv::new()
    }
}

/// One row as a line of its own.
#[must_use]
pub fn csv_line<T: AsRef<str>>(cells: impl IntoIterator<Item = T>) -> String {
    Csv::with_head(cells).text()
}

/// Words of letters and digits joined by `_`.
#[must_use]
pub fn joined(text: &str) -> String {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    words.collect::<Vec<_>>().join("_")
}

/// The same in lower case: names that differ in less than this are told apart by nobody.
#[must_use]
pub fn slug(text: &str) -> String {
    joined(&text.to_lowercase())
}

/// A number for a cell: empty where there is none.
#[must_use]
pub fn number(value: Option<f64>) -> String {
    value.filter(|v| v.is_finite()).map(|v| v.to_string()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_terminal_obeys_is_shown() {
        assert_eq!(
            visible("a\u{1b}[31m\u{9b}2J\r\u{202e}b\n\tc"),
            "a\\u{1b}[31m\\u{9b}2J\\r\\u{202e}b\n\tc"
        );
        assert!(matches!(visible("50 °C, ±2 %"), Cow::Borrowed(_)));
        let json = visible_json("{\"t\": \"\u{9b}\u{7f}\"}").into_owned();
        let read: serde_json::Value = serde_json::from_str(&json).unwrap();
        assert_eq!((read["t"].as_str(), json.contains('\u{9b}')), (Some("\u{9b}\u{7f}"), false));
    }

    #[test]
    fn formulas_are_marked_and_amounts_are_not() {
        for text in
            ["=1+1", "+cmd|' /C calc'!A0", "-2+3+cmd|' /C calc'!A0", "@SUM(A1)", "--1", "＝1"]
        {
            let line = csv_line([text]);
            assert!(line.trim_matches('"').starts_with('\''), "{line}");
            assert_eq!(unmarked(&harmless(text)), text);
        }
        for text in ["-", "-5", "-5 °C", "+3 ± 0.1 K", "-1e-9", "-0.5 g/m³", "a=b", "'quoted'"] {
            assert_eq!(csv_line([text]), format!("{text}\n"));
        }
    }

    #[test]
    fn a_row_is_one_line_and_reads_back() {
        let line = csv_line(["a,b", "c\"d", "e\r\nf\u{1b}", ""]);
        assert_eq!(line, "\"a,b\",\"c\"\"d\",e\\r\\nf\\u{1b},\n");
    }
}
