//! What a run records: each probe reads one number off an instant.

use super::moisture::{self, is_wet};
use crate::address::DryingResistance;
use crate::model::store::{Holds, Water};
use crate::model::{Instant, Model};
use crate::physics::constants::R_AIR;
use crate::physics::moist_air::saturation_pressure_pa;
use crate::physics::psychrometrics::dew_point_k;
use crate::units::{ZERO_CELSIUS_K, c_from_k};

/// Reads one number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Probe {
    /// Air temperature of a zone.
    ZoneTemperature(usize),
    /// Relative humidity of a zone.
    ZoneHumidity(usize),
    /// Vapour density of a zone.
    ZoneDensity(usize),
    /// Dew point of a zone.
    ZoneDewPoint(usize),
    /// Temperature of the heat store with this index.
    Store(usize),
    /// Condensate in the store with this index.
    Condensate(usize),
    /// Water in the load with this number, less what does not count \[kg\].
    Load(usize, f64),
    /// Water of the line of the account with this number.
    Line(usize),
    /// Mean bound water of a load or of a piece of it.
    Moisture(usize, Piece),
    /// Share of what holds its water back.
    DryingResistance(usize, DryingResistance),
    /// Water in the whole box, less what was there before any was added \[kg\].
    WaterInBox(f64),
    /// Fog in the air of all zones.
    Fog,
    /// Liquid water on walls, floor and in loads where these are below 0 °C.
    Frozen,
    /// Added water left in all loads that have no moisture of their own.
    LoadsLeft,
    /// Warmest less coolest air \[K\].
    Spread,
    /// All electric power.
    Supply,
    /// All electric energy.
    SupplyEnergy,
    /// How far the vapour pressure of a wet load is above the pressure of the room.
    Boiling(usize),
    /// Water out less water in by the way of gas with this number.
    NetOut(usize),
    /// Reading of a temperature lag with its offset \[K\].
    SensorTemperature(usize, f64),
    /// Reading of a humidity lag with its offset.
    SensorHumidity(usize, f64),
    /// The set point.
    SetPoint,
    /// Electric power of the line of the account with this number.
    Power(usize),
    /// Electric energy of it.
    Energy(usize),
    /// Volume flow through an opening.
    Vent(usize),
    /// Gauge pressure at the floor.
    Pressure,
    /// Room air that has entered through all openings.
    RoomAir,
    /// Room temperature.
    RoomTemperature,
    /// Room relative humidity.
    RoomHumidity,
}

/// A piece of a spool.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Piece {
    /// All of it.
    Whole,
    /// The layer of this number, in all halves.
    Layer(usize),
    /// The half of this number, where a still spool stands in two zones.
    Half(usize),
}

impl Probe {
    /// Whether the highest value of the whole run is followed.
    pub fn tracks_peak(&self) -> bool {
        matches!(
            self,
            Self::ZoneTemperature(_)
                | Self::ZoneHumidity(_)
                | Self::ZoneDensity(_)
                | Self::Store(_)
                | Self::SensorTemperature(..)
                | Self::SensorHumidity(..)
                | Self::Pressure
                | Self::Condensate(_)
        )
    }

    /// The number at an instant, in the unit of the column.
    pub fn value(&self, model: &Model, at: &Instant<'_>, y: &[f64]) -> f64 {
        match *self {
            Self::ZoneTemperature(z) => c_from_k(at.zones[z].air.temp_k),
            Self::ZoneHumidity(z) => 100.0 * at.zones[z].air.relative_humidity(model.total_pa()),
            Self::ZoneDensity(z) => {
                let air = &at.zones[z].air;
                1e3 * air.dry_kg_m3 * air.ratio
            }
            Self::ZoneDewPoint(z) => {
                dew_point_k(at.zones[z].air.vapour_pa, model.total_pa()).map_or(f64::NAN, c_from_k)
            }
            Self::Store(i) => c_from_k(at.temps_k[i]),
            Self::Condensate(i) => film_g(y[i]),
            Self::Line(i) => 1e3 * sum_of(&model.lines()[i].entries, y),
            Self::Load(i, less) => 1e3 * (model.load_kg(&model.landmarks.loads[i], y) - less),
            Self::Moisture(i, piece) => 100.0 * moisture_of(model, i, piece, y),
            Self::DryingResistance(i, what) => moisture::shares_pct(model, i, at, y)[what as usize],
            Self::WaterInBox(less) => 1e3 * (water_in_box_kg(model, y) - less),
            Self::Fog => 1e3 * sum(model, y, model.zones().iter().map(|z| z.gas.fog)),
            Self::Frozen => 1e3 * frozen_kg(model, at, y),
            Self::LoadsLeft => {
                let loads = model.landmarks.loads.iter().filter(|l| l.moisture.is_none());
                1e3 * loads.map(|l| model.load_kg(l, y) - l.bound_kg).sum::<f64>()
            }
            Self::Spread => {
                let temps = || at.zones.iter().map(|z| z.air.temp_k);
                temps().fold(f64::NEG_INFINITY, f64::max) - temps().fold(f64::INFINITY, f64::min)
            }
            Self::Supply => -model.mains().map(|i| at.rates[i]).sum::<f64>(),
            Self::SupplyEnergy => -model.mains().map(|i| y[i]).sum::<f64>() / 3600.0,
            Self::Boiling(i) => boiling_pa(model, at, y, i),
            // What came in stands in the totals with a minus.
            Self::NetOut(i) => 1e3 * sum_of(&model.passages()[i].water, y),
            Self::SensorTemperature(i, offset) => c_from_k(y[i] + offset),
            Self::SensorHumidity(i, offset) => 100.0 * (y[i] + offset),
            Self::SetPoint => c_from_k(at.set_point_k),
            Self::Power(i) => -sum_of(&model.lines()[i].entries, at.rates),
            Self::Energy(i) => -sum_of(&model.lines()[i].entries, y) / 3600.0,
            Self::Vent(i) => vent_l_min(model, at, i),
            Self::Pressure => gas_pressure_pa(model, at),
            Self::RoomAir => room_air_l(model, at, y),
            Self::RoomTemperature => c_from_k(at.room.temp_k),
            Self::RoomHumidity => 100.0 * at.room.relative_humidity(model.total_pa()),
        }
    }
}

/// Sum over some entries of the state, or of its rates.
pub(super) fn sum_of(entries: &[usize], values: &[f64]) -> f64 {
    entries.iter().map(|i| values[*i]).sum()
}

/// How far below zero a film may be by the error of a step \[kg\]; `tests/conservation.rs` holds it to this.
const FILM_ERROR_KG: f64 = 3e-8;

/// A film as it is shown \[g\]: none where it is below zero by no more than the error of a step.
pub(super) fn film_g(kg: f64) -> f64 {
    if (-FILM_ERROR_KG..0.0).contains(&kg) { 0.0 } else { 1e3 * kg }
}

fn moisture_of(model: &Model, load: usize, piece: Piece, y: &[f64]) -> f64 {
    let Some(m) = &model.landmarks.loads[load].moisture else { return f64::NAN };
    match piece {
        Piece::Layer(i) => moisture::mean(model, m.ring(i), y),
        Piece::Half(i) => moisture::mean(model, m.slices.iter().filter(|s| s.half == i), y),
        Piece::Whole => moisture::mean(model, m.slices.iter(), y),
    }
}

/// Vapour pressure of a wet load over the pressure of the room \[Pa\]; that of nothing where it is not wet.
fn boiling_pa(model: &Model, at: &Instant<'_>, y: &[f64], load: usize) -> f64 {
    let load = &model.landmarks.loads[load];
    let temp_k = at.temps_k[model.index_of_heat(load.heat)];
    let own = if is_wet(model, load, y) { saturation_pressure_pa(temp_k) } else { 0.0 };
    own - model.total_pa()
}

/// Flow through opening `i` at the density of the gas that flows \[L/min\].
fn vent_l_min(model: &Model, at: &Instant<'_>, i: usize) -> f64 {
    let dry = at.out_kg_s[i];
    let air = if dry >= 0.0 { &at.zones[model.openings()[i].zone].air } else { &at.room };
    dry / air.dry_kg_m3 * 60e3
}

/// Pressure of the gas of all zones over that of the room \[Pa\].
fn gas_pressure_pa(model: &Model, at: &Instant<'_>) -> f64 {
    let zones = || at.zones.iter().zip(model.zones());
    let volume: f64 = zones().map(|(_, place)| place.volume_m3).sum();
    let work: f64 = zones().map(|(z, p)| z.excess(model.total_pa()) * p.volume_m3).sum();
    work / volume
}

/// Volume of room air that has entered so far through all openings \[L\], dry at room temperature.
fn room_air_l(model: &Model, at: &Instant<'_>, y: &[f64]) -> f64 {
    let dry: f64 = model.openings().iter().map(|o| -y[model.index_of_dry(o.back.dry)]).sum::<f64>()
        + model.pinhole().map_or(0.0, |(_, g)| -y[model.index_of_dry(g.dry)]);
    1e3 * dry * R_AIR * at.room.temp_k / (model.total_pa() - at.room.vapour_pa)
}

fn sum(model: &Model, y: &[f64], waters: impl Iterator<Item = Water>) -> f64 {
    waters.map(|w| y[model.index_of_water(w)]).sum()
}

/// Liquid water where it would be ice \[kg\]: on walls and floor, and added to loads.
fn frozen_kg(model: &Model, at: &Instant<'_>, y: &[f64]) -> f64 {
    let cold = |heat| at.temps_k[model.index_of_heat(heat)] < ZERO_CELSIUS_K;
    let walls = model.landmarks.walls.iter().zip(model.puddles());
    let walls = walls.filter(|((nodes, _), _)| cold(nodes[0]));
    let liquid = sum(model, y, walls.flat_map(|((_, film), puddle)| [*film, puddle]));
    let loads = model.landmarks.loads.iter().filter(|l| l.added_kg > 0.0 && cold(l.heat));
    liquid + loads.map(|l| (model.load_kg(l, y) - l.bound_kg).max(0.0)).sum::<f64>()
}

/// All water inside the box, bound water included \[kg\].
fn water_in_box_kg(model: &Model, y: &[f64]) -> f64 {
    let core = model.entries()[..model.core_len()].iter().zip(y);
    core.filter(|(e, _)| e.holds == Holds::Water).map(|(_, kg)| kg).sum()
}

/// Water inside the box at the start that nobody added \[kg\].
pub(super) fn water_before_kg(model: &Model) -> f64 {
    let added: f64 = model.landmarks.loads.iter().map(|l| l.added_kg).sum();
    water_in_box_kg(model, &model.start()) - added
}
