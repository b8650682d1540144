//! A pad below its critical moisture: the wet front lies behind a dried depth.

use super::agreement::{Agreement, check};
use super::balance::{Case, water_of_part_g_h};
use drybench::physics::convection::{self, Facing, Length, Natural};
use drybench::physics::moist_air::saturation_pressure_pa;
use drybench::physics::sorption::FIBRES;
use drybench::physics::transport;
use drybench::units::k_from_c;

const PRESSURE_PA: f64 = 101_325.0;

/// Evaporation of the model's pad \[g/h\] in air as warm as it is, 65 °C and 30 %RH, with this
/// moisture (kg/kg, bound water included).
fn evaporation_g_h(moisture: f64, faces: usize, thickness_mm: f64) -> f64 {
    let paper = FIBRES.iter().find(|(n, _)| *n == "paper").expect("paper").1;
    let bound = paper.content(0.45, k_from_c(24.0));
    let dry_g = 3.0 / (1.0 + bound);
    let water_g = (moisture - bound) * dry_g;
    let vents = format!(
        "[vent.only]\nkind = \"hole\"\nzone = \"return\"\ndiameter = \"3 mm\"\nheight = \"70 mm\"\n\
         [load.pad]\nkind = \"wet_pad\"\nwater = \"{water_g} g\"\ndry_mass = \"3 g\"\nsize = [\"50 mm\", \
         \"50 mm\", \"{thickness_mm} mm\"]\nfaces = {faces}\nzone = \"return\"\nair_speed = \"1 m/s\"\n\
         critical_moisture = 0.8\nvapour_resistance = 3\n"
    );
    let mut case = Case::reference(0.0, &vents);
    case.inside = (65.0, 30.0);
    water_of_part_g_h(&case.build(0.0), "load.pad")
}

/// Mass film of that pad \[m/s\] and the diffusivity \[m2/s\].
fn film_and_diffusivity() -> (f64, f64) {
    let mean_k = k_from_c(65.0);
    let y = 0.65 * saturation_pressure_pa(mean_k) / PRESSURE_PA;
    let gas = transport::mixture(mean_k, y, PRESSURE_PA);
    let d = transport::vapour_diffusivity(mean_k, PRESSURE_PA);
    let still =
        Natural::new(0.0, mean_k, PRESSURE_PA).coefficient(Facing::Sideways, &Length::new(0.05));
    (convection::plate(&gas, d, still, 1.0, 0.05, 1.0).1, d)
}

pub fn agreements() -> Vec<Agreement> {
    let mut a = Agreement::percent(
        "evaporation behind a dried depth",
        "moisture 0.3..0.95 of the critical",
        "receding front, 1/(1 + h_m mu s/D); Keey 1978, from memory",
        0.1,
    )
    .remark("Over that of the wet surface, at one temperature of pad and air.");
    let (h_m, d) = film_and_diffusivity();
    for (faces, thickness_mm) in [(2, 4.0), (1, 2.0), (1, 4.0)] {
        let wet = evaporation_g_h(1.5, faces, thickness_mm);
        for share in [0.3, 0.5, 0.75, 0.95] {
            let ours = evaporation_g_h(0.8 * share, faces, thickness_mm) / wet;
            let depth_m = 1e-3 * thickness_mm / faces as f64 * (1.0 - share);
            let theirs = 1.0 / (1.0 + h_m * 3.0 * depth_m / d);
            a.row(format!("{share}, {faces} faces of {thickness_mm} mm"), ours, theirs);
        }
    }
    vec![a]
}

#[test]
fn a_pad_without_thickness_stays_wet_at_its_surface() {
    let wet = evaporation_g_h(1.5, 2, 0.0);
    assert!((evaporation_g_h(0.4, 2, 0.0) / wet - 1.0).abs() < 1e-4);
}

#[test]
fn receding_fronts_agree() {
    check(&agreements());
}
