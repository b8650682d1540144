//! The lines of the accounts of water and energy, gathered from the entries of the state.

use super::store::{Entry, Holds};
use crate::address::{Address, Place, Quantity};

/// A line: the entries of the state that it sums, in their order.
#[derive(Clone, Debug)]
pub struct AccountLine {
    /// What it is.
    pub address: Address,
    /// Whether it is of the account of water or of that of energy.
    pub holds: Holds,
    /// Its entries.
    pub entries: Vec<usize>,
}

/// The running totals of the gas that went out and came in by one way.
#[derive(Clone, Debug)]
pub struct GasPath {
    /// Which way.
    pub place: Place,
    /// Heat out and in \[J\].
    pub heat: Vec<usize>,
    /// Vapour out and in \[kg\].
    pub vapour: Vec<usize>,
    /// All water \[kg\].
    pub water: Vec<usize>,
}

/// All lines, in the order of their first entries.
pub(super) fn lines(entries: &[Entry]) -> Vec<AccountLine> {
    let mut list: Vec<AccountLine> = Vec::new();
    for (i, entry) in entries.iter().enumerate() {
        let Some(address) = entry.address.line() else { continue };
        match list.iter_mut().find(|l| l.address == address) {
            Some(line) => line.entries.push(i),
            None => list.push(AccountLine { address, holds: entry.holds, entries: vec![i] }),
        }
    }
    list
}

/// Whether what is at a place draws from the mains.
pub(super) fn is_fed(lines: &[AccountLine], place: Place) -> bool {
    lines.iter().any(|l| l.address == Address::new(place, Quantity::Energy))
}

/// All ways of gas: openings, lid, storages, pinhole.
pub(super) fn passages(entries: &[Entry]) -> Vec<GasPath> {
    let mut places: Vec<Place> = Vec::new();
    for at in entries.iter().map(|e| e.address) {
        if at.quantity == Quantity::WaterOut && !places.contains(&at.place) {
            places.push(at.place);
        }
    }
    places.sort_by_key(|place| match place {
        Place::Opening(_) => 0,
        Place::Lid => 1,
        Place::Storage(_) => 2,
        _ => 3,
    });
    let of = |place: Place, wanted: &[Quantity]| -> Vec<usize> {
        let entry = |q: &Quantity| {
            let at = Address::new(place, *q);
            entries.iter().position(|e| e.address == at)
        };
        wanted.iter().filter_map(entry).collect()
    };
    let make = |place| GasPath {
        place,
        heat: of(place, &[Quantity::HeatOut, Quantity::HeatIn]),
        vapour: of(place, &[Quantity::WaterOut, Quantity::WaterIn]),
        water: of(place, &[Quantity::WaterOut, Quantity::FogOut, Quantity::WaterIn]),
    };
    places.into_iter().map(make).collect()
}
