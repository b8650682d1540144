//! What the run put into the box: its load, by the scale, and its sensors with their lags.

use super::Binder;
use crate::reader::join_path;
use crate::study::box_fit::data::Input;
use crate::units::{self, Kind, Measured};

impl Binder<'_> {
    /// What the error of the mass before wetting is called.
    pub(super) fn dry_mass(&self) -> String {
        format!("{}: mass before wetting", self.q.name)
    }

    /// What the error of the mass at the start is called.
    pub(super) fn start_mass(&self) -> String {
        format!("{}: mass at the start", self.q.name)
    }

    /// Water and dry mass of the only load, by the scale.
    pub(super) fn load(&mut self) {
        let weighed = &self.q.evidence.weighed;
        let [load] = &self.scenario.loads[..] else { return };
        let table = join_path("load", load.name());
        let path = |key: &str| join_path(&table, key);
        let (Some(dry), Some(start)) = (weighed.dry_kg, weighed.start_kg) else { return };
        if self.q.source.get_text(&path("water")).is_none() || start.value < dry.value {
            return;
        }
        let sd = start.standard.hypot(dry.standard);
        let water_kg = start.value - dry.value;
        let water = units::format_measured(Kind::Mass, Measured { value: water_kg, sd: Some(sd) });
        let exact = |kg: f64| units::format_digits(Kind::Mass, kg, 8);
        let mut words = Vec::new();
        // A dry mass that is larger in truth leaves less for the water.
        let (mut of_dry, mut of_start) = (Vec::new(), Vec::new());
        if self.adopt(&path("water"), water.clone()) {
            words.push(format!("{} is {water}", path("water")));
            of_dry.push((path("water"), exact((water_kg - dry.standard).max(0.0))));
            of_start.push((path("water"), exact(water_kg + start.standard)));
        }
        let known = self.q.source.get_text(&path("dry_mass")).is_some();
        let dry_text = units::format_digits(Kind::Mass, dry.value, 6);
        if known && self.adopt(&path("dry_mass"), dry_text.clone()) {
            words.push(format!("{} is {dry_text}", path("dry_mass")));
            of_dry.push((path("dry_mass"), exact(dry.value + dry.standard)));
        }
        for (name, sets) in [(self.dry_mass(), of_dry), (self.start_mass(), of_start)] {
            if !sets.is_empty() {
                self.inputs.push(Input { name, sets });
            }
        }
        if !words.is_empty() {
            self.note(format!("{}, by the scale", words.join(" and ")));
        }
    }

    /// Lags of sensors as the run states them; a sensor that the box lacks is added to it.
    pub(super) fn lags(&mut self) {
        let evidence = self.q.evidence;
        for probe in evidence.probes.iter().filter(|p| p.in_box()) {
            let Some(tau) = probe.time_constant_s else { continue };
            let table = join_path("sensor", &probe.name);
            let path = join_path(&table, "time_constant");
            let text = units::format_digits(Kind::Time, tau.value, 6);
            let adopted = if self.scenario.sensors.iter().any(|s| s.name == probe.name) {
                self.adopt(&path, text)
            } else if let Some(zone) = self.zone(probe.place) {
                let zone = self.scenario.enclosure.zones[zone].name.clone();
                self.adopt(&join_path(&table, "zone"), zone);
                self.adopt(&path, text)
            } else {
                false
            };
            if adopted && tau.standard > 0.0 {
                let slower = units::format_digits(Kind::Time, tau.value + tau.standard, 6);
                self.uncertain(format!("{}: time constant", probe.name), &path, slower);
            }
        }
    }
}
