//! The moist-air calculator: any one humidity measure with the temperature gives all the others.

use serde::Serialize;

use super::constants::{CP_AIR, CP_VAPOUR, LATENT_0C};
use super::moist_air as air;
use crate::physics::root::bisect;
use crate::units::{ZERO_CELSIUS_K, c_from_k};

/// Specific heat of ice \[J/(kg K)\]. Source: \[ASHRAE2017\], ch. 1.
const CP_ICE: f64 = 2100.0;
/// Heat of fusion of ice at 0 °C \[J/kg\]. Source: \[ASHRAE2017\], ch. 1.
const FUSION_0C: f64 = 0.333e6;
/// Specific heat of liquid water in the psychrometer equation \[J/(kg K)\]. Source: \[ASHRAE2017\].
const CP_WATER: f64 = super::constants::CP_WATER;

/// One way of saying how humid air is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Humidity {
    /// Relative humidity, 0..1, over water (over ice below 0 °C).
    Relative(f64),
    /// Dew point (frost point below 0 °C) \[K\].
    DewPoint(f64),
    /// Thermodynamic wet-bulb temperature \[K\].
    WetBulb(f64),
    /// Humidity ratio \[kg/kg dry air\].
    Ratio(f64),
}

/// Why a state of moist air cannot be.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum AirError {
    /// The air would hold more vapour than saturation allows.
    #[error(
        "the air would be above saturation: {vapour_pa:.0} Pa of vapour, saturation is {saturation_pa:.0} Pa"
    )]
    AboveSaturation {
        /// Partial pressure asked for \[Pa\].
        vapour_pa: f64,
        /// Saturation pressure at the temperature \[Pa\].
        saturation_pa: f64,
    },
    /// The wet bulb lies so low that the air would hold less than no vapour.
    #[error("the wet bulb is too low for this temperature: even bone-dry air has {lowest_c:.2} °C")]
    WetBulbTooLow {
        /// Wet bulb of dry air at this temperature and pressure \[°C\].
        lowest_c: f64,
    },
    /// Saturation pressure reaches the total pressure: water boils.
    #[error("water boils here: saturation pressure {saturation_pa:.0} Pa, total {total_pa:.0} Pa")]
    Boiling {
        /// Saturation pressure \[Pa\].
        saturation_pa: f64,
        /// Total pressure \[Pa\].
        total_pa: f64,
    },
}

/// A state of moist air with everything that follows from it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AirState {
    /// Dry-bulb temperature \[K\].
    pub temp_k: f64,
    /// Total pressure \[Pa\].
    pub total_pa: f64,
    /// Partial pressure of the vapour \[Pa\].
    pub vapour_pa: f64,
    /// Vapour pressure of saturated air at the dry-bulb temperature \[Pa\].
    pub saturation_pa: f64,
    /// Relative humidity, 0..1.
    pub relative_humidity: f64,
    /// Dew point, or frost point below 0 °C \[K\]; absent for dry air.
    pub dew_point_k: Option<f64>,
    /// Thermodynamic wet-bulb temperature \[K\].
    pub wet_bulb_k: f64,
    /// What covers the wet bulb: `water`, or `ice` below 0 °C.
    pub wet_bulb_over: &'static str,
    /// Humidity ratio \[kg/kg dry air\].
    pub humidity_ratio: f64,
    /// Vapour density (absolute humidity) \[kg/m3\].
    pub vapour_density_kg_m3: f64,
    /// Density of the mixture \[kg/m3\].
    pub density_kg_m3: f64,
    /// Volume per kg of dry air \[m3/kg\].
    pub volume_m3_kg: f64,
    /// Enthalpy per kg of dry air, from 0 °C \[J/kg\].
    pub enthalpy_j_kg: f64,
}

/// All properties of moist air at `temp_k` and `total_pa` from one measure of its humidity.
///
/// # Errors
/// [`AirError`] where such air cannot exist (above saturation, boiling, wet bulb too low).
pub fn air_state(temp_k: f64, humidity: Humidity, total_pa: f64) -> Result<AirState, AirError> {
    let saturation_pa = air::saturation_any_in_air_pa(temp_k, total_pa);
    let vapour_pa = match humidity {
        Humidity::Relative(share) => share * saturation_pa,
        Humidity::DewPoint(dew_k) => air::saturation_any_in_air_pa(dew_k, total_pa),
        Humidity::Ratio(w) => air::vapour_pressure_pa(w, total_pa),
        Humidity::WetBulb(wet_k) => {
            let w = ratio_from_wet_bulb(temp_k, wet_k, total_pa)?;
            air::vapour_pressure_pa(w, total_pa)
        }
    };
    // One part in 10^9 of slack, so that "100 %" typed in another measure is not refused.
    if vapour_pa > saturation_pa * (1.0 + 1e-9) {
        return Err(AirError::AboveSaturation { vapour_pa, saturation_pa });
    }
    // Saturated air at the boiling point has no dry air left to refer to.
    if vapour_pa >= 0.999 * total_pa {
        return Err(AirError::Boiling { saturation_pa, total_pa });
    }
    let humidity_ratio = air::humidity_ratio(vapour_pa, total_pa);
    let density_kg_m3 = air::density_kg_m3(temp_k, vapour_pa, total_pa);
    let wet_bulb_k = wet_bulb_k(temp_k, humidity_ratio, total_pa);
    Ok(AirState {
        temp_k,
        total_pa,
        vapour_pa,
        saturation_pa,
        relative_humidity: vapour_pa / saturation_pa,
        dew_point_k: dew_point_k(vapour_pa, total_pa),
        wet_bulb_k,
        wet_bulb_over: if wet_bulb_k < ZERO_CELSIUS_K { "ice" } else { "water" },
        humidity_ratio,
        vapour_density_kg_m3: air::vapour_density_kg_m3(vapour_pa, temp_k),
        density_kg_m3,
        volume_m3_kg: (1.0 + humidity_ratio) / density_kg_m3,
        enthalpy_j_kg: air::enthalpy_j_kg(temp_k, humidity_ratio),
    })
}

/// Temperature \[K\] at which the vapour would saturate (over ice below 0 °C); none for dry air.
///
/// Between 173.15 and 473.15 K; see [`DewPoint`].
pub fn dew_point_k(vapour_pa: f64, total_pa: f64) -> Option<f64> {
    DewPoint::new(total_pa).of(vapour_pa)
}

/// Dew points at one pressure of the air.
///
/// Secants on the logarithm of the saturation pressure, which is nearly straight over 1/T, to 1e-9 K. What depends on the
/// pressure alone is worked out once, and the search starts at the dew point before: readings of a log follow each other.
#[derive(Clone, Copy, Debug)]
pub struct DewPoint {
    total_pa: f64,
    /// Saturation at the ends of the range and at 0 °C [Pa].
    ends_pa: [f64; 2],
    freezing_pa: f64,
    /// The dew points before, over ice and over water [K].
    before_k: [f64; 2],
}

impl DewPoint {
    /// For air of pressure `total_pa`.
    #[must_use]
    pub fn new(total_pa: f64) -> Self {
        let saturation_pa = |t| air::saturation_any_in_air_pa(t, total_pa);
        let ends_pa = [ZERO_CELSIUS_K - 100.0, ZERO_CELSIUS_K + 200.0].map(saturation_pa);
        let before_k = [ZERO_CELSIUS_K; 2];
        Self { total_pa, ends_pa, freezing_pa: saturation_pa(ZERO_CELSIUS_K), before_k }
    }

    /// The pressure it is for \[Pa\].
    #[must_use]
    pub fn total_pa(&self) -> f64 {
        self.total_pa
    }

    /// Temperature \[K\] at which vapour of this pressure \[Pa\] would saturate; none outside of the range.
    pub fn of(&mut self, vapour_pa: f64) -> Option<f64> {
        if !(self.ends_pa[0]..=self.ends_pa[1]).contains(&vapour_pa) {
            return None;
        }
        let frozen = vapour_pa < self.freezing_pa;
        let ln_p = |t: f64| {
            let saturation_pa = if frozen {
                air::saturation_over_ice_in_air_pa(t, self.total_pa)
            } else {
                air::saturation_over_water_in_air_pa(t, self.total_pa)
            };
            saturation_pa.ln()
        };
        // Latent heat over gas constant: one step with it, then secants.
        let per_inverse = if frozen { -6_140.0 } else { -5_200.0 };
        let target = vapour_pa.ln();
        let start_k = self.before_k[usize::from(!frozen)];
        let (mut before, mut gap_before) = (1.0 / start_k, ln_p(start_k) - target);
        let mut inverse = before - gap_before / per_inverse;
        // Near the root a secant gains a factor of 100 or more a step, so that a step this small is the last:
        // 1e-12/K is 1e-7 K.
        const LAST: f64 = 1e-12;
        for _ in 0..20 {
            let gap = ln_p(1.0 / inverse) - target;
            let step = gap * (inverse - before) / (gap - gap_before);
            if !step.is_finite() || step == 0.0 {
                break;
            }
            (before, gap_before) = (inverse, gap);
            inverse -= step;
            if step.abs() < LAST {
                break;
            }
        }
        let found = 1.0 / inverse;
        self.before_k[usize::from(!frozen)] = found;
        Some(found)
    }
}

/// Thermodynamic wet-bulb temperature \[K\]: adiabatic saturation with water, with ice below 0 °C.
///
/// Solves `h(T, W) + (W_s - W) h_w = h_s(T_wb)` for the wet bulb. Around 0 °C some states have a
/// wet bulb over water and another over ice; the one over water is given. Source: \[ASHRAE2017\],
/// ch. 1. Checked in: `tests/published/moist_air.rs`.
pub fn wet_bulb_k(temp_k: f64, humidity_ratio: f64, total_pa: f64) -> f64 {
    // Above the temperature where saturated air would be almost all vapour no solution is needed.
    let boiling = bisect(ZERO_CELSIUS_K - 60.0, ZERO_CELSIUS_K + 120.0, |t| {
        air::saturation_any_in_air_pa(t, total_pa) < 0.999 * total_pa
    });
    let top = temp_k.min(boiling);
    let gap = |wet_k| humidity_ratio_of_wet_bulb(temp_k, wet_k, total_pa) - humidity_ratio;
    let drier = |wet_k| gap(wet_k) < 0.0;
    if top > ZERO_CELSIUS_K && gap(ZERO_CELSIUS_K) <= 0.0 {
        return bisect(ZERO_CELSIUS_K, top, drier);
    }
    bisect(ZERO_CELSIUS_K - 80.0, top.min(ZERO_CELSIUS_K), drier)
}

fn ratio_from_wet_bulb(temp_k: f64, wet_k: f64, total_pa: f64) -> Result<f64, AirError> {
    let saturation_pa = air::saturation_any_in_air_pa(wet_k, total_pa);
    if saturation_pa >= 0.999 * total_pa {
        return Err(AirError::Boiling { saturation_pa, total_pa });
    }
    if wet_k > temp_k {
        let dry_saturation = air::saturation_any_in_air_pa(temp_k, total_pa);
        return Err(AirError::AboveSaturation {
            vapour_pa: saturation_pa,
            saturation_pa: dry_saturation,
        });
    }
    let w = humidity_ratio_of_wet_bulb(temp_k, wet_k, total_pa);
    if w < 0.0 {
        let lowest_c = c_from_k(wet_bulb_k(temp_k, 0.0, total_pa));
        return Err(AirError::WetBulbTooLow { lowest_c });
    }
    Ok(w)
}

/// Humidity ratio of air at `temp_k` whose wet bulb is `wet_k`; increases with the wet bulb on
/// either side of 0 °C.
fn humidity_ratio_of_wet_bulb(temp_k: f64, wet_k: f64, total_pa: f64) -> f64 {
    let (t, wb) = (c_from_k(temp_k), c_from_k(wet_k));
    let w_s = air::humidity_ratio(air::saturation_any_in_air_pa(wet_k, total_pa), total_pa);
    // Enthalpy of the condensed phase that evaporates, J/kg.
    let h_w = if wb < 0.0 { CP_ICE * wb - FUSION_0C } else { CP_WATER * wb };
    let h_v = LATENT_0C + CP_VAPOUR * wb;
    (w_s * (h_v - h_w) - CP_AIR * (t - wb)) / (LATENT_0C + CP_VAPOUR * t - h_w)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_measure_leads_back_to_the_same_state() {
        for t in [-8.0, 3.0, 22.0, 50.0, 80.0, 99.0] {
            for rh in [0.05, 0.4, 0.95] {
                for p in [60e3, 101_325.0, 110e3] {
                    let k = ZERO_CELSIUS_K + t;
                    let Ok(a) = air_state(k, Humidity::Relative(rh), p) else { continue };
                    let dew = a.dew_point_k.expect("humid air has a dew point");
                    for h in [
                        Humidity::DewPoint(dew),
                        Humidity::WetBulb(a.wet_bulb_k),
                        Humidity::Ratio(a.humidity_ratio),
                    ] {
                        let b = air_state(k, h, p).expect("same state again");
                        let gap = (a.relative_humidity - b.relative_humidity).abs();
                        assert!(gap < 1e-7, "{t} °C {rh} {h:?}: {gap:e}");
                    }
                }
            }
        }
    }

    #[test]
    fn impossible_air_is_refused() {
        let k = ZERO_CELSIUS_K + 30.0;
        let p = 101_325.0;
        assert!(matches!(
            air_state(k, Humidity::DewPoint(k + 1.0), p),
            Err(AirError::AboveSaturation { .. })
        ));
        assert!(matches!(
            air_state(k, Humidity::WetBulb(k - 25.0), p),
            Err(AirError::WetBulbTooLow { .. })
        ));
        assert!(matches!(
            air_state(ZERO_CELSIUS_K + 99.0, Humidity::Relative(1.0), 90e3),
            Err(AirError::Boiling { .. })
        ));
    }
}
