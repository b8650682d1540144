//! Dry loads: something that only has to be warmed.

use super::LoadView;
use crate::address::Place;
use crate::model::flows::Flows;
use crate::model::part::{At, Part};
use crate::model::site::{Context, Site, ZONE};
use crate::model::store::{Heat, Thermal};
use crate::reader::{Key, Section, key};
use crate::real::Real;
use crate::units::Kind;

const HEAT_CAPACITY: Key = key::quantity("heat_capacity", Kind::HeatCapacity, 1e-3..=1e6)
    .optional()
    .help("its heat capacity, in place of `mass` and `specific_heat`");
const MASS: Key =
    key::quantity("mass", Kind::Mass, 1e-6..=1e3).help("its mass, unless `heat_capacity` is given");
const SPECIFIC_HEAT: Key = key::quantity("specific_heat", Kind::SpecificHeat, 50.0..=10_000.0)
    .help("its specific heat, unless `heat_capacity` is given");
const COUPLING: Key = key::quantity("coupling", Kind::Conductance, 1e-4..=1e3)
    .help("heat that it takes from the air per kelvin");

/// `[load.<name>]` with `kind = "inert"`.
#[derive(Clone, Debug)]
pub struct InertSpec {
    /// Name in the scenario.
    pub name: String,
    zone: usize,
    capacity_j_k: f64,
    coupling_w_k: f64,
}

impl InertSpec {
    /// Its keys.
    pub const KEYS: &'static [&'static Key] =
        &[&ZONE, &COUPLING, &HEAT_CAPACITY, &MASS, &SPECIFIC_HEAT];

    /// Reads its keys.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let capacity_j_k = match s.quantity_opt(&HEAT_CAPACITY) {
            Some(c) => c,
            None => {
                let mass = s.quantity(&MASS);
                mass * s.quantity(&SPECIFIC_HEAT)
            }
        };
        InertSpec {
            name: s.name(),
            zone: cx.zone(s),
            capacity_j_k,
            coupling_w_k: s.quantity(&COUPLING),
        }
    }

    /// It brings no water.
    pub fn added_kg(&self) -> f64 {
        0.0
    }

    /// Makes the part.
    pub fn build(&self, site: &mut Site) -> (Inert, LoadView) {
        let rule = Thermal::Solid { capacity: self.capacity_j_k };
        let heat = site.layout.heat(Place::Load(site.load), rule, site.start.temp_k);
        let part = Inert {
            heat,
            zone: self.zone,
            air: site.zones[self.zone].gas.heat,
            coupling_w_k: self.coupling_w_k,
        };
        (part, LoadView::of_one(&self.name, heat, Vec::new(), 0.0))
    }
}

/// A lump of heat capacity behind a conductance.
#[derive(Clone, Debug)]
pub struct Inert {
    heat: Heat,
    zone: usize,
    air: Heat,
    coupling_w_k: f64,
}

impl Part for Inert {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let dt = at.zones[self.zone].air.temp_k - at.temp_k(self.heat);
        flows.heat(self.air, self.heat, dt * self.coupling_w_k);
    }
}
