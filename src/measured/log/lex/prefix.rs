//! What stands before the readings of a line: stamps of a terminal, counters of a logger's own messages, and
//! the name of the sensor that the line is of.

use super::label::{Label, label};
use super::meaning::Meaning;
use super::number::{Decimal, number};
use super::stamp::{self, Stamp};

/// What stands before the readings of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prefix<'a> {
    /// A stamp of a terminal.
    pub stamp: Option<Stamp>,
    /// A number in brackets or before a colon: a counter, or a sensor.
    pub count: Option<f64>,
    /// A stamp or a number between what stands before the line and the tag.
    pub inner: Inner,
    /// Whether the line is a stamp and nothing else: it holds for the lines that follow.
    pub alone: bool,
    /// A name that may be that of a sensor: `[A]`, `S1:`, `inside`.
    pub tag: Option<&'a str>,
    /// What comes after stamp and counter.
    pub body: &'a str,
    /// What comes after the tag as well.
    pub rest: &'a str,
}

/// A time that stands before a tag.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Inner {
    /// None.
    None,
    /// A stamp.
    Stamp(Stamp),
    /// A counter.
    Count(f64),
}

/// Longest name of a sensor before a line.
const LONGEST_TAG: usize = 40;

/// Words for how grave a message is, which name no sensor.
const LEVELS: [&str; 13] = [
    "i", "w", "e", "d", "v", "info", "warn", "warning", "error", "debug", "verbose", "trace",
    "notice",
];

/// Takes apart what stands before the readings of a line.
#[must_use]
pub fn prefix(line: &str) -> Prefix<'_> {
    let plain = Prefix {
        stamp: None,
        count: None,
        inner: Inner::None,
        alone: false,
        tag: None,
        body: line,
        rest: line,
    };
    // Most tables of numbers have nothing of the kind.
    if !line.bytes().any(|b| matches!(b, b':' | b'[' | b'(' | b'<' | b'>' | b'{' | b'@' | b' ')) {
        return plain;
    }
    if let Some(stamp) = alone(line) {
        let body = &line[line.len()..];
        return Prefix { stamp: Some(stamp), alone: true, body, rest: body, ..plain };
    }
    let (stamp, mut body) = stamped(line);
    let mut count = None;
    let mut numbered = None;
    // `[INFO]` or a second bracket may stand before or after the counter.
    for _ in 0..3 {
        let trimmed = body.trim_start();
        if let Some((inner, rest)) = bracketed(trimmed) {
            if is_level(inner) && !rest.is_empty() {
                body = rest;
                continue;
            }
            if let Some(value) = counted(inner).filter(|_| count.is_none() && !rest.is_empty()) {
                (count, numbered) = (Some(value), Some(inner.trim()));
                body = rest;
                continue;
            }
        }
        if let Some((value, rest)) = levelled(trimmed).filter(|_| count.is_none()) {
            (count, body) = (Some(value), rest);
            continue;
        }
        if let Some((value, text, rest)) =
            colon(trimmed).filter(|_| count.is_none() && stamp.is_none())
        {
            (count, numbered) = (Some(value), Some(text));
            body = rest;
        }
        break;
    }
    let (inner, after) = leading(body);
    let inside = match inner {
        Inner::None => None,
        _ => tagged(after).map(|t| (t, inner)),
    };
    let found =
        inside.or_else(|| tagged(body).filter(|_| inner == Inner::None).map(|t| (t, Inner::None)));
    let (tag, rest, inner) = match (found, behind(body)) {
        (Some(((tag, rest), inner)), _) => (Some(tag), rest, inner),
        (None, Some((tag, rest))) => (Some(tag), rest, Inner::None),
        _ => (numbered, body, Inner::None),
    };
    Prefix { stamp, count, inner, alone: false, tag, body, rest }
}

/// A stamp that is the whole line, perhaps with a ruler or a mark around it.
fn alone(line: &str) -> Option<Stamp> {
    // Before an arrow stands the time of a line, here an empty one.
    if line.contains("->") {
        return None;
    }
    let odd = |c: char| !c.is_alphanumeric();
    let text = line.trim_matches(|c: char| odd(c) && c != '.');
    // A date alone is the head of a day, a clock alone may be a reading's.
    let first = text.bytes().next()?;
    if !first.is_ascii_digit() && !first.is_ascii_alphabetic() || text.len() > 40 {
        return None;
    }
    stamp::exact(text).filter(|s| {
        s.date.is_some() && s.second.is_some()
            || s.second.is_some() && text.len() < line.trim().len()
    })
}

/// The stamp or the number that a line begins with, and the rest.
fn leading(body: &str) -> (Inner, &str) {
    let text = body.trim_start();
    if !text.bytes().next().is_some_and(|b| b.is_ascii_alphanumeric()) {
        return (Inner::None, body);
    }
    let ends = |rest: &str| rest.starts_with([' ', '\t', ',', ';', ':']);
    let trimmed = |rest: &'_ str| {
        rest.len() - rest.trim_start_matches([' ', '\t', ',', ';', ':', '-', '|']).len()
    };
    if let Some((stamp, n)) = stamp::at(text).filter(|(_, n)| ends(&text[*n..])) {
        let rest = &text[n..];
        return (Inner::Stamp(stamp), &rest[trimmed(rest)..]);
    }
    match number(text, Decimal::Point).filter(|(_, n)| ends(&text[*n..])) {
        Some((value, n)) => (Inner::Count(value), &text[n + trimmed(&text[n..])..]),
        None => (Inner::None, body),
    }
}

/// A name behind the readings: `22.1C 45% @front`.
fn behind(body: &str) -> Option<(&str, &str)> {
    let (rest, last) = body.trim_end().rsplit_once(' ')?;
    let name = last.strip_prefix('@')?;
    let digits = rest.bytes().any(|b| b.is_ascii_digit());
    (is_name(name) && digits).then_some((name, rest.trim_end()))
}

/// `13:11:56.548 -> …`, `[2026-03-14 13:11:56] …`, `(13:11:56) …`.
fn stamped(line: &str) -> (Option<Stamp>, &str) {
    let body = line.trim_start();
    let first = body.bytes().next();
    if first.is_some_and(|b| b == b'[' || b == b'(')
        && let Some((inner, rest)) = bracketed(body)
        && let Some(stamp) = stamp::exact(inner)
    {
        return (Some(stamp), rest.trim_start_matches([':', '>', ' ']));
    }
    if !first.is_some_and(|b| b.is_ascii_alphanumeric()) {
        return (None, line);
    }
    let arrow = stamp::at(body).and_then(|(stamp, n)| {
        let rest = body[n..].trim_start();
        Some((stamp, rest.strip_prefix("->").or_else(|| rest.strip_prefix('>'))?))
    });
    match arrow {
        Some((stamp, rest)) => (Some(stamp), rest.trim_start_matches(' ')),
        None => (None, line),
    }
}

/// What stands in brackets at the start, and the rest.
fn bracketed(text: &str) -> Option<(&str, &str)> {
    let close = match text.bytes().next()? {
        b'[' => ']',
        b'(' => ')',
        b'<' => '>',
        _ => return None,
    };
    let (inner, rest) = text[1..].split_once(close)?;
    (inner.len() <= LONGEST_TAG).then(|| (inner, rest.trim_start_matches([' ', ':'])))
}

/// A letter alone may be a sensor's name as well; only before a counter it is a level for sure.
fn is_level(text: &str) -> bool {
    text.trim().len() > 1 && LEVELS.contains(&text.trim().to_ascii_lowercase().as_str())
}

/// A number that is the whole text, with or without `ms` or `s` behind it.
fn counted(text: &str) -> Option<f64> {
    let text = text.trim();
    let (value, n) = number(text, Decimal::Point)?;
    matches!(text[n..].trim(), "" | "ms" | "s").then_some(value)
}

/// `I (345) tag: …`: the counter, and what follows the tag of the program.
fn levelled(text: &str) -> Option<(f64, &str)> {
    let (word, rest) = text.split_once(' ')?;
    if !LEVELS.contains(&word.to_ascii_lowercase().as_str()) {
        return None;
    }
    let (inner, rest) = bracketed(rest.trim_start())?;
    let value = counted(inner)?;
    let rest = match rest.split_once(": ") {
        // A label is no tag of a program.
        Some((tag, after)) if !tag.contains(' ') && !is_reading(tag) => after,
        _ => rest,
    };
    Some((value, rest))
}

/// `1203: …`: a number before a colon and a blank.
fn colon(text: &str) -> Option<(f64, &str, &str)> {
    let (head, rest) = text.split_once(": ")?;
    let bare = head.trim_end_matches("ms").trim_end_matches('s').trim_end();
    let plain = !bare.is_empty()
        && head.len() <= 20
        && bare.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    if !plain || rest.trim().is_empty() {
        return None;
    }
    Some((bare.parse().ok()?, head, rest.trim_start()))
}

fn is_reading(text: &str) -> bool {
    matches!(
        label(text).meaning,
        Meaning::Reading(_) | Meaning::LowerT | Meaning::Time | Meaning::Elapsed
    )
}

fn unknown(text: &str) -> bool {
    matches!(label(text), Label { meaning: Meaning::Unknown, .. })
}

fn is_name(text: &str) -> bool {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '_' | '-' | '.' | '#' | '/');
    let measured = number(text, Decimal::Point)
        .is_some_and(|(_, n)| n == text.len() || super::unit::exact(&text[n..]).is_some());
    !text.is_empty()
        && !measured
        && text.len() <= LONGEST_TAG
        && text.chars().all(plain)
        && text.contains(char::is_alphanumeric)
        && text.split(' ').filter(|w| !w.is_empty()).count() <= 3
        && !is_level(text)
        && stamp::exact(text).is_none()
}

/// The name before the readings of a line, and the readings.
fn tagged(body: &str) -> Option<(&str, &str)> {
    let body = body.trim_start();
    let digits = |rest: &str| {
        rest.bytes().any(|b| b.is_ascii_digit()) || rest.to_ascii_lowercase().contains("nan")
    };
    if let Some((inner, rest)) = bracketed(body) {
        // A JSON array and a tuple begin with a bracket too.
        let name = is_name(inner) && !inner.contains('.') && inner.parse::<f64>().is_err();
        return (name && digits(rest)).then_some((inner.trim(), rest));
    }
    let first = body.bytes().next()?;
    if !first.is_ascii_alphanumeric() && first.is_ascii() || stamp::at(body).is_some() {
        return None;
    }
    // `C0:DE:01 …`: an address of pairs of hexadecimal digits.
    if let Some((word, rest)) = body.split_once(' ') {
        let pairs =
            word.split(':').all(|p| p.len() == 2 && p.bytes().all(|b| b.is_ascii_hexdigit()));
        if pairs && word.matches(':').count() > 1 && digits(rest) {
            return Some((word, rest.trim_start()));
        }
    }
    // `S1: …`, `hot side: …`, `A> …`, `A | …` with a name that is no label.
    if let Some(at) = body.find([':', '>', '=', ',', ';', '|', '{']) {
        let (head, rest) = (body[..at].trim_end(), &body[at + 1..]);
        let mark = body.as_bytes()[at];
        if matches!(mark, b':' | b'>') && is_name(head) && unknown(head) && digits(rest) {
            let rest = rest.trim_start();
            let value = rest.starts_with(|c: char| c.is_ascii_digit() || c == '-');
            // `S1:22.1` alone may be a label and its value; with more behind it the name is a sensor's.
            return (!value || body[at + 1..].starts_with(' ') || rest.contains([' ', ',', ';']))
                .then_some((head, rest));
        }
        if mark == b'{' && is_name(head) {
            return Some((head, &body[at..]));
        }
    }
    // `A T=22.1 …`: a name before a label that is known and marked.
    let (head, rest) = body.split_once(' ')?;
    let rest = rest.trim_start();
    let measured = number(rest, Decimal::Point).is_some_and(|(_, n)| {
        super::unit::at(&rest[n..]).is_some_and(|(u, _)| u.implies().is_some())
    });
    if measured && is_name(head) && unknown(head) {
        return Some((head, rest));
    }
    let next = rest.find([':', '=']).map(|at| rest[..at].trim_end())?;
    let known = next.len() <= LONGEST_TAG
        && !next.contains(|c: char| c.is_ascii_digit() && !next.starts_with(char::is_alphabetic))
        && matches!(label(next), Label { meaning: Meaning::Reading(_) | Meaning::LowerT, ref sensor, .. } if sensor.is_empty());
    (known && is_name(head) && unknown(head) && digits(rest)).then_some((head, rest))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_terminal_puts_stamps_before_lines() {
        let got = prefix("0:00:04.238 -> Humidity: 35 %");
        assert!((got.stamp.and_then(|s| s.second).unwrap_or(f64::NAN) - 4.238).abs() < 1e-9);
        assert_eq!(got.body, "Humidity: 35 %");
        assert_eq!(prefix("[15:02:10] T=3").body, "T=3");
        assert_eq!(prefix("15:02:10 24.1").stamp, None);
    }

    #[test]
    fn counters_before_lines() {
        for (line, count, body) in [
            ("[30000] T=22.1 H=45", 30_000.0, "T=22.1 H=45"),
            ("[   12.345678] T=22.1", 12.345_678, "T=22.1"),
            ("I (345) probe: T=22.1 H=45", 345.0, "T=22.1 H=45"),
            ("1203: T=22.1 H=45", 1203.0, "T=22.1 H=45"),
            ("[INFO] [90] T=22.1 H=45", 90.0, "T=22.1 H=45"),
        ] {
            let got = prefix(line);
            assert_eq!((got.count, got.body), (Some(count), body), "{line}");
        }
    }

    #[test]
    fn names_of_sensors_before_lines() {
        for (line, tag, rest) in [
            ("S1: T=22.1 H=45", Some("S1"), "T=22.1 H=45"),
            ("[A] 22.1, 45.0", Some("A"), "22.1, 45.0"),
            ("in: 22.1C 45%", Some("in"), "22.1C 45%"),
            ("hot side: 22.1 45", Some("hot side"), "22.1 45"),
            ("lab/box/top {\"t\":22.1}", Some("lab/box/top"), "{\"t\":22.1}"),
            ("A T=22.1 H=45", Some("A"), "T=22.1 H=45"),
            ("top 22.1 C 45 %", Some("top"), "22.1 C 45 %"),
            ("T: 22.1 H: 45", None, "T: 22.1 H: 45"),
            ("Humidity: 45 %", None, "Humidity: 45 %"),
            ("[22.1, 45.0]", None, "[22.1, 45.0]"),
            ("22.1C 45% @front", Some("front"), "22.1C 45%"),
            ("C0:DE:01 temp=22.5", Some("C0:DE:01"), "temp=22.5"),
            ("2026-02-16 09:19:38 in: 23.6 C 46.3 %", Some("in"), "23.6 C 46.3 %"),
            ("0 0x44 T: 20.30 C RH: 59.40 %", Some("0x44"), "T: 20.30 C RH: 59.40 %"),
            ("2026-03-29T01:55:00+01:00,20.2,45.0", None, "2026-03-29T01:55:00+01:00,20.2,45.0"),
            ("10:00:00 T=22.1 H=45", None, "10:00:00 T=22.1 H=45"),
            ("time_s,temp_c,rh", None, "time_s,temp_c,rh"),
            ("t=0 S1 T=22.0C", None, "t=0 S1 T=22.0C"),
        ] {
            let got = prefix(line);
            assert_eq!((got.tag, got.rest), (tag, rest), "{line}");
        }
    }
}
