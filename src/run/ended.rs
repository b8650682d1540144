//! Where the range of the model ends, and with it a run.

use serde::{Deserialize, Serialize};

use super::moisture::is_wet;
use super::probe::Probe;
use crate::model::Model;
use crate::model::parts::LoadView;
use crate::physics::moist_air::saturation_pressure_pa;

/// Air temperatures between which the equations are trusted \[°C\]: the transport properties are
/// fitted to 0..100 °C and stay sane to 150 °C; a hotter box is a fault, not a dryer.
const AIR_C: (f64, f64) = (-25.0, 150.0);

/// Hottest element \[°C\]: the best resistance wires stand 1300 to 1400 °C (common practice).
const ELEMENT_C: f64 = 1400.0;

/// Most pressure of the gas over or under that of the room \[Pa\]: on a lid of 0.1 m² it is the weight of 60 kg,
/// which no such box holds, and 6 % of the density, which the laws of the openings leave out. Our choice.
const GAS_PA: f64 = 6_000.0;

/// Share of the pressure of the room that the vapour of a wet load has reached where the solver fails because
/// of it. Our choice: a load at 97 °C at sea level.
const NEARLY_BOILING: f64 = 0.9;

/// A run that left the range of the model before its time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ended {
    /// When \[s\].
    pub time_s: f64,
    /// Where: `air of supply`, `element`, `gas` or the name of a load.
    pub place: String,
    /// What happened, in words that follow the time.
    pub reason: String,
    /// The keys of the scenario that most likely cause it.
    pub look_at: String,
}

impl std::fmt::Display for Ended {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "at {:.1} s {}: the run ends there", self.time_s, self.reason)
    }
}

/// One edge of the range.
#[derive(Clone, Debug)]
pub(super) struct Edge {
    /// The number that meets it.
    pub probe: Probe,
    /// Where it lies.
    pub level: f64,
    /// Whether it is met from below.
    pub rising: bool,
    place: String,
    reason: String,
    look_at: &'static str,
}

impl Edge {
    /// What a run says that met it at `time_s`.
    pub(super) fn ended(&self, time_s: f64) -> Ended {
        let (place, reason) = (self.place.clone(), self.reason.clone());
        Ended { time_s, place, reason, look_at: self.look_at.into() }
    }
}

/// All edges of the range of a model.
pub(super) fn edges(model: &Model) -> Vec<Edge> {
    let mut list = Vec::new();
    let (low, high) = AIR_C;
    for (z, zone) in model.zones().iter().enumerate() {
        let n = &zone.name;
        let mut edge = |level, rising, verb| {
            list.push(Edge {
                probe: Probe::ZoneTemperature(z),
                level,
                rising,
                place: format!("air of {n}"),
                reason: format!(
                    "the air in zone {n} {verb} {level:.0} °C, outside the range of the model ({low:.0} to {high:.0} °C)"
                ),
                look_at: "heater.power, fan.circulation and control",
            });
        };
        edge(high, true, "reaches");
        edge(low, false, "falls to");
    }
    let element = model.index_of_heat(model.landmarks.element);
    list.push(Edge {
        probe: Probe::Store(element),
        level: ELEMENT_C,
        rising: true,
        place: "element".into(),
        reason: format!("the element reaches {ELEMENT_C:.0} °C, which no resistance wire stands"),
        look_at: "heater.power and heater.coupling",
    });
    for (level, rising, side) in [(GAS_PA, true, "above"), (-GAS_PA, false, "below")] {
        list.push(Edge {
            probe: Probe::Pressure,
            level,
            rising,
            place: "gas".into(),
            reason: format!(
                "the gas in the box is {:.0} kPa {side} the room, which no such box holds",
                1e-3 * GAS_PA
            ),
            look_at: "the openings (vent)",
        });
    }
    let loads = model.landmarks.loads.iter().enumerate();
    let wet = loads.filter(|(_, l)| l.moisture.is_none() && !l.waters.is_empty());
    list.extend(wet.map(|(i, load)| boiling(i, &load.name)));
    list
}

fn boiling(load: usize, name: &str) -> Edge {
    Edge {
        probe: Probe::Boiling(load),
        level: 0.0,
        rising: true,
        place: name.to_owned(),
        reason: format!(
            "the water in {name} boils, which the law of evaporation does not hold for"
        ),
        look_at: "heater.power and the load's size and air_speed",
    }
}

/// Whether a wet load is so near boiling in the state `y` that a failure of the solver is due to it.
pub(super) fn boils(model: &Model, y: &[f64], temps_k: &[f64], time_s: f64) -> Option<Ended> {
    let mut loads = model.landmarks.loads.iter().enumerate();
    let near = |load: &LoadView| {
        let temp_k = temps_k[model.index_of_heat(load.heat)];
        let own = saturation_pressure_pa(temp_k);
        is_wet(model, load, y) && own > NEARLY_BOILING * model.total_pa()
    };
    let (i, load) = loads.find(|(_, l)| near(l))?;
    Some(boiling(i, &load.name).ended(time_s))
}
