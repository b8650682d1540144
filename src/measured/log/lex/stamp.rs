//! Dates and clocks as loggers write them.

use super::calendar::{days, month};

const DAY_S: f64 = 86_400.0;

/// A date; the order of day and month may be open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Date {
    /// Days since 1970-01-01.
    Days(i64),
    /// `a/b/year`: which is the month must be decided for the whole file.
    Open {
        /// First number.
        a: u32,
        /// Second number.
        b: u32,
        /// Year.
        year: i64,
    },
}

/// A date, a clock or both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stamp {
    /// The date, when one is written.
    pub date: Option<Date>,
    /// Seconds since midnight, or an elapsed time as `hh:mm:ss`, when written.
    pub second: Option<f64>,
    /// Offset from UTC \[s\], when written.
    pub offset_s: Option<f64>,
    /// Whether the clock has two parts only: hours and minutes, or minutes and seconds.
    pub short: bool,
    /// Whether it is a time since the start by its form: with days, units or `T+`.
    pub elapsed: bool,
}

impl Stamp {
    fn since_start(second: f64) -> Self {
        Self { elapsed: true, ..Self::new(None, Some(second)) }
    }

    fn new(date: Option<Date>, second: Option<f64>) -> Self {
        Self { date, second, offset_s: None, short: false, elapsed: false }
    }
}

impl Date {
    /// Days since 1970-01-01, with the month first or second where that is open.
    #[must_use]
    pub fn days(self, month_first: bool) -> Option<i64> {
        match self {
            Self::Days(days) => Some(days),
            Self::Open { a, b, year } if month_first => days(year, a, b),
            Self::Open { a, b, year } => days(year, b, a),
        }
    }
}

/// Up to `most` digits at the start.
fn digits(text: &str, most: usize) -> Option<(u32, usize)> {
    let count = text.bytes().take_while(u8::is_ascii_digit).count();
    if count == 0 || count > most {
        return None;
    }
    text[..count].parse().ok().map(|n| (n, count))
}

/// A date with the name of its month: `14-Mar-2026`, `14 March 2026`, `Mar 14 2026`, `Sat, 14 Mar 2026`.
fn named(text: &str) -> Option<(Date, usize)> {
    let skip = |at: usize| {
        let rest = &text[at..];
        at + rest.len() - rest.trim_start_matches([' ', '-', '/', '.', ',']).len()
    };
    let weekday = text.get(..3).filter(|d| {
        ["mon", "tue", "wed", "thu", "fri", "sat", "sun"].contains(&d.to_ascii_lowercase().as_str())
    });
    let mut at = 0;
    if weekday.is_some() {
        at = skip(text.bytes().take_while(u8::is_ascii_alphabetic).count());
    }
    let (day, month, end) = if let Some((month, n)) = month(&text[at..]) {
        let at = skip(at + n);
        let (day, n) = digits(&text[at..], 2)?;
        (day, month, at + n)
    } else {
        let (day, n) = digits(&text[at..], 2)?;
        let at = skip(at + n);
        let (month, n) = month(&text[at..])?;
        (day, month, at + n)
    };
    let at = skip(end);
    if let Some((year, n)) = digits(&text[at..], 4).filter(|(_, n)| *n == 4) {
        return Some((Date::Days(days(i64::from(year), month, day)?), at + n));
    }
    if let Some((year, n)) = digits(&text[at..], 2).filter(|(_, n)| *n == 2)
        && !text[at + n..].starts_with(':')
    {
        return Some((Date::Days(days(2000 + i64::from(year), month, day)?), at + n));
    }
    // `Sat Mar 14 15:02:10 2026`: the year stands after the clock, where `at` looks for it.
    None
}

/// `Sat Mar 14 15:02:10 2026`, as some systems print the time.
fn year_last(text: &str) -> Option<(Stamp, usize)> {
    let words: Vec<&str> = text.splitn(6, ' ').filter(|w| !w.is_empty()).collect();
    let from = words.iter().position(|w| month(w).is_some()).filter(|i| *i <= 1)?;
    let [name, day, time, year] = words.get(from..from + 4)? else { return None };
    let year = digits(year, 4).filter(|(_, n)| *n == 4)?;
    let (second, _) = clock(time).filter(|(_, n)| *n == time.len())?;
    let date = days(i64::from(year.0), month(name)?.0, day.parse().ok()?)?;
    let end = words[from + 3].as_ptr() as usize - text.as_ptr() as usize + year.1;
    Some((Stamp::new(Some(Date::Days(date)), Some(second)), end))
}

/// A time since the start in words: `0d 23:45:00`, `1 day, 2:03:04`, `09h15m30s`, `1 min 30 s`.
fn span(text: &str) -> Option<(f64, usize)> {
    const UNITS: [(&str, f64); 14] = [
        ("days", DAY_S),
        ("day", DAY_S),
        ("hours", 3600.0),
        ("hour", 3600.0),
        ("minutes", 60.0),
        ("seconds", 1.0),
        ("mins", 60.0),
        ("min", 60.0),
        ("secs", 1.0),
        ("sec", 1.0),
        ("d", DAY_S),
        ("h", 3600.0),
        ("m", 60.0),
        ("s", 1.0),
    ];
    let (mut total, mut at, mut parts, mut before) = (0.0, 0, 0, f64::INFINITY);
    loop {
        let rest = &text[at..];
        let skip = rest.len() - rest.trim_start_matches([' ', ',']).len();
        let rest = &rest[if parts > 0 { skip } else { 0 }..];
        if before == DAY_S
            && let Some((second, n)) = clock(rest).filter(|(s, _)| *s < DAY_S)
        {
            return Some((total + second, text.len() - rest.len() + n));
        }
        let Some((value, n)) = digits(rest, 5) else { break };
        let after = rest[n..].trim_start_matches(' ');
        let unit = UNITS.iter().find(|(word, _)| {
            let next = after.strip_prefix(word).map(|r| r.chars().next());
            next.is_some_and(|c| !c.is_some_and(char::is_alphabetic))
        });
        let Some((word, seconds)) = unit.filter(|(_, s)| *s < before) else { break };
        total += f64::from(value) * seconds;
        (parts, before) = (parts + 1, *seconds);
        at = text.len() - after.len() + word.len();
    }
    (parts > 1).then_some((total, at))
}

/// `20260314T150210`, `20260314150210`: a date and a clock without marks between (ISO 8601 basic format).
fn basic(text: &str) -> Option<(Stamp, usize)> {
    let count = text.bytes().take_while(u8::is_ascii_digit).count();
    let part = |from: usize, to: usize| text.get(from..to)?.parse::<u32>().ok();
    let clock_from = match count {
        14 => 8,
        8 if text[8..].starts_with('T') => 9,
        _ => return None,
    };
    if !text.bytes().skip(clock_from).take(6).all(|b| b.is_ascii_digit()) {
        return None;
    }
    let days = days(i64::from(part(0, 4)?), part(4, 6)?, part(6, 8)?)?;
    let c = clock_from;
    let (hour, minute, second) = (part(c, c + 2)?, part(c + 2, c + 4)?, part(c + 4, c + 6)?);
    if hour > 23 || minute > 59 || second > 60 {
        return None;
    }
    let of_day = f64::from(hour * 3600 + minute * 60 + second);
    let end = c + 6;
    let zone = offset(&text[end..]);
    let stamp = Stamp::new(Some(Date::Days(days)), Some(of_day));
    let length = end + zone.map_or(0, |z| z.1);
    Some((Stamp { offset_s: zone.map(|z| z.0), ..stamp }, length))
}

/// The date a text starts with, and its length.
fn date(text: &str) -> Option<(Date, usize)> {
    if let Some(found) = named(text) {
        return Some(found);
    }
    let (first, n) = digits(text, 4)?;
    let mark = text[n..].chars().next().filter(|c| matches!(c, '-' | '/' | '.'))?;
    let (second, m) = digits(&text[n + 1..], 2)?;
    let at = n + 1 + m;
    let rest = text[at..].strip_prefix(mark)?;
    let (third, k) = digits(rest, 4)?;
    let length = at + 1 + k;
    if rest[k..].starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    if n == 4 {
        let date = days(i64::from(first), second, third).filter(|_| k <= 2)?;
        return Some((Date::Days(date), length));
    }
    let year = match k {
        4 => i64::from(third),
        2 => 2000 + i64::from(third),
        _ => return None,
    };
    let date = match mark {
        // With points the day always comes first (common practice).
        '.' => Date::Days(days(year, second, first)?),
        _ => {
            let open = Date::Open { a: first, b: second, year };
            open.days(true).or(open.days(false))?;
            open
        }
    };
    Some((date, length))
}

/// The clock a text starts with: `h:mm`, `h:mm:ss.fff`, with AM or PM; seconds and length.
fn clock(text: &str) -> Option<(f64, usize)> {
    let (hour, n) = digits(text, 5)?;
    let (minute, m) =
        digits(text[n..].strip_prefix(':')?, 2).filter(|(v, m)| *m == 2 && *v < 60)?;
    let mut at = n + 1 + m;
    let mut second = 0.0;
    if let Some(rest) = text[at..].strip_prefix(':') {
        let (whole, k) = digits(rest, 2).filter(|(v, k)| *k == 2 && *v < 61)?;
        at += 1 + k;
        second = f64::from(whole);
        let fraction = &text[at..];
        let count = fraction.bytes().skip(1).take_while(u8::is_ascii_digit).count();
        // "57,25.0": a comma before another number parts fields.
        let goes_on =
            fraction.starts_with(',') && fraction[1 + count..].starts_with(['.', ',', ';']);
        if fraction.starts_with(['.', ',']) && (1..=9).contains(&count) && !goes_on {
            second += format!("0.{}", &fraction[1..=count]).parse::<f64>().unwrap_or(0.0);
            at += 1 + count;
        }
    } else if hour > 999 {
        return None;
    }
    let rest = text[at..].trim_start_matches(' ');
    let lower: String = rest.chars().take(5).collect::<String>().to_ascii_lowercase();
    let half =
        ["a.m.", "p.m.", "a. m.", "p. m.", "am", "pm"].into_iter().find(|h| lower.starts_with(h));
    let mut hour = f64::from(hour);
    if let Some(half) = half.filter(|_| (1.0..=12.0).contains(&hour)) {
        let goes_on = rest[half.len()..].starts_with(char::is_alphanumeric);
        if !goes_on {
            hour = hour % 12.0 + if half.starts_with('p') { 12.0 } else { 0.0 };
            at = text.len() - rest.len() + half.len();
        }
    }
    if text[at..].starts_with([':', '.'])
        && text[at + 1..].starts_with(|c: char| c.is_ascii_digit())
    {
        return None;
    }
    Some((hour * 3600.0 + f64::from(minute) * 60.0 + second, at))
}

/// The offset from UTC a text starts with: `Z`, `+02:00`, `-0430`, ` UTC`.
fn offset(text: &str) -> Option<(f64, usize)> {
    if let Some(rest) = text.strip_prefix(" UTC") {
        return (!rest.starts_with(['+', '-'])).then_some((0.0, 4));
    }
    if text.starts_with('Z') {
        return Some((0.0, 1));
    }
    let blank = usize::from(text.starts_with(" +") || text.starts_with(" -"));
    let text = &text[blank..];
    let sign = match text.as_bytes().first()? {
        b'+' => 1.0,
        b'-' => -1.0,
        _ => return None,
    };
    let count = text[1..].bytes().take_while(u8::is_ascii_digit).count();
    let (hour, minute, length) = if count == 4 {
        (text[1..3].parse::<f64>().ok()?, text[3..5].parse::<f64>().ok()?, 5)
    } else if count == 2 {
        let hour = text[1..3].parse::<f64>().ok()?;
        match text[3..].strip_prefix(':').and_then(|r| digits(r, 2)).filter(|(_, n)| *n == 2) {
            Some((minute, _)) => (hour, f64::from(minute), 6),
            None => (hour, 0.0, 3),
        }
    } else {
        return None;
    };
    // Behind a blank only `+0200` and `+02:00` are offsets for sure: a number may follow a clock.
    let sure = blank == 0 || length > 3;
    (hour <= 14.0 && minute < 60.0 && sure)
        .then_some((sign * (hour * 3600.0 + minute * 60.0), length + blank))
}

/// The stamp a text starts with, and its length in bytes.
#[must_use]
pub fn at(text: &str) -> Option<(Stamp, usize)> {
    let first = text.bytes().next()?;
    if !first.is_ascii_digit() && !first.is_ascii_alphabetic() {
        return None;
    }
    if let Some(found) = year_last(text) {
        return Some(found);
    }
    if let Some(rest) = text.strip_prefix("T+") {
        return clock(rest).map(|(second, n)| (Stamp::since_start(second), n + 2));
    }
    if let Some(found) = basic(text) {
        return Some(found);
    }
    if let Some((second, n)) = span(text) {
        return Some((Stamp::since_start(second), n));
    }
    if let Some((date, length)) = date(text) {
        let rest = &text[length..];
        let gap = rest.len() - rest.trim_start_matches(['T', ' ', ',', '_', '\t']).len();
        if let Some((second, n)) = clock(&rest[gap..]).filter(|(s, _)| gap <= 3 && *s < DAY_S + 1.0)
        {
            let end = length + gap + n;
            let zone = offset(&text[end..]);
            let stamp = Stamp::new(Some(date), Some(second));
            let stamp = Stamp { offset_s: zone.map(|z| z.0), ..stamp };
            return Some((stamp, end + zone.map_or(0, |z| z.1)));
        }
        if let Some((second, n)) = span(&rest[gap..]).filter(|(s, _)| gap <= 3 && *s < DAY_S) {
            return Some((Stamp::new(Some(date), Some(second)), length + gap + n));
        }
        return Some((Stamp::new(Some(date), None), length));
    }
    let (second, n) = clock(text)?;
    let short = text[..n].matches(':').count() == 1;
    Some((Stamp { short, ..Stamp::new(None, Some(second)) }, n))
}

/// The stamp that is the whole text.
#[must_use]
pub fn exact(text: &str) -> Option<Stamp> {
    let text = text.trim();
    at(text).filter(|(_, n)| *n == text.len()).map(|(stamp, _)| stamp)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stamps_of_all_kinds() {
        let of = |t: &str| exact(t).map(|s| (s.date, s.second, s.offset_s));
        let day = Some(Date::Days(20_526));
        assert_eq!(of("2026-03-14T15:02:10+01:00"), Some((day, Some(54_130.0), Some(3_600.0))));
        assert_eq!(of("2026-03-14 15:02:10.5Z"), Some((day, Some(54_130.5), Some(0.0))));
        assert_eq!(of("14.03.2026 15:02"), Some((day, Some(54_120.0), None)));
        assert_eq!(of("14.03.2026"), Some((day, None, None)));
        assert_eq!(of("3:02:10 PM"), Some((None, Some(54_130.0), None)));
        assert_eq!(of("12:00:01 AM"), Some((None, Some(1.0), None)));
        assert_eq!(of("100:00:10"), Some((None, Some(360_010.0), None)));
        assert_eq!(of("1d 02:03:04"), Some((None, Some(93_784.0), None)));
        for text in [
            "14-Mar-2026 15:02:10",
            "14 March 2026 15:02:10",
            "Mar 14, 2026 15:02:10",
            "Sat Mar 14 15:02:10 2026",
            "Sat, 14 Mar 2026 15:02:10",
        ] {
            assert_eq!(of(text), Some((day, Some(54_130.0), None)), "{text}");
        }
        let open = Date::Open { a: 3, b: 14, year: 2026 };
        assert_eq!(of("3/14/2026, 15:02:10"), Some((Some(open), Some(54_130.0), None)));
        for text in ["12.5", "1:2:3", "45", "2026-13-40", "15:02:10:3", "1.2.3"] {
            assert_eq!(of(text), None, "{text}");
        }
    }
}
