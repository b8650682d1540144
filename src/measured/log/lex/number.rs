//! Numbers with either decimal mark, and the words that stand for a missing one.

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
    let typed = text[..at].replace(',', ".");
    typed.parse::<f64>().ok().filter(|v| v.is_finite()).map(|v| (v, at))
}

/// Whether a cell is an agreed way of writing that there is no value.
#[must_use]
pub fn is_missing(cell: &str) -> bool {
    const WORDS: [&str; 16] = [
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
    ];
    let cell = cell.trim();
    let dashes = !cell.is_empty() && cell.chars().all(|c| matches!(c, '-' | '–' | '—' | '_'));
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
    }

    #[test]
    fn missing_values_have_many_words() {
        for cell in ["", "NaN", "---", " nan ", "null", "--", "N/A"] {
            assert!(is_missing(cell), "{cell:?}");
        }
        assert!(!is_missing("ON") && !is_missing("-1"));
    }
}
