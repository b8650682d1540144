//! A crossing between two places.

/// Where `below` turns false between `low` and `high`; the nearer end if it does nowhere.
pub fn bisect(mut low: f64, mut high: f64, below: impl Fn(f64) -> bool) -> f64 {
    // 60 halvings of 300 K reach the last bit.
    for _ in 0..60 {
        let mid = 0.5 * (low + high);
        if below(mid) {
            low = mid;
        } else {
            high = mid;
        }
    }
    0.5 * (low + high)
}

/// Where a function that rises, with its slope, becomes zero between `low` and `high`: Newton's steps, halvings
/// where they leave what is still open; the nearer end if it does nowhere.
pub fn newton(mut low: f64, mut high: f64, f: impl Fn(f64) -> (f64, f64)) -> f64 {
    let mut x = 0.5 * (low + high);
    for _ in 0..MOST_STEPS {
        let (value, slope) = f(x);
        if value == 0.0 {
            return x;
        }
        if value < 0.0 {
            low = x;
        } else {
            high = x;
        }
        let step = x - value / slope;
        let next = if step > low && step < high { step } else { 0.5 * (low + high) };
        if (next - x).abs() <= f64::EPSILON * x.abs().max(next.abs()) {
            return next;
        }
        x = next;
    }
    x
}

/// Steps of [`newton`] after which halving alone has reached the last bit.
const MOST_STEPS: usize = 80;
