//! Moisture of a load with bound water: its mean, its layers, and what holds the water back.

use crate::address::DryingResistance;
use crate::model::parts::Slice;
use crate::model::{Instant, Model};
use crate::physics::constants::R_VAPOUR;
use crate::physics::moist_air::saturation_in_air_pa;

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
    let around = |f: &dyn Fn(usize) -> f64| load.around.iter().map(|(z, s)| f(*z) * s).sum::<f64>();
    let air_k = around(&|z| at.zones[z].air.temp_k);
    let air_pa = around(&|z| at.zones[z].air.vapour_pa);
    let saturation_pa = |t: f64| saturation_in_air_pa(t, model.total_pa());
    let equilibrium = |c: f64, t: f64| load.sorption.activity(c, t) * saturation_pa(t);
    let mean = |f: &dyn Fn(&Slice) -> f64| {
        load.slices.iter().map(|s| f(s) * s.dry_kg).sum::<f64>() / load.dry_kg
    };
    let temp = |s: &Slice| at.temps_k[model.index_of_heat(s.heat)];
    let own = mean(&|s| equilibrium(content(model, s, y), temp(s)));
    let warm = mean(&|s| equilibrium(content(model, s, y), air_k));
    let gap = mean(&|s| match s.gap {
        Some((w, m3)) => y[model.index_of_water(w)] * R_VAPOUR * temp(s) / m3,
        None => equilibrium(content(model, s, y), temp(s)),
    });
    // In the order of `DryingResistance::ALL`.
    [warm - own, own - gap, gap - air_pa, air_pa].map(|drop| 100.0 * drop / warm)
}
