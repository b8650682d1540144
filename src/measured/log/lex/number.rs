//! Numbers with either decimal mark, and the words that stand for a missing one.

use std::borrow::Cow;

/// The decimal mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimal {
    /// `20.3`
    Point,
    /// `20,3`
    Comma,
}

impl Decimal {
    /// The mark itself.
    #[must_use]
    pub fn mark(self) -> u8 {
        match self {
            Self::Point => b'.',
            Self::Comma => b',',
        }
    }
}

/// The number a text starts with, and its length in bytes.
#[must_use]
pub fn number(text: &str, decimal: Decimal) -> Option<(f64, usize)> {
    let bytes = text.as_bytes();
    let digits = |from: usize| bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let mut at = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let whole = digits(at);
    at += whole;
    if bytes.get(at) == Some(&decimal.mark()) {
        let fraction = digits(at + 1);
        if whole + fraction == 0 {
            return None;
        }
        // "24." is a number too, but the point of "24. Temp" ends a sentence.
        at += if fraction > 0 { 1 + fraction } else { 0 };
    } else if whole == 0 {
        return None;
    }
    if let Some(b'e' | b'E') = bytes.get(at) {
        let sign = usize::from(matches!(bytes.get(at + 1), Some(b'+' | b'-')));
        let power = digits((at + 1 + sign).min(bytes.len()));
        at += if power > 0 { 1 + sign + power } else { 0 };
    }
    let typed = match decimal {
        Decimal::Point => Cow::Borrowed(&text[..at]),
        Decimal::Comma => Cow::Owned(text[..at].replace(',', ".")),
    };
    typed.parse::<f64>().ok().filter(|v| v.is_finite()).map(|v| (v, at))
}

/// A number whose digits stand in groups of three, `1,013.25`, `1.013,25`, `1'203'000`, and its length: only where
/// it can be nothing else, by the other mark behind the groups or by more than one group.
#[must_use]
pub fn grouped(text: &str, decimal: Decimal) -> Option<(f64, usize)> {
    let bytes = text.as_bytes();
    let start = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let digits = |from: usize| bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let first = digits(start);
    if !(1..=3).contains(&first) || bytes[start] == b'0' {
        return None;
    }
    let mark = *bytes.get(start + first)?;
    if !matches!(mark, b',' | b'.' | b'\'' | b' ') {
        return None;
    }
    let (mut at, mut groups) = (start + first, 0);
    while bytes.get(at) == Some(&mark) && digits(at + 1) == 3 {
        (at, groups) = (at + 4, groups + 1);
    }
    let other = if mark == b',' { b'.' } else { b',' };
    let ends = match bytes.get(at) {
        Some(b) if *b == other && matches!(mark, b',' | b'.') => digits(at + 1),
        Some(b'.' | b',') if matches!(mark, b'\'' | b' ') => digits(at + 1),
        _ => 0,
    };
    let apart = mark == b'\'' || mark == b' ' && at == bytes.len();
    let sure = groups > 0 && (apart || ends > 0 && mark != b' ')
        || groups > 1 && mark != decimal.mark() && mark != b' ';
    if !sure {
        return None;
    }
    let whole: String = text[..at].chars().filter(|c| c.is_ascii_digit() || *c == '-').collect();
    let end = if ends > 0 { at + 1 + ends } else { at };
    let typed = if ends > 0 { format!("{whole}.{}", &text[at + 1..end]) } else { whole };
    typed.parse().ok().map(|v| (v, end))
}

/// Whether a cell is an agreed way of writing that there is no value.
#[must_use]
pub fn is_missing(cell: &str) -> bool {
    const WORDS: [&str; 22] = [
        "",
        "nan",
        "-nan",
        "+nan",
        "null",
        "none",
        "n/a",
        "na",
        "#n/a",
        "inf",
        "-inf",
        "ovf",
        "err",
        "error",
        "?",
        "undefined",
        "fail",
        "failed",
        "fault",
        "timeout",
        "invalid",
        "overrange",
    ];
    let cell = cell.trim();
    let mark = |c: char| matches!(c, '-' | '–' | '—' | '_');
    let dashes = cell.starts_with(mark) && cell.chars().all(|c| mark(c) || matches!(c, '.' | ','));
    dashes || cell.len() <= 9 && WORDS.contains(&cell.to_ascii_lowercase().as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_end_where_they_end() {
        let point = |t| number(t, Decimal::Point);
        assert_eq!(point("24.1,45.0"), Some((24.1, 4)));
        assert_eq!(point("-3e2x"), Some((-300.0, 4)));
        assert_eq!(point("24. C"), Some((24.0, 2)));
        assert_eq!(point(".5"), Some((0.5, 2)));
        assert_eq!((point("-"), point("."), point("x"), point("")), (None, None, None, None));
        assert_eq!(number("20,3;51", Decimal::Comma), Some((20.3, 4)));
        assert_eq!(point("5e"), Some((5.0, 1)));
        assert_eq!(point("1e999"), None);
        assert_eq!(point("-0.30,"), Some((-0.3, 5)));
        assert_eq!(point("123456789012345678.5"), Some((123_456_789_012_345_678.5, 20)));
    }

    #[test]
    fn groups_of_three_digits() {
        let point = |t| grouped(t, Decimal::Point);
        assert_eq!(point("1,013.25 hPa"), Some((1013.25, 8)));
        assert_eq!(grouped("1.013,2", Decimal::Comma), Some((1013.2, 7)));
        assert_eq!(point("1'203'000"), Some((1_203_000.0, 9)));
        assert_eq!(point("1,203,000"), Some((1_203_000.0, 9)));
        for text in ["22,450", "22.450", "0,123.4", "1,01.5", "1234,567.8", ""] {
            assert_eq!(point(text), None, "{text}");
        }
    }

    #[test]
    fn missing_values_have_many_words() {
        for cell in ["", "NaN", "---", " nan ", "null", "--", "N/A"] {
            assert!(is_missing(cell), "{cell:?}");
        }
        assert!(!is_missing("ON") && !is_missing("-1"));
    }
}
