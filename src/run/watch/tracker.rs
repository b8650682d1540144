//! What is kept of the course of a number.

use super::curve::{Points, Turn};
use super::{Look, NODES};
use crate::run::Peak;
use crate::run::probe::Probe;
use crate::solver::Bracket;

/// How finely a crossing is located, relative to the step or to one second, as events are.
const LOCATION: f64 = 1e-9;
/// Evaluations after which a location is as good as it gets (halving alone needs about 50).
const MOST_LOOKS: usize = 200;
/// Least gain for which a turn is looked up, relative to the value or to one unit. Our choice: far below
/// what any figure shows.
const LEAST_GAIN: f64 = 1e-9;
/// Weights of Boole's rule: exact for the polynomials of a step.
const BOOLE: [f64; NODES] = [7.0, 32.0, 12.0, 32.0, 7.0];

/// Which part of the run counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::run) enum Span {
    /// All of it.
    All,
    /// From the instant at which the box is first warm.
    Warm,
    /// The steady window.
    Steady,
}

/// How far the run is where a part of a step begins.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stage {
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
pub(in crate::run) enum Tracker {
    /// Its highest value.
    High(Span, Option<Peak>),
    /// Its lowest value.
    Low(Span, Option<Peak>),
    /// Its first crossing of a level.
    First(Crossing),
    /// When it settles.
    Settled(Settling),
    /// How long it was above a level.
    Above {
        /// The level.
        level: f64,
        /// The time \[s\].
        time_s: f64,
    },
    /// Its integral over the steady window, and the length of that \[s\].
    Mean(f64, f64),
    /// Its value at a time.
    At(f64, Option<f64>),
}

/// A first crossing.
#[derive(Clone, Debug)]
pub(in crate::run) struct Crossing {
    level: f64,
    rising: bool,
    /// What else is wanted of that instant.
    also: Vec<Probe>,
    found: Option<(f64, Vec<f64>)>,
}

/// First time from which a number stays near a target for a while.
#[derive(Clone, Debug)]
pub(in crate::run) struct Settling {
    target: f64,
    band: f64,
    hold_s: f64,
    since_s: Option<f64>,
    found_s: Option<f64>,
}

impl Tracker {
    /// The highest value of a span.
    pub(in crate::run) fn high(span: Span) -> Self {
        Tracker::High(span, None)
    }

    /// The lowest value of a span.
    pub(in crate::run) fn low(span: Span) -> Self {
        Tracker::Low(span, None)
    }

    /// First at `level` from below.
    pub(in crate::run) fn rising(level: f64) -> Self {
        Tracker::First(Crossing::new(level, true, Vec::new()))
    }

    /// First at `level` from above, with other numbers of that instant.
    pub(in crate::run) fn falling(level: f64, also: Vec<Probe>) -> Self {
        Tracker::First(Crossing::new(level, false, also))
    }

    /// First time from which it stays within `band` of `target` for `hold_s`.
    pub(in crate::run) fn settled(target: f64, band: f64, hold_s: f64) -> Self {
        Tracker::Settled(Settling { target, band, hold_s, since_s: None, found_s: None })
    }

    /// The highest or lowest value.
    pub(in crate::run) fn extreme(&self) -> Option<Peak> {
        match self {
            Tracker::High(_, peak) | Tracker::Low(_, peak) => *peak,
            _ => None,
        }
    }

    /// When it crossed or settled \[s\].
    pub(in crate::run) fn time_s(&self) -> Option<f64> {
        match self {
            Tracker::First(c) => c.found.as_ref().map(|f| f.0),
            Tracker::Settled(s) => s.found_s,
            _ => None,
        }
    }

    /// Another number at the crossing.
    pub(in crate::run) fn also(&self, i: usize) -> Option<f64> {
        match self {
            Tracker::First(c) => c.found.as_ref().and_then(|f| f.1.get(i).copied()),
            _ => None,
        }
    }

    /// What it amounts to: a time above \[s\], a mean, a value.
    pub(in crate::run) fn amount(&self) -> Option<f64> {
        match self {
            Tracker::Above { time_s, .. } => Some(*time_s),
            Tracker::Mean(integral, time_s) => (*time_s > 0.0).then(|| integral / time_s),
            Tracker::At(_, value) => *value,
            _ => None,
        }
    }

    /// Whether both keep the highest, or the lowest, value of the same span.
    pub(super) fn is_same_extreme(&self, other: &Self) -> bool {
        match (self, other) {
            (Tracker::High(a, _), Tracker::High(b, _))
            | (Tracker::Low(a, _), Tracker::Low(b, _)) => a == b,
            _ => false,
        }
    }

    /// Whether a turn would change what is kept.
    pub(super) fn wants(&self, turn: Turn, stage: Stage) -> bool {
        let (v, (a, b)) = (turn.value, turn.ends);
        let beyond = |level: f64| (v > level) != (a > level) && (v > level) != (b > level);
        match self {
            Tracker::High(span, best) => {
                let gain = LEAST_GAIN * (1.0 + v.abs());
                turn.top
                    && stage.counts_from(*span).is_some()
                    && best.is_none_or(|p| v > p.value + gain)
            }
            Tracker::Low(span, best) => {
                let gain = LEAST_GAIN * (1.0 + v.abs());
                !turn.top
                    && stage.counts_from(*span).is_some()
                    && best.is_none_or(|p| v < p.value - gain)
            }
            Tracker::First(c) => c.found.is_none() && beyond(c.level),
            Tracker::Settled(s) => {
                s.found_s.is_none() && (beyond(s.target - s.band) || beyond(s.target + s.band))
            }
            Tracker::Above { level, .. } => beyond(*level),
            Tracker::Mean(..) | Tracker::At(..) => false,
        }
    }

    /// Takes a part of a step into account.
    pub(super) fn follow(
        &mut self,
        points: &Points,
        nodes: &[f64; NODES],
        stage: Stage,
        probe: &Probe,
        look: &mut Look<'_, '_, '_>,
    ) {
        let all = points.all();
        let (Some(&(t0, _)), Some(&(t1, _))) = (all.first(), all.last()) else { return };
        match self {
            Tracker::High(span, best) => {
                let better = |v: f64, p: f64| v > p;
                extreme(best, better, (stage.counts_from(*span), t0, t1), all, |t| {
                    look.value(probe, t)
                });
            }
            Tracker::Low(span, best) => {
                let better = |v: f64, p: f64| v < p;
                extreme(best, better, (stage.counts_from(*span), t0, t1), all, |t| {
                    look.value(probe, t)
                });
            }
            Tracker::First(crossing) => crossing.follow(points, probe, look),
            Tracker::Settled(settling) => settling.follow(points, probe, look),
            Tracker::Above { level, time_s } => {
                let level = *level;
                for (a, b) in points.pairs() {
                    *time_s += match (a.1 > level, b.1 > level) {
                        (true, true) => b.0 - a.0,
                        (false, false) => 0.0,
                        (false, true) => b.0 - crossing(a, b, level, probe, look),
                        (true, false) => crossing(a, b, level, probe, look) - a.0,
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
                    *value = Some(look.value(probe, *due_s));
                }
            }
        }
    }
}

/// Keeps the best of the points from a time on.
fn extreme(
    best: &mut Option<Peak>,
    better: impl Fn(f64, f64) -> bool,
    (from_s, t0, t1): (Option<f64>, f64, f64),
    all: &[(f64, f64)],
    mut value: impl FnMut(f64) -> f64,
) {
    let Some(from_s) = from_s else { return };
    let first = (from_s > t0 && from_s <= t1).then(|| (from_s, value(from_s)));
    for (time_s, value) in first.into_iter().chain(all.iter().copied().filter(|p| p.0 >= from_s)) {
        if value.is_finite() && best.is_none_or(|p| better(value, p.value)) {
            *best = Some(Peak { time_s, value });
        }
    }
}

/// When a number crosses a level between two points on either side of it.
fn crossing(
    a: (f64, f64),
    b: (f64, f64),
    level: f64,
    probe: &Probe,
    look: &mut Look<'_, '_, '_>,
) -> f64 {
    let sign = if b.1 > a.1 { 1.0 } else { -1.0 };
    let tolerance = (LOCATION * (b.0 - a.0).max(1.0)).max(4.0 * f64::EPSILON * b.0.abs());
    let mut bracket = Bracket::new((a.0, sign * (a.1 - level)), (b.0, sign * (b.1 - level)));
    for _ in 0..MOST_LOOKS {
        if bracket.b - bracket.a <= tolerance {
            break;
        }
        let at = bracket.guess(tolerance);
        bracket.narrow(at, sign * (look.value(probe, at) - level));
    }
    bracket.b
}

impl Crossing {
    fn new(level: f64, rising: bool, also: Vec<Probe>) -> Self {
        Crossing { level, rising, also, found: None }
    }

    fn follow(&mut self, points: &Points, probe: &Probe, look: &mut Look<'_, '_, '_>) {
        if self.found.is_some() {
            return;
        }
        let time_s = first_past(points, self.level, self.rising, probe, look);
        self.found = time_s.map(|t| (t, self.also.iter().map(|p| look.value(p, t)).collect()));
    }
}

/// The first instant at which a number is at a level or past it.
pub(super) fn first_past(
    points: &Points,
    level: f64,
    rising: bool,
    probe: &Probe,
    look: &mut Look<'_, '_, '_>,
) -> Option<f64> {
    let past = |v: f64| if rising { v >= level } else { v <= level };
    let first = points.all().first()?;
    if past(first.1) {
        return Some(first.0);
    }
    let (a, b) = points.pairs().find(|(_, b)| past(b.1))?;
    Some(crossing(a, b, level, probe, look))
}

impl Settling {
    /// Below the band, in it or above it.
    fn side(&self, v: f64) -> f64 {
        match v - self.target {
            off if off.abs() <= self.band => 0.0,
            off => off.signum(),
        }
    }

    fn follow(&mut self, points: &Points, probe: &Probe, look: &mut Look<'_, '_, '_>) {
        for (a, b) in points.pairs() {
            if self.found_s.is_some() {
                return;
            }
            let (from, to) = (self.side(a.1), self.side(b.1));
            let mut edge = |side: f64| crossing(a, b, self.target + side * self.band, probe, look);
            if from == 0.0 {
                self.since_s.get_or_insert(a.0);
            } else if to != from {
                self.since_s = Some(edge(from));
            }
            let Some(since_s) = self.since_s else { continue };
            let leaves = to != 0.0 && to != from;
            let until_s = if leaves { edge(to) } else { b.0 };
            if until_s - since_s >= self.hold_s {
                self.found_s = self.since_s;
            } else if leaves {
                self.since_s = None;
            }
        }
    }
}
