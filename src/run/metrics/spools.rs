//! Figures of loads with bound water.

use super::{Answered, Card, Seen};
use crate::address::DryingResistance;
use crate::metric::LEAST_REMOVED_G;
use crate::model::parts::Moisture;
use crate::model::{Instant, Model};
use crate::physics::moist_air::saturation_in_air_pa;
use crate::run::moisture;
use crate::run::probe::{Piece, Probe};
use crate::run::watch::{Id, Tracker};

/// All figures of the loads that have a moisture.
pub(super) fn add(card: &mut Card<'_>) {
    let model = card.model;
    for (number, load) in model.landmarks.loads.iter().enumerate() {
        if let Some(m) = &load.moisture {
            card.load = Some(load.name.clone());
            one(card, number, m);
        }
    }
    card.load = None;
}

fn one(card: &mut Card<'_>, number: usize, m: &Moisture) {
    let model = card.model;
    let whole = Probe::Moisture(number, Piece::Whole);
    let start = 100.0 * moisture::mean(model, m.slices.iter(), &model.start());
    times(card, number, (whole, start), m);
    let out_s = taken_out_s(model, number);
    let out = out_s.map(|s| card.watch.track(whole, Tracker::At(s, None)));
    if let (Some(out_s), Some(out)) = (out_s, out) {
        card.add("out_h", "time in the box", "h", "when it was taken out", move |seen| {
            seen.once((out_s <= seen.end_s).then_some(out_s / 3600.0))
        });
        card.add(
            "moisture_out_wt_pct",
            "moisture when taken out",
            "wt%",
            "mean of the spool then",
            move |seen| seen.once(seen.watch.get(out).amount()),
        );
        card.add(
            "regained_wt_pct",
            "moisture regained in storage",
            "wt%",
            "end minus that",
            move |seen| seen.whole(seen.watch.get(out).amount().map(|c| seen.last(whole) - c)),
        );
    } else {
        card.add(
            "floor_wt_pct",
            "equilibrium with the box air at the end",
            "wt%",
            "isotherm at the air around it at the end",
            move |seen| seen.whole(floor_pct(seen.model, seen.at, number)),
        );
    }
    drying_resistances(card, (number, whole), out_s.unwrap_or(f64::INFINITY));
    energy(card, m.dry_kg, (whole, start), out);
}

/// Moisture at both ends, and when it passed some levels.
fn times(card: &mut Card<'_>, number: usize, (whole, start): (Probe, f64), m: &Moisture) {
    card.add(
        "moisture_start_wt_pct",
        "moisture at the start",
        "wt%",
        "bound water over dry polymer",
        move |_| Answered::Value(start),
    );
    card.add(
        "moisture_end_wt_pct",
        "moisture at the end",
        "wt%",
        "bound water over dry polymer, mean of the spool",
        move |seen| seen.whole(Some(seen.last(whole))),
    );
    for half in (0..m.halves()).filter(|_| m.halves() > 1) {
        let side = &card.model.zones()[m.around[half].0].name;
        let label = format!("moisture of its {side} half at the end");
        let probe = Probe::Moisture(number, Piece::Half(half));
        card.add(
            &format!("half_{}_end_wt_pct", half + 1),
            &label,
            "wt%",
            "bound water over dry polymer, mean of the half in that zone",
            move |seen| seen.whole(Some(seen.last(probe))),
        );
    }
    let target = 100.0 * m.target;
    let mut time = |level: f64, key: &str, label: String, definition: &str| {
        let time = card.watch.track(whole, Tracker::falling(level, Vec::new()));
        card.add(key, &label, "h", definition, move |seen| seen.time(time, 3600.0));
    };
    let label = format!("time to {target:.3} wt%");
    time(target, "target_h", label, "mean moisture first at the target");
    for share in [50.0, 90.0] {
        let level = start * (1.0 - share / 100.0);
        let label = format!("time to remove {share:.0} % of its water");
        let what = "of the water present at the start, not of what the box could remove at best";
        time(level, &format!("t{share:.0}_h"), label, what);
    }
}

/// What held the water back while the spool was in the box.
fn drying_resistances(card: &mut Card<'_>, (number, whole): (usize, Probe), until_s: f64) {
    let held = card.watch.hold_back(number, whole, until_s);
    for what in DryingResistance::ALL {
        card.add(
            &format!("resistance_{}_pct", what.word()),
            &format!("drying resistance, {}", what.label()),
            "%",
            "share of the vapour pressure its water would have at air temperature, mean over the water \
             that left",
            move |seen| match seen.watch.resistance_shares(held, what) {
                None if !seen.ended => Answered::Nothing("it lost no water".into()),
                share => seen.whole(share),
            },
        );
    }
}

/// Water removed, from the fall of the moisture \[wt%\], and what it cost.
fn energy(card: &mut Card<'_>, dry_kg: f64, (whole, start): (Probe, f64), out: Option<Id>) {
    let removed_g = move |seen: &Seen<'_>| {
        let taken_out = out.and_then(|id| seen.watch.get(id).amount());
        Some(10.0 * dry_kg * (start - taken_out.unwrap_or_else(|| seen.last(whole))))
    };
    card.add(
        "removed_g",
        "water removed",
        "g",
        "bound water at the start minus that at the end, or when it was taken out",
        move |seen| seen.whole(removed_g(seen)),
    );
    card.add(
        "energy_per_gram_Wh_g",
        "energy per gram removed",
        "Wh/g",
        "electric energy of the whole run over the water removed",
        move |seen| match removed_g(seen).filter(|g| *g > LEAST_REMOVED_G) {
            None if !seen.ended => Answered::Nothing(super::drying::too_little()),
            removed => seen.whole(removed.map(|g| seen.electric_wh() / g)),
        },
    );
    card.add(
        "energy_per_kg_Wh_kg",
        "energy per kg of polymer",
        "Wh/kg",
        "electric energy of the whole run over the dry polymer",
        move |seen| seen.most(Some(seen.electric_wh() / dry_kg)),
    );
}

/// When the load of this number leaves the box \[s\].
fn taken_out_s(model: &Model, load: usize) -> Option<f64> {
    let stores = model.events().iter().filter(|e| e.action.takes_out(load));
    stores.map(|e| e.at_s).reduce(f64::min)
}

/// Content in equilibrium with the air around the load \[wt%\].
fn floor_pct(model: &Model, at: &Instant<'_>, load: usize) -> Option<f64> {
    let m = model.landmarks.loads[load].moisture.as_ref()?;
    let around = |f: &dyn Fn(usize) -> f64| m.around.iter().map(|(z, s)| f(*z) * s).sum::<f64>();
    let temp_k = around(&|z| at.zones[z].air.temp_k);
    let vapour_pa = around(&|z| at.zones[z].air.vapour_pa);
    Some(
        100.0
            * m.sorption
                .content(vapour_pa / saturation_in_air_pa(temp_k, model.total_pa()), temp_k),
    )
}
