//! Vents of a whole model: stack, fan pressure and seams in one pressure balance.

use super::agreement::{Agreement, check};
use super::balance::{Case, vented};
use super::data_file::{Record, records};
use std::f64::consts::PI;

const VENTS: &str = include_str!("data/vents.csv");
const STACK: &str = include_str!("data/stack.csv");
const OWN: &str = "independent calculation";

fn hole(name: &str, zone: &str, d_mm: &str, height_mm: f64) -> String {
    format!(
        "[vent.{name}]\nkind = \"hole\"\nzone = \"{zone}\"\ndiameter = \"{d_mm} mm\"\nheight = \"{height_mm} mm\"\n"
    )
}

fn seam(gap_mm: &str) -> String {
    format!(
        "[vent.seam]\nkind = \"seam\"\nzone = \"all\"\nlength = \"0.8 m\"\ngap = \"{gap_mm} mm\"\n\
         depth = \"8 mm\"\nheight = \"150 mm\"\n"
    )
}

/// Fan pressure and openings of a row.
fn case(r: &Record) -> (f64, String) {
    let (d, case) = (r.text("d_mm"), r.text("case"));
    if case == "stack" {
        let pair = hole("low", "return", d, 10.0) + &hole("high", "return", d, 140.0);
        return (0.0, pair);
    }
    if let Some(fan) = case.strip_prefix("fan_") {
        let pair = hole("a", "supply", d, 75.0) + &hole("b", "return", d, 75.0);
        return (fan.parse().expect("a pressure"), pair);
    }
    if let Some(rest) = case.strip_prefix("hole_and_seam_") {
        let (gap, fan) = rest.split_once("_fan_").unwrap_or((rest, "3"));
        return (fan.parse().expect("a pressure"), hole("a", "supply", d, 50.0) + &seam(gap));
    }
    (3.0, seam(case.strip_prefix("seam_").expect("a gap")))
}

pub fn agreements() -> Vec<Agreement> {
    let groups: [(&str, &str, &str); 4] = [
        ("stack", "two holes in one zone, stack: flow", "two holes in one zone, stack: water"),
        ("fan_", "one hole in each zone, fan: flow", "one hole in each zone, fan: water"),
        ("hole_and_seam", "hole and lid seam: flow", "hole and lid seam: water"),
        ("seam_", "lid seam alone: flow", "lid seam alone: water"),
    ];
    let mut all = Vec::new();
    for (prefix, flow, water) in groups {
        let range = "1..8 mm, 0..10 Pa, 65 °C 50 %RH";
        // Water carries the real-gas gap of the humidity ratio, 0.9 % here, beside the flow's.
        let mut l = Agreement::percent(flow, range, OWN, 3.0);
        let mut g = Agreement::percent(water, range, OWN, 3.0);
        for r in records(VENTS).iter().filter(|r| r.text("case").starts_with(prefix)) {
            let (fan_pa, vents) = case(r);
            let v = vented(&Case::reference(fan_pa, &vents).balanced());
            let at = format!("{} mm {}", r.text("d_mm"), r.text("case"));
            l.printed(&at, v.l_min, r.text("l_min"), 1.0);
            g.printed(&at, v.net_g_h, r.text("g_h"), 1.0);
        }
        all.extend([l, g]);
    }
    all.push(neutral_level());
    all
}

/// The neutral level of thin holes in the model against that of ideal orifices.
fn neutral_level() -> Agreement {
    let mut a = Agreement::absolute(
        "neutral level over rise in a whole model",
        "two thin holes of 5..16 mm, dry air",
        "closed form, constant Cd",
        "of the rise",
        0.02,
    )
    .remark(
        "Only the level can be compared: the model's holes have no constant Cd. Their viscous part \
         is alike in both and moves the level by less than 0.02 of the rise.",
    );
    for r in records(STACK).iter().filter(|r| r.text("quantity") == "neutral_share") {
        let d_mm = |area: f64| format!("{}", 1e3 * (4.0 * area / PI).sqrt());
        let rise = 1e3 * r.num("rise_m");
        let thin = "depth = \"0.1 mm\"\n";
        let vents = hole("low", "return", &d_mm(r.num("low_m2")), 0.0)
            + thin
            + &hole("high", "return", &d_mm(r.num("high_m2")), rise)
            + thin;
        let inside = (r.num("inside_c"), 0.0);
        let room = (r.num("outside_c"), 0.0);
        let case = Case {
            height_mm: 400.0,
            inside,
            room,
            fan_pa: 0.0,
            circulation_l_s: 8.0,
            vents: &vents,
        };
        let v = vented(&case.balanced());
        let level = -v.p0_pa / (v.lighter_kg_m3 * 9.806_65);
        let at = format!("{} °C {} m", r.text("inside_c"), r.text("rise_m"));
        a.row(at, level / r.num("rise_m"), r.num("value"));
    }
    a
}

#[test]
fn network_agrees() {
    check(&agreements());
}
