//! How uncertain the values of a spool are, as values to try.

use super::{GAP_DIFFUSION, SpoolSpec};

/// Number of values that are tried together.
pub const SPREAD: usize = 4;

/// Value at the share `u` (0 to 1) of a triangular distribution of the logarithm between `low` and
/// `high` with its peak at `value`.
fn triangular(u: f64, low: f64, value: f64, high: f64) -> f64 {
    let (a, c, b) = (low.ln(), value.clamp(low, high).ln(), high.ln());
    if b <= a {
        return value;
    }
    let rise = (c - a) / (b - a);
    let at = if u < rise {
        a + (u * (b - a) * (c - a)).sqrt()
    } else {
        b - ((1.0 - u) * (b - a) * (b - c)).sqrt()
    };
    at.exp()
}

impl SpoolSpec {
    /// Sets diffusivity, activation energy, content and the winding's gaps to the shares `u` of their
    /// spread. A value that the scenario states has none. A moisture that the scenario leaves to the
    /// room follows the content.
    pub fn vary(&mut self, u: [f64; SPREAD]) {
        let p = &mut self.polymer;
        let (d, e, c) = (&p.diffusivity, &p.activation, &p.content_50);
        p.diffusion.dry_m2_s = triangular(u[0], d.low, d.value, d.high);
        p.diffusion.activation_j_mol = triangular(u[1], e.low, e.value, e.high);
        let factor = triangular(u[2], c.low, c.value, c.high) / c.value;
        p.sorption.form = p.sorption.form.scaled(factor);
        if self.moisture_follows {
            self.moisture *= factor;
        }
        let (low, usual, high) = GAP_DIFFUSION;
        if self.gap_diffusion == usual {
            self.gap_diffusion = triangular(u[3], low, usual, high);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_spread_ends_at_its_bounds_and_a_known_value_has_none() {
        assert!((triangular(0.0, 1.0, 2.0, 8.0) - 1.0).abs() < 1e-12);
        assert!((triangular(1.0, 1.0, 2.0, 8.0) - 8.0).abs() < 1e-12);
        // The peak lies a third of the way up the logarithm, so at that share of all draws.
        assert!((triangular(1.0 / 3.0, 1.0, 2.0, 8.0) - 2.0).abs() < 1e-12);
        assert_eq!(triangular(0.7, 3.0, 3.0, 3.0), 3.0);
    }
}
