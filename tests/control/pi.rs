//! PI control: second-order response, limits, anti-windup, watts against duty, switched output,
//! set-point ramp.

use crate::plant::{DRYER, Lump, PAD, between, close, column, range, run, times, value_at, within};
use drybench::model::control::KindSpec;
use drybench::run::Run;

fn pi(extra: &str) -> String {
    format!("[control]\nkind = \"pi\"\nsensor = \"panel\"\n{extra}\n")
}

#[test]
fn a_nearly_pure_integral_overshoots_like_a_second_order_system() {
    let rows = include_str!("data/second_order.csv").lines();
    let rows: Vec<_> = rows.filter(|l| l.starts_with(char::is_numeric)).collect();
    assert_eq!(rows.len(), 6);
    for row in rows {
        let (zeta, theirs) = row.split_once(',').expect("two columns");
        let zeta: f64 = zeta.parse().expect("a number");
        // C s^2 + (a + K) s + K/T_i with T_i = 1 s: the zero at 1/s is a thousand times faster.
        let (a, c) = (4.0, 3600.0);
        let root = |k: f64| (a + k).powi(2) - 4.0 * zeta * zeta * c * k;
        let (mut low, mut high) = (1e-5, 0.1);
        for _ in 0..60 {
            let mid = 0.5 * (low + high);
            if root(mid) > 0.0 { low = mid } else { high = mid }
        }
        let mut lump = Lump::new(
            pi(&format!("set_point = \"34 °C\"\ngain = \"{low:.9} W/K\"\nintegral_time = \"1 s\""))
                + "[run]\nduration = \"12 h\"\noutput_every = \"60 s\"",
        );
        // Strong enough never to saturate: it takes 40 W, and 110 W at most at the lowest zeta.
        let power_w = if zeta < 0.3 { 120.0 } else { 70.0 };
        (lump.power_w, lump.loss_w_k, lump.capacity_j_k) = (power_w, a, c);
        let run = lump.run();
        let peak = run.column("box_temperature_C").and_then(|c| c.peak).expect("a peak").value;
        let want = 10.0 * theirs.parse::<f64>().expect("a number");
        // The rounded lower limit of the command (a thousandth of the power) pushes the integral a
        // little at first; with an integral time of 1 s that shows, 20 mK or 0.2 % of the step.
        close(&format!("overshoot at zeta {zeta}"), peak - 34.0, want, 0.03);
    }
}

#[test]
fn the_defaults_follow_the_tuning_rule() {
    // Lag and dead time 60 s, wall 700 s and 1.05 K/W, closed-loop time constant = dead time.
    let (tau, gain, theta) = (700.0, 1.05, 60.0);
    let s = crate::plant::scenario(
        &Lump::new(pi("set_point = \"65 °C\"") + "[run]\nduration = \"1 h\"").text(),
    );
    let KindSpec::Pi(spec) = s.control.kind else { panic!("no PI") };
    within("gain", spec.gain_w_k, tau / (gain * 2.0 * theta), 0.01);
    within("integral time", spec.integral_time_s, f64::min(tau, 8.0 * theta), 1e-12);
}

#[test]
fn a_long_saturation_winds_nothing_up() {
    // A quarter of 12 W holds 54 °C: 65 °C is out of reach for three hours. Unlimited, the
    // integral would then stand at 0.5 W/K x 11 K x 10800 s / 480 s = 124 W and more.
    let text = pi(
        "set_point = \"65 °C\"\ngain = \"0.5 W/K\"\nintegral_time = \"480 s\"\npower_limit = \"25 %\"",
    ) + "[event.lower]\nkind = \"set_point\"\nat = \"3 h\"\ntemperature = \"44 °C\"\n\
         [run]\nduration = \"6 h\"\noutput_every = \"10 s\"";
    let run = Lump::new(text).run();
    let (_, most) = range(&run, "heater_power_W", 0.0, 10_790.0);
    // The corner of the limit is rounded over 1e-3 of the nominal power.
    assert!(most <= 3.0 + 1e-4, "{most} W at a limit of 3 W");
    close("power in saturation", value_at(&run, "heater_power_W", 9_000.0), 3.0, 1e-3);
    // Off at once: 0.5 W/K x (-10 K) + 3 W < 0.
    assert!(value_at(&run, "heater_power_W", 10_810.0) < 1e-3);
    // On its way down it may sag by a kelvin or two, and is settled after an hour and a half.
    let (low, high) = range(&run, "box_temperature_C", 16_200.0, 21_600.0);
    assert!(low > 43.8 && high < 44.2, "{low}..{high}");
    let (low, _) = range(&run, "box_temperature_C", 10_800.0, 21_600.0);
    assert!(low > 42.0, "sags to {low} °C");
}

/// Power shortly after the start, 41 K below the set point, at a gain of 0.1 W/K.
fn first_power(extra: &str) -> f64 {
    let control = pi(&format!(
        "set_point = \"65 °C\"\ngain = \"0.1 W/K\"\nintegral_time = \"10000 s\"\n{extra}"
    ));
    let text = Lump::new(control + "[run]\nduration = \"4 s\"\noutput_every = \"1 s\"").text();
    let run = run(&text.replacen("power = \"12 W\"", "power = \"12 W\"\nsupply_voltage = 1.1", 1));
    value_at(&run, "heater_power_W", 1.0)
}

#[test]
fn watts_are_watts_and_a_duty_follows_the_line() {
    // 4.1 W less what the sensor has seen of the first second.
    within("watts", first_power(""), 4.1, 5e-3);
    within("duty", first_power("output = \"duty\""), 4.1 * 1.21, 5e-3);
    // A limit caps the command and does not scale it.
    within(
        "duty under a limit",
        first_power("output = \"duty\"\npower_limit = 0.5"),
        4.1 * 1.21,
        5e-3,
    );
    within("capped duty", first_power("output = \"duty\"\npower_limit = 0.2"), 0.2 * 14.52, 5e-3);
    within("capped watts", first_power("power_limit = 0.2"), 0.2 * 14.52, 5e-3);
}

fn dryer(kind: &str, control: &str) -> Run {
    let text = DRYER.replacen("kind = \"ptc\"", kind, 1);
    run(&format!(
        "{text}{}[run]\nduration = \"2 h\"\noutput_every = \"0.5 s\"",
        pi(&format!("set_point = \"55 °C\"\n{control}"))
    ))
}

fn mean(run: &Run, name: &str) -> f64 {
    let (sum, n) = between(run, name, 5400.0, 7200.0).fold((0.0, 0), |(s, n), v| (s + v, n + 1));
    sum / f64::from(n)
}

#[test]
fn a_switched_window_does_what_its_average_does() {
    let cases = [
        ("kind = \"resistive\"", ""),
        ("kind = \"resistive\"\nsupply_voltage = 1.2", ""),
        ("kind = \"ptc\"", "power_limit = 0.5"),
        ("kind = \"ptc\"\nsupply_voltage = 0.9", "output = \"duty\""),
    ];
    for (word, limit) in cases {
        let averaged = dryer(word, limit);
        let switched = dryer(word, &format!("window = \"10 s\"\n{limit}"));
        let energy = |run: &Run| {
            let (low, high) = range(run, "heater_energy_Wh", 5400.0, 7200.0);
            (high - low) * 2.0
        };
        let whole = |run: &Run| value_at(run, "heater_energy_Wh", 7200.0);
        within("energy of the whole run", whole(&switched), whole(&averaged), 0.01);
        // The window holds the command for 10 s and the element is not linear: 1 % and 0.1 K.
        within(&format!("mean power, {word} {limit}"), energy(&switched), energy(&averaged), 0.01);
        let air = "return_temperature_C";
        close("mean air", mean(&switched, air), mean(&averaged, air), 0.1);
        let (low, high) = range(&switched, "element_temperature_C", 5400.0, 7200.0);
        let most = range(&switched, "heater_power_W", 5400.0, 7200.0).1;
        let duty = energy(&switched) / most;
        let bound = most * 10.0 * duty * (1.0 - duty) / 150.0;
        println!("ripple {:.3} K of at most {bound:.3} K, duty {duty:.3}", high - low);
        // Beside the switching the mean drifts by some hundredths.
        assert!(high - low <= bound + 0.1 && high - low > 0.5 * bound, "{} {bound}", high - low);
    }
}

#[test]
fn windows_begin_on_time() {
    let run = dryer("kind = \"resistive\"", "window = \"10 s\"");
    let on = times(&run, "heater on");
    assert!(on.len() > 500, "{} windows", on.len());
    for t in on {
        assert!((t / 10.0 - (t / 10.0).round()).abs() < 1e-6, "switched on at {t} s");
    }
}

#[test]
fn a_ramp_has_its_rate_and_arrives() {
    let extra = "set_point = \"50 °C\"\nramp = { change = \"5 K\", per = \"1 min\" }";
    let lump = Lump::new(pi(extra) + "[run]\nduration = \"10 min\"\noutput_every = \"1 s\"");
    let run = lump.run();
    for (t, set) in run.time_s.iter().zip(column(&run, "set_point_C")) {
        let want = (24.0 + t / 12.0).min(50.0);
        assert!((set - want).abs() < 1e-6, "{set} °C at {t} s, want {want}");
    }
    // An event moves on from where the ramp is, at the same rate, also downwards.
    let event = "[event.back]\nkind = \"set_point\"\nat = \"2 min\"\ntemperature = \"29 °C\"\n";
    let lump = Lump::new(pi(extra) + event + "[run]\nduration = \"5 min\"\noutput_every = \"1 s\"");
    let run = lump.run();
    close("at the event", value_at(&run, "set_point_C", 120.0), 34.0, 1e-6);
    close("half a minute later", value_at(&run, "set_point_C", 150.0), 31.5, 1e-6);
    close("in the end", value_at(&run, "set_point_C", 300.0), 29.0, 1e-6);
}

#[test]
fn a_ramp_hardly_overshoots_where_a_thermostat_does() {
    let over = |control: &str| {
        let text = format!("{DRYER}{PAD}{control}[run]\nduration = \"2 h\"");
        run(&text).metric("overshoot_air_K").expect("an overshoot")
    };
    let ramped = over(&pi("set_point = \"55 °C\"\nramp = { change = \"5 K\", per = \"1 min\" }"));
    let switched = over(
        "[control]\nkind = \"thermostat\"\nset_point = \"55 °C\"\nhysteresis = \"2 K\"\nsensor = \"panel\"\n",
    );
    println!("air overshoots by {ramped:.2} K with the ramp, {switched:.2} K on/off");
    assert!(switched > 3.0 * ramped, "{ramped} {switched}");
}
