//! Rows of fields: their header, and names where there is none.

use super::Sample;
use super::table::{TableShape, rows_of, usual_length};
use crate::measured::log::complaint::error;
use crate::measured::log::lex::{Decimal, Meaning, label};
use crate::measured::log::options::Separator;
use crate::measured::log::shapes::columns::{Columns, split};
use crate::measured::log::shapes::{Shape, cell};
use crate::reader::Issue;

pub(super) fn columns(
    sample: &mut Sample<'_>,
    separator: Separator,
    decimal: Decimal,
) -> Result<TableShape, Vec<Issue>> {
    let rows = rows_of(sample, separator, decimal);
    let width = usual_length(&rows);
    let first = rows.first().map_or(0, |(n, _)| *n);
    let header = header(sample, separator, first);
    let (names, header_line, text) = names(sample, header, width, separator)?;
    let width = width.max(names.len());
    let cell_of = |row: &Vec<String>, i: usize| row.get(i).map(|f| cell(f, decimal));
    let cells =
        (0..width).map(|i| rows.iter().filter_map(|(_, row)| cell_of(row, i)).collect()).collect();
    let first_row = rows.first().map(|(_, row)| row.join("  ")).unwrap_or_default();
    let shape = Columns { separator, decimal, header: text, uses: Vec::new() };
    Ok(TableShape {
        shape: Shape::Columns(shape),
        decimal,
        names,
        cells,
        blocks: None,
        header_line,
        data_lines: rows.iter().map(|(n, _)| *n).collect(),
        first_row,
    })
}

/// A line before the first row that names columns.
struct Header {
    line: u64,
    text: String,
    names: Vec<String>,
}

/// The last line before the first row with a known name among its fields.
fn header(sample: &Sample<'_>, separator: Separator, first: u64) -> Option<Header> {
    let before = sample.bodies().take_while(|(n, _)| *n < first);
    let candidates = before.filter_map(|(line, body)| {
        let bare = body.trim().trim_start_matches(['#', ' ']);
        let mut names = split(bare, separator);
        while names.last().is_some_and(String::is_empty) {
            names.pop();
        }
        let known = |n: &String| !matches!(label(n).meaning, Meaning::Unknown);
        let any = names.len() > 1 && names.iter().any(known);
        any.then(|| Header { line, text: body.trim().to_owned(), names })
    });
    candidates.last()
}

type Names = (Vec<String>, Option<u64>, Option<String>);

/// Names from `--columns`, else from the header, else none.
fn names(
    sample: &Sample<'_>,
    header: Option<Header>,
    width: usize,
    separator: Separator,
) -> Result<Names, Vec<Issue>> {
    let line = header.as_ref().map(|h| h.line);
    let text = header.as_ref().map(|h| h.text.clone());
    if let Some(columns) = &sample.options.columns {
        if columns.len() == width {
            return Ok((columns.clone(), line, text));
        }
        let what = format!("--columns names {} columns, rows have {width} fields", columns.len());
        let hint = "write one name per field, `-` for one to leave out";
        return Err(vec![error(sample.file, 0, "columns-count", what, None, hint)]);
    }
    let Some(header) = header else { return Ok((vec![String::new(); width], None, None)) };
    let missing = header.names.len().saturating_sub(width);
    let optional = |n: &String| label(n).meaning == Meaning::Note;
    if missing > 0 && !header.names[width..].iter().all(optional) {
        return Err(vec![fewer_fields(sample, &header, width, separator)]);
    }
    let mut names = header.names;
    names.resize(names.len().max(width), String::new());
    Ok((names, line, text))
}

fn fewer_fields(sample: &Sample<'_>, header: &Header, width: usize, separator: Separator) -> Issue {
    let count = header.names.len();
    let what =
        format!("header has {count} names ({}), rows have {width} fields", header.names.join(", "));
    let is_time = |n: &String| {
        matches!(label(n).meaning, Meaning::Time | Meaning::Elapsed | Meaning::DateOrClock)
    };
    let kept: Vec<&str> = header.names.iter().filter(|n| !is_time(n)).map(String::as_str).collect();
    let row = sample.bodies().map(|(_, b)| b).find(|b| {
        split(b, separator).len() == width && b.starts_with(|c: char| c.is_ascii_digit())
    });
    let why = format!("first row: {}", row.unwrap_or_default().trim());
    let list = if kept.len() == width { kept.join(",") } else { vec!["-"; width].join(",") };
    let hint = format!("say which name each field has:  --columns {list}");
    error(sample.file, header.line, "header-count", what, Some(why), hint)
}
