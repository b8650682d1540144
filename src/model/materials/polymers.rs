//! Polymers that take up water: the embedded table.

use crate::physics::polymer::{Diffusion, Form, Sorption};
use crate::units::k_from_c;

/// The table, with spread, source and quality of each value.
const POLYMERS: &str = include_str!("polymers.csv");

/// Relative humidity at which the table states the equilibrium content.
const TABLE_RH: f64 = 0.5;
/// Temperature at which the table states content and diffusivity \[°C\].
const TABLE_C: f64 = 23.0;

/// A value with the range in which it may lie and the letter of its quality.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranged {
    /// The value.
    pub value: f64,
    /// Lowest plausible value.
    pub low: f64,
    /// Highest plausible value.
    pub high: f64,
    /// A measured and read, B handbook order, C spread of 2 to 3, D estimate.
    pub quality: String,
    /// Where it comes from.
    pub source: String,
}

/// How one polymer takes up water.
#[derive(Clone, Debug, PartialEq)]
pub struct Polymer {
    /// Its name in the table.
    pub name: String,
    /// Density \[kg/m3\].
    pub density: f64,
    /// Specific heat, dry \[J/(kg K)\].
    pub specific_heat: f64,
    /// Thermal conductivity \[W/(m K)\].
    pub conductivity: f64,
    /// Content by Henry's law at 100 %RH \[kg/kg\]: twice that at 50 %RH, without clusters.
    pub content_at_saturation: f64,
    /// The whole isotherm.
    pub sorption: Sorption,
    /// Diffusivity with temperature and content.
    pub diffusion: Diffusion,
    /// Content at 23 °C and 50 %RH \[kg/kg\] with its range.
    pub content_50: Ranged,
    /// Diffusivity, dry, at 23 °C \[m2/s\] with its range.
    pub diffusivity: Ranged,
    /// Activation energy \[J/mol\] with its range; quality and source as the diffusivity.
    pub activation: Ranged,
    /// Highest temperature for drying \[K\]: above it filaments may soften or stick.
    pub softening_k: f64,
    /// Customary drying temperatures \[K\]. Common practice.
    pub customary_k: (f64, f64),
    /// Customary drying times \[s\]. Common practice.
    pub customary_s: (f64, f64),
}

impl Polymer {
    /// The row of this name.
    pub fn find(name: &str) -> Option<Self> {
        table().into_iter().find(|p| p.name.eq_ignore_ascii_case(name))
    }

    /// A polymer for a scenario with a mistake, which never becomes a model.
    ///
    /// # Panics
    /// Never: the embedded table has rows, as its test knows.
    pub fn stand_in() -> Self {
        table().swap_remove(0)
    }

    /// All names, for messages.
    pub fn names() -> String {
        table().into_iter().map(|p| p.name).collect::<Vec<_>>().join(", ")
    }
}

fn table() -> Vec<Polymer> {
    let mut reader = csv::Reader::from_reader(POLYMERS.as_bytes());
    let rows = reader.records().filter_map(Result::ok);
    rows.filter_map(|row| parse(&row)).collect()
}

fn parse(row: &csv::StringRecord) -> Option<Polymer> {
    let number = |i: usize| row.get(i).and_then(|t| t.trim().parse::<f64>().ok());
    let ranged = |first: usize, factor: f64, quality: usize, source: usize| {
        Some(Ranged {
            value: number(first)? * factor,
            low: number(first + 1)? * factor,
            high: number(first + 2)? * factor,
            quality: row.get(quality)?.to_owned(),
            source: row.get(source)?.to_owned(),
        })
    };
    let (content_50, diffusivity) = (ranged(8, 0.01, 32, 34)?, ranged(17, 1.0, 31, 33)?);
    let activation = ranged(20, 1e3, 31, 33)?;
    let form = match row.get(12)? {
        "gab" => Form::Gab { monolayer: number(13)?, c: number(14)?, k: number(15)? },
        _ => Form::henry(content_50.value, number(11)? / 100.0),
    };
    let reference_k = k_from_c(TABLE_C);
    Some(Polymer {
        name: row.get(0)?.to_owned(),
        density: number(1)?,
        specific_heat: number(2)?,
        conductivity: number(3)?,
        content_at_saturation: content_50.value / TABLE_RH,
        sorption: Sorption { form, excess_j_mol: number(16)? * 1e3, reference_k },
        diffusion: Diffusion {
            dry_m2_s: diffusivity.value,
            reference_k,
            activation_j_mol: activation.value,
            growth: number(23)? * 100.0,
        },
        content_50,
        diffusivity,
        activation,
        softening_k: k_from_c(number(30)?),
        customary_k: (k_from_c(number(26)?), k_from_c(number(27)?)),
        customary_s: (number(28)? * 3600.0, number(29)? * 3600.0),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_table_is_read_and_plausible() {
        let rows = POLYMERS.lines().filter(|l| !l.trim().is_empty()).count() - 1;
        assert_eq!(table().len(), rows);
        for p in table() {
            assert!((1e-14..1e-10).contains(&p.diffusion.dry_m2_s), "{p:?}");
            assert!((1e-5..0.2).contains(&p.content_at_saturation), "{p:?}");
            assert!((2e4..7e4).contains(&p.diffusion.activation_j_mol), "{p:?}");
            for r in [&p.content_50, &p.diffusivity, &p.activation] {
                assert!(r.low <= r.value && r.value <= r.high, "{}: {r:?}", p.name);
                assert!("ABCD".contains(&r.quality), "{}: {r:?}", p.name);
            }
            // A GAB row states its shape, not its content, so the two agree by a few percent only.
            let at_50 = p.sorption.content(TABLE_RH, k_from_c(TABLE_C));
            assert!((at_50 / p.content_50.value - 1.0).abs() < 0.05, "{}: {at_50}", p.name);
        }
    }
}
