//! Saturation pressure, latent heat and saturated vapour against IAPWS and Hyland-Wexler.

use super::agreement::{Agreement, check};
use super::data_file::records;
use drybench::physics::moist_air;
use drybench::units::k_from_c;

const DATA: &str = include_str!("data/saturation.csv");

fn fill(a: &mut Agreement, quantity: &str, range: (f64, f64), ours: impl Fn(f64) -> f64) {
    for r in records(DATA).iter().filter(|r| r.text("quantity") == quantity) {
        let t = r.num("temp_c");
        if t >= range.0 && t <= range.1 {
            a.row(format!("{t} °C"), ours(k_from_c(t)), r.num("value"));
        }
    }
}

pub fn agreements() -> Vec<Agreement> {
    let water = moist_air::saturation_pressure_pa::<f64>;
    let ice = moist_air::saturation_pressure_ice_pa;
    let iapws = "IAPWS-95 by CoolProp 8.0.0";
    // Hyland and Wexler fitted other data than IAPWS-95; 0.022 % is the known gap of the two.
    let mut a = Agreement::percent("saturation pressure over water", "0..100 °C", iapws, 0.03);
    fill(&mut a, "psat_iapws95", (0.0, 100.0), water);
    let mut b = Agreement::percent(
        "saturation pressure over water",
        "0..100 °C",
        "IAPWS-IF97 by iapws 1.5.5",
        0.03,
    );
    fill(&mut b, "psat_if97", (0.0, 100.0), water);
    // The same equation with the same coefficients: only their printed digits differ.
    let mut c = Agreement::percent(
        "saturation pressure over water, same equation",
        "0..100 °C",
        "PsychroLib 2.5.0",
        1e-6,
    );
    fill(&mut c, "psat_hyland_wexler", (0.005, 100.0), water);
    // 0.021 % is the known gap between Hyland-Wexler and IAPWS R14-08 at -20 °C.
    let mut d = Agreement::percent(
        "saturation pressure over ice",
        "-43..0 °C",
        "IAPWS R14-08 by iapws 1.5.5",
        0.05,
    );
    fill(&mut d, "psub_iapws_r14", (-50.0, 0.0), ice);
    let mut e = Agreement::percent(
        "saturation pressure over ice, same equation",
        "-20..-2 °C",
        "PsychroLib 2.5.0",
        1e-6,
    );
    fill(&mut e, "psub_hyland_wexler", (-50.0, -1.0), ice);
    let mut all = vec![a, b, c, d, e];
    all.extend(energies(iapws));
    all
}

fn energies(iapws: &'static str) -> [Agreement; 4] {
    let mut cool = Agreement::percent("latent heat of water", "0..50 °C", iapws, 0.12).remark(
        "Constant specific heats make the latent heat 0.12 % too large at 50 °C, 0.3 % at \
             80 °C and 0.5 % at 100 °C.",
    );
    fill(&mut cool, "latent", (0.0, 50.0), moist_air::latent_heat_j_kg);
    let mut hot = Agreement::percent("latent heat of water", "50..100 °C", iapws, 0.55);
    fill(&mut hot, "latent", (50.0, 100.0), moist_air::latent_heat_j_kg);
    // Real vapour is denser than an ideal gas, by its compressibility factor of 0.985 at 100 °C.
    let mut vapour = Agreement::percent("density of saturated vapour", "0..100 °C", iapws, 1.6)
        .remark("The model's vapour is an ideal gas: 0.5 % too thin at 55 °C, 1.5 % at 100 °C.");
    fill(&mut vapour, "vapour_density", (0.0, 100.0), |k| {
        moist_air::vapour_density_kg_m3(moist_air::saturation_pressure_pa(k), k)
    });
    let mut cp = Agreement::percent("specific heat of liquid water", "0..100 °C", iapws, 0.85)
        .remark("A constant 4186 J/(kg K); liquid water itself varies from 4178 to 4220.");
    fill(&mut cp, "cp_liquid", (0.0, 100.0), |k| {
        moist_air::liquid_enthalpy_j_kg(k + 0.5) - moist_air::liquid_enthalpy_j_kg(k - 0.5)
    });
    [cool, hot, vapour, cp]
}

#[test]
fn saturation_agrees() {
    check(&agreements());
}
