//! Stores: where heat, water and dry air can be, and the only maker of handles to them.

use crate::address::{Address, Place, Quantity};
use crate::physics::constants::{CP_AIR, CP_VAPOUR, CP_WATER, LATENT_0C, R_AIR, R_VAPOUR};
use crate::physics::sorption::Binding;
use crate::real::Real;
use crate::units::ZERO_CELSIUS_K;

/// A place in the state vector. The top bit marks a running total.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct Slot(u32);

const TOTAL: u32 = 1 << 31;

impl Slot {
    /// Index into a state vector whose running totals begin at `totals_at`.
    #[inline(always)]
    pub(super) fn index(self, totals_at: usize) -> usize {
        (self.0 & !TOTAL) as usize + (self.0 >> 31) as usize * totals_at
    }
}

/// A store of heat \[J above liquid water and dry matter at 0 °C\].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Heat(pub(super) Slot);
/// A store of water, liquid or vapour \[kg\].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Water(pub(super) Slot);
/// A store of dry air \[kg\].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct DryAir(pub(super) Slot);
/// A quantity that follows others and is conserved by nobody: a sensor, a controller's integral.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Lag(pub(super) Slot);

/// The stores that hold one body of moist air.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gas {
    /// Its enthalpy; of a zone the internal energy and the room's pressure times the volume.
    pub heat: Heat,
    /// Its vapour.
    pub water: Water,
    /// Its dry air.
    pub dry: DryAir,
    /// Its fog: liquid water in suspension. The same store as `water` where none is expected.
    pub fog: Water,
}

impl Gas {
    /// Its stores of water, each once.
    pub fn waters(&self) -> impl Iterator<Item = Water> {
        let fog = (self.fog != self.water).then_some(self.fog);
        std::iter::once(self.water).chain(fog)
    }
}

/// How the temperature of a heat store follows from the amounts.
#[derive(Clone, Copy, Debug)]
pub enum Thermal {
    /// Dry matter of constant capacity \[J/K\].
    Solid {
        /// Heat capacity \[J/K\].
        capacity: f64,
    },
    /// Dry matter with liquid water, some of which may be bound to `fibre` (and its dry mass, kg).
    Wet {
        /// Heat capacity of the dry matter \[J/K\].
        capacity: f64,
        /// The water that shares the store.
        water: Water,
        /// Number of water stores right behind it that share it, too.
        more: usize,
        /// What binds it, with the dry mass \[kg\]; where more stores share it, the first one is a
        /// film that nothing binds.
        fibre: Option<(Binding, f64)>,
    },
    /// Dry matter with water bound to it by a constant heat of sorption, and the vapour in its gaps.
    Bound {
        /// Heat capacity of the dry matter \[J/K\].
        capacity: f64,
        /// The vapour; the bound water stands right behind it.
        vapour: Water,
        /// Number of stores of bound water.
        shells: usize,
        /// Heat of sorption beyond condensation \[J/kg\].
        excess_j_kg: f64,
    },
    /// Moist air, at the start without fog.
    Air {
        /// Its vapour.
        water: Water,
        /// Its dry air.
        dry: DryAir,
    },
    /// A running total: it has no temperature.
    None,
}

/// What an entry of the state vector holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Heat \[J\].
    Heat,
    /// Water \[kg\].
    Water,
    /// Dry air \[kg\].
    DryAir,
    /// Something that is not conserved.
    Other,
}

/// One entry of the state vector.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Where it belongs.
    pub address: Address,
    /// What it holds.
    pub holds: Holds,
    /// Value at the start of a run.
    pub start: f64,
    /// Absolute tolerance in the entry's own unit; infinite: not in the error norm.
    pub abs_tol: f64,
    /// The rule for its temperature (heat stores only).
    pub thermal: Thermal,
}

/// Absolute tolerances of the solver per unit of relative tolerance, in the units a person would
/// choose: kelvin, gram, share of relative humidity. Our choice, from the convergence study in
/// DEVELOPERS.md.
#[derive(Clone, Copy, Debug)]
pub struct Scale {
    /// Temperatures \[K\].
    pub kelvin: f64,
    /// Water \[kg\].
    pub water_kg: f64,
    /// Vapour in narrow gaps \[kg/m3\].
    pub gap_kg_m3: f64,
}

/// The tolerance scale of every model.
pub const SCALE: Scale = Scale { kelvin: 60.0, water_kg: 1e-3, gap_kg_m3: 0.1 };

/// The state vector under construction: first what the physics reads, then the running totals.
#[derive(Clone, Debug, Default)]
pub struct Layout {
    core: Vec<Entry>,
    totals: Vec<Entry>,
}

impl Layout {
    fn add(&mut self, at: Address, holds: Holds, start: f64, abs_tol: f64, t: Thermal) -> Slot {
        self.core.push(Entry { address: at, holds, start, abs_tol, thermal: t });
        Slot((self.core.len() - 1) as u32)
    }

    fn add_total(&mut self, at: Address, holds: Holds) -> Slot {
        let entry = Entry {
            address: at,
            holds,
            start: 0.0,
            abs_tol: f64::INFINITY,
            thermal: Thermal::None,
        };
        self.totals.push(entry);
        Slot((self.totals.len() - 1) as u32 | TOTAL)
    }

    /// A store of heat at `start_k`; waters that it reads must have been added before.
    pub fn heat(&mut self, place: Place, thermal: Thermal, start_k: f64) -> Heat {
        let t = start_k - ZERO_CELSIUS_K;
        let amount = |w: Slot| self.core[w.index(0)].start;
        let (start, capacity) = match thermal {
            Thermal::Solid { capacity } => (capacity * t, capacity),
            Thermal::Wet { capacity, water, more, fibre } => {
                let first = water.0.index(0);
                let m: f64 = self.core[first..=first + more].iter().map(|e| e.start).sum();
                let c = capacity + m * CP_WATER;
                let free = if more > 0 { self.core[first].start } else { 0.0 };
                let bound = fibre.map_or(0.0, |(f, dry)| dry * f.energy_j_kg((m - free) / dry));
                // The tolerance must hold in kelvin when the water has gone, too.
                (c * t - bound, capacity)
            }
            Thermal::Bound { capacity, vapour, shells, excess_j_kg } => {
                let first = vapour.0.index(0);
                let m_v = self.core[first].start;
                let bound: f64 =
                    self.core[first + 1..=first + shells].iter().map(|e| e.start).sum();
                let c = capacity + bound * CP_WATER + m_v * CP_VAPOUR;
                (c * t + m_v * LATENT_0C - bound * excess_j_kg, capacity)
            }
            Thermal::Air { water, dry } => {
                let (m_v, m_a) = (amount(water.0), amount(dry.0));
                let c = m_a * CP_AIR + m_v * CP_VAPOUR;
                // Its temperature follows from its heat at constant volume.
                (c * t + m_v * LATENT_0C, c - m_a * R_AIR - m_v * R_VAPOUR)
            }
            Thermal::None => (0.0, f64::INFINITY),
        };
        let at = Address::new(place, Quantity::Heat);
        Heat(self.add(at, Holds::Heat, start, SCALE.kelvin * capacity, thermal))
    }

    /// A store of water holding `start_kg`.
    pub fn water(&mut self, place: Place, quantity: Quantity, start_kg: f64) -> Water {
        let at = Address::new(place, quantity);
        Water(self.add(at, Holds::Water, start_kg, SCALE.water_kg, Thermal::None))
    }

    /// A store of vapour in gaps of `volume_m3` holding `start_kg`: its scale follows the volume.
    pub fn gap_vapour(&mut self, place: Place, start_kg: f64, volume_m3: f64) -> Water {
        let abs_tol = SCALE.gap_kg_m3 * volume_m3;
        let at = Address::new(place, Quantity::Vapour);
        Water(self.add(at, Holds::Water, start_kg, abs_tol, Thermal::None))
    }

    /// A store of dry air holding `start_kg`.
    pub fn dry_air(&mut self, place: Place, start_kg: f64) -> DryAir {
        // The air's own scale: an error in its mass acts like one in its temperature.
        let abs_tol = start_kg * SCALE.kelvin / 300.0;
        let at = Address::new(place, Quantity::DryAir);
        DryAir(self.add(at, Holds::DryAir, start_kg, abs_tol, Thermal::None))
    }

    /// A lag starting at `start`, whose errors matter on the scale `scale`.
    pub fn lag(&mut self, place: Place, quantity: Quantity, start: f64, scale: f64) -> Lag {
        let at = Address::new(place, quantity);
        Lag(self.add(at, Holds::Other, start, scale, Thermal::None))
    }

    /// Time itself as a state, so that tables and ramps are exact in an autonomous method.
    pub fn time(&mut self) -> Lag {
        let at = Address::new(Place::Box, Quantity::Time);
        Lag(self.add(at, Holds::Other, 0.0, f64::INFINITY, Thermal::None))
    }

    /// A running total of heat.
    pub fn heat_total(&mut self, place: Place, quantity: Quantity) -> Heat {
        Heat(self.add_total(Address::new(place, quantity), Holds::Heat))
    }

    /// A running total of the electric energy that the mains give to a place: it is a line of the energy
    /// account, a course of power and one of energy, and part of what the supply must give.
    pub fn mains_total(&mut self, place: Place) -> Heat {
        self.heat_total(place, Quantity::Energy)
    }

    /// A running total of something that is not conserved.
    pub fn other_total(&mut self, place: Place, quantity: Quantity) -> Lag {
        Lag(self.add_total(Address::new(place, quantity), Holds::Other))
    }

    /// Running totals of a stream of moist air without fog that comes into the box, as from the room.
    pub fn inflow_total(&mut self, place: Place) -> Gas {
        let water = Water(self.add_total(Address::new(place, Quantity::WaterIn), Holds::Water));
        self.gas_total(place, water, water, [Quantity::HeatIn, Quantity::AirIn])
    }

    /// Running totals of a stream of gas out of the box, its fog apart.
    pub fn outflow_total(&mut self, place: Place) -> Gas {
        let fog = Water(self.add_total(Address::new(place, Quantity::FogOut), Holds::Water));
        let water = Water(self.add_total(Address::new(place, Quantity::WaterOut), Holds::Water));
        self.gas_total(place, water, fog, [Quantity::HeatOut, Quantity::AirOut])
    }

    /// Running totals of what a load gives off where it is kept.
    pub fn stored_total(&mut self, place: Place) -> Gas {
        let water = Water(self.add_total(Address::new(place, Quantity::WaterOut), Holds::Water));
        self.gas_total(place, water, water, [Quantity::HeatOut, Quantity::AirOut])
    }

    fn gas_total(
        &mut self,
        place: Place,
        water: Water,
        fog: Water,
        [heat, dry]: [Quantity; 2],
    ) -> Gas {
        Gas {
            heat: Heat(self.add_total(Address::new(place, heat), Holds::Heat)),
            water,
            dry: DryAir(self.add_total(Address::new(place, dry), Holds::DryAir)),
            fog,
        }
    }

    /// Number of entries that the physics reads.
    pub fn core_len(&self) -> usize {
        self.core.len()
    }

    /// All entries in the order of the state vector.
    pub fn entries(&self) -> impl Iterator<Item = &Entry> {
        self.core.iter().chain(&self.totals)
    }

    /// The state at the start of a run.
    pub fn start(&self) -> Vec<f64> {
        self.entries().map(|e| e.start).collect()
    }

    /// Rules of the heat stores with their slots, for the temperatures of a state.
    pub(super) fn thermal_rules(&self) -> Vec<(usize, Thermal)> {
        let rules = self.core.iter().enumerate().map(|(i, e)| (i, e.thermal));
        rules.filter(|(_, t)| !matches!(t, Thermal::Air { .. } | Thermal::None)).collect()
    }
}

/// Temperature \[K\] of the solid or wet store at `slot` from the amounts in `y`.
#[inline]
pub(super) fn temperature<R: Real>(slot: usize, rule: &Thermal, y: &[R]) -> R {
    match *rule {
        Thermal::Solid { capacity } => y[slot] / capacity + ZERO_CELSIUS_K,
        Thermal::Wet { capacity, water, more, fibre } => {
            let first = water.0.index(0);
            let mut m = y[first];
            for share in &y[first + 1..=first + more] {
                m += *share;
            }
            let mut heat = y[slot];
            if let Some((f, dry)) = fibre {
                let held = if more > 0 { m - y[first] } else { m };
                heat += f.energy_j_kg(held / dry) * dry;
            }
            heat / (m * CP_WATER + capacity) + ZERO_CELSIUS_K
        }
        Thermal::Bound { capacity, vapour, shells, excess_j_kg } => {
            let first = vapour.0.index(0);
            let m_v = y[first];
            let mut bound = y[first + 1];
            for share in &y[first + 2..=first + shells] {
                bound += *share;
            }
            let c = bound * CP_WATER + m_v * CP_VAPOUR + capacity;
            (y[slot] - m_v * LATENT_0C + bound * excess_j_kg) / c + ZERO_CELSIUS_K
        }
        Thermal::Air { .. } | Thermal::None => R::c(f64::NAN),
    }
}
