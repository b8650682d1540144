//! Desiccant, granules, textiles and wood: end points and what a cool-down does.

use crate::common::{bundled_text, close, last, replaced, run, value_at, without_table};
use drybench::physics::sorbent::silica_gel;
use drybench::physics::sorption::FIBRES;
use drybench::units::k_from_c;

/// The vented box of the bundled spool with another load, at 65 °C.
fn boxed(load: &str) -> String {
    let text = without_table(&bundled_text("spool_vented_box.toml"), "load.spool");
    let text = replaced(&text, "\"85 °C\"", "\"65 °C\"");
    replaced(
        &text,
        "[run]",
        &format!("[load.x]\nkind = \"hygroscopic\"\nzone = \"return\"\n{load}\n[run]"),
    )
}

#[test]
fn gel_and_textile_end_at_their_isotherms() {
    let cotton = FIBRES[0].1;
    for (load, isotherm) in [
        // A thin layer: a bed 20 mm deep would take days.
        (
            "material = \"silica_gel\"\nmass = \"100 g\"\nbed_depth = \"2 mm\"",
            silica_gel as fn(f64, f64) -> f64,
        ),
        ("material = \"cotton\"\nmass = \"100 g\"", |a, t| FIBRES[0].1.content(a, t)),
    ] {
        let run = run(&boxed(load));
        let rh = last(&run, "return_relative_humidity_pct") / 100.0;
        let temp_k = k_from_c(last(&run, "x_temperature_C"));
        close(
            "load as warm as the air",
            temp_k,
            k_from_c(last(&run, "return_temperature_C")),
            0.01,
        );
        let left = run.water.amount("remaining in x (bound included)").expect("a row") / 100.0;
        close("content at the end", left, isotherm(rh, temp_k), 5e-4);
        // The hot box regenerates them, it does not use them.
        assert!(left < run.water.amount("bound in x before").expect("a row") / 100.0);
    }
    assert!(cotton.content(0.5, k_from_c(25.0)) > 0.05);
}

#[test]
fn gel_takes_up_water_while_the_closed_box_cools() {
    let text = bundled_text("desiccant_cool_down.toml");
    let without = run(&without_table(&text, "load.gel"));
    let with = run(&text);
    let (hot, end) = (4.0 * 3600.0, 24.0 * 3600.0);
    let gel = |t| value_at(&with, "gel_water_remaining_g", t);
    println!("gel: {:.2} g at the end of heating, {:.2} g after cooling", gel(hot), gel(end));
    assert!(gel(hot).abs() < 0.3, "hot gel takes up next to nothing");
    // The air of 14 L holds an eighth of a gram.
    assert!(gel(end) > gel(hot) + 0.1, "it must take up water on cool-down");
    let rh = |run| last(run, "return_relative_humidity_pct");
    println!("{:.1} %RH with gel, {:.1} without", rh(&with), rh(&without));
    assert!(rh(&with) < 0.7 * rh(&without));
}

#[test]
fn granules_dry_with_the_mean_time_of_a_sphere() {
    // 90 % of the removable water after ln(10) r^2/(15 D) at a temperature that is reached soon.
    let run = run(&boxed(
        "material = \"PETG\"\nmass = \"50 g\"\nthickness = \"3 mm\"\ncoupling = \"5 W/K\"",
    ));
    let column = crate::common::column(&run, "x_water_remaining_g");
    let end = column.last().expect("a value");
    let i = column.iter().position(|v| *v < 0.9 * end).expect("dries");
    let d = 9e-13
        * (-46_000.0 / 8.314_462_618 * (1.0 / k_from_c(65.0) - 1.0 / k_from_c(23.0_f64))).exp();
    let law = f64::ln(10.0) * 1.5e-3 * 1.5e-3 / (15.0 * d);
    println!("90 % after {:.2} h, law {:.2} h", run.time_s[i] / 3600.0, law / 3600.0);
    // The heating-up takes a quarter of an hour.
    assert!((run.time_s[i] / law - 1.0).abs() < 0.1, "{} s, {law} s", run.time_s[i]);
}

#[test]
fn a_plywood_wall_gives_up_its_own_water_for_hours() {
    // 6 mm of plywood of 550 kg/m3 on 0.2 to 0.35 m2: some 5 % of its mass between room air and a hot box.
    let text = boxed("material = \"silica_gel\"\nmass = \"1 g\"");
    let (start, end) =
        (text.find("wall         = ").expect("a wall"), text.find("supply_share").expect("a key"));
    let wall = "wall = { material = \"plywood\", thickness = \"6 mm\" }\n";
    let text = format!("{}{wall}{}", &text[..start], &text[end..]);
    let run = run(&text);
    let before = run.water.amount("bound in the walls before").expect("a row");
    let after = run.water.amount("bound in the walls").expect("a row");
    let area = 2.0 * (0.28 * 0.22 + 0.28 * 0.22 + 0.22 * 0.22);
    let lost = (before - after) / (1e3 * 550.0 * 0.006 * area);
    println!("{:.1} g of {before:.1} g, {:.3} of the wall's mass", before - after, lost);
    assert!((0.04..0.08).contains(&lost), "{lost}");
    assert!(run.water.closure_error.abs() < 1e-9, "{:e}", run.water.closure_error);
}

#[test]
fn a_deep_bed_of_gel_takes_days_where_its_beads_take_hours() {
    // Room air at rest: the beads' own time constant is 4 h at 24 °C, and each of the first 90 % of the
    // way would be over after 10 h. Vapour that has to diffuse through 20 mm of bed needs days: what
    // passes is D 0.25 A/(L/3) times the difference of the vapour's density.
    let still = |depth: &str| {
        let text = format!(
            "title = \"dish\"\n[room]\ntemperature = \"24 °C\"\nrelative_humidity = \"60 %RH\"\n\
             [enclosure]\ninner_size = [\"0.2 m\", \"0.2 m\", \"0.15 m\"]\n\
             wall = {{ material = \"ABS\", thickness = \"3 mm\" }}\n[fan]\ncirculation = \"8 L/s\"\n\
             [heater]\nkind = \"resistive\"\npower = \"1 W\"\n[control]\nkind = \"off\"\n\
             [vent.in]\nkind = \"hole\"\nzone = \"supply\"\nheight = \"70 mm\"\ndiameter = \"40 mm\"\n\
             [vent.out]\nkind = \"hole\"\nzone = \"return\"\nheight = \"70 mm\"\ndiameter = \"40 mm\"\n\
             [load.gel]\nkind = \"hygroscopic\"\nzone = \"return\"\nmaterial = \"silica_gel\"\n\
             mass = \"100 g\"\nstart_humidity = \"5 %RH\"\nbed_depth = \"{depth}\"\n\
             [run]\nduration = \"24 h\"\noutput_every = \"1 h\"\n"
        );
        let run = run(&text);
        (value_at(&run, "gel_water_remaining_g", 3600.0), last(&run, "gel_water_remaining_g"))
    };
    let (thin, deep) = (still("0.5 mm"), still("20 mm"));
    println!("after 1 h and 24 h: {thin:?} g in a thin layer, {deep:?} g in a deep bed");
    assert!(thin.1 > 20.0 && deep.1 < 12.0, "{thin:?} {deep:?}");
    // At first the gel holds its vapour near 5 %RH: 55 % of 21.8 g/m3 over L/3 = 6.7 mm on 71 cm2.
    let flux_g_h = 0.55 * 21.8 * 2.55e-5 * 0.25 * 0.1 / (700.0 * 0.02) / (0.02 / 3.0) * 3600.0;
    println!("first hour: {:.3} g, law {flux_g_h:.3} g", deep.0);
    // The film takes a tenth, the chord in place of the isotherm as much, and the gel fills: 25 %.
    assert!((deep.0 / flux_g_h - 1.0).abs() < 0.25, "{} g", deep.0);
}
