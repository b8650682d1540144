//! How uncertain the values of a spool are, as values to try.

use super::SpoolSpec;
use crate::reader::Section;

/// Number of values that are tried together.
pub const SPREAD: usize = 6;

/// What is tried, in words, with the letter of its quality where no table has one.
pub const SPREAD_NAMES: [(&str, &str); SPREAD] = [
    ("diffusivity", ""),
    ("activation energy", ""),
    ("content", ""),
    ("gaps of the winding", "D"),
    ("film of air", "C"),
    ("conduction of heat", "C"),
];

/// Low end, value and high end of a default that no table of polymers holds.
pub(super) type Usual = (f64, f64, f64);

/// Share of the winding's gaps over the way through them. Rows of strands that fill 76 % let 0.07 (in
/// square array) to 0.13 (in hexagonal array) through; a winding is looser here and tighter there.
/// No measurement was found: quality D. Source: \[Perrins1979\]. Checked in: `tests/published/winding.rs`.
pub(super) const GAP_DIFFUSION: Usual = (0.04, 0.12, 0.25);
/// Film of air at the spool \[W/(m2 K)\]: order.
pub(super) const FILM: Usual = (7.0, 10.0, 15.0);
/// Conductivity of the winding \[W/(m K)\]: order.
pub(super) const CONDUCTIVITY: Usual = (0.10, 0.13, 0.20);

/// Ends of the three defaults above; a value that the scenario states has no spread.
pub(super) fn read_spread(s: &Section) -> [Option<Usual>; 3] {
    let keys = [
        ("winding_diffusion", GAP_DIFFUSION),
        ("film", FILM),
        ("winding_conductivity", CONDUCTIVITY),
    ];
    keys.map(|(key, usual)| (!s.has(key)).then_some(usual))
}

/// Value at the share `u` (0 to 1) of a triangular distribution of the logarithm between `low` and
/// `high` with its peak at `value`.
fn triangular(u: f64, (low, value, high): Usual) -> f64 {
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
    /// Sets the values of [`SPREAD_NAMES`] to the shares `u` of their spread; those without a share
    /// stay, and so does a value that the scenario states. A moisture that the scenario leaves to
    /// the room follows the content.
    pub fn vary(&mut self, u: [Option<f64>; SPREAD]) {
        let p = &mut self.polymer;
        let ranges =
            [&p.diffusivity, &p.activation, &p.content_50].map(|r| Some((r.low, r.value, r.high)));
        let all: [Option<Usual>; SPREAD] = std::array::from_fn(|i| match i {
            0..3 => ranges[i],
            _ => self.spread[i - 3],
        });
        let drawn = |i: usize| Some(triangular(u[i]?, all[i]?));
        if let Some(m2_s) = drawn(0) {
            p.diffusion.dry_m2_s = m2_s;
        }
        if let Some(j_mol) = drawn(1) {
            p.diffusion.activation_j_mol = j_mol;
        }
        if let Some(content) = drawn(2) {
            let factor = content / p.content_50.value;
            p.sorption.form = p.sorption.form.scaled(factor);
            if self.moisture_follows {
                self.moisture *= factor;
            }
        }
        let own = [&mut self.gap_diffusion, &mut self.film_w_m2k, &mut self.conductivity];
        for (i, value) in own.into_iter().enumerate() {
            *value = drawn(3 + i).unwrap_or(*value);
        }
    }

    /// Letters of quality of the values of [`SPREAD_NAMES`]; `-` for one that the scenario states.
    pub fn qualities(&self) -> [String; SPREAD] {
        let p = &self.polymer;
        let table = [&p.diffusivity, &p.activation, &p.content_50];
        std::array::from_fn(|i| match i {
            0..3 if table[i].low < table[i].high => table[i].quality.clone(),
            3.. if self.spread[i - 3].is_some() => SPREAD_NAMES[i].1.to_owned(),
            _ => "-".to_owned(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_spread_ends_at_its_bounds_and_a_known_value_has_none() {
        assert!((triangular(0.0, (1.0, 2.0, 8.0)) - 1.0).abs() < 1e-12);
        assert!((triangular(1.0, (1.0, 2.0, 8.0)) - 8.0).abs() < 1e-12);
        // The peak lies a third of the way up the logarithm, so at that share of all draws.
        assert!((triangular(1.0 / 3.0, (1.0, 2.0, 8.0)) - 2.0).abs() < 1e-12);
        assert_eq!(triangular(0.7, (3.0, 3.0, 3.0)), 3.0);
    }
}
