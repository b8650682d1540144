//! Moisture of a load with bound water: its mean, its layers, and what holds the water back.

use crate::address::DryingResistance;
use crate::model::air::Air;
use crate::model::parts::{LoadView, Moisture, Slice};
use crate::model::store::Thermal;
use crate::model::{Instant, Model};
use crate::physics::constants::R_VAPOUR;
use crate::physics::moist_air::saturation_in_air_pa;

/// Water content from which on fibre is wet \[kg/kg\]: fibre saturation of wood and cellulose, 0.25 to 0.35;
/// handbook order, from memory.
const FIBRE_SATURATION: f64 = 0.3;

/// Whether a load is of fibre that is wet, so that its surface has the vapour pressure of water.
pub(super) fn is_wet(model: &Model, load: &LoadView, y: &[f64]) -> bool {
    match &model.entries()[model.index_of_heat(load.heat)].thermal {
        Thermal::Wet { fibre: Some((_, dry_kg)), .. } => {
            model.load_kg(load, y) > FIBRE_SATURATION * dry_kg
        }
        _ => false,
    }
}

/// Bound water of a slice per dry mass \[kg/kg\].
pub(super) fn content(model: &Model, slice: &Slice, y: &[f64]) -> f64 {
    let kg: f64 = slice.shells.iter().map(|w| y[model.index_of_water(*w)]).sum();
    kg / slice.dry_kg
}

/// Mean content of some slices \[kg/kg\].
pub(super) fn mean<'a>(model: &Model, slices: impl Iterator<Item = &'a Slice>, y: &[f64]) -> f64 {
    let (kg, dry) = slices
        .fold((0.0, 0.0), |(kg, dry), s| (kg + content(model, s, y) * s.dry_kg, dry + s.dry_kg));
    kg / dry
}

/// Temperature \[K\] and vapour pressure \[Pa\] of the air around a load.
pub(super) fn air_around(load: &Moisture, at: &Instant<'_>) -> (f64, f64) {
    let mean = |f: fn(&Air<f64>) -> f64| {
        load.around.iter().map(|(z, share)| f(&at.zones[*z].air) * share).sum()
    };
    (mean(|air| air.temp_k), mean(|air| air.vapour_pa))
}

/// Share of each drying resistance in the vapour pressure that the water would have at the temperature of the
/// air, in percent; they add up to 100.
///
/// ```text
/// p(c, T_air) = [p(c, T_air) - p(c, T)] + [p(c, T) - p_gap] + [p_gap - p_air] + p_air
///                heating                 filament              gaps            air
/// ```
/// with means over the dry mass; p is the equilibrium of the isotherm. One is negative where the
/// spool is warmer than the air or takes water up; all are zero in storage.
pub(super) fn shares_pct(
    model: &Model,
    number: usize,
    at: &Instant<'_>,
    y: &[f64],
) -> [f64; DryingResistance::ALL.len()] {
    let Some(load) = &model.landmarks.loads[number].moisture else { return [f64::NAN; 4] };
    if at.stored.get(number).is_some_and(Option::is_some) {
        return [0.0; 4];
    }
    let (air_k, air_pa) = air_around(load, at);
    let saturation_pa = |t: f64| saturation_in_air_pa(t, model.total_pa());
    let equilibrium = |a: f64, t: f64| load.sorption.activity_at(a, t) * saturation_pa(t);
    let temp = |s: &Slice| at.temps_k[model.index_of_heat(s.heat)];
    // The isotherm is inverted once for each slice; its activity at other temperatures follows.
    let inverted = |s: &Slice| load.sorption.form.activity(content(model, s, y));
    let dry: Vec<(f64, &Slice)> = load.slices.iter().map(|s| (inverted(s), s)).collect();
    let mean = |f: &dyn Fn(f64, &Slice) -> f64| {
        dry.iter().map(|(a, s)| f(*a, s) * s.dry_kg).sum::<f64>() / load.dry_kg
    };
    let own = mean(&|a, s| equilibrium(a, temp(s)));
    let warm = mean(&|a, _| equilibrium(a, air_k));
    let gap = mean(&|a, s| match s.gap {
        Some((w, m3)) => y[model.index_of_water(w)] * R_VAPOUR * temp(s) / m3,
        None => equilibrium(a, temp(s)),
    });
    // In the order of `DryingResistance::ALL`.
    [warm - own, own - gap, gap - air_pa, air_pa].map(|drop| 100.0 * drop / warm)
}
