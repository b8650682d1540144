//! Figures of merit of loads with bound water.

use super::moisture::Hindrance;
use super::{Column, Run};
use crate::merit::{LEAST_REMOVED_G, Merit, Trace};
use crate::model::Model;
use crate::model::parts::LoadView;
use crate::physics::moist_air::saturation_in_air_pa;
use crate::units::k_from_c;

/// All figures of the loads that have a moisture.
pub(super) fn of(run: &Run, model: &Model, list: &mut Vec<Merit>) {
    for (number, load) in model.landmarks.loads.iter().enumerate() {
        if load.moisture.is_some() {
            one(run, model, (number, load), list);
        }
    }
}

/// Mean moisture at the start and over time of a load with layers \[wt%\].
fn moisture<'a>(run: &'a Run, load: &LoadView) -> Option<&'a Column> {
    run.column(&format!("{}_moisture_wt_pct", load.name))
}

/// The figures of one load, with its name before each key and label.
struct Card<'a> {
    name: &'a str,
    list: &'a mut Vec<Merit>,
}

impl Card<'_> {
    fn add(&mut self, key: &str, label: &str, value: Option<f64>, unit: &str, what: &str) {
        self.list.push(Merit {
            key: format!("{}_{key}", self.name),
            label: format!("{}: {label}", self.name),
            value: value.filter(|v| v.is_finite()),
            unit: unit.into(),
            definition: what.into(),
        });
    }
}

fn one(run: &Run, model: &Model, (number, load): (usize, &LoadView), list: &mut Vec<Merit>) {
    let (Some(column), Some(m)) = (moisture(run, load), &load.moisture) else { return };
    let t = Trace { time_s: &run.time_s, value: &column.values };
    let mut card = Card { name: &load.name, list };
    let halves = if m.halves() > 1 { m.halves() } else { 0 };
    times(run, &t, (100.0 * m.target, halves), &mut card);
    let out_s = taken_out_s(model, number);
    let taken_out = out_s.and_then(|s| t.at(s));
    let last = t.value.last().copied();
    if let Some(out_s) = out_s {
        let in_box_h = Some(out_s / 3600.0);
        card.add("out_h", "time in the box", in_box_h, "h", "when it was taken out");
        card.add(
            "moisture_out_wt_pct",
            "moisture when taken out",
            taken_out,
            "wt%",
            "mean of the spool then",
        );
        let regained = taken_out.zip(last).map(|(then, end)| end - then);
        card.add(
            "regained_wt_pct",
            "moisture regained in storage",
            regained,
            "wt%",
            "end minus that",
        );
    } else {
        card.add(
            "floor_wt_pct",
            "equilibrium with the box air at the end",
            floor_pct(run, model, load),
            "wt%",
            "isotherm at the air around it in the last sample",
        );
    }
    hindrances(run, out_s, column, &mut card);
    let fall = t.value.first().zip(taken_out.or(last)).map(|(a, b)| a - b);
    energy(run, m.dry_kg, fall, &mut card);
}

/// Moisture at both ends, and when it passed some levels.
fn times(run: &Run, t: &Trace<'_>, (target, halves): (f64, usize), card: &mut Card<'_>) {
    let hours = |level: f64| t.first_falling_to(level).map(|s| s / 3600.0);
    let (first, last) = (t.value.first().copied(), t.value.last().copied());
    card.add(
        "moisture_start_wt_pct",
        "moisture at the start",
        first,
        "wt%",
        "bound water over dry polymer",
    );
    card.add(
        "moisture_end_wt_pct",
        "moisture at the end",
        last,
        "wt%",
        "bound water over dry polymer, mean of the spool",
    );
    for half in 1..=halves {
        let column = run.column(&format!("{}_half_{half}_moisture_wt_pct", card.name));
        let last = column.and_then(|c| c.values.last().copied());
        let what = "bound water over dry polymer, mean of the half in that zone";
        let side = column.and_then(|c| c.label.split_once(", ")).map_or("other half", |(_, s)| s);
        let label = format!("moisture of its {side} at the end");
        card.add(&format!("half_{half}_end_wt_pct"), &label, last, "wt%", what);
    }
    card.add(
        "target_h",
        &format!("time to {target:.3} wt%"),
        hours(target),
        "h",
        "mean moisture first at the target",
    );
    for share in [50.0, 90.0] {
        let time = first.and_then(|c| hours(c * (1.0 - share / 100.0)));
        let label = format!("time to remove {share:.0} % of its water");
        card.add(
            &format!("t{share:.0}_h"),
            &label,
            time,
            "h",
            "of the water present at the start, not of what the box could remove at best",
        );
    }
}

/// What held the water back while the spool was in the box.
fn hindrances(run: &Run, out_s: Option<f64>, moisture: &Column, card: &mut Card<'_>) {
    let in_box = run.time_s.partition_point(|s| out_s.is_none_or(|out| *s < out));
    for what in Hindrance::ALL {
        let key = format!("limit_{}_pct", what.word());
        let column = run.column(&format!("{}_{key}", card.name));
        let held = column.and_then(|c| weighted(&moisture.values[..in_box], &c.values[..in_box]));
        card.add(&key, &format!("held back by {}", what.label()), held, "%",
            "share of the vapour pressure its water would have at air temperature, mean over the water \
             that left");
    }
}

/// Water removed, from the fall of the moisture \[wt%\], and what it cost.
fn energy(run: &Run, dry_kg: f64, fall: Option<f64>, card: &mut Card<'_>) {
    let removed_g = fall.map(|f| 10.0 * dry_kg * f);
    let heater = run.energy.amount("heater").unwrap_or(0.0);
    let electric = heater + run.energy.amount("fan motor").unwrap_or(0.0);
    let per_gram = removed_g.filter(|g| *g > LEAST_REMOVED_G).map(|g| electric / g);
    card.add(
        "removed_g",
        "water removed",
        removed_g,
        "g",
        "bound water at the start minus that at the end, or when it was taken out",
    );
    card.add(
        "energy_per_gram_Wh_g",
        "energy per gram removed",
        per_gram,
        "Wh/g",
        "electric energy of the whole run over the water removed",
    );
    card.add(
        "energy_per_kg_Wh_kg",
        "energy per kg of polymer",
        Some(electric / dry_kg),
        "Wh/kg",
        "electric energy of the whole run over the dry polymer",
    );
}

/// When the load of this number leaves the box \[s\].
fn taken_out_s(model: &Model, load: usize) -> Option<f64> {
    let stores = model.events().iter().filter(|e| e.action.takes_out(load));
    stores.map(|e| e.at_s).reduce(f64::min)
}

/// Mean of `share` weighted by the fall of `moisture` between samples.
fn weighted(moisture: &[f64], share: &[f64]) -> Option<f64> {
    let steps = moisture.windows(2).zip(share.windows(2));
    let (sum, weight) = steps.fold((0.0, 0.0), |(sum, weight), (c, s)| {
        let fall = (c[0] - c[1]).max(0.0);
        (sum + fall * 0.5 * (s[0] + s[1]), weight + fall)
    });
    (weight > 0.0).then(|| sum / weight)
}

/// Content in equilibrium with the air around the load in the last sample \[wt%\].
fn floor_pct(run: &Run, model: &Model, load: &LoadView) -> Option<f64> {
    let m = load.moisture.as_ref()?;
    let saturation_pa = |temp_k: f64| saturation_in_air_pa(temp_k, model.total_pa());
    let mut mean = (0.0, 0.0);
    for (zone, share) in &m.around {
        let name = &model.zones()[*zone].name;
        let last = |c: &str| run.column(&format!("{name}_{c}"))?.values.last().copied();
        let temp_k = k_from_c(last("temperature_C")?);
        let rh = last("relative_humidity_pct")? / 100.0;
        mean.0 += share * temp_k;
        mean.1 += share * rh * saturation_pa(temp_k);
    }
    Some(100.0 * m.sorption.content(mean.1 / saturation_pa(mean.0), mean.0))
}

/// Warnings about targets that this air cannot reach.
pub(super) fn warnings(run: &Run, model: &Model, list: &mut Vec<String>) {
    for load in &model.landmarks.loads {
        let Some(m) = &load.moisture else { continue };
        let value = |key: &str| run.merit(&format!("{}_{key}", load.name));
        let floor = value("floor_wt_pct").filter(|f| *f > 100.0 * m.target);
        if let (Some(floor), None) = (floor, value("target_h")) {
            list.push(format!(
                "{} cannot become drier than {floor:.3} wt% in the air that the box ends with; its target \
                 is {:.3} wt%: drier air or a hotter box is needed",
                load.name,
                100.0 * m.target
            ));
        }
    }
}
