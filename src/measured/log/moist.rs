//! Moist-air columns beside each pair of temperature and humidity.

use super::sink::Column;
use crate::measured::Quantity;
use crate::physics::moist_air::{humidity_ratio, saturation_any_in_air_pa, vapour_density_kg_m3};
use crate::physics::psychrometrics::DewPoint;

/// What follows from a temperature and a relative humidity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moist {
    /// Dew point, frost point below 0 °C \[K\]; NaN for dry air.
    pub dew_point_k: f64,
    /// Humidity ratio \[kg/kg dry air\].
    pub humidity_ratio: f64,
    /// Vapour density \[kg/m3\].
    pub vapour_density_kg_m3: f64,
}

impl Moist {
    /// All three NaN: nothing follows from a missing reading.
    pub const NONE: Self =
        Self { dew_point_k: f64::NAN, humidity_ratio: f64::NAN, vapour_density_kg_m3: f64::NAN };

    /// Of air at `temp_k` with relative humidity `rh` (0..1; a sensor may show a little more) and
    /// pressure `total_pa`; [`Moist::NONE`] where one is missing or such air would boil.
    #[must_use]
    pub fn of(temp_k: f64, rh: f64, total_pa: f64) -> Self {
        Self::with(&mut DewPoint::new(total_pa), temp_k, rh)
    }

    /// The same for many readings at the pressure of `dew_point`.
    #[must_use]
    pub fn with(dew_point: &mut DewPoint, temp_k: f64, rh: f64) -> Self {
        let total_pa = dew_point.total_pa();
        let vapour_pa = rh * saturation_any_in_air_pa(temp_k, total_pa);
        if !(vapour_pa >= 0.0 && vapour_pa < 0.999 * total_pa) {
            return Self::NONE;
        }
        Self {
            dew_point_k: dew_point.of(vapour_pa).unwrap_or(f64::NAN),
            humidity_ratio: humidity_ratio(vapour_pa, total_pa),
            vapour_density_kg_m3: vapour_density_kg_m3(vapour_pa, temp_k),
        }
    }
}

/// Sensors that have both a temperature and a humidity: their name and the places of both in a row.
#[must_use]
pub fn pairs(columns: &[Column]) -> Vec<(String, usize, usize)> {
    let place = |sensor: &str, quantity: Quantity| {
        columns.iter().position(|c| c.sensor == sensor && c.quantity == quantity)
    };
    let humid = columns.iter().enumerate();
    humid
        .filter(|(_, c)| c.quantity == Quantity::RelativeHumidity)
        .filter_map(|(rh, c)| {
            let temp = place(&c.sensor, Quantity::Temperature)?;
            Some((c.sensor.clone(), temp, rh))
        })
        .collect()
}
