//! Guards: finding the instants at which modes change, and firing them.

use super::bracket::Bracket;
use super::{Failure, Segment, Stepper, System};

/// Fractions of a step at which the guards are looked at.
const LOOKS: [f64; 4] = [0.25, 0.5, 0.75, 1.0];
/// How finely an event is located, relative to the step or to one second.
const LOCATION: f64 = 1e-9;
/// Evaluations after which a location is as good as it gets (halving alone needs about 50).
const LOCATION_BUDGET: u32 = 200;
/// This many events within [`BURST_S`] are no physics but a loop.
const BURST_EVENTS: u32 = 200;
/// No part of a model switches this fast on purpose (s).
const BURST_S: f64 = 1e-3;

/// Drives `stepper` from `t` to `t_stop` through the events of `system`; returns how many fired.
///
/// The guards are looked at four times in each step; a crossing from < 0 to >= 0 is located on the
/// dense output to 1e-9 of the step or of 1 s, whichever is longer, at an instant where the guard
/// is >= 0. Guards that crossed at the same instant fire in the order in which they crossed, as
/// long as those before have not taken them back below 0.
///
/// `observe(system, segment, up_to)` sees the accepted part of each step, before an event at its
/// end changes the modes.
///
/// # Errors
///
/// Those of the stepper, and [`Failure::EventLoop`] when events follow each other without time
/// going on.
pub fn integrate<S: System, St: Stepper>(
    stepper: &mut St,
    system: &mut S,
    t: f64,
    y: &mut [f64],
    t_stop: f64,
    observe: &mut dyn FnMut(&mut S, &Segment, f64),
) -> Result<u64, Failure> {
    let mut all = |system: &mut S, segment: &Segment<'_>, up_to: f64| {
        observe(system, segment, up_to);
        None
    };
    integrate_until(stepper, system, t, y, t_stop, &mut all).map(|(fired, _)| fired)
}

/// As [`integrate`], until `observe` returns a time within the part of a step that it is shown: `y` is then
/// the state at that time, which is returned too.
///
/// # Errors
///
/// Those of [`integrate`].
pub fn integrate_until<S: System, St: Stepper>(
    stepper: &mut St,
    system: &mut S,
    t: f64,
    y: &mut [f64],
    t_stop: f64,
    observe: &mut dyn FnMut(&mut S, &Segment, f64) -> Option<f64>,
) -> Result<(u64, Option<f64>), Failure> {
    let mut watch = Watch::new(system.guards(), system.len());
    if y.len() == system.len() {
        watch.rearm(system, y);
    }
    let mut burst = Burst { start: t, events: 0 };
    let (mut t, mut fired) = (t, 0);
    loop {
        let mut end = None;
        t = stepper.advance(system, t, y, t_stop, &mut |system, segment| {
            let cut = watch.scan(system, segment);
            end = observe(system, segment, cut.unwrap_or(segment.t1()));
            end.or(cut)
        })?;
        if end.is_some() || (watch.crossed.is_empty() && t >= t_stop) {
            return Ok((fired, end));
        }
        fired += watch.fire(system, y);
        burst.count(t, &watch)?;
    }
}

/// Counts events that follow each other closely.
struct Burst {
    start: f64,
    events: u32,
}

impl Burst {
    fn count(&mut self, t: f64, watch: &Watch) -> Result<(), Failure> {
        if t - self.start > BURST_S {
            *self = Burst { start: t, events: 0 };
        }
        self.events += 1;
        if self.events < BURST_EVENTS {
            return Ok(());
        }
        Err(Failure::EventLoop { t, guard: watch.last_fired, events: self.events })
    }
}

/// The guards of one integration.
struct Watch {
    /// Values where the guards were last looked at.
    left: Vec<f64>,
    right: Vec<f64>,
    /// Work space for a location.
    trial: Vec<f64>,
    y: Vec<f64>,
    /// Whether a guard has been below 0 since it last was at or above 0.
    armed: Vec<bool>,
    /// The guards that crossed at the cut, each with its instant.
    crossed: Vec<(f64, usize)>,
    last_fired: usize,
}

impl Watch {
    fn new(guards: usize, len: usize) -> Self {
        Watch {
            left: vec![0.0; guards],
            right: vec![0.0; guards],
            trial: vec![0.0; guards],
            y: vec![0.0; len],
            armed: vec![false; guards],
            crossed: Vec::with_capacity(guards),
            last_fired: 0,
        }
    }

    /// Starts afresh from `y`: only guards below 0 are armed.
    fn rearm<S: System>(&mut self, system: &mut S, y: &[f64]) {
        system.guard_values(y, &mut self.left);
        for (armed, g) in self.armed.iter_mut().zip(&self.left) {
            *armed = *g < 0.0;
        }
    }

    /// Looks for the first crossing in a step and returns its instant.
    fn scan<S: System>(&mut self, system: &mut S, segment: &Segment) -> Option<f64> {
        self.crossed.clear();
        if self.armed.is_empty() {
            return None;
        }
        let (t0, t1) = (segment.t0(), segment.t1());
        let mut from = t0;
        for th in LOOKS {
            let to = if th < 1.0 { t0 + th * (t1 - t0) } else { t1 };
            segment.eval(to, &mut self.y);
            system.guard_values(&self.y, &mut self.right);
            if let Some(cut) = self.first_crossing(system, segment, from, to) {
                return Some(cut);
            }
            for (armed, g) in self.armed.iter_mut().zip(&self.right) {
                // A NaN tells nothing, so it changes nothing.
                *armed = *g < 0.0 || (*armed && g.is_nan());
            }
            std::mem::swap(&mut self.left, &mut self.right);
            from = to;
        }
        None
    }

    /// The first crossing between two looks; fills `crossed` with all guards past it by then.
    fn first_crossing<S: System>(
        &mut self,
        system: &mut S,
        segment: &Segment,
        from: f64,
        to: f64,
    ) -> Option<f64> {
        for i in 0..self.armed.len() {
            if self.armed[i] && self.right[i] >= 0.0 {
                let at = self.locate(system, segment, i, from, to);
                self.crossed.push((at, i));
            }
        }
        let cut = self.crossed.iter().map(|c| c.0).reduce(f64::min)?;
        segment.eval(cut, &mut self.y);
        system.guard_values(&self.y, &mut self.trial);
        let trial = &self.trial;
        self.crossed.retain(|&(_, i)| trial[i] >= 0.0);
        for (i, armed) in self.armed.iter().enumerate() {
            // One that is above 0 here but below again at the end of the interval.
            if *armed && trial[i] >= 0.0 && self.crossed.iter().all(|c| c.1 != i) {
                self.crossed.push((cut, i));
            }
        }
        self.crossed.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        Some(cut)
    }

    /// The instant at which guard `i`, negative at `from` and not at `to`, has just crossed: it is
    /// >= 0 there.
    fn locate<S: System>(
        &mut self,
        system: &mut S,
        segment: &Segment,
        i: usize,
        from: f64,
        to: f64,
    ) -> f64 {
        let step = segment.t1() - segment.t0();
        let tolerance = (LOCATION * step.max(1.0)).max(4.0 * f64::EPSILON * to.abs());
        let mut bracket = Bracket::new((from, self.left[i]), (to, self.right[i]));
        for _ in 0..LOCATION_BUDGET {
            if bracket.b - bracket.a <= tolerance {
                break;
            }
            let at = bracket.guess(tolerance);
            segment.eval(at, &mut self.y);
            system.guard_values(&self.y, &mut self.trial);
            bracket.narrow(at, self.trial[i]);
        }
        bracket.b
    }

    /// Fires the guards that crossed at the cut, and returns how many did.
    fn fire<S: System>(&mut self, system: &mut S, y: &[f64]) -> u64 {
        let mut fired = 0;
        for &(_, i) in &self.crossed {
            let stands = fired == 0 || {
                system.guard_values(y, &mut self.trial);
                self.trial[i] >= 0.0
            };
            if stands {
                system.fire(i, y);
                self.last_fired = i;
                fired += 1;
            }
        }
        self.crossed.clear();
        self.rearm(system, y);
        fired
    }
}
