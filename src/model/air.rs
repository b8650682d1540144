//! Bodies of moist air: the zones of the box and the room, with everything derived once per
//! evaluation from the amounts.

use super::store::Gas;
use crate::physics::constants::{CP_AIR, CP_VAPOUR, LATENT_0C, R_AIR, R_VAPOUR};
use crate::physics::{moist_air, transport};
use crate::real::Real;
use crate::units::ZERO_CELSIUS_K;

/// The intensive state of a body of moist air.
#[derive(Clone, Copy, Debug)]
pub struct Air<R> {
    /// Temperature \[K\].
    pub temp_k: R,
    /// Humidity ratio \[kg/kg dry air\].
    pub ratio: R,
    /// Partial pressure of the vapour \[Pa\].
    pub vapour_pa: R,
    /// Dry air per volume \[kg/m3\].
    pub dry_kg_m3: R,
    /// Density of the mixture \[kg/m3\].
    pub density: R,
    /// Dynamic viscosity \[Pa s\].
    pub viscosity: R,
    /// Heat capacity per kg of dry air \[J/(kg K)\].
    pub cp_dry: R,
    /// Enthalpy per kg of dry air \[J/kg\].
    pub enthalpy: R,
    /// Diffusivity of vapour \[m2/s\].
    pub diffusivity: R,
    /// Mass film over heat film, `1/(rho c_p Le^(2/3))` \[m3 K/J\].
    pub mass_per_heat: R,
}

impl<R: Real> Air<R> {
    /// Derives everything else from temperature and humidity ratio at `total_pa`.
    #[inline]
    pub fn derive(temp_k: R, ratio: R, total_pa: f64) -> Self {
        let mole_ratio = ratio * (R_VAPOUR / R_AIR);
        let y = mole_ratio / (mole_ratio + 1.0);
        let vapour_pa = y * total_pa;
        let dry_kg_m3 = R::from_sub(total_pa, vapour_pa) / (temp_k * R_AIR);
        let mix = transport::mixture(temp_k, y, total_pa);
        let diffusivity = transport::vapour_diffusivity(temp_k, total_pa);
        let volumetric = mix.density * mix.cp;
        let le_23 = (mix.conductivity / (volumetric * diffusivity)).powf(2.0 / 3.0);
        Air {
            temp_k,
            ratio,
            vapour_pa,
            dry_kg_m3,
            density: mix.density,
            viscosity: mix.viscosity,
            cp_dry: ratio * CP_VAPOUR + CP_AIR,
            enthalpy: moist_air::enthalpy_j_kg(temp_k, ratio),
            diffusivity,
            mass_per_heat: (volumetric * le_23).recip_of(1.0),
        }
    }

    /// Relative humidity, 0..1, over water.
    #[inline]
    pub fn relative_humidity(&self) -> R {
        self.vapour_pa / moist_air::saturation_pressure_pa(self.temp_k)
    }

    /// The same state as constants of another number type.
    pub fn lift<Q: Real>(&self) -> Air<Q> {
        let c = |x: R| Q::c(x.val());
        Air {
            temp_k: c(self.temp_k),
            ratio: c(self.ratio),
            vapour_pa: c(self.vapour_pa),
            dry_kg_m3: c(self.dry_kg_m3),
            density: c(self.density),
            viscosity: c(self.viscosity),
            cp_dry: c(self.cp_dry),
            enthalpy: c(self.enthalpy),
            diffusivity: c(self.diffusivity),
            mass_per_heat: c(self.mass_per_heat),
        }
    }
}

/// A zone: a rigid, well-mixed volume of air.
#[derive(Clone, Debug)]
pub struct Zone {
    /// Its name in the scenario.
    pub name: String,
    /// Its free volume \[m3\].
    pub volume_m3: f64,
    /// Where its amounts are kept.
    pub gas: Gas,
    /// Share of the fan pressure that its openings see, +1/2 at the fan's outlet.
    pub pressure_share: f64,
}

/// A zone's air with its amounts.
#[derive(Clone, Copy, Debug)]
pub struct ZoneAir<R> {
    /// Intensive state.
    pub air: Air<R>,
    /// `m_a R_a + m_v R_v` \[J/K\].
    pub moles: R,
    /// Heat capacity of the gas \[J/K\].
    pub capacity: R,
}

impl Zone {
    /// The zone's air from the amounts in `y`.
    #[inline]
    pub fn air<R: Real>(&self, y: &[R], total_pa: f64) -> ZoneAir<R> {
        let heat = y[self.gas.heat.0.index(0)];
        let m_v = y[self.gas.water.0.index(0)];
        let m_a = y[self.gas.dry.0.index(0)];
        let capacity = m_a * CP_AIR + m_v * CP_VAPOUR;
        let temp_k = (heat - m_v * LATENT_0C) / capacity + ZERO_CELSIUS_K;
        ZoneAir {
            air: Air::derive(temp_k, m_v / m_a, total_pa),
            moles: m_a * R_AIR + m_v * R_VAPOUR,
            capacity,
        }
    }
}

impl<R: Real> ZoneAir<R> {
    /// Volume rate times pressure \[J per kg of dry air\] that gas of state `s` claims on entering.
    #[inline]
    pub fn push(&self, s: &Air<R>) -> R {
        (s.ratio * R_VAPOUR + R_AIR) * self.air.temp_k
            + self.moles * s.cp_dry * (s.temp_k - self.air.temp_k) / self.capacity
    }

    /// The same for the zone's own gas when it leaves.
    #[inline]
    pub fn push_out(&self) -> R {
        (self.air.ratio * R_VAPOUR + R_AIR) * self.air.temp_k
    }

    /// Volume rate times pressure \[W\] that must leave the zone for rates already posted to it:
    /// `(m_a' R_a + m_v' R_v) T + n T'`, and a pull towards the fixed volume within
    /// [`DRIFT_TIME_S`].
    #[inline]
    pub fn surplus(&self, net: (R, R, R), total_pa: f64, volume_m3: f64) -> R {
        let (heat, vapour, dry) = net;
        let t_c = self.air.temp_k - ZERO_CELSIUS_K;
        let warming = heat - dry * CP_AIR * t_c - vapour * (t_c * CP_VAPOUR + LATENT_0C);
        let drift = (self.moles * self.air.temp_k - total_pa * volume_m3) / DRIFT_TIME_S;
        (dry * R_AIR + vapour * R_VAPOUR) * self.air.temp_k
            + self.moles * warming / self.capacity
            + drift
    }
}

/// Time in which a difference between the gas and its rigid volume is pulled back. The exact flows
/// leave only round-off and the solver's own error to correct; any time well above a step's
/// resolution and well below the run serves.
pub const DRIFT_TIME_S: f64 = 10.0;
