//! Weighings, meter readings and spot readings of surfaces beside the model.

use super::Binder;
use crate::address::{Address, Place, Quantity, Side};
use crate::assess::surface_k;
use crate::study::box_fit::data::{Common, Compared, Observed};
use crate::uncertainty::Estimate;
use crate::units::c_from_k;

/// Standard uncertainty of a weighing of which nothing is known \[kg\]: a kitchen scale with a
/// resolution of 0.1 g (common practice).
const UNKNOWN_SCALE_KG: f64 = 3e-5;

/// How long before the start a first meter reading still counts as taken at the start \[s\].
const NEAR_START_S: f64 = 60.0;

/// Limits of error of a meter of which nothing is known, as a share: plug meters of class 2 (common
/// practice).
const METER_LIMITS: f64 = 0.02;

const MINUTE_S: f64 = 60.0;

const JOULE_PER_WH: f64 = 3600.0;

impl Binder<'_> {
    /// Standard uncertainty of the times of notes \[s\]: of a clock read to the minute, if all weighings
    /// stand at full ones.
    pub(super) fn clock_s(&self) -> f64 {
        let run = self.q.evidence;
        let Some(start) = run.clock_s else { return 0.0 };
        let full = run.weighed.weighings.iter().all(|w| to_the_minute(start + w.0));
        if full { Estimate::of_rounding(MINUTE_S) } else { 0.0 }
    }

    /// That of the start; a logged heater tells by itself when it was, and where neither run.toml nor
    /// notes state it, it is the first stamp of the log, whose clock has seconds if any stamp shows them.
    pub(super) fn start_s(&self) -> f64 {
        let run = self.q.evidence;
        let Some(start) = run.clock_s.filter(|s| to_the_minute(*s)) else { return 0.0 };
        let of_the_log = self.q.spec.start.is_none() && self.q.spec.weighings.is_none();
        let mut stamps = run.probes.iter().flat_map(|p| &p.time_s);
        let seconds = stamps.any(|t| !to_the_minute(start + t));
        let full = run.heater.is_empty() && !(of_the_log && seconds);
        if full { Estimate::of_rounding(MINUTE_S) } else { 0.0 }
    }

    /// Water left by the scale; where the dry mass is not known, the loss since the start.
    pub(super) fn weighings(&mut self) {
        let weighed = &self.q.evidence.weighed;
        if weighed.weighings.is_empty() {
            return;
        }
        let of_loads = |quantity: Quantity| -> Vec<Address> {
            let all = self.columns.iter().map(|c| c.address);
            let fits = |at: &Address| at.quantity == quantity && matches!(at.place, Place::Load(_));
            all.filter(fits).collect()
        };
        let left = of_loads(Quantity::WaterRemaining);
        let inside = of_loads(Quantity::Water);
        let (column, reference, by_loss) = match (
            &left[..],
            &inside[..],
            weighed.dry_kg,
            weighed.start_kg,
        ) {
            ([one], _, Some(dry), _) => (*one, dry, false),
            ([one], _, None, Some(start)) | ([], [one], _, Some(start)) => (*one, start, true),
            ([], [], ..) => {
                return self.note("the weighings are not compared: the box has no load that dries");
            }
            ([_], ..) | (_, [_], ..) => {
                return self.note(
                        "the weighings are not compared: neither a dry mass nor one at the start is noted",
                    );
            }
            _ => {
                return self.note(
                        "the weighings are not compared: the box has several loads, and the notes do not say which was weighed",
                    );
            }
        };
        if reference.standard <= 0.0 {
            self.note(format!(
                "the scale's uncertainty is not known: {} g are taken (scale_uncertainty in [weighings] of run.toml)",
                1e3 * UNKNOWN_SCALE_KG
            ));
        }
        let u = |sd: f64| 1e3 * if sd > 0.0 { sd } else { UNKNOWN_SCALE_KG };
        let list = &self.q.evidence.weighed.weighings;
        let observed = Observed {
            name: if by_loss { "mass lost".into() } else { "water remaining by the scale".into() },
            target: Compared::Column(column),
            unit: "g".into(),
            times_s: list.iter().map(|w| w.0).collect(),
            values: list.iter().map(|w| 1e3 * (w.1.value - reference.value)).collect(),
            u: list.iter().map(|w| u(w.1.standard)).collect(),
            clock_s: self.clock_s(),
            correlation_s: Some(0.0),
            // The dry or first mass, weighed once, is in all of them.
            common: vec![Common {
                name: if by_loss { self.start_mass() } else { self.dry_mass() },
                by: vec![u(reference.standard); list.len()],
            }],
            moments: by_loss.then(|| list.iter().map(|w| vec![(w.0, 1.0), (0.0, -1.0)]).collect()),
        };
        self.observed.push(observed);
    }

    /// Energy since the first meter reading: heater and fan together.
    pub(super) fn energy(&mut self) {
        let list: Vec<_> =
            self.q.evidence.energy.iter().filter(|e| e.0 >= -NEAR_START_S).copied().collect();
        let early = self.q.evidence.energy.len() - list.len();
        if early > 0 {
            let is = if early == 1 {
                "reading before the start is"
            } else {
                "readings before the start are"
            };
            self.note(format!("{early} meter {is} not compared"));
        }
        let [first, later @ ..] = &list[..] else { return };
        if later.is_empty() {
            return self.note("one meter reading alone says nothing: it is not compared");
        }
        let all = self.columns.iter().map(|c| c.address);
        let columns: Vec<Address> = all.filter(|at| at.quantity == Quantity::Energy).collect();
        let from = first.0.max(0.0);
        let used = |e: &(f64, Estimate)| (e.1.value - first.1.value) / JOULE_PER_WH;
        // Of a counter only the rounding is in its readings; readings in run.toml and sums of a logged
        // power state their whole uncertainty.
        let counted = self.q.spec.meter.is_empty() && first.1.standard > 0.0;
        let limits = self.q.spec.weighings.as_ref().and_then(|w| w.meter_accuracy);
        let share = Estimate::within(0.0, limits.unwrap_or(METER_LIMITS)).standard;
        let by = later.iter().map(|e| share * used(e)).collect();
        let gain = vec![Common { name: "the meter's scale".into(), by }];
        let gain = if counted { gain } else { Vec::new() };
        if counted && limits.is_none() {
            self.note(format!(
                "the meter is taken to be right within {:.0} % (meter_accuracy in [weighings] of run.toml)",
                100.0 * METER_LIMITS
            ));
        }
        self.observed.push(Observed {
            name: "energy by the meter".into(),
            target: Compared::Sum(columns),
            unit: "Wh".into(),
            times_s: later.iter().map(|e| e.0).collect(),
            values: later.iter().map(used).collect(),
            u: later.iter().map(|e| e.1.standard.hypot(first.1.standard) / JOULE_PER_WH).collect(),
            clock_s: self.clock_s(),
            correlation_s: Some(0.0),
            common: gain,
            moments: Some(later.iter().map(|e| vec![(e.0, 1.0), (from, -1.0)]).collect()),
        });
        self.note("the meter is compared with heater and fan motor together");
    }

    /// Infrared readings of outside walls, corrected for the surface.
    pub(super) fn spots(&mut self) {
        let run = self.q.evidence;
        for spot in &run.spots {
            let Some(at_s) = spot.at_s else {
                self.note(format!(
                    "spot.{0} is not compared: it has no time (write at = \"14:30\" in [spot.{0}] of run.toml)",
                    spot.name
                ));
                continue;
            };
            let Some(zone) = self.zone(spot.place) else {
                self.note(format!(
                    "spot.{0} is not compared: which wall it is is not known (write place = \"supply\" or \
                     \"return\" in [spot.{0}] of run.toml)",
                    spot.name
                ));
                continue;
            };
            let column = Address::new(Place::Face(zone, Side::Outside), Quantity::Temperature);
            if !self.columns.iter().any(|c| c.address == column) {
                self.note(format!(
                    "spot.{} is not compared: the box's wall has no outside of its own (give it a material)",
                    spot.name
                ));
                continue;
            }
            let Some(found) = surface_k(run, spot).filter(|e| e.estimate.standard > 0.0) else {
                self.note(format!(
                    "spot.{} is not compared: its true temperature or its uncertainty is not known",
                    spot.name
                ));
                continue;
            };
            // Nobody knows how much of it is scatter: it counts twice, but once for all surfaces.
            let (name, by) = ("the infrared thermometer".into(), vec![found.estimate.standard]);
            let error = Common { name, by };
            self.observed.push(Observed {
                name: format!("{} outside", spot.name),
                target: Compared::Column(column),
                unit: "°C".into(),
                times_s: vec![at_s],
                values: vec![c_from_k(found.estimate.value)],
                u: vec![found.estimate.standard],
                clock_s: self.clock_s(),
                correlation_s: Some(0.0),
                common: vec![error],
                moments: None,
            });
        }
    }
}

/// Whether a clock \[s\] stands at a full minute, as one that is read to the minute does.
fn to_the_minute(clock_s: f64) -> bool {
    let off = clock_s.rem_euclid(MINUTE_S);
    off.min(MINUTE_S - off) < 1e-6
}
