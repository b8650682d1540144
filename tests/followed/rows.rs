//! The same bits for any rows.

use drybench::run::{Method, Run, simulate};

use crate::common::{bundled_text, scenario};

/// Boxes of each kind with the length that is simulated here \[s\].
const BOXES: [(&str, f64); 7] = [
    ("two_holes_two_zones.toml", 5_400.0),
    ("sealed.toml", 7_200.0),
    ("ptc_fan_stops.toml", 5_400.0),
    ("timed_exhaust_while_damp.toml", 7_200.0),
    ("desiccant_cool_down.toml", 7_200.0),
    ("pi_with_ramp.toml", 7_200.0),
    ("spool_left_in_the_room.toml", 43_200.0),
];

fn with_rows(text: &str, duration_s: f64, every_s: f64) -> Run {
    let mut scenario = scenario(text);
    scenario.run.duration_s = scenario.run.duration_s.min(duration_s);
    scenario.run.output_every_s = every_s;
    simulate(&scenario, Method::Rodas5p).unwrap_or_else(|e| panic!("{e}"))
}

/// Every figure with its bits, or why there is none; every peak; every warning.
fn said(run: &Run) -> Vec<String> {
    let metrics = run.metrics.iter().map(|m| {
        let bits = m.value.map(f64::to_bits);
        format!("{} {bits:?} {:?} {:?} {:?}", m.key, m.value, m.bound, m.why)
    });
    let peaks = run.columns.iter().filter_map(|c| {
        let p = c.peak?;
        Some(format!("{} {:?} at {:?}", c.name, p.value.to_bits(), p.time_s.to_bits()))
    });
    metrics.chain(peaks).chain(run.warnings.iter().cloned()).collect()
}

#[test]
fn figures_and_warnings_do_not_depend_on_the_rows() {
    for (name, duration_s) in BOXES {
        let text = bundled_text(name);
        let coarse = with_rows(&text, duration_s, 300.0);
        for every_s in [1.0, 30.0] {
            let fine = with_rows(&text, duration_s, every_s);
            assert!(fine.time_s.len() > coarse.time_s.len());
            assert_eq!(said(&coarse), said(&fine), "{name} with rows every {every_s} s");
        }
        assert!(coarse.metrics.len() > 15, "{name}");
    }
}

/// Figures from rows of one second, by plain loops, against those of the run.
#[test]
fn figures_are_what_fine_rows_approach() {
    for (name, duration_s) in &BOXES[..5] {
        let run = with_rows(&bundled_text(name), *duration_s, 1.0);
        let rows = |column: &str| &run.column(column).unwrap_or_else(|| panic!("{column}")).values;
        let metric = |key: &str| run.metric(key).unwrap_or_else(|| panic!("{name}: {key}"));
        let near = |key: &str, found: f64, off: f64| {
            let own = metric(key);
            assert!((own - found).abs() <= off, "{name}: {key} is {own}, rows say {found}");
        };
        for column in &run.columns {
            let Some(peak) = column.peak else { continue };
            let highest = column.values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            // Between two rows of a second a highest value hides little; none is above the peak but for
            // round-off of rows.
            assert!(
                peak.value >= highest - 1e-9 * (1.0 + highest.abs()),
                "{name}: {}",
                column.name
            );
            assert!(peak.value <= highest + 0.2 + 0.05 * highest.abs(), "{name}: {}", column.name);
        }
        let reading = rows("sensor_panel_temperature_C");
        let set = rows("set_point_C").last().expect("rows");
        let first = reading.iter().position(|v| *v >= set - 1.0).expect("a warm box");
        near("warm_up_min", first as f64 / 60.0, 1.0 / 60.0);
        let steady = (run.time_s.len() - 1) - 1800.min((run.time_s.len() - 1) / 2);
        let window = &reading[steady..];
        let (low, high) = window
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(*v), h.max(*v)));
        near("ripple_K", high - low, 0.01);
        if let Some(supply) = run.column("supply_temperature_C") {
            let off = |i: usize| (supply.values[i] - rows("return_temperature_C")[i]).abs();
            let all = steady..run.time_s.len() - 1;
            let mean =
                all.clone().map(|i| 0.5 * (off(i) + off(i + 1))).sum::<f64>() / all.len() as f64;
            near("hot_minus_cold_K", mean, 5e-3);
        }
        let walls: Vec<_> = run.columns.iter().filter(|c| c.name.ends_with("_film_g")).collect();
        let film = |i: usize| walls.iter().map(|c| c.values[i]).sum::<f64>();
        let wet = (0..run.time_s.len()).filter(|i| film(*i) > 0.1).count();
        near("condensation_min", wet as f64 / 60.0, 0.1);
    }
}
