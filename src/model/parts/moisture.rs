//! What the results show of a load with bound water in layers.

use crate::model::store::{Gas, Heat, Water};
use crate::physics::polymer::Sorption;

/// A layer as the results see it.
#[derive(Clone, Debug)]
pub struct Slice {
    /// Its heat.
    pub heat: Heat,
    /// The vapour in its gaps and their volume \[m3\], where they are modelled.
    pub gap: Option<(Water, f64)>,
    /// Its bound water, from the middle of the filaments outwards.
    pub shells: Vec<Water>,
    /// Its dry mass \[kg\].
    pub dry_kg: f64,
    /// Its middle radius in the winding \[m\].
    pub radius_m: f64,
    /// Which half of the spool it belongs to.
    pub half: usize,
}

/// A load whose moisture matters.
#[derive(Clone, Debug)]
pub struct Moisture {
    /// Its layers, innermost first, half after half.
    pub slices: Vec<Slice>,
    /// Dry mass \[kg\].
    pub dry_kg: f64,
    /// Moisture at which it counts as dry \[kg/kg\].
    pub target: f64,
    /// Isotherm.
    pub sorption: Sorption,
    /// Running totals of what left it and came in storage.
    pub stored: Option<(Gas, Gas)>,
    /// Zones around it with their shares.
    pub around: Vec<(usize, f64)>,
}

impl Moisture {
    /// Number of halves.
    pub fn halves(&self) -> usize {
        self.slices.last().map_or(1, |s| s.half + 1)
    }

    /// Layers along the radius.
    pub fn depth(&self) -> usize {
        self.slices.len() / self.halves()
    }

    /// The same layer of all halves, 0 the innermost.
    pub fn ring(&self, layer: usize) -> impl Iterator<Item = &Slice> {
        let depth = self.depth();
        self.slices.iter().enumerate().filter(move |(i, _)| i % depth == layer).map(|(_, s)| s)
    }
}
