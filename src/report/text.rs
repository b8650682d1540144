//! Small pieces of plain-text tables.

/// A number with four significant digits, without an exponent where a person would write none.
pub(super) fn digits(value: f64) -> String {
    let size = value.abs();
    if value == 0.0 || size < 5e-4 {
        return if size < 1e-9 { "0".into() } else { format!("{value:.1e}") };
    }
    let decimals = (3 - size.log10().floor() as i32).clamp(0, 6) as usize;
    format!("{value:.decimals$}")
}

/// A number with a fixed count of decimals, never `-0`.
pub(super) fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        _ => text,
    }
}

/// Pads to a width counted in characters.
pub(super) fn left(text: &str, width: usize) -> String {
    let missing = width.saturating_sub(text.chars().count());
    format!("{text}{}", " ".repeat(missing))
}

/// Pads on the left to a width counted in characters.
pub(super) fn right(text: &str, width: usize) -> String {
    let missing = width.saturating_sub(text.chars().count());
    format!("{}{text}", " ".repeat(missing))
}

/// A number of at most so many significant digits, without an exponent, never `-0`.
pub(super) fn plain(value: f64, digits: usize) -> String {
    let decimals = digits.saturating_sub(1);
    let rounded: f64 = format!("{value:.decimals$e}").parse().unwrap_or(value);
    if rounded == 0.0 { "0".into() } else { rounded.to_string() }
}

/// A duration in words that a person would choose.
pub(super) fn duration(seconds: f64) -> String {
    crate::units::format(crate::units::Kind::Time, seconds)
}

/// Width that holds each of these words, `least` at least.
pub fn widest<'a>(words: impl IntoIterator<Item = &'a String>, least: usize) -> usize {
    words.into_iter().map(|w| w.chars().count()).fold(least, usize::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_values_keep_their_digits_and_no_negative_zero() {
        assert_eq!(plain(12.345_678_91, 7), "12.34568");
        assert_eq!(plain(-0.0, 7), "0");
        assert_eq!(plain(1.0 / 3.0, 7), "0.3333333");
        assert_eq!(plain(45.050_000_000_000_004, 10), "45.05");
    }

    #[test]
    fn digits_are_four_and_readable() {
        let cases = [(0.0, "0"), (12.3456, "12.35"), (0.0123456, "0.01235"), (98765.4, "98765")];
        for (value, want) in cases {
            assert_eq!(digits(value), want);
        }
        assert_eq!(fixed(-0.0001, 2), "0.00");
    }
}
