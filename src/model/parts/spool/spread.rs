//! How uncertain the values of a spool are, as values to try: all that are guesses unless the scenario
//! states them.

use super::{CP_CORE, SpoolSpec};
use crate::reader::Section;

/// Values of the polymer that are tried: those of the table with their range, and two without.
const OF_POLYMER: usize = 5;
/// Number of values that are tried together.
pub const SPREAD: usize = OF_POLYMER + GUESSES.len();

/// Low end, value and high end.
pub(super) type Usual = (f64, f64, f64);

/// A default of `[load.<name>]` that is a guess.
pub(super) struct Guess {
    /// Its key.
    pub(super) key: &'static str,
    /// What it is, in words.
    name: &'static str,
    /// Letter of its quality.
    quality: &'static str,
    /// Where it may lie.
    pub(super) range: Usual,
}

const fn guess(
    key: &'static str,
    name: &'static str,
    quality: &'static str,
    range: Usual,
) -> Guess {
    Guess { key, name, quality, range }
}

/// Share of the winding's gaps over the way through them. Rows of filaments that fill 76 % let 0.07 (in
/// square array) to 0.13 (in hexagonal array) through; a winding is looser here and tighter there.
/// No measurement was found: quality D. Source: \[Perrins1979\]. Checked in: `tests/published/winding.rs`.
pub(super) const GAPS: Guess =
    guess("winding_diffusion", "gaps of the winding", "D", (0.04, 0.12, 0.25));
/// From the air to the spool \[W/(m2 K)\]: order.
pub(super) const SURFACE: Guess =
    guess("surface_coefficient", "heat transfer from the air", "C", (7.0, 10.0, 15.0));
/// Conductivity of the winding \[W/(m K)\]: order.
pub(super) const CONDUCTIVITY: Guess =
    guess("winding_conductivity", "conduction of heat", "C", (0.10, 0.13, 0.20));
/// Slit between winding and flanges as a transfer coefficient of vapour \[m/s\]: filament may touch them or stand
/// off. Our choice.
pub(super) const FLANGE_MASS_TRANSFER: Guess =
    guess("flange_mass_transfer", "gaps at the flanges", "D", (0.0, 0.0, 1e-3));
/// Share of the winding that filament fills. Common practice.
pub(super) const SOLID: Guess =
    guess("solid_share", "filament in the winding", "C", (0.72, 0.76, 0.80));
/// From the winding to the outside of a flange \[W/(m2 K)\]: 3 to 7 with the air; order.
pub(super) const FLANGE: Guess =
    guess("flange_conductance", "heat through the flanges", "D", (4.0, 6.7, 20.0));
/// From the winding to the air in the bore \[W/(m2 K)\]: 2 to 5 with the air; order.
pub(super) const BORE: Guess =
    guess("bore_conductance", "heat through the bore", "D", (2.0, 4.6, 10.0));
/// Diameter and width of a core \[m\], and its mass \[kg\]. Common practice, orders.
pub(super) const CORE: Guess =
    guess("core_diameter", "diameter of the core", "C", (0.05, 0.08, 0.11));
/// See [`CORE`].
pub(super) const WIDTH: Guess = guess("width", "width of the winding", "C", (0.05, 0.065, 0.075));
/// See [`CORE`].
pub(super) const CORE_MASS: Guess = guess("core_mass", "mass of the core", "C", (0.03, 0.06, 0.15));

const GUESSES: [Guess; 10] = [
    GAPS,
    FLANGE_MASS_TRANSFER,
    SURFACE,
    CONDUCTIVITY,
    SOLID,
    FLANGE,
    BORE,
    CORE,
    WIDTH,
    CORE_MASS,
];

/// Growth of the diffusivity with water, and the heat of sorption beyond condensation, over the table's
/// values, which have no range there: orders, our choice.
const GROWTH: Usual = (0.5, 1.0, 1.5);
const HEAT: Usual = (0.5, 1.0, 2.0);

/// What is tried, in words.
pub const SPREAD_NAMES: [&str; SPREAD] = {
    let mut names = [
        "diffusivity",
        "activation energy",
        "content",
        "growth with water",
        "heat of sorption",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
    ];
    let mut i = 0;
    while i < GUESSES.len() {
        names[OF_POLYMER + i] = GUESSES[i].name;
        i += 1;
    }
    names
};

/// Which of the guesses the scenario states: those have no spread.
pub(super) fn stated(s: &Section) -> [bool; GUESSES.len()] {
    GUESSES.map(|g| s.has(g.key))
}

/// Which of the guesses a scenario may state.
pub(super) type Stated = [bool; GUESSES.len()];

/// Value at the share `u` (0 to 1) of a triangular distribution between `low` and `high` with its peak at
/// `value`; of the logarithm, unless it may be zero.
fn triangular(u: f64, (low, value, high): Usual) -> f64 {
    if high <= low {
        return value;
    }
    let linear = low <= 0.0;
    let scale = |v: f64| if linear { v } else { v.ln() };
    let (a, c, b) = (scale(low), scale(value.clamp(low, high)), scale(high));
    let rise = (c - a) / (b - a);
    let at = if u < rise {
        a + (u * (b - a) * (c - a)).sqrt()
    } else {
        b - ((1.0 - u) * (b - a) * (b - c)).sqrt()
    };
    if linear { at } else { at.exp() }
}

impl SpoolSpec {
    /// Ranges of the values of [`SPREAD_NAMES`]; of one value where there is no spread.
    fn ranges(&self) -> [Usual; SPREAD] {
        let p = &self.polymer;
        let table =
            [&p.diffusivity, &p.activation, &p.content_50].map(|r| (r.low, r.value, r.high));
        std::array::from_fn(|i| match i {
            0..3 => table[i],
            3 if p.diffusion.growth == 0.0 => (1.0, 1.0, 1.0),
            3 => GROWTH,
            4 => HEAT,
            _ => match (GUESSES[i - OF_POLYMER].range, self.stated[i - OF_POLYMER]) {
                ((_, value, _), true) => (value, value, value),
                (range, false) => range,
            },
        })
    }

    /// Sets the values of [`SPREAD_NAMES`] to the shares `u` of their spread; those without a share
    /// stay, and so does a value that the scenario states. A moisture that the scenario leaves to
    /// the room follows the content.
    pub fn vary(&mut self, u: [Option<f64>; SPREAD]) {
        let ranges = self.ranges();
        let spread = |i: usize| u[i].filter(|_| ranges[i].0 < ranges[i].2);
        let drawn = |i: usize| Some(triangular(spread(i)?, ranges[i]));
        let p = &mut self.polymer;
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
        p.diffusion.growth *= drawn(3).unwrap_or(1.0);
        p.sorption.excess_j_mol *= drawn(4).unwrap_or(1.0);
        // In the order of the guesses, in the unit of their key.
        let core = [0.5, CP_CORE];
        let own: [(&mut f64, f64); GUESSES.len()] = [
            (&mut self.gap_diffusion, 1.0),
            (&mut self.flange_m_s, 1.0),
            (&mut self.surface_w_m2k, 1.0),
            (&mut self.conductivity, 1.0),
            (&mut self.solid, 1.0),
            (&mut self.flange_w_m2k, 1.0),
            (&mut self.bore_w_m2k, 1.0),
            (&mut self.core_m, core[0]),
            (&mut self.width_m, 1.0),
            (&mut self.core_j_k, core[1]),
        ];
        for (i, (value, factor)) in own.into_iter().enumerate() {
            *value = drawn(OF_POLYMER + i).map_or(*value, |v| factor * v);
        }
    }

    /// Letters of quality of the values of [`SPREAD_NAMES`]; `-` for one without a spread.
    pub fn qualities(&self) -> [String; SPREAD] {
        let (p, ranges) = (&self.polymer, self.ranges());
        let table = [&p.diffusivity, &p.activation, &p.content_50];
        std::array::from_fn(|i| match i {
            _ if ranges[i].0 >= ranges[i].2 => "-".to_owned(),
            0..3 => table[i].quality.clone(),
            3 | 4 => "D".to_owned(),
            _ => GUESSES[i - OF_POLYMER].quality.to_owned(),
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
        // From a peak at zero the density falls in a straight line: 1 - sqrt(1 - u) of the way.
        assert!((triangular(0.75, (0.0, 0.0, 4.0)) - 2.0).abs() < 1e-12);
    }

    /// A default outside its own range would never be the one that is tried.
    #[test]
    fn every_guess_lies_in_its_range() {
        for g in GUESSES {
            let (low, value, high) = g.range;
            assert!(low <= value && value <= high && low < high, "{}", g.key);
        }
        assert!(SPREAD_NAMES.iter().all(|n| !n.is_empty()));
    }
}
