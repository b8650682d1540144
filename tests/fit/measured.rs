//! Public measured runs, fitted on one part and predicted on another. The data are read where they
//! lie (see `folder`) and are not part of this package; without them the tests say so and pass.
//!
//! None of these rigs states its watts, sizes or room: only what decides the course of the temperature
//! is fitted, and the watts stand at a round figure, so that losses and capacities are known in
//! proportion to them. No public run has watts, humidity and sample mass together.

use drybench::address::{Address, Place, Quantity};
use std::path::PathBuf;

use crate::kit::observed;
use drybench::physics::moist_air::saturation_pressure_pa;
use drybench::reader::{Origin, Source};
use drybench::run::{Method, simulate};
use drybench::scenario::Scenario;
use drybench::study::box_fit::{
    BoxFit, Compared, FreePath, HeldOut, Observed, Outcome, Prediction, RunData, Settings,
    free_path, solve,
};
use drybench::units::{format_digits, k_from_c};

/// The folder of measured runs, if it is there.
fn folder(name: &str) -> Option<PathBuf> {
    let usual = concat!(env!("CARGO_MANIFEST_DIR"), "/../sha", "red/checks/measured");
    let root =
        std::env::var_os("DRYBENCH_MEASURED").map_or_else(|| PathBuf::from(usual), PathBuf::from);
    let path = root.join(name);
    if path.exists() {
        return Some(path);
    }
    println!("skipped: {} is not there (set DRYBENCH_MEASURED)", path.display());
    None
}

/// Rows of numbers below the header; what is no number is NaN.
fn rows(name: &str) -> Option<Vec<Vec<f64>>> {
    let text = std::fs::read_to_string(folder(name)?).expect(name);
    let number = |cell: &str| {
        let parts: Option<Vec<f64>> = cell.split(':').map(|p| p.parse().ok()).collect();
        match (cell, parts.as_deref()) {
            ("ON", _) => 1.0,
            ("OFF", _) => 0.0,
            // A clock.
            (_, Some([h, m, s])) => 3600.0 * h + 60.0 * m + s,
            (_, Some([v])) => *v,
            _ => f64::NAN,
        }
    };
    Some(text.lines().skip(1).map(|l| l.split(',').map(number).collect()).collect())
}

/// The temperature of the only sensor.
const OWN_TEMPERATURE: Address = Address::new(Place::Sensor(0), Quantity::Temperature);

fn series(column: &str, times_s: &[f64], values: &[f64], u: f64) -> Observed {
    observed(column, OWN_TEMPERATURE, "°C", times_s, values.to_vec(), u)
}

/// Fits a run up to `until_s` and predicts the rest.
fn fit_and_predict(
    text: &str,
    free: &[&str],
    run: &RunData,
    until_s: f64,
) -> (Outcome, Vec<HeldOut>) {
    let source = Source::from_bytes("rig.toml", text.as_bytes()).expect("a scenario");
    let (_, report) = Scenario::read(&source).unwrap_or_else(|e| panic!("{e:#?}"));
    let free: Vec<FreePath> = free
        .iter()
        .map(|t| free_path(t, false, &report).unwrap_or_else(|e| panic!("{e}")))
        .collect();
    let part = |later: bool| {
        let mut own = run.clone();
        for o in &mut own.observed {
            let pairs = o.times_s.iter().zip(&mut o.values);
            pairs.filter(|(t, _)| (**t > until_s) != later).for_each(|(_, v)| *v = f64::NAN);
        }
        own
    };
    let mut problem =
        BoxFit::new(&source, free.clone(), &[part(false)]).unwrap_or_else(|e| panic!("{e:#?}"));
    let settings = Settings { more_starts: 3, intervals: false, ..Settings::default() };
    let found = solve(&mut problem, &settings).unwrap_or_else(|e| panic!("{e:#?}"));
    let (fit, outcome) = (&problem, &found);
    let ahead = Prediction { source: &source, free: &free, fit, outcome, draws: 60, seed: 1 };
    let held = ahead.hold_out(&[part(true)]).expect("a prediction");
    for p in &found.parameters {
        println!("  {}: {} ({})", p.name, p.text, p.standing);
    }
    for s in &found.series {
        println!(
            "  fitted {}: {:.3} {} rms of {} readings, lag-1 {:.2}",
            s.name, s.rms, s.unit, s.count, s.lag_1
        );
    }
    for h in &held {
        println!(
            "  predicted {}: {:.3} {} rms of {}, {:.0} % in the band",
            h.name,
            h.rmse,
            h.unit,
            h.count,
            100.0 * h.coverage
        );
    }
    (found, held)
}

/// A heater with a sensor on it, in the open: a box with hardly any air, whose wall is what the
/// heater warms around itself.
const RIG: &str = r#"
[room]
temperature = "ROOM °C"
relative_humidity = "40 %RH"
[enclosure]
volume = "0.1 L"
inner_area = "0.05 m2"
wall_loss = "0.03 W/K"
wall_heat_capacity = "0.5 J/K"
inside_coefficient = "50 W/(m2 K)"
zones = ["near"]
[heater]
kind = "resistive"
power = "2 W"
heat_capacity = "3 J/K"
coupling = "0.2 W/K"
[fan]
circulation = "0.5 L/s"
[control]
kind = "always_on"
[load.board]
kind = "inert"
heat_capacity = "20 J/K"
coupling = "0.02 W/K"
zone = "near"
[sensor.own]
zone = "near"
time_constant = "10 s"
[run]
duration = "16 min"
"#;

fn heater_run(file: &str) -> Option<(String, RunData)> {
    let rows = rows(&format!("heater_lab/{file}"))?;
    // The first rows are the room.
    let text = RIG.replace("ROOM", &rows[0][1].to_string());
    let column = |i: usize| rows.iter().map(|r| r[i]).collect::<Vec<f64>>();
    let times = column(0);
    let mut steps: Vec<(f64, f64)> = times.iter().copied().zip(column(3)).collect();
    steps.dedup_by(|b, a| a.1 == b.1);
    let list = |texts: Vec<String>| texts.join(", ");
    let control = format!(
        "{{ kind = \"schedule\", times = [{}], shares = [{}] }}",
        list(steps.iter().map(|s| format!("\"{} s\"", s.0)).collect()),
        list(steps.iter().map(|s| format!("{:?}", s.1 / 100.0)).collect())
    );
    // Steps of 0.32 K, over the root of twelve.
    let own = series("sensor_own_temperature_C", &times, &column(1), 0.32 / 12.0_f64.sqrt());
    Some((
        text,
        RunData {
            name: file.into(),
            sets: vec![("control".into(), control)],
            observed: vec![own],
            ..RunData::default()
        },
    ))
}

#[test]
fn heater_steps_and_sines_are_predicted_within_one_run() {
    let free = [
        "enclosure.wall_loss=0.005..0.2 W/K",
        "load.board.heat_capacity=2..300 J/K",
        "load.board.coupling=0.001..0.2 W/K",
        "heater.heat_capacity=1..50 J/K",
        "sensor.own.time_constant=0.5..60 s",
    ];
    for file in [
        "tclab_step_test.csv",
        "tclab_sine_test_5min_period.csv",
        "validation_experiment_env_2_sin_2_50_run_1.csv",
        "validation_experiment_env_2_step_50_run_2.csv",
    ] {
        let Some((text, run)) = heater_run(file) else { return };
        println!("{file}");
        let (found, held) = fit_and_predict(&text, &free, &run, 450.0);
        // The heater's own steps are 0.32 K; what the rig's base does later is no part of it.
        assert!(found.series[0].rms < 0.3, "{}", found.series[0].rms);
        assert!(held[0].rmse < 0.7, "{held:?}");
    }
}

/// A cardboard box with a lamp; the slow part of its warm-up is what stands on and around it.
const CARDBOARD: &str = r#"
[room]
temperature = "21.9 °C"
relative_humidity = "64 %RH"
[start]
temperature = "21.9 °C"
[enclosure]
volume = "20 L"
inner_area = "0.45 m2"
wall_loss = "0.9 W/K"
wall_heat_capacity = "200 J/K"
zones = ["air"]
[heater]
kind = "resistive"
power = "10 W"
heat_capacity = "50 J/K"
[fan]
circulation = "5 L/s"
[control]
kind = "schedule"
times = ["ON s", "OFF s"]
shares = [1, 0]
[load.around]
kind = "inert"
heat_capacity = "2000 J/K"
coupling = "0.3 W/K"
zone = "air"
[sensor.own]
zone = "air"
time_constant = "60 s"
[run]
duration = "24 h"
"#;

#[test]
fn a_cardboard_box_warms_up_as_modelled() {
    let Some(rows) = rows("cardboard_box/box_run2-1521179085.csv") else { return };
    let start = rows[0][0];
    // One row a minute.
    let thin: Vec<&Vec<f64>> = rows.iter().step_by(38).collect();
    let times: Vec<f64> = thin.iter().map(|r| r[0] - start).collect();
    let temps: Vec<f64> = thin.iter().map(|r| r[1]).collect();
    // The lamp goes off where the temperature begins its longest fall.
    let fall = |i: usize| temps[i] - temps[(i + 10).min(temps.len() - 1)];
    let off = (1..temps.len()).max_by(|a, b| fall(*a).total_cmp(&fall(*b))).expect("a fall");
    // It comes on a while after the log begins.
    let on = rows.iter().position(|r| r[1] > rows[0][1] + 0.15).expect("a rise");
    let on_s = rows[on][0] - start;
    println!("lamp on at {on_s:.0} s, off at {:.2} h", times[off] / 3600.0);
    let text = CARDBOARD.replace("OFF", &times[off].to_string()).replace("ON", &on_s.to_string());
    let free = [
        "enclosure.wall_loss=0.3..3 W/K",
        "enclosure.wall_heat_capacity=20..3000 J/K",
        "load.around.heat_capacity=100..20000 J/K",
        "load.around.coupling=0.02..5 W/K",
        "room.temperature=20..23 °C",
    ];
    let run = RunData {
        name: "box".into(),
        observed: vec![series("sensor_own_temperature_C", &times, &temps, 0.1)],
        ..RunData::default()
    };
    let (found, held) = fit_and_predict(&text, &free, &run, times[off] - 60.0);
    // Two exponentials reach 0.26 K; the room, which nobody logged, swings by 0.3 K.
    assert!(found.series[0].rms <= 0.26, "{}", found.series[0].rms);
    assert!(held[0].rmse < 0.5 && held[0].coverage > 0.9, "{held:?}");
}

/// What a cardboard wall adds to the box: a skin of fibre that holds water, and a seam to the room.
const SKIN: &str = r#"
[load.skin]
kind = "hygroscopic"
material = "cardboard"
mass = "20 g"
time_constant = "2 min"
coupling = "3 W/K"
zone = "air"
"#;
const SEAM: &str = r#"
[vent.seam]
kind = "seam"
zone = "all"
height = "100 mm"
length = "500 mm"
gap = "0.5 mm"
depth = "3 mm"
"#;

/// Time in which a cooling wall takes its water back \[s\].
const TAKING_BACK_S: f64 = 3600.0;

/// How the vapour pressure falls in the hour after the lamp goes off \[Pa\].
#[derive(Debug)]
struct Fall {
    measured: f64,
    predicted: f64,
    /// Root mean square of the misses in all readings after the lamp went off.
    rms: f64,
}

/// Fits temperatures and vapour pressures up to the moment the lamp goes off, and predicts the rest.
fn fall_of_vapour(rows: &[Vec<f64>], parts: &str, free: &[&str]) -> Fall {
    let start = rows[0][0];
    // A row in three minutes, ten hours: later the room, which nobody logged, has become damper.
    let thin = rows.iter().step_by(113).filter(|r| r[0] - start < 36_000.0);
    let thin: Vec<&Vec<f64>> = thin.collect();
    let times: Vec<f64> = thin.iter().map(|r| r[0] - start).collect();
    let temps: Vec<f64> = thin.iter().map(|r| r[1]).collect();
    let vapour_pa =
        |temp_c: f64, rh_pct: f64| 0.01 * rh_pct * saturation_pressure_pa(k_from_c(temp_c));
    let vapour: Vec<f64> = thin.iter().map(|r| vapour_pa(r[1], r[2])).collect();
    let fall = |i: usize| temps[i] - temps[(i + 3).min(temps.len() - 1)];
    let off = (1..temps.len()).max_by(|a, b| fall(*a).total_cmp(&fall(*b))).expect("a fall");
    let on = rows.iter().position(|r| r[1] > rows[0][1] + 0.15).expect("a rise");
    let text = CARDBOARD
        .replace("OFF", &times[off].to_string())
        .replace("ON", &(rows[on][0] - start).to_string())
        .replace("24 h", "10 h");
    let text = text + parts;
    let humidity = Address::new(Place::Sensor(0), Quantity::RelativeHumidity);
    let mut own = series("own", &times, &vapour, 30.0);
    own.unit = "Pa".into();
    own.target = Compared::VapourPressure { temperature: OWN_TEMPERATURE, humidity };
    let run = RunData {
        name: "box".into(),
        observed: vec![series("sensor_own_temperature_C", &times, &temps, 0.1), own],
        ..RunData::default()
    };
    let before_s = times[off] - 60.0;
    let (found, held) = fit_and_predict(&text, free, &run, before_s);
    let mut source = Source::from_bytes("rig.toml", text.as_bytes()).expect("a scenario");
    let (_, report) = Scenario::read(&source).expect("a scenario");
    for p in &found.parameters {
        let kind = report.value(&p.path).and_then(|v| v.kind()).expect("a quantity");
        let typed = format_digits(kind, p.value, 12);
        source.set_value(&p.path, &typed, Origin::Fit).expect("a path");
    }
    let run =
        simulate(&Scenario::read(&source).expect("a scenario").0, Method::Rodas5p).expect("a run");
    let model = |time_s: f64| {
        let at = run.time_s.iter().position(|t| *t >= time_s).expect("within the run");
        let read = |of: Address| run.at(of.place, of.quantity).expect("a column").values[at];
        vapour_pa(read(OWN_TEMPERATURE), read(humidity))
    };
    let reading = |time_s: f64| vapour[times.iter().position(|t| *t >= time_s).expect("within")];
    let drop = |p: &dyn Fn(f64) -> f64| p(before_s) - p(times[off] + TAKING_BACK_S);
    let fall = Fall { measured: drop(&reading), predicted: drop(&model), rms: held[1].rmse };
    println!("  vapour pressure after the lamp: {fall:.0?} Pa");
    fall
}

#[test]
fn a_cardboard_wall_gives_and_takes_its_water_as_modelled() {
    let Some(rows) = rows("cardboard_box/box_run2-1521179085.csv") else { return };
    let thermal = [
        "enclosure.wall_loss=0.3..3 W/K",
        "enclosure.wall_heat_capacity=20..3000 J/K",
        "load.around.heat_capacity=100..20000 J/K",
        "load.around.coupling=0.02..5 W/K",
        "vent.seam.gap=0.05..1 mm",
    ];
    let with_skin = [&thermal[..], &["load.skin.mass=1..200 g"]].concat();
    let skin = fall_of_vapour(&rows, &format!("{SKIN}{SEAM}"), &with_skin);
    // Down on cooling, below the room itself, by the size that is measured: 20 % for the one mass
    // and one rate that stand for a board which is moist in depth.
    assert!(skin.measured > 300.0, "{skin:?}");
    assert!((skin.predicted / skin.measured - 1.0).abs() < 0.2, "{skin:?}");
    assert!(skin.rms < 100.0, "{skin:?}");
    // Without the fibre there is nothing to take the vapour out of the air.
    let bare = fall_of_vapour(&rows, SEAM, &thermal);
    assert!(bare.predicted.abs() < 50.0 && bare.rms > 2.0 * skin.rms, "{bare:?}");
}

/// A heater pad under wet dishes in some enclosure, 12 W at most.
const PAD: &str = r#"
[room]
temperature = "22 °C"
relative_humidity = "40 %RH"
[start]
temperature = "START °C"
relative_humidity = "20 %RH"
[enclosure]
volume = "8 L"
inner_area = "0.25 m2"
wall_loss = "0.25 W/K"
wall_heat_capacity = "300 J/K"
zones = ["air"]
[heater]
kind = "resistive"
power = "10 W"
heat_capacity = "50 J/K"
[fan]
circulation = "2 L/s"
[control]
kind = "always_on"
[load.dishes]
kind = "inert"
heat_capacity = "300 J/K"
coupling = "0.3 W/K"
zone = "air"
[sensor.own]
zone = "air"
time_constant = "60 s"
[run]
duration = "1 h"
"#;

/// Fits a piece of a heater pad's log up to `part` of it and predicts the rest.
fn pad_piece(from_s: f64, to_s: f64, part: f64, free: &[&str]) -> Option<(Outcome, Vec<HeldOut>)> {
    let rows = rows("heater_pad/pad_202603031510.csv")?;
    // -45 °C is how the logger writes a failed reading.
    let rows: Vec<&Vec<f64>> =
        rows.iter().filter(|r| r[2] > -40.0 && r[0] >= from_s && r[0] <= to_s).collect();
    let start = rows[0][0];
    let times: Vec<f64> = rows.iter().map(|r| r[0] - start).collect();
    let temps: Vec<f64> = rows.iter().map(|r| r[2]).collect();
    let mut steps: Vec<(f64, f64)> = times.iter().copied().zip(rows.iter().map(|r| r[4])).collect();
    steps.dedup_by(|b, a| a.1 == b.1);
    let list = |texts: Vec<String>| texts.join(", ");
    let control = format!(
        "{{ kind = \"schedule\", times = [{}], shares = [{}] }}",
        list(steps.iter().map(|s| format!("\"{} s\"", s.0)).collect()),
        list(steps.iter().map(|s| format!("{:?}", s.1)).collect())
    );
    let text = PAD.replace("START", &temps[0].to_string());
    let observed = vec![series("sensor_own_temperature_C", &times, &temps, 0.1)];
    let run = RunData {
        name: "pad".into(),
        sets: vec![("control".into(), control)],
        observed,
        ..RunData::default()
    };
    let end_s = *times.last().expect("a row");
    Some(fit_and_predict(&text, free, &run, part * end_s))
}

#[test]
fn a_heater_pad_is_predicted_in_two_pieces() {
    // Full power with wet dishes up to 1840 s; from 1870 s on warm, under on/off control, and never
    // across the splice between them.
    let free = [
        "enclosure.wall_loss=0.005..2 W/K",
        "load.dishes.heat_capacity=20..5000 J/K",
        "heater.heat_capacity=5..500 J/K",
    ];
    let Some((_, held)) = pad_piece(20.0, 1840.0, 0.66, &free) else { return };
    assert!(held[0].rmse < 0.5, "{held:?}");
    let (_, held) = pad_piece(1870.0, 2701.0, 0.66, &free).expect("the same file");
    assert!(held[0].rmse < 0.5, "{held:?}");
}
