//! What the run did to the box: room, heater, length.

use super::lids::millis;
use super::{Binder, FAHRENHEIT, temperature_of};
use crate::assess::{Evidence, Probe, SensorPlace};
use crate::measured::folder::EventKind;
use crate::reader::join_path;
use crate::study::box_fit::data::Observed;
use crate::study::box_fit::room::Room;
use crate::study::box_fit::write::heater_schedule;
use crate::uncertainty::Estimate;
use crate::units::{self, Kind, c_from_k};

/// Temperatures that a room of a scenario may have \[°C\].
const ROOM_C: (f64, f64) = (-20.0, 60.0);

impl Binder<'_> {
    /// Everything, in the order in which a reader would look for it.
    pub(super) fn replay(&mut self) {
        let end_s = end_s(self.q.evidence).ceil() + 1.0;
        self.adopt("run.duration", format!("{end_s} s"));
        self.room();
        self.heater();
        self.events(end_s);
        self.load();
        self.lags();
    }

    fn room(&mut self) {
        let evidence = self.q.evidence;
        let total_pa = evidence.pressure_pa.map_or(self.scenario.room.total_pa, |p| p.value);
        let noted = (evidence.room.temp_k, evidence.room.relative_humidity);
        let temp_k = noted.0.map_or(self.scenario.room.temp_k, |e| e.value);
        let rh = noted.1.map_or(self.scenario.room.relative_humidity, |e| e.value);
        let logged = |p: &&Probe| p.place == SensorPlace::Room && !p.time_s.is_empty();
        let probes = || evidence.probes.iter().filter(logged);
        let probe = probes().find(|p| !p.relative_humidity.is_empty()).or_else(|| probes().next());
        if let Some(probe) = probe {
            let row = |i: usize| {
                let humidity = probe.relative_humidity.get(i).copied().unwrap_or(rh);
                [
                    millis(probe.time_s[i]),
                    millis(c_from_k(probe.temp_k[i])),
                    millis(100.0 * humidity),
                ]
            };
            let valid = |r: &[f64; 3]| r[0] >= 0.0 && r.iter().all(|v| v.is_finite());
            let rows: Vec<[f64; 3]> = (0..probe.time_s.len()).map(row).filter(valid).collect();
            let odd = rows.iter().find(|r| !(ROOM_C.0..=ROOM_C.1).contains(&r[1]));
            if let Some([_, c, _]) = odd {
                let what = format!(
                    "{} stands in the room and reads {c:.1} °C; taken as °F that would be {:.1} °C",
                    probe.name,
                    (c - 32.0) / 1.8
                );
                return self.fail("odd-room", what, FAHRENHEIT);
            }
            let logged = !probe.relative_humidity.is_empty();
            let rh_sd = if logged { probe.rh_sd } else { noted.1.map_or(0.0, |e| e.standard) };
            let (sensor, u) = (probe.name.clone(), (probe.temp_sd_k, 100.0 * rh_sd));
            let room = Room { rows, total_pa, sensor, u };
            if !room.rows.is_empty() && self.adopt("room", room.text()) {
                self.inputs.extend(room.inputs());
                let range = |i: usize| {
                    let all = || room.rows.iter().map(|r| r[i]);
                    (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max))
                };
                let ((t0, t1), (h0, h1)) = (range(1), range(2));
                let humid = match probe.relative_humidity.is_empty() {
                    true => format!("its humidity is taken as {:.0} %RH", 100.0 * rh),
                    false => format!("{h0:.0} to {h1:.0} %RH"),
                };
                self.note(format!(
                    "the room follows {} of the log: {t0:.1} to {t1:.1} °C, {humid}",
                    probe.name
                ));
            }
            return;
        }
        if noted == (None, None) {
            self.note("the room is that of the box's scenario: the run says nothing of it");
            return;
        }
        let digits = |kind, v: f64| units::format_digits(kind, v, 6);
        let room = |temp_k: f64, rh: f64| {
            format!(
                "{{ temperature = {:?}, relative_humidity = {:?}, pressure = \"{total_pa} Pa\" }}",
                digits(Kind::Temperature, temp_k),
                digits(Kind::RelativeHumidity, rh.clamp(0.0, 1.0))
            )
        };
        if self.adopt("room", room(temp_k, rh)) {
            let sd = |e: Option<Estimate>| e.map_or(0.0, |e| e.standard);
            let (u_k, u_rh) = (sd(noted.0), sd(noted.1));
            if u_k > 0.0 {
                self.uncertain("the room's temperature".into(), "room", room(temp_k + u_k, rh));
            }
            if u_rh > 0.0 {
                self.uncertain("the room's humidity".into(), "room", room(temp_k, rh + u_rh));
            }
            let temp = units::format(Kind::Temperature, temp_k);
            let humidity = units::format(Kind::RelativeHumidity, rh);
            self.note(format!("the room is held at {temp} and {humidity}, as noted in run.toml"));
        }
    }

    fn heater(&mut self) {
        let mut steps = self.q.evidence.heater.clone();
        steps.sort_by(|a, b| a.0.total_cmp(&b.0));
        if steps.is_empty() {
            return self.left_to_the_control();
        }
        if steps.iter().any(|(_, share)| !(0.0..=1.0).contains(share)) {
            let what = "its logged heater is no share of full power between 0 and 1".to_owned();
            let hint = "log 0 and 1, or leave that column out: columns in [log.<name>]";
            return self.fail("bad-heater", what, hint);
        }
        // What held before the start holds at the start.
        let before = steps.iter().rposition(|s| s.0 <= 0.0).unwrap_or(0);
        let mut steps = steps.split_off(before);
        steps[0].0 = steps[0].0.max(0.0);
        steps.dedup_by(|later, earlier| later.0 <= earlier.0);
        let count = steps.len();
        if self.adopt("control", heater_schedule(steps)) {
            self.note(format!("the heater follows the log, switch by switch ({count} of them)"));
        }
    }

    /// Without a logged heater the box's own control heats.
    fn left_to_the_control(&mut self) {
        let path = "control.set_point";
        let own = self.scenario.control.set_point_k;
        self.control_sensor(path);
        if let (Some(k), Some(own)) = (self.q.evidence.set_point_k, own)
            && self.q.source.get_text(path).is_some()
        {
            let text = units::format_digits(Kind::Temperature, k, 6);
            let other = (k - own).abs() > 1e-6;
            if other && self.adopt(path, text.clone()) {
                self.note(format!("control.set_point is {text}, as in run.toml"));
            }
        }
        let kind = self.q.source.get_text("control.kind").unwrap_or_default();
        match (kind.as_str(), self.q.means_s) {
            ("thermostat", None) => self.note(
                "the heater is not logged, so the box's own thermostat switches it, at other moments than \
                 the real one: compare means over its cycles, --cycle-means \"10 min\"",
            ),
            ("thermostat", Some(s)) => self.note(format!(
                "the heater is not logged: the box's own thermostat switches it, and means over {} are compared",
                units::format(Kind::Time, s)
            )),
            _ => {}
        }
    }

    /// A sensor that controls and reads too much keeps the air that much colder.
    fn control_sensor(&mut self, path: &str) {
        let evidence = self.q.evidence;
        let Some(probe) = evidence.probes.iter().find(|p| p.controls && p.in_box()) else { return };
        let set_point_k = evidence.set_point_k.or(self.scenario.control.set_point_k);
        let calibrated =
            self.is_free(&format!("{}.offset_temperature", join_path("sensor", &probe.name)));
        if let Some(k) =
            set_point_k.filter(|_| !calibrated && self.q.source.get_text(path).is_some())
        {
            let colder = units::format_digits(Kind::Temperature, k - probe.temp_sd_k, 8);
            self.uncertain(Observed::offset_of(&temperature_of(&probe.name)), path, colder);
        }
    }

    /// What was noted and has no counterpart in a scenario.
    pub(super) fn not_replayed(&mut self) {
        let notes = self.q.spec.events.iter().filter(|e| e.kind == EventKind::Note);
        let names: Vec<&str> = notes.map(|e| e.name.as_str()).collect();
        if !names.is_empty() {
            self.note(format!(
                "not replayed, a scenario does not know it: {} (of kind note)",
                names.join(", ")
            ));
        }
        if self.q.evidence.heater_w.is_some() {
            self.note(
                "heater.power of run.toml is not used: --set heater.power=... makes it the box's",
            );
        }
    }

    /// Zone of a place: of that name, or the only one.
    pub(super) fn zone(&self, place: SensorPlace) -> Option<usize> {
        let zones = &self.scenario.enclosure.zones;
        let named = |name: &str| zones.iter().position(|z| z.name == name);
        let found = match place {
            SensorPlace::Supply => named("supply"),
            SensorPlace::Return => named("return"),
            SensorPlace::Box | SensorPlace::Room => None,
        };
        found.or_else(|| (zones.len() == 1).then_some(0))
    }
}

/// The last reading of any kind \[s\].
fn end_s(run: &Evidence) -> f64 {
    let energy = run.energy.iter().map(|e| e.0);
    let spots = run.spots.iter().filter_map(|s| s.at_s);
    energy.chain(spots).fold(run.end_s(), f64::max).max(1.0)
}
