//! A humidity sensor with a temperature beside it, as vapour pressure.

use super::data::{Common, Compared, Observed, vapour_pressure};
use crate::address::{Address, Quantity};

/// Where a sensor's temperature and relative humidity are both read, the humidity becomes a vapour
/// pressure with the uncertainty of both.
pub(super) fn humidity_to_pressure(observed: &mut [Observed]) {
    let column = |o: &Observed| match &o.target {
        Compared::Column(at) => Some(*at),
        Compared::Sum(_) | Compared::VapourPressure { .. } => None,
    };
    let temperatures: Vec<(Option<Address>, Observed)> =
        observed.iter().map(|o| (column(o), o.clone())).collect();
    for o in observed.iter_mut() {
        let is_humidity = |at: &Address| at.quantity == Quantity::RelativeHumidity;
        let Some(humidity) = column(o).filter(is_humidity) else { continue };
        let temperature = Address::new(humidity.place, Quantity::Temperature);
        let Some((_, beside)) = temperatures.iter().find(|(n, _)| *n == Some(temperature)) else {
            continue;
        };
        let Observed { values: t, u: u_t, common: errors, .. } = beside;
        let raw = o.values.clone();
        for i in 0..o.values.len() {
            let (rh, u_rh) = (raw[i], o.u[i]);
            let by_rh = vapour_pressure(t[i], u_rh);
            let by_t = vapour_pressure(t[i] + u_t[i], rh) - vapour_pressure(t[i], rh);
            o.values[i] = vapour_pressure(t[i], rh);
            o.u[i] = by_rh.hypot(by_t);
            for c in &mut o.common {
                c.by[i] *= vapour_pressure(t[i], 1.0);
            }
        }
        // A temperature read wrong makes the vapour pressure wrong.
        let of_pressure = |c: &Common| {
            let by = |i: usize| o.values[i] - vapour_pressure(t[i] - c.by[i], raw[i]);
            Common { by: (0..raw.len()).map(by).collect(), ..c.clone() }
        };
        let more: Vec<Common> = errors.iter().map(of_pressure).collect();
        o.common.extend(more);
        o.name = format!("{} as vapour pressure", o.name);
        o.unit = "Pa".into();
        o.target = Compared::VapourPressure { temperature, humidity };
    }
}
