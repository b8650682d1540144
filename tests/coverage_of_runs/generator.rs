//! Runs with known truth, from closed forms: exponentials for warm-up, reheating, cooling, drying and the
//! decay of humidity, a saw-tooth or a damped swing for the control, a first-order lag, offsets, noise,
//! rounding. Shares no code with importer or simulator. Moist air by Magnus' formula (constants for -45 to
//! 60 °C of the usual meteorological table; mem).

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::dice::Dice;

/// How far off sensors are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Offsets {
    /// Evenly within their stated limits, which is what the program takes.
    Drawn,
    /// At one of the limits, each to a side by chance.
    AtLimits,
}

/// A run as a person has it, and what is true of it.
#[derive(Debug, Default)]
pub struct Run {
    pub log: String,
    pub notes: Option<String>,
    pub toml: String,
    /// True values by key; absent where the run has none.
    pub truth: BTreeMap<&'static str, f64>,
}

/// Fine grid \[s\].
const DT_S: f64 = 0.5;

fn saturation_pa(c: f64) -> f64 {
    611.2 * (17.62 * c / (243.12 + c)).exp()
}

const TOTAL_PA: f64 = 101_325.0;

fn ratio_of(c: f64, rh: f64) -> f64 {
    let pa = rh * saturation_pa(c);
    0.622 * pa / (TOTAL_PA - pa)
}

fn pa_of(ratio: f64) -> f64 {
    TOTAL_PA * ratio / (0.622 + ratio)
}

fn rh_of(c: f64, ratio: f64) -> f64 {
    pa_of(ratio) / saturation_pa(c)
}

fn density_g_m3(c: f64, ratio: f64) -> f64 {
    1e3 * pa_of(ratio) / (461.5 * (c + 273.15))
}

fn dew_c(ratio: f64) -> f64 {
    let x = (pa_of(ratio) / 611.2).ln();
    243.12 * x / (17.62 - x)
}

/// Dry air \[kg/m3\].
fn dry_air(c: f64, ratio: f64) -> f64 {
    (TOTAL_PA - pa_of(ratio)) / (287.05 * (c + 273.15))
}

/// A sensor that is wrong within what it states, behind a lag.
struct Sensor {
    off_k: f64,
    off_rh: f64,
    lag_s: f64,
    noise_k: f64,
    noise_rh: f64,
    step: f64,
}

impl Sensor {
    fn shows(&self, dice: &mut Dice, c: f64, rh: f64) -> (f64, f64) {
        let round = |v: f64| (v / self.step).round() * self.step;
        let t = c + self.off_k + dice.normal(self.noise_k);
        let h = 100.0 * (rh + self.off_rh + dice.normal(self.noise_rh));
        (round(t), round(h))
    }
}

fn lagged(values: &[f64], lag_s: f64) -> Vec<f64> {
    let share = 1.0 - (-DT_S / lag_s).exp();
    let mut x = values[0];
    values
        .iter()
        .map(|v| {
            x += share * (v - x);
            x
        })
        .collect()
}

/// What a box does, on the fine grid.
struct Course {
    air_c: Vec<f64>,
    on: Vec<bool>,
    ratio: Vec<f64>,
}

/// Everything drawn of a run.
struct Draw {
    room_c: f64,
    room_rh: f64,
    set_c: f64,
    volume_m3: f64,
    changes_h: f64,
    log_step_s: f64,
    limit_k: f64,
    limit_rh: f64,
    hot: Sensor,
    cold: Sensor,
    bench: Sensor,
}

fn draw(dice: &mut Dice, offsets: Offsets) -> Draw {
    let limit_k = dice.of(&[0.2, 0.3, 0.5]);
    let limit_rh = dice.of(&[0.015, 0.02, 0.03]);
    let (noise_k, noise_rh) = (dice.ratio(0.01, 0.12), dice.ratio(0.0005, 0.004));
    let step = dice.of(&[0.01, 0.1]);
    // Up to what is taken where nothing is stated.
    let lag_s = dice.ratio(4.0, 30.0);
    let sensor = |dice: &mut Dice| {
        let mut off = |limit: f64| match offsets {
            Offsets::Drawn => dice.even(-limit, limit),
            Offsets::AtLimits => limit * if dice.yes(0.5) { 1.0 } else { -1.0 },
        };
        let (off_k, off_rh) = (off(limit_k), off(limit_rh));
        Sensor { off_k, off_rh, lag_s, noise_k, noise_rh, step }
    };
    let (hot, cold, bench) = (sensor(dice), sensor(dice), sensor(dice));
    Draw {
        room_c: dice.even(18.0, 26.0),
        room_rh: dice.even(0.3, 0.6),
        set_c: dice.even(40.0, 65.0),
        volume_m3: 1e-3 * dice.even(4.0, 15.0),
        changes_h: dice.ratio(0.6, 6.0),
        log_step_s: dice.of(&[5.0, 10.0, 20.0, 30.0]),
        limit_k,
        limit_rh,
        hot,
        cold,
        bench,
    }
}

/// The description; `more` are lines after it.
fn toml(d: &Draw, dice: &mut Dice, volume_known: f64, more: &str) -> String {
    let lag = if dice.yes(0.5) {
        let stated = d.hot.lag_s * (1.0 + dice.normal(0.1));
        format!("time_constant = \"{stated:.2} ± {:.2} s\"\n", 0.1 * stated)
    } else {
        String::new()
    };
    let mut out = format!(
        "title = \"synthetic\"\nstart = \"10:00\"\n[enclosure]\nfree_volume = \"{:.4} ± {:.4} L\"\n\
         {more}[control]\nset_point = \"{:.3} °C\"\n[log.box]\nfile = \"log\"\nfirst_row_at = \"10:00\"\n",
        1e3 * volume_known,
        0.02e3 * volume_known,
        d.set_c
    );
    for (name, place) in [("hot", "supply"), ("cold", "return"), ("bench", "room")] {
        let _ = write!(
            out,
            "[sensor.{name}]\nlog = \"box\"\nplace = \"{place}\"\ncontrols = {}\n\
             accuracy_temperature = \"{} K\"\naccuracy_humidity = \"{} %RH\"\n{lag}",
            name == "hot",
            d.limit_k,
            100.0 * d.limit_rh,
        );
    }
    out
}

fn log(d: &Draw, dice: &mut Dice, course: &Course, apart: &[f64], heater: bool) -> String {
    let mut out = String::from(
        "time_s,hot_temperature_C,hot_humidity_pct,cold_temperature_C,cold_humidity_pct,\
         bench_temperature_C,bench_humidity_pct",
    );
    out.push_str(if heater { ",heater\n" } else { "\n" });
    let rh: Vec<f64> = course.air_c.iter().zip(&course.ratio).map(|(c, w)| rh_of(*c, *w)).collect();
    let cold_c: Vec<f64> = course.air_c.iter().zip(apart).map(|(c, a)| c - a).collect();
    let cold_rh: Vec<f64> = cold_c.iter().zip(&course.ratio).map(|(c, w)| rh_of(*c, *w)).collect();
    let all = [&course.air_c, &rh, &cold_c, &cold_rh].map(|v| lagged(v, d.hot.lag_s));
    let every = (d.log_step_s / DT_S) as usize;
    for i in (0..course.air_c.len()).step_by(every) {
        let (t1, h1) = d.hot.shows(dice, all[0][i], all[1][i]);
        let (t2, h2) = d.cold.shows(dice, all[2][i], all[3][i]);
        let (t3, h3) = d.bench.shows(dice, d.room_c, d.room_rh);
        let _ = write!(out, "{},{t1:.2},{h1:.2},{t2:.2},{h2:.2},{t3:.2},{h3:.2}", i as f64 * DT_S);
        out.push_str(match (heater, course.on[i]) {
            (false, _) => "\n",
            (_, true) => ",1\n",
            (_, false) => ",0\n",
        });
    }
    out
}

fn clock(s: f64) -> String {
    let s = (s + 36_000.0).round() as u64;
    format!("{:02}:{:02}:{:02}", s / 3600 % 24, s / 60 % 60, s % 60)
}

/// First crossing from below, by straight lines \[s\].
fn rising_s(values: &[f64], level: f64) -> Option<f64> {
    let i = values.windows(2).position(|w| w[0] < level && w[1] >= level)?;
    Some(DT_S * (i as f64 + (level - values[i]) / (values[i + 1] - values[i])))
}

/// First time from which values stay within 1 of a target for 10 min, readings of `out` left out \[s\].
fn settled_s(values: &[f64], target: f64, out: impl Fn(f64) -> bool) -> Option<f64> {
    let mut since = None;
    for (i, v) in values.iter().enumerate() {
        let t = DT_S * i as f64;
        if out(t) {
            continue;
        }
        if (v - target).abs() > 1.0 {
            since = None;
        } else if t - *since.get_or_insert(t) >= 600.0 {
            return since;
        }
    }
    None
}

/// Mean of the successive extremes' distances between two times.
fn swing(values: &[f64], from_s: f64, to_s: f64) -> Option<f64> {
    let part = &values[(from_s / DT_S) as usize..(to_s / DT_S) as usize];
    let turns = part.windows(3).filter(|w| (w[1] - w[0]) * (w[2] - w[1]) < 0.0).map(|w| w[1]);
    let turns: Vec<f64> = turns.collect();
    let n = turns.len().checked_sub(1).filter(|n| *n >= 3)?;
    Some(turns.windows(2).map(|w| (w[1] - w[0]).abs()).sum::<f64>() / n as f64)
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (n, sum) = values.fold((0.0, 0.0), |(n, s), v| (n + 1.0, s + v));
    sum / n
}

/// A wet load in a box that warms up, is weighed every 45 min and perhaps cools at the end.
pub fn drying(seed: u64, offsets: Offsets) -> Run {
    let dice = &mut Dice::new(seed);
    let d = draw(dice, offsets);
    let mut truth = BTreeMap::new();
    // Control: a saw-tooth between two levels, or a damped swing.
    let sawtooth = dice.yes(0.6);
    let half_k = dice.ratio(0.3, 1.6);
    let tau_s = 60.0 * dice.even(15.0, 60.0);
    let hot_c = d.set_c + dice.even(12.0, 40.0);
    let overshoot_k = dice.ratio(0.4, 4.0);
    let peak_s = 60.0 * dice.even(10.0, 25.0);
    let off_s = 45.0 * 60.0 * dice.of(&[4.0, 5.0]) + 300.0;
    let cooling = dice.yes(0.5);
    let end_s = if cooling { off_s + 60.0 * dice.even(25.0, 60.0) } else { off_s };
    let n = (end_s / DT_S) as usize + 1;
    let (mut air_c, mut on) = (vec![d.room_c; n], vec![false; n]);
    let share = 1.0 - (-DT_S / tau_s).exp();
    let (damp, turn) = {
        let turn = std::f64::consts::PI / peak_s;
        (-(overshoot_k / (d.set_c - d.room_c)).ln() / peak_s, turn)
    };
    let mut heats = true;
    for i in 1..n {
        let t = DT_S * i as f64;
        let last = air_c[i - 1];
        air_c[i] = if t > off_s {
            heats = false;
            last + share * (d.room_c - last)
        } else if sawtooth {
            last + share * (if heats { hot_c } else { d.room_c } - last)
        } else {
            let swing = (-damp * t).exp() * ((turn * t).cos() + damp / turn * (turn * t).sin());
            d.set_c + (d.room_c - d.set_c) * swing
        };
        if sawtooth && t <= off_s {
            heats = if heats { air_c[i] < d.set_c + half_k } else { air_c[i] < d.set_c - half_k };
        }
        on[i] = heats && t <= off_s;
    }
    on[0] = true;
    // Water: the load dries exponentially, the air follows. Every weighing swaps a share of the gas and
    // cools the box, which reheats. Content of dry air as at the set point.
    let weighed_s: Vec<f64> =
        (1..).map(|k| 2700.0 * f64::from(k)).take_while(|t| *t <= off_s).collect();
    let room_w = ratio_of(d.room_c, d.room_rh);
    let flow_kg_s = d.changes_h / 3600.0 * d.volume_m3 * dry_air(d.room_c, room_w);
    let held_kg = d.volume_m3 * dry_air(d.set_c, room_w);
    let dry_s = 60.0 * dice.even(30.0, 70.0);
    let (dry_g, most_rh) = (dice.even(3.0, 30.0), dice.even(0.25, 0.5));
    // What makes the air as damp as wanted at its dampest, about.
    let gain_w = ratio_of(d.set_c, most_rh) - room_w;
    let added_g = (1e3 * gain_w.max(1e-3) * (flow_kg_s * dry_s + held_kg) * 1.5).max(1.0);
    let swapped = dice.even(0.35, 0.85).clamp(0.0, 1.0);
    let swapped = if offsets == Offsets::Drawn { swapped } else { 0.6 };
    let (dip_k, reheat_s) = (dice.even(0.5, 4.0), 60.0 * dice.even(0.7, 1.6));
    let rate = flow_kg_s / held_kg;
    let k = 1.0 / dry_s;
    let source = |t: f64| 1e-3 * added_g * k * (-k * t).exp();
    let mut ratio = vec![room_w; n];
    let (mut excess_w, mut vented_kg, mut by_lid_kg) = (0.0, 0.0, 0.0);
    let last_weighed_s = *weighed_s.last().expect("some");
    let mut next = 0;
    for (i, ratio) in ratio.iter_mut().enumerate().skip(1) {
        let t = DT_S * (i - 1) as f64;
        // exact for an exponential source
        let forced = source(t) / (held_kg * (rate - k));
        let before = excess_w;
        excess_w = forced * (-k * DT_S).exp() + (excess_w - forced) * (-rate * DT_S).exp();
        if t + DT_S <= last_weighed_s {
            vented_kg += flow_kg_s * 0.5 * (before + excess_w) * DT_S;
        }
        if weighed_s.get(next).is_some_and(|w| t + DT_S > *w) {
            next += 1;
            // The gas that was there, but for what is being weighed last.
            if next <= weighed_s.len() {
                by_lid_kg += swapped * excess_w * held_kg;
            }
            excess_w *= 1.0 - swapped;
        }
        *ratio = room_w + excess_w;
    }
    for &w in &weighed_s {
        for (i, air_c) in air_c.iter_mut().enumerate().skip((w / DT_S) as usize) {
            let t = DT_S * i as f64 - w;
            // Falls within 40 s, comes back exponentially.
            let fall = (t / 40.0).min(1.0);
            *air_c -= dip_k * fall * (-(t - 40.0).max(0.0) / reheat_s).exp();
        }
    }
    let apart_k = dice.even(0.5, 6.0);
    let apart: Vec<f64> =
        (0..n).map(|i| apart_k * (1.0 - (-DT_S * i as f64 / 300.0).exp())).collect();
    let course = Course { air_c, on, ratio };
    let sensor_c = lagged(&course.air_c, d.hot.lag_s);
    let lid = |t: f64| weighed_s.iter().any(|w| (*w..=w + 340.0).contains(&t));
    let seen = |v: &[f64]| -> Vec<f64> {
        let rows = v.iter().enumerate();
        rows.filter(|(i, _)| !lid(DT_S * *i as f64)).map(|(_, v)| *v).collect()
    };

    // What is true of it.
    let mut put = |key: &'static str, value: Option<f64>| {
        truth.extend(value.filter(|v| v.is_finite()).map(|v| (key, v)));
    };
    let warm_s = rising_s(&course.air_c, d.set_c - 1.0);
    put("warm_up_min", warm_s.map(|s| s / 60.0));
    put("settling_min", settled_s(&course.air_c, d.set_c, lid).map(|s| s / 60.0));
    let hottest = seen(&sensor_c).into_iter().fold(f64::MIN, f64::max);
    put("overshoot_sensor_K", Some(hottest - d.set_c));
    put("hottest_C", Some(hottest));
    let above = seen(&sensor_c).iter().filter(|v| **v > d.set_c + 1.0).count();
    put("above_min", Some(above as f64 * DT_S / 60.0));
    let (from_s, to_s) = (off_s - 1800.0, off_s);
    put("supply_minus_return_K", Some(apart_k));
    let steady = (from_s / DT_S) as usize..(to_s / DT_S) as usize;
    let of = |f: &dyn Fn(usize) -> f64| Some(mean(steady.clone().map(f)));
    put("hot_temperature_C", of(&|i| course.air_c[i]));
    put("hot_relative_humidity_pct", of(&|i| 100.0 * rh_of(course.air_c[i], course.ratio[i])));
    put("hot_vapour_density_g_m3", of(&|i| density_g_m3(course.air_c[i], course.ratio[i])));
    put("hot_dew_point_C", of(&|i| dew_c(course.ratio[i])));
    put("room_vapour_density_g_m3", Some(density_g_m3(d.room_c, room_w)));
    put("floor_rh_pct", Some(100.0 * rh_of(d.set_c, room_w)));
    put("air_changes_by_water_per_h", Some(d.changes_h));
    let left_g = |t: f64| dry_g + added_g * (-k * t).exp();
    put("added_g", Some(added_g));
    put("removed_g", Some(added_g + dry_g - left_g(last_weighed_s)));
    put("weighed_out_g", Some(added_g + dry_g - left_g(last_weighed_s)));
    put("removed_pct", Some(100.0 * (added_g + dry_g - left_g(last_weighed_s)) / added_g));
    for (key, share) in [("t50_min", 0.5_f64), ("t90_min", 0.1), ("t95_min", 0.05)] {
        put(key, Some(-share.ln() * dry_s / 60.0));
    }
    // Not so near to the half that the scale cannot tell.
    let half_s = weighed_s.iter().rev().find(|t| left_g(**t) > dry_g + 0.515 * added_g);
    put("rate_g_h", half_s.map(|t| 3600.0 * (added_g + dry_g - left_g(*t)) / t));
    put("vented_g", Some(1e3 * vented_kg));
    put("by_lid_g", Some(1e3 * by_lid_kg));
    put("unexplained_g", Some(0.0));

    // Heater: watts while it is on; the meter counts that.
    let power_w = dice.even(20.0, 200.0);
    let stated_w = power_w * (1.0 + dice.normal(0.01));
    let on_s = |from: f64, to: f64| {
        let part = (from / DT_S) as usize..(to / DT_S) as usize;
        course.on[part].iter().filter(|on| **on).count() as f64 * DT_S
    };
    let meter_noted = dice.yes(0.5) || !sawtooth;
    let metered_wh = power_w * if sawtooth { on_s(0.0, off_s) } else { 0.4 * off_s } / 3600.0;
    if sawtooth {
        put("duty_pct", Some(100.0 * on_s(from_s, to_s) / 1800.0));
        put("holding_power_W", Some(power_w * on_s(from_s, to_s) / 1800.0));
        let rises = course.on[steady.clone()].windows(2).filter(|w| w[0] != w[1]).count();
        let (high, low) = (d.set_c + half_k, d.set_c - half_k);
        let heats_s = tau_s * ((hot_c - low) / (hot_c - high)).ln();
        let cools_s = tau_s * ((high - d.room_c) / (low - d.room_c)).ln();
        // Switchings that readings can follow, and enough of them.
        let seen = heats_s.min(cools_s) > 2.5 * d.log_step_s && heats_s + cools_s < 360.0;
        // Before the last opening of the lid; the grid makes cycles a little longer than their closed form.
        let calm = (from_s / DT_S) as usize..((off_s - 320.0) / DT_S) as usize;
        let calm: Vec<bool> = course.on[calm].to_vec();
        let ons = (1..calm.len()).filter(|i| calm[*i] && !calm[*i - 1]);
        let ons: Vec<f64> = ons.map(|i| i as f64 * DT_S).collect();
        let cycle =
            ons.first().zip(ons.last()).map(|(a, b)| (b - a) / (ons.len() - 1) as f64 / 60.0);
        put("cycle_min", cycle.filter(|_| seen));
        put("switchings_per_h", (rises > 3 && seen).then_some(2.0 * rises as f64));
        let swings = heats_s.min(cools_s) > 4.0 * d.log_step_s && heats_s + cools_s < 360.0;
        if swings && half_k > 3.0 * d.hot.noise_k.max(0.03) {
            put("mean_swing_K", swing(&sensor_c, off_s - 1800.0, off_s - 320.0));
        }
        put("warm_up_time_constant_min", Some(tau_s / 60.0));
    }
    if cooling {
        put("cooling_time_constant_min", Some(tau_s / 60.0));
    }
    put("energy_Wh", Some(metered_wh));
    put("mean_W", Some(metered_wh / (off_s / 3600.0)));

    // The texts.
    let scale_g = 0.01;
    let mut notes = String::new();
    let repeated = dice.yes(0.5);
    let weigh = |dice: &mut Dice, g: f64| ((g + dice.normal(scale_g)) / 0.01).round() * 0.01;
    if repeated {
        let five: Vec<String> = (0..5).map(|_| format!("{:.2}", weigh(dice, 20.0))).collect();
        let _ = writeln!(notes, "repeat weighing: {} g", five.join(" "));
    }
    let _ = writeln!(notes, "dry {:.2} g", weigh(dice, dry_g));
    let _ = writeln!(notes, "wet {:.2} g", weigh(dice, left_g(0.0)));
    let _ = writeln!(notes, "{} into box", clock(0.0));
    for &t in &weighed_s {
        let _ = writeln!(notes, "{}  {:.2} g", clock(t), weigh(dice, left_g(t)));
    }
    if meter_noted {
        let start = dice.even(1.0, 90.0);
        let gain = 1.0 + dice.even(-0.02, 0.02);
        let _ = writeln!(notes, "meter {} {start:.3} kWh", clock(0.0));
        let end = start + 1e-3 * gain * metered_wh;
        let _ = writeln!(notes, "meter {} {end:.3} kWh", clock(off_s));
    }
    let volume_known = d.volume_m3 * (1.0 + dice.normal(0.02));
    let flow_l_min = 6e4 * d.changes_h / 3600.0 * d.volume_m3;
    let flow_known = flow_l_min * (1.0 + dice.normal(0.05));
    let more = format!("vent_flow = \"{flow_known:.6} ± {:.6} L/min\"\n", 0.05 * flow_l_min);
    let mut toml = toml(&d, dice, volume_known, &more);
    toml.push_str("[weighings]\nfile = \"notes\"\n");
    if !repeated {
        let _ = writeln!(toml, "scale_uncertainty = \"{:.4} g\"", scale_g.hypot(0.0029));
    }
    if sawtooth {
        let _ = writeln!(toml, "[heater]\npower = \"{stated_w:.3} ± {:.3} W\"", 0.01 * power_w);
    }
    if cooling && dice.yes(0.5) {
        let _ = writeln!(toml, "[event.off]\nkind = \"heater_off\"\nat = \"{}\"", clock(off_s));
    }
    let log = log(&d, dice, &course, &apart, sawtooth);
    Run { log, notes: Some(notes), toml, truth }
}

/// A warm box that was damp, with a dry object that is weighed at both ends, or with nothing on a scale.
pub fn decay(seed: u64, offsets: Offsets) -> Run {
    let dice = &mut Dice::new(seed ^ 0xdeca);
    let d = draw(dice, offsets);
    let room_w = ratio_of(d.room_c, d.room_rh);
    let rate = d.changes_h / 3600.0 * dry_air(d.room_c, room_w) / dry_air(d.set_c, room_w);
    let begin_s = 600.0;
    let end_s = begin_s + (dice.even(1.2, 4.0) / rate).clamp(1800.0, 6.0 * 3600.0);
    let n = (end_s / DT_S) as usize + 1;
    // As damp as walls half way to the room stay dry at.
    let wall_c = 0.5 * (d.room_c + d.set_c);
    let limit_w = ratio_of(wall_c, 1.0);
    let first_w = room_w + dice.even(0.5, 0.9) * (limit_w - room_w);
    let half_k = dice.ratio(0.05, 0.8);
    let cycle_s = 60.0 * dice.even(2.0, 8.0);
    let tooth = |t: f64| {
        let x = (t / cycle_s).fract();
        half_k * (if x < 0.4 { x / 0.2 - 1.0 } else { 1.0 - (x - 0.4) / 0.3 })
    };
    let time = |i: usize| DT_S * i as f64;
    let ratio = |i: usize| match time(i) - begin_s {
        t if t < 0.0 => room_w + (first_w - room_w) * (1.0 + t / begin_s),
        t => room_w + (first_w - room_w) * (-rate * t).exp(),
    };
    let course = Course {
        air_c: (0..n).map(|i| d.set_c + tooth(time(i))).collect(),
        on: (0..n).map(|i| (time(i) / cycle_s).fract() < 0.4).collect(),
        ratio: (0..n).map(ratio).collect(),
    };
    let truth = BTreeMap::from([("air_changes_by_water_per_h", d.changes_h)]);
    let weighed = dice.yes(0.5);
    let notes = weighed.then(|| {
        let mut notes = "scale reads to 0.01 g\n".to_owned();
        let mass = dice.even(20.0, 90.0);
        let mut weigh = || ((mass + dice.normal(0.004)) / 0.01).round() * 0.01;
        let _ = writeln!(notes, "start {:.2} g", weigh());
        let _ = writeln!(notes, "{} in box", clock(0.0));
        let _ = writeln!(notes, "{} {:.2} g", clock(60.0), weigh());
        let _ = writeln!(notes, "{} {:.2} g", clock(end_s), weigh());
        notes
    });
    let volume_known = d.volume_m3 * (1.0 + dice.normal(0.02));
    let mut toml = toml(&d, dice, volume_known, "");
    if weighed {
        toml.push_str("[weighings]\nfile = \"notes\"\n");
    }
    let log = log(&d, dice, &course, &vec![2.0; n], false);
    Run { log, notes, toml, truth }
}
