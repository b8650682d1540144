//! A state of moist air as a plain-text table.

use std::fmt::Write;

use super::text::{left, plain, right};
use crate::physics::psychrometrics::AirState;
use crate::text::Csv;
use crate::units::c_from_k;

/// Significant digits in CSV: enough to type a value back, short of the noise of kelvin to Celsius.
const DIGITS: usize = 10;

/// Rows of one or two states (before and after heating).
pub fn table(states: &[(&str, AirState)]) -> String {
    let mut out = String::new();
    if states.len() > 1 {
        let heads: String = states.iter().map(|(name, _)| right(name, 14)).collect();
        let _ = writeln!(out, "{}{heads}", left("", 30));
    }
    let mut row = |label: &str, unit: &str, value: &dyn Fn(&AirState) -> String| {
        let cells: String = states.iter().map(|(_, s)| right(&value(s), 14)).collect();
        let _ = writeln!(out, "{}{cells}  {unit}", left(label, 30));
    };
    let celsius = |k: f64| format!("{:.2}", c_from_k(k));
    row("temperature", "°C", &|s| celsius(s.temp_k));
    row("relative humidity", "%RH", &|s| format!("{:.2}", 100.0 * s.relative_humidity));
    row("dew point", "°C", &|s| s.dew_point_k.map_or_else(|| "none".into(), celsius));
    row("wet bulb", &wet_bulb_unit(states), &|s| celsius(s.wet_bulb_k));
    row("humidity ratio", "g/kg dry air", &|s| format!("{:.3}", 1e3 * s.humidity_ratio));
    row("vapour density", "g/m³", &|s| format!("{:.3}", 1e3 * s.vapour_density_kg_m3));
    row("vapour pressure", "Pa", &|s| format!("{:.1}", s.vapour_pa));
    row("saturation pressure", "Pa", &|s| format!("{:.1}", s.saturation_pa));
    row("density", "kg/m³", &|s| format!("{:.4}", s.density_kg_m3));
    row("volume per dry air", "m³/kg", &|s| format!("{:.4}", s.volume_m3_kg));
    row("enthalpy per dry air", "kJ/kg", &|s| format!("{:.2}", 1e-3 * s.enthalpy_j_kg));
    row("pressure", "hPa", &|s| format!("{:.2}", 1e-2 * s.total_pa));
    out
}

/// What covers the wet bulb is said where it is ice.
fn wet_bulb_unit(states: &[(&str, AirState)]) -> String {
    let mut over: Vec<&str> = states.iter().map(|(_, s)| s.wet_bulb_over).collect();
    over.dedup();
    if over == ["water"] { "°C".into() } else { format!("°C, over {}", over.join(" and ")) }
}

/// One row per state as CSV.
pub fn csv(states: &[(&str, AirState)]) -> String {
    let mut out = Csv::with_head([
        "state",
        "temperature_C",
        "relative_humidity_pct",
        "dew_point_C",
        "wet_bulb_C",
        "wet_bulb_over",
        "humidity_ratio_g_kg",
        "vapour_density_g_m3",
        "vapour_pressure_Pa",
        "saturation_pressure_Pa",
        "density_kg_m3",
        "volume_m3_kg",
        "enthalpy_kJ_kg",
        "pressure_Pa",
    ]);
    for (name, s) in states {
        let dew = s.dew_point_k.map_or(f64::NAN, c_from_k);
        let cells = [c_from_k(s.temp_k), 100.0 * s.relative_humidity, dew, c_from_k(s.wet_bulb_k)];
        let more = [
            1e3 * s.humidity_ratio,
            1e3 * s.vapour_density_kg_m3,
            s.vapour_pa,
            s.saturation_pa,
            s.density_kg_m3,
            s.volume_m3_kg,
            1e-3 * s.enthalpy_j_kg,
            s.total_pa,
        ];
        let text = |v: &f64| if v.is_finite() { plain(*v, DIGITS) } else { String::new() };
        let (first, rest) = (cells.iter().map(text), more.iter().map(text));
        let over = s.wet_bulb_over.to_owned();
        out.row(std::iter::once((*name).to_owned()).chain(first).chain([over]).chain(rest));
    }
    out.text()
}
