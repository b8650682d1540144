//! Bounds of a free path against what the scenario accepts there.

use super::data::FreePath;
use crate::reader::{Issue, Origin, Source};
use crate::scenario::Scenario;
use crate::units::{self, parse};

/// Halvings on the way to the last value that is accepted.
const HALVINGS: usize = 40;

/// Part of the way from the start to a bound that may be refused: an end that is itself excluded, such
/// as zero for a thickness, costs no search. Our choice.
const EDGE: f64 = 1e-3;

/// Digits with which a bound is tried, for the one to type.
const DIGITS: std::ops::RangeInclusive<usize> = 2..=6;

/// What no box allows of the bounds of a path: searches that begin there would be lost in silence.
/// Bounds that nobody typed are narrowed to what this box allows.
#[must_use]
pub fn beyond_the_box(source: &Source, free: &mut FreePath) -> Option<Issue> {
    let own = Ends { source, free };
    // What is wrong at the start already, or cannot be set by itself, is told elsewhere.
    if own.refusal(free.start).is_some() {
        return None;
    }
    let (low, high) = (own.end(free.low), own.end(free.high));
    if free.open {
        let last = |end: Option<Refused>, own| end.map_or(Ok(own), |r| parse(free.kind, &r.last));
        let (low, high) = (last(low, free.low), last(high, free.high));
        (free.low, free.high) = (low.unwrap_or(free.low), high.unwrap_or(free.high));
        return None;
    }
    let sides = [("lower", free.low, &low), ("upper", free.high, &high)];
    let (side, bound, refused) =
        sides.into_iter().find_map(|(side, bound, end)| Some((side, bound, end.as_ref()?)))?;
    let typed = |end: &Option<Refused>, own: f64| match end {
        Some(refused) => refused.last.clone(),
        None => units::format(free.kind, own),
    };
    let what = format!(
        "the {side} bound of {} is {}, which no box accepts there: it {}",
        free.path,
        units::format(free.kind, bound),
        refused.what
    );
    let (low, high) = (typed(&low, free.low), typed(&high, free.high));
    let hint = format!("write \"{}={low}..{high}\"", free.path);
    let why = refused.why.clone();
    Some(Issue { why, ..Issue::of_file("bad-free", &format!("--free {}", free.path), what, &hint) })
}

/// A bound that is refused.
struct Refused {
    /// What the scenario says against it.
    what: String,
    /// And why.
    why: Option<String>,
    /// The last value on the way there that it accepts, as typed.
    last: String,
}

struct Ends<'a> {
    source: &'a Source,
    free: &'a FreePath,
}

impl Ends<'_> {
    /// What the scenario says against a value at the path.
    fn refusal_of(&self, text: &str) -> Option<Issue> {
        let mut source = self.source.clone();
        source.set_value(&self.free.path, text, Origin::Set).ok()?;
        let issues = Scenario::read_case(&source).err()?;
        issues.into_iter().find(|i| i.path == self.free.path)
    }

    fn refusal(&self, value: f64) -> Option<Issue> {
        self.refusal_of(&units::format_digits(self.free.kind, value, 12))
    }

    /// What is wrong with a bound, unless hardly anything on the way there is.
    fn end(&self, bound: f64) -> Option<Refused> {
        let Issue { what, why, .. } = self.refusal(bound)?;
        let (start, mut good, mut bad) = (self.free.start, 0.0, 1.0);
        let at = |part: f64| start + part * (bound - start);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (good + bad);
            if self.refusal(at(middle)).is_some() { bad = middle } else { good = middle }
        }
        if good >= 1.0 - EDGE {
            return None;
        }
        let accepted = |text: &String| {
            let near = 0.05 * (at(good) - start).abs();
            let inside = parse(self.free.kind, text).is_ok_and(|v| (v - at(good)).abs() <= near);
            inside && self.refusal_of(text).is_none()
        };
        let mut rounded = DIGITS.map(|d| units::format_digits(self.free.kind, at(good), d));
        let last = rounded.find(accepted);
        let last = last.unwrap_or_else(|| units::format_digits(self.free.kind, at(good), 12));
        Some(Refused { what, why, last })
    }
}
