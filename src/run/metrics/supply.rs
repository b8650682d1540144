//! What the mains give.

use super::Card;
use crate::address::{Place, Quantity};
use crate::metric::Span;
use crate::model::Model;
use crate::model::control::KindSpec;
use crate::model::store::Holds;
use crate::run::ledger;
use crate::run::probe::Probe;

pub(super) fn add(card: &mut Card<'_>) {
    let steady_s = card.steady_s();
    let from_s = card.scenario.run.duration_s - steady_s;
    // Power [W] from two readings of a meter [Wh].
    let mean_w = move |end: f64, before: Option<f64>| Some(3600.0 * (end - before?) / steady_s);
    card.add("energy_Wh", |seen| seen.most(Some(seen.electric_wh())));
    let peak = card.high(Probe::Supply, Span::All);
    card.highest("peak_supply_W", vec![peak]);
    let before = card.before_steady(Probe::SupplyEnergy);
    card.add("holding_power_W", move |seen| {
        seen.whole(mean_w(seen.electric_wh(), seen.watch.get(before).value()))
    });
    let Some(heater) = card.line(Place::Heater, Quantity::Energy).map(Probe::Energy) else {
        return;
    };
    let before = card.before_steady(heater);
    let spec = &card.scenario.heater;
    let full_w = spec.power_w * spec.supply_voltage * spec.supply_voltage;
    card.add("duty_pct", move |seen| {
        let mean = mean_w(seen.last(heater), seen.watch.get(before).value());
        seen.whole(mean.map(|w| 100.0 * w / full_w))
    });
    let smooth = matches!(&card.scenario.control.kind, KindSpec::Pi(pi) if pi.window.is_none());
    card.add("switchings_per_h", move |seen| {
        if smooth {
            return Err("this controller sets the power without switching".into());
        }
        let count = seen.switchings.iter().filter(|t| **t > from_s).count();
        seen.whole(Some(3600.0 * count as f64 / steady_s))
    });
}

/// All that draws from the mains, in words: `heater and fan motor`.
pub(super) fn consumers(model: &Model) -> String {
    let lines = ledger::lines(model, Holds::Heat).into_iter().map(|l| l.address);
    let fed = lines.filter(|at| at.quantity == Quantity::Energy);
    let words: Vec<String> = fed.map(|at| model.names().words(at.place)).collect();
    match words.split_last() {
        Some((last, others)) if !others.is_empty() => format!("{} and {last}", others.join(", ")),
        _ => words.concat(),
    }
}
