//! Where a spool is kept after drying: the open room, a closed bag, a bag with desiccant.

use crate::model::part::At;
use crate::model::parts::spool::bed::{Face, STILL_COEFFICIENT};
use crate::model::store::{Gas, Heat, Water};
use crate::physics::moist_air::saturation_in_air_pa;
use crate::real::Real;

/// Loads that can be kept outside the box, the first of the scenario. Our choice, more than fit into any.
pub const MOST_STORED: usize = 8;

/// Where each load is kept that has left the box, by its number.
pub type Stored = [Option<Storage>; MOST_STORED];

/// Storage outside the box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Storage {
    /// Open in the room.
    Room,
    /// In a closed bag without desiccant, which lets this much vapour through \[kg/(s Pa)\].
    Bag(f64),
    /// In a closed bag with enough desiccant to keep this relative humidity.
    Desiccant(f64),
}

/// What a face of a spool has around it.
pub(super) struct Surroundings<R> {
    pub air_k: R,
    pub vapour_pa: R,
    /// Temperature that its radiation meets.
    pub wall_k: R,
    pub surface_w_m2k: f64,
    pub mass_per_heat: R,
    /// Where its heat and vapour go, and where the vapour comes from.
    pub air: (Heat, Water),
    pub source: (Heat, Water),
    pub wall: Heat,
    /// What a bag lets through, per area of the spool \[kg/(s Pa m2)\]; infinite without one.
    pub leak: f64,
}

impl<R: Real> Surroundings<R> {
    /// The zone of `face` in the box, or the place where the spool is stored.
    #[inline]
    pub fn of(
        face: &Face,
        surface_w_m2k: f64,
        stored: (Gas, Gas),
        open_m2: f64,
        storage: Option<Storage>,
        at: &At<'_, R>,
    ) -> Self {
        let Some(storage) = storage else {
            let air = &at.zones[face.zone].air;
            return Surroundings {
                air_k: air.temp_k,
                vapour_pa: air.vapour_pa,
                wall_k: at.temp_k(face.wall),
                surface_w_m2k: (surface_w_m2k * at.modes.fan.coefficient)
                    .max(STILL_COEFFICIENT.min(surface_w_m2k)),
                mass_per_heat: air.mass_per_heat,
                air: (face.air.heat, face.air.water),
                source: (face.air.heat, face.air.water),
                wall: face.wall,
                leak: f64::INFINITY,
            };
        };
        let room = &at.room;
        let (vapour_pa, leak) = match storage {
            Storage::Room => (room.vapour_pa, f64::INFINITY),
            Storage::Bag(leak) => (room.vapour_pa, leak / open_m2),
            Storage::Desiccant(rh) => {
                (saturation_in_air_pa(room.temp_k, at.total_pa) * rh, f64::INFINITY)
            }
        };
        Surroundings {
            air_k: room.temp_k,
            vapour_pa,
            wall_k: room.temp_k,
            surface_w_m2k: STILL_COEFFICIENT,
            mass_per_heat: room.mass_per_heat,
            air: (stored.0.heat, stored.0.water),
            source: (stored.1.heat, stored.1.water),
            wall: stored.0.heat,
            leak,
        }
    }
}
