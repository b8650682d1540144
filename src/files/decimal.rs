//! Numbers of a table as text: as many decimals as they have, fast.

/// A number without trailing zeros; empty for NaN.
pub(super) fn number(value: f64, decimals: usize) -> String {
    let mut text = Vec::new();
    push(&mut text, value, decimals);
    // Digits, a point and a sign.
    text.into_iter().map(char::from).collect()
}

/// Adds a number without trailing zeros; nothing for NaN.
pub(super) fn push(text: &mut Vec<u8>, value: f64, decimals: usize) {
    if !value.is_finite() {
        return;
    }
    if !push_scaled(text, value, decimals) {
        let long = format!("{value:.decimals$}");
        let short =
            if decimals > 0 { long.trim_end_matches('0').trim_end_matches('.') } else { &long };
        text.extend_from_slice(if short == "-0" { b"0" } else { short.as_bytes() });
    }
}

/// Adds a number of few digits by way of a whole number of its last decimal; not done where that would not round as the
/// general way does.
fn push_scaled(text: &mut Vec<u8>, value: f64, decimals: usize) -> bool {
    /// Whole numbers up to this are exact, with room for the fraction that says how they round.
    const MOST: f64 = 1e12;
    const POWERS: [u64; 7] = [1, 10, 100, 1_000, 10_000, 100_000, 1_000_000];
    let Some(power) = POWERS.get(decimals).copied() else { return false };
    let scaled = value.abs() * power as f64;
    // Nearly half-way the product itself may round to the wrong side.
    if scaled >= MOST || (scaled.fract() - 0.5).abs() < 1e-3 {
        return false;
    }
    let whole = scaled.round() as u64;
    if whole == 0 {
        text.push(b'0');
        return true;
    }
    if value < 0.0 {
        text.push(b'-');
    }
    let mut buffer = [0_u8; 20];
    let mut at = buffer.len();
    let (mut before, mut behind) = (whole / power, whole % power);
    let mut places = decimals;
    while places > 0 && behind.is_multiple_of(10) {
        (behind, places) = (behind / 10, places - 1);
    }
    for _ in 0..places {
        at -= 1;
        buffer[at] = b'0' + (behind % 10) as u8;
        behind /= 10;
    }
    if places > 0 {
        at -= 1;
        buffer[at] = b'.';
    }
    loop {
        at -= 1;
        buffer[at] = b'0' + (before % 10) as u8;
        before /= 10;
        if before == 0 {
            break;
        }
    }
    text.extend_from_slice(&buffer[at..]);
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_as_the_general_way_writes_them() {
        let general = |value: f64, decimals: usize| {
            let text = format!("{value:.decimals$}");
            let short =
                if decimals > 0 { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
            if short == "-0" { "0".to_owned() } else { short.to_owned() }
        };
        let mut seed = 1_u64;
        for i in 0..200_000 {
            // A generator of Marsaglia's kind; any will do.
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            let value = (seed % 2_000_001) as f64 / 10_f64.powi(i % 7) - 500.0;
            for decimals in [0, 4, 6] {
                assert_eq!(number(value, decimals), general(value, decimals), "{value} {decimals}");
            }
        }
        for value in [0.0, -0.0, 0.5, 1.5, 0.00005, 0.00015, -1e-9, 22.1, 1e15, 99_999.999_999_6] {
            assert_eq!(number(value, 4), general(value, 4), "{value}");
        }
        assert_eq!((number(f64::NAN, 4), number(100.0, 0)), (String::new(), "100".into()));
    }
}
