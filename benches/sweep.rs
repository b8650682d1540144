//! What a sweep costs beside its simulations. Both are timed case by case in turn, since the speed
//! of a machine wanders by more than the difference: the ratio of each round is what counts.

use std::hint::black_box;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use drybench::reader::Source;
use drybench::run::{Method, Record, simulate};
use drybench::scenario::Scenario;
use drybench::study::sweep::{
    Axis, Base, Design, Manifest, SWEEP_SCHEMA_VERSION, Seal, Shown, SweepPlan, run_case,
};

const TWO_HOLES: &str = "two_holes_two_zones.toml";

/// An hour of a bundled box under a PI controller.
fn pi_hour() -> Source {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(TWO_HOLES);
    let text = std::fs::read_to_string(path).expect("a bundled scenario");
    let mut source = Source::from_bytes(TWO_HOLES, text.as_bytes()).expect("readable");
    for set in ["control.kind=pi", "run.duration=1 h", "run.output_every=30 s"] {
        source.set(set).expect("a valid assignment");
    }
    source
}

/// Rounds of the 64 cases.
const ROUNDS: usize = 20;

/// 64 cases one after the other, each as a simulation alone and with reading, rows and both tables.
fn overhead() {
    let powers: Vec<String> = (0..8).map(|i| format!("{} W", 120 + 8 * i)).collect();
    let flows: Vec<String> = (0..8).map(|i| format!("{} L/s", 4.0 + 0.5 * f64::from(i))).collect();
    let axes = [("heater.power", &powers), ("fan.circulation", &flows)];
    let axis = |(path, values): (&str, &Vec<String>)| {
        Axis::parse(&format!("{path}={}", values.join(","))).expect("an axis")
    };
    let base = Base { name: "box".into(), source: pi_hour() };
    let plan = SweepPlan::new(vec![base], axes.map(axis).into(), Design::Cross);
    let shown = plan.check().expect("a valid plan");
    let seal = seal(&plan);
    let scenario = |(power, flow): (&String, &String)| {
        let mut source = pi_hour();
        for (path, value) in [("heater.power", power), ("fan.circulation", flow)] {
            source.set(&format!("{path}={value}")).expect("a valid assignment");
        }
        Scenario::read(&source).expect("a valid scenario").0
    };
    let pairs = powers.iter().flat_map(|p| flows.iter().map(move |f| (p, f)));
    let scenarios: Vec<Scenario> = pairs.map(scenario).collect();
    assert_eq!(scenarios.len(), plan.cases());
    let mut rounds: Vec<(f64, f64)> =
        (0..=ROUNDS).map(|_| round(&plan, &shown, seal, &scenarios)).collect();
    rounds.remove(0); // the first warms up
    let middle = |mut values: Vec<f64>| {
        values.sort_by(f64::total_cmp);
        (values[ROUNDS / 10], values[ROUNDS / 2], values[ROUNDS - 1 - ROUNDS / 10])
    };
    let (_, alone_s, _) = middle(rounds.iter().map(|r| r.0).collect());
    let (_, sweep_s, _) = middle(rounds.iter().map(|r| r.1).collect());
    let (low, ratio, high) = middle(rounds.iter().map(|r| r.1 / r.0).collect());
    println!(
        "64 PI hours, {ROUNDS} rounds in turn: alone {:.1} ms, as a sweep {:.1} ms",
        alone_s * 1e3,
        sweep_s * 1e3
    );
    println!("ratio {ratio:.3} (10 to 90 %: {low:.3} to {high:.3})");
}

/// What the checksums of the rows begin with.
fn seal(plan: &SweepPlan) -> Seal {
    Seal::of(&Manifest {
        schema_version: SWEEP_SCHEMA_VERSION,
        program_version: env!("CARGO_PKG_VERSION").into(),
        scenarios: Vec::new(),
        sets: Vec::new(),
        axes: plan.axes.iter().map(|a| a.typed.clone()).collect(),
        drawn: None,
        design: plan.design.to_string(),
        series: Vec::new(),
        columns: String::new(),
        cases: plan.cases(),
        shard: None,
    })
}

/// Seconds of all simulations alone, and of all cases of the sweep, taken in turn.
fn round(plan: &SweepPlan, shown: &Shown, seal: Seal, scenarios: &[Scenario]) -> (f64, f64) {
    let (mut alone_s, mut sweep_s) = (0.0, 0.0);
    for (i, scenario) in scenarios.iter().enumerate() {
        let start = Instant::now();
        black_box(simulate(scenario, Method::Rodas5p).expect("a run"));
        alone_s += start.elapsed().as_secs_f64();
        let start = Instant::now();
        let row = run_case(plan, i, Record::Heads(&[]));
        black_box((row.csv(shown, seal), row.json(plan, None, seal)));
        sweep_s += start.elapsed().as_secs_f64();
    }
    (alone_s, sweep_s)
}

/// Wall time of a sweep of this many PI hours by the program, and of two sizes of short runs the
/// peak memory: `cargo bench --bench sweep -- large`.
fn large() {
    let folder = std::env::temp_dir().join(format!("sweep-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the tables");
    let scenario = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(TWO_HOLES);
    for (cases, duration) in [(10_000, "1 h"), (1_000, "1 min"), (100_000, "1 min")] {
        let out = folder.join(format!("{cases}_{}", &duration[2..]));
        let mut command = Command::new(env!("CARGO_BIN_EXE_drybench"));
        command.arg("sweep").arg(&scenario).arg("-o").arg(&out);
        command.args(["--set", "control.kind=pi", "--set", "run.output_every=30 s"]);
        command.args(["--set", &format!("run.duration={duration}")]);
        command.args(["--axis", "heater.power=100..200 W", "--axis", "fan.circulation=4..8 L/s"]);
        command.args(["--latin", &cases.to_string()]);
        let from = Instant::now();
        let mut child = command.stderr(Stdio::null()).spawn().expect("the program starts");
        let status = format!("/proc/{}/status", child.id());
        let mut peak = String::new();
        while child.try_wait().expect("a child").is_none() {
            let text = std::fs::read_to_string(&status).unwrap_or_default();
            let found = text.lines().find_map(|l| l.strip_prefix("VmHWM:"));
            peak = found.map_or(peak, |p| p.trim().to_owned());
            std::thread::sleep(Duration::from_millis(5));
        }
        let wall_s = from.elapsed().as_secs_f64();
        println!("{cases} runs of {duration}: {wall_s:.1} s, peak memory {peak}");
    }
    std::fs::remove_dir_all(&folder).expect("the folder of this run");
}

fn main() {
    if std::env::args().any(|a| a == "large") {
        return large();
    }
    overhead();
}
