//! The PTC element in its stream.

use super::agreement::{Agreement, check};
use super::data_file::{records, root};
use drybench::physics::constants::{CP_AIR, R_AIR};
use drybench::physics::element::{PtcLaw, stream_conductance};
use drybench::units::k_from_c;

const DATA: &str = include_str!("data/ptc.csv");

pub fn agreements() -> Vec<Agreement> {
    let law = PtcLaw { switch_k: k_from_c(150.0), slope_per_k: 0.12, rounding_k: 8.0 };
    let cold_w = 230.0 * 230.0 / 90.0;
    let mut a = Agreement::percent(
        "power of a PTC element",
        "0.5..15 L/s, inlet 24..80 °C",
        "independent calculation",
        1.0,
    );
    for r in records(DATA) {
        let (q, inlet_k) = (r.num("flow_l_s"), k_from_c(r.num("inlet_c")));
        let ua = 3.0 * (q / 8.0).powf(0.55);
        let rate = 101_325.0 / (R_AIR * inlet_k) * 1e-3 * q * CP_AIR;
        let conductance = stream_conductance(rate, ua);
        let taken = |element_k: f64| conductance * (element_k - inlet_k);
        let element_k = root(inlet_k, k_from_c(250.0), |k| taken(k) - cold_w / law.ratio(k));
        let at = format!("{q} L/s {} °C", r.text("inlet_c"));
        a.printed(at, taken(element_k), r.text("watt"), 1.0);
    }
    vec![a]
}

#[test]
fn elements_agree() {
    check(&agreements());
}
