//! A lamp in a load, in tests only: a part with power of its own is one file and one line, and appears in
//! accounts, series, JSON, figures and sweeps by itself.

use super::LoadView;
use crate::address::Place;
use crate::model::flows::Flows;
use crate::model::part::{At, Part};
use crate::model::site::{Context, Site, ZONE};
use crate::model::store::{Heat, Thermal};
use crate::reader::{Key, Section, key};
use crate::real::Real;
use crate::units::Kind;

/// `[load.<name>]` with `kind = "lamp"`.
#[derive(Clone, Debug)]
pub struct LampSpec {
    /// Name in the scenario.
    pub name: String,
    zone: usize,
    power_w: f64,
}

const POWER: Key = key::quantity("power", Kind::Power, 0.1..=100.0).help("its power");

impl LampSpec {
    /// Its keys.
    pub const KEYS: &'static [&'static Key] = &[&ZONE, &POWER];

    /// Reads `zone` and `power`.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let power_w = s.quantity(&POWER);
        LampSpec { name: s.name(), zone: cx.zone(s), power_w }
    }

    /// It brings no water.
    pub fn added_kg(&self) -> f64 {
        0.0
    }

    /// Makes the part.
    pub fn build(&self, site: &mut Site) -> (Lamp, LoadView) {
        let at = Place::Load(site.load);
        let heat = site.layout.heat(at, Thermal::Solid { capacity: 50.0 }, site.start.temp_k);
        let part = Lamp {
            heat,
            mains: site.layout.mains_total(at),
            zone: self.zone,
            air: site.zones[self.zone].gas.heat,
            power_w: self.power_w,
        };
        let view = LoadView {
            name: self.name.clone(),
            heat,
            heats: vec![heat],
            waters: Vec::new(),
            bound_kg: 0.0,
            added_kg: 0.0,
            moisture: None,
        };
        (part, view)
    }
}

/// A bulb that gives its heat to the air.
#[derive(Clone, Debug)]
pub struct Lamp {
    heat: Heat,
    mains: Heat,
    zone: usize,
    air: Heat,
    power_w: f64,
}

impl Part for Lamp {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        flows.heat(self.mains, self.heat, R::c(self.power_w));
        let dt = at.temp_k(self.heat) - at.zones[self.zone].air.temp_k;
        flows.heat(self.heat, self.air, dt * 0.5);
    }
}
