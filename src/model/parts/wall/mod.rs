//! Walls: film inside with condensation, layers, natural convection and radiation outside.

mod faces;
mod spec;

pub use faces::Faces;
pub use spec::{Build, Steady, WallSpec};

use crate::model::flows::Flows;
use crate::model::part::{At, Part};
use crate::model::store::{Gas, Heat, Water};
use crate::physics::convection::{self, Facing};
use crate::physics::moist_air::saturation_in_air_pa;
use crate::physics::surface;
use crate::real::Real;

/// Mass of condensate per area at which drops run down \[kg/m2\]; 60 to 100 g/m2, from memory.
const DRIP_KG_M2: f64 = 0.08;
/// Time in which surplus condensate runs off \[s\]. Our choice: short against everything else.
const DRIP_TIME_S: f64 = 60.0;
/// Rounding of the drip corner \[kg\]. Nothing may leak far below it: a dry wall would drip water
/// that it does not have.
const DRIP_ROUNDING_KG: f64 = 1e-6;
/// Mass of a puddle per area that it wets \[kg/m2\]: 3 mm deep on smooth plastic, 1 to 4 mm by how well the
/// water spreads (common practice; the depth of a large sessile puddle of water, from memory).
const PUDDLE_KG_M2: f64 = 3.0;
/// Largest share of the total pressure that the vapour of a hot wet face may have, and the rounding
/// of that cap. Our choice: no effect below 90 °C (under 0.1 Pa), finite above.
const MOST_VAPOUR: f64 = 0.98;
const VAPOUR_ROUNDING: f64 = 1e-3;
/// Coefficient inside without a fan \[W/(m2 K)\]: natural convection in a small box, order.
const STILL_COEFFICIENT: f64 = 3.5;

#[derive(Clone, Debug)]
enum Outside {
    Free { faces: Faces, emissivity: f64 },
    Linear { w_k: f64 },
}

/// The wall of one zone.
#[derive(Clone, Debug)]
pub struct Wall {
    zone: usize,
    air: Gas,
    inner_m2: f64,
    inside_coefficient: f64,
    still_coefficient: f64,
    /// Nodes from the inner to the outer face.
    pub nodes: Vec<Heat>,
    conductances: Vec<f64>,
    /// Condensate on the inner face.
    pub film: Water,
    /// What ran down to its share of the floor.
    pub puddle: Water,
    floor_m2: f64,
    outside: Outside,
    room: Heat,
}

impl Outside {
    /// Loss of the outer face to the room per kelvin \[W/K\].
    #[inline]
    fn w_k<R: Real>(&self, surface_k: R, room_k: R, total_pa: f64) -> R {
        let (faces, emissivity) = match self {
            Outside::Linear { w_k } => return R::c(*w_k),
            Outside::Free { faces, emissivity } => (faces, *emissivity),
        };
        let dt = surface_k - room_k;
        let mean_k = (surface_k + room_k) * 0.5;
        let (up, down) = if dt.val() >= 0.0 {
            (Facing::FreeSide, Facing::BoundSide)
        } else {
            (Facing::BoundSide, Facing::FreeSide)
        };
        let still = convection::Natural::new(dt, mean_k, R::c(total_pa));
        let mut sum =
            surface::radiative_coefficient(emissivity, surface_k, room_k) * faces.outer_m2();
        for (i, facing) in [Facing::Sideways, up, down].into_iter().enumerate() {
            sum += still.coefficient(facing, &faces.lengths[i]) * faces.outside_m2[i];
        }
        sum
    }
}

impl Wall {
    /// Running total of the heat lost to the room.
    pub fn room(&self) -> Heat {
        self.room
    }

    /// Area of the floor that a puddle wets \[m2\]: its volume over its depth, all of the floor at most. Below the
    /// last centimetre it shrinks with what is left, so that it dries out and never below zero.
    #[inline]
    fn wetted_m2<R: Real>(&self, puddle_kg: R) -> R {
        let share = puddle_kg / (PUDDLE_KG_M2 * self.floor_m2);
        let fourth = share.sq().sq();
        share / (fourth + 1.0).sqrt().sqrt() * self.floor_m2
    }
}

impl Part for Wall {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let air = &at.zones[self.zone].air;
        let face = self.nodes[0];
        let face_k = at.temp_k(face);
        // Vapour to and from the film of water.
        let mean_k = (air.temp_k + face_k) * 0.5;
        // With the fan slow or still, natural convection is left.
        let inside_coefficient =
            (self.inside_coefficient * at.modes.fan.coefficient).max(self.still_coefficient);
        let h_m = air.mass_per_heat * inside_coefficient;
        // A dry face may be hotter than boiling; its vapour pressure then means nothing, but must
        // stay below the total pressure.
        let most = air.pressure_pa * MOST_VAPOUR;
        let headroom = most - saturation_in_air_pa(face_k, at.total_pa);
        let wet_pa = most - headroom.soft_positive(VAPOUR_ROUNDING * at.total_pa);
        let towards = -convection::stefan_flux(h_m, mean_k, air.vapour_pa, wet_pa, air.pressure_pa);
        let mass = at.water_kg(self.film);
        let growth = surface::film_growth(towards, mass / self.inner_m2);
        // What the puddle covers is no place for a film.
        let wetted_m2 = self.wetted_m2(at.water_kg(self.puddle));
        let air_water = (self.air.heat, self.air.water);
        let to_film = growth * (R::c(self.inner_m2) - wetted_m2);
        let to_puddle = towards * wetted_m2;
        flows.vapour(air_water, (face, self.film), to_film, face_k);
        flows.vapour(air_water, (face, self.puddle), to_puddle, face_k);
        let surplus = (mass - DRIP_KG_M2 * self.inner_m2).rounded_positive(DRIP_ROUNDING_KG);
        flows.within(self.film, self.puddle, surplus / DRIP_TIME_S);
        let h =
            convection::ackermann(R::c(inside_coefficient), -(to_film + to_puddle) / self.inner_m2);
        flows.heat(self.air.heat, face, h * self.inner_m2 * (air.temp_k - face_k));
        // Through the layers to the room.
        let mut inner_k = face_k;
        for (pair, conductance) in self.nodes.windows(2).zip(&self.conductances) {
            let outer_k = at.temp_k(pair[1]);
            flows.heat(pair[0], pair[1], (inner_k - outer_k) * *conductance);
            inner_k = outer_k;
        }
        let room_k = at.room.temp_k;
        let outer = self.nodes[self.nodes.len() - 1];
        let loss = self.outside.w_k(inner_k, room_k, at.total_pa) * (inner_k - room_k);
        flows.heat(outer, self.room, loss);
    }
}
