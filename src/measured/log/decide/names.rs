//! Names of sensors that stand before lines or over them.

use std::collections::BTreeMap;

use super::Sample;
use super::said::MOST_SENSORS;
use crate::measured::log::lex::{Meaning, label};

/// Whether the names before the lines are those of sensors: some, each more than once, on most lines.
pub(super) fn tagged(sample: &Sample<'_>) -> bool {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let mut lines = 0;
    for view in &sample.views {
        let digits = view.prefix.body.bytes().any(|b| b.is_ascii_digit());
        lines += usize::from(digits);
        if let Some(tag) = view.prefix.tag {
            *counts.entry(tag).or_default() += 1;
        }
    }
    let repeated = counts.values().filter(|n| **n > 1).count();
    let all: usize = counts.values().sum();
    // A counter of lines or of time is another at every line.
    (2..=MOST_SENSORS).contains(&counts.len())
        && repeated >= 2
        && 2 * counts.len() <= all
        && 5 * all >= 3 * lines
}

/// A line that names the sensor of the lines after it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Heading<'a> {
    /// The line without blanks around it.
    pub line: &'a str,
    /// The name.
    pub name: &'a str,
}

/// The name in a line such as `Sensor: upper`, `## Shelf 1 ##` or `[A]`; none in a line that says more.
fn heading(body: &str) -> Option<&str> {
    let name = body.trim().trim_matches(|c: char| !c.is_alphanumeric());
    let plain = |c: char| c.is_alphanumeric() || matches!(c, ' ' | ':' | '_' | '-');
    let short = (1..=30).contains(&name.len())
        && name.chars().all(plain)
        && name.split_whitespace().count() <= 3;
    let known =
        matches!(label(name).meaning, Meaning::Reading(_) | Meaning::Time | Meaning::Elapsed);
    let value =
        name.split([':', ' ']).any(|w| w.len() > 4 && w.bytes().all(|b| b.is_ascii_digit()));
    (short && !known && !value && name.contains(char::is_alphabetic)).then_some(name)
}

/// Lines that name sensors in turn, each with readings after it: they begin with one word and end with another each.
pub(super) fn headings<'a>(sample: &Sample<'a>) -> Vec<Heading<'a>> {
    let mut found: Vec<(Heading<'a>, usize)> = Vec::new();
    let mut now: Option<usize> = None;
    let digits = |b: &str| b.bytes().filter(u8::is_ascii_digit).count() > 2;
    for view in &sample.views {
        let body = view.prefix.body;
        if let Some(name) = heading(body).filter(|_| !digits(body)) {
            let line = body.trim();
            now = Some(found.iter().position(|(h, _)| h.line == line).unwrap_or_else(|| {
                found.push((Heading { line, name }, 0));
                found.len() - 1
            }));
        } else if digits(body)
            && let Some(i) = now
        {
            found[i].1 += 1;
        }
    }
    found.retain(|(_, lines)| *lines > 1);
    let first = |h: &Heading<'_>| h.name.split([' ', ':']).next().unwrap_or("").to_lowercase();
    let bracketed = |h: &Heading<'_>| h.line.starts_with('[') && h.line.ends_with(']');
    let alike = found.iter().all(|(h, _)| bracketed(h))
        || found
            .iter()
            .all(|(h, _)| first(h) == first(&found[0].0) && h.name.len() > first(h).len());
    // `[reading 1]`, `[reading 2]`, …: each has a few lines of its own, and none comes again.
    let counted = found.len() > 3
        && found
            .iter()
            .all(|(h, lines)| *lines <= 4 && h.name.ends_with(|c: char| c.is_ascii_digit()));
    if counted || found.len() < 2 || found.len() > MOST_SENSORS || !alike {
        return Vec::new();
    }
    found.into_iter().map(|(h, _)| h).collect()
}

/// Gives the lines under headings the names of these.
pub(super) fn under_headings<'a>(sample: &mut Sample<'a>, headings: &[Heading<'a>]) {
    let mut now = None;
    for view in &mut sample.views {
        let line = view.prefix.body.trim();
        match headings.iter().find(|h| h.line == line) {
            Some(heading) => {
                now = Some(heading.name);
                sample.taken.insert(view.number);
            }
            None => {
                view.prefix.tag = view.prefix.tag.or(now);
                if view.prefix.tag == now {
                    view.prefix.rest = view.prefix.body;
                }
            }
        }
    }
    sample.tagged = true;
}
