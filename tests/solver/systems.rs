//! Small systems with exact derivatives, for the tests of the steppers.

use drybench::real::{Dual, Real};
use drybench::solver::{Failure, Stepper, System, integrate};

/// Most core states of a test system.
const WIDTH: usize = 8;

/// Integrates without looking on; returns how many events fired.
pub fn run<St: Stepper, S: System>(
    stepper: &mut St,
    system: &mut S,
    span: (f64, f64),
    y: &mut [f64],
) -> Result<u64, Failure> {
    integrate(stepper, system, span.0, y, span.1, &mut |_, _, _| {})
}

/// Rates of change, written once for numbers and for dual numbers.
pub trait Law {
    /// Absolute tolerance of each core state.
    fn abs_tol(&self) -> &[f64];
    /// Number of sinks behind the core states.
    fn sinks(&self) -> usize {
        0
    }
    /// Writes all rates of change; `y` holds the core states only.
    fn rates<R: Real>(&self, y: &[R], dy: &mut [R]);
}

/// A law without guards as a system.
pub struct Exact<L> {
    pub law: L,
    dual: Vec<Dual<WIDTH>>,
    rates: Vec<Dual<WIDTH>>,
}

impl<L: Law> Exact<L> {
    pub fn new(law: L) -> Self {
        let n = law.abs_tol().len();
        let zero = <Dual<WIDTH> as Real>::c(0.0);
        let (dual, rates) = (vec![zero; n], vec![zero; n + law.sinks()]);
        Exact { law, dual, rates }
    }
}

impl<L: Law> System for Exact<L> {
    fn core(&self) -> usize {
        self.dual.len()
    }
    fn len(&self) -> usize {
        self.rates.len()
    }
    fn rhs(&mut self, y: &[f64], dy: &mut [f64]) {
        self.law.rates(&y[..self.dual.len()], dy);
    }
    fn jacobian(&mut self, y: &[f64], jac: &mut [f64]) {
        for (i, (dual, y)) in self.dual.iter_mut().zip(y).enumerate() {
            *dual = Dual::seeded(*y, i);
        }
        self.law.rates(&self.dual, &mut self.rates);
        let n = self.dual.len();
        for (row, rate) in jac.chunks_exact_mut(n).zip(&self.rates) {
            row.copy_from_slice(&rate.d[..n]);
        }
    }
    fn abs_tol(&self) -> &[f64] {
        self.law.abs_tol()
    }
    fn state_name(&self, i: usize) -> String {
        format!("state {i}")
    }
}

/// A pendulum of unit length and gravity with two running totals, of the angle and of twice the
/// kinetic energy. `all_core` makes the totals ordinary states instead of sinks.
pub struct Pendulum {
    pub all_core: bool,
}

/// Start of the pendulum: nearly upright, so that it is far from linear.
pub const PENDULUM_START: [f64; 4] = [2.5, 0.0, 0.0, 0.0];

fn sine<R: Real>(x: R) -> R {
    x.chain(x.val().sin(), x.val().cos())
}

impl Law for Pendulum {
    fn abs_tol(&self) -> &[f64] {
        if self.all_core { &[1e-6; 4] } else { &[1e-6; 2] }
    }
    fn sinks(&self) -> usize {
        if self.all_core { 0 } else { 2 }
    }
    fn rates<R: Real>(&self, y: &[R], dy: &mut [R]) {
        dy[0] = y[1];
        dy[1] = -sine(y[0]);
        dy[2] = y[0];
        dy[3] = y[1].sq();
    }
}

/// The problem of Prothero and Robinson, y' = -stiffness (y - sin t) + cos t, with time as the
/// second state; from 0 the solution is sin t for any stiffness.
pub struct ProtheroRobinson {
    pub stiffness: f64,
}

impl Law for ProtheroRobinson {
    fn abs_tol(&self) -> &[f64] {
        &[1e-6, f64::INFINITY]
    }
    fn rates<R: Real>(&self, y: &[R], dy: &mut [R]) {
        let t = y[1];
        let cosine = t.chain(t.val().cos(), -t.val().sin());
        dy[0] = cosine - (y[0] - sine(t)) * self.stiffness;
        dy[1] = R::c(1.0);
    }
}

/// The kinetics of Robertson (rates 0.04, 3e7 and 1e4 per second), three species.
pub struct Robertson {
    pub abs_tol: [f64; 3],
}

impl Law for Robertson {
    fn abs_tol(&self) -> &[f64] {
        &self.abs_tol
    }
    fn rates<R: Real>(&self, y: &[R], dy: &mut [R]) {
        let (slow, fast, back) = (y[0] * 0.04, y[1].sq() * 3e7, y[1] * y[2] * 1e4);
        dy[0] = back - slow;
        dy[1] = slow - back - fast;
        dy[2] = fast;
    }
}

/// A conservative exchange: three heat stores [J] and one of water [kg] that evaporates from the
/// second into the third, with radiation, a heater fed by the mains and losses to the room.
/// Sinks: heat from the mains, heat to the room, water to the room, heat with that water.
pub struct Exchange;

/// Heat stores at 20, 40 and 30 degrees above their datum, water in two stores, and time.
pub const EXCHANGE_START: [f64; 10] = [2e3, 4e4, 3e3, 0.2, 1e-3, 0.0, 0.0, 0.0, 0.0, 0.0];

impl Law for Exchange {
    fn abs_tol(&self) -> &[f64] {
        &[1e-3, 1e-3, 1e-3, 1e-9, 1e-9, f64::INFINITY]
    }
    fn sinks(&self) -> usize {
        4
    }
    fn rates<R: Real>(&self, y: &[R], dy: &mut [R]) {
        const CAPACITY: [f64; 3] = [100.0, 1000.0, 100.0];
        const LATENT: f64 = 2.5e6;
        let temp = |i: usize| y[i] / CAPACITY[i];
        let (t0, t1, t2) = (temp(0), temp(1), temp(2));
        let mains = (-(y[5] / 600.0)).exp() * 50.0 + 10.0;
        let conduction = (t0 - t1) * 30.0;
        let fourth = |t: R| (t + 273.0).sq().sq();
        let radiation = (fourth(t1) - fourth(t2)) * 5e-9;
        let drying = ((t1 * 0.06).exp() - y[4] * 1e3) * 1e-6;
        let vent = y[4] * 0.05;
        let (carried, vented) = (drying * LATENT, vent * LATENT);
        let loss = t2 * 0.5;
        dy[0] = mains - conduction;
        dy[1] = conduction - radiation - carried;
        dy[2] = radiation + carried - loss - vented;
        dy[3] = -drying;
        dy[4] = drying - vent;
        dy[5] = R::c(1.0);
        dy[6] = -mains;
        dy[7] = loss;
        dy[8] = vent;
        dy[9] = vented;
    }
}
