//! What the run did to the box: room, heater, lid, length.

use super::{Binder, FAHRENHEIT, temperature_of};
use crate::assess::{EXCHANGE, Evidence, LidOpening, Place, Probe};
use crate::measured::folder::EventKind;
use crate::model::parts::LidEvent;
use crate::reader::join_path;
use crate::study::box_fit::data::Observed;
use crate::study::box_fit::room::Room;
use crate::study::box_fit::write::heater_schedule;
use crate::uncertainty::Estimate;
use crate::units::{self, Kind, c_from_k};

/// A box's own opening lends its share to one of the run that is no further away than this \[s\].
const SAME_OPENING_S: f64 = 600.0;

/// Largest share that an opening may swap: the scenario allows hardly more.
const MOST_SWAPPED: f64 = 0.99;

/// An opening shorter than this is one all the same \[s\]: the least that a scenario takes.
const SHORTEST_S: f64 = 0.5;

/// Temperatures that a room of a scenario may have \[°C\].
const ROOM_C: (f64, f64) = (-20.0, 60.0);

/// How far the heater's first switching may be off the start to count as the start \[s\].
const AT_THE_START_S: f64 = 60.0;

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
        let logged = |p: &&Probe| p.place == Place::Room && !p.time_s.is_empty();
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
            let sound = |r: &[f64; 3]| r[0] >= 0.0 && r.iter().all(|v| v.is_finite());
            let rows: Vec<[f64; 3]> = (0..probe.time_s.len()).map(row).filter(sound).collect();
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

    /// The run's own lid openings and switchings in place of the box's openings; other events of the
    /// box stay.
    fn events(&mut self, end_s: f64) {
        let mut list = Vec::new();
        for name in self.q.source.names("event") {
            let path = join_path("event", &name);
            if self.q.source.get_text(&join_path(&path, "kind")).as_deref() != Some("lid_open") {
                let text = self.q.source.toml(&path).unwrap_or_default();
                list.push(format!("{} = {text}", join_path("", &name)));
            }
        }
        let (lids, words) = self.lids(end_s, 0.0);
        let (more, _) = self.lids(end_s, 1.0);
        let (count, guessed) = (lids.len(), more != lids);
        let mut swapped = list.clone();
        swapped.extend(more);
        list.extend(lids);
        let off = self.switched_off(end_s);
        for (i, (from, to)) in off.iter().enumerate() {
            let entry = format!(
                "heater_off_{} = {{ kind = \"power_loss\", at = \"{from} s\", duration = \"{} s\" }}",
                i + 1,
                to - from
            );
            swapped.push(entry.clone());
            list.push(entry);
        }
        let own = self.scenario.events.lid.len();
        if (count > 0 || own > 0 || !off.is_empty())
            && self.adopt("event", format!("{{ {} }}", list.join(", ")))
        {
            if guessed {
                let text = format!("{{ {} }}", swapped.join(", "));
                self.uncertain("the gas swapped at lid openings".into(), "event", text);
            }
            match (count, own) {
                (0, 0) => {}
                (0, _) => {
                    self.note(format!("no lid opening in this run; the box's {own} left out"))
                }
                _ => self.note(words),
            }
            if !off.is_empty() {
                self.note("heater_on and heater_off are replayed as the mains switched: the fan stops too");
            }
        }
        self.not_replayed();
    }

    /// Openings as entries of `[event]`, and what to say of them; with shares that are so many standard
    /// uncertainties larger.
    fn lids(&self, end_s: f64, larger: f64) -> (Vec<String>, String) {
        let openings = self.q.evidence.lids.iter();
        let openings: Vec<&LidOpening> =
            openings.filter(|l| l.to_s > 0.0 && l.from_s < end_s).collect();
        let (mut free_from, mut taken, mut list) = (0.0_f64, 0, Vec::new());
        for (i, lid) in openings.iter().enumerate() {
            let from = millis(lid.from_s.max(free_from));
            let duration = millis((lid.to_s - from).max(SHORTEST_S));
            free_from = from + duration;
            let stated = lid.exchange.or_else(|| self.own_share(lid.from_s).map(Estimate::exact));
            taken += usize::from(stated.is_none());
            let share = stated.unwrap_or(Estimate::new(EXCHANGE.0, EXCHANGE.1));
            let share = (share.value + larger * share.standard).clamp(0.0, MOST_SWAPPED);
            list.push(format!(
                "lid_{} = {{ kind = \"lid_open\", at = \"{from} s\", duration = \"{duration} s\", exchange = \"{} %\" }}",
                i + 1,
                millis(100.0 * share)
            ));
        }
        let seen = openings.iter().filter(|l| l.seen).count();
        let mut words =
            format!("{} lid openings replayed, {seen} of them seen in the log", list.len());
        if taken > 0 {
            let pct = 100.0 * EXCHANGE.0;
            words += &format!(
                "; {pct:.0} % of the gas swapped in {taken} of them is a guess (state exchange in [event.<name>])"
            );
        }
        (list, words)
    }

    /// The share that the box's scenario states for an opening near that time.
    fn own_share(&self, at_s: f64) -> Option<f64> {
        let far = |e: &&LidEvent| (e.at_s - at_s).abs();
        let nearest = self.scenario.events.lid.iter().min_by(|a, b| far(a).total_cmp(&far(b)))?;
        (far(&nearest) <= SAME_OPENING_S).then_some(nearest.share)
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

    /// What was noted and has no counterpart in a scenario.
    fn not_replayed(&mut self) {
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
    pub(super) fn zone(&self, place: Place) -> Option<usize> {
        let zones = &self.scenario.enclosure.zones;
        let named = |name: &str| zones.iter().position(|z| z.name == name);
        let found = match place {
            Place::Supply => named("supply"),
            Place::Return => named("return"),
            Place::Box | Place::Room => None,
        };
        found.or_else(|| (zones.len() == 1).then_some(0))
    }
}

/// To a thousandth: a number that a person can read in the fitted scenario.
fn millis(x: f64) -> f64 {
    (1e3 * x).round() / 1e3
}

/// The last reading of any kind \[s\].
fn end_s(run: &Evidence) -> f64 {
    let energy = run.energy.iter().map(|e| e.0);
    let spots = run.spots.iter().filter_map(|s| s.at_s);
    energy.chain(spots).fold(run.end_s(), f64::max).max(1.0)
}
