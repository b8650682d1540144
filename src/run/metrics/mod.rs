//! The metrics of a simulated run: a table of what each is called, what exactly it is, and which
//! of the numbers followed through the run tell it.

mod air;
mod drying;
mod heating;
mod spools;
mod supply;

use super::probe::Probe;
use super::watch::{Id, Watch};
use crate::address::{Address, Place, Quantity};
use crate::metric::{self, Bound, Metric, Peak, Span, Tracker};
use crate::model::parts::LoadView;
use crate::model::{Instant, Limit, LimitPlace, Model};
use crate::scenario::Scenario;
use crate::units::{Kind, c_from_k, format_digits};

/// Digits of a duration in words.
const DIGITS: usize = 3;

/// What a finished run knows.
pub(super) struct Seen<'a> {
    /// What was followed.
    pub watch: &'a Watch,
    /// The box.
    pub model: &'a Model,
    /// The last instant.
    pub at: &'a Instant<'a>,
    /// The last state.
    pub y: &'a [f64],
    /// When the run ended \[s\].
    pub end_s: f64,
    /// Whether that was before its time.
    pub ended: bool,
    /// When the heater switched \[s\].
    pub switchings: &'a [f64],
}

/// What a run says of a figure: a value, known from one side only perhaps, or why there is none.
type Answer = Result<(f64, Option<Bound>), String>;

impl Seen<'_> {
    fn duration(&self) -> String {
        format_digits(Kind::Time, self.end_s, DIGITS)
    }

    /// Not to be told, since the run ended too early.
    fn unknown(&self) -> Answer {
        Err(format!("unknown after {}", self.duration()))
    }

    /// A value that only a whole run has: at its end, or in its steady window.
    fn whole(&self, value: Option<f64>) -> Answer {
        match value {
            _ if self.ended => self.unknown(),
            Some(value) => Ok((value, None)),
            None => Err("the run is too short".into()),
        }
    }

    /// A value that can only grow, or shrink, as a run goes on.
    fn growing(&self, value: Option<f64>, bound: Bound) -> Answer {
        match value {
            Some(value) if self.ended => Ok((value, Some(bound))),
            Some(value) => Ok((value, None)),
            None => Err(format!("not reached within {}", self.duration())),
        }
    }

    /// A highest value.
    fn most(&self, value: Option<f64>) -> Answer {
        self.growing(value, Bound::AtLeast)
    }

    /// Something that happens once, or has not yet.
    fn once(&self, value: Option<f64>) -> Answer {
        match value {
            Some(value) => Ok((value, None)),
            None if self.ended => self.unknown(),
            None => Err(format!("not reached within {}", self.duration())),
        }
    }

    /// The highest of several numbers.
    fn highest(&self, ids: &[Id]) -> Option<f64> {
        ids.iter().filter_map(|id| self.watch.get(*id).value()).reduce(f64::max)
    }

    /// A number at the end.
    fn last(&self, probe: Probe) -> f64 {
        probe.value(self.model, self.at, self.y)
    }

    /// Electric energy of the whole run \[Wh\].
    fn electric_wh(&self) -> f64 {
        self.last(Probe::SupplyEnergy)
    }
}

/// Water below 0 °C that counts \[g\]: what can be seen and felt. Our choice.
const FROZEN_G: f64 = 0.1;

/// A line of the table, and what tells its value.
struct Rule {
    title: Metric,
    tell: Box<dyn Fn(&Seen<'_>) -> Answer>,
}

/// A limit and, for each number that it is for, its highest value and when it passes the limit.
pub(super) struct Watched {
    /// The limit.
    pub limit: Limit,
    /// Each number, its highest value, its first crossing.
    pub places: Vec<(Probe, Id, Id)>,
}

/// All metrics of a scenario.
pub(super) struct MetricTable {
    list: Vec<Rule>,
    peaks: Vec<(Probe, Id)>,
    /// The limits of the scenario.
    pub limits: Vec<Watched>,
    /// Highest and lowest pressure.
    pub pressure: [Id; 2],
    /// When water would first be ice.
    pub frozen: Id,
}

/// The table under construction.
struct Card<'m> {
    scenario: &'m Scenario,
    model: &'m Model,
    watch: Watch,
    list: Vec<Rule>,
    /// What stands in the slots of the next definitions.
    words: Vec<(&'static str, String)>,
}

impl MetricTable {
    /// The table of a scenario, and what must be followed for it, beside the peaks of `recorded`.
    pub(super) fn new(
        scenario: &Scenario,
        model: &Model,
        recorded: impl Iterator<Item = Probe>,
        mut watch: Watch,
    ) -> (Watch, Self) {
        let peaks = recorded
            .filter(Probe::tracks_peak)
            .map(|probe| (probe, watch.track(probe, Tracker::high(Span::All))))
            .collect();
        let pressure = [Tracker::high(Span::All), Tracker::low(Span::All)]
            .map(|tracker| watch.track(Probe::Pressure, tracker));
        let frozen = watch.track(Probe::Frozen, Tracker::rising(FROZEN_G));
        let limits: Vec<Watched> =
            model.landmarks.limits.iter().map(|l| watched(model, l, &mut watch)).collect();
        let words = vec![("fed", supply::consumers(model))];
        let mut card = Card { scenario, model, watch, list: Vec::new(), words };
        heating::add(&mut card, &limits);
        supply::add(&mut card);
        drying::add(&mut card);
        spools::add(&mut card);
        air::add(&mut card);
        (card.watch, MetricTable { list: card.list, peaks, limits, pressure, frozen })
    }

    /// All of them without values.
    pub(super) fn titles(&self) -> Vec<Metric> {
        self.list.iter().map(|rule| rule.title.clone()).collect()
    }

    /// What a finished run says of each.
    pub(super) fn tell(&self, seen: &Seen<'_>) -> Vec<Metric> {
        let one = |rule: &Rule| {
            let (value, bound, why) = match (rule.tell)(seen) {
                Ok((value, bound)) if value.is_finite() => (Some(value), bound, None),
                Ok(_) => (None, None, Some("not a finite number".into())),
                Err(why) => (None, None, Some(why)),
            };
            Metric { value, bound, why, ..rule.title.clone() }
        };
        self.list.iter().map(one).collect()
    }

    /// The highest value of what is recorded.
    pub(super) fn peak(&self, watch: &Watch, probe: &Probe) -> Option<Peak> {
        let (_, id) = self.peaks.iter().find(|(p, _)| p == probe)?;
        watch.get(*id).extreme()
    }
}

impl Card<'_> {
    fn add(&mut self, key: &str, tell: impl Fn(&Seen<'_>) -> Answer + 'static) {
        let title = metric::definition(key).metric(&self.words);
        self.list.push(Rule { title, tell: Box::new(tell) });
    }

    /// The highest of several numbers.
    fn highest(&mut self, key: &str, ids: Vec<Id>) {
        self.add(key, move |seen| seen.most(seen.highest(&ids)));
    }

    /// When something happens first, in units of `unit_s`.
    fn time(&mut self, key: &str, id: Id, unit_s: f64) {
        self.add(key, move |seen| seen.once(seen.watch.get(id).value().map(|s| s / unit_s)));
    }

    /// A number at the end.
    fn last(&mut self, key: &str, probe: Probe) {
        self.add(key, move |seen| seen.whole(Some(seen.last(probe))));
    }

    fn high(&mut self, probe: Probe, span: Span) -> Id {
        self.watch.track(probe, Tracker::high(span))
    }

    /// The water or energy of a line of the accounts.
    fn line(&self, place: Place, quantity: Quantity) -> Option<usize> {
        self.model.line(Address::new(place, quantity))
    }

    /// The highest value of each zone.
    fn zones(&mut self, probe: impl Fn(usize) -> Probe, span: Span) -> Vec<Id> {
        (0..self.model.zones().len()).map(|z| self.high(probe(z), span)).collect()
    }

    /// A number where the steady window begins.
    fn before_steady(&mut self, probe: Probe) -> Id {
        let from_s = metric::steady_from_s(self.scenario.run.duration_s);
        self.watch.track(probe, Tracker::At(from_s, None))
    }

    /// Length of the steady window \[s\].
    fn steady_s(&self) -> f64 {
        let end_s = self.scenario.run.duration_s;
        end_s - metric::steady_from_s(end_s)
    }
}

/// Follows what a limit is for.
fn watched(model: &Model, limit: &Limit, watch: &mut Watch) -> Watched {
    let level = c_from_k(limit.limit_k);
    let follow = |probe: Probe| {
        let high = watch.track(probe, Tracker::high(Span::All));
        (probe, high, watch.track(probe, Tracker::rising(level)))
    };
    Watched {
        limit: limit.clone(),
        places: places(model, limit.place).into_iter().map(follow).collect(),
    }
}

/// The temperatures that a limit is for.
fn places(model: &Model, place: LimitPlace) -> Vec<Probe> {
    let marks = &model.landmarks;
    let store = |heat| Probe::Store(model.index_of_heat(heat));
    let walls = marks.walls.iter().map(|(nodes, _)| nodes);
    let zones = 0..model.zones().len();
    let end_of = |load: usize, rim: bool| -> Vec<Probe> {
        let layered = marks.loads[load].moisture.iter().filter(|m| m.depth() > 1);
        let ends = layered.flat_map(|m| m.ring(if rim { m.depth() - 1 } else { 0 }));
        ends.map(|slice| store(slice.heat)).collect()
    };
    match place {
        LimitPlace::Air => zones.map(Probe::ZoneTemperature).collect(),
        LimitPlace::Element => vec![store(marks.element)],
        LimitPlace::WallInside => walls.map(|nodes| store(nodes[0])).collect(),
        LimitPlace::WallOutside => {
            let layered = walls.filter(|nodes| nodes.len() > 1);
            layered.map(|nodes| store(nodes[nodes.len() - 1])).collect()
        }
        LimitPlace::Load => {
            let loads = marks.loads.iter().enumerate();
            let all = |(i, load): (usize, &LoadView)| match &load.moisture {
                Some(m) if m.depth() > 1 => [end_of(i, true), end_of(i, false)].concat(),
                Some(m) => m.slices.iter().map(|s| store(s.heat)).collect(),
                None => vec![store(load.heat)],
            };
            loads.flat_map(all).collect()
        }
        LimitPlace::AirAround(i) => {
            let around = marks.loads[i].moisture.iter().flat_map(|m| &m.around);
            around.map(|(z, _)| Probe::ZoneTemperature(*z)).collect()
        }
        LimitPlace::Rim(i) => end_of(i, true),
        LimitPlace::Core(i) => end_of(i, false),
    }
}
