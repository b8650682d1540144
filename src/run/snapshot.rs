//! The whole box at one instant: the state of each place, and what passes between them.
//!
//! Heat is counted here from the temperature of the room, with all water as vapour: dry air and
//! vapour of room temperature carry none. That only moves the zero of the scale, so each balance
//! still closes, and a stream of room air that enters shows no heat. The latent heat goes with the
//! water.

use serde::{Deserialize, Serialize};

use super::probe::{Probe, film_g};
use crate::address::{Address, Place, Quantity};
use crate::model::air::Air;
use crate::model::flows::Posting;
use crate::model::store::{Heat, Holds, Water};
use crate::model::{Instant, Model};
use crate::physics::constants::CP_AIR;
use crate::physics::moist_air::vapour_enthalpy_j_kg;
use crate::units::c_from_k;

/// A body of moist air.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct AirState {
    /// Name of the zone, or `room`.
    pub name: String,
    /// Temperature \[°C\].
    pub temp_c: f64,
    /// Relative humidity \[%\].
    pub relative_humidity_pct: f64,
    /// Vapour density \[g/m3\].
    pub vapour_g_m3: f64,
}

/// The wall of a zone.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct WallState {
    /// Inner face \[°C\].
    pub inside_c: f64,
    /// Outer face \[°C\]; absent for a wall of one temperature.
    pub outside_c: Option<f64>,
    /// Condensate on it \[g\].
    pub film_g: f64,
    /// Water in the puddle below it \[g\].
    pub puddle_g: f64,
}

/// A load.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct LoadState {
    /// Name.
    pub name: String,
    /// Temperature \[°C\].
    pub temp_c: f64,
    /// Added water left in it \[g\]; absent for a load that holds none.
    pub water_remaining_g: Option<f64>,
}

/// An opening.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct OpeningState {
    /// Name.
    pub name: String,
    /// Number of its zone.
    pub zone: usize,
    /// Flow at the density of the gas that flows, out positive \[L/min\].
    pub out_l_min: f64,
}

/// What passes from one place to another.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Exchange {
    /// Where positive amounts leave.
    pub from: Place,
    /// Where they arrive.
    pub to: Place,
    /// Heat above that of dry air and vapour of room temperature \[W\].
    pub heat_w: f64,
    /// Water \[g/h\].
    pub water_g_h: f64,
}

/// The box at one instant.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Snapshot {
    /// The room.
    pub room: AirState,
    /// The zones in airflow order.
    pub zones: Vec<AirState>,
    /// The wall of each zone.
    pub walls: Vec<WallState>,
    /// The loads.
    pub loads: Vec<LoadState>,
    /// The openings.
    pub openings: Vec<OpeningState>,
    /// Temperature of the heating element \[°C\].
    pub element_c: f64,
    /// Air that the fan moves from the last zone to the first \[L/s\]; 0 with one zone.
    pub circulation_l_s: f64,
    /// What passes between places; the loop of circulating air is counted net.
    pub exchanges: Vec<Exchange>,
}

impl Snapshot {
    /// Reads state and postings off an instant.
    pub(super) fn new(model: &Model, at: &Instant<'_>, y: &[f64], postings: &[Posting]) -> Self {
        let temp = |heat: Heat| c_from_k(at.temps_k[model.index_of_heat(heat)]);
        let zones = model.zones().iter().zip(at.zones);
        let puddles: Vec<Water> = model.puddles().collect();
        let wall = |(i, (nodes, film)): (usize, &(Vec<Heat>, Water))| WallState {
            inside_c: temp(nodes[0]),
            outside_c: (nodes.len() > 1).then(|| temp(nodes[nodes.len() - 1])),
            film_g: film_g(y[model.index_of_water(*film)]),
            puddle_g: film_g(y[model.index_of_water(puddles[i])]),
        };
        let loads = model.landmarks.loads.iter().map(|l| LoadState {
            name: l.name.clone(),
            temp_c: temp(l.heat),
            water_remaining_g: (!l.waters.is_empty()).then(|| {
                let bound_kg = if l.moisture.is_some() { 0.0 } else { l.bound_kg };
                1e3 * (model.load_kg(l, y) - bound_kg)
            }),
        });
        let openings = model.openings().iter().enumerate().map(|(i, o)| OpeningState {
            name: o.name.clone(),
            zone: o.zone,
            out_l_min: Probe::Vent(i).value(model, at, y),
        });
        let mut exchanges = exchanges(model, at.room.temp_k, postings);
        let loop_kg_s = take_loop(&mut exchanges, model, postings);
        let last = at.zones.last().map_or(f64::NAN, |z| z.air.dry_kg_m3);
        Snapshot {
            room: air_state("room", &at.room, model.total_pa()),
            zones: zones.map(|(z, a)| air_state(&z.name, &a.air, model.total_pa())).collect(),
            walls: model.landmarks.walls.iter().enumerate().map(wall).collect(),
            loads: loads.collect(),
            openings: openings.collect(),
            element_c: temp(model.landmarks.element),
            circulation_l_s: 1e3 * loop_kg_s / last,
            exchanges: exchanges.into_iter().map(|(e, _)| e).collect(),
        }
    }

    /// Heat \[W\] and water \[g/h\] from one place to another, both directions counted.
    pub fn between(&self, from: Place, to: Place) -> (f64, f64) {
        self.exchanges.iter().fold((0.0, 0.0), |(heat, water), e| {
            if (e.from, e.to) == (from, to) {
                (heat + e.heat_w, water + e.water_g_h)
            } else if (e.to, e.from) == (from, to) {
                (heat - e.heat_w, water - e.water_g_h)
            } else {
                (heat, water)
            }
        })
    }
}

fn air_state(name: &str, air: &Air<f64>, total_pa: f64) -> AirState {
    AirState {
        name: name.into(),
        temp_c: c_from_k(air.temp_k),
        relative_humidity_pct: 100.0 * air.relative_humidity(total_pa),
        vapour_g_m3: 1e3 * air.dry_kg_m3 * air.ratio,
    }
}

/// The place of each entry of the state vector as the snapshot counts it, where it has one.
fn places(model: &Model) -> Vec<Option<Place>> {
    let whole = |at: Address| match (at.place, at.quantity) {
        (_, Quantity::Energy) => Some(Place::Mains),
        (Place::Wall(_), Quantity::HeatOut) | (Place::Storage(_), _) => Some(Place::Room),
        // A puddle shares the heat of its wall.
        (Place::Face(z, _) | Place::Joint(z, _) | Place::Floor(z), _) => Some(Place::Wall(z)),
        (Place::Slice(i, _) | Place::Shell(i, ..), _) => Some(Place::Load(i)),
        (Place::Zone(_) | Place::Wall(_) | Place::Element | Place::Load(_), _)
        | (Place::Opening(_) | Place::Lid | Place::Pinhole, _) => Some(at.place),
        _ => None,
    };
    let conserved = model.entries().iter().map(|e| (e.holds != Holds::Other).then_some(e.address));
    conserved.map(|at| at.and_then(whole)).collect()
}

/// Sums postings between the same two places; also the dry air that goes with them \[kg/s\].
fn exchanges(model: &Model, room_k: f64, postings: &[Posting]) -> Vec<(Exchange, f64)> {
    let places = places(model);
    let (vapour_j_kg, dry_j_kg) = (vapour_enthalpy_j_kg(room_k), CP_AIR * c_from_k(room_k));
    let mut list: Vec<(Exchange, f64)> = Vec::new();
    for p in postings {
        let (Some(from), Some(to)) = (places[p.from], places[p.to]) else { continue };
        if from == to {
            continue;
        }
        let known = list.iter().position(|(e, _)| (e.from, e.to) == (from, to));
        let at = known.unwrap_or_else(|| {
            list.push((Exchange { from, to, heat_w: 0.0, water_g_h: 0.0 }, 0.0));
            list.len() - 1
        });
        let (sum, dry) = &mut list[at];
        match p.holds {
            Holds::Heat => sum.heat_w += p.rate,
            Holds::Water => {
                sum.water_g_h += 3.6e6 * p.rate;
                sum.heat_w -= p.rate * vapour_j_kg;
            }
            Holds::DryAir => {
                *dry += p.rate;
                sum.heat_w -= p.rate * dry_j_kg;
            }
            Holds::Other => {}
        }
    }
    list
}

/// Takes the stream that the fan sends round and round out of all legs, and returns it \[kg/s\]:
/// what is left between two zones is what the second one gains.
fn take_loop(list: &mut Vec<(Exchange, f64)>, model: &Model, postings: &[Posting]) -> f64 {
    let last = model.zones().len() - 1;
    if last == 0 {
        return 0.0;
    }
    // The fan is the first part; with still air it moves nothing round.
    let (first_dry, last_dry) = (model.zones()[0].gas.dry, model.zones()[last].gas.dry);
    let ends = (model.index_of_dry(last_dry), model.index_of_dry(first_dry));
    let round = postings.iter().any(|p| (p.from, p.to) == ends && p.rate > 0.0);
    let fan = list.iter().position(|(e, _)| (e.from, e.to) == (Place::Zone(last), Place::Zone(0)));
    let (Some(fan), true) = (fan, round) else { return 0.0 };
    let (taken, dry_kg_s) = list.remove(fan);
    for (e, _) in list.iter_mut() {
        if let (Place::Zone(a), Place::Zone(b)) = (e.from, e.to)
            && b == a + 1
        {
            e.heat_w -= taken.heat_w;
            e.water_g_h -= taken.water_g_h;
        }
    }
    dry_kg_s
}
