//! What `assess` makes of the air changes of simulated boxes holds the truth: the room air that the run itself
//! counted, while the box was damp.

mod common;

use common::{column, scenario_of};
use drybench::assess::{Evidence, Finding, Value, assess, evidence_of_run};
use drybench::run::{Method, Run, simulate};
use drybench::uncertainty::Estimate;

fn run(name: &str) -> Run {
    let path = format!("{}/scenarios/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let scenario = scenario_of(&std::fs::read(path).expect("a bundled scenario"));
    simulate(&scenario, Method::Rodas5p).expect("a run")
}

/// Room air that entered \[volumes of the box an hour\] while vapour in the box was denser than that of the
/// room by more than a share of its highest excess.
fn truth(run: &Run, share: f64) -> f64 {
    let entered = column(run, "room_air_entered_L");
    let vapour = column(run, "return_vapour_density_g_m3");
    let air = column(run, "water_path_in_air_g");
    let volume = 1e3 * air[air.len() - 1] / vapour[vapour.len() - 1];
    let room = vapour[0];
    let most = vapour.iter().map(|v| v - room).fold(0.0, f64::max);
    let (mut litres, mut hours) = (0.0, 0.0);
    for i in 1..run.time_s.len() {
        if 0.5 * (vapour[i] + vapour[i - 1]) - room > share * most {
            litres += entered[i] - entered[i - 1];
            hours += (run.time_s[i] - run.time_s[i - 1]) / 3600.0;
        }
    }
    litres / volume / hours
}

fn found(evidence: &Evidence) -> Finding {
    let all = assess(evidence).findings;
    all.into_iter().find(|f| f.key == "air_changes_by_water_per_h").expect("the figure")
}

/// Whether a figure holds a value, and how wide it is, over the value.
fn holds(finding: &Finding, truth: f64) -> (bool, f64) {
    match &finding.value {
        Value::Estimate(e) => ((e.value - truth).abs() <= e.expanded(), 2.0 * e.expanded() / truth),
        Value::Between { low, high } => ((*low..=*high).contains(&truth), (high - low) / truth),
        Value::AtLeast { low } => (*low <= truth, f64::INFINITY),
        other => panic!("{other:?}"),
    }
}

/// The same run as a person would have seen it: weighed every half hour, sensors with a stated accuracy.
fn measured(run: &Run) -> Evidence {
    let mut evidence = evidence_of_run(run);
    let noted = |t: f64| (t / 1800.0 - (t / 1800.0).round()).abs() < 1e-9;
    evidence.weighed.continuous = false;
    evidence.weighed.weighings.retain(|(t, _)| noted(*t));
    let scale = |m: &mut Estimate| *m = Estimate::new(m.value, 1e-5);
    evidence.weighed.weighings.iter_mut().for_each(|w| scale(&mut w.1));
    evidence.weighed.start_kg.iter_mut().for_each(scale);
    for probe in &mut evidence.probes {
        (probe.temp_sd_k, probe.rh_sd) = (0.25, 0.01);
    }
    evidence
}

const BOXES: [&str; 10] = [
    "two_holes_two_zones",
    "two_holes_one_zone",
    "one_small_hole",
    "sealed",
    "timed_exhaust",
    "winter_room",
    "summer_room",
    "plywood_box",
    "high_altitude",
    "pi_with_ramp",
];

#[test]
fn air_changes_of_simulated_boxes_hold_the_truth() {
    let mut narrow = 0;
    for name in BOXES {
        let run = run(name);
        let truth = truth(&run, 0.1);
        for (kind, evidence) in [("exact", evidence_of_run(&run)), ("weighed", measured(&run))] {
            let finding = found(&evidence);
            let (holds, wide) = holds(&finding, truth);
            println!("{name} {kind}: truth {truth:.2}, {:?}, width {wide:.2}", finding.value);
            assert!(holds, "{name} {kind}: {truth:.2} is not in {:?}", finding.value);
            narrow += usize::from(wide < 0.5);
        }
    }
    // An interval that holds everything would hold the truth too.
    assert!(narrow >= 6, "only {narrow} of 20 tell the air changes within a quarter");
}

/// Without a scale nobody knows whether something still gives off water: the fall of the vapour is a lower
/// limit, and says so.
#[test]
fn without_weighings_the_fall_of_the_vapour_is_a_lower_limit() {
    for name in BOXES {
        let run = run(name);
        let mut evidence = evidence_of_run(&run);
        evidence.weighed = Default::default();
        let finding = found(&evidence);
        match finding.value {
            Value::AtLeast { low } => assert!(low <= truth(&run, 0.1), "{name}: {low}"),
            Value::NotShown { .. } => {}
            other => panic!("{name}: {other:?}"),
        }
    }
}
