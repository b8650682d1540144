//! Liquid water that is neither in a load nor on a wall: puddles on the floor and fog in the air.

use crate::common::{bundled_text, close, column, entry, run, scenario, state_at, total};
use drybench::model::Plant;
use drybench::model::store::Holds;
use drybench::physics::constants::{CP_AIR, CP_VAPOUR, CP_WATER, LATENT_0C, R_AIR, R_VAPOUR};
use drybench::physics::convection::stefan_flux;
use drybench::physics::moist_air::saturation_in_air_pa;
use drybench::reader::Source;
use drybench::run::{Method, Run, simulate};
use drybench::scenario::Scenario;
use drybench::units::ZERO_CELSIUS_K;

fn set(text: &str, sets: &[&str]) -> Scenario {
    let mut source = Source::from_bytes("box", text.as_bytes()).expect("readable");
    for one in sets {
        source.set(one).expect("a valid assignment");
    }
    Scenario::read(&source).expect("a valid scenario").0
}

/// A sealed box with so much water that most of it runs down to the floor.
fn flooded(more: &[&str]) -> Scenario {
    let wet = [
        "load.pad.water=200 g",
        "load.pad.dry_mass=100 g",
        "load.pad.size.0=200 mm",
        "load.pad.size.1=180 mm",
        "run.duration=24 h",
        "room.temperature=10 °C",
    ];
    let text = bundled_text("sealed.toml");
    set(&text, &[&wet[..], more].concat())
}

fn simulated(scenario: &Scenario) -> Run {
    simulate(scenario, Method::Rodas5p).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn water_on_the_floor_has_not_left_the_box() {
    let run = simulated(&flooded(&[]));
    let floor = run.water.amount("in puddles on the floor").expect("a row");
    let left = column(&run, "water_in_box_g").last().copied().expect("a sample");
    println!("{floor:.1} g on the floor, {left:.2} g of the added water in the box");
    assert!(floor > 150.0, "the walls must have dripped: {floor} g");
    assert!(left > 199.0, "nothing can have left: {left} g");
    assert_eq!(run.metric("box_t90_min"), None, "a sealed box is never dry");
    assert!(run.water.closure_error.abs() < 1e-9, "{:e}", run.water.closure_error);
}

#[test]
fn a_puddle_evaporates_from_the_area_that_it_wets_at_the_temperature_of_the_wall() {
    let model = flooded(&[]).build();
    let y = state_at(&model, 1e-7, 12.0 * 3600.0);
    let mut plant = Plant::new(&model, 1e-7);
    let at = plant.instant(&y);
    let (puddle, face) = (
        entry(&model, "floor.return puddle", Holds::Water),
        entry(&model, "wall.return inside", Holds::Heat),
    );
    // The film of stirred air on the walls of this box, 10 W/(m2 K), and a floor of 0.28 by 0.22 m, three
    // quarters of which belong to this zone; 1 g covers 1/3 of a square centimetre times 10 (3 mm deep).
    let air = &at.zones[1].air;
    let floor_m2 = 0.75 * 0.28 * 0.22;
    let share = y[puddle] / 3.0 / floor_m2;
    let wetted_m2 = floor_m2 * share / (1.0 + share.powi(4)).powf(0.25);
    assert!(share > 0.3, "{share}");
    let mean_k = 0.5 * (air.temp_k + at.temps_k[face]);
    let wet_pa = saturation_in_air_pa(at.temps_k[face], model.total_pa());
    let h_m = 10.0 * air.mass_per_heat;
    let flux = -stefan_flux(h_m, mean_k, air.vapour_pa, wet_pa, air.pressure_pa);
    let film = entry(&model, "wall.return film", Holds::Water);
    let inner_m2 = 0.75 * 2.0 * (0.28 * 0.22 + 0.28 * 0.18 + 0.22 * 0.18);
    let dripping = (y[film] - 0.08 * inner_m2).max(0.0) / 60.0;
    let want = flux * wetted_m2 + dripping;
    close(
        "rate of the puddle [mg/h]",
        3.6e9 * at.rates[puddle],
        3.6e9 * want,
        1e-3 * 3.6e9 * want.abs(),
    );
}

/// A box that dripped and then stands open for days: the puddle goes, and not below zero.
#[test]
fn a_puddle_dries_out_and_not_below_zero() {
    // Three days of it, in pieces that the reader takes.
    let open = |day: u32| {
        let at = 20.0 + 27.1 * f64::from(day);
        format!(
            "[event.open{day}]\nkind = \"lid_open\"\nat = \"{at} h\"\nduration = \"27 h\"\n\
             opening_area = \"600 cm²\"\n"
        )
    };
    let events: String = (0..3).map(open).collect();
    let text = bundled_text("sealed.toml").replace("[run]", &format!("{events}[run]"));
    let sets = [
        "load.pad.water=60 g",
        "load.pad.dry_mass=30 g",
        "load.pad.size.0=200 mm",
        "load.pad.size.1=180 mm",
        "run.duration=102 h",
        "run.output_every=5 min",
        "room.temperature=10 °C",
    ];
    let run = simulated(&set(&text, &sets));
    let floor = column(&run, "water_path_on_floor_g");
    let most = floor.iter().fold(0.0, |m: f64, v| m.max(*v));
    let (end, least) = (floor[floor.len() - 1], floor.iter().fold(0.0, |m: f64, v| m.min(*v)));
    println!("at most {most:.3} g on the floor, {end:.6} g at the end, least {least:e}");
    assert!(most > 20.0, "{most}");
    assert!(end < 0.3 * most && least > -1e-6, "{end} {least}");
}

/// Vapour far beyond saturation in a closed volume: the fog that forms is that of the state with the
/// same internal energy, water and volume in which the air is saturated.
#[test]
fn fog_forms_until_the_air_is_saturated() {
    let text = bundled_text("sealed.toml");
    let sets = [
        "control.kind=off",
        "room.relative_humidity=95 %RH",
        "load.pad.water=0 g",
        "fan.motor_power=0 W",
        // Next to nothing takes heat or vapour from the air.
        "enclosure.inside_coefficient=0.5 W/m2K",
        "heater.kind=resistive",
        "heater.coupling=0.01 W/K",
    ];
    let model = set(&text, &sets).build();
    let mut y = model.start();
    for zone in model.zones() {
        let [heat, vapour, dry] = [
            model.index_of_heat(zone.gas.heat),
            model.index_of_water(zone.gas.water),
            model.index_of_dry(zone.gas.dry),
        ];
        let t = ZERO_CELSIUS_K + 21.0;
        let more = 0.5 * y[vapour];
        y[vapour] += more;
        y[heat] += more * (CP_VAPOUR * 21.0 + LATENT_0C - R_VAPOUR * t);
        assert!(y[dry] > 0.0);
    }
    let start = y.clone();
    let zone = &model.zones()[1];
    let index = |w| model.index_of_water(w);
    let (v, d) = (start[index(zone.gas.water)], start[model.index_of_dry(zone.gas.dry)]);
    // Isothermal energy of the start, per zone, and the bisection for the temperature at the end.
    let energy = |t: f64, vapour: f64, fog: f64| {
        let c = t - ZERO_CELSIUS_K;
        d * (CP_AIR * c - R_AIR * t)
            + vapour * (CP_VAPOUR * c + LATENT_0C - R_VAPOUR * t)
            + fog * CP_WATER * c
    };
    let held = |t: f64| saturation_in_air_pa(t, model.total_pa()) * zone.volume_m3 / (R_VAPOUR * t);
    let before = energy(ZERO_CELSIUS_K + 21.0, v, 0.0);
    let (mut low, mut high) = (ZERO_CELSIUS_K + 21.0, ZERO_CELSIUS_K + 60.0);
    for _ in 0..60 {
        let t = 0.5 * (low + high);
        // Warmer air holds more vapour, so it has more energy.
        if energy(t, held(t).min(v), v - held(t).min(v)) < before {
            low = t;
        } else {
            high = t;
        }
    }
    let want_g = 1e3 * (v - held(low));
    let mut plant = Plant::new(&model, 1e-8);
    let mut end = y;
    crate::common::drive(&mut plant, &mut end, 1e-8, 2.0, &mut |_, _, _| ());
    let fog_g = 1e3 * end[index(zone.gas.fog)];
    let rh = plant.instant(&end).zones[1].air.relative_humidity(model.total_pa());
    println!("{fog_g:.5} g of fog, closed state {want_g:.5} g, {:.2} %RH", 100.0 * rh);
    // In 2 s the walls take 2 J of its heat, so that it holds 1 % less vapour; some fog settles.
    let kept = (1e3 * v - fog_g) / (1e3 * v - want_g);
    assert!(want_g > 0.01 && (kept - 1.0).abs() < 0.02, "{kept}: {fog_g} {want_g}");
    assert!((rh - 1.0).abs() < 0.005, "{rh}");
    let water = |y: &[f64]| total(&model, y, Holds::Water);
    close("all water", water(&end), water(&start), 1e-15);
}

/// A warm and damp box that is opened in a frosty room, at 10 s for a minute.
fn frosty() -> String {
    bundled_text("sealed.toml")
        .replace(
            "[run]",
            "[event.look]\nkind = \"lid_open\"\nat = \"10 s\"\nduration = \"60 s\"\nexchange = \"95 %\"\n\
             [start]\ntemperature = \"45 °C\"\nrelative_humidity = \"95 %\"\n[run]",
        )
        .replace("temperature       = \"21 °C\"", "temperature       = \"-15 °C\"")
        .replace("kind      = \"pi\"", "kind = \"off\"")
        .replace("set_point = \"55 °C\"", "")
        .replace("sensor    = \"panel\"", "")
}

#[test]
fn a_lid_opened_in_the_frost_makes_fog_and_no_air_of_250_percent() {
    let model = scenario(&frosty()).build();
    let mut plant = Plant::new(&model, 1e-6);
    let mut y = model.start();
    let fog = [0, 1].map(|z| model.index_of_water(model.zones()[z].gas.fog));
    let (mut most_rh, mut most_fog, mut worst) = (0.0_f64, 0.0_f64, 0.0_f64);
    crate::common::drive(&mut plant, &mut y, 1e-6, 1800.0, &mut |plant, t, y| {
        let rh = plant.instant(y).zones.iter().map(|z| z.air.relative_humidity(model.total_pa()));
        let rh = rh.fold(0.0, f64::max);
        most_fog = most_fog.max(1e3 * (y[fog[0]] + y[fog[1]]));
        worst = worst.max(rh);
        // Seconds after an event the air may be ahead of its fog.
        if !(10.0..13.0).contains(&t) && !(70.0..73.0).contains(&t) {
            most_rh = most_rh.max(rh);
        }
    });
    println!(
        "at most {:.2} %RH ({:.2} at the event), {most_fog:.4} g of fog",
        100.0 * most_rh,
        100.0 * worst
    );
    assert!(most_rh < 1.01, "{most_rh}");
    assert!(most_fog > 0.005, "{most_fog}");
    assert!(y[fog[0]].abs() < 1e-8 && y[fog[1]].abs() < 1e-8, "fog goes again");
    let water = |y: &[f64]| total(&model, y, Holds::Water);
    close("all water", water(&y), water(&model.start()), 1e-15);
}

#[test]
fn a_run_tells_fog_that_left_as_water() {
    let run = run(&frosty());
    assert!(run.water.closure_error.abs() < 1e-11 && run.energy.closure_error.abs() < 1e-9);
    let rows = run.water.sources.iter().map(|r| r.amount).sum::<f64>();
    let uses = run.water.uses.iter().map(|r| r.amount).sum::<f64>();
    close("sources and uses", rows, uses, 1e-9);
}
