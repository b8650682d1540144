//! What the winding and the filament let through, against closed forms and handbook permeabilities.

use drybench::model::materials::Polymer;
use drybench::physics::constants::GAS_CONSTANT;
use drybench::physics::moist_air::saturation_pressure_pa;
use drybench::units::k_from_c;

/// Diffusivity across rows of tight cylinders over that in free gas, for the share `f` that they fill,
/// in square and in hexagonal array. Source: \[Perrins1979\], from memory; Rayleigh 1892 before.
fn across(f: f64) -> (f64, f64) {
    let square =
        1.0 + f - 0.305_827 * f.powi(4) / (1.0 - 1.402_958 * f.powi(8)) - 0.013_362 * f.powi(8);
    let hexagonal = 1.0 + f - 0.075_422 * f.powi(6) / (1.0 - 1.060_283 * f.powi(12));
    (1.0 - 2.0 * f / square, 1.0 - 2.0 * f / hexagonal)
}

#[test]
fn the_share_of_the_gaps_lies_between_rows_that_nearly_touch_and_straight_channels() {
    // Few cylinders: Maxwell's (1 - f)/(1 + f). Cylinders that touch close the way, at pi/4 in square array
    // and at 0.9069 in hexagonal array, as near as the truncated series gets.
    let few = 0.99 / 1.01;
    assert!((across(0.01).0 - few).abs() < 1e-8 && (across(0.01).1 - few).abs() < 1e-8);
    assert!(across(std::f64::consts::FRAC_PI_4).0 < 0.05 && across(0.9069).1 < 0.03);
    let (square, hexagonal) = across(0.76);
    println!("76 % solid: square {square:.3}, hexagonal {hexagonal:.3}, straight channels 0.24");
    // The default and its ends: 0.12, 0.04 and 0.25.
    assert!(0.04 < square && square < 0.12 && 0.12 < hexagonal && hexagonal < 0.25);
}

/// Water vapour permeability from dry to `rh` \[kg m/(m2 s Pa)\], diffusivity that grows included.
fn permeability(p: &Polymer, celsius: f64, rh: f64) -> f64 {
    let t = k_from_c(celsius);
    let content = p.sorption.content(rh, t);
    p.diffusion.dry(t) * p.diffusion.potential(content) * p.density
        / (rh * saturation_pressure_pa(t))
}

#[test]
fn diffusivity_times_uptake_is_the_permeability_of_films_within_a_factor_of_two() {
    // Permeabilities of films, from memory, order +-50 %: polylactide 1 to 2.3e-14 (hardly changing with
    // temperature), polyester 1.1e-15, polycarbonate 1400 barrer, ABS 7 g mil/(100 in2 day) and polyamide 6
    // 15 to 18 at 38 °C, 90 %RH. None was used for the table, so they check its products.
    let table = [
        ("PLA", 25.0, 0.5, 1.6e-14),
        ("PET", 25.0, 0.5, 1.1e-15),
        ("PC", 25.0, 0.5, 1400.0 * 3.35e-16 * 0.018_015),
        ("ABS", 38.0, 0.9, 5.4e-15),
        ("PA6", 38.0, 0.9, 1.3e-14),
    ];
    for (name, celsius, rh, theirs) in table {
        let ours = permeability(&Polymer::find(name).expect("in the table"), celsius, rh);
        println!("{name} {celsius} °C: ours {ours:.2e}, theirs {theirs:.2e} kg m/(m2 s Pa)");
        assert!((0.5..2.0).contains(&(ours / theirs)), "{name}: {ours:e}, {theirs:e}");
    }
}

#[test]
fn the_permeability_of_polylactide_hardly_changes_with_temperature() {
    // Measured films: -10 to 0 kJ/mol between 10 and 38 °C (from memory). So the activation energy of
    // diffusion must be near the heat of sorption.
    let pla = Polymer::find("PLA").expect("in the table");
    let [cold, warm] = [10.0, 38.0].map(|c| permeability(&pla, c, 0.5));
    let inverse = 1.0 / k_from_c(38.0) - 1.0 / k_from_c(10.0);
    let energy = -GAS_CONSTANT * (warm / cold).ln() / inverse;
    println!("{:.1} kJ/mol", energy / 1e3);
    assert!((-10e3..0.0).contains(&energy), "{energy}");
}

#[test]
fn each_isotherm_of_the_table_meets_its_end_points() {
    for line in include_str!("../../src/model/materials/polymers.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let p = Polymer::find(cells[0]).expect("in the table");
        let t = k_from_c(23.0);
        assert_eq!(p.sorption.content(0.0, t), 0.0, "{}", p.name);
        let [at_50, immersed] = [8, 11].map(|i| cells[i].parse::<f64>());
        let at_50 = at_50.expect("a number");
        let ours = 100.0 * p.sorption.content(0.5, t);
        // A row with a shape of its own (GAB) states it with two digits.
        assert!((ours / at_50 - 1.0).abs() < 0.05, "{}: {ours} wt% at 50 %RH", p.name);
        if let Ok(immersed) = immersed {
            let ours = 100.0 * p.sorption.content(1.0, t);
            // Henry's law alone already passes what some tables give for immersion.
            let want = immersed.max(2.0 * at_50);
            assert!((ours / want - 1.0).abs() < 1e-9, "{}: {ours} and {want} wt%", p.name);
        }
    }
}
