//! How uncertain the values of a spool are, as values to try: all that are guesses unless the scenario
//! states them.

use super::{CP_CORE, SpoolSpec};
use crate::reader::{Key, Section, key};
use crate::units::Kind;

/// Share of the winding's gaps over the way through them. Rows of filaments that fill 76 % let 0.07 (in
/// square array) to 0.13 (in hexagonal array) through; a winding is looser here and tighter there.
/// No measurement was found: quality D. Source: \[Perrins1979\]. Checked in: `tests/published/winding.rs`.
pub(super) const GAPS: Key = key::number("winding_diffusion", 1e-3..=1.0)
    .or(
        0.12,
        "share of gaps over their winding way, 0.04 to 0.25, quality D: weigh the spool and fit it",
    )
    .likely(0.04, 0.25, 'D')
    .help("gaps of the winding");
/// From the air to the spool: order.
pub(super) const SURFACE: Key =
    key::quantity("surface_coefficient", Kind::HeatTransferCoefficient, 0.0..=200.0)
        .or(10.0, "stirred air at 0.5 to 1 m/s, 7 to 15, quality C")
        .likely(7.0, 15.0, 'C')
        .help("heat transfer from the air");
/// Of the winding: order.
pub(super) const CONDUCTIVITY: Key =
    key::quantity("winding_conductivity", Kind::Conductivity, 0.01..=5.0)
        .or(0.13, "0.10 to 0.20, quality C: fit it")
        .likely(0.10, 0.20, 'C')
        .help("conduction of heat");
/// Slit between winding and flanges as a transfer coefficient of vapour: filament may touch them or stand
/// off. Our choice.
pub(super) const FLANGE_MASS_TRANSFER: Key =
    key::quantity("flange_mass_transfer", Kind::Speed, 0.0..=0.1)
        .or(0.0, "flanges close; up to 1 mm/s where filament stands off them, quality D")
        .likely(0.0, 1e-3, 'D')
        .help("gaps at the flanges");
/// Common practice.
pub(super) const SOLID: Key = key::number("solid_share", 0.3..=0.9)
    .or(0.76, "wound filament 0.72 to 0.80")
    .likely(0.72, 0.80, 'C')
    .help("filament in the winding");
/// From the winding to the outside of a flange: 3 to 7 with the air; order.
pub(super) const FLANGE: Key =
    key::quantity("flange_conductance", Kind::HeatTransferCoefficient, 0.0..=200.0)
        .or(6.7, "4 with the air, 3 to 7, quality D")
        .likely(4.0, 20.0, 'D')
        .help("heat through the flanges");
/// From the winding to the air in the bore: 2 to 5 with the air; order.
pub(super) const BORE: Key =
    key::quantity("bore_conductance", Kind::HeatTransferCoefficient, 0.0..=200.0)
        .or(4.6, "3 with the air: still air in it, 2 to 5, quality D")
        .likely(2.0, 10.0, 'D')
        .help("heat through the bore");
/// Sizes and mass of a core. Common practice, orders.
pub(super) const CORE: Key = key::quantity("core_diameter", Kind::Length, 5e-3..=0.5)
    .or(0.08, "usual core, 50 to 110 mm")
    .likely(0.05, 0.11, 'C')
    .help("diameter of the core");
/// See [`CORE`].
pub(super) const WIDTH: Key = key::quantity("width", Kind::Length, 5e-3..=0.5)
    .or(0.065, "usual spool, 50 to 75 mm")
    .likely(0.05, 0.075, 'C')
    .help("width of the winding");
/// See [`CORE`].
pub(super) const CORE_MASS: Key = key::quantity("core_mass", Kind::Mass, 0.0..=5.0)
    .or(0.06, "a plastic core, 30 to 150 g")
    .likely(0.03, 0.15, 'C')
    .help("mass of the core");

/// Values of the polymer that are tried: those of the table with their range, and two without.
const OF_POLYMER: usize = 5;
/// Number of values that are tried together.
pub const SPREAD: usize = OF_POLYMER + GUESSES.len();

/// Low end, value and high end.
pub(super) type Usual = (f64, f64, f64);

/// Defaults of `[load.<name>]` that are guesses.
const GUESSES: [Key; 10] = [
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
        names[OF_POLYMER + i] = GUESSES[i].help;
        i += 1;
    }
    names
};

/// Which of the guesses the scenario states: those have no spread.
pub(super) fn stated(s: &Section) -> [bool; GUESSES.len()] {
    GUESSES.map(|g| s.has(&g))
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
            _ => {
                let guess = &GUESSES[i - OF_POLYMER];
                let value = guess.value().unwrap_or(guess.low);
                let doubt = guess.doubt.filter(|_| !self.stated[i - OF_POLYMER]);
                let (low, high) = doubt.map_or((value, value), |d| d.ends(value));
                (low, value, high)
            }
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
            _ => GUESSES[i - OF_POLYMER].doubt.map_or_else(String::new, |d| d.quality.to_string()),
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
            let value = g.value().unwrap();
            let (low, high) = g.doubt.unwrap().ends(value);
            assert!(low <= value && value <= high && low < high, "{}", g.name);
        }
        assert!(SPREAD_NAMES.iter().all(|n| !n.is_empty()));
    }
}
