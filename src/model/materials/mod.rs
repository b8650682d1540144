//! Wall materials: the embedded table and the scenario's own `[material.<name>]` tables.

mod polymers;

pub use polymers::{Polymer, Ranged};

use std::sync::LazyLock;

use crate::reader::{Key, Keys, Section, key};
use crate::units::Kind;

const CONDUCTIVITY: Key =
    key::quantity("conductivity", Kind::Conductivity, 1e-3..=500.0).help("thermal conductivity");
const DENSITY: Key = key::quantity("density", Kind::Density, 1.0..=25_000.0).help("density");
const SPECIFIC_HEAT: Key =
    key::quantity("specific_heat", Kind::SpecificHeat, 50.0..=10_000.0).help("specific heat");
const EMISSIVITY: Key = key::number("emissivity", 0.02..=1.0)
    .or(0.9, "painted or plastic")
    .help("emissivity of its surface");
const SERVICE_TEMPERATURE: Key =
    key::quantity("service_temperature", Kind::Temperature, 250.0..=1500.0)
        .optional()
        .help("highest temperature of a hot wall in service; no warning without it");
const TOUCH_TEMPERATURE: Key = key::quantity("touch_temperature", Kind::Temperature, 280.0..=400.0)
    .optional()
    .help("temperature of the outside that may be touched; no warning without it");

/// The table, with the source and quality of each row.
const WALLS: &str = include_str!("walls.csv");

/// One material.
#[derive(Clone, Debug)]
pub struct Material {
    /// Its name in the table.
    pub name: String,
    /// A second name that is accepted.
    pub alias: String,
    /// Thermal conductivity \[W/(m K)\].
    pub conductivity: f64,
    /// Density \[kg/m3\].
    pub density: f64,
    /// Specific heat \[J/(kg K)\].
    pub specific_heat: f64,
    /// Emissivity of its surface.
    pub emissivity: f64,
    /// Usual thickness \[m\].
    pub thickness_m: Option<f64>,
    /// Highest temperature of a hot wall in service \[K\].
    pub service_k: Option<f64>,
    /// Burn threshold for a minute of contact \[K\]; from memory of ISO 13732-1.
    pub touch_k: Option<f64>,
    /// Where the values come from.
    pub source: String,
}

/// All materials a scenario may name.
#[derive(Debug)]
pub struct Materials {
    /// Those of the scenario, the last one first.
    own: Vec<Material>,
    table: &'static [Material],
}

impl Materials {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[Keys::always(
        "material.NAME",
        "a material of a wall, beside those of the table",
        &[
            &CONDUCTIVITY,
            &DENSITY,
            &SPECIFIC_HEAT,
            &EMISSIVITY,
            &SERVICE_TEMPERATURE,
            &TOUCH_TEMPERATURE,
        ],
    )];

    /// The embedded table.
    ///
    /// Rows that do not parse are left out; a test counts them.
    pub fn table() -> Self {
        // Parsed once: a sweep reads thousands of scenarios.
        static TABLE: LazyLock<Vec<Material>> = LazyLock::new(|| {
            let mut reader = csv::Reader::from_reader(WALLS.as_bytes());
            let rows = reader.records().filter_map(Result::ok);
            rows.filter_map(|row| parse(&row)).collect()
        });
        Self { own: Vec::new(), table: &TABLE }
    }

    fn all(&self) -> impl Iterator<Item = &Material> {
        self.own.iter().chain(self.table)
    }

    /// Adds the scenario's own materials, which come first.
    pub fn add(&mut self, own: &[Section]) {
        for s in own {
            let material = Material {
                name: s.name(),
                alias: String::new(),
                conductivity: s.quantity(&CONDUCTIVITY),
                density: s.quantity(&DENSITY),
                specific_heat: s.quantity(&SPECIFIC_HEAT),
                emissivity: s.quantity(&EMISSIVITY),
                thickness_m: None,
                service_k: s.quantity_opt(&SERVICE_TEMPERATURE),
                touch_k: s.quantity_opt(&TOUCH_TEMPERATURE),
                source: "scenario".into(),
            };
            self.own.insert(0, material);
        }
    }

    /// Reads `key` as the name of a material.
    pub fn read(&self, s: &Section, key: &Key) -> Material {
        let word = s.text(key);
        let same = |name: &str| !name.is_empty() && name.eq_ignore_ascii_case(word.trim());
        if let Some(m) = self.all().find(|m| same(&m.name) || same(&m.alias)) {
            return m.clone();
        }
        if s.has(key) && !word.is_empty() {
            let names = self.all().flat_map(|m| [m.name.as_str(), m.alias.as_str()]);
            let hint = match crate::text::closest(&word, names) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => format!("write one of: {}; or add a [material.{word}] table", self.names()),
            };
            s.fail(key, "unknown-material", "is not in the table of materials", None, Some(hint));
        }
        self.stand_in()
    }

    /// A material for a scenario with a mistake, which never becomes a model.
    pub fn stand_in(&self) -> Material {
        self.table[self.table.len() - 1].clone()
    }

    fn names(&self) -> String {
        self.all().map(|m| m.name.as_str()).collect::<Vec<_>>().join(", ")
    }
}

fn parse(row: &csv::StringRecord) -> Option<Material> {
    let number = |i: usize| row.get(i).and_then(|t| t.trim().parse::<f64>().ok());
    Some(Material {
        name: row.get(0)?.to_owned(),
        alias: row.get(1)?.to_owned(),
        thickness_m: number(2).map(|mm| mm * 1e-3),
        conductivity: number(3)?,
        density: number(4)?,
        specific_heat: number(5)?,
        emissivity: number(6)?,
        service_k: number(9).map(crate::units::k_from_c),
        touch_k: number(12).map(crate::units::k_from_c),
        source: format!("{} (quality {})", row.get(13)?, row.get(14)?),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_table_is_read() {
        let rows = WALLS.lines().filter(|l| !l.trim().is_empty()).count() - 1;
        assert_eq!(Materials::table().table.len(), rows);
    }

    #[test]
    fn values_are_plausible() {
        for m in Materials::table().table {
            assert!((0.01..500.0).contains(&m.conductivity), "{m:?}");
            assert!((10.0..10_000.0).contains(&m.density), "{m:?}");
            assert!((0.02..=1.0).contains(&m.emissivity), "{m:?}");
        }
    }
}
