//! Moist air as a mixture of two ideal gases with constant specific heats.

use super::constants::{
    CP_AIR, CP_VAPOUR, CP_WATER, LATENT_0C, MOLAR_RATIO, R_AIR, R_VAPOUR, STANDARD_PRESSURE,
};
use crate::real::{Dual, Real};
use crate::units::ZERO_CELSIUS_K;

/// Saturation pressure of pure water vapour over liquid water \[Pa\].
///
/// In air it is larger: see [`saturation_in_air_pa`].
///
/// ```text
/// ln p = c1/T + c2 + c3 T + c4 T^2 + c5 T^3 + c6 ln T          T in K, p in Pa
/// ```
/// Valid 273.15 to 473.15 K; within 0.03 % of the steam tables from 0 to 100 °C.
///
/// Source: \[HylandWexler1983\], as given in \[ASHRAE2017\], ch. 1.
/// Checked in: `tests/published/saturation.rs`.
#[inline]
pub fn saturation_pressure_pa<R: Real>(temp_k: R) -> R {
    let t = temp_k;
    let cubic = (t * -1.445_209_3e-8 + 4.176_476_8e-5) * t - 4.864_023_9e-2;
    (t.recip_of(-5.800_220_6e3) + cubic * t + 1.391_499_3 + t.ln() * 6.545_967_3).exp()
}

/// Saturation pressure of water vapour over ice \[Pa\].
///
/// Valid 173.15 to 273.15 K. Source: \[HylandWexler1983\], as given in \[ASHRAE2017\], ch. 1.
/// Checked in: `tests/published/saturation.rs`.
pub fn saturation_pressure_ice_pa(temp_k: f64) -> f64 {
    let t = temp_k;
    let quartic = 6.392_524_7
        + t * (-9.677_843_0e-3
            + t * (6.221_570_1e-7 + t * (2.074_782_5e-9 + t * -9.484_024_0e-13)));
    (-5.674_535_9e3 / t + quartic + 4.163_501_9 * t.ln()).exp()
}

/// Partial pressure of vapour \[Pa\] in air of pressure `total_pa` that is saturated over liquid water.
///
/// Everything that asks for saturation in air asks here: relative humidity, dew point and the faces of
/// the model. Worked out in one direction only, whatever number of them `R` carries.
#[inline]
pub fn saturation_in_air_pa<R: Real>(temp_k: R, total_pa: f64) -> R {
    let t = Dual::<1>::seeded(temp_k.val(), 0);
    let pure = saturation_pressure_pa(t);
    let wet = pure * enhancement(t, pure, total_pa);
    temp_k.chain(wet.v, wet.d[0])
}

/// The same over ice; see [`saturation_pressure_ice_pa`] for its range.
pub fn saturation_over_ice_in_air_pa(temp_k: f64, total_pa: f64) -> f64 {
    let pure = saturation_pressure_ice_pa(temp_k);
    pure * enhancement(temp_k, pure, total_pa)
}

/// Over liquid water, of a plain number: as [`saturation_in_air_pa`] without its derivative, in half of the time.
pub fn saturation_over_water_in_air_pa(temp_k: f64, total_pa: f64) -> f64 {
    let pure = saturation_pressure_pa(temp_k);
    pure * enhancement(temp_k, pure, total_pa)
}

/// The same over ice below 0 °C and over liquid water from there on.
///
/// This is the convention of psychrometric tables; a relative humidity reported by a weather
/// station below 0 °C is usually over liquid water instead.
pub fn saturation_any_in_air_pa(temp_k: f64, total_pa: f64) -> f64 {
    if temp_k < ZERO_CELSIUS_K {
        saturation_over_ice_in_air_pa(temp_k, total_pa)
    } else {
        saturation_over_water_in_air_pa(temp_k, total_pa)
    }
}

/// Within this of the boiling point the enhancement ends in a parabola \[Pa\]. Our choice.
const BOILING_ROUNDING_PA: f64 = 500.0;

/// Enhancement factor: vapour pressure of saturated air over that of pure water (or ice), `pure_pa`.
///
/// ```text
/// f = 1 + (p - p_ws)/p (a u p_ws + (b + c u)(p - p_ws)),      u = (273.15 K/T)^5
/// ```
/// The form follows from the second virial coefficients, which fall with about T^-5: what air does to
/// the vapour (b, c) and what the vapour does to itself (a). Fitted by us to CoolProp 8.0.0, whose source
/// is \[HerrmannKretzschmarGatley2009\]: within 0.023 % from -40 to 95 °C and 60 to 110 kPa. From the
/// boiling point on it is 1. Checked in: `tests/published/moist_air.rs`.
#[inline]
fn enhancement<R: Real>(temp_k: R, pure_pa: R, total_pa: f64) -> R {
    let air_pa = R::from_sub(total_pa, pure_pa).rounded_positive(BOILING_ROUNDING_PA);
    let inverse = temp_k.recip_of(ZERO_CELSIUS_K);
    let u = inverse.sq().sq() * inverse;
    let own = u * pure_pa * 7.10e-7;
    let mixed = (u * 1.44e-8 + 2.18e-8) * air_pa;
    air_pa * (own + mixed) / total_pa + 1.0
}

/// Humidity ratio \[kg of vapour per kg of dry air\] from the vapour's partial pressure.
///
/// `w = (M_w/M_a) p_v / (p - p_v)`; both pressures in Pa.
#[inline]
pub fn humidity_ratio<R: Real>(vapour_pa: R, total_pa: f64) -> R {
    vapour_pa * MOLAR_RATIO / R::from_sub(total_pa, vapour_pa)
}

/// Partial pressure of the vapour \[Pa\] from the humidity ratio: the inverse of [`humidity_ratio`].
pub fn vapour_pressure_pa(humidity_ratio: f64, total_pa: f64) -> f64 {
    total_pa * humidity_ratio / (MOLAR_RATIO + humidity_ratio)
}

/// Density of water vapour \[kg/m3\] from its partial pressure \[Pa\] and the temperature \[K\].
pub fn vapour_density_kg_m3(vapour_pa: f64, temp_k: f64) -> f64 {
    vapour_pa / (R_VAPOUR * temp_k)
}

/// Vapour density \[kg/m3\] that a sensor's temperature \[K\] and relative humidity (0..1) mean.
///
/// Taken at the standard pressure, because few logs come with theirs: 60 kPa make it 0.2 % smaller, a
/// tenth of what a humidity sensor is sure of.
pub fn sensed_vapour_density_kg_m3(temp_k: f64, relative_humidity: f64) -> f64 {
    let full_pa = saturation_in_air_pa(temp_k, STANDARD_PRESSURE);
    vapour_density_kg_m3(relative_humidity * full_pa, temp_k)
}

/// Density of moist air \[kg/m3\].
pub fn density_kg_m3(temp_k: f64, vapour_pa: f64, total_pa: f64) -> f64 {
    (total_pa - vapour_pa) / (R_AIR * temp_k) + vapour_pa / (R_VAPOUR * temp_k)
}

/// Enthalpy of water vapour \[J/kg\] at `temp_k`, counted from liquid water at 0 °C.
#[inline]
pub fn vapour_enthalpy_j_kg<R: Real>(temp_k: R) -> R {
    (temp_k - ZERO_CELSIUS_K) * CP_VAPOUR + LATENT_0C
}

/// Enthalpy of liquid water \[J/kg\] at `temp_k`, counted from 0 °C.
#[inline]
pub fn liquid_enthalpy_j_kg<R: Real>(temp_k: R) -> R {
    (temp_k - ZERO_CELSIUS_K) * CP_WATER
}

/// Enthalpy of moist air \[J per kg of dry air\], counted from dry air and liquid water at 0 °C.
#[inline]
pub fn enthalpy_j_kg<R: Real>(temp_k: R, humidity_ratio: R) -> R {
    (temp_k - ZERO_CELSIUS_K) * CP_AIR + humidity_ratio * vapour_enthalpy_j_kg(temp_k)
}

/// Heat of evaporation of free water \[J/kg\] at `temp_k`, as the model's enthalpies imply it.
pub fn latent_heat_j_kg(temp_k: f64) -> f64 {
    vapour_enthalpy_j_kg(temp_k) - liquid_enthalpy_j_kg(temp_k)
}

/// Pressure of the standard atmosphere \[Pa\] at an altitude \[m\], -1000 to 11 000 m.
///
/// Source: \[ISO2533\].
pub fn standard_atmosphere_pa(altitude_m: f64) -> f64 {
    STANDARD_PRESSURE * (1.0 - 2.255_77e-5 * altitude_m).powf(5.255_88)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn humidity_ratio_and_vapour_pressure_are_inverses() {
        for p_v in [0.0, 10.0, 2_000.0, 40_000.0] {
            let w = humidity_ratio(p_v, 101_325.0);
            assert!((vapour_pressure_pa(w, 101_325.0) - p_v).abs() < 1e-9 * (1.0 + p_v));
        }
    }

    #[test]
    fn saturation_in_air_carries_its_exact_slope_and_ends_at_boiling() {
        let (t, p, step) = (ZERO_CELSIUS_K + 60.0, 101_325.0, 1e-3);
        let slope = saturation_in_air_pa(Dual::<3>::seeded(t, 2), p).d[2];
        let by_steps = saturation_in_air_pa(t + step, p) - saturation_in_air_pa(t - step, p);
        assert!((slope / (by_steps / (2.0 * step)) - 1.0).abs() < 1e-8);
        let hot = ZERO_CELSIUS_K + 120.0;
        assert_eq!(saturation_in_air_pa(hot, p), saturation_pressure_pa(hot));
    }

    #[test]
    fn humid_air_is_lighter_than_dry_air() {
        assert!(density_kg_m3(320.0, 5_000.0, 1e5) < density_kg_m3(320.0, 0.0, 1e5));
    }

    #[test]
    fn ice_and_water_meet_at_the_triple_point() {
        let t = ZERO_CELSIUS_K + 0.01;
        assert!((saturation_pressure_ice_pa(t) / saturation_pressure_pa(t) - 1.0).abs() < 1e-4);
    }

    #[test]
    fn evaporating_a_gram_takes_0_66_watt_hours_at_50_c() {
        let wh_g = latent_heat_j_kg(ZERO_CELSIUS_K + 50.0) / 3.6e6;
        assert!((wh_g - 0.662).abs() < 0.001, "{wh_g}");
    }
}
