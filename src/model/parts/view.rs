//! What the results need to know of a load.

use super::moisture::Moisture;
use crate::model::store::{Heat, Water};

/// What the results need to know of a load.
#[derive(Clone, Debug)]
pub struct LoadView {
    /// Name in the scenario.
    pub name: String,
    /// Its heat: that of its outermost layer where it has several.
    pub heat: Heat,
    /// All of its heat.
    pub heats: Vec<Heat>,
    /// All of its water; empty for dry loads.
    pub waters: Vec<Water>,
    /// Water in it that is not counted as added: what it holds in equilibrium with the room \[kg\].
    pub bound_kg: f64,
    /// Water added to it \[kg\].
    pub added_kg: f64,
    /// Its layers, where its moisture matters.
    pub moisture: Option<Moisture>,
}

impl LoadView {
    /// A load of one temperature, without water that is added and without layers.
    pub(super) fn of_one(name: &str, heat: Heat, waters: Vec<Water>, bound_kg: f64) -> Self {
        let (name, heats) = (name.to_owned(), vec![heat]);
        LoadView { name, heat, heats, waters, bound_kg, added_kg: 0.0, moisture: None }
    }
}
