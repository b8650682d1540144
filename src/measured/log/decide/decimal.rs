//! The decimal mark of a log.

use super::Sample;
use crate::measured::log::lex::{Decimal, grouped};

/// The decimal mark: a comma between digits, in a text that has no points between digits.
pub(super) fn mark(sample: &Sample<'_>, has_label: fn(&str, Decimal) -> bool) -> Decimal {
    if let Some(decimal) = sample.options.decimal {
        return decimal;
    }
    let marks = |mark: u8| {
        let count = |body: &str| {
            let digit = |b: Option<&u8>| b.is_some_and(u8::is_ascii_digit);
            let bytes = body.as_bytes();
            (1..bytes.len())
                .filter(|i| bytes[*i] == mark && digit(bytes.get(i - 1)) && digit(bytes.get(i + 1)))
                .count()
        };
        sample.bodies().map(|(_, b)| count(&without_stamps(b))).sum::<usize>()
    };
    // 1.013,2 has points in groups of three, and a comma before the decimals.
    let grouped = |(_, b): (u64, &str)| {
        b.split([' ', ';', '\t', '=', ':', '"']).any(|w| {
            w.contains('.')
                && w.contains(',')
                && grouped(w, Decimal::Comma).is_some_and(|(_, n)| w[..n].contains(','))
                && w.find('.') < w.find(',')
        })
    };
    if sample.bodies().any(grouped) {
        return Decimal::Comma;
    }
    let (points, commas) = (marks(b'.'), marks(b','));
    if points > 0 || commas == 0 {
        return Decimal::Point;
    }
    // "45,22" may be two whole numbers: it is a decimal comma only where another separator parts fields.
    let separated = |(_, b): (u64, &str)| b.contains([';', '\t']) || has_label(b, Decimal::Comma);
    let (all, parted) =
        (sample.bodies().count(), sample.bodies().filter(|x| separated(*x)).count());
    if 2 * parted >= all { Decimal::Comma } else { Decimal::Point }
}

/// The text without dates with points and fractions of seconds.
fn without_stamps(body: &str) -> String {
    let pieces = body.split([' ', '\t', ';']);
    let kept = pieces.filter(|p| !p.contains(':') && p.matches('.').count() < 2);
    kept.collect::<Vec<_>>().join(" ")
}
