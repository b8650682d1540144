//! What notes of weighings hold, and what follows from it.

use super::lines::LineLedger;
use crate::measured::Moment;
use crate::reader::{Issue, Key, Section, key};
use crate::text::Csv;
use crate::uncertainty::{Estimate, mean_of_repeats};
use crate::units::{self, Kind};

/// How far apart repeat weighings may be: a scale that scatters by more is broken.
pub(super) const REPEATS_APART: f64 = 0.05;

/// What can be pinned when notes leave it open.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WeighingOptions {
    /// Unit of masses without one: `g`, `kg`, `mg`, `oz`.
    pub mass_unit: Option<String>,
    /// Which sample of a table that holds several: the cells of its sample columns joined by `/`.
    pub sample: Option<String>,
    /// Header of the column with the times of a table.
    pub time_column: Option<String>,
    /// Header of the column with the masses of a table.
    pub mass_column: Option<String>,
    /// Mass before wetting \[kg\], where the notes do not have it.
    pub dry_kg: Option<f64>,
    /// Whether guesses are errors.
    pub strict: bool,
}

const MASS_UNIT: Key =
    key::text("mass_unit").optional().help("unit of the masses, where the notes do not tell");
const SAMPLE: Key = key::text("sample").optional().help("which of several samples was in the box");
const TIME_COLUMN: Key = key::text("time_column").optional().help("head of the column of times");
const MASS_COLUMN: Key = key::text("mass_column").optional().help("head of the column of masses");
const DRY_MASS: Key = key::quantity("dry_mass", Kind::Mass, 0.0..=1e3)
    .optional()
    .help("mass before wetting, where the notes do not have it");
const STRICT: Key = key::switch("strict")
    .or_switch(false, "guesses are told, not refused")
    .help("whether guesses are errors");

impl WeighingOptions {
    /// Its keys.
    pub const KEYS: &'static [&'static Key] =
        &[&MASS_UNIT, &SAMPLE, &TIME_COLUMN, &MASS_COLUMN, &DRY_MASS, &STRICT];

    /// Reads its keys.
    #[must_use]
    pub fn read(s: &Section) -> Self {
        WeighingOptions {
            mass_unit: s.text_opt(&MASS_UNIT),
            sample: s.text_opt(&SAMPLE),
            time_column: s.text_opt(&TIME_COLUMN),
            mass_column: s.text_opt(&MASS_COLUMN),
            dry_kg: s.quantity_opt(&DRY_MASS),
            strict: s.switch(&STRICT),
        }
    }
}

/// A mass with the line it stands on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mass {
    /// The mass \[kg\].
    pub kg: f64,
    /// Line from 1.
    pub line: usize,
}

/// One weighing after the load went in.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighing {
    /// When, as noted.
    pub at: Moment,
    /// Seconds since the load went into the box, or since the first weighing.
    pub time_s: f64,
    /// The mass \[kg\].
    pub kg: f64,
    /// Line from 1.
    pub line: usize,
    /// What else the line says.
    pub remark: String,
}

/// The same object weighed again and again.
#[derive(Clone, Debug, PartialEq)]
pub struct Repeat {
    /// What the scale showed \[kg\].
    pub kg: Vec<f64>,
    /// Line from 1.
    pub line: usize,
}

/// A reading of an energy meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EnergyReading {
    /// When; the start of the run where the notes give no time.
    pub at: Option<Moment>,
    /// What it showed \[J\].
    pub joule: f64,
    /// Line from 1.
    pub line: usize,
    /// Whether it is what was used since the start, rather than what a meter showed.
    pub used: bool,
}

/// A lid opening.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LidNote {
    /// When.
    pub at: Moment,
    /// For how long \[s\], where it is noted.
    pub duration_s: Option<f64>,
    /// Line from 1.
    pub line: usize,
}

/// Notes of weighings, read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Weighings {
    /// Mass before wetting.
    pub dry: Option<Mass>,
    /// Mass when it went into the box.
    pub start: Option<Mass>,
    /// When it went in.
    pub into_box: Option<Moment>,
    /// Weighings in order.
    pub weighings: Vec<Weighing>,
    /// Repeat weighings.
    pub repeats: Vec<Repeat>,
    /// Smallest step the scale shows \[kg\].
    pub resolution_kg: Option<f64>,
    /// Meter readings.
    pub energy: Vec<EnergyReading>,
    /// Lid openings that are noted.
    pub lids: Vec<LidNote>,
    /// Water said to have been added, as written; the scale knows better.
    pub nominal: Option<String>,
    /// What each line was.
    pub ledger: LineLedger,
    /// Guesses and remarks for the reader, each with how to pin it.
    pub notes: Vec<String>,
}

impl Weighings {
    /// Standard uncertainty of one weighing \[kg\]: the scatter of repeats and the rounding of the
    /// display. The scatter of a rounding scale holds the rounding already, so the larger counts.
    #[must_use]
    pub fn scale(&self) -> Option<Estimate> {
        let scatter = self
            .repeats
            .iter()
            .filter_map(|r| mean_of_repeats(&r.kg).map(|e| (e, r.kg.len() as f64)))
            .map(|(e, n)| (e.standard * n.sqrt(), e.degrees_of_freedom))
            .filter(|(s, _)| s.is_finite())
            .reduce(|a, b| {
                // Pooled over several objects.
                let freedom = a.1 + b.1;
                (((a.0 * a.0 * a.1 + b.0 * b.0 * b.1) / freedom).sqrt(), freedom)
            });
        let rounding = self.resolution_kg.map(Estimate::of_rounding);
        match (scatter, rounding) {
            (Some((s, freedom)), rounding) => Some(Estimate {
                value: 0.0,
                standard: s.max(rounding.unwrap_or(0.0)),
                degrees_of_freedom: freedom,
            }),
            (None, Some(rounding)) => Some(Estimate::new(0.0, rounding)),
            (None, None) => None,
        }
    }

    /// Water in the load when it went in \[kg\].
    #[must_use]
    pub fn added_kg(&self) -> Option<f64> {
        Some(self.start?.kg - self.dry?.kg)
    }

    /// Water gone at the last weighing \[kg\].
    #[must_use]
    pub fn removed_kg(&self) -> Option<f64> {
        Some(self.start?.kg - self.weighings.last()?.kg)
    }

    /// The table: `time_s,clock,line,mass_g,water_remaining_g,removed_pct,remark`.
    #[must_use]
    pub fn csv(&self) -> String {
        let mut out = Csv::with_head([
            "time_s",
            "clock",
            "line",
            "mass_g",
            "water_remaining_g",
            "removed_pct",
            "remark",
        ]);
        let cell =
            |v: Option<f64>, digits: usize| v.map_or(String::new(), |v| format!("{v:.digits$}"));
        let digits =
            self.resolution_kg.map_or(3, |r| (-(1e3 * r).log10()).ceil().clamp(0.0, 6.0) as usize);
        let start = self.start.map(|m| {
            let at = self.into_box.unwrap_or(Moment::Elapsed(0.0));
            Weighing { at, time_s: 0.0, kg: m.kg, line: m.line, remark: "start".into() }
        });
        for w in start.iter().chain(&self.weighings) {
            let left = self.dry.map(|d| 1e3 * (w.kg - d.kg));
            let removed = self.added_kg().zip(self.start).map(|(a, s)| 100.0 * (s.kg - w.kg) / a);
            out.row([
                w.time_s.to_string(),
                w.at.clock_text().unwrap_or_default(),
                w.line.to_string(),
                cell(Some(1e3 * w.kg), digits),
                cell(left, digits),
                cell(removed, 1),
                w.remark.clone(),
            ]);
        }
        out.text()
    }

    /// Why more than all the added water can be gone.
    #[must_use]
    pub fn beyond_all(&self) -> Option<String> {
        let (added, removed) = (self.added_kg()?, self.removed_kg()?);
        let margin = 2.0 * 2.0_f64.sqrt() * self.scale().map_or(0.0, |s| s.standard);
        (removed > added + margin).then(|| {
            format!(
                "{:.0} % of the added water is gone: the load ends {:.2} g below its mass in room \
                 air, because water that its fibre had bound there has left too",
                100.0 * removed / added,
                1e3 * (removed - added)
            )
        })
    }
}

pub(super) fn error(
    name: &str,
    line: usize,
    code: &'static str,
    what: String,
    hint: &str,
) -> Issue {
    Issue { line, ..Issue::of_file(code, name, what, hint) }
}

pub(super) fn grams(kg: f64) -> String {
    units::format(Kind::Mass, kg)
}
