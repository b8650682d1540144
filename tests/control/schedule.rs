//! A schedule gives the element what its table says, switch by switch.

use crate::plant::{DRYER, column, run, within};

fn energy_wh(control: &str) -> f64 {
    // A resistive element draws the same at any temperature.
    let dryer = DRYER.replacen("kind = \"ptc\"", "kind = \"resistive\"", 1);
    let dryer = dryer.replacen("150 W", "60 W", 1);
    let text = format!("{dryer}[control]\n{control}\n[run]\nduration = \"10 min\"");
    *column(&run(&text), "heater_energy_Wh").last().expect("a sample")
}

#[test]
fn energy_is_that_of_the_table() {
    let full = energy_wh("kind = \"always_on\"");
    let table = "kind = \"schedule\"\ntimes = [\"1 min\", \"4 min\", \"6.5 min\"]\nshares = [1, \"40 %\", 0]";
    // By hand: 3 min full and 2.5 min at 40 %, of 10 min.
    within("energy", energy_wh(table), full * (3.0 + 2.5 * 0.4) / 10.0, 1e-9);
    let always = "kind = \"schedule\"\ntimes = [\"0 s\"]\nshares = [1]";
    within("always on", energy_wh(always), full, 1e-9);
}

#[test]
fn only_switchings_are_told() {
    let text = format!(
        "{DRYER}[control]\nkind = \"schedule\"\ntimes = [\"0 s\", \"1 min\", \"2 min\", \"3 min\"]\n\
         shares = [1, 0.5, 0, 0.5]\n[run]\nduration = \"4 min\""
    );
    let told: Vec<(f64, String)> =
        run(&text).events.into_iter().map(|h| (h.time_s, h.to_string())).collect();
    let want = [(0.0, "heater on"), (120.0, "heater off"), (180.0, "heater on")];
    assert_eq!(told, want.map(|(t, w)| (t, w.to_owned())));
}
