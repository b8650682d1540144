//! Whole-model runs against closed solutions, on boxes reduced until a closed solution exists.
//!
//! A wall stated by its loss is one linear node. With a film inside that passes 20 kW/K (100 m2 of
//! wall round 10 mL of air) the air has next to no capacity and no resistance of its own, so that
//! element and wall are all that is left.

#[path = "../common/mod.rs"]
mod common;

mod air;
mod control;
mod hygroscopic;
mod lid;
mod liquid;
mod openings;
mod pressure;
mod spool;
mod thermal;
mod water;
mod winding;

/// Inner area of the reduced boxes \[m2\] and the film of their walls \[W/(m2 K)\].
const AREA_M2: f64 = 100.0;
const FILM: f64 = 200.0;

/// Element and wall with nothing between them but conductances, in a dry room of 20 °C.
///
/// `coupling_w_k` lies between element and wall, `outer_w_k` between wall and room: the film inside
/// is taken out of both here.
struct TwoNodes {
    power_w: f64,
    element_j_k: f64,
    coupling_w_k: f64,
    wall_j_k: f64,
    outer_w_k: f64,
    start_c: f64,
    /// Tables `[control]` and `[run]`, and whatever else.
    rest: String,
}

impl TwoNodes {
    fn text(&self) -> String {
        let TwoNodes { power_w, element_j_k, coupling_w_k, wall_j_k, outer_w_k, start_c, rest } =
            self;
        let film = FILM * AREA_M2;
        let still = 1.0 / (1.0 / coupling_w_k - 1.0 / film);
        let loss = 1.0 / (1.0 / outer_w_k + 1.0 / film);
        format!(
            r#"
[room]
temperature = "20 °C"
relative_humidity = "0 %RH"
[start]
temperature = "{start_c} °C"
[enclosure]
volume = "10 mL"
inner_area = "{AREA_M2} m2"
inside_coefficient = "{FILM} W/(m2 K)"
zones = ["box"]
wall_loss = "{loss:.17} W/K"
wall_heat_capacity = "{wall_j_k} J/K"
[heater]
kind = "resistive"
power = "{power_w} W"
heat_capacity = "{element_j_k} J/K"
still_coupling = "{still:.17} W/K"
[fan]
circulation = "0 L/s"
{rest}
"#
        )
    }
}
