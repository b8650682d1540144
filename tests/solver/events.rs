//! Guards: located, fired in order, fired once.

use drybench::solver::{
    Dopri5, Failure, Rodas5p, Segment, SolverOptions, Stepper, System, integrate,
};

use crate::systems::run;

/// One heat store with a thermostat: C T' = P on - G (T - T_a). Sinks: heat from the mains and to
/// the room. Guards: switch on, switch off.
struct Thermostat {
    on: bool,
    low: f64,
    high: f64,
    switched: Vec<bool>,
}

const POWER: f64 = 60.0;
const CONDUCTANCE: f64 = 0.6;
const CAPACITY: f64 = 1200.0;
const AMBIENT: f64 = 20.0;

impl Thermostat {
    fn new(low: f64, high: f64) -> Self {
        Thermostat { on: true, low, high, switched: Vec::new() }
    }
}

impl System for Thermostat {
    fn core(&self) -> usize {
        1
    }
    fn len(&self) -> usize {
        3
    }
    fn rhs(&mut self, y: &[f64], dy: &mut [f64]) {
        let mains = if self.on { POWER } else { 0.0 };
        let loss = CONDUCTANCE * (y[0] / CAPACITY - AMBIENT);
        dy.copy_from_slice(&[mains - loss, -mains, loss]);
    }
    fn jacobian(&mut self, _y: &[f64], jac: &mut [f64]) {
        let rate = CONDUCTANCE / CAPACITY;
        jac.copy_from_slice(&[-rate, 0.0, rate]);
    }
    fn abs_tol(&self) -> &[f64] {
        &[1e-3]
    }
    fn guards(&self) -> usize {
        2
    }
    fn guard_values(&mut self, y: &[f64], out: &mut [f64]) {
        let temp = y[0] / CAPACITY;
        out[0] = if self.on { -1.0 } else { self.low - temp };
        out[1] = if self.on { temp - self.high } else { -1.0 };
    }
    fn fire(&mut self, guard: usize, y: &[f64]) {
        let mut values = [0.0; 2];
        self.guard_values(y, &mut values);
        assert!(values[guard] >= 0.0, "an event must be past its guard: {values:?}");
        self.on = guard == 0;
        self.switched.push(self.on);
    }
    fn state_name(&self, i: usize) -> String {
        ["box", "mains", "room"][i].to_owned()
    }
}

/// Runs for an hour from the lower edge; returns the instants of the switchings.
fn edges<St: Stepper>(mut stepper: St) -> Vec<f64> {
    let mut system = Thermostat::new(54.5, 55.5);
    let mut y = [54.5 * CAPACITY, 0.0, 0.0];
    let start = y[0];
    let mut times = Vec::new();
    let mut reached = 0.0;
    let mut observe = |_: &mut Thermostat, s: &Segment, up_to: f64| {
        let whole = s.t0() == reached && up_to > s.t0() && up_to <= s.t1();
        assert!(whole, "a gap in the observation at {reached}");
        reached = up_to;
        if up_to < s.t1() {
            times.push(up_to);
        }
    };
    let fired =
        integrate(&mut stepper, &mut system, 0.0, &mut y, 3600.0, &mut observe).expect("solvable");
    assert_eq!(reached, 3600.0);
    assert_eq!((fired as usize, times.len()), (system.switched.len(), system.switched.len()));
    let alternate = |(i, on): (usize, &bool)| *on == (i % 2 == 1);
    assert!(system.switched.iter().enumerate().all(alternate));
    // Relative to what was there and what went through.
    let closure = (y.iter().sum::<f64>() - start) / (start - y[1]);
    let statistics = stepper.statistics();
    println!("{fired} switchings, closure {closure:.1e}, {statistics:?}");
    assert!(closure.abs() < 1e-14, "{closure}");
    times
}

/// Duration of each half cycle in closed form: C/G ln((T_inf - T_from) / (T_inf - T_to)).
#[test]
fn thermostat_edges_match_the_closed_form() {
    let half = |t_inf: f64, from: f64, to: f64| {
        CAPACITY / CONDUCTANCE * ((t_inf - from) / (t_inf - to)).ln()
    };
    let t_on = half(AMBIENT + POWER / CONDUCTANCE, 54.5, 55.5);
    let t_off = half(AMBIENT, 55.5, 54.5);
    assert!((t_on - 30.769837679).abs() < 1e-8 && (t_off - 57.1467448881).abs() < 1e-8);
    let options = SolverOptions { h_max: 30.0, ..SolverOptions::default() };
    for times in [edges(Rodas5p::new(options)), edges(Dopri5::new(options))] {
        assert_eq!(times.len(), 81, "40 full cycles in an hour and the first edge of another");
        let mut worst = 0.0_f64;
        let mut expected = 0.0;
        for (i, t) in times.iter().enumerate() {
            expected += if i % 2 == 0 { t_on } else { t_off };
            worst = worst.max((t - expected).abs());
        }
        println!("worst edge {worst:.1e} s");
        assert!(worst < 1e-6, "{worst}");
    }
}

#[test]
fn without_hysteresis_it_fails_instead_of_looping() {
    let mut system = Thermostat::new(55.0, 55.0);
    let mut y = [54.0 * CAPACITY, 0.0, 0.0];
    let mut stepper = Rodas5p::new(SolverOptions::default());
    let result = run(&mut stepper, &mut system, (0.0, 3600.0), &mut y);
    let failure = result.expect_err("endless switching");
    println!("{failure}");
    assert!(matches!(failure, Failure::EventLoop { events: 200, .. }), "{failure}");
}

/// Time alone, with guards at given functions of it; logs what fires.
struct Clock {
    guards: Vec<fn(f64) -> f64>,
    log: Vec<usize>,
    /// Guards switched off by the one that fires.
    silences: Option<(usize, usize)>,
    silenced: Option<usize>,
}

impl Clock {
    fn new(guards: &[fn(f64) -> f64]) -> Self {
        Clock { guards: guards.to_vec(), log: Vec::new(), silences: None, silenced: None }
    }
}

impl System for Clock {
    fn core(&self) -> usize {
        1
    }
    fn len(&self) -> usize {
        1
    }
    fn rhs(&mut self, _y: &[f64], dy: &mut [f64]) {
        dy[0] = 1.0;
    }
    fn jacobian(&mut self, _y: &[f64], jac: &mut [f64]) {
        jac[0] = 0.0;
    }
    fn abs_tol(&self) -> &[f64] {
        &[f64::INFINITY]
    }
    fn guards(&self) -> usize {
        self.guards.len()
    }
    fn guard_values(&mut self, y: &[f64], out: &mut [f64]) {
        for (i, (out, guard)) in out.iter_mut().zip(&self.guards).enumerate() {
            *out = if self.silenced == Some(i) { -1.0 } else { guard(y[0]) };
        }
    }
    fn fire(&mut self, guard: usize, _y: &[f64]) {
        self.log.push(guard);
        if let Some((by, silenced)) = self.silences
            && by == guard
        {
            self.silenced = Some(silenced);
        }
    }
    fn state_name(&self, _i: usize) -> String {
        "time".to_owned()
    }
}

/// Runs a clock to 10 s in steps of 2 s; the log of guards and the instants of cuts.
fn tick(mut clock: Clock) -> (Vec<usize>, Vec<f64>) {
    let mut stepper =
        Rodas5p::new(SolverOptions { h_start: Some(2.0), h_max: 2.0, ..SolverOptions::default() });
    let mut cuts = Vec::new();
    let mut observe = |_: &mut Clock, s: &Segment, up_to: f64| {
        if up_to < s.t1() {
            cuts.push(up_to);
        }
    };
    let fired = integrate(&mut stepper, &mut clock, 0.0, &mut [0.0], 10.0, &mut observe);
    assert_eq!(fired, Ok(clock.log.len() as u64));
    (clock.log, cuts)
}

#[test]
fn several_guards_in_one_step_fire_in_order() {
    let (log, cuts) = tick(Clock::new(&[|t| t - 0.9, |t| t - 0.3, |t| (t - 0.6).powi(3)]));
    assert_eq!(log, [1, 2, 0]);
    for (cut, expected) in cuts.iter().zip([0.3, 0.6, 0.9]) {
        assert!(*cut >= expected && cut - expected < 2e-9, "{cut} {expected}");
    }
}

#[test]
fn guards_at_one_instant_all_fire_unless_taken_back() {
    let same: [fn(f64) -> f64; 2] = [|t| t - 0.7, |t| 3.0 * (t - 0.7)];
    assert_eq!(tick(Clock::new(&same)).0, [0, 1]);
    let mut clock = Clock::new(&same);
    clock.silences = Some((0, 1));
    assert_eq!(tick(clock).0, [0]);
}

#[test]
fn only_a_crossing_from_below_fires() {
    // At or above 0 from the start; above, below, above again; never up to 0; a jump.
    let (log, cuts) = tick(Clock::new(&[
        |t| t,
        |t| (t - 3.0) * (t - 5.0),
        |t| t - 11.0,
        |t| if t < 7.123 { -1.0 } else { 1.0 },
    ]));
    assert_eq!(log, [1, 3]);
    assert!((cuts[0] - 5.0).abs() < 3e-9 && (cuts[1] - 7.123).abs() < 3e-9, "{cuts:?}");
}

#[test]
fn a_crossing_exactly_at_the_stop_fires() {
    let mut clock = Clock::new(&[|t| t - 10.0 + 1e-10]);
    let mut stepper = Rodas5p::new(SolverOptions::default());
    let fired = run(&mut stepper, &mut clock, (0.0, 10.0), &mut [0.0]);
    assert_eq!((fired, clock.log), (Ok(1), vec![0]));
}

#[test]
fn guards_that_are_not_numbers_never_fire() {
    let (log, _) = tick(Clock::new(&[|_| f64::NAN, |t| if t > 4.0 { f64::NAN } else { -1.0 }]));
    assert!(log.is_empty());
}
