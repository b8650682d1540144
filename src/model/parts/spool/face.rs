//! Faces of a spool and what they have around them: a zone of the box, or where the spool is kept
//! after drying.

use crate::model::events::Storage;
use crate::model::part::At;
use crate::model::store::{Gas, Heat, Water};
use crate::physics::moist_air::saturation_in_air_pa;
use crate::real::Real;

/// Heat transfer coefficient when the fan stands still \[W/(m2 K)\]: natural convection in a small box, order.
pub(super) const STILL_COEFFICIENT: f64 = 3.5;

/// How vapour passes a face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Passage {
    /// It does not.
    Closed,
    /// Through an open slit with this exchange velocity \[m/s\].
    Slit(f64),
    /// Through the winding below it: one over the way \[1/m\].
    Winding(f64),
}

/// A face of a layer in the air of a zone.
#[derive(Clone, Debug)]
pub(super) struct Face {
    pub zone: usize,
    pub air: Gas,
    pub wall: Heat,
    pub area_m2: f64,
    /// From the middle of the layer to the face \[W/(m2 K)\].
    pub inner_w_m2k: f64,
    pub emissivity: f64,
    pub passage: Passage,
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
