//! What is written along a side of a map, and where.

use super::data::Steps;
use crate::report::figure::ticks::{self, Ticks};

/// Most ticks that are tried.
const MOST: usize = 12;
/// How far even steps may be off, as a share of one: they come from rounded text.
const OFF: f64 = 0.02;

/// Words along a side, each at a place counted in steps from the first.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Places {
    pub(super) words: Vec<(f64, String)>,
    /// Whether they stand at round numbers rather than at the steps.
    pub(super) round: bool,
}

/// The words along a side whose steps are `step_px` apart; `need_px` is the room that words take.
///
/// The names of all steps where there is room for them; else, and where equal ratios are equally far
/// apart, round numbers; else as many names as there is room for.
pub(super) fn places(steps: &Steps, step_px: f64, need_px: impl Fn(&[String]) -> f64) -> Places {
    let every = ((need_px(&steps.names) / step_px).ceil() as usize).max(1);
    let named = || {
        let names = steps.names.iter().cloned().enumerate().step_by(every);
        Places { words: names.map(|(i, name)| (i as f64, name)).collect(), round: false }
    };
    if every == 1 && !steps.log {
        return named();
    }
    round(steps, step_px, need_px).unwrap_or_else(named)
}

/// Round numbers along even steps, as many as there is room for.
fn round(steps: &Steps, step_px: f64, need_px: impl Fn(&[String]) -> f64) -> Option<Places> {
    let (first, last) = (*steps.values.first()?, *steps.values.last()?);
    let log = steps.log && first > 0.0 && last > 0.0;
    let scale = |v: f64| if log { v.ln() } else { v };
    let whole = (steps.values.len() - 1) as f64;
    let place = |v: f64| (scale(v) - scale(first)) / (scale(last) - scale(first)) * whole;
    let even = steps.values.iter().enumerate().all(|(i, v)| (place(*v) - i as f64).abs() < OFF);
    if whole < 1.0 || !even {
        return None;
    }
    let (lo, hi) = (first.min(last), first.max(last));
    let tried = |most: usize| -> Ticks {
        if log { ticks::ratios(lo, hi, most) } else { ticks::along(lo, hi, &steps.unit, most) }
    };
    (3..=MOST).rev().find_map(|most| {
        let ticks = tried(most);
        let labels = ticks.labels();
        let apart = |pair: &[f64]| (place(pair[1]) - place(pair[0])).abs() * step_px;
        let fits = ticks.at.windows(2).all(|pair| apart(pair) >= need_px(&labels));
        let words = ticks.at.iter().map(|v| place(*v)).zip(labels).collect();
        (fits && ticks.at.len() > 1).then_some(Places { words, round: true })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn steps(values: &[f64], log: bool) -> Steps {
        let names = values.iter().map(|v| format!("{v:.3}")).collect();
        Steps { names, values: values.to_vec(), log, ..Steps::default() }
    }

    fn said(places: &Places) -> Vec<&str> {
        places.words.iter().map(|w| w.1.as_str()).collect()
    }

    /// Ten pixels a letter.
    fn need(names: &[String]) -> f64 {
        names.iter().map(|n| 10.0 * n.chars().count() as f64).fold(0.0, f64::max)
    }

    #[test]
    fn ratios_have_round_numbers_at_their_places() {
        let values: Vec<f64> = (0..7).map(|i| 10_f64.powf(f64::from(i) / 6.0)).collect();
        let found = places(&steps(&values, true), 100.0, need);
        assert_eq!(said(&found), ["1", "2", "3", "4", "5", "6", "7", "8", "9", "10"]);
        let (at, _) = found.words[1];
        assert!((at - 6.0 * 2_f64.log10()).abs() < 1e-9 && found.round, "{found:?}");
        assert_eq!(said(&places(&steps(&values, true), 20.0, need)), ["1", "2", "5", "10"]);
    }

    #[test]
    fn hours_are_round_where_names_have_no_room() {
        let values: Vec<f64> = (0..50).map(|i| 0.97 * f64::from(i)).collect();
        let mut side = steps(&values, false);
        side.unit = "h".into();
        let found = places(&side, 10.0, need);
        assert_eq!(said(&found), ["0", "6", "12", "18", "24", "30", "36", "42"]);
        assert!((found.words[4].0 - 24.0 / 0.97).abs() < 1e-9);
        // Backwards too.
        side.values.reverse();
        assert!((places(&side, 10.0, need).words[0].0 - 49.0).abs() < 1e-9);
    }

    #[test]
    fn uneven_steps_and_words_keep_their_names() {
        let uneven = steps(&[1.0, 2.0, 5.0, 10.0], false);
        assert_eq!(said(&places(&uneven, 60.0, need)), ["1.000", "2.000", "5.000", "10.000"]);
        let few = places(&uneven, 40.0, need);
        assert_eq!((said(&few), few.round), (vec!["1.000", "5.000"], false));
        let words = Steps { names: vec!["room".into(), "bag".into()], ..Steps::default() };
        assert_eq!(said(&places(&words, 10.0, need)), ["room"]);
        for odd in [&[][..], &[1.0], &[1.0, 1.0], &[f64::NAN, 2.0], &[-1.0, 2.0, 3.0]] {
            for log in [false, true] {
                let found = places(&steps(odd, log), 1.0, need);
                assert!(!found.round, "{odd:?}: {found:?}");
            }
        }
    }
}
