//! Sensors and the thermostat's limit cycle.

use crate::TwoNodes;
use crate::common::{close, column, run, value_at};
use drybench::address::Change;

/// A box that does nothing, in a room that follows `table`, with a sensor of 8 s in the room.
fn watched_room(table: &str) -> String {
    let node = TwoNodes {
        power_w: 0.0,
        element_j_k: 1.0,
        coupling_w_k: 50.0,
        wall_j_k: 1200.0,
        outer_w_k: 0.6,
        start_c: 20.0,
        rest: format!(
            r#"
[sensor.probe]
zone = "room"
time_constant = "8 s"
[control]
kind = "off"
[run]
duration = "80 s"
output_every = "1 s"
tolerance = 1e-9
{table}"#
        ),
    };
    let constant = "temperature = \"20 °C\"\nrelative_humidity = \"0 %RH\"\n[start]";
    node.text().replacen(constant, "[start]", 1)
}

#[test]
fn a_sensor_answers_a_step_with_its_exponential() {
    // A step of 10 K within 1 ms counts as one at its middle, to the second order in 1 ms / 8 s.
    let run = run(&watched_room(
        r#"
[room.table]
time = ["0 s", "9.9995 s", "10.0005 s"]
temperature = ["20 °C", "20 °C", "30 °C"]
relative_humidity = ["0 %RH", "0 %RH", "0 %RH"]
"#,
    ));
    // 1 - exp(-t/8 s), worked out apart from this code.
    let table = [
        (5.0, 0.464738571481),
        (10.0, 0.71349520314),
        (30.0, 0.976482254144),
        (60.0, 0.99944691563),
    ];
    for (after, want) in table {
        let read = value_at(&run, "sensor_probe_temperature_C", 10.0 + after);
        close(&format!("answer after {after} s"), 0.1 * (read - 20.0), want, 1e-7);
    }
}

#[test]
fn a_sensor_lags_a_ramp_by_its_time_constant() {
    let run = run(&watched_room(
        r#"
[room.table]
time = ["0 s", "80 s"]
temperature = ["20 °C", "28 °C"]
relative_humidity = ["0 %RH", "0 %RH"]
"#,
    ));
    let readings = column(&run, "sensor_probe_temperature_C");
    let mut worst = 0.0_f64;
    for (t, read) in run.time_s.iter().zip(readings) {
        let want = 20.0 + 0.1 * (t - 8.0 * (1.0 - f64::exp(-t / 8.0)));
        worst = worst.max((read - want).abs());
    }
    // The solver may err by 1e-9 of 300 K absolute and again relative, each step.
    close("worst sample of the ramp", worst, 0.0, 6e-7);
}

#[test]
fn a_thermostat_runs_its_limit_cycle() {
    // P = 60 W, G = 0.6 W/K, C = 1200 J/K, room 20 °C, on at 54.5 °C, off at 55.5 °C.
    let node = TwoNodes {
        power_w: 60.0,
        element_j_k: 1.0,
        coupling_w_k: 50.0,
        wall_j_k: 1199.0,
        outer_w_k: 0.6,
        start_c: 20.0,
        rest: r#"
[sensor.panel]
zone = "box"
time_constant = "0.1 s"
[control]
kind = "thermostat"
set_point = "55 °C"
hysteresis = "1 K"
sensor = "panel"
[run]
duration = "2 h"
tolerance = 1e-8
"#
        .into(),
    };
    let run = run(&node.text());
    let edges: Vec<f64> = run.events.iter().map(|h| h.time_s).collect();
    assert!(edges.len() > 100, "{} edges", edges.len());
    let steady = &edges[edges.len() - 9..];
    let first_on = run.events[edges.len() - 9].change == Change::HeaterOn;
    let gap = |start: usize| {
        let each = steady.windows(2).skip(start).step_by(2).map(|w| w[1] - w[0]);
        each.clone().sum::<f64>() / each.count() as f64
    };
    let (on_s, off_s) = if first_on { (gap(0), gap(1)) } else { (gap(1), gap(0)) };
    // Without any lag: 30.769837679 s and 57.1467448881 s. The sensor's 0.1 s adds 0.1 s to either
    // for itself, and the other's overshoot has to be undone: 0.1 s times the ratio of the slopes
    // (32.5 and 17.5 mK/s), 0.05 and 0.19 s. The element's lag of 0.02 s does likewise; while on,
    // the air stands 60 W / 20 kW/K = 3 mK above the wall, which takes 0.09 s and 0.17 s off.
    let (up, down) = ((60.0 - 0.6 * 35.0) / 1200.0, 0.6 * 35.0 / 1200.0);
    let lag = 0.1 + 0.02;
    let jump = 60.0 / (crate::FILM * crate::AREA_M2);
    let want_on = 30.769837679 + lag * (1.0 + down / up) - jump / up;
    let want_off = 57.1467448881 + lag * (1.0 + up / down) - jump / down;
    // What is left out is of the second order in lag over period.
    close("time on", on_s, want_on, 0.02);
    close("time off", off_s, want_off, 0.02);
    close("duty", on_s / (on_s + off_s), 0.349989009815, 1e-3);
}
