//! Follows numbers through every step of the solver: what a run says must not depend on the rows that it
//! writes.
//!
//! A number is looked at where a step begins, at its quarters and where it ends. Where it turns or crosses
//! a level between those, and something that is kept depends on it, the instant is located on the dense
//! output. Nothing of a step is stored.

use super::ended::Edge;
use super::moisture;
use super::probe::Probe;
use crate::address::DryingResistance;
use crate::metric::{Course, NODES, Point, Stage, Tracker, Turn, first_past, points};
use crate::model::part::Modes;
use crate::model::{Model, Plant};
use crate::solver::{Bracket, Segment};

/// How finely a crossing is located, relative to the step or to one second, as events are.
const LOCATION: f64 = 1e-9;
/// Evaluations after which a location is as good as it gets (halving alone needs about 50).
const MOST_LOOKS: usize = 200;

/// A tracker, by its number and its place there.
#[derive(Clone, Copy, Debug)]
pub(super) struct Id(usize, usize);

#[derive(Debug)]
struct Signal {
    probe: Probe,
    values: [f64; NODES],
    trackers: Vec<Tracker>,
}

/// Another number at a crossing.
#[derive(Debug)]
struct Beside {
    crossing: Id,
    probe: Probe,
    value: Option<f64>,
}

/// What held the water of a load back, weighted by the fall of its moisture.
#[derive(Debug)]
struct ResistanceShare {
    load: usize,
    moisture: usize,
    until_s: f64,
    shares: [[f64; DryingResistance::ALL.len()]; NODES],
    sums: [f64; DryingResistance::ALL.len()],
    weight: f64,
}

/// All numbers that are followed.
#[derive(Debug)]
pub(super) struct Watch {
    signals: Vec<Signal>,
    beside: Vec<Beside>,
    held: Vec<ResistanceShare>,
    /// Where the run leaves the range of the model, with the number of its signal.
    edges: Vec<(usize, Edge)>,
    /// When the steady window begins \[s\].
    steady_s: f64,
    /// What tells that the box is warm.
    warm: Option<Id>,
    times: [f64; NODES],
    /// Modes at the last instant looked at: they jump, and with them powers.
    modes: Option<Modes>,
    y: Vec<f64>,
    left: Option<(f64, usize)>,
}

/// Looks up single numbers within a step.
struct Look<'l, 'm, 's> {
    plant: &'l mut Plant<'m>,
    segment: &'l Segment<'s>,
    y: Vec<f64>,
}

/// The course of one number within a step.
impl Course for (Probe, &mut Look<'_, '_, '_>) {
    fn at(&mut self, time_s: f64) -> f64 {
        let (probe, Look { plant, segment, y }) = self;
        segment.eval(time_s, y);
        let model = plant.model();
        probe.value(model, &plant.metered(y), y)
    }

    fn crossing(&mut self, a: Point, b: Point, level: f64) -> f64 {
        let sign = if b.1 > a.1 { 1.0 } else { -1.0 };
        let tolerance = (LOCATION * (b.0 - a.0).max(1.0)).max(4.0 * f64::EPSILON * b.0.abs());
        let mut bracket = Bracket::new((a.0, sign * (a.1 - level)), (b.0, sign * (b.1 - level)));
        for _ in 0..MOST_LOOKS {
            if bracket.b - bracket.a <= tolerance {
                break;
            }
            let at = bracket.guess(tolerance);
            bracket.narrow(at, sign * (self.at(at) - level));
        }
        bracket.b
    }
}

impl Watch {
    /// Follows nothing but the range of the model.
    pub(super) fn new(model: &Model, edges: Vec<Edge>, steady_s: f64) -> Self {
        let mut watch = Watch {
            signals: Vec::new(),
            beside: Vec::new(),
            held: Vec::new(),
            edges: Vec::new(),
            steady_s,
            warm: None,
            times: [0.0; NODES],
            modes: None,
            y: vec![0.0; model.entries().len()],
            left: None,
        };
        watch.edges = edges.into_iter().map(|e| (watch.signal(e.probe), e)).collect();
        watch
    }

    fn signal(&mut self, probe: Probe) -> usize {
        let known = self.signals.iter().position(|s| s.probe == probe);
        known.unwrap_or_else(|| {
            let values = [f64::NAN; NODES];
            self.signals.push(Signal { probe, values, trackers: Vec::new() });
            self.signals.len() - 1
        })
    }

    /// Keeps something of a number.
    pub(super) fn track(&mut self, probe: Probe, tracker: Tracker) -> Id {
        let signal = self.signal(probe);
        let trackers = &mut self.signals[signal].trackers;
        // Several figures may ask for the same extreme.
        let known = trackers.iter().position(|t| t.is_same_extreme(&tracker));
        let place = known.unwrap_or_else(|| {
            trackers.push(tracker);
            trackers.len() - 1
        });
        Id(signal, place)
    }

    /// Keeps another number at the instant of a crossing; returns its place.
    pub(super) fn beside(&mut self, crossing: Id, probe: Probe) -> usize {
        self.beside.push(Beside { crossing, probe, value: None });
        self.beside.len() - 1
    }

    /// The crossing from which on the box is warm.
    pub(super) fn warm_from(&mut self, id: Id) {
        self.warm = Some(id);
    }

    /// Follows what holds the water of a load back, until it is taken out.
    pub(super) fn hold_back(&mut self, load: usize, moisture: Probe, until_s: f64) -> usize {
        let (shares, sums) =
            ([[0.0; DryingResistance::ALL.len()]; NODES], [0.0; DryingResistance::ALL.len()]);
        let moisture = self.signal(moisture);
        self.held.push(ResistanceShare { load, moisture, until_s, shares, sums, weight: 0.0 });
        self.held.len() - 1
    }

    /// What was kept.
    pub(super) fn get(&self, id: Id) -> &Tracker {
        &self.signals[id.0].trackers[id.1]
    }

    /// What was kept beside a crossing.
    pub(super) fn at_crossing(&self, place: usize) -> Option<f64> {
        self.beside[place].value
    }

    /// Mean share of a drying resistance \[%\]; none for a load that lost no water.
    pub(super) fn resistance_shares(&self, number: usize, what: DryingResistance) -> Option<f64> {
        let held = &self.held[number];
        (held.weight > 0.0).then(|| held.sums[what as usize] / held.weight)
    }

    /// When and where the run left the range of the model.
    pub(super) fn left(&self) -> Option<(f64, &Edge)> {
        self.left.map(|(time_s, edge)| (time_s, &self.edges[edge].1))
    }

    /// Follows one accepted step up to `until`; returns the instant at which the run leaves the range of
    /// the model.
    pub(super) fn follow(
        &mut self,
        plant: &mut Plant<'_>,
        segment: &Segment<'_>,
        until: f64,
    ) -> Option<f64> {
        let (t0, steady_s) = (segment.t0(), self.steady_s);
        let mut look = Look { plant, segment, y: std::mem::take(&mut self.y) };
        let left = if t0 < steady_s && steady_s < until {
            let left = self.part(&mut look, (t0, steady_s));
            left.or_else(|| self.part(&mut look, (steady_s, until)))
        } else {
            self.part(&mut look, (t0, until))
        };
        self.y = look.y;
        left
    }

    /// Follows a part of a step that lies on one side of the beginning of the steady window.
    fn part(&mut self, look: &mut Look<'_, '_, '_>, (from, until): (f64, f64)) -> Option<f64> {
        if self.modes == Some(look.plant.modes) {
            for signal in &mut self.signals {
                signal.values[0] = signal.values[NODES - 1];
            }
            for held in &mut self.held {
                held.shares[0] = held.shares[NODES - 1];
            }
        } else {
            self.look(look, 0, from);
            self.modes = Some(look.plant.modes);
        }
        self.times[0] = from;
        self.quarters(look, until);
        self.left = self.leaves(look);
        if let Some((time_s, _)) = self.left {
            self.quarters(look, time_s);
        }
        self.keep(look);
        self.left.map(|(time_s, _)| time_s)
    }

    /// Looks at all numbers at the quarters of what follows `times[0]`.
    fn quarters(&mut self, look: &mut Look<'_, '_, '_>, until: f64) {
        let from = self.times[0];
        for k in 1..NODES {
            let share = k as f64 / (NODES - 1) as f64;
            let t = if k + 1 < NODES { from + share * (until - from) } else { until };
            self.look(look, k, t);
        }
    }

    fn look(&mut self, Look { plant, segment, y }: &mut Look<'_, '_, '_>, k: usize, t: f64) {
        segment.eval(t, y);
        let model = plant.model();
        let at = plant.metered(y);
        for signal in &mut self.signals {
            signal.values[k] = signal.probe.value(model, &at, y);
        }
        for held in &mut self.held {
            held.shares[k] = moisture::shares_pct(model, held.load, &at, y);
        }
        self.times[k] = t;
    }

    /// The first edge of the model's range that is passed.
    fn leaves(&self, look: &mut Look<'_, '_, '_>) -> Option<(f64, usize)> {
        let passed = |(i, (signal, edge)): (usize, &(usize, Edge))| {
            let Signal { probe, values, .. } = &self.signals[*signal];
            let beyond = |v: f64| if edge.rising { v >= edge.level } else { v <= edge.level };
            let wanted = |turn: Turn| turn.top == edge.rising && beyond(turn.value);
            let mut course = (*probe, &mut *look);
            let points = points(&self.times, values, wanted, &mut course);
            let time_s = first_past(points.all(), edge.level, edge.rising, &mut course)?;
            Some((time_s, i))
        };
        let all = self.edges.iter().enumerate().filter_map(passed);
        all.min_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// Brings all that is kept up to the end of a part of a step.
    fn keep(&mut self, look: &mut Look<'_, '_, '_>) {
        let (start, end) = (self.times[0], self.times[NODES - 1]);
        let mut stage = Stage { warm_s: self.warm_s(), steady: start >= self.steady_s };
        // First what tells that the box is warm: the others ask.
        let first = self.warm.filter(|_| stage.warm_s.is_none()).map(|id| id.0);
        if let Some(signal) = first {
            self.signals[signal].follow(&self.times, stage, look);
            stage.warm_s = self.warm_s();
        }
        let others = self.signals.iter_mut().enumerate().filter(|(i, _)| Some(*i) != first);
        others.for_each(|(_, signal)| signal.follow(&self.times, stage, look));
        for other in self.beside.iter_mut().filter(|b| b.value.is_none()) {
            let Id(signal, place) = other.crossing;
            let crossed_s = self.signals[signal].trackers[place].value();
            other.value = crossed_s.map(|time_s| (other.probe, &mut *look).at(time_s));
        }
        for held in self.held.iter_mut().filter(|h| end <= h.until_s) {
            let c = &self.signals[held.moisture].values;
            for k in 1..NODES {
                let fall = (c[k - 1] - c[k]).max(0.0);
                let pairs = held.shares[k - 1].iter().zip(&held.shares[k]);
                for (sum, (a, b)) in held.sums.iter_mut().zip(pairs) {
                    *sum += 0.5 * fall * (a + b);
                }
                held.weight += fall;
            }
        }
    }

    fn warm_s(&self) -> Option<f64> {
        self.warm.and_then(|id| self.get(id).value())
    }
}

impl Signal {
    fn follow(&mut self, times: &[f64; NODES], stage: Stage, look: &mut Look<'_, '_, '_>) {
        let Signal { probe, values, trackers } = self;
        let mut course = (*probe, look);
        let wanted = |turn| trackers.iter().any(|t| t.wants(turn, stage));
        let points = points(times, values, wanted, &mut course);
        for tracker in trackers {
            tracker.follow(points.all(), values, stage, &mut course);
        }
    }
}
