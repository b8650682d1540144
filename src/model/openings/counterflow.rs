//! Warm and cold air that pass each other in one opening: an exchange without any net flow.

use crate::model::air::Air;
use crate::physics::constants::GRAVITY;
use crate::physics::opening::{self, Geometry};
use crate::real::Real;

/// Least head that counts \[Pa\]: keeps the comparison of two pressures finite in an unheated box.
const LEAST_HEAD_PA: f64 = 1e-6;

/// Which way a hole faces, with what counterflow needs to know of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Counterflow {
    /// In a side wall: cold air in below, warm air out above.
    Sideways {
        /// Resistance of each half.
        half: Geometry,
        /// Radius \[m\].
        radius_m: f64,
        /// Number of holes.
        count: f64,
    },
    /// In the lid: only above the limit at which air over air becomes unstable.
    Upwards {
        /// Diameter \[m\].
        diameter_m: f64,
        /// Depth \[m\].
        depth_m: f64,
        /// Number of holes.
        count: f64,
    },
}

impl Counterflow {
    /// Volume of box air that leaves, and is replaced, per second \[m3/s\]; `dp_pa` is the pressure
    /// inside over outside at the centre, which sweeps the counterflow away as it exceeds the head
    /// across the opening (our interpolation).
    #[inline]
    pub fn flow<R: Real>(&self, inside: &Air<R>, room: &Air<R>, dp_pa: R) -> R {
        let lighter = room.density - inside.density;
        let (q, radius_m) = match *self {
            Self::Sideways { half, radius_m, count } => {
                let density = (inside.density + room.density) * 0.5;
                let viscosity = (inside.viscosity + room.viscosity) * 0.5;
                // The mean depth of a half disc below its straight edge is 4 r / (3 pi).
                let head = lighter.abs() * (GRAVITY * 0.4244 * radius_m);
                (half.resistance(viscosity, density).flow(head) * count, radius_m)
            }
            Self::Upwards { diameter_m, depth_m, count } => {
                if lighter.val() <= 0.0 {
                    return R::c(0.0);
                }
                let q = opening::lid_exchange(
                    diameter_m,
                    depth_m,
                    lighter,
                    room.density,
                    inside.viscosity,
                    inside.diffusivity,
                );
                (q * count, 0.5 * diameter_m)
            }
        };
        let across = lighter * (GRAVITY * radius_m);
        let swept = dp_pa.sq() / (across.sq() + LEAST_HEAD_PA * LEAST_HEAD_PA);
        if swept.val() > 30.0 {
            return R::c(0.0); // below 1e-13 of the counterflow of still air
        }
        q * (-swept).exp()
    }
}
