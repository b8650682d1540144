//! Readings of a measured run, and what trackers make of them.

use super::curve::{Course, NODES, Point};
use super::tracker::{Stage, Tracker};
use crate::uncertainty::Estimate;

/// Readings within this many standard uncertainties of a level could lie on either side of it.
pub const SIGMAS: f64 = 2.0;

/// Readings are moved by their error in so many steps either way: settling may come first anywhere between.
const MOVES: i32 = 4;
/// An interval around a value is given by its ends where one is this many times as far as the other.
const MOST_UNEVEN: f64 = 2.0;
/// Smaller steps of readings are those of their arithmetic.
const LEAST_STEP: f64 = 1e-6;
/// Rounding shows where at least one in so many readings repeats the one before it.
const OFTEN: usize = 20;

/// A series of values over time, times rising.
#[derive(Clone, Copy, Debug)]
pub struct Trace<'a> {
    /// Times \[s\].
    pub time_s: &'a [f64],
    /// Values.
    pub value: &'a [f64],
}

/// What readings tell of a metric.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FromReadings {
    /// A value with its standard uncertainty.
    Value(Estimate),
    /// It lies between these.
    Between(f64, f64),
    /// It is this or more.
    AtLeast(f64),
}

/// A straight line through two readings.
struct Line(Point, Point);

impl Course for Line {
    fn at(&mut self, time_s: f64) -> f64 {
        let Line(a, b) = *self;
        if b.0 > a.0 { a.1 + (b.1 - a.1) * (time_s - a.0) / (b.0 - a.0) } else { a.1 }
    }

    fn crossing(&mut self, a: Point, b: Point, level: f64) -> f64 {
        a.0 + (b.0 - a.0) * (a.1 - level) / (a.1 - b.1)
    }
}

impl Trace<'_> {
    /// Neighbours.
    fn pairs(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        let pairs = self.time_s.windows(2).zip(self.value.windows(2));
        pairs.map(|(t, v)| ((t[0], v[0]), (t[1], v[1])))
    }

    /// What a tracker keeps of the readings moved by `off`, with straight lines between them.
    fn moved(&self, tracker: &Tracker, off: f64) -> Option<f64> {
        let first = (*self.time_s.first()?, *self.value.first()?);
        let stage = Stage { warm_s: Some(first.0), steady: true };
        let mut tracker = tracker.clone();
        for (a, b) in std::iter::once((first, first)).chain(self.pairs()) {
            let (a, b) = ((a.0, a.1 + off), (b.0, b.1 + off));
            let share = |k: usize| k as f64 / (NODES - 1) as f64;
            let nodes = std::array::from_fn(|k| a.1 + share(k) * (b.1 - a.1));
            tracker.follow(&[a, b], &nodes, stage, &mut Line(a, b));
        }
        tracker.value()
    }

    /// What a tracker keeps of the readings as they are.
    #[must_use]
    pub fn value_of(&self, tracker: &Tracker) -> Option<f64> {
        self.moved(tracker, 0.0)
    }

    /// What a tracker tells of these readings, as [`Trace::estimate_noisy`] does, with the noise that they show.
    #[must_use]
    pub fn estimate(&self, tracker: &Tracker, standard: f64) -> Option<FromReadings> {
        self.estimate_noisy(tracker, standard, self.noise().min(standard))
    }

    /// What a tracker tells of these readings, all of which count: their errors have a standard uncertainty in
    /// common, and a noise. A time lies somewhere between two readings. The readings are moved by twice their
    /// error both ways: where they only just get to a level, a time is no straight function of it.
    #[must_use]
    pub fn estimate_noisy(
        &self,
        tracker: &Tracker,
        standard: f64,
        noise: f64,
    ) -> Option<FromReadings> {
        if !tracker.is_time() && !tracker.is_total() {
            // Of many readings near the top the highest has the largest noise.
            let value = self.moved(tracker, 0.0)?;
            let near = self.value.iter().filter(|v| (*v - value).abs() <= 3.0 * noise).count();
            let largest = noise * (2.0 * (near.max(1) as f64).ln()).sqrt();
            let noise = match tracker {
                Tracker::Extreme(..) => noise.max(largest),
                _ => 0.0,
            };
            return Some(FromReadings::Value(Estimate::new(value, standard.hypot(noise))));
        }
        let off = SIGMAS * standard.hypot(noise);
        let all: Vec<Option<f64>> = (-MOVES..=MOVES)
            .map(|k| self.moved(tracker, off * f64::from(k) / f64::from(MOVES)))
            .collect();
        let found = || all.iter().flatten().copied();
        let (low, high) = (found().reduce(f64::min)?, found().reduce(f64::max)?);
        let step = |t: f64| if tracker.is_time() { self.step_s(t) } else { 0.0 };
        let Some(value) = all[MOVES as usize].filter(|_| all.iter().all(Option::is_some)) else {
            return Some(FromReadings::AtLeast((low - step(low)).max(0.0)));
        };
        let (below, above) = (value - low, high - value);
        if below.max(above) > MOST_UNEVEN * below.min(above) + step(value) {
            return Some(FromReadings::Between((low - step(low)).max(0.0), high + step(high)));
        }
        let found = Estimate::new(value, below.max(above) / SIGMAS);
        Some(FromReadings::Value(found.widened(Estimate::of_rounding(step(value)))))
    }

    /// Scatter of the readings from one to the next, from their second differences: of those the lower quarter
    /// counts, so that no swing and no step is taken for noise; at least their rounding.
    #[must_use]
    pub fn noise(&self) -> f64 {
        let mut bends: Vec<f64> =
            self.value.windows(3).map(|v| (v[0] - 2.0 * v[1] + v[2]).abs()).collect();
        bends.sort_by(f64::total_cmp);
        // Lower quartile of the amount of a normal number, and the variance of 1, -2, 1.
        let scatter = bends.get(bends.len() / 4).map_or(0.0, |b| b / 0.3186 / 6.0_f64.sqrt());
        // Readings that are often the same are rounded.
        let steps = || self.value.windows(2).map(|v| (v[1] - v[0]).abs());
        let same = steps().filter(|d| *d < LEAST_STEP).count();
        let rounded = OFTEN * same > self.value.len();
        let digit = steps().filter(|d| rounded && *d > LEAST_STEP).reduce(f64::min).unwrap_or(0.0);
        scatter.max(Estimate::of_rounding(digit))
    }

    /// How far the readings on either side of a time are apart \[s\].
    fn step_s(&self, time_s: f64) -> f64 {
        let around = self.pairs().find(|(_, b)| b.0 >= time_s);
        around.map_or(0.0, |(a, b)| b.0 - a.0)
    }

    /// The value at `time_s`, by straight lines between samples; absent outside the run.
    #[must_use]
    pub fn at(&self, time_s: f64) -> Option<f64> {
        self.value_of(&Tracker::At(time_s, None))
    }

    /// The part from `from_s` on.
    #[must_use]
    pub fn since(&self, from_s: f64) -> Self {
        self.within((from_s, f64::INFINITY))
    }

    /// The part between two times.
    #[must_use]
    pub fn within(&self, (from_s, to_s): (f64, f64)) -> Self {
        let end = self.time_s.partition_point(|t| *t <= to_s);
        let at = self.time_s.partition_point(|t| *t < from_s).min(end);
        Trace { time_s: &self.time_s[at..end], value: &self.value[at..end] }
    }

    /// Mean over time (trapezia); the single value of a single sample.
    #[must_use]
    pub fn mean(&self) -> Option<f64> {
        let (first, last) = (self.time_s.first()?, self.time_s.last()?);
        if last <= first {
            return self.value.first().copied();
        }
        Some(self.integral() / (last - first))
    }

    /// Integral over time (trapezia).
    #[must_use]
    pub fn integral(&self) -> f64 {
        self.pairs().map(|(a, b)| 0.5 * (a.1 + b.1) * (b.0 - a.0)).sum()
    }
}

/// When a level is passed, from times and distances that are yet to go: after the last reading that is surely
/// before it, and before the first surely past it. Nothing between readings is assumed.
#[must_use]
pub fn passed(to_go: impl Iterator<Item = (f64, Estimate)>) -> FromReadings {
    let (mut low, mut high) = (0.0, None);
    for (time_s, gap) in to_go {
        if gap.value > SIGMAS * gap.standard {
            (low, high) = (time_s, None);
        } else if gap.value < -SIGMAS * gap.standard && high.is_none() {
            high = Some(time_s);
        }
    }
    high.map_or(FromReadings::AtLeast(low), |high| FromReadings::Between(low, high))
}

#[cfg(test)]
mod tests {
    use super::super::Span;
    use super::*;

    const T: [f64; 5] = [0.0, 10.0, 20.0, 30.0, 40.0];

    fn trace(value: &[f64]) -> Trace<'_> {
        Trace { time_s: &T, value }
    }

    fn exact(value: &[f64], tracker: &Tracker) -> Option<f64> {
        trace(value).moved(tracker, 0.0)
    }

    #[test]
    fn crossings_are_interpolated() {
        let rise = [0.0, 1.0, 2.0, 3.0, 4.0];
        assert_eq!(exact(&rise, &Tracker::rising(2.5)), Some(25.0));
        assert_eq!(exact(&rise, &Tracker::rising(9.0)), None);
        assert_eq!(exact(&[4.0, 3.0, 2.0, 1.0, 0.0], &Tracker::falling(0.5)), Some(35.0));
        assert_eq!(exact(&[5.0], &Tracker::rising(2.0)), Some(0.0));
    }

    #[test]
    fn a_common_error_moves_a_crossing() {
        let rise = trace(&[0.0, 1.0, 2.0, 3.0, 4.0]);
        // A tenth of a kelvin per second and a common 0.2 K: 2 s, beside a step of 10 s; the line has no noise.
        let time = rise.estimate(&Tracker::rising(2.5), 0.2).expect("a time");
        let FromReadings::Value(found) = time else { panic!("{time:?}") };
        assert_eq!(found.value, 25.0);
        assert!((found.standard - 2.0_f64.hypot(10.0 / 12.0_f64.sqrt())).abs() < 1e-12);
        // Readings that may be too high may not have been there at all.
        // At the least 0.4 K too low, and then anywhere since the reading before.
        assert_eq!(rise.estimate(&Tracker::rising(3.9), 0.2), Some(FromReadings::AtLeast(25.0)));
        let high = rise.estimate(&Tracker::high(Span::All), 0.2);
        let Some(FromReadings::Value(high)) = high else { panic!("{high:?}") };
        assert!((high.value - 4.0).abs() < 1e-12 && (high.standard - 0.2).abs() < 1e-12);
    }

    #[test]
    fn values_between_samples_are_on_straight_lines() {
        let v = trace(&[0.0, 1.0, 2.0, 3.0, 4.0]);
        assert_eq!(
            [v.at(0.0), v.at(25.0), v.at(40.0), v.at(41.0)],
            [Some(0.0), Some(2.5), Some(4.0), None]
        );
    }

    #[test]
    fn settling_begins_where_the_line_enters_the_band() {
        let time: Vec<f64> = (0..9).map(|i| 100.0 * f64::from(i)).collect();
        let mut value = [10.2; 9];
        (value[0], value[1]) = (0.0, 10.0);
        let settled =
            |value: &[f64]| Trace { time_s: &time, value }.moved(&Tracker::settled(10.0), 0.0);
        assert_eq!(settled(&value), Some(90.0));
        value[5] = 12.0;
        assert_eq!(settled(&value), None);
    }

    #[test]
    fn time_above_splits_the_interval() {
        assert_eq!(exact(&[0.0, 2.0, 2.0, 0.0, 0.0], &Tracker::above(1.0)), Some(20.0));
    }

    #[test]
    fn mean_is_over_time_and_empty_has_none() {
        assert_eq!(trace(&[1.0, 1.0, 3.0, 3.0, 3.0]).mean(), Some(2.25));
        assert_eq!(exact(&[1.0, 1.0, 3.0, 3.0, 3.0], &Tracker::mean()), Some(2.25));
        assert_eq!(Trace { time_s: &[], value: &[] }.mean(), None);
    }
}
