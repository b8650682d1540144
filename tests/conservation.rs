//! Heat, water and dry air in random boxes: nothing lost, nothing negative, nothing out of bounds.

#[path = "conservation/boxes.rs"]
mod boxes;
mod common;

use boxes::{SEED, random_box};
use common::{bundled_text, close, drive, entry, replaced, scenario, state_at, without_table};
use drybench::address::Place;
use drybench::model::accounts::AccountLine;
use drybench::model::store::Holds;
use drybench::model::{Model, Plant};
use drybench::physics::opening;
use drybench::physics::psychrometrics::wet_bulb_k;
use drybench::reader::Source;
use drybench::run::{Method, simulate};
use drybench::scenario::Scenario;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

const CASES: u32 = 64;

/// Amounts \[J, g or kg\] that count as none: a dry box in a dry room holds round-off alone.
const DRY: f64 = 1e-6;

/// The gas follows the pressure of the box within a second. What jumps is the pressure that a fan or an
/// exhaust makes, some 50 Pa at most; a tiny hole lets it creep.
const PRESSURE_GAP: f64 = 1e-3;

/// What a run showed at all its steps.
#[derive(Debug)]
struct Seen {
    least_water_kg: f64,
    coldest_k: f64,
    hottest_air_k: f64,
    hottest_solid_k: f64,
    hottest_element_k: f64,
    /// How far the pressure of the gas in its volume is from that of the box, over the room's.
    pressure_gap: f64,
    most_humid: f64,
    /// Steps at which vapour stood above the saturation of a wall whose film did not grow.
    idle_films: u32,
}

impl Seen {
    fn nothing() -> Seen {
        Seen {
            least_water_kg: f64::INFINITY,
            coldest_k: f64::INFINITY,
            hottest_air_k: 0.0,
            hottest_solid_k: 0.0,
            hottest_element_k: 0.0,
            pressure_gap: 0.0,
            most_humid: 0.0,
            idle_films: 0,
        }
    }

    fn look(&mut self, model: &Model, plant: &mut Plant<'_>, t: f64, y: &[f64]) {
        // A lid that moves lets the pressure of the box jump; its gas follows within seconds.
        let moved = model.events().iter().any(|e| (e.at_s..e.at_s + 5.0).contains(&t));
        let at = plant.instant(y);
        let element = model.index_of_heat(model.landmarks.element);
        for (i, e) in model.entries()[..model.core_len()].iter().enumerate() {
            match e.holds {
                Holds::Water => self.least_water_kg = self.least_water_kg.min(y[i]),
                Holds::Heat if i == element => {
                    self.hottest_element_k = self.hottest_element_k.max(at.temps_k[i]);
                }
                Holds::Heat if !matches!(e.address.place, Place::Zone(_)) => {
                    self.coldest_k = self.coldest_k.min(at.temps_k[i]);
                    self.hottest_solid_k = self.hottest_solid_k.max(at.temps_k[i]);
                }
                _ => (),
            }
        }
        let zones = at.zones.iter().zip(&model.landmarks.walls);
        for (zone, (nodes, film)) in zones {
            let air = &zone.air;
            let excess_pa = zone.excess(model.total_pa());
            let gap = (excess_pa - at.p0_pa).abs() / model.total_pa();
            if !moved {
                self.pressure_gap = self.pressure_gap.max(gap);
            }
            self.coldest_k = self.coldest_k.min(air.temp_k);
            self.hottest_air_k = self.hottest_air_k.max(air.temp_k);
            let humid = air.relative_humidity(model.total_pa());
            self.most_humid = self.most_humid.max(humid);
            let face_k = at.temps_k[model.index_of_heat(nodes[0])];
            let colder = face_k < air.temp_k && humid > 1.02;
            if colder && at.rates[model.index_of_water(*film)] <= 0.0 {
                self.idle_films += 1;
            }
        }
    }
}

/// Sum of an amount over all stores minus that at the start, over all that is there or passed.
fn closure(model: &Model, y: &[f64], what: Holds) -> f64 {
    let (mut gap, mut scale) = (0.0, 0.0);
    for (e, v) in model.entries().iter().zip(y).filter(|(e, _)| e.holds == what) {
        gap += v - e.start;
        scale += v.abs().max(e.start.abs());
    }
    gap.abs() / f64::max(scale, DRY)
}

/// Lowest temperature that evaporation can reach \[K\]: the wet bulb of the coldest and driest air
/// that there is.
fn coldest_possible_k(scenario: &Scenario) -> f64 {
    let mut airs = vec![scenario.start, (scenario.room.temp_k, scenario.room.relative_humidity)];
    airs.extend(scenario.room.table.iter().map(|k| (k.temp_k, k.relative_humidity)));
    let coldest = airs.iter().map(|a| a.0).fold(f64::INFINITY, f64::min);
    // A still surface stands up to 1.5 K below the wet bulb, since vapour diffuses faster than heat.
    wet_bulb_k(coldest, 0.0, scenario.room.total_pa) - 1.5
}

/// Least water in any store at any step of a run with this tolerance \[kg\].
fn least_water_kg(model: &Model, end_s: f64, rtol: f64) -> f64 {
    let mut plant = Plant::new(model, rtol);
    let (mut y, mut seen) = (model.start(), Seen::nothing());
    drive(&mut plant, &mut y, rtol, end_s, &mut |plant, t, y| seen.look(model, plant, t, y));
    seen.least_water_kg
}

/// Checks one box; says what is wrong with it, or whether the run ended early.
fn check(text: &str) -> Result<Option<(Seen, [f64; 3])>, String> {
    let scenario = scenario(text);
    match simulate(&scenario, Method::Rodas5p) {
        Ok(run) => {
            for ledger in [&run.water, &run.energy] {
                let scale: f64 =
                    ledger.sources.iter().chain(&ledger.uses).map(|r| r.amount.abs()).sum();
                if ledger.closure_error.abs() > 1e-11 * scale.max(DRY) {
                    return Err(format!("ledger in {}: {:e}", ledger.unit, ledger.closure_error));
                }
            }
            if run.ended.is_some() {
                return Ok(None);
            }
        }
        Err(error) => return Err(error.to_string()),
    }
    let model = scenario.build();
    let mut plant = Plant::new(&model, 1e-6);
    let (mut y, mut seen) = (model.start(), Seen::nothing());
    drive(&mut plant, &mut y, 1e-6, scenario.run.duration_s, &mut |plant, t, y| {
        seen.look(&model, plant, t, y);
    });
    let gaps = [Holds::Heat, Holds::Water, Holds::DryAir].map(|what| closure(&model, &y, what));
    // Dry fibre that adsorbs from humid air warms itself above all around it; 25 K is our allowance.
    let warm = seen.hottest_air_k.max(scenario.start.0) + 25.0;
    let coupling = scenario.heater.conductance_w_k(
        scenario.fan.circulation_m3_s,
        seen.hottest_air_k,
        scenario.room.total_pa,
    );
    let line_w = scenario.heater.power_w * 2.0;
    let checks = [
        ("heat", gaps[0] < 1e-11),
        ("water", gaps[1] < 1e-11),
        ("dry air", gaps[2] < 1e-11),
        // The solver may err by 1e-9 kg in the mean of some 25 states, so one of them by 5e-9 kg, in
        // each of the few steps in which a film dries (19 ug is the most in 3000 boxes); with a finer
        // tolerance it errs less.
        ("negative water", seen.least_water_kg >= -3e-8),
        ("negative water at 1e-8", least_water_kg(&model, scenario.run.duration_s, 1e-8) >= -1e-9),
        ("too cold", seen.coldest_k >= coldest_possible_k(&scenario)),
        ("too hot", seen.hottest_solid_k <= warm),
        // A PTC element draws up to about twice its rated power while it is cold.
        ("element too hot", seen.hottest_element_k <= warm + line_w / coupling),
        ("pressure", seen.pressure_gap < PRESSURE_GAP),
        ("idle film", seen.idle_films == 0),
    ];
    match checks.iter().find(|c| !c.1) {
        Some((name, _)) => Err(format!("{name}: {seen:?} {gaps:?}")),
        None => Ok(Some((seen, gaps))),
    }
}

/// That no two columns, entries, lines or metrics of a box share a name.
fn names_are_unique(text: &str) -> Result<(), String> {
    let source =
        Source::from_bytes("random.toml", text.as_bytes()).map_err(|e| format!("{e:?}"))?;
    let (scenario, _) = Scenario::read(&source).map_err(|e| format!("{e:?}"))?;
    let model = scenario.build();
    let columns = drybench::run::columns(&scenario);
    let entries = model.entries().iter().enumerate();
    let lines = |source: bool| {
        let name = |l: &AccountLine| model.names().line(l.address, source);
        model.lines().iter().map(name).collect::<Vec<String>>()
    };
    let lists = [
        ("addresses of columns", columns.iter().map(|c| format!("{:?}", c.address)).collect()),
        ("heads of columns", columns.iter().map(|c| c.name.clone()).collect()),
        (
            "labels",
            columns.iter().map(|c| format!("{} {:?}", c.label, c.address.quantity)).collect(),
        ),
        (
            "addresses of entries",
            entries.clone().map(|(_, e)| format!("{:?}", e.address)).collect(),
        ),
        (
            "entries",
            entries.map(|(i, e)| format!("{} {:?}", model.entry_name(i), e.holds)).collect(),
        ),
        ("sources", lines(true)),
        ("uses", lines(false)),
    ];
    for (what, mut list) in lists {
        list.sort();
        if let Some(pair) = list.windows(2).find(|pair| pair[0] == pair[1]) {
            return Err(format!("{what}: {} is there twice in\n{text}", pair[0]));
        }
    }
    Ok(())
}

#[test]
fn names_in_random_boxes_are_unique() {
    let config = Config { cases: 4 * CASES, failure_persistence: None, ..Config::default() };
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &SEED);
    let outcome = TestRunner::new_with_rng(config, rng).run(&random_box(), |text| {
        names_are_unique(&text.0).map_err(proptest::test_runner::TestCaseError::fail)
    });
    outcome.unwrap_or_else(|failure| panic!("{failure}"));
}

#[test]
fn random_boxes_lose_nothing_and_stay_within_bounds() {
    println!("seed {SEED:?}");
    let config = Config { cases: CASES, failure_persistence: None, ..Config::default() };
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &SEED);
    let mut runner = TestRunner::new_with_rng(config, rng);
    let early = std::cell::Cell::new(0);
    let worst = std::cell::RefCell::new(([0.0_f64; 3], 0.0_f64, 0.0_f64, 0.0_f64));
    let outcome = runner.run(&random_box(), |text| {
        match check(&text.0).map_err(proptest::test_runner::TestCaseError::fail)? {
            None => early.set(early.get() + 1),
            Some((seen, gaps)) => {
                let mut w = worst.borrow_mut();
                for (w, gap) in w.0.iter_mut().zip(gaps) {
                    *w = w.max(gap);
                }
                w.1 = w.1.min(seen.least_water_kg);
                w.2 = w.2.max(seen.pressure_gap);
                w.3 = w.3.max(seen.most_humid);
            }
        }
        Ok(())
    });
    println!("{} of {CASES} left the range of the model", early.get());
    println!("closure, least water, pressure gap, humidity: {:?}", worst.borrow());
    if let Err(failure) = outcome {
        panic!("{failure}");
    }
    assert!(early.get() < CASES / 4, "too few boxes were looked at");
}

/// Dry air that entered and left in 2 h \[kg\], with the fan's pressure given and the heater as told.
fn passed(circulation_l_s: f64, heater: &str) -> (Model, f64, f64) {
    let text = without_table(&bundled_text("two_holes_two_zones.toml"), "load.pad");
    let text = replaced(
        &text,
        "circulation = \"7 L/s\"",
        &format!("circulation = \"{circulation_l_s} L/s\""),
    );
    let text = replaced(&text, "motor_power = \"2 W\"", "motor_power = \"0 W\"");
    let text = replaced(&text, "kind       = \"thermostat\"", &format!("kind = \"{heater}\""));
    let text = replaced(&text, "hysteresis = \"2 K\"", "#");
    let text = match heater {
        "off" => replaced(&replaced(&text, "set_point  =", "#"), "sensor     = \"panel\"", "#"),
        _ => text,
    };
    let scenario = scenario(&text);
    let model = scenario.build();
    let y = state_at(&model, 1e-8, 7200.0);
    let sum = |end: &str| -> f64 {
        let names = ["low", "high"].map(|v| format!("vent.{v} {end}"));
        names.iter().map(|n| y[entry(&model, n, Holds::DryAir)].abs()).sum()
    };
    let (entered, left) = (sum("in"), sum("out"));
    (model, entered, left)
}

#[test]
fn the_circulation_does_not_change_what_two_holes_pass() {
    for heater in ["off", "pi"] {
        let (_, slow, _) = passed(6.0, heater);
        let (_, fast, _) = passed(60.0, heater);
        println!("heater {heater}: {:.4} g and {:.4} g", 1e3 * slow, 1e3 * fast);
        // With the heater on the supply air is hotter, so lighter, at the slower stream.
        close("6 over 60 L/s", slow / fast, 1.0, 1e-2);
    }
}

#[test]
fn two_holes_pass_what_the_flow_law_says_and_not_twice_as_much() {
    let (model, entered, left) = passed(6.0, "off");
    let room = model.room().air(0.0);
    // Half of the 2 Pa at each of two equal holes through 3 mm, room air in and out.
    let law = opening::hole(5e-3, 3e-3).resistance(room.viscosity, room.density);
    let want = law.flow(1.0) * room.dry_kg_m3 * 7200.0;
    println!("{:.4} g entered, {:.4} g by the law", 1e3 * entered, 1e3 * want);
    close("entered over law", entered / want, 1.0, 1e-9);
    close("left over law", left / want, 1.0, 1e-9);
}

#[test]
fn zones_keep_their_volume_through_all_events() {
    let text = bundled_text("two_holes_two_zones.toml");
    let text = replaced(
        &text,
        "[run]",
        "[event.look]\nkind = \"lid_open\"\nat = \"20 min\"\nduration = \"30 s\"\nexchange = \"90 %\"\n\
         [event.again]\nkind = \"lid_open\"\nat = \"70 min\"\nduration = \"5 s\"\nexchange = \"50 %\"\n[run]",
    );
    let model = scenario(&text).build();
    let mut plant = Plant::new(&model, 1e-6);
    let (mut y, mut seen) = (model.start(), Seen::nothing());
    drive(&mut plant, &mut y, 1e-6, 2.0 * 3600.0, &mut |plant, t, y| {
        seen.look(&model, plant, t, y)
    });
    let switched = plant.events().len();
    assert!(switched > 10, "only {switched} switchings");
    close("pressure of the gas less that of the box", seen.pressure_gap, 0.0, PRESSURE_GAP);
}

#[test]
fn any_zone_that_leaves_the_range_of_the_model_is_named() {
    // The motor warms the last zone; with the fan standing still the first stays cool.
    let text = replaced(&bundled_text("sealed.toml"), "\"7 L/s\"", "\"0 L/s\"");
    let text = replaced(&text, "motor_power = \"2 W\"", "motor_power = \"200 W\"");
    let text = replaced(&text, "\"ptc\"", "\"resistive\"");
    let run = simulate(&scenario(&text), Method::Rodas5p).expect("a run");
    assert_eq!(run.ended.expect("an early end").place, "air of return");
}

#[test]
fn an_open_lid_keeps_the_pressure_of_the_room() {
    let text = bundled_text("two_holes_two_zones.toml");
    let text = text.replace("diameter = \"5 mm\"", "diameter = \"0.5 mm\"");
    let text = replaced(
        &text,
        "[run]",
        "[event.look]\nkind = \"lid_open\"\nat = \"20 min\"\nduration = \"60 s\"\nexchange = \"90 %\"\n[run]",
    );
    let model = scenario(&text).build();
    let mut plant = Plant::new(&model, 1e-6);
    let (mut y, mut most_pa) = (model.start(), [0.0_f64; 2]);
    drive(&mut plant, &mut y, 1e-6, 3600.0, &mut |plant, t, y| {
        // The gas follows within a second: five are enough.
        let open = (1205.0..1260.0).contains(&t);
        let zones = plant.instant(y).zones.iter();
        let excess = zones.map(|z| z.excess(model.total_pa()).abs());
        let most = &mut most_pa[usize::from(open)];
        *most = excess.fold(*most, f64::max);
    });
    println!("closed {} Pa, open {} Pa", most_pa[0], most_pa[1]);
    assert!(most_pa[0] > 500.0 && most_pa[1] < 20.0, "{most_pa:?}");
    // The swap and what it pushes out are both in the lid's account.
    let (out, back) = model.lid_gas().expect("a lid");
    let dry = |gas: drybench::model::store::Gas| y[model.index_of_dry(gas.dry)];
    assert!(dry(out) > 0.0 && dry(back) < 0.0);
}
