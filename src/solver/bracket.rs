//! Closing in on a sign change.

/// An interval whose left end is before a crossing and whose right end is not.
///
/// Narrowed by regula falsi with halved weights (the Illinois rule), kept off the ends by half the
/// tolerance so that both ends close in, and by bisection when that has not halved the interval
/// in two turns.
#[derive(Debug)]
pub struct Bracket {
    /// Last place known to be before the crossing.
    pub a: f64,
    /// First place known not to be.
    pub b: f64,
    value_a: f64,
    value_b: f64,
    last_was_right: Option<bool>,
    turns: u32,
    /// Width to get down to within the turns.
    goal: f64,
}

impl Bracket {
    /// From each end and the value there.
    pub fn new((a, value_a): (f64, f64), (b, value_b): (f64, f64)) -> Self {
        let goal = 0.5 * (b - a);
        Bracket { a, b, value_a, value_b, last_was_right: None, turns: 0, goal }
    }

    /// Where to look next.
    pub fn guess(&self, tolerance: f64) -> f64 {
        let (a, b, margin) = (self.a, self.b, 0.5 * tolerance);
        let secant = a + (b - a) * (self.value_a / (self.value_a - self.value_b));
        if self.turns >= 2 || !secant.is_finite() {
            0.5 * (a + b)
        } else {
            secant.max(a + margin).min(b - margin)
        }
    }

    /// Takes the value found there into account.
    pub fn narrow(&mut self, at: f64, value: f64) {
        let right = value >= 0.0;
        let weight = if self.last_was_right == Some(right) { 0.5 } else { 1.0 };
        if right {
            (self.b, self.value_b) = (at, value);
            self.value_a *= weight;
        } else {
            (self.a, self.value_a) = (at, value);
            self.value_b *= weight;
        }
        self.last_was_right = Some(right);
        self.turns += 1;
        if self.b - self.a <= self.goal {
            (self.goal, self.turns) = (0.5 * (self.b - self.a), 0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Evaluations to bring a crossing within 1e-9 of an interval of 1.
    fn evaluations(guard: fn(f64) -> f64) -> u32 {
        let mut bracket = Bracket::new((0.0, guard(0.0)), (1.0, guard(1.0)));
        let mut count = 0;
        while bracket.b - bracket.a > 1e-9 {
            let at = bracket.guess(1e-9);
            bracket.narrow(at, guard(at));
            count += 1;
            assert!(count < 1000, "no end");
        }
        assert!(guard(bracket.b) >= 0.0 && guard(bracket.a) < 0.0);
        count
    }

    #[test]
    fn smooth_guards_are_located_fast_and_jumps_surely() {
        // At worst three evaluations to halve the interval, and 1e9 is 2 to the power of 30.
        const BOUND: u32 = 90;
        assert!(evaluations(|t| t - 0.3) <= 3);
        assert!(evaluations(|t| t.exp() - 1.7) <= 10);
        assert!(evaluations(|t| (t - 0.6).powi(9)) <= BOUND);
        assert!(evaluations(|t| if t < 0.123 { -1e-9 } else { 1e9 }) <= BOUND);
    }
}
