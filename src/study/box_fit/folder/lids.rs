//! Lid openings and switchings of a run in place of the box's own.

use super::Binder;
use crate::assess::{EXCHANGE, LidOpening};
use crate::model::parts::LidEvent;
use crate::reader::join_path;
use crate::study::box_fit::data::{Input, Start};
use crate::uncertainty::Estimate;

/// A box's own opening lends its share to one of the run that is no further away than this \[s\].
const SAME_OPENING_S: f64 = 600.0;

/// Largest share that an opening may swap: the scenario allows hardly more.
const MOST_SWAPPED: f64 = 0.99;

/// An opening shorter than this is one all the same \[s\]: the least that a scenario takes.
const SHORTEST_S: f64 = 0.5;

/// How far the heater's first switching may be off the start to count as the start \[s\].
const AT_THE_START_S: f64 = 60.0;

/// How openings are replayed otherwise than noted.
#[derive(Clone, Copy, Default)]
struct Otherwise {
    /// Shares larger by their standard uncertainties.
    swapped: bool,
    /// All of them later by so much \[s\].
    later_s: f64,
    /// One of them later by so much \[s\].
    one_later: Option<(usize, f64)>,
}

impl Binder<'_> {
    /// The run's own lid openings and switchings in place of the box's openings; other events of the
    /// box stay.
    pub(super) fn events(&mut self, end_s: f64) {
        let mut others = Vec::new();
        for name in self.q.source.names("event") {
            let path = join_path("event", &name);
            if self.q.source.get_text(&join_path(&path, "kind")).as_deref() != Some("lid_open") {
                let text = self.q.source.toml(&path).unwrap_or_default();
                others.push(format!("{} = {text}", join_path("", &name)));
            }
        }
        let off = self.switched_off(end_s);
        others.extend(off.iter().enumerate().map(|(i, (from, to))| {
            format!("heater_off_{} = {{ kind = \"power_loss\", at = \"{from} s\", duration = \"{} s\" }}", i + 1, to - from)
        }));
        let text = |lids: Vec<String>| {
            let all: Vec<String> = lids.into_iter().chain(others.iter().cloned()).collect();
            format!("{{ {} }}", all.join(", "))
        };
        let lids = self.lids(end_s, Otherwise::default());
        let (count, own) = (lids.len(), self.scenario.events.lid.len());
        let adopted = (count > 0 || own > 0 || !off.is_empty()) && self.adopt("event", text(lids));
        if adopted {
            match (count, own) {
                (0, 0) => {}
                (0, _) => {
                    self.note(format!("no lid opening in this run; the box's {own} left out"))
                }
                _ => self.note(self.words(end_s)),
            }
            if !off.is_empty() {
                self.note("heater_on and heater_off are replayed as the mains switched: the fan stops too");
            }
        }
        let count = if adopted { count } else { 0 };
        self.uncertain_openings(end_s, count, &text);
        self.not_replayed();
    }

    /// What of `count` replayed openings is not certain: the share, and by a clock read to the minute
    /// when each was, and when the run began.
    fn uncertain_openings(
        &mut self,
        end_s: f64,
        count: usize,
        text: &dyn Fn(Vec<String>) -> String,
    ) {
        let moved = |otherwise| vec![("event".to_owned(), text(self.lids(end_s, otherwise)))];
        let plain = moved(Otherwise::default());
        let mut inputs = Vec::new();
        let swapped = moved(Otherwise { swapped: true, ..Otherwise::default() });
        if count > 0 && swapped != plain {
            let name = "the gas swapped at lid openings".into();
            inputs.push(Input { name, sets: swapped });
        }
        let (clock_s, start_s) = (self.clock_s(), self.start_s());
        for i in 0..if clock_s > 0.0 { count } else { 0 } {
            let sets = moved(Otherwise { one_later: Some((i, clock_s)), ..Otherwise::default() });
            if self.openings(end_s)[i].noted && sets != plain {
                let name = format!("{}: time of lid opening {}", self.q.name, i + 1);
                inputs.push(Input { name, sets });
            }
        }
        let later = |later_s| match count {
            0 => Vec::new(),
            _ => moved(Otherwise { later_s, ..Otherwise::default() }),
        };
        if start_s > 0.0 {
            self.start =
                Some(Start { u_s: start_s, if_later: later(-start_s), if_earlier: later(start_s) });
        }
        self.inputs.extend(inputs);
    }

    fn openings(&self, end_s: f64) -> Vec<&LidOpening> {
        let all = self.q.evidence.lids.iter();
        all.filter(|l| l.to_s > 0.0 && l.from_s < end_s).collect()
    }

    /// Openings as entries of `[event]`.
    fn lids(&self, end_s: f64, otherwise: Otherwise) -> Vec<String> {
        let (mut free_from, mut list) = (0.0_f64, Vec::new());
        for (i, lid) in self.openings(end_s).iter().enumerate() {
            let one = otherwise.one_later.filter(|o| o.0 == i).map_or(0.0, |o| o.1);
            let later = otherwise.later_s + one;
            let from = millis((lid.from_s + later).max(free_from));
            let duration = millis((lid.to_s + later - from).max(SHORTEST_S));
            free_from = from + duration;
            let share = self.share(lid).unwrap_or(Estimate::new(EXCHANGE.0, EXCHANGE.1));
            let share = if otherwise.swapped { wider(share) } else { share.value };
            list.push(format!(
                "lid_{} = {{ kind = \"lid_open\", at = \"{from} s\", duration = \"{duration} s\", exchange = \"{} %\" }}",
                i + 1,
                millis(100.0 * share.clamp(0.0, MOST_SWAPPED))
            ));
        }
        list
    }

    /// The share of the gas that an opening swaps, if it is stated.
    fn share(&self, lid: &LidOpening) -> Option<Estimate> {
        lid.exchange.or_else(|| self.own_share(lid.from_s).map(Estimate::exact))
    }

    /// What to say of the openings.
    fn words(&self, end_s: f64) -> String {
        let all = self.openings(end_s);
        let seen = all.iter().filter(|l| l.seen).count();
        let mut words =
            format!("{} lid openings replayed, {seen} of them seen in the log", all.len());
        let taken = all.iter().filter(|l| self.share(l).is_none()).count();
        if taken > 0 {
            words += &format!(
                "; {:.0} ± {:.0} % of the gas swapped in {taken} of them is a guess (state exchange in [event.<name>])",
                100.0 * EXCHANGE.0,
                100.0 * EXCHANGE.1
            );
        }
        words
    }

    /// The share that the box's scenario states for an opening near that time.
    fn own_share(&self, at_s: f64) -> Option<f64> {
        let far = |e: &&LidEvent| (e.at_s - at_s).abs();
        let nearest = self.scenario.events.lid.iter().min_by(|a, b| far(a).total_cmp(&far(b)))?;
        (far(&nearest) <= SAME_OPENING_S).then_some(nearest.share).flatten()
    }

    /// Spans without the mains by the notes, where the heater is not logged \[s\].
    fn switched_off(&self, end_s: f64) -> Vec<(f64, f64)> {
        let run = self.q.evidence;
        if !run.heater.is_empty() {
            return Vec::new();
        }
        let mut switched = run.switched.clone();
        switched.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut spans = Vec::new();
        let mut off_from = (switched.first().is_some_and(|s| s.1)).then_some(0.0);
        for (at, on) in switched {
            match (on, off_from) {
                (true, Some(from)) => {
                    if at - from > AT_THE_START_S {
                        spans.push((from, at));
                    }
                    off_from = None;
                }
                (false, None) => off_from = Some(at.max(0.0)),
                _ => {}
            }
        }
        spans.extend(off_from.filter(|from| *from + 1.0 < end_s).map(|from| (from, end_s)));
        spans
    }
}

/// A share that is larger by its standard uncertainty. What an opening does goes with the volumes of room
/// air that come in, `-ln(1 - share)`, and these grow ever faster with the share: a straight line has to reach
/// as far as the end of an even distribution of that uncertainty, √3 of it away.
fn wider(share: Estimate) -> f64 {
    let volumes = |share: f64| -(1.0 - share.clamp(0.0, MOST_SWAPPED)).ln();
    let (far, here) =
        (volumes(share.value + 3.0_f64.sqrt() * share.standard), volumes(share.value));
    1.0 - (-(here + (far - here) / 3.0_f64.sqrt())).exp()
}

/// To a thousandth: a number that a person can read in the fitted scenario.
pub(super) fn millis(x: f64) -> f64 {
    (1e3 * x).round() / 1e3
}
