//! An open lid: what it swaps, what it lets cool, and what it radiates.

use crate::common::{bundled_text, close, column, run, scenario};
use drybench::model::Plant;
use drybench::physics::constants::STEFAN_BOLTZMANN;
use drybench::reader::{Source, render};
use drybench::scenario::Scenario;
use drybench::units::k_from_c;

fn with_lid(keys: &str) -> String {
    bundled_text("two_holes_one_zone.toml").replace(
        "[run]",
        &format!("[event.look]\nkind = \"lid_open\"\nat = \"60 min\"\n{keys}\n[run]"),
    )
}

/// Share of an inert tracer that an opening of 160 s leaves: dry air carries it, from both zones alike.
fn swapped(keys: &str) -> f64 {
    let model = scenario(&with_lid(&format!("duration = \"160 s\"\n{keys}"))).build();
    let mut plant = Plant::new(&model, 1e-7);
    let mut y = model.start();
    let (mut last, mut volumes) = (3600.0, 0.0);
    let back = model.index_of_dry(model.lid_gas().expect("a lid").1.dry);
    let mut before = 0.0;
    crate::common::drive(&mut plant, &mut y, 1e-7, 3760.0, &mut |_, t, y| {
        if t > 3600.0 {
            let dry: f64 = model.zones().iter().map(|z| y[model.index_of_dry(z.gas.dry)]).sum();
            volumes += -(y[back] - before) / dry;
            before = y[back];
            last = t;
        }
    });
    assert_eq!(last, 3760.0);
    1.0 - (-volumes).exp()
}

#[test]
fn the_stated_share_is_that_of_an_inert_tracer() {
    // Dry air in the zones shrinks and grows by 1 % in between, and is summed in steps.
    close("60 %", swapped("exchange = \"60 %\""), 0.6, 0.02);
    close("90 %", swapped("exchange = \"90 %\""), 0.9, 0.02);
    close("100 % means 99.9 %", swapped("exchange = \"100 %\""), 0.999, 1e-3);
}

#[test]
fn a_lid_that_stays_off_cools_the_air_and_one_that_is_stated_by_its_area_too() {
    let fall = |keys: &str| {
        let text = with_lid(&format!("duration = \"160 s\"\n{keys}"))
            .replace("output_every = \"30 s\"", "output_every = \"2 s\"");
        let run = run(&text);
        let air = column(&run, "return_temperature_C");
        let at = |t: f64| run.time_s.iter().position(|s| *s >= t).expect("a sample");
        let least = air[at(3600.0)..=at(3760.0)].iter().fold(f64::MAX, |m, v| m.min(*v));
        (air[at(3600.0)] - least, run)
    };
    let (stated, _) = fall("exchange = \"60 %\"");
    let (open, run) = fall("opening_area = \"600 cm²\"");
    let (door, _) = fall("opening_area = \"400 cm²\"\nfaces = \"side\"");
    println!("falls by {stated:.1} K (60 % stated), {open:.1} K (level), {door:.1} K (upright)");
    assert!(open > 8.0 && door > open, "{open} {door}");
    assert!(stated > 1.0 && stated < open, "{stated}");
    let radiated = run.energy.amount("radiated through the open lid").expect("a row");
    // 160 s of a floor-sized opening of a box whose walls are at 35 to 40 °C, in a room of 21 °C.
    let law = |c: f64| STEFAN_BOLTZMANN * 0.06 * (k_from_c(c).powi(4) - k_from_c(21.0).powi(4));
    let bounds = [28.0, 45.0].map(|c| law(c) * 160.0 / 3600.0);
    println!("radiated {radiated:.4} Wh, bounds {bounds:?}");
    assert!((bounds[0]..bounds[1]).contains(&radiated), "{radiated}");
    assert!(run.energy.closure_error.abs() < 1e-9);
}

fn refusal(keys: &str) -> String {
    let text = with_lid(keys);
    let source = Source::from_bytes("box", text.as_bytes()).expect("readable");
    render(&Scenario::read(&source).expect_err("a mistake"))
}

#[test]
fn an_exchange_or_an_area_and_not_both() {
    let both = refusal("duration = \"60 s\"\nexchange = \"60 %\"\nopening_area = \"300 cm²\"");
    assert!(both.contains("exchange = \"60 %\" is given beside opening_area"), "{both}");
    let none = refusal("duration = \"60 s\"");
    assert!(none.contains("exchange is not given, nor is opening_area"), "{none}");
    let large = refusal("duration = \"60 s\"\nopening_area = \"700 cm²\"");
    assert!(large.contains("is more than the wall that it opens"), "{large}");
}
