//! Boxes fitted to simulated logs: what went in must come out, with intervals that cover it, and
//! questions that cannot be answered must be refused in words.

use crate::common::{replaced, scenario};
use crate::kit::{Dice, free, noisy, one_run, source};
use drybench::address::{Address, Place, Quantity};
use drybench::reader::Issue;
use drybench::run::columns;
use drybench::scenario::Scenario;
use drybench::study::box_fit::{
    BoxFit, Compared, FitTable, FreePath, Link, Observed, Outcome, ParameterRow, Prediction,
    RunData, Settings, Written, bind, free_path, plan, solve,
};
use rayon::prelude::*;

/// A cheap box: one zone, nothing to dry, always on. Invented.
const BOX: &str = r#"
[room]
temperature = "20 °C"
relative_humidity = "50 %RH"
[enclosure]
volume = "12 L"
inner_area = "0.34 m2"
wall_loss = "1.3 W/K"
wall_heat_capacity = "900 J/K"
zones = ["air"]
[heater]
kind = "resistive"
power = "40 W"
[fan]
circulation = "5 L/s"
[control]
kind = "always_on"
[sensor.logger]
zone = "air"
time_constant = "45 s"
[run]
duration = "30 min"
"#;

const LOGGER: &str = "sensor_logger_temperature_C";

/// Values of a column at `times` with noise of standard deviation `u`.
fn log(scenario: &Scenario, column: &str, times: &[f64], u: f64, seed: u64) -> Observed {
    noisy(scenario, column, times, u, &mut Dice::new(seed))
}

fn every(step_s: f64, end_s: f64) -> Vec<f64> {
    (0..=(end_s / step_s) as usize).map(|i| i as f64 * step_s).collect()
}

fn answer(
    text: &str,
    free: Vec<FreePath>,
    runs: &[RunData],
    s: &Settings,
) -> Result<Outcome, Vec<Issue>> {
    let mut problem = BoxFit::new(&source(text), free, runs)?;
    solve(&mut problem, s)
}

const FREE: [&str; 3] = [
    "enclosure.wall_loss=1.0, 0.4..3 W/K",
    "enclosure.wall_heat_capacity=700, 200..3000 J/K",
    "sensor.logger.time_constant=30, 5..200 s",
];
const TRUTH: [f64; 3] = [1.3, 900.0, 45.0];

/// Fits `count` simulated logs and counts for each parameter how often its interval holds the truth.
fn coverage(count: u64) -> [usize; 3] {
    let truth = scenario(BOX);
    let times = every(30.0, 1800.0);
    let settings = Settings { more_starts: 0, ..Settings::default() };
    let one = |seed: u64| {
        let run = one_run(vec![log(&truth, LOGGER, &times, 0.2, seed)]);
        let found = answer(BOX, free(&FREE, BOX), &[run], &settings).expect("a fit");
        assert!(found.optimum, "seed {seed}: {:?}", found.warnings);
        let holds = |i: usize| {
            let p = &found.parameters[i];
            p.low.is_some_and(|l| l <= TRUTH[i]) && p.high.is_some_and(|h| h >= TRUTH[i])
        };
        [holds(0), holds(1), holds(2)]
    };
    let all: Vec<[bool; 3]> = (5000..5000 + count).into_par_iter().map(one).collect();
    std::array::from_fn(|i| all.iter().filter(|h| h[i]).count())
}

#[test]
fn intervals_of_a_hundred_simulated_logs_cover_the_truth() {
    let held = coverage(100);
    println!("of 100: {held:?}");
    // A count of 100 with a chance of 0.95 has a standard deviation of 2.2: three of them below,
    // and at most all but one, since a hundred would mean intervals that are too wide.
    assert!(held.iter().all(|n| (89..=99).contains(n)), "{held:?}");
}

#[test]
#[ignore = "four hundred fits take a minute or two"]
fn intervals_of_four_hundred_simulated_logs_cover_the_truth() {
    let held = coverage(400);
    println!("of 400: {held:?}");
    assert!(held.iter().all(|n| (370..=390).contains(n)), "{held:?}");
}

#[test]
fn a_thermostat_run_is_fitted_by_replaying_its_heater() {
    let switched = replaced(
        BOX,
        "kind = \"always_on\"",
        "kind = \"thermostat\"\nset_point = \"40 °C\"\nhysteresis = \"1 K\"\nsensor = \"logger\"",
    );
    let truth = scenario(&switched);
    let run = drybench::run::simulate(&truth, drybench::run::Method::Rodas5p).expect("a run");
    assert!(run.effort.switchings > 4);
    // The log tells when the heater switched.
    let edges: Vec<(f64, f64)> = std::iter::once((0.0, 1.0))
        .chain(run.events.iter().filter(|h| h.time_s > 0.0).filter_map(|h| {
            match h.to_string().as_str() {
                "heater on" => Some((h.time_s, 1.0)),
                "heater off" => Some((h.time_s, 0.0)),
                _ => None,
            }
        }))
        .collect();
    let times: Vec<String> = edges.iter().map(|(t, _)| format!("\"{t} s\"")).collect();
    let shares: Vec<String> = edges.iter().map(|(_, s)| format!("{s:?}")).collect();
    let control = format!(
        "{{ kind = \"schedule\", times = [{}], shares = [{}] }}",
        times.join(", "),
        shares.join(", ")
    );
    let grid = every(20.0, 1800.0);
    let clean = log(&truth, LOGGER, &grid, 1e-3, 1);
    let run = RunData { sets: vec![("control".into(), control)], ..one_run(vec![clean]) };
    let settings = Settings { more_starts: 0, intervals: false, ..Settings::default() };
    let found = answer(BOX, free(&FREE, BOX), &[run], &settings).expect("a fit");
    for (p, truth) in found.parameters.iter().zip(TRUTH) {
        // The noise of 1 mK gives about this.
        assert!((p.value / truth - 1.0).abs() < 1e-3, "{} {}", p.name, p.value);
    }
}

#[test]
fn two_runs_share_a_loss_and_have_offsets_of_their_own() {
    let times = every(60.0, 1800.0);
    let offset = |text: &str| {
        replaced(
            BOX,
            "time_constant = \"45 s\"",
            &format!("time_constant = \"45 s\"\noffset_temperature = \"{text}\""),
        )
    };
    let runs: Vec<RunData> = [("first", "0.8 K", 1), ("second", "-0.5 K", 2)]
        .into_iter()
        .map(|(name, k, seed)| RunData {
            name: name.into(),
            ..one_run(vec![log(&scenario(&offset(k)), LOGGER, &times, 0.05, seed)])
        })
        .collect();
    let mut paths = free(&FREE[..2], BOX);
    let (_, report) = Scenario::read(&source(BOX)).expect("a scenario");
    paths.push(free_path("sensor.logger.offset_temperature=-3..3 K", true, &report).expect("free"));
    let settings = Settings { more_starts: 0, ..Settings::default() };
    let found = answer(BOX, paths, &runs, &settings).expect("a fit");
    let names: Vec<&str> = found.parameters.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(
        names[2..],
        ["sensor.logger.offset_temperature in first", "sensor.logger.offset_temperature in second"]
    );
    for (p, truth) in found.parameters.iter().zip([1.3, 900.0, 0.8, -0.5]) {
        let se = p.standard_error.expect("a standard error");
        assert!((p.value - truth).abs() < 4.0 * se, "{} {} ± {se}", p.name, p.value);
    }
}

#[test]
fn power_and_loss_cannot_be_told_apart_at_rest_and_a_plug_meter_would_do_it() {
    // Only the steady end of a long run: its rise over the room is power over loss.
    let long = replaced(BOX, "30 min", "6 h");
    let times: Vec<f64> = every(60.0, 21_600.0).into_iter().filter(|t| *t > 18_000.0).collect();
    let run = one_run(vec![log(&scenario(&long), LOGGER, &times, 0.05, 3)]);
    let paths = free(&["enclosure.wall_loss=0.4..3 W/K", "heater.power=10..100 W"], &long);
    let mut problem =
        BoxFit::new(&source(&long), paths.clone(), std::slice::from_ref(&run)).expect("a problem");
    let settings = Settings { more_starts: 0, ..Settings::default() };
    let found = solve(&mut problem, &settings).expect("a fit");
    assert!(found.parameters.iter().all(|p| p.standing == "combined"), "{:#?}", found.verdict);
    // No interval where there is none: its ends would only be the bounds of the other one.
    let open = |p: &ParameterRow| p.low.is_none() && p.high.is_none();
    assert!(found.parameters.iter().all(open), "{:#?}", found.parameters);
    let gains = plan(&source(&long), &paths, &run, &problem, &found, 0);
    let left = |name: &str| {
        gains
            .iter()
            .find(|g| g.name.contains(name))
            .and_then(|g| g.standard_error)
            .unwrap_or(f64::MAX)
    };
    assert!(left("power") < 0.01 && left("repeat") > 1.0, "{gains:#?}");
}

#[test]
fn held_out_readings_are_predicted() {
    let times = every(30.0, 1800.0);
    let all = log(&scenario(BOX), LOGGER, &times, 0.2, 4);
    let part = |later: bool| {
        let mut own = all.clone();
        for (t, v) in own.times_s.iter().zip(&mut own.values) {
            if (*t > 900.0) != later {
                *v = f64::NAN;
            }
        }
        one_run(vec![own])
    };
    let settings = Settings { more_starts: 0, intervals: false, ..Settings::default() };
    let (source, free) = (source(BOX), free(&FREE, BOX));
    let mut problem = BoxFit::new(&source, free.clone(), &[part(false)]).expect("a problem");
    let found = solve(&mut problem, &settings).expect("a fit");
    let ahead = Prediction {
        source: &source,
        free: &free,
        fit: &problem,
        outcome: &found,
        draws: 100,
        seed: 1,
    };
    let held = ahead.hold_out(&[part(true)]).expect("a prediction");
    assert_eq!(held[0].count, 30);
    assert!(held[0].rmse < 0.5 && held[0].coverage > 0.8, "{held:?}");
    // The curve between the readings goes through what is said at them.
    let curves = ahead.curves(&[one_run(vec![all.clone()])]).expect("curves");
    let [curve] = &curves[..] else { panic!("{curves:?}") };
    assert_eq!((curve.time_s[0], curve.time_s.last()), (0.0, all.times_s.last()));
    let at = |t: f64| curve.time_s.iter().position(|x| (x - t).abs() < 1e-9).expect("a place");
    for (k, t) in held[0].time_s.iter().enumerate().filter(|(_, t)| **t % 60.0 == 0.0) {
        let (low, high) = curve.band[at(*t)];
        assert!((low - held[0].low[k]).abs() < 1e-3, "{t} s: {low} K and {}", held[0].low[k]);
        assert!((high - held[0].high[k]).abs() < 1e-3, "{t} s: {high} K and {}", held[0].high[k]);
        let best = curve.model[at(*t)];
        assert!(low < best && best < high, "{t} s: {low} {best} {high}");
    }
}

#[test]
fn the_fitted_file_runs_keeps_its_comments_and_gives_the_fitted_values() {
    let text = replaced(BOX, "\"40 W\"", "\"40 W\"  # plug meter");
    let run = one_run(vec![log(&scenario(BOX), LOGGER, &every(30.0, 1800.0), 0.2, 5)]);
    let paths = free(&["enclosure.wall_loss=0.4..3 W/K", "heater.coupling=0.5..20 W/K"], &text);
    let mut problem =
        BoxFit::new(&source(&text), paths, std::slice::from_ref(&run)).expect("a problem");
    let settings = Settings { more_starts: 0, intervals: false, ..Settings::default() };
    let found = solve(&mut problem, &settings).expect("a fit");
    let sets = ["run.duration=20 min".into()];
    let written =
        Written { text: &text, sets: &sets, fit: &problem, run: &run, k: 0, outcome: &found };
    assert_eq!(written.replay(), Ok(None), "nothing is known of the day");
    let written = written.fitted("replay.toml").expect("a file");
    assert!(written.contains("# plug meter") && written.contains("# fitted: "), "{written}");
    let (_, report) = Scenario::read(&source(&written)).expect("a scenario");
    for p in &found.parameters {
        let own = report.value(&p.path).and_then(|v| v.si()).expect("a value");
        assert!((own - p.value).abs() < 0.02 * p.standard_error.expect("an error"), "{}", p.path);
    }
    assert_eq!(report.value("run.duration").and_then(|v| v.si()), Some(1200.0));
}

/// The message for a fit that must be refused.
fn refusal(found: Result<Outcome, Vec<Issue>>) -> String {
    let issues = found.expect_err("refused");
    issues.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

#[test]
fn questions_that_cannot_be_answered_are_refused_in_words() {
    let settings = Settings { more_starts: 0, intervals: false, ..Settings::default() };
    let truth = scenario(BOX);
    let ask =
        |observed: Observed| answer(BOX, free(&FREE, BOX), &[one_run(vec![observed])], &settings);
    let few = log(&truth, LOGGER, &[100.0, 200.0], 0.1, 1);
    assert!(refusal(ask(few)).contains("2 data cannot give 3 parameters"));
    let good = log(&truth, LOGGER, &every(60.0, 1800.0), 0.1, 1);
    let late = Observed { times_s: good.times_s.iter().map(|t| t + 1e5).collect(), ..good.clone() };
    assert!(refusal(ask(late)).contains("outside the simulated span"));
    let hot =
        Observed { values: good.values.iter().map(|c| 1.8 * c + 32.0).collect(), ..good.clone() };
    assert!(refusal(ask(hot)).contains("degrees Fahrenheit"));
    let empty = Observed { values: vec![f64::NAN; good.values.len()], ..good.clone() };
    assert!(refusal(ask(empty)).contains("no usable reading"));
    let strange = Observed {
        target: Compared::Column(Address::new(Place::Sensor(7), Quantity::Temperature)),
        ..good.clone()
    };
    assert!(refusal(ask(strange)).contains("no column of a run"));
    // Missing values among good ones are left out.
    let mut holes = good;
    holes.values[3] = f64::NAN;
    assert_eq!(ask(holes).expect("a fit").series[0].count, 30);
}

#[test]
fn a_parameter_without_effect_is_called_flat() {
    let settings = Settings { more_starts: 0, ..Settings::default() };
    let run = one_run(vec![log(&scenario(BOX), LOGGER, &every(60.0, 1800.0), 0.1, 1)]);
    let paths = free(
        &["enclosure.wall_loss=0.4..3 W/K", "sensor.logger.humidity_time_constant=2..60 s"],
        BOX,
    );
    let found = answer(BOX, paths, &[run], &settings).expect("a fit");
    assert_eq!(found.parameters[1].standing, "flat");
    assert!(found.verdict[1].contains("do not change with it"), "{:?}", found.verdict);
    assert_eq!((found.parameters[1].low, found.parameters[1].high), (None, None));
    assert!(
        found.parameters[1].standard_error.is_none() && found.parameters[0].standing == "known"
    );
}

#[test]
fn what_is_known_beforehand_pulls_the_estimate_as_one_more_reading_would() {
    // Temperatures are linear in the power. Two independent estimates of one number: the mean weighted by
    // the inverse variances, whose inverse variance is their sum.
    let settings = Settings { more_starts: 1, ..Settings::default() };
    let runs = [one_run(vec![log(&scenario(BOX), LOGGER, &every(60.0, 1800.0), 0.2, 3)])];
    let found = |typed: &str| {
        let found = answer(BOX, free(&[typed], BOX), &runs, &settings).expect("a fit");
        let p = &found.parameters[0];
        (p.value, p.standard_error.expect("an error") / found.known.enlarged, found)
    };
    let (plain, error, without) = found("heater.power=20..80 W");
    assert!(without.priors.is_empty());
    for (off, ratio) in [(2.0, 1.0), (-2.0, 0.5), (0.5, 3.0)] {
        let (value, sd) = (plain + off * error, ratio * error);
        let (pulled, narrower, with) = found(&format!("heater.power={value} ± {sd} W"));
        let weights = (1.0 / (error * error), 1.0 / (sd * sd));
        let due = (weights.0 * plain + weights.1 * value) / (weights.0 + weights.1);
        let due_error = (weights.0 + weights.1).sqrt().recip();
        assert!((pulled - due).abs() < 0.01 * error, "{off}, {ratio}: {pulled}, due {due}");
        assert!((narrower / due_error - 1.0).abs() < 0.01, "{narrower}, due {due_error}");
        let row = &with.priors[0];
        assert!((row.found - (pulled - value) / sd).abs() < 1e-9, "{row:?}");
        let share = row.share.expect("a share");
        assert!((share - weights.1 / (weights.0 + weights.1)).abs() < 0.02, "{row:?}");
        assert_eq!(with.freedom, without.freedom + 1.0);
    }
    // Far off it is told, and what the readings do not see stays what was known of it.
    let (.., odd) = found(&format!("heater.power={} ± {} W", plain + 60.0 * error, 10.0 * error));
    assert!(
        odd.warnings.iter().any(|w| w.contains("off what was known of it")),
        "{:?}",
        odd.warnings
    );
    let blind = ["heater.power=20..80 W", "sensor.logger.humidity_time_constant=20 ± 5 s"];
    let blind = answer(BOX, free(&blind, BOX), &runs, &settings).expect("a fit");
    assert!((blind.parameters[1].value - 20.0).abs() < 0.01, "{:?}", blind.parameters[1]);
    assert!(blind.warnings.iter().any(|w| w.contains("say nothing of")), "{:?}", blind.warnings);
}

#[test]
fn free_parameters_are_typed_with_units_and_mistakes_get_one_thing_to_type() {
    let (_, report) = Scenario::read(&source(BOX)).expect("a scenario");
    let read = |t: &str| free_path(t, false, &report).map_err(Box::new);
    let f = read("heater.power=20..0.1 kW").expect_err("no room left");
    assert!(f.to_string().contains("runs from 20 to 0.1 kW"), "{f}");
    let f = read("sensor.logger.time_constant=0.5 min..200 s").expect("free");
    assert_eq!((f.start, f.low, f.high), (45.0, 30.0, 200.0));
    for (text, words) in [
        ("enclosure.wall_los=1..2 W/K", "did you mean enclosure.wall_loss?"),
        ("enclosure.wall_loss=5, 1..2 W/K", "outside"),
        ("enclosure.wall_loss=1..2 W", "is a power where a thermal conductance is needed"),
        ("enclosure.wall_loss", "has no bounds"),
        ("title=1..2", "is no"),
    ] {
        let said = read(text).expect_err(text).to_string().to_lowercase();
        assert!(said.contains(&words.to_lowercase()), "{text}: {said}");
    }
}

#[test]
fn a_table_is_bound_to_columns_room_and_heater() {
    let text = replaced(
        BOX,
        "time_constant = \"45 s\"",
        "time_constant = \"45 s\"\naccuracy_temperature = \"0.3 K\"\naccuracy_humidity = \"2 %\"",
    );
    let scenario = scenario(&text);
    let rows = "time_s,line,a_temperature_C,a_relative_humidity_pct,room_F,heater\n\
                0,1,20.0,50,68,1\n60,2,25.0,40,,1\n120,3,nan,30,68,0\n";
    let table = FitTable::read("log.csv", rows).expect("a table");
    let link = |t: &str| Link::parse(t).expect(t);
    let links = [
        link("a_temperature_C=sensor_logger_temperature_C"),
        link("a_relative_humidity_pct=sensor_logger_relative_humidity_pct +/- 1 %"),
        link("room_F=room.temperature"),
        link("heater=control.heater"),
    ];
    let known = columns(&scenario);
    let run = bind(&table, &links, &scenario, &known, None, false).expect("a run");
    // A stated accuracy counts as limits: 0.3 K over the root of three.
    assert!((run.observed[0].u[0] - 0.3 / 3.0_f64.sqrt()).abs() < 1e-12);
    assert_eq!(
        (run.observed[1].unit.as_str(), run.observed[1].usable(1e3).values.len()),
        ("Pa", 2)
    );
    // Saturation pressure at 20 °C is 2339 Pa (Hyland and Wexler), and in air of 101325 Pa 0.41 % more
    // (CoolProp 8.0.0).
    assert!((run.observed[1].values[0] - 1174.4).abs() < 1.0);
    assert_eq!(run.sets.iter().map(|s| s.0.as_str()).collect::<Vec<_>>(), ["room", "control"]);
    assert!(run.sets[1].1.contains("[\"0 s\", \"120 s\"]"), "{}", run.sets[1].1);
    BoxFit::new(&source(&text), free(&FREE, &text), &[run]).expect("its assignments are valid");
    for (bad, words) in [
        ("b_temperature_C=sensor_logger_temperature_C", "has no column `b_temperature_C`"),
        ("a_temperature_C=sensor_logger_relative_humidity_pct", "own kind"),
        ("heater=sensor_logger_temperature_C", "unit of `heater` cannot be told"),
        ("a_temperature_C=air_temperature_C", "uncertainty of a_temperature_C is not stated"),
    ] {
        let issues = bind(&table, &[link(bad)], &scenario, &known, None, false).expect_err(bad);
        assert!(issues[0].to_string().contains(words), "{}", issues[0]);
    }
    for (bad, words) in [
        ("t,x\n1,2\n", "no column `time_s`"),
        ("time_s,x\n0,1\n1,abc\n", "log.csv:3: `abc` under x is no number"),
        ("time_s,x\n1,1\n0,2\n", "does not rise"),
    ] {
        let issues = FitTable::read("log.csv", bad).expect_err(bad);
        assert!(issues[0].to_string().contains(words), "{}", issues[0]);
    }
}
