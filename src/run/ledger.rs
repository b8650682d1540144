//! Where every gram and every watt-hour went, with the error of closing the account.

use serde::{Deserialize, Serialize};

use super::probe::sum_of;
use crate::address::{Address, Place, Quantity};
use crate::model::Model;
use crate::model::accounts::{AccountLine, GasPath};
use crate::model::store::Holds;
use crate::physics::constants::LATENT_0C;

/// One line of a ledger.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Row {
    /// What it is.
    #[serde(flatten)]
    pub address: Address,
    /// The same in words.
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

    /// Amount of what came in, or was there, by its address.
    pub fn source(&self, at: Address) -> Option<f64> {
        self.sources.iter().find(|r| r.address == at).map(|r| r.amount)
    }
}

/// Change of everything that holds `what`, running totals included: zero if nothing was lost.
fn closure(model: &Model, y: &[f64], what: Holds) -> f64 {
    let pairs = model.entries().iter().zip(y);
    pairs.filter(|(e, _)| e.holds == what).map(|(e, v)| v - e.start).sum()
}

/// The ways of gas that this run can use: a load that no event takes out has no storage.
pub(super) fn paths(model: &Model) -> impl Iterator<Item = (usize, &GasPath)> {
    model.passages().iter().enumerate().filter(|(_, path)| is_used(model, path.place))
}

fn is_used(model: &Model, place: Place) -> bool {
    match place {
        Place::Storage(load) => model.events().iter().any(|e| e.action.takes_out(load)),
        _ => true,
    }
}

/// The lines of an account in the order in which they are shown: what is in the box, then the ways in and out.
pub(super) fn lines(model: &Model, holds: Holds) -> Vec<&AccountLine> {
    let of = model.lines().iter().filter(|l| l.holds == holds && is_used(model, l.address.place));
    let mut list: Vec<&AccountLine> = of.collect();
    list.sort_by_key(|l| match (l.address.place, l.address.quantity) {
        (place, Quantity::Energy) => match place {
            Place::Heater => 0,
            Place::Fan => 1,
            _ => 2,
        },
        (Place::Load(_), _) => 0,
        (Place::AllZones, _) => 1,
        (_, Quantity::Condensate) => 2,
        (_, Quantity::Puddle) => 3,
        (Place::AllWalls, _) => 4,
        (Place::Opening(_), _) => 6,
        (Place::Lid, Quantity::RadiatedOut) => 10,
        (Place::Lid, _) => 7,
        (Place::Storage(_), _) => 8,
        _ => 9,
    });
    list
}

/// A row among the sources of an account.
fn source(model: &Model, address: Address, amount: f64) -> Row {
    Row { address, name: model.names().line(address, true), amount }
}

/// A row among its uses.
fn used(model: &Model, address: Address, amount: f64) -> Row {
    Row { address, name: model.names().line(address, false), amount }
}

/// The water account in grams.
pub fn water(model: &Model, y: &[f64]) -> Ledger {
    let (mut sources, mut uses) = (Vec::new(), Vec::new());
    let start = model.start();
    for line in lines(model, Holds::Water) {
        let (at, g) = (line.address, |state: &[f64]| 1e3 * sum_of(&line.entries, state));
        let (now, before) = (g(y), g(&start));
        match (at.place, at.quantity) {
            (Place::Load(i), _) => {
                let load = &model.landmarks.loads[i];
                let bound = model.load_kg(load, &start) - load.added_kg;
                if load.moisture.is_none() {
                    let added = Address::new(at.place, Quantity::AddedWater);
                    sources.push(source(model, added, 1e3 * load.added_kg));
                }
                sources.push(source(model, at, 1e3 * bound));
                uses.push(used(model, at, now));
            }
            (_, Quantity::WaterIn) => sources.push(source(model, at, -now)),
            (_, Quantity::Water | Quantity::BoundWater) => {
                sources.push(source(model, at, before));
                uses.push(used(model, at, now));
            }
            _ => uses.push(used(model, at, now)),
        }
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
    // Water in the load counts as liquid, so drying it out moves its latent heat to the way out.
    let (mut latent, mut sensible) = (0.0, 0.0);
    for (_, path) in paths(model) {
        let vapour = sum_of(&path.vapour, y);
        latent += vapour * LATENT_0C;
        sensible += sum_of(&path.heat, y) - vapour * LATENT_0C;
    }
    let split = [(Quantity::LatentOut, latent), (Quantity::SensibleOut, sensible)];
    let lines = lines(model, Holds::Heat);
    let of = |quantity| lines.iter().filter(move |l| l.address.quantity == quantity);
    let out = |quantity| of(quantity).map(|l| used(model, l.address, wh(sum_of(&l.entries, y))));
    let kept = of(Quantity::Heat).map(|l| {
        let change = l.entries.iter().map(|i| y[*i] - model.entries()[*i].start).sum();
        used(model, l.address, wh(change))
    });
    let split =
        split.map(|(quantity, joule)| used(model, Address::new(Place::Box, quantity), wh(joule)));
    let fed = of(Quantity::Energy);
    Ledger {
        unit: "Wh".into(),
        sources: fed.map(|l| source(model, l.address, -wh(sum_of(&l.entries, y)))).collect(),
        uses: out(Quantity::HeatOut)
            .chain(split)
            .chain(out(Quantity::RadiatedOut))
            .chain(kept)
            .collect(),
        closure_error: -wh(closure(model, y, Holds::Heat)),
    }
}
