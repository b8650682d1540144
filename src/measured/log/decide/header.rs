//! Rows of fields: their headers, the units under them, and names where there are none.

use super::Sample;
use super::table::{TableShape, usual_length};
use crate::measured::log::complaint::Question;
use crate::measured::log::complaint::error;
use crate::measured::log::lex::{Decimal, Meaning, label};
use crate::measured::log::options::Separator;
use crate::measured::log::shapes::columns::{Columns, looks_like_row, names, split, units};
use crate::measured::log::shapes::{Record, Shape, cell};

/// A line that names columns, with what stands above and under it.
#[derive(Clone, Debug, Default)]
struct Header {
    text: String,
    names: Vec<String>,
    lines: Vec<u64>,
}

/// Rows under one header.
#[derive(Debug, Default)]
struct Part {
    header: Option<Header>,
    rows: Vec<(u64, String, Vec<String>)>,
}

impl Part {
    fn width(&self) -> usize {
        usual_length(self.rows.iter().map(|(_, _, f)| f.len()))
    }
}

/// The tables of rows parted by `separator`: one for each header.
pub(super) fn columns(
    sample: &mut Sample<'_>,
    separator: Separator,
    decimal: Decimal,
) -> Result<Vec<TableShape>, Vec<Question>> {
    let mut parts = parts(sample, separator, decimal);
    let most = parts.iter().map(|p| p.rows.len()).max().unwrap_or(0);
    let main = parts.iter().find(|p| p.rows.len() == most).map_or(0, Part::width);
    // A line of a preamble may look like a row of two fields.
    let headed = parts.iter().any(|p| p.header.is_some());
    parts.retain(|p| {
        p.rows.len() == most || p.width() == main || p.header.is_some() && p.rows.len() > 1
    });
    if headed && parts.iter().any(|p| p.header.is_some() && p.rows.len() >= 2) {
        parts.retain(|p| p.header.is_some() || p.rows.len() > 2 && p.width() == main);
    }
    parts.into_iter().map(|part| table(sample, part, separator, decimal)).collect()
}

/// The rows of the sample under their headers.
fn parts(sample: &Sample<'_>, separator: Separator, decimal: Decimal) -> Vec<Part> {
    let tagged = sample.tagged;
    let mut parts: Vec<Part> = vec![Part::default()];
    let mut now = 0;
    let mut pending: Option<Header> = None;
    let mut above: Option<(u64, Vec<String>)> = None;
    for (line, body, tag) in sample.tagged_bodies() {
        let mut fields = split(body, separator);
        if tagged {
            fields.insert(0, tag.unwrap_or_default().to_owned());
        }
        if looks_like_row(&fields, decimal) {
            if let Some(header) = pending.take() {
                let same = |p: &Part| p.header.as_ref().is_some_and(|h| h.text == header.text);
                now = parts.iter().position(same).unwrap_or(parts.len());
                if now == parts.len() {
                    parts.push(Part { header: Some(header), rows: Vec::new() });
                }
            }
            parts[now].rows.push((line, body.to_owned(), fields));
            above = None;
            continue;
        }
        let attach = pending.as_mut();
        if let (Some(header), Some(units)) = (attach, units(body, separator)) {
            unite(header, line, &units);
            continue;
        }
        match names(body, separator) {
            Some(found) => {
                let mut header =
                    Header { text: body.trim().to_owned(), names: found, lines: vec![line] };
                if tagged {
                    header.names.insert(0, "sensor".to_owned());
                }
                // Names above names: the upper ones may be known too.
                let old = pending
                    .take()
                    .map(|h| (h.lines[0], split(h.text.trim_start_matches('#'), separator)));
                if let Some((line, upper)) = old.or(above.take()) {
                    below(&mut header, line, &upper);
                }
                pending = Some(header);
            }
            None => above = Some((line, fields)).filter(|(_, f)| f.len() > 1),
        }
    }
    parts.retain(|p| !p.rows.is_empty());
    parts
}

/// Units that stand in a line of their own under the names.
fn unite(header: &mut Header, line: u64, units: &[String]) {
    let from = header.names.len().saturating_sub(units.len());
    for (name, unit) in header.names.iter_mut().skip(from).zip(units) {
        if crate::measured::log::lex::unit::exact(unit).is_some() {
            *name = format!("{name} [{unit}]");
        }
    }
    header.lines.push(line);
}

/// Names of sensors in a line of their own above the names; a name holds until the next one.
fn below(header: &mut Header, line: u64, upper: &[String]) {
    let mut sorted: Vec<&String> = header.names.iter().collect();
    sorted.sort();
    let double = sorted.windows(2).any(|w| w[0] == w[1] && !w[0].is_empty());
    let readings = upper.iter().filter(|u| matches!(label(u).meaning, Meaning::Reading(_))).count();
    if !double || readings > 0 || upper.len() > header.names.len() + 1 {
        return;
    }
    let mut holds = "";
    for (i, name) in header.names.iter_mut().enumerate() {
        match upper.get(i).map(|u| u.trim()) {
            Some(text) if !text.is_empty() => holds = text,
            _ => {}
        }
        if matches!(label(name).meaning, Meaning::Reading(_) | Meaning::LowerT) && !holds.is_empty()
        {
            *name = format!("{holds} {name}");
        } else if name.is_empty() {
            *name = holds.to_owned();
        } else if let Some(unit) =
            crate::measured::log::lex::unit::exact(name).filter(|_| !holds.is_empty())
        {
            *name = format!("{holds} [{}]", unit.shown());
        }
    }
    header.lines.push(line);
}

fn table(
    sample: &Sample<'_>,
    part: Part,
    separator: Separator,
    decimal: Decimal,
) -> Result<TableShape, Vec<Question>> {
    let width = part.width();
    let (names, text, lines) = name_all(sample, &part, width)?;
    let width = width.max(names.len());
    let shape =
        Columns { separator, decimal, header: text, tagged: sample.tagged, uses: Vec::new() };
    let mut table = TableShape::new(Shape::Columns(shape), decimal, names);
    table.header_lines = lines;
    for (line, body, fields) in part.rows {
        let fits = fields.iter().take(width).enumerate();
        let record: Record = fits.map(|(i, f)| (i, cell(f, decimal))).collect();
        let shown = if sample.tagged { body } else { fields.join("  ") };
        table.add(line, &shown, record);
    }
    Ok(table)
}

type Names = (Vec<String>, Option<String>, Vec<u64>);

/// Names from `--columns`, else from the header, else none.
fn name_all(sample: &Sample<'_>, part: &Part, width: usize) -> Result<Names, Vec<Question>> {
    let lines = part.header.as_ref().map_or(Vec::new(), |h| h.lines.clone());
    let text = part.header.as_ref().map(|h| h.text.clone());
    if let Some(columns) = &sample.options.columns {
        let mut columns = columns.clone();
        if sample.tagged && columns.len() + 1 == width {
            columns.insert(0, "sensor".to_owned());
        }
        if columns.len() == width {
            return Ok((columns, text, lines));
        }
        let what = format!("--columns names {} columns, rows have {width} fields", columns.len());
        let hint = "write one name per field, `-` for one to leave out";
        return Err(vec![error(sample.file, 0, "columns-count", what, None, hint).into()]);
    }
    let Some(header) = &part.header else { return Ok((vec![String::new(); width], None, lines)) };
    let missing = header.names.len().saturating_sub(width);
    let optional = |n: &String| label(n).meaning == Meaning::Note;
    if missing > 0 && !header.names[width..].iter().all(optional) {
        return Err(vec![fewer_fields(sample, header, part, width)]);
    }
    let mut names = header.names.clone();
    // A counter of rows often stands before the first name.
    names.resize(names.len().max(width), String::new());
    Ok((names, text, lines))
}

fn fewer_fields(sample: &Sample<'_>, header: &Header, part: &Part, width: usize) -> Question {
    let count = header.names.len();
    let what =
        format!("header has {count} names ({}), rows have {width} fields", header.names.join(", "));
    let is_time = |n: &String| {
        matches!(label(n).meaning, Meaning::Time | Meaning::Elapsed | Meaning::DateOrClock)
    };
    let kept: Vec<&str> = header.names.iter().filter(|n| !is_time(n)).map(String::as_str).collect();
    let row = part.rows.iter().find(|(_, _, f)| f.len() == width).map(|(_, body, _)| body.as_str());
    let why = format!("first row: {}", row.unwrap_or_default().trim());
    let line = header.lines.first().copied().unwrap_or(0);
    let list = if kept.len() == width { kept.join(",") } else { vec!["-"; width].join(",") };
    let attempts = super::question::columns(sample, &list);
    Question { issue: error(sample.file, line, "header-count", what, Some(why), ""), attempts }
}
