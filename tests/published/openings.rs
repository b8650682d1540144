//! Flow laws of holes and seams.

use super::agreement::{Agreement, check};
use super::data_file::{records, root};
use drybench::model::air::Air;
use drybench::model::openings::Counterflow;
use drybench::model::room::air_of;
use drybench::physics::opening::{Geometry, half_hole, hole, hole_loss, lid_exchange, seam};
use drybench::units::k_from_c;

const HOLES: &str = include_str!("data/hole_flow.csv");
const LOSS: &str = include_str!("data/hole_loss.csv");
const SEAMS: &str = include_str!("data/seam_flow.csv");
const ORIFICE: &str = include_str!("data/orifice.csv");
const STACK: &str = include_str!("data/stack.csv");
const PRESSURE_PA: f64 = 101_325.0;
const OWN: &str = "independent calculation";
const CLOSED: &str = "closed form";

/// Litres per minute in a cubic metre per second.
const L_MIN: f64 = 60e3;

fn air(temp_c: f64, rh: f64) -> Air<f64> {
    air_of(k_from_c(temp_c), rh, PRESSURE_PA)
}

fn flow_l_min(geometry: &Geometry, gas: &Air<f64>, dp_pa: f64) -> f64 {
    geometry.resistance(gas.viscosity, gas.density).flow(dp_pa) * L_MIN
}

/// An orifice of constant discharge coefficient.
fn orifice(area_m2: f64, cd: f64) -> Geometry {
    Geometry { per_viscosity: 0.0, per_density: 1.0 / (2.0 * (cd * area_m2).powi(2)) }
}

pub fn agreements() -> Vec<Agreement> {
    let mut all = tables();
    all.extend(constant_cd());
    all
}

fn tables() -> Vec<Agreement> {
    let hot = air(65.0, 0.5);
    let mut holes = Agreement::percent("flow of a hole", "1..8 mm, 0.1..10 Pa", OWN, 3.0);
    for r in records(HOLES) {
        let (d, dp) = (r.num("d_mm"), r.num("dp_pa"));
        let ours = flow_l_min(&hole(1e-3 * d, 2.5e-3), &hot, dp);
        holes.printed(format!("{d} mm {dp} Pa"), ours, r.text("l_min"), 1.0);
    }
    // The closed form is a fit to the table; 3.5 % is its stated error.
    let mut loss = Agreement::percent(
        "loss coefficient of a thick hole",
        "L/d 0..4",
        "Idelchik 2006, from memory",
        3.5,
    );
    for r in records(LOSS) {
        loss.row(format!("L/d {}", r.text("l_over_d")), hole_loss(r.num("l_over_d")), r.num("k"));
    }
    let mut seams = Agreement::percent("flow of a seam", "0.05..0.3 mm, 1 Pa", OWN, 3.0);
    for r in records(SEAMS) {
        let gap = r.num("gap_mm");
        let ours = flow_l_min(&seam(0.8, 1e-3 * gap, 8e-3, 0.0), &hot, 1.0);
        seams.printed(format!("{gap} mm"), ours, r.text("l_min"), 1.0);
    }
    vec![holes, loss, seams]
}

/// Rows with a constant discharge coefficient test the square law and the root, not the hole.
fn constant_cd() -> Vec<Agreement> {
    // 0.02 %: their gas constant of dry air is 287.055, ours 287.042 J/(kg K).
    let mut sharp = Agreement::percent("sharp orifice, constant Cd", "0.1..10 Pa", CLOSED, 0.02);
    let room = air(25.0, 0.0);
    let area = std::f64::consts::PI / 4.0 * 0.01_f64.powi(2);
    for r in records(ORIFICE) {
        let ours = flow_l_min(&orifice(area, 0.61), &room, r.num("dp_pa"));
        sharp.row(format!("{} Pa", r.text("dp_pa")), ours, r.num("l_min"));
    }
    let range = "two openings, 0.2..0.3 m, 45..70 °C";
    let new = |name| Agreement::percent(name, range, CLOSED, 0.02);
    let [mut drive, mut neutral, mut mass, mut volume] = [
        new("stack pressure"),
        new("neutral level"),
        new("stack mass flow"),
        new("stack volume flow"),
    ];
    for r in records(STACK) {
        let (inside, outside) = (air(r.num("inside_c"), 0.0), air(r.num("outside_c"), 0.0));
        let pa_per_m = (outside.density - inside.density) * 9.806_65;
        let rise = r.num("rise_m");
        let low = orifice(r.num("low_m2"), 0.61).resistance(outside.viscosity, outside.density);
        let high = orifice(r.num("high_m2"), 0.61).resistance(inside.viscosity, inside.density);
        let kg_s = |level: f64| low.flow(pa_per_m * level) * outside.density;
        let level = root(1e-9, rise - 1e-9, |z| {
            kg_s(z) - high.flow(pa_per_m * (rise - z)) * inside.density
        });
        let at = format!("{} °C {} m", r.text("inside_c"), r.text("rise_m"));
        let theirs = r.num("value");
        match r.text("quantity") {
            "drive_pa" => drive.row(at, pa_per_m * rise, theirs),
            "neutral_m" => neutral.row(at, level, theirs),
            "neutral_share" => neutral.row(at, level / rise, theirs),
            "mass_mg_s" => mass.row(at, 1e6 * kg_s(level), theirs),
            _ => volume.row(at, kg_s(level) / outside.density * L_MIN, theirs),
        }
    }
    vec![sharp, drive, neutral, mass, volume]
}

/// Depth of the holes of the tables below \[m\].
const WALL_M: f64 = 2.5e-3;

fn sideways_l_min(d_mm: f64, dp_pa: f64) -> f64 {
    let d = 1e-3 * d_mm;
    let half = half_hole(d, WALL_M);
    let exchange = Counterflow::Sideways { half, radius_m: 0.5 * d, count: 1.0 };
    exchange.flow(&air(65.0, 0.5), &air(24.0, 0.45), dp_pa) * L_MIN
}

#[test]
fn counterflow_through_a_side_hole_has_the_order_of_the_estimate() {
    // Their half-disc estimate; other readings of it give 3 to 5 times as much, as they say.
    for (d_mm, theirs) in [(4.0, 0.0006), (5.0, 0.0015), (6.0, 0.0033), (8.0, 0.011)] {
        let ours = sideways_l_min(d_mm, 0.0);
        println!("{d_mm} mm: ours {ours:.5} L/min, theirs {theirs} L/min");
        assert!(ours > theirs / 1.5 && ours < 5.0 * theirs, "{d_mm} mm: {ours} against {theirs}");
    }
    // A pressure well above the head across the hole, 0.02 Pa here, sweeps it away.
    assert!(
        sideways_l_min(5.0, 0.5) == 0.0 && sideways_l_min(5.0, 0.01) < sideways_l_min(5.0, 0.0)
    );
}

#[test]
fn a_small_hole_in_the_lid_is_stable() {
    let (inside, room) = (air(65.0, 0.5), air(24.0, 0.45));
    let lighter = room.density - inside.density;
    let l_min = |d_mm: f64| {
        let d = 1e-3 * d_mm;
        let args = (room.density, inside.viscosity, inside.diffusivity);
        lid_exchange(d, WALL_M, lighter, args.0, args.1, args.2) * L_MIN
    };
    // Dense over light air is stable in a hole below about 7 mm.
    for d_mm in [1.0, 2.0, 4.0, 5.0, 6.0, 6.8] {
        assert_eq!(l_min(d_mm), 0.0, "{d_mm} mm");
    }
    // The inviscid ceiling at 8 mm is 0.036 L/min; between Ra 68 and 136 ours rises from 0 to it.
    let eight = l_min(8.0);
    println!("8 mm: {eight:.4} L/min, ceiling 0.036 L/min; 12 mm: {:.3} L/min", l_min(12.0));
    assert!(eight > 0.0 && eight < 0.036, "{eight}");
    // Well above the limit it is the brine formula, d^2.5 with a weak dependence on L/d.
    let power = (l_min(24.0) / l_min(12.0)).log2();
    assert!((power - 2.5).abs() < 0.35, "grows with the power {power}");
}

#[test]
fn openings_agree() {
    check(&agreements());
}
