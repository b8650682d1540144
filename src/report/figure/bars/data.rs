//! What a picture of bars shows, as plain numbers and words.

use crate::text::{Csv, number};

/// Level bars along one axis.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bars {
    /// Headline, top left; wrapped, never cut.
    pub title: String,
    /// Smaller line below the title; may be empty.
    pub subtitle: String,
    /// The quantity along the axis.
    pub label: String,
    /// Its unit.
    pub unit: String,
    /// Where an upright line stands, such as the result of the scenario as it is.
    pub base: Option<f64>,
    /// What the colours mean: place in the palette and words.
    pub keys: Vec<(usize, String)>,
    /// Rows from the top down; those without room are counted in words.
    pub rows: Vec<BarRow>,
    /// Small footer: where the numbers come from.
    pub source_line: String,
    /// What the picture shows, in words, for those who cannot see it.
    pub alt_text: String,
}

/// One row.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BarRow {
    /// Its name.
    pub name: String,
    /// Its bars, one below the other.
    pub bars: Vec<Bar>,
}

/// One bar; one that is not finite is left out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bar {
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// Place in the palette.
    pub colour: usize,
    /// Words beyond its end.
    pub words: String,
    /// A thin line from and to here, such as an interval.
    pub whisker: Option<(f64, f64)>,
}

impl Bars {
    /// The numbers behind the picture: one row per bar.
    pub(in crate::report::figure) fn table(&self) -> String {
        let unit = &self.unit;
        let head = |what: &str| format!("{what} {unit}").trim_end().to_owned();
        let heads = ["from", "to", "whisker_low", "whisker_high"].map(head);
        let mut out = Csv::with_head(["row", "bar"].map(str::to_owned).into_iter().chain(heads));
        for row in &self.rows {
            for bar in &row.bars {
                out.row([
                    row.name.clone(),
                    bar.words.clone(),
                    number(Some(bar.from)),
                    number(Some(bar.to)),
                    number(bar.whisker.map(|w| w.0)),
                    number(bar.whisker.map(|w| w.1)),
                ]);
            }
        }
        out.text()
    }
}
