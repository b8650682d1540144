//! The limit cycle of an on/off thermostat on a first-order plant.

use crate::plant::{Lump, close, column, times, within};
use drybench::run::Run;

const TAU_S: f64 = 900.0;
const ROOM_C: f64 = 24.0;
const RISE_K: f64 = 120.0;
const EDGES_C: [f64; 2] = [64.0, 66.0];

/// The value of `data/limit_cycle.csv` for this dead time.
fn theirs(dead_time_s: f64, quantity: &str) -> f64 {
    let text = include_str!("data/limit_cycle.csv");
    let rows = text.lines().map(|l| l.split(',').collect::<Vec<_>>());
    let mut found = rows.filter(|r| r[0].parse() == Ok(dead_time_s) && r[1] == quantity);
    let row = found.next().unwrap_or_else(|| panic!("no {quantity} at {dead_time_s} s"));
    row[2].parse().expect("a number")
}

/// Mean on-time, off-time \[s\] and extremes of the air \[°C\] of a run's last cycles.
fn cycle(run: &Run) -> [f64; 4] {
    let (on, off) = (times(run, "heater on"), times(run, "heater off"));
    assert!(on.len() > 6, "only {} cycles", on.len());
    let n = on.len() - 1;
    let last_off = off.iter().copied().filter(|t| *t > on[n - 1]).reduce(f64::min);
    let on_s = last_off.expect("an end") - on[n - 1];
    let period = on[n] - on[n - 1];
    let (low, high) = crate::plant::range(run, "box_temperature_C", on[n - 1], on[n]);
    [on_s, period - on_s, low, high]
}

fn simulated(sensor_s: f64) -> Run {
    let mut lump = Lump::new(
        "[control]\nkind = \"thermostat\"\nset_point = \"65 °C\"\nhysteresis = \"2 K\"\n\
         sensor = \"panel\"\n[run]\nduration = \"40 min\"\noutput_every = \"0.2 s\"\ntolerance = 1e-8",
    );
    lump.sensor_s = sensor_s;
    lump.run()
}

/// The exact cycle of plant and first-order sensor, by exponentials: on-time, off-time, extremes.
fn exact(lag_s: f64) -> [f64; 4] {
    let (mut plant, mut sensor, mut out) = (EDGES_C[0], EDGES_C[0], [0.0; 4]);
    for _ in 0..40 {
        for (i, goal, edge) in [(0, ROOM_C + RISE_K, EDGES_C[1]), (1, ROOM_C, EDGES_C[0])] {
            let a = (plant - goal) / (1.0 - lag_s / TAU_S);
            let b = sensor - goal - a;
            let at = |t: f64| goal + a * (-t / TAU_S).exp() + b * (-t / lag_s).exp();
            let past = |t: f64| if i == 0 { at(t) - edge } else { edge - at(t) };
            // The reading first goes on the way it went, so step over that.
            let mut t = 0.05;
            while past(t) < 0.0 {
                t += 0.05;
            }
            let (mut low, mut high) = (t - 0.05, t);
            for _ in 0..60 {
                let mid = 0.5 * (low + high);
                if past(mid) < 0.0 { low = mid } else { high = mid }
            }
            out[i] = high;
            sensor = edge;
            plant = goal + (plant - goal) * (-high / TAU_S).exp();
            out[3 - i] = plant;
        }
    }
    out
}

#[test]
fn without_dead_time_the_cycle_is_the_closed_one() {
    let [on, off, ..] = cycle(&simulated(0.1));
    // The sensor's 0.1 s acts as a dead time: each time grows by it, and by what the other phase
    // overshoots, 0.15 s of 23 s and 0.29 s of 44 s; so 0.8 %.
    within("time on", on, theirs(0.0, "t_on"), 8e-3);
    within("time off", off, theirs(0.0, "t_off"), 8e-3);
    within("period", on + off, theirs(0.0, "period"), 8e-3);
    // The lag stretches both times alike: the duty is theirs to a thousandth.
    close("duty", on / (on + off), theirs(0.0, "duty"), 5e-4);
    let band = theirs(0.0, "duty_small_band_limit");
    close("duty of a narrow band", on / (on + off), band, 1e-3);
}

#[test]
fn with_a_lag_the_cycle_is_that_of_two_exponentials() {
    for lag in [0.1, 10.0, 30.0] {
        let ours = cycle(&simulated(lag));
        let theirs = exact(lag);
        // Element and films add 10 ms and 1 mK to the two exponentials; the extremes lie between
        // samples of 0.2 s, which at 0.09 K/s is 0.01 K.
        for (i, what) in ["time on", "time off"].iter().enumerate() {
            close(&format!("{what}, lag {lag} s"), ours[i], theirs[i], 0.05 + 5e-4 * theirs[i]);
        }
        for (i, what) in ["trough", "peak"].iter().enumerate() {
            close(&format!("{what}, lag {lag} s"), ours[2 + i], theirs[2 + i], 0.03);
        }
    }
}

#[test]
fn a_lag_and_a_dead_time_of_equal_length_differ_little() {
    let run = simulated(30.0);
    let [on, off, low, high] = cycle(&run);
    // A ramp lags behind by the time constant whichever it is, but the sensor also turns round
    // more slowly than it would after a mere dead time: times longer, extremes further out, both
    // by less than half.
    let pairs = [
        ("on segment", on, theirs(30.0, "on_segment")),
        ("off segment", off, theirs(30.0, "off_segment")),
        ("overshoot", high - 65.0, theirs(30.0, "overshoot_above_sp")),
        ("undershoot", 65.0 - low, 65.0 - theirs(30.0, "trough")),
    ];
    for (what, ours, dead) in pairs {
        println!("{what}: lag {ours:.3}, dead time {dead:.3}");
        assert!(ours > 0.8 * dead && ours < 1.5 * dead, "{what}: {ours} against {dead}");
    }
    close("duty", on / (on + off), theirs(30.0, "duty"), 0.01);
}

#[test]
fn heating_up_takes_its_closed_time() {
    let run = simulated(0.1);
    let air = column(&run, "box_temperature_C");
    let i = air.iter().position(|t| *t >= 65.0).expect("it warms up");
    let part = (65.0 - air[i - 1]) / (air[i] - air[i - 1]);
    let at = run.time_s[i - 1] + part * (run.time_s[i] - run.time_s[i - 1]);
    // The air's own 12 mJ/K and the element 0.12 K above it take 0.07 s.
    close("air at the set point", at, theirs(0.0, "t_sp"), 0.1);
    // The sensor reads 66 °C 0.1 s after the air.
    let off = TAU_S * (RISE_K / (RISE_K - 42.0)).ln() + 0.1;
    close("first switch-off", times(&run, "heater off")[0], off, 0.1);
}
