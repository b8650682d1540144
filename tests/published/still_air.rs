//! What moves air and heat while the fan stands still: exchange of zones, and the element.

use super::agreement::{Agreement, check};
use super::data_file::root;
use drybench::physics::opening::{level_exchange, upright_exchange};
use drybench::reader::{Source, render};
use drybench::run::{Method, simulate};
use drybench::scenario::Scenario;
use drybench::units::k_from_c;

const PRESSURE_PA: f64 = 101_325.0;
const G: f64 = 9.806_65;

pub fn agreements() -> Vec<Agreement> {
    vec![upright(), level(), element()]
}

/// Bernoulli's law over the upper half of an opening, whose middle is at rest: slices of its height.
fn bernoulli(width_m: f64, height_m: f64, difference: f64) -> f64 {
    let n = 20_000;
    let dz = 0.5 * height_m / f64::from(n);
    let speed = |i: i32| (2.0 * G * difference * dz * (f64::from(i) + 0.5)).sqrt();
    width_m * dz * (0..n).map(speed).sum::<f64>()
}

fn upright() -> Agreement {
    // 1 %: ours is rounded off below some tenths of a kelvin.
    let mut a = Agreement::percent(
        "exchange through an upright opening",
        "50..300 mm, 1..60 K",
        "Bernoulli's law with C = 0.8; Brown and Solvason 1962, from memory",
        1.0,
    )
    .remark("Measured coefficients lie from 0.6 to 1.");
    for (height, kelvin) in [(0.05, 1.0), (0.1, 5.0), (0.15, 20.0), (0.3, 60.0)] {
        let difference = kelvin / 330.0;
        let theirs = 0.8 * bernoulli(0.1, height, difference);
        let ours = upright_exchange(0.1 * height, height, difference);
        a.row(format!("{height} m {kelvin} K"), 1e3 * ours, 1e3 * theirs);
    }
    a
}

fn level() -> Agreement {
    // 1 %, as above.
    let mut a = Agreement::percent(
        "exchange through a level opening in a thin floor",
        "50..300 mm, 1..60 K",
        "0.055 of sqrt(d^5 g drho/rho); Epstein 1988, from memory",
        1.0,
    );
    for (d, kelvin) in [(0.05_f64, 1.0), (0.1, 5.0), (0.3, 60.0)] {
        let difference = kelvin / 330.0;
        let theirs = 0.055 * (d.powi(5) * G * difference).sqrt();
        let area = std::f64::consts::PI / 4.0 * d * d;
        a.row(format!("{d} m {kelvin} K"), 1e3 * level_exchange(area, difference), 1e3 * theirs);
    }
    a
}

/// Heat \[W\] from an upright plate of 0.02 m2, both faces together, at `hot_c` to air and walls:
/// Churchill and Chu's laminar form with Sutherland's viscosity, coded apart.
fn plate_w(hot_c: f64, air_c: f64, wall_c: f64) -> f64 {
    let (hot, air, wall) = (k_from_c(hot_c), k_from_c(air_c), k_from_c(wall_c));
    let film = 0.5 * (hot + air);
    let mu = 1.716e-5 * (film / 273.15).powf(1.5) * (273.15 + 110.4) / (film + 110.4);
    let k = 0.0241 * (film / 273.15).powf(0.81);
    let (density, pr) = (PRESSURE_PA / (287.05 * film), 0.70);
    let (nu, length) = (mu / density, 0.1_f64);
    let ra = G / film * (hot - air) * length.powi(3) * pr / (nu * nu);
    let shape = (1.0_f64 + (0.492_f64 / pr).powf(9.0 / 16.0)).powf(4.0 / 9.0);
    let h = (0.68 + 0.670 * ra.powf(0.25) / shape) * k / length;
    0.02 * (h * (hot - air) + 0.8 * 5.670_37e-8 * (hot.powi(4) - wall.powi(4)))
}

fn element() -> Agreement {
    // 2 K of 100 to 250: other properties of air, and the last of the approach to the steady state.
    let mut a = Agreement::absolute(
        "element in still air",
        "5..20 W, 0.02 m2",
        "Churchill and Chu 1975 and Stefan's law, coded apart, from memory",
        "K",
        2.0,
    );
    for watts in [5.0, 10.0, 20.0] {
        let text = format!(
            "[room]\ntemperature = \"22 °C\"\nrelative_humidity = \"40 %RH\"\n[enclosure]\n\
             inner_size = [\"200 mm\", \"200 mm\", \"150 mm\"]\nzones = [\"box\"]\n\
             wall = {{ material = \"ABS\", thickness = \"2.5 mm\" }}\n[heater]\nkind = \"resistive\"\n\
             power = \"{watts} W\"\nsurface = \"0.02 m2\"\nemissivity = 0.8\n[fan]\ncirculation = \"0 L/s\"\n\
             [control]\nkind = \"always_on\"\n[run]\nduration = \"5 h\"\noutput_every = \"10 min\"\n"
        );
        let source = Source::from_bytes("still", text.as_bytes()).expect("TOML");
        let (scenario, _) = Scenario::read(&source).unwrap_or_else(|e| panic!("{}", render(&e)));
        let run = simulate(&scenario, Method::Rodas5p).unwrap_or_else(|e| panic!("{e}"));
        let last = |name: &str| *run.column(name).and_then(|c| c.values.last()).expect(name);
        let (air, wall) = (last("box_temperature_C"), last("wall_box_inside_C"));
        let theirs = root(air, 900.0, |hot| plate_w(hot, air, wall) - watts);
        a.row(format!("{watts} W"), last("element_temperature_C"), theirs);
    }
    a
}

#[test]
fn still_air_agrees() {
    check(&agreements());
}
