//! Walls in a steady state: loss, faces, and the humidity at which they begin to sweat.

use super::agreement::{Agreement, check};
use super::data_file::records;
use drybench::model::parts::{Faces, WallSpec};
use drybench::physics::convection::Length;
use drybench::physics::moist_air::saturation_pressure_pa;
use drybench::reader::Source;
use drybench::scenario::Scenario;
use drybench::units::{c_from_k, k_from_c};

const WALLS: &str = include_str!("data/walls.csv");
const SWEATING: &str = include_str!("data/sweating.csv");
const OWN: &str = "independent calculation";
const AREA_M2: f64 = 0.2;

/// The wall as a scenario states it.
fn keys(wall: &str) -> &'static str {
    match wall {
        "plastic_2.5" => r#"{ material = "ABS", thickness = "2.5 mm" }"#,
        "PMMA_3" => r#"{ material = "PMMA", thickness = "3 mm" }"#,
        "plywood_6" => r#"{ material = "plywood", thickness = "6 mm" }"#,
        "steel_painted_1" => r#"{ material = "steel_painted", thickness = "1 mm" }"#,
        "EPS_20" => r#"{ material = "EPS", thickness = "20 mm", emissivity = 0.9 }"#,
        "ABS_2.5+EPS_10" => {
            r#"{ emissivity = 0.9, layers = [
                { material = "ABS", thickness = "2.5 mm" },
                { material = "EPS", thickness = "10 mm" }] }"#
        }
        other => panic!("no wall {other}"),
    }
}

fn spec(wall: &str, inside_coefficient: &str) -> WallSpec {
    let text = format!(
        r#"
        room      = {{ temperature = "24 °C", relative_humidity = "45 %RH" }}
        heater    = {{ kind = "resistive", power = "0 W" }}
        control   = {{ kind = "off" }}
        fan       = {{ circulation = "8 L/s" }}
        run       = {{ duration = "1 s" }}
        [enclosure]
        inner_size  = ["200 mm", "200 mm", "150 mm"]
        inside_coefficient = "{inside_coefficient} W/(m2 K)"
        wall        = {}
        "#,
        keys(wall)
    );
    let source = Source::from_bytes("wall", text.as_bytes()).expect("valid syntax");
    let read = Scenario::read(&source);
    read.unwrap_or_else(|issues| panic!("{issues:?}")).0.enclosure.wall
}

/// The table's box: 0.2 m high sides, and equal areas inside and outside. A real box of 20 mm foam
/// has 1.5 times the area outside and loses more.
fn faces() -> Faces {
    let areas = [0.12, 0.04, 0.04];
    Faces {
        inside_m2: areas,
        outside_m2: areas,
        edges_m: 0.0,
        lengths: [0.2, 0.05, 0.05].map(Length::new),
    }
}

pub fn agreements() -> Vec<Agreement> {
    let range = "six walls, coefficients 10 and 18, 65/24 °C";
    let (air_k, room_k) = (k_from_c(65.0), k_from_c(24.0));
    let mut u = Agreement::percent("heat transmittance of a wall", range, OWN, 3.0);
    let mut loss = Agreement::percent("loss of a wall", range, OWN, 3.0);
    let mut inner = Agreement::absolute("inner face of a wall", range, OWN, "K", 0.5);
    let mut outer = Agreement::absolute("outer face of a wall", range, OWN, "K", 0.5);
    let steady =
        |wall: &str, film: &str| spec(wall, film).steady(&faces(), air_k, room_k, 101_325.0);
    for r in records(WALLS) {
        let s = steady(r.text("wall"), r.text("inside_coefficient"));
        let at = format!("{} film {}", r.text("wall"), r.text("inside_coefficient"));
        let ua = s.loss_w / (air_k - room_k);
        u.printed(&at, ua / AREA_M2, r.text("u"), 1.0);
        u.printed(&at, ua, r.text("ua"), 1.0);
        loss.printed(&at, s.loss_w, r.text("loss_w"), 1.0);
        inner.printed(&at, c_from_k(s.inner_k), r.text("inner_c"), 1.0);
        outer.printed(
            &at,
            c_from_k(s.outer_k.expect("layers have an outer face")),
            r.text("outer_c"),
            1.0,
        );
    }
    let mut sweat = Agreement::absolute(
        "humidity at which walls sweat",
        "five walls, 65 °C air, coefficients 10 and 18",
        OWN,
        "%RH",
        1.5,
    );
    for r in records(SWEATING) {
        for (film, column) in [("10", "at_10"), ("18", "at_18")] {
            let face = steady(r.text("wall"), film).inner_k;
            let rh = 100.0 * saturation_pressure_pa(face) / saturation_pressure_pa(air_k);
            sweat.printed(format!("{} film {film}", r.text("wall")), rh, r.text(column), 1.0);
        }
    }
    vec![u, loss, inner, outer, sweat]
}

#[test]
fn walls_agree() {
    check(&agreements());
}
