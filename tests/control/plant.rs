//! From a text to a run, and boxes to control.

use drybench::reader::{Source, render};
use drybench::run::{Method, Run, simulate};
use drybench::scenario::Scenario;

/// The scenario of a text.
pub fn scenario(text: &str) -> Scenario {
    let source = Source::from_bytes("test.toml", text.as_bytes());
    let source = source.unwrap_or_else(|e| panic!("{}", render(&e)));
    Scenario::read(&source).unwrap_or_else(|e| panic!("{}\n{text}", render(&e))).0
}

/// Simulates a text.
pub fn run(text: &str) -> Run {
    simulate(&scenario(text), Method::Rodas5p).unwrap_or_else(|e| panic!("{e}"))
}

/// Values of a column that must exist.
pub fn column<'a>(run: &'a Run, name: &str) -> &'a [f64] {
    &run.column(name).unwrap_or_else(|| panic!("no column {name}")).values
}

/// Value of a column at a time, by straight lines between samples.
pub fn value_at(run: &Run, name: &str, time_s: f64) -> f64 {
    let (t, v) = (&run.time_s, column(run, name));
    let i = t.partition_point(|x| *x < time_s).clamp(1, t.len() - 1);
    v[i - 1] + (v[i] - v[i - 1]) * (time_s - t[i - 1]) / (t[i] - t[i - 1])
}

/// Samples of a column from `from_s` to `to_s`.
pub fn between<'a>(
    run: &'a Run,
    name: &str,
    from_s: f64,
    to_s: f64,
) -> impl Iterator<Item = f64> + 'a {
    let pairs = run.time_s.iter().zip(column(run, name));
    pairs.filter(move |(t, _)| **t >= from_s && **t <= to_s).map(|(_, v)| *v)
}

/// Largest and smallest sample from `from_s` to `to_s`.
pub fn range(run: &Run, name: &str, from_s: f64, to_s: f64) -> (f64, f64) {
    let values = between(run, name, from_s, to_s);
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)))
}

/// Times at which `what` happened.
pub fn times(run: &Run, what: &str) -> Vec<f64> {
    run.events.iter().filter(|h| h.to_string() == what).map(|h| h.time_s).collect()
}

/// Fails unless `ours` is within `tolerance` of `theirs`, and prints both.
#[track_caller]
pub fn close(what: &str, ours: f64, theirs: f64, tolerance: f64) {
    println!("{what}: {ours:.6} against {theirs:.6}, gap {:.2e} of {tolerance:.0e}", ours - theirs);
    assert!((ours - theirs).abs() <= tolerance, "{what}: {ours} against {theirs}");
}

/// The same, `share` of their value being allowed.
#[track_caller]
pub fn within(what: &str, ours: f64, theirs: f64, share: f64) {
    close(what, ours, theirs, share * theirs.abs());
}

/// A dry box that is very nearly one lump: all but a hundredth of its heat is in the wall, and
/// neither film (10 kW/K) nor element (100 W/K, 1 J/K) nor air (10 mL) holds anything back.
pub struct Lump {
    /// Full power \[W\].
    pub power_w: f64,
    /// Loss to the room \[W/K\].
    pub loss_w_k: f64,
    /// Heat capacity \[J/K\].
    pub capacity_j_k: f64,
    /// Lag of the sensor \[s\].
    pub sensor_s: f64,
    /// `[control]`, `[run]` and the rest.
    pub rest: String,
}

impl Lump {
    /// 900 s, 120 K at full power: the plant of the closed forms.
    pub fn new(rest: impl Into<String>) -> Self {
        Lump { power_w: 12.0, loss_w_k: 0.1, capacity_j_k: 90.0, sensor_s: 0.1, rest: rest.into() }
    }

    /// The scenario.
    pub fn text(&self) -> String {
        format!(
            r#"
[room]
temperature = "24 °C"
relative_humidity = "0 %RH"
[enclosure]
volume = "10 mL"
inner_area = "50 m2"
inside_coefficient = "200 W/(m2 K)"
zones = ["box"]
wall_loss = "{} W/K"
wall_heat_capacity = "{} J/K"
[heater]
kind = "resistive"
power = "{} W"
heat_capacity = "1 J/K"
still_coupling = "100 W/K"
[fan]
circulation = "0 L/s"
[sensor.panel]
time_constant = "{} s"
{}
"#,
            self.loss_w_k,
            self.capacity_j_k - 1.0,
            self.power_w,
            self.sensor_s,
            self.rest
        )
    }

    /// Simulates it.
    pub fn run(&self) -> Run {
        run(&self.text())
    }
}

/// A small stirred box of two zones, 6 L, with a PTC element and holes of 8 mm in the return zone.
pub const DRYER: &str = r#"
[room]
temperature = "21 °C"
relative_humidity = "50 %RH"
[enclosure]
inner_size = ["200 mm", "200 mm", "150 mm"]
wall = { material = "ABS", thickness = "2.5 mm" }
[heater]
kind = "ptc"
power = "150 W"
[fan]
circulation = "7 L/s"
motor_power = "2 W"
[sensor.panel]
zone = "return"
time_constant = "20 s"
[sensor.room]
zone = "room"
time_constant = "60 s"
[vent.low]
kind = "hole"
zone = "return"
diameter = "8 mm"
height = "40 mm"
[vent.high]
kind = "hole"
zone = "return"
diameter = "8 mm"
height = "60 mm"
"#;

/// A wet pad for [`DRYER`].
pub const PAD: &str = r#"
[load.pad]
kind = "wet_pad"
water = "3 g"
dry_mass = "3 g"
size = ["70 mm", "50 mm", "4 mm"]
zone = "return"
"#;

/// An exhaust for [`DRYER`], less its rule.
pub const EXHAUST: &str = r#"
[exhaust]
zone = "return"
height = "150 mm"
max_pressure = "25 Pa"
max_flow = "20 L/min"
"#;

/// PI control for [`DRYER`].
pub const PI: &str = r#"
[control]
kind = "pi"
set_point = "55 °C"
sensor = "panel"
"#;
