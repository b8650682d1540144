//! Where every gram and every watt-hour went, with the error of closing the account.

use serde::{Deserialize, Serialize};

use crate::model::Model;
use crate::model::air::Zone;
use crate::model::parts::LoadView;
use crate::model::store::{Gas, Holds};
use crate::physics::constants::LATENT_0C;

/// One line of a ledger.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Row {
    /// What.
    pub name: String,
    /// How much, in the ledger's unit; positive is what the name says.
    pub amount: f64,
}

/// Sources, uses, and what does not add up.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ledger {
    /// Unit of all amounts.
    pub unit: String,
    /// What came in or was there.
    pub sources: Vec<Row>,
    /// Where it went or is now.
    pub uses: Vec<Row>,
    /// Sum of sources minus sum of uses, over all stores of the model.
    pub closure_error: f64,
}

impl Ledger {
    /// Amount of the first row of this name, source or use.
    pub fn amount(&self, name: &str) -> Option<f64> {
        self.sources.iter().chain(&self.uses).find(|r| r.name == name).map(|r| r.amount)
    }
}

fn row(name: impl Into<String>, amount: f64) -> Row {
    Row { name: name.into(), amount }
}

/// Change of everything that holds `what`, running totals included: zero if nothing was lost.
fn closure(model: &Model, y: &[f64], what: Holds) -> f64 {
    let pairs = model.entries().iter().zip(y);
    pairs.filter(|(e, _)| e.holds == what).map(|(e, v)| v - e.start).sum()
}

/// Passages between box and room: name, totals out, totals in.
pub(super) fn passages(model: &Model) -> Vec<(String, Gas, Gas)> {
    let mut list: Vec<_> =
        model.openings().iter().map(|o| (format!("vent {}", o.name), o.out, o.back)).collect();
    list.extend(model.lid_gas().map(|(out, back)| ("lid".to_owned(), out, back)));
    let taken_out = |i: usize| model.events().iter().any(|e| e.action.takes_out(i));
    let loads = model.landmarks.loads.iter().enumerate();
    let stored = loads.filter(|(i, _)| taken_out(*i)).filter_map(|(_, l)| {
        let (out, back) = l.moisture.as_ref()?.stored?;
        Some((format!("storage of {}", l.name), out, back))
    });
    list.extend(stored);
    list.extend(model.pinhole().map(|(out, back)| ("pinhole".to_owned(), out, back)));
    list
}

/// The water account in grams.
pub fn water(model: &Model, y: &[f64]) -> Ledger {
    let g = |i: usize| 1e3 * y[i];
    let start = |i: usize| 1e3 * model.entries()[i].start;
    let (mut sources, mut uses) = (Vec::new(), Vec::new());
    for load in &model.landmarks.loads {
        let LoadView { name, waters, added_kg, .. } = load;
        if waters.is_empty() {
            continue;
        }
        let bound_kg = model.load_kg(load, &model.start()) - added_kg;
        if load.moisture.is_none() {
            sources.push(row(format!("added to {name}"), 1e3 * added_kg));
        }
        sources.push(row(format!("bound in {name} before"), 1e3 * bound_kg));
        uses.push(row(
            format!("remaining in {name} (bound included)"),
            1e3 * model.load_kg(load, y),
        ));
    }
    let air = |f: &dyn Fn(usize) -> f64| -> f64 {
        let both = |z: &Zone| [z.gas.water, z.gas.fog].map(|w| f(model.index_of_water(w)));
        model.zones().iter().flat_map(both).sum()
    };
    sources.push(row("in the air at the start", air(&start)));
    uses.push(row("in the air at the end", air(&g)));
    let films = model.landmarks.walls.iter().map(|(_, film)| g(model.index_of_water(*film)));
    uses.push(row("condensed on the walls", films.sum()));
    uses.push(row(
        "in puddles on the floor",
        model.puddles().map(|w| g(model.index_of_water(w))).sum(),
    ));
    if model.sorbed().next().is_some() {
        let sorbed = |f: &dyn Fn(usize) -> f64| -> f64 {
            model.sorbed().map(|w| f(model.index_of_water(w))).sum()
        };
        sources.push(row("bound in the walls before", sorbed(&start)));
        uses.push(row("bound in the walls", sorbed(&g)));
    }
    for (name, out, back) in passages(model) {
        sources.push(row(format!("in through {name}"), -g(model.index_of_water(back.water))));
        let left = out.waters().map(|w| g(model.index_of_water(w))).sum();
        uses.push(row(format!("out through {name}"), left));
    }
    let closure_error = -1e3 * closure(model, y, Holds::Water);
    Ledger { unit: "g".into(), sources, uses, closure_error }
}

/// The energy account in watt-hours.
///
/// What the exchange with the room carries away is split: the latent part counts the vapour with
/// the heat of evaporation at 0 °C, the sensible part is the rest. It is summed over all openings,
/// since the enthalpy of a single stream depends on where the scale begins.
pub fn energy(model: &Model, y: &[f64]) -> Ledger {
    let wh = |joule: f64| joule / 3600.0;
    let (mut sources, mut uses) = (Vec::new(), Vec::new());
    sources.push(row("heater", -wh(y[model.index_of_heat(model.landmarks.heater_mains)])));
    if let Some(fan) = model.fan_mains() {
        sources.push(row("fan motor", -wh(y[model.index_of_heat(fan)])));
    }
    let core = model.entries()[..model.core_len()].iter().zip(y);
    let stored: f64 = core.filter(|(e, _)| e.holds == Holds::Heat).map(|(e, v)| v - e.start).sum();
    // Water in the load counts as liquid, so drying it out moves its latent heat to the way out.
    let (mut latent, mut sensible) = (0.0, 0.0);
    for (_, out, back) in passages(model) {
        let heat = y[model.index_of_heat(out.heat)] + y[model.index_of_heat(back.heat)];
        let vapour = y[model.index_of_water(out.water)] + y[model.index_of_water(back.water)];
        latent += vapour * LATENT_0C;
        sensible += heat - vapour * LATENT_0C;
    }
    for (zone, total) in model.zones().iter().zip(model.wall_losses()) {
        let joule = y[model.index_of_heat(total)];
        uses.push(row(format!("through the {} wall", zone.name), wh(joule)));
    }
    uses.push(row("evaporating water that left the box", wh(latent)));
    uses.push(row("warming the air exchanged with the room", wh(sensible)));
    if let Some(radiated) = model.lid_radiation() {
        uses.push(row("radiated through the open lid", wh(y[model.index_of_heat(radiated)])));
    }
    uses.push(row("stored in box, air and loads", wh(stored)));
    let closure_error = -wh(closure(model, y, Holds::Heat));
    Ledger { unit: "Wh".into(), sources, uses, closure_error }
}
