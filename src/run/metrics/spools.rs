//! Figures of loads with bound water.

use super::{Card, Seen};
use crate::address::DryingResistance;
use crate::metric::{LEAST_REMOVED_G, Tracker};
use crate::model::parts::Moisture;
use crate::model::{Instant, Model};
use crate::physics::moist_air::saturation_in_air_pa;
use crate::run::moisture;
use crate::run::probe::{Piece, Probe};
use crate::run::watch::Id;

/// All figures of the loads that have a moisture.
pub(super) fn add(card: &mut Card<'_>) {
    let model = card.model;
    for (number, load) in model.landmarks.loads.iter().enumerate() {
        if let Some(m) = &load.moisture {
            card.words.push(("load", load.name.clone()));
            one(card, number, m);
            card.words.pop();
        }
    }
}

fn one(card: &mut Card<'_>, number: usize, m: &Moisture) {
    let model = card.model;
    let whole = Probe::Moisture(number, Piece::Whole);
    let start = 100.0 * moisture::mean(model, m.slices.iter(), &model.start());
    times(card, number, (whole, start), m);
    let out_s = taken_out_s(model, number);
    let out = out_s.map(|s| card.watch.track(whole, Tracker::At(s, None)));
    if let (Some(out_s), Some(out)) = (out_s, out) {
        card.add("<load>_out_h", move |seen| {
            seen.once((out_s <= seen.end_s).then_some(out_s / 3600.0))
        });
        card.add("<load>_moisture_out_wt_pct", move |seen| seen.once(seen.watch.get(out).value()));
        card.add("<load>_regained_wt_pct", move |seen| {
            seen.whole(seen.watch.get(out).value().map(|c| seen.last(whole) - c))
        });
    } else {
        card.add("<load>_floor_wt_pct", move |seen| {
            seen.whole(floor_pct(seen.model, seen.at, number))
        });
    }
    drying_resistances(card, (number, whole), out_s.unwrap_or(f64::INFINITY));
    energy(card, m.dry_kg, (whole, start), out);
}

/// Moisture at both ends, and when it passed some levels.
fn times(card: &mut Card<'_>, number: usize, (whole, start): (Probe, f64), m: &Moisture) {
    card.add("<load>_moisture_start_wt_pct", move |_| Ok((start, None)));
    card.last("<load>_moisture_end_wt_pct", whole);
    for half in (0..m.halves()).filter(|_| m.halves() > 1) {
        let side = card.model.zones()[m.around[half].0].name.clone();
        card.words.extend([("half", (half + 1).to_string()), ("side", side)]);
        card.last("<load>_half_<half>_end_wt_pct", Probe::Moisture(number, Piece::Half(half)));
        card.words.truncate(card.words.len() - 2);
    }
    let target = 100.0 * m.target;
    card.words.push(("target", format!("{target:.3}")));
    for (key, level) in [
        ("<load>_target_h", target),
        ("<load>_t50_h", start * (1.0 - 50.0 / 100.0)),
        ("<load>_t90_h", start * (1.0 - 90.0 / 100.0)),
    ] {
        let time = card.watch.track(whole, Tracker::falling(level));
        card.time(key, time, 3600.0);
    }
    card.words.pop();
}

/// What held the water back while the spool was in the box.
fn drying_resistances(card: &mut Card<'_>, (number, whole): (usize, Probe), until_s: f64) {
    let held = card.watch.hold_back(number, whole, until_s);
    for what in DryingResistance::ALL {
        card.words.extend([("part", what.word().to_owned()), ("words", what.label().to_owned())]);
        card.add("<load>_resistance_<part>_pct", move |seen| {
            match seen.watch.resistance_shares(held, what) {
                None if !seen.ended => Err("it lost no water".into()),
                share => seen.whole(share),
            }
        });
        card.words.truncate(card.words.len() - 2);
    }
}

/// Water removed, from the fall of the moisture \[wt%\], and what it cost.
fn energy(card: &mut Card<'_>, dry_kg: f64, (whole, start): (Probe, f64), out: Option<Id>) {
    let removed_g = move |seen: &Seen<'_>| {
        let taken_out = out.and_then(|id| seen.watch.get(id).value());
        Some(10.0 * dry_kg * (start - taken_out.unwrap_or_else(|| seen.last(whole))))
    };
    card.add("<load>_removed_g", move |seen| seen.whole(removed_g(seen)));
    card.add("<load>_energy_per_gram_Wh_g", move |seen| {
        match removed_g(seen).filter(|g| *g > LEAST_REMOVED_G) {
            None if !seen.ended => Err(super::drying::too_little()),
            removed => seen.whole(removed.map(|g| seen.electric_wh() / g)),
        }
    });
    card.add("<load>_energy_per_kg_Wh_kg", move |seen| {
        seen.most(Some(seen.electric_wh() / dry_kg))
    });
}

/// When the load of this number leaves the box \[s\].
fn taken_out_s(model: &Model, load: usize) -> Option<f64> {
    let stores = model.events().iter().filter(|e| e.action.takes_out(load));
    stores.map(|e| e.at_s).reduce(f64::min)
}

/// Content in equilibrium with the air around the load \[wt%\].
fn floor_pct(model: &Model, at: &Instant<'_>, load: usize) -> Option<f64> {
    let m = model.landmarks.loads[load].moisture.as_ref()?;
    let (temp_k, vapour_pa) = moisture::air_around(m, at);
    let activity = vapour_pa / saturation_in_air_pa(temp_k, model.total_pa());
    Some(100.0 * m.sorption.content(activity, temp_k))
}
