//! Fields in fixed places: comma, semicolon, tab or blanks between them.

use super::{Cell, Parsed, Record, cell};
use crate::measured::log::lex::{Decimal, Meaning, label, unit};
use crate::measured::log::options::Separator;

/// What a column is for, as far as its place in a row matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Use {
    /// Date, clock or counter.
    Time,
    /// A reading.
    Value,
    /// A remark, which may be absent.
    Note,
    /// A name of a sensor, a quantity or a unit.
    Name,
    /// Not kept.
    Unused,
}

/// The plan of the columns.
#[derive(Clone, Debug)]
pub struct Columns {
    /// What splits fields.
    pub separator: Separator,
    /// The decimal mark.
    pub decimal: Decimal,
    /// The header line without blanks around it, if there is one.
    pub header: Option<String>,
    /// Whether a name before the line is its first field.
    pub tagged: bool,
    /// What each column is for.
    pub uses: Vec<Use>,
}

/// Fields of a line, quotes taken off; a doubled quote inside stands for one.
#[must_use]
pub fn split(line: &str, separator: Separator) -> Vec<String> {
    let line = unwrapped(line.trim_matches([' ', '\r']));
    let mark = match separator {
        Separator::Blanks => return blanks(line),
        Separator::Char(c) => c,
    };
    let mut fields = vec![String::new()];
    let mut quoted = false;
    let mut letters = line.chars().peekable();
    while let Some(c) = letters.next() {
        let Some(field) = fields.last_mut() else { break };
        match c {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                field.push('"');
            }
            '"' if quoted => quoted = false,
            '"' if field.trim().is_empty() => {
                field.clear();
                quoted = true;
            }
            c if c == mark && !quoted => fields.push(String::new()),
            c => field.push(c),
        }
    }
    fields.iter().map(|f| unquoted(f.trim()).to_owned()).collect()
}

/// A field without single quotes around it.
fn unquoted(field: &str) -> &str {
    field.strip_prefix('\'').and_then(|f| f.strip_suffix('\'')).unwrap_or(field)
}

/// Fields between blanks; what follows a `#` is one of them, and so is a unit in brackets with the name before it.
fn blanks(line: &str) -> Vec<String> {
    let (line, remark) = match line.find(" #") {
        Some(at) if at > 0 => (&line[..at], Some(line[at..].trim())),
        _ => (line, None),
    };
    let mut fields: Vec<String> = Vec::new();
    for word in line.split_whitespace() {
        let unit = word.starts_with(['[', '(']) && word.ends_with([']', ')']) && word.len() > 2;
        match fields.last_mut() {
            Some(name) if unit && name.parse::<f64>().is_err() => {
                name.push(' ');
                name.push_str(word);
            }
            _ => fields.push(word.to_owned()),
        }
    }
    fields.extend(remark.map(str::to_owned));
    fields
}

/// The text without the brackets of a tuple or a list, or the outer bars of a drawn table.
fn unwrapped(line: &str) -> &str {
    let inner = line.trim_end_matches(',');
    let pairs = [("((", "),"), ("[[", "],"), ("(", ")"), ("[", "]"), ("|", "|")];
    for (open, close) in pairs {
        let Some(rest) = inner.strip_prefix(open) else { continue };
        if open == "|" || rest.len() > 1 && rest.ends_with(close.trim_end_matches(',')) {
            let rest = rest.trim_end_matches([')', ']', '|']);
            return rest.trim_matches(' ');
        }
    }
    line
}

/// Names of columns in a line without readings; none when it names none that is known.
#[must_use]
pub fn names(body: &str, separator: Separator) -> Option<Vec<String>> {
    let bare = body.trim_matches(' ').trim_start_matches(['#', ' ']);
    let mut names = split(bare, separator);
    while names.last().is_some_and(String::is_empty) {
        names.pop();
    }
    let reading = |n: &String| {
        matches!(
            label(n).meaning,
            Meaning::Reading(_) | Meaning::LowerT | Meaning::Humidity(_) | Meaning::Sensor
        )
    };
    let time = |n: &String| {
        matches!(label(n).meaning, Meaning::Time | Meaning::Elapsed | Meaning::DateOrClock)
    };
    let value = |n: &String| {
        matches!(cell(n, Decimal::Point), Cell::Number(..) | Cell::Stamp(_)) || n.len() > 60
    };
    let known = names.iter().any(reading) || names.iter().any(time);
    let good = names.len() > 1 && known && !names.iter().any(value);
    good.then_some(names)
}

/// Units of columns in a line under their names.
#[must_use]
pub fn units(body: &str, separator: Separator) -> Option<Vec<String>> {
    let bare = body.trim_matches(' ').trim_start_matches(['#', ' ']);
    let fields = split(bare, separator);
    let plain = |f: &String| f.trim_matches(['(', ')', '[', ']', '{', '}', ' ']).to_owned();
    let fields: Vec<String> = fields.iter().map(plain).collect();
    let is_unit = |f: &String| !f.is_empty() && unit::exact(f).is_some();
    let count = fields.iter().filter(|f| is_unit(f)).count();
    let short = fields
        .iter()
        .all(|f| f.len() <= 20 && !f.bytes().any(|b| b.is_ascii_digit() && !f.contains("m3")));
    (fields.len() > 1 && count > 0 && short && 2 * count + 2 >= fields.len()).then_some(fields)
}

/// Whether fields are those of a row of readings: a number or stamp among them, and no long text
/// but remarks at the end.
#[must_use]
pub fn looks_like_row(fields: &[String], decimal: Decimal) -> bool {
    if fields.len() < 2 {
        return false;
    }
    let cells: Vec<Cell> = fields.iter().map(|f| cell(f, decimal)).collect();
    let count = |test: &dyn Fn(&Cell) -> bool| cells.iter().filter(|c| test(c)).count();
    let values = count(&|c| matches!(c, Cell::Number(..) | Cell::Stamp(_)));
    let gaps = count(&|c| *c == Cell::Missing);
    let words = cells.len() - values - gaps;
    values > 0 && words <= values + gaps
}

/// First words of lines of statistics under a table.
const STATISTICS: [&str; 14] = [
    "min", "max", "mean", "avg", "average", "median", "std", "stdev", "sum", "total", "minimum",
    "maximum", "mittel", "count",
];

/// Whether a line begins with the name of a statistic, as the last lines of some tables do.
fn is_statistic(fields: &[String]) -> bool {
    let first = fields.first().map_or("", String::as_str);
    let word: String = first.chars().take_while(|c| c.is_alphabetic()).collect();
    STATISTICS.contains(&word.to_lowercase().as_str()) && !word.is_empty()
}

impl Columns {
    /// Fields of a line, the name before it first where the form has one.
    fn fields(&self, body: &str, tag: Option<&str>) -> Vec<String> {
        let mut fields = split(body, self.separator);
        if self.tagged {
            fields.insert(0, tag.unwrap_or_default().to_owned());
        }
        fields
    }

    /// Reads one line.
    pub fn parse(&self, body: &str, tag: Option<&str>) -> Parsed {
        let body = body.trim_end();
        if self.header.as_deref().is_some_and(|h| h == body.trim()) {
            return Parsed::Header;
        }
        if let Some(cells) = self.plain(body) {
            return Parsed::Records(vec![cells]);
        }
        let mut fields = self.fields(body, tag);
        if !looks_like_row(&fields, self.decimal) || is_statistic(&fields) {
            return self.no_row(body, tag);
        }
        let wanted = self.uses.len();
        while fields.len() > wanted && fields.last().is_some_and(String::is_empty) {
            fields.pop();
        }
        // A remark that no header announces.
        if fields.len() == wanted + 1 && fields.last().is_some_and(|f| f.starts_with('#')) {
            fields.pop();
        }
        if fields.len() > wanted {
            if self.uses.last() != Some(&Use::Note) {
                let count = fields.len();
                return Parsed::Contradiction(format!(
                    "{count} fields where {wanted} are expected"
                ));
            }
            let between = if self.separator == Separator::Blanks { " " } else { ", " };
            let note = fields.split_off(wanted - 1).join(between);
            fields.push(note);
        }
        let needed = self.uses.iter().rposition(|u| matches!(u, Use::Time | Use::Value));
        if fields.len() <= needed.unwrap_or(0) {
            return Parsed::Short;
        }
        self.cells(&fields)
    }

    /// The cells of a row that is nothing but numbers, stamps and gaps in their places: most rows are, and nothing of them
    /// is copied.
    fn plain(&self, body: &str) -> Option<Record> {
        let Separator::Char(mark) = self.separator else { return None };
        let odd = |b: u8| matches!(b, b'"' | b'\'' | b'(' | b'[' | b'|' | b'#');
        if self.tagged || mark == '|' || body.bytes().any(odd) || self.uses.contains(&Use::Note) {
            return None;
        }
        let mut cells = Record::with_capacity(self.uses.len());
        let mut values = 0;
        let blank = |b: Option<&u8>| b.is_none_or(|b| !b.is_ascii_graphic());
        let bytes = body.as_bytes();
        let bare = if blank(bytes.first()) || blank(bytes.last()) {
            body.trim_matches([' ', '\r'])
        } else {
            body
        };
        for (i, field) in bare.split(mark).enumerate() {
            let cell = cell(field, self.decimal);
            match (&cell, self.uses.get(i)?) {
                (Cell::Number(..) | Cell::Stamp(_), _) => values += 1,
                (Cell::Missing, _) => {}
                (Cell::Word(_), _) => return None,
            }
            cells.push((i, cell));
        }
        (values > 0 && cells.len() == self.uses.len()).then_some(cells)
    }

    fn cells(&self, fields: &[String]) -> Parsed {
        let one = |(i, field): (usize, &String)| match self.uses[i] {
            Use::Note if field.is_empty() => (i, Cell::Missing),
            Use::Note => (i, Cell::Word(field.clone())),
            _ => (i, cell(field, self.decimal)),
        };
        let cells: Vec<(usize, Cell)> = fields.iter().enumerate().map(one).collect();
        let is = |(i, cell): &(usize, Cell), wanted: Use, test: fn(&Cell) -> bool| {
            self.uses[*i] == wanted && test(cell)
        };
        if cells.iter().any(|c| is(c, Use::Time, |c| matches!(c, Cell::Word(_)))) {
            return Parsed::Text;
        }
        Parsed::Records(vec![cells])
    }

    /// A line that is no row here may be one with another separator.
    fn no_row(&self, body: &str, tag: Option<&str>) -> Parsed {
        let others = [',', ';', '\t', '|'].map(Separator::Char);
        let changed = others.into_iter().filter(|s| *s != self.separator).find(|s| {
            let other = Self { separator: *s, uses: Vec::new(), header: None, ..*self };
            let fields = other.fields(body, tag);
            fields.len() == self.uses.len()
                && [Decimal::Point, Decimal::Comma].iter().any(|d| looks_like_row(&fields, *d))
        });
        match changed {
            Some(other) => {
                let (new, old) = (other.shown(), self.separator.shown());
                Parsed::Contradiction(format!("the separator changes from `{old}` to `{new}`"))
            }
            None => Parsed::Text,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_hold_separators() {
        let fields = split(r#"1,"20,3", "lid ""open"", 1,63 g",x"#, Separator::Char(','));
        assert_eq!(fields, ["1", "20,3", "lid \"open\", 1,63 g", "x"]);
        assert_eq!(split("  1   2\t3 ", Separator::Blanks), ["1", "2", "3"]);
        assert_eq!(split("1;;", Separator::Char(';')), ["1", "", ""]);
    }
}
