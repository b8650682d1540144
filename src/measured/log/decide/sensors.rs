//! Names of sensors in the rows.

use super::Sample;
use super::draft::Draft;
use crate::measured::Quantity;
use crate::measured::log::lex::{Label, Meaning};
use crate::measured::log::shapes::Cell;
use crate::measured::log::text;

/// Names of sensors: from comments and options; none for the only one.
pub(super) fn name(sample: &Sample<'_>, drafts: &mut [Draft]) {
    let reading = |m: Meaning| matches!(m, Meaning::Reading(_) | Meaning::Humidity(_));
    let kept = |d: &Draft| -> Vec<Label> {
        let all = d.labels.iter().zip(&d.ignored);
        all.filter(|(l, why)| why.is_none() && reading(l.meaning)).map(|(l, _)| l.clone()).collect()
    };
    let labels: Vec<Label> = drafts.iter().flat_map(kept).collect();
    let air = |l: &Label, warm: bool| match l.meaning {
        Meaning::Reading(Quantity::Temperature) => warm,
        Meaning::Reading(Quantity::RelativeHumidity) | Meaning::Humidity(_) => !warm,
        _ => false,
    };
    let of = |warm: bool| {
        let mut names: Vec<String> =
            labels.iter().filter(|l| air(l, warm)).map(|l| l.sensor.clone()).collect();
        names.sort();
        names.dedup();
        names
    };
    let (warm, humid) = (of(true), of(false));
    let mut all: Vec<String> = warm.iter().chain(&humid).cloned().collect();
    all.sort();
    all.dedup();
    // one sensor, or a temperature and a humidity that are named after different things
    let single = all.len() <= 1 || warm.len() == 1 && humid.len() == 1;
    let shared = common(sample, drafts, &all);
    let comments: Vec<(String, String)> =
        sample.bodies().take(200).flat_map(|(_, b)| comment_names(b)).collect();
    for draft in drafts.iter_mut() {
        for label in draft.labels.iter_mut().filter(|l| reading(l.meaning)) {
            let typed = label.sensor.clone();
            let stated = comments.iter().find(|(k, _)| *k == typed).map(|(_, v)| v.clone());
            let known = all.contains(&typed);
            let short = typed.strip_prefix(&shared.0).unwrap_or(&typed);
            let short = short.strip_suffix(&shared.1).unwrap_or(short).to_owned();
            let new = sample.options.renamed(&typed).or(sample.options.renamed(&short));
            label.sensor = match new {
                Some(new) => text::identifier(new),
                None if single && known => String::new(),
                None => stated.unwrap_or(short),
            };
        }
    }
}

/// What the names of all sensors begin and end with, where they are parts of a topic or a path: it names none of them.
fn common(sample: &Sample<'_>, drafts: &[Draft], all: &[String]) -> (String, String) {
    let path = |n: &String| {
        n.contains('/') || n.contains('.') && n.contains(char::is_alphabetic) && !n.contains(' ')
    };
    let tags = sample.views.iter().filter(|_| sample.tagged).filter_map(|v| v.prefix.tag);
    let words = drafts.iter().flat_map(|d| d.table.cells.iter().flatten()).take(2000);
    let written = drafts.iter().any(|d| d.names.iter().any(path))
        || tags.take(200).any(|t| t.contains('/'))
        || words.into_iter().any(|c| matches!(c, Cell::Word(w) if w.contains('/')));
    let named: Vec<&String> = all.iter().filter(|n| !n.is_empty()).collect();
    let (Some(first), true) = (named.first(), written && named.len() > 1) else {
        return (String::new(), String::new());
    };
    let parts: Vec<&str> = first.split('_').collect();
    let lengths = || (1..parts.len()).rev();
    let start = lengths().map(|n| format!("{}_", parts[..n].join("_")));
    let start = start
        .into_iter()
        .find(|s| named.iter().all(|n| n.starts_with(s.as_str())))
        .unwrap_or_default();
    let end = lengths().map(|n| format!("_{}", parts[parts.len() - n..].join("_")));
    let long = |n: &&String, e: &str| n.ends_with(e) && n.len() > e.len() + start.len();
    let end = end.into_iter().find(|e| named.iter().all(|n| long(n, e))).unwrap_or_default();
    (start, end)
}

fn comment_names(body: &str) -> Vec<(String, String)> {
    let comment = body.trim_start().starts_with(['#', ';']) || body.trim_start().starts_with("//");
    if comment { text::names(body) } else { Vec::new() }
}
