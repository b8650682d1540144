//! Readings of the sensors in the box, beside what the model says at their places.

use super::{Binder, FAHRENHEIT, humidity_to_pressure, temperature_of};
use crate::address::{Address, Place, Quantity};
use crate::assess::{Evidence, ExchangeDoubt, Probe};
use crate::measured::folder::SensorSpec;
use crate::reader::join_path;
use crate::study::box_fit::data::{Compared, Observed};
use crate::study::box_fit::{look, means};
use crate::units::{self, Kind, c_from_k};

/// Time constants after which a sensor has forgotten the room air of an open lid: to 5 %.
const FORGOTTEN: f64 = 3.0;

/// A humidity element that reads this or more is saturated and tells nothing.
const FULL: f64 = 0.999;

/// Readings that are not compared, by reason.
#[derive(Default)]
struct LeftOut {
    all: usize,
    lid: usize,
    doubt: usize,
    full: usize,
    none: usize,
    outside: usize,
    cycles: usize,
}

impl LeftOut {
    fn words(&self) -> Option<String> {
        let parts = [
            (self.lid, "while the lid was open or the sensor still felt it"),
            (self.doubt, "in doubt (drybench assess says why)"),
            (self.full, "of a saturated humidity element"),
            (self.none, "that are no number"),
            (self.outside, "before the start or after the end"),
            (self.cycles, "of spans with too few others"),
        ];
        let total: usize = parts.iter().map(|p| p.0).sum();
        let said: Vec<String> =
            parts.iter().filter(|p| p.0 > 0).map(|(n, why)| format!("{n} {why}")).collect();
        (total > 0).then(|| {
            let s = if self.all == 1 { "" } else { "s" };
            format!("{total} of {} reading{s} left out: {}", self.all, said.join(", "))
        })
    }
}

/// Where a sensor is in the model.
struct Seat {
    /// Where that is.
    place: Place,
    /// Lag \[s\]; zero without.
    lag_s: f64,
    /// What the box says that it reads too much, temperature \[K\] and relative humidity.
    offset: (f64, f64),
}

impl Binder<'_> {
    /// All sensors in the box.
    pub(super) fn sensors(&mut self) {
        let evidence = self.q.evidence;
        let mut left = LeftOut::default();
        let mut own = Vec::new();
        for probe in evidence.probes.iter().filter(|p| p.in_box()) {
            if let Some(seat) = self.seat(probe) {
                own.extend(self.readings(probe, &seat, &mut left));
            }
        }
        self.unmatched();
        // Before they are averaged: means do not show the box at rest.
        let hot = look::fahrenheit(self.q.name, FAHRENHEIT, &own, self.scenario.start.0);
        self.issues.extend(hot);
        if !self.q.keep_humidity {
            humidity_to_pressure(&mut own);
        }
        if let Some(span_s) = self.q.means_s {
            let before = self.issues.len();
            self.issues.extend(means::unfit(self.q.name, &own, span_s));
            for o in &mut own {
                let (mean, lost) = means::over(o, span_s);
                left.cycles += lost;
                *o = mean;
            }
            let told = self.issues.len() > before;
            if !told && !own.is_empty() && own.iter().all(|o| o.values.is_empty()) {
                let what = format!(
                    "no {} hold two readings of a sensor",
                    units::format(Kind::Time, span_s)
                );
                self.fail("short-means", what, "average over longer: --cycle-means \"20 min\"");
            }
        }
        self.observed.extend(own);
        self.notes.extend(left.words());
    }

    /// Sensors described in run.toml that no log has: their time constant and place say nothing.
    fn unmatched(&mut self) {
        let has = |name: &str| self.q.evidence.probes.iter().any(|p| p.name == name);
        let lost: Vec<&str> =
            self.q.spec.sensors.iter().map(|s| s.name.as_str()).filter(|n| !has(n)).collect();
        let names: Vec<&str> = self.q.evidence.probes.iter().map(|p| p.name.as_str()).collect();
        if let Some(first) = lost.first() {
            self.note(format!(
                "no log has the sensor {} of run.toml, only {}: its place and lag say nothing (write \
                 channel = \"\" in [sensor.{first}] for the only sensor of a log, else its name there)",
                lost.join(", "),
                names.join(", ")
            ));
        }
    }

    fn seat(&mut self, probe: &Probe) -> Option<Seat> {
        let mut sensors = self.scenario.sensors.iter().enumerate();
        if let Some((number, sensor)) = sensors.find(|(_, s)| s.name == probe.name) {
            if sensor.zone.is_none() {
                let text = format!(
                    "{} is left out: the box's sensor of that name sits in the room",
                    probe.name
                );
                self.note(text);
                return None;
            }
            let place = Place::Sensor(number);
            return Some(Seat { place, lag_s: sensor.time_constant_s, offset: sensor.offset });
        }
        let Some(zone) = self.zone(probe.place) else {
            let zones: Vec<&str> =
                self.scenario.enclosure.zones.iter().map(|z| z.name.as_str()).collect();
            self.note(format!(
                "{0} is left out: where it sits among the zones {1} is not known (write place = \"supply\" or \
                 \"return\" in [sensor.{0}] of run.toml, or add [sensor.{0}] to the box)",
                probe.name,
                zones.join(", ")
            ));
            return None;
        };
        self.note(format!(
            "{0} has no time constant: it is compared with the air itself (time_constant in [sensor.{0}] of run.toml)",
            probe.name
        ));
        Some(Seat { place: Place::Zone(zone), lag_s: 0.0, offset: (0.0, 0.0) })
    }

    /// Temperature and humidity of one sensor.
    fn readings(&mut self, probe: &Probe, seat: &Seat, left: &mut LeftOut) -> Vec<Observed> {
        let table = join_path("sensor", &probe.name);
        let free = |key: &str| self.is_free(&join_path(&table, key));
        let free = (free("offset_temperature"), free("offset_humidity"));
        let known = self.q.spec.sensors.iter().find(|s| s.name == probe.name);
        let noted =
            known.map_or((0.0, 0.0), |k: &SensorSpec| (k.offset_k.value, k.offset_rh.value));
        // A sensor that reads wrong in the box too is compared as it reads.
        let back = |own: f64, free: bool, noted: f64| if own != 0.0 || free { noted } else { 0.0 };
        let back_k = back(seat.offset.0, free.0, noted.0);
        let back_rh = back(seat.offset.1, free.1, noted.1);
        let good = self.good(probe, seat, left);
        let humid = &probe.relative_humidity;
        let kept = |i: usize, v: f64| if good[i] { v } else { f64::NAN };
        let temps = (0..good.len()).map(|i| kept(i, c_from_k(probe.temp_k[i] + back_k)));
        let mut all =
            vec![(Kind::Temperature, Quantity::Temperature, "°C", temps.collect::<Vec<f64>>())];
        if !humid.is_empty() {
            let full = (0..good.len()).filter(|i| good[*i] && humid[*i] >= FULL).count();
            left.full += full;
            left.none += (0..good.len()).filter(|i| good[*i] && !humid[*i].is_finite()).count();
            let value =
                |i: usize| if humid[i] >= FULL { f64::NAN } else { 100.0 * (humid[i] + back_rh) };
            let values = (0..good.len()).map(|i| kept(i, value(i))).collect();
            all.push((Kind::RelativeHumidity, Quantity::RelativeHumidity, "%RH", values));
        }
        let mut out = Vec::new();
        for (kind, quantity, unit, values) in all {
            let temp = kind == Kind::Temperature;
            let u = if temp { probe.temp_sd_k } else { 100.0 * probe.rh_sd };
            if u <= 0.0 {
                let key = if temp {
                    "accuracy_temperature = \"0.5 K\""
                } else {
                    "accuracy_humidity = \"3 %RH\""
                };
                let what = format!("{} of {} has an uncertainty of zero", kind.name(), probe.name);
                self.fail("no-uncertainty", what, &format!("write {key} in [{table}] of run.toml"));
                continue;
            }
            let name = match temp {
                true => temperature_of(&probe.name),
                false => format!("{} humidity", probe.name),
            };
            let observed = Observed {
                name: name.clone(),
                target: Compared::Column(Address::new(seat.place, quantity)),
                unit: unit.into(),
                times_s: probe.time_s.clone(),
                u: vec![u; values.len()],
                values,
                clock_s: 0.0,
                correlation_s: self.q.correlation_s,
                common: Vec::new(),
                moments: None,
            };
            out.push(observed.by_instrument(&name, if temp { free.0 } else { free.1 }));
        }
        out
    }

    /// Which readings are compared.
    fn good(&self, probe: &Probe, seat: &Seat, left: &mut LeftOut) -> Vec<bool> {
        let run: &Evidence = self.q.evidence;
        let end_s = self.scenario.run.duration_s;
        let doubts: Vec<&ExchangeDoubt> =
            run.flags.iter().filter(|d| d.spoils && d.probe == probe.name).collect();
        let each = if probe.relative_humidity.is_empty() { 1 } else { 2 };
        // A clock read to the minute may be so far off either way.
        let off_s = self.clock_s() * 3.0_f64.sqrt();
        let one = |t: &f64| {
            left.all += each;
            let open = |l: &crate::assess::LidOpening| {
                let off_s = if l.noted { off_s } else { 0.0 };
                (l.from_s - off_s..=l.to_s + off_s + FORGOTTEN * seat.lag_s).contains(t)
            };
            let reason = if !(0.0..=end_s).contains(t) {
                &mut left.outside
            } else if doubts.iter().any(|d| (d.from_s..=d.to_s).contains(t)) {
                &mut left.doubt
            } else if run.lids.iter().any(open) {
                &mut left.lid
            } else {
                return true;
            };
            *reason += each;
            false
        };
        probe.time_s.iter().map(one).collect()
    }
}
