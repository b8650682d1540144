//! Water that fibre binds.

use super::agreement::{Agreement, check};
use super::data_file::records;
use drybench::physics::sorbent::{silica_gel, wood};
use drybench::physics::sorption::FIBRES;
use drybench::units::k_from_c;

const DATA: &str = include_str!("data/regain.csv");
const WOOD: &str = include_str!("data/wood.csv");
const GEL: &str = include_str!("data/silica_gel.csv");

pub fn agreements() -> Vec<Agreement> {
    let mut a = Agreement::percent(
        "water bound by fibre at 25 °C",
        "cotton, paper, viscose at 50 and 65 %RH",
        "textile regain, from memory",
        1.0,
    )
    .remark("Both come from the same fit, so this checks the formula, not the fibre.");
    for r in records(DATA) {
        let found = FIBRES.iter().find(|(name, _)| *name == r.text("fibre"));
        let isotherm = found.expect("a known fibre").1;
        let ours = 100.0 * isotherm.content_25c(0.01 * r.num("rh_pct"));
        a.printed(
            format!("{} {} %RH", r.text("fibre"), r.text("rh_pct")),
            ours,
            r.text("regain_pct"),
            1.0,
        );
    }
    vec![
        a,
        sorbent("bound water of wood", "21..85 °C, 5..90 %RH", WOOD, wood),
        sorbent("water on silica gel", "24 and 65 °C, 5..80 %RH", GEL, silica_gel),
    ]
}

/// One isotherm against its table.
fn sorbent(
    quantity: &'static str,
    range: &'static str,
    data: &str,
    isotherm: fn(f64, f64) -> f64,
) -> Agreement {
    let mut a = Agreement::percent(quantity, range, "independent calculation", 0.5);
    for r in records(data) {
        let key = if data == GEL { "content" } else { "emc_pct" };
        let scale = if data == GEL { 1.0 } else { 0.01 };
        let ours = isotherm(0.01 * r.num("rh_pct"), k_from_c(r.num("t_c")));
        a.printed(
            format!("{} °C {} %RH", r.text("t_c"), r.text("rh_pct")),
            ours,
            r.text(key),
            scale,
        );
    }
    a
}

#[test]
fn sorption_agrees() {
    check(&agreements());
}
