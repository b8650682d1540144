//! One accepted step as a polynomial in time.

/// One accepted step with dense output for all states, sinks included.
///
/// With `th = (t - t0) / (t1 - t0)` the state within the step is
///
/// ```text
/// y(th) = (1 - th) y0 + th (y1 + (1 - th) (d1 + th (d2 + th d3)))
/// ```
///
/// a polynomial of degree 4 for every stepper. It is linear in the `d`, so linear invariants hold
/// within a step as they do at its ends.
#[derive(Clone, Copy, Debug)]
pub struct Segment<'a> {
    t0: f64,
    t1: f64,
    y0: &'a [f64],
    y1: &'a [f64],
    /// d1, d2 and d3 one behind the other.
    d: &'a [f64],
}

impl<'a> Segment<'a> {
    /// Joins the pieces; `d` has three times the length of `y0` and `y1`.
    pub(super) fn new(t0: f64, t1: f64, y0: &'a [f64], y1: &'a [f64], d: &'a [f64]) -> Self {
        debug_assert!(y0.len() == y1.len() && d.len() == 3 * y0.len());
        Segment { t0, t1, y0, y1, d }
    }

    /// Start of the step (s).
    pub fn t0(&self) -> f64 {
        self.t0
    }

    /// End of the step (s).
    pub fn t1(&self) -> f64 {
        self.t1
    }

    /// State at the end.
    pub fn y1(&self) -> &'a [f64] {
        self.y1
    }

    /// The fraction of the step at time `t`, a time outside taken at the nearer end.
    fn theta(&self, t: f64) -> f64 {
        if t >= self.t1 {
            1.0
        } else if t <= self.t0 {
            0.0
        } else {
            (t - self.t0) / (self.t1 - self.t0)
        }
    }

    /// Writes the state at time `t`; outside the step, that at its nearer end.
    pub fn eval(&self, t: f64, out: &mut [f64]) {
        let th = self.theta(t);
        let rest = 1.0 - th;
        let n = self.y0.len();
        let (d1, tail) = self.d.split_at(n);
        let (d2, d3) = tail.split_at(n);
        let ends = self.y0.iter().zip(self.y1);
        let inner = d1.iter().zip(d2).zip(d3);
        for ((o, (a, b)), ((c1, c2), c3)) in out.iter_mut().zip(ends).zip(inner) {
            *o = rest * a + th * (b + rest * (c1 + th * (c2 + th * c3)));
        }
    }

    /// State `i` at time `t`; outside the step, that at its nearer end. `None` if there is no such state.
    pub fn value(&self, t: f64, i: usize) -> Option<f64> {
        let n = self.y0.len();
        let (a, b) = (self.y0.get(i)?, self.y1.get(i)?);
        let th = self.theta(t);
        let rest = 1.0 - th;
        let bow = self.d[i] + th * (self.d[n + i] + th * self.d[2 * n + i]);
        Some(rest * a + th * (b + rest * bow))
    }
}
