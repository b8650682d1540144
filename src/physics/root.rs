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
