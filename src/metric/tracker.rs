//! What is kept of the course of a number, whether a simulation follows it or readings tell it.

use serde::{Deserialize, Serialize};

use super::curve::{Course, NODES, Point, Turn};
use super::{BAND_K, HOLD_S};

/// Least gain for which a turn is looked up, relative to the value or to one unit. Our choice: far below
/// what any figure shows.
const LEAST_GAIN: f64 = 1e-9;
/// Weights of Boole's rule: exact for the polynomials of a step.
const BOOLE: [f64; NODES] = [7.0, 32.0, 12.0, 32.0, 7.0];

/// A largest value with its time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Peak {
    /// When \[s\].
    pub time_s: f64,
    /// How much.
    pub value: f64,
}

/// Which part of the run counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Span {
    /// All of it.
    All,
    /// From the instant at which the box is first warm.
    Warm,
    /// The steady window.
    Steady,
}

/// How far the run is where a part of a step begins.
#[derive(Clone, Copy, Debug)]
pub struct Stage {
    /// When the box was first warm \[s\].
    pub warm_s: Option<f64>,
    /// Whether the steady window has begun.
    pub steady: bool,
}

impl Stage {
    /// From when on a span counts; none while it does not.
    fn counts_from(self, span: Span) -> Option<f64> {
        match span {
            Span::All => Some(f64::NEG_INFINITY),
            Span::Warm => self.warm_s,
            Span::Steady => self.steady.then_some(f64::NEG_INFINITY),
        }
    }
}

/// Keeps one thing of a number.
#[derive(Clone, Debug)]
pub enum Tracker {
    /// Its highest value, or its lowest.
    Extreme(bool, Span, Option<Peak>),
    /// Its first crossing of a level, from below or not, and when \[s\].
    First(f64, bool, Option<f64>),
    /// When it settles.
    Settled(Settling),
    /// A level, and how long it was above that \[s\].
    Above(f64, f64),
    /// Its integral over the steady window, and the length of that \[s\].
    Mean(f64, f64),
    /// A time, and its value then.
    At(f64, Option<f64>),
}

/// First time from which a number stays near a target for a while.
#[derive(Clone, Debug)]
pub struct Settling {
    target: f64,
    since_s: Option<f64>,
    found_s: Option<f64>,
}

impl Tracker {
    /// The highest value of a span.
    #[must_use]
    pub fn high(span: Span) -> Self {
        Tracker::Extreme(true, span, None)
    }

    /// The lowest value of a span.
    #[must_use]
    pub fn low(span: Span) -> Self {
        Tracker::Extreme(false, span, None)
    }

    /// First at `level` from below.
    #[must_use]
    pub fn rising(level: f64) -> Self {
        Tracker::First(level, true, None)
    }

    /// First at `level` from above.
    #[must_use]
    pub fn falling(level: f64) -> Self {
        Tracker::First(level, false, None)
    }

    /// First within [`BAND_K`] of a set point from below.
    #[must_use]
    pub fn warm(set: f64) -> Self {
        Tracker::rising(set - BAND_K)
    }

    /// First time from which it stays within [`BAND_K`] of a set point for [`HOLD_S`].
    #[must_use]
    pub fn settled(target: f64) -> Self {
        Tracker::Settled(Settling { target, since_s: None, found_s: None })
    }

    /// How long it is above a level.
    #[must_use]
    pub fn above(level: f64) -> Self {
        Tracker::Above(level, 0.0)
    }

    /// Its mean in the steady window.
    #[must_use]
    pub fn mean() -> Self {
        Tracker::Mean(0.0, 0.0)
    }

    /// The highest or lowest value.
    #[must_use]
    pub fn extreme(&self) -> Option<Peak> {
        match self {
            Tracker::Extreme(_, _, peak) => *peak,
            _ => None,
        }
    }

    /// What was kept: an extreme, a time \[s\], a mean, a value.
    #[must_use]
    pub fn value(&self) -> Option<f64> {
        match self {
            Tracker::Extreme(_, _, peak) => peak.map(|p| p.value),
            Tracker::First(_, _, found_s) => *found_s,
            Tracker::Settled(s) => s.found_s,
            Tracker::Above(_, time_s) => Some(*time_s),
            Tracker::Mean(integral, time_s) => (*time_s > 0.0).then(|| integral / time_s),
            Tracker::At(_, value) => *value,
        }
    }

    /// Whether what is kept is a time.
    #[must_use]
    pub fn is_time(&self) -> bool {
        matches!(self, Tracker::First(..) | Tracker::Settled(_))
    }

    /// Whether what is kept is a sum of stretches of time.
    #[must_use]
    pub fn is_total(&self) -> bool {
        matches!(self, Tracker::Above(..))
    }

    /// Whether both keep the highest, or the lowest, value of the same span.
    #[must_use]
    pub fn is_same_extreme(&self, other: &Self) -> bool {
        match (self, other) {
            (Tracker::Extreme(a, of, _), Tracker::Extreme(b, on, _)) => (a, of) == (b, on),
            _ => false,
        }
    }

    /// Whether a turn would change what is kept.
    #[must_use]
    pub fn wants(&self, turn: Turn, stage: Stage) -> bool {
        let (v, (a, b)) = (turn.value, turn.ends);
        let beyond = |level: f64| (v > level) != (a > level) && (v > level) != (b > level);
        match self {
            Tracker::Extreme(top, span, best) => {
                let gain = LEAST_GAIN * (1.0 + v.abs());
                let better = |p: &Peak| if *top { v > p.value + gain } else { v < p.value - gain };
                turn.top == *top
                    && stage.counts_from(*span).is_some()
                    && best.as_ref().is_none_or(better)
            }
            Tracker::First(level, _, found_s) => found_s.is_none() && beyond(*level),
            Tracker::Settled(s) => {
                s.found_s.is_none() && (beyond(s.target - BAND_K) || beyond(s.target + BAND_K))
            }
            Tracker::Above(level, _) => beyond(*level),
            Tracker::Mean(..) | Tracker::At(..) => false,
        }
    }

    /// Takes a part of a step into account: its points in order, and the values at its quarters.
    pub fn follow(
        &mut self,
        points: &[Point],
        nodes: &[f64; NODES],
        stage: Stage,
        course: &mut impl Course,
    ) {
        let (Some(&(t0, _)), Some(&(t1, _))) = (points.first(), points.last()) else { return };
        match self {
            Tracker::Extreme(top, span, best) => {
                let Some(from_s) = stage.counts_from(*span) else { return };
                let first = (from_s > t0 && from_s <= t1).then(|| (from_s, course.at(from_s)));
                let counted = points.iter().copied().filter(|p| p.0 >= from_s);
                for (time_s, value) in first.into_iter().chain(counted) {
                    let better = |p: &Peak| if *top { value > p.value } else { value < p.value };
                    if value.is_finite() && best.as_ref().is_none_or(better) {
                        *best = Some(Peak { time_s, value });
                    }
                }
            }
            Tracker::First(level, rising, found_s) => {
                if found_s.is_none() {
                    *found_s = first_past(points, *level, *rising, course);
                }
            }
            Tracker::Settled(settling) => settling.follow(points, course),
            Tracker::Above(level, time_s) => {
                for (a, b) in pairs(points) {
                    *time_s += match (a.1 > *level, b.1 > *level) {
                        (true, true) => b.0 - a.0,
                        (false, false) => 0.0,
                        (false, true) => b.0 - course.crossing(a, b, *level),
                        (true, false) => course.crossing(a, b, *level) - a.0,
                    };
                }
            }
            Tracker::Mean(integral, time_s) => {
                if stage.steady {
                    let sum: f64 = BOOLE.iter().zip(nodes).map(|(w, v)| w * v).sum();
                    *integral += sum / 90.0 * (t1 - t0);
                    *time_s += t1 - t0;
                }
            }
            Tracker::At(due_s, value) => {
                if value.is_none() && t0 <= *due_s && *due_s <= t1 {
                    *value = Some(course.at(*due_s));
                }
            }
        }
    }
}

/// Neighbours.
fn pairs(points: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    points.windows(2).map(|w| (w[0], w[1]))
}

/// The first instant at which a number is at a level or past it.
pub fn first_past(
    points: &[Point],
    level: f64,
    rising: bool,
    course: &mut impl Course,
) -> Option<f64> {
    let past = |v: f64| if rising { v >= level } else { v <= level };
    let first = points.first()?;
    if past(first.1) {
        return Some(first.0);
    }
    let (a, b) = pairs(points).find(|(_, b)| past(b.1))?;
    Some(course.crossing(a, b, level))
}

impl Settling {
    /// Below the band, in it or above it.
    fn side(&self, v: f64) -> f64 {
        match v - self.target {
            off if off.abs() <= BAND_K => 0.0,
            off => off.signum(),
        }
    }

    fn follow(&mut self, points: &[Point], course: &mut impl Course) {
        for (a, b) in pairs(points) {
            if self.found_s.is_some() {
                return;
            }
            let (from, to) = (self.side(a.1), self.side(b.1));
            let mut edge = |side: f64| course.crossing(a, b, self.target + side * BAND_K);
            if from == 0.0 {
                self.since_s.get_or_insert(a.0);
            } else if to != from {
                self.since_s = Some(edge(from));
            }
            let Some(since_s) = self.since_s else { continue };
            let leaves = to != 0.0 && to != from;
            let until_s = if leaves { edge(to) } else { b.0 };
            if until_s - since_s >= HOLD_S {
                self.found_s = self.since_s;
            } else if leaves {
                self.since_s = None;
            }
        }
    }
}
