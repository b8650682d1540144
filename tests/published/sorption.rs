//! Water that fibre binds.

use super::agreement::{Agreement, check};
use super::data_file::records;
use drybench::physics::sorption::FIBRES;

const DATA: &str = include_str!("data/regain.csv");

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
    vec![a]
}

#[test]
fn sorption_agrees() {
    check(&agreements());
}
