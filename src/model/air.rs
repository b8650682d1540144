//! Bodies of moist air: the zones of the box and the room, with everything derived once per
//! evaluation from the amounts.

use super::store::Gas;
use crate::physics::constants::{CP_AIR, CP_VAPOUR, CP_WATER, LATENT_0C, R_AIR, R_VAPOUR};
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
    /// Fog: liquid water in suspension per dry air \[kg/kg\].
    pub fog: R,
    /// Pressure of the gas \[Pa\].
    pub pressure_pa: R,
    /// Partial pressure of the vapour \[Pa\].
    pub vapour_pa: R,
    /// Dry air per volume \[kg/m3\].
    pub dry_kg_m3: R,
    /// Density of the mixture \[kg/m3\].
    pub density: R,
    /// Dynamic viscosity \[Pa s\].
    pub viscosity: R,
    /// Heat capacity per kg of dry air, vapour and fog included \[J/(kg K)\].
    pub cp_dry: R,
    /// Enthalpy per kg of dry air, vapour and fog included \[J/kg\].
    pub enthalpy: R,
    /// Diffusivity of vapour \[m2/s\].
    pub diffusivity: R,
    /// Mass transfer coefficient over that of heat, `1/(rho c_p Le^(2/3))` \[m3 K/J\].
    pub mass_per_heat: R,
}

impl<R: Real> Air<R> {
    /// Derives everything else from temperature, humidity ratio and pressure, without fog.
    #[inline]
    pub fn derive(temp_k: R, ratio: R, pressure_pa: R) -> Self {
        let mole_ratio = ratio * (R_VAPOUR / R_AIR);
        let y = mole_ratio / (mole_ratio + 1.0);
        let vapour_pa = y * pressure_pa;
        let dry_kg_m3 = (pressure_pa - vapour_pa) / (temp_k * R_AIR);
        let mix = transport::mixture(temp_k, y, pressure_pa);
        let diffusivity = transport::vapour_diffusivity(temp_k, pressure_pa);
        let volumetric = mix.density * mix.cp;
        let le_23 = (mix.conductivity / (volumetric * diffusivity)).powf(2.0 / 3.0);
        Air {
            temp_k,
            ratio,
            fog: R::c(0.0),
            pressure_pa,
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

    /// The same gas with fog in it, which takes no room and changes no property but the heat.
    #[inline]
    fn with_fog(self, fog: R) -> Self {
        let cp_dry = self.cp_dry + fog * CP_WATER;
        let enthalpy = self.enthalpy + fog * moist_air::liquid_enthalpy_j_kg(self.temp_k);
        Air { fog, cp_dry, enthalpy, ..self }
    }

    /// Relative humidity, 0..1, over water, at `total_pa`.
    #[inline]
    pub fn relative_humidity(&self, total_pa: f64) -> R {
        self.vapour_pa / moist_air::saturation_in_air_pa(self.temp_k, total_pa)
    }

    /// The same state as constants of another number type.
    pub fn lift<Q: Real>(&self) -> Air<Q> {
        let c = |x: R| Q::c(x.val());
        Air {
            temp_k: c(self.temp_k),
            ratio: c(self.ratio),
            fog: c(self.fog),
            pressure_pa: c(self.pressure_pa),
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
    /// Heat capacity of the gas and its fog at constant pressure \[J/K\].
    pub capacity: R,
    /// The same at constant volume \[J/K\].
    pub capacity_v: R,
}

impl Zone {
    /// The zone's air from the amounts in `y`. Its heat is the internal energy and `total_pa`, the pressure
    /// of the room, times the volume: the enthalpy, as long as the gas has that pressure. Its humidity and
    /// densities are those at the pressure that the gas itself has.
    #[inline]
    pub fn air<R: Real>(&self, y: &[R], total_pa: f64) -> ZoneAir<R> {
        let heat = y[self.gas.heat.0.index(0)];
        let m_v = y[self.gas.water.0.index(0)];
        let m_a = y[self.gas.dry.0.index(0)];
        let m_f = y[self.gas.fog.0.index(0)];
        let capacity = m_a * CP_AIR + m_v * CP_VAPOUR + m_f * CP_WATER;
        let moles = m_a * R_AIR + m_v * R_VAPOUR;
        let capacity_v = capacity - moles;
        // heat = capacity t + m_v L - (moles T - p V), solved for T = t + 273.15 K.
        let excess_at_zero_c = moles * ZERO_CELSIUS_K - total_pa * self.volume_m3;
        let temp_k = (heat - m_v * LATENT_0C + excess_at_zero_c) / capacity_v + ZERO_CELSIUS_K;
        let pressure_pa = moles * temp_k / self.volume_m3;
        let air = Air::derive(temp_k, m_v / m_a, pressure_pa).with_fog(m_f / m_a);
        ZoneAir { air, moles, capacity, capacity_v }
    }
}

/// Net rates of a body of air: heat \[W\], vapour, dry air and fog \[kg/s\].
#[derive(Clone, Copy, Debug)]
pub struct Net<R> {
    /// Heat.
    pub heat_w: R,
    /// Vapour.
    pub vapour: R,
    /// Dry air.
    pub dry: R,
    /// Fog.
    pub fog: R,
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

    /// Volume rate times pressure \[W\] that must leave the zone for rates already posted to it, if its
    /// pressure shall not rise: `(m_a' R_a + m_v' R_v) T + n T'`, where n T' is that at constant pressure.
    #[inline]
    pub fn surplus(&self, net: Net<R>) -> R {
        let Net { heat_w, vapour, dry, fog } = net;
        let t_c = self.air.temp_k - ZERO_CELSIUS_K;
        let carried = (dry * CP_AIR + vapour * CP_VAPOUR + fog * CP_WATER) * t_c;
        let warming = heat_w - carried - vapour * LATENT_0C;
        (dry * R_AIR + vapour * R_VAPOUR) * self.air.temp_k + self.moles * warming / self.capacity
    }

    /// How far the pressure of the gas is above `total_pa` \[Pa\].
    #[inline]
    pub fn excess(&self, total_pa: f64) -> R {
        self.air.pressure_pa - total_pa
    }

    /// Surplus \[W\] that the gas takes up for each pascal by which the box is to be above it, within
    /// [`PRESSURE_TIME_S`]. Of what raises the pressure of a rigid volume by the way of heat and gas
    /// let in, `c_v/c_p` is what it would have claimed at constant pressure.
    #[inline]
    pub fn spring(&self, volume_m3: f64) -> R {
        self.capacity_v * (volume_m3 / PRESSURE_TIME_S) / self.capacity
    }
}

/// Time within which the gas of a zone follows the pressure of the box \[s\]. The gas could follow at
/// the speed of sound; a second is short against the minutes of a switching cycle and against the
/// time that a box needs to let its pressure go where that matters (at 0.5 mm of hole a minute), and
/// long enough that a wide opening, which needs milliseconds, makes nothing stiff.
pub const PRESSURE_TIME_S: f64 = 1.0;
