//! Filament and winding alone against closed solutions, in a box that is warm from the start.

use crate::common::{bundled_text, close, column, replaced, run};
use drybench::model::materials::Polymer;
use drybench::physics::constants::R_VAPOUR;
use drybench::physics::moist_air::saturation_pressure_pa;
use drybench::physics::transport::vapour_diffusivity;
use drybench::units::k_from_c;

/// Thin slice of a spool of 1 kg, 5 of its 65 mm: so little that the air of the box stays dry.
const SLICE: f64 = 5.0 / 65.0;

/// Polylactide (Henry's law, constant diffusivity) at 50 °C from the start, in a dry room, its heat held.
fn boxed(more: &str) -> String {
    let text = bundled_text("spool_vented_box.toml");
    let text = replaced(&text, "\"85 °C\"", "\"50 °C\"");
    let text = replaced(&text, "\"45 %RH\"", "\"0 %RH\"");
    let text = replaced(&text, "[run]", "[start]\ntemperature = \"50 °C\"\n[run]");
    let held = "winding_conductivity = \"5 W/(m K)\"\nflange_conductance = \"200 W/(m2 K)\"\n\
                bore_conductance = \"200 W/(m2 K)\"\nsurface_coefficient = \"200 W/(m2 K)\"\nlayers = 20\nshells = 12\n\
                moisture = \"0.3 %\"";
    let text = replaced(&text, "\"1 kg\"", &format!("\"{:.5} g\"\nwidth = \"5 mm\"", 1e3 * SLICE));
    replaced(&text, "polymer  = \"ABS\"", &format!("polymer = \"PLA\"\n{held}\n{more}"))
}

/// Mean time that the water stays \[s\]: the area under its moisture over the moisture at the start.
fn mean_time_s(text: &str) -> f64 {
    let run = run(text);
    let c = column(&run, "spool_moisture_wt_pct");
    let steps = run.time_s.windows(2).zip(c.windows(2));
    let area: f64 = steps.map(|(t, c)| 0.5 * (c[0] + c[1]) * (t[1] - t[0])).sum();
    assert!(c.last().expect("a value") < &(1e-3 * c[0]), "it must be dry at the end");
    area / c[0]
}

#[test]
fn water_stays_in_a_filament_for_r2_over_8d() {
    // First moment of the series for a cylinder: R^2/(8 D), here of a filament in open gaps.
    let pla = Polymer::find("PLA").expect("in the table");
    let law = 0.875e-3_f64.powi(2) / (8.0 * pla.diffusion.dry(k_from_c(50.0)));
    let text = boxed("winding_diffusion = 1.0\nflange_mass_transfer = \"100 mm/s\"");
    // Box air that is not quite dry and gaps add 3 %, a spool below 50 °C by the radiation to colder walls 3 %.
    close("mean time in the filament", mean_time_s(&text) / law, 1.0, 0.06);
}

#[test]
fn water_stays_in_the_gaps_as_in_a_hollow_cylinder_with_a_source_everywhere() {
    // With instant filaments the winding is a ring, closed inside, whose vapour meets dry air outside. The
    // mean time is that of steady diffusion out of a hollow cylinder with an even source: area-weighted
    // mean of (b^2 - r^2)/4 - a^2/2 ln(b/r), over D_pack.
    let pla = Polymer::find("PLA").expect("in the table");
    let t = k_from_c(50.0);
    let packed = pla.density * 0.76;
    let (a2, width) = (0.04_f64.powi(2), 0.065);
    let b2 = a2 + 1.0 / (packed * std::f64::consts::PI * width);
    let way = (0.25 * (b2 * b2 - a2 * a2) - a2 * (b2 - a2) + 0.5 * a2 * a2 * (b2 / a2).ln())
        / (2.0 * (b2 - a2));
    let slope = pla.sorption.content(0.1, t) / 0.1;
    let held = packed * slope * R_VAPOUR * t / saturation_pressure_pa(t);
    let law = way * held / (0.12 * vapour_diffusivity(t, 101_300.0));
    let text = boxed("diffusivity = 1e-8");
    close("mean time in the gaps", mean_time_s(&text) / law, 1.0, 0.05);
}
