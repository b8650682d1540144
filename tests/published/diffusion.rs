//! Vapour through a single hole by diffusion, in a model whose dry air is at rest.

use super::agreement::{Agreement, check};
use super::balance::{Case, water_of_part_g_h};
use super::data_file::records;
use drybench::physics::convection::stefan_flux;
use drybench::units::k_from_c;

const DATA: &str = include_str!("data/diffusion.csv");
const OWN: &str = "independent calculation";

pub fn agreements() -> Vec<Agreement> {
    let new = |name| Agreement::percent(name, "1..8 mm, 65 °C 50 %RH", OWN, 3.0);
    let mut still = new("diffusion through a hole, still inside");
    let mut stirred = new("diffusion through a hole, stirred inside");
    for r in records(DATA) {
        let d = r.text("d_mm");
        for (a, column, circulation) in
            [(&mut still, "still_g_h", 0.0), (&mut stirred, "stirred_g_h", 8.0)]
        {
            // Twice the cross_flow_factor is twice the diffusion, and leaves the counterflow as it is.
            let ours = water_g_h(d, 2.0, circulation) - water_g_h(d, 1.0, circulation);
            a.printed(format!("{d} mm"), ours, r.text(column), 1.0);
        }
    }
    vec![still, stirred, stefan_tube()]
}

/// Water through one hole at this multiple of its diffusion.
fn water_g_h(d_mm: &str, cross_flow_factor: f64, circulation_l_s: f64) -> f64 {
    let vents = format!(
        "[vent.only]\nkind = \"hole\"\nzone = \"return\"\ndiameter = \"{d_mm} mm\"\nheight = \"70 \
         mm\"\ncross_flow_factor = {cross_flow_factor:?}"
    );
    let mut case = Case::reference(0.0, &vents);
    case.circulation_l_s = circulation_l_s;
    water_of_part_g_h(&case.balanced(), "vent.only")
}

/// A tube of 35 mm, 0.5 m above water of 20 °C, 80 kPa, twelve days, with the diffusivity of
/// Massman 1998.
fn stefan_tube() -> Agreement {
    let (k, total) = (k_from_c(20.0), 80e3);
    let d = 0.2178e-4 * (k / drybench::units::ZERO_CELSIUS_K).powf(1.81) * 101_325.0 / total;
    let wet = drybench::physics::moist_air::saturation_pressure_pa(k);
    let flux = stefan_flux(d / 0.5, k, 0.0, wet, total);
    let area = std::f64::consts::PI / 4.0 * 0.035_f64.powi(2);
    let mut a = Agreement::percent(
        "evaporation from a Stefan tube",
        "20 °C, 80 kPa, 12 days",
        "Som, ex. 12.3, recomputed",
        1.0,
    );
    a.row("1.09751 g", flux * area * 12.0 * 86_400.0 * 1e3, 1.09751);
    a
}

#[test]
fn diffusion_agrees() {
    check(&agreements());
}
