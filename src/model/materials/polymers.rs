//! Polymers that take up water: the embedded table.

use crate::units::k_from_c;

/// The table, with spread, source and quality of each value.
const POLYMERS: &str = include_str!("polymers.csv");

/// Relative humidity at which the table states the equilibrium content.
const TABLE_RH: f64 = 0.5;
/// Temperature at which the table states the diffusivity \[°C\].
const TABLE_C: f64 = 23.0;

/// How one polymer takes up water.
#[derive(Clone, Debug, PartialEq)]
pub struct Polymer {
    /// Its name in the table.
    pub name: String,
    /// Density \[kg/m3\].
    pub density: f64,
    /// Content by Henry's law at 100 %RH \[kg/kg\]: twice that at 50 %RH. Clusters above 60 %RH are
    /// left out.
    pub content_at_saturation: f64,
    /// Diffusivity at `reference_k`, dry \[m2/s\].
    pub diffusivity: f64,
    /// Temperature of that diffusivity \[K\].
    pub reference_k: f64,
    /// Activation energy \[J/mol\].
    pub activation_j_mol: f64,
}

impl Polymer {
    /// The row of this name.
    pub fn find(name: &str) -> Option<Self> {
        table().into_iter().find(|p| p.name.eq_ignore_ascii_case(name))
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
    Some(Polymer {
        name: row.get(0)?.to_owned(),
        density: number(1)?,
        content_at_saturation: number(8)? / 100.0 / TABLE_RH,
        diffusivity: number(17)?,
        reference_k: k_from_c(TABLE_C),
        activation_j_mol: number(20)? * 1e3,
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
            assert!((1e-14..1e-10).contains(&p.diffusivity), "{p:?}");
            assert!((1e-5..0.2).contains(&p.content_at_saturation), "{p:?}");
            assert!((2e4..7e4).contains(&p.activation_j_mol), "{p:?}");
        }
    }
}
