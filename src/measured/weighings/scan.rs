//! From a line of notes to numbers, clock times, dates and words.

/// A piece of a line.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Piece {
    /// A number with its digits behind the decimal mark.
    Number { value: f64, decimals: usize },
    /// Seconds since midnight.
    Clock(f64),
    /// Day number since 1970-01-01; the year may be missing (then counted in 1970).
    Date(i64),
    /// A word, lower case.
    Word(String),
    /// Anything else but blanks.
    Mark(char),
}

/// Cuts a line into pieces.
pub(super) fn pieces(line: &str) -> Vec<Piece> {
    let letters: Vec<char> = line.chars().collect();
    let mut out = Vec::new();
    let mut at = 0;
    while at < letters.len() {
        let c = letters[at];
        let rest = &letters[at..];
        if c.is_whitespace() {
            at += 1;
        } else if c.is_ascii_digit() {
            let (piece, length) = date(rest)
                .or_else(|| clock(rest))
                .or_else(|| dotted_clock(rest, out.is_empty()))
                .unwrap_or_else(|| number(rest));
            out.push(piece);
            at += length;
        } else if c.is_alphabetic() || c == '°' || c == '%' {
            let length = rest.iter().take_while(|c| c.is_alphabetic()).count().max(1);
            out.push(Piece::Word(rest[..length].iter().collect::<String>().to_lowercase()));
            at += length;
        } else {
            out.push(Piece::Mark(c));
            at += 1;
        }
    }
    out
}

/// Digits at the start: their value and how many there are.
fn digits(letters: &[char]) -> (u64, usize) {
    // Longer runs are serial numbers; they saturate.
    let run = letters.iter().take_while(|c| c.is_ascii_digit()).count();
    let value = letters[..run]
        .iter()
        .filter_map(|c| c.to_digit(10))
        .fold(0u64, |v, d| v.saturating_mul(10).saturating_add(u64::from(d)));
    (value, run)
}

fn number(letters: &[char]) -> (Piece, usize) {
    let (_, whole) = digits(letters);
    let mut length = whole;
    let mut decimals = 0;
    if letters.get(whole).is_some_and(|c| *c == '.' || *c == ',') {
        decimals = digits(letters.get(whole + 1..).unwrap_or_default()).1;
        if decimals > 0 {
            length += 1 + decimals;
        }
    }
    let text: String = letters[..length].iter().map(|c| if *c == ',' { '.' } else { *c }).collect();
    (Piece::Number { value: text.parse().unwrap_or(f64::NAN), decimals }, length)
}

/// `10:30`, `10:30:15`, `9:05 pm`, `10h30`.
fn clock(letters: &[char]) -> Option<(Piece, usize)> {
    let (hour, h) = digits(letters);
    if h > 2 || !letters.get(h).is_some_and(|c| *c == ':' || *c == 'h') {
        return None;
    }
    let (minute, m) = digits(letters.get(h + 1..)?);
    if m != 2 || minute > 59 {
        return None;
    }
    let mut length = h + 1 + m;
    let mut seconds = 0.0;
    if letters.get(length) == Some(&':') {
        let (s, n) = digits(letters.get(length + 1..)?);
        if n == 2 && s < 60 {
            seconds = s as f64;
            length += 1 + n;
        }
    }
    let blank = letters[length..].iter().take_while(|c| c.is_whitespace()).count();
    let half: String = letters[length + blank..].iter().take(2).collect::<String>().to_lowercase();
    let alone = !letters.get(length + blank + 2).is_some_and(|c| c.is_alphanumeric());
    let hour = match half.as_str() {
        "am" | "pm" if alone && (1..=12).contains(&hour) => {
            length += blank + 2;
            hour % 12 + if half == "pm" { 12 } else { 0 }
        }
        _ => hour,
    };
    (hour < 24)
        .then_some((Piece::Clock(hour as f64 * 3600.0 + minute as f64 * 60.0 + seconds), length))
}

/// `10.30 Uhr`, or `10.30` at the start of a line with another number behind it: a clock time.
fn dotted_clock(letters: &[char], first: bool) -> Option<(Piece, usize)> {
    let (hour, h) = digits(letters);
    let (minute, m) = digits(letters.get(h + 1..)?);
    let plain = h <= 2 && m == 2 && letters[h] == '.' && hour < 24 && minute < 60;
    let length = h + 1 + m;
    let behind: Vec<char> = letters[length.min(letters.len())..]
        .iter()
        .copied()
        .skip_while(|c| c.is_whitespace())
        .collect();
    let apart = letters.get(length).is_some_and(|c| c.is_whitespace());
    let word: String = behind.iter().take(3).collect::<String>().to_lowercase();
    let number_follows = behind.first().is_some_and(char::is_ascii_digit);
    let clock = plain && apart && ((first && number_follows) || word == "uhr");
    clock.then_some((Piece::Clock(hour as f64 * 3600.0 + minute as f64 * 60.0), length))
}

/// `2026-03-14`, `14.03.2026`, `14.03.`.
fn date(letters: &[char]) -> Option<(Piece, usize)> {
    let (a, n) = digits(letters);
    let mark = *letters.get(n)?;
    if mark != '-' && mark != '.' {
        return None;
    }
    let (b, m) = digits(letters.get(n + 1..)?);
    let second = n + 1 + m;
    if m == 0 || letters.get(second) != Some(&mark) {
        return None;
    }
    let (c, k) = digits(letters.get(second + 1..).unwrap_or_default());
    let (year, month, day, length) = match (mark, n, k) {
        ('-', 4, 1..=2) => (a, b, c, second + 1 + k),
        ('.', 1..=2, 4) => (c, b, a, second + 1 + k),
        ('.', 1..=2, 0) => (1970, b, a, second + 1),
        _ => return None,
    };
    let text = format!("{year}-{month}-{day}");
    crate::measured::moment::day_number(&text).map(|d| (Piece::Date(d), length))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn n(value: f64, decimals: usize) -> Piece {
        Piece::Number { value, decimals }
    }

    #[test]
    fn masses_times_and_words() {
        let w = |s: &str| Piece::Word(s.into());
        assert_eq!(pieces("10:30  5,39g"), [Piece::Clock(37_800.0), n(5.39, 2), w("g")]);
        assert_eq!(pieces("9:05 PM 3 g"), [Piece::Clock(75_900.0), n(3.0, 0), w("g")]);
        assert_eq!(pieces("10.30  5,39"), [Piece::Clock(37_800.0), n(5.39, 2)]);
        assert_eq!(pieces("10.30"), [n(10.30, 2)]);
        assert_eq!(pieces("5.00, 5.01"), [n(5.0, 2), Piece::Mark(','), n(5.01, 2)]);
        assert_eq!(pieces("14.03. 10:30")[0], Piece::Date(31 + 28 + 13));
        assert_eq!(pieces("2026-02-30 10:30")[0], n(2026.0, 0));
    }

    #[test]
    fn any_text_is_cut_without_a_panic() {
        for text in
            ["1.", "1:", "12:3", "99:99", "1..2", "..", "1h", "٣:٣٠", "12.30 ", "1.1.", "9-9-9"]
        {
            let _ = pieces(text);
        }
    }
}
