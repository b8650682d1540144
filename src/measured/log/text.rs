//! Lines without readings: what they are, and what they say about the log.

use super::ledger::Class;
use super::lex::unit::{self, Unit};
use super::lex::{Decimal, number};

/// What a line without a reading is, by its words alone; `Text` when they say nothing.
#[must_use]
pub fn class(text: &str) -> Class {
    const FAILED: [&str; 12] = [
        "fail",
        "error",
        "timeout",
        "timed out",
        "checksum",
        "unable",
        "could not",
        "couldn't",
        "cannot read",
        "no response",
        "not found",
        "read err",
    ];
    const RESTART: [&str; 7] =
        ["reboot", "boot", "reset", "restart", "brownout", "watchdog", "power on"];
    let lower = text.trim().to_lowercase();
    let any = |words: &[&str]| words.iter().any(|w| lower.contains(w));
    if lower.is_empty() {
        Class::Blank
    } else if any(&RESTART) {
        Class::Restart
    } else if any(&FAILED) || lower == "nan" || lower == "null" {
        Class::Failed
    } else if lower.starts_with(['#', ';']) || lower.starts_with("//") {
        Class::Comment
    } else {
        Class::Text
    }
}

/// The time between readings that a line states, as `period 30 s`: the words and the seconds.
#[must_use]
pub fn period(text: &str) -> Option<(String, f64)> {
    const WORDS: [&str; 7] =
        ["period", "interval", "every", "sample time", "sampling", "delay", "cadence"];
    let lower = text.to_ascii_lowercase();
    let start = WORDS.iter().filter_map(|w| lower.find(w).map(|at| (at, at + w.len()))).min()?;
    let rest = text.get(start.1..)?;
    let skip = rest.find(|c: char| c.is_ascii_digit()).filter(|n| *n <= 12)?;
    let (value, length) = number(&rest[skip..], Decimal::Point)?;
    let (unit, n) = unit::at(&rest[skip + length..])?;
    let seconds = unit.seconds()? * value;
    let end = start.1 + skip + length + n;
    (seconds > 0.0).then(|| (text[start.0..end].trim().to_owned(), seconds))
}

/// Names of sensors that a comment gives: `# S1=hot inlet  S2=cold side`.
#[must_use]
pub fn names(text: &str) -> Vec<(String, String)> {
    let body = text.trim().trim_start_matches(['#', ';', '/', ' ']);
    let mut out = Vec::new();
    let pieces: Vec<&str> = body.split('=').collect();
    for pair in pieces.windows(2) {
        let key = pair[0].split([' ', '\t', ',', ';']).next_back().unwrap_or("").trim();
        // The value ends where the next key starts.
        let last = std::ptr::eq(pair[1].as_ptr(), pieces[pieces.len() - 1].as_ptr());
        let value = if last {
            pair[1]
        } else {
            pair[1].rsplit_once([' ', '\t', ',', ';']).map_or("", |p| p.0)
        };
        let name = value.trim().trim_end_matches([',', ';']).trim();
        let plain = |s: &str| !s.is_empty() && s.len() <= 40;
        let number = name.starts_with(|c: char| c.is_ascii_digit() || c == '-');
        if plain(key) && plain(name) && !number && unit::exact(name).is_none() {
            out.push((key.to_lowercase(), identifier(name)));
        }
    }
    out
}

/// A name as it may stand in the name of a column.
#[must_use]
pub fn identifier(name: &str) -> String {
    let words: Vec<String> = name
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_lowercase)
        .collect();
    words.join("_")
}

/// Units that a line gives for labels: `t=s`, `T=C, RH=%`.
#[must_use]
pub fn units(text: &str) -> Vec<(String, Unit)> {
    let mut out = Vec::new();
    for piece in text.trim().trim_start_matches(['#', ' ']).split([',', ';', ' ', '\t']) {
        if piece.is_empty() {
            continue;
        }
        match piece.split_once(['=', ':']).and_then(|(k, u)| Some((k, unit::exact(u)?))) {
            Some((key, unit)) if !key.is_empty() => out.push((key.to_owned(), unit)),
            _ => return Vec::new(),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_say_what_they_are() {
        assert_eq!(class("Failed to read from sensor!"), Class::Failed);
        assert_eq!(class("# read failed"), Class::Failed);
        assert_eq!(class("*** T/RH logger boot, reset cause: brownout ***"), Class::Restart);
        assert_eq!(class("# a comment"), Class::Comment);
        assert_eq!(class("sensor test"), Class::Text);
    }

    #[test]
    fn a_banner_may_state_the_period() {
        assert_eq!(period("sensor ok, period 30 s"), Some(("period 30 s".into(), 30.0)));
        assert_eq!(period("Reading every 2 seconds"), Some(("every 2 seconds".into(), 2.0)));
        assert_eq!(period("interval: 500ms"), Some(("interval: 500ms".into(), 0.5)));
        assert_eq!(period("T/RH logger fw 1.3"), None);
    }

    #[test]
    fn comments_name_sensors_and_units() {
        let got = names("# S1=hot inlet  S2=cold side  AMB=bench");
        let want = [("s1", "hot_inlet"), ("s2", "cold_side"), ("amb", "bench")];
        assert_eq!(got, want.map(|(a, b)| (a.to_owned(), b.to_owned())));
        assert!(names("# t=5").is_empty());
        assert_eq!(units("t=s"), [("t".to_owned(), Unit::Second)]);
        assert!(units("t=0 S1 T=22.0C").is_empty());
    }
}
