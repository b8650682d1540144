//! Whatever the text: no panic, a ledger that adds up, rising times, lines that exist.

use drybench::measured::log::{Failure, ImportOptions, import};
use proptest::prelude::*;
use proptest::sample::select;

const SAMPLES: [&[u8]; 7] = [
    include_bytes!("../logs/01_labelled_banner_failed.txt"),
    include_bytes!("../logs/02_terminal_prefix_midnight.txt"),
    include_bytes!("../logs/04_two_sensors_plus_ambient.txt"),
    include_bytes!("../logs/05_semicolon_decimal_comma.txt"),
    include_bytes!("../logs/07_millis_overflow.txt"),
    include_bytes!("../logs/09_multiline_blocks.txt"),
    include_bytes!("../logs/w1_weighings_notes.txt"),
];

/// Lines as the text of an editor would count them: any number of `\r` before `\n` is one end.
fn lines(bytes: &[u8]) -> u64 {
    let text: Vec<u8> = bytes.to_vec();
    let (mut count, mut returns, mut open) = (0, 0, false);
    for b in text {
        match b {
            b'\r' => returns += 1,
            b'\n' => {
                count += 1;
                (returns, open) = (0, false);
            }
            _ => {
                if returns > 0 {
                    count += returns;
                }
                (returns, open) = (0, true);
                continue;
            }
        }
        if b == b'\r' && open && returns == 1 {
            open = false;
        }
    }
    count + returns + u64::from(open)
}

fn check(bytes: &[u8], options: ImportOptions) -> Result<bool, TestCaseError> {
    match import("fuzz.txt", bytes, options) {
        Ok((summary, series)) => {
            prop_assert!(summary.ledger.adds_up(), "{}", summary.ledger);
            let wide = bytes.starts_with(&[0xFF, 0xFE])
                || bytes.starts_with(&[0xFE, 0xFF])
                || bytes.iter().take(512).filter(|b| **b == 0).count() > 100;
            if !wide {
                prop_assert_eq!(summary.ledger.lines(), lines(bytes));
            }
            prop_assert!(series.time_s.windows(2).all(|w| w[1] > w[0]));
            prop_assert!(series.time_s.iter().all(|t| t.is_finite()));
            prop_assert_eq!(series.time_s.first().copied(), Some(0.0));
            prop_assert!(series.line.iter().all(|l| (1..=summary.ledger.lines()).contains(l)));
            prop_assert_eq!(series.time_s.len() as u64, summary.rows);
            for channel in &series.channels {
                prop_assert_eq!(channel.values.len(), series.time_s.len());
            }
            Ok(true)
        }
        Err(Failure::Input(issues)) => {
            prop_assert!(!issues.is_empty());
            prop_assert!(issues.iter().all(|i| !i.what.is_empty()));
            Ok(false)
        }
        Err(Failure::Output(e)) => Err(TestCaseError::fail(e.to_string())),
    }
}

/// One change to a text.
#[derive(Clone, Debug)]
enum Change {
    Cut(usize, usize),
    Double(usize, usize),
    Garbage(usize, Vec<u8>),
    Splice(usize, usize, usize),
}

fn change() -> impl Strategy<Value = Change> {
    prop_oneof![
        (any::<usize>(), 1..2000_usize).prop_map(|(a, n)| Change::Cut(a, n)),
        (any::<usize>(), 1..3000_usize).prop_map(|(a, n)| Change::Double(a, n)),
        (any::<usize>(), prop::collection::vec(any::<u8>(), 1..40))
            .prop_map(|(a, g)| Change::Garbage(a, g)),
        (any::<usize>(), 0..SAMPLES.len(), 1..1500_usize)
            .prop_map(|(a, s, n)| Change::Splice(a, s, n)),
    ]
}

fn apply(text: &mut Vec<u8>, change: Change) {
    let place = |at: usize, text: &Vec<u8>| if text.is_empty() { 0 } else { at % text.len() };
    match change {
        Change::Cut(at, n) => {
            let at = place(at, text);
            let end = (at + n).min(text.len());
            text.drain(at..end);
        }
        Change::Double(at, n) => {
            let at = place(at, text);
            let piece = text[at..(at + n).min(text.len())].to_vec();
            text.splice(at..at, piece);
        }
        Change::Garbage(at, bytes) => {
            let at = place(at, text);
            text.splice(at..at, bytes);
        }
        Change::Splice(at, sample, n) => {
            let at = place(at, text);
            let piece = &SAMPLES[sample][..n.min(SAMPLES[sample].len())];
            text.splice(at..at, piece.iter().copied());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn broken_sample_logs(
        sample in 0..SAMPLES.len(),
        changes in prop::collection::vec(change(), 1..6),
        interval in select(vec![None, Some(30.0)]),
        swap in any::<bool>(),
    ) {
        let mut text = SAMPLES[sample].to_vec();
        changes.into_iter().for_each(|c| apply(&mut text, c));
        check(&text, ImportOptions { interval_s: interval, swap, ..ImportOptions::default() })?;
    }

    #[test]
    fn random_bytes(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        check(&bytes, ImportOptions::default())?;
    }

    #[test]
    fn random_lines_of_numbers_and_words(
        lines in prop::collection::vec(
            "(T|H|RH|temp|t|S1|time|°C|%| |=|:|,|;|\\||nan|[0-9]{1,3}|[0-9]\\.[0-9]|-|\\{|\"|\t|12:30:05|2026-03-14){0,14}",
            0..40,
        ),
        interval in select(vec![None, Some(1.0)]),
    ) {
        let text = lines.join("\n");
        check(text.as_bytes(), ImportOptions { interval_s: interval, ..ImportOptions::default() })?;
    }
}

#[test]
fn the_checks_see_whole_samples() {
    for sample in &SAMPLES[..6] {
        let options = ImportOptions { interval_s: Some(30.0), ..ImportOptions::default() };
        assert!(check(sample, options).expect("sound"), "a sample was refused");
    }
}
