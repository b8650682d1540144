//! Fog: vapour beyond saturation turns to droplets in the air, which evaporate again or settle.

use crate::model::flows::Flows;
use crate::model::part::{At, Part};
use crate::model::site::Site;
use crate::model::store::{Gas, Heat, Water};
use crate::physics::constants::R_VAPOUR;
use crate::physics::moist_air::saturation_in_air_pa;
use crate::real::Real;

/// Time in which vapour beyond saturation turns to droplets \[s\]: dense fog has a hundredth to some tenths of a
/// second (order, from memory). Five of them are a second.
const GROWTH_S: f64 = 0.2;
/// Time in which droplets evaporate into dry air \[s\]: 10 µm in air of half saturation, order, from memory.
const EVAPORATION_S: f64 = 1.0;
/// Shortage of vapour, as a share of saturation, at which they evaporate at half that pace. Our choice.
const HALF_PACE: f64 = 0.02;
/// Half-width of the rounded corner at saturation, as a share of it. Our choice: a hundredth of what a sensor sees.
const ROUNDING: f64 = 1e-3;
/// Speed at which droplets settle \[m/s\]: Stokes' law for 10 µm of water in air. Source: \[Stokes1851\].
pub const SETTLING_M_S: f64 = 3e-3;

/// The fog of one zone.
///
/// ```text
/// dm/dt = m_sat P(s)/t_growth - m N(s)/(N(s) + s_half)/t_evaporation - m v/H,    s = p_v/p_sat - 1
/// ```
/// P and N are s above and below saturation with their corner rounded. Vapour and fog share the heat of the
/// air, whose temperature knows the latent heat, so that only water moves between them.
#[derive(Clone, Debug)]
pub struct Fog {
    zone: usize,
    air: Gas,
    volume_m3: f64,
    /// Share of the fog that settles in a second \[1/s\].
    settling_per_s: f64,
    floor: (Heat, Water),
}

impl Fog {
    /// The fog of this zone of a box of this height, which settles into the puddle of `floor`.
    pub fn new(zone: usize, height_m: f64, floor: (Heat, Water), site: &Site) -> Fog {
        let place = &site.zones[zone];
        let settling_per_s = SETTLING_M_S / height_m;
        Fog { zone, air: place.gas, volume_m3: place.volume_m3, settling_per_s, floor }
    }
}

impl Part for Fog {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let air = &at.zones[self.zone].air;
        let saturated_pa = saturation_in_air_pa(air.temp_k, at.total_pa);
        let beyond = air.vapour_pa / saturated_pa - 1.0;
        let above = beyond.rounded_positive(ROUNDING);
        let below = above - beyond;
        let fog_kg = at.water_kg(self.air.fog);
        let full_kg = saturated_pa * (self.volume_m3 / R_VAPOUR) / air.temp_k;
        let forming = full_kg * above / GROWTH_S;
        let vanishing = fog_kg * below / (below + HALF_PACE) / EVAPORATION_S;
        flows.within(self.air.water, self.air.fog, forming - vanishing);
        let settling = fog_kg * self.settling_per_s;
        flows.liquid((self.air.heat, self.air.fog), self.floor, settling, air.temp_k);
    }
}
