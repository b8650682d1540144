//! What a map shows, as plain numbers and words.

use crate::report::figure::csv::head;
use crate::text::{Csv, joined, number};

/// One quantity over two others: coloured cells, contours, and lines where limits are met.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Map {
    /// Headline, top left; wrapped, never cut.
    pub title: String,
    /// Smaller line below the title; may be empty.
    pub subtitle: String,
    /// What runs from left to right.
    pub x: Steps,
    /// What runs from bottom to top.
    pub y: Steps,
    /// The quantity in the cells.
    pub label: String,
    /// Its unit.
    pub unit: String,
    /// Rows from the lowest y up, each with one value per x; a value that is not finite leaves an
    /// empty cell.
    pub cells: Vec<Vec<f64>>,
    /// Ends of the colours; those of the values if absent.
    pub range: Option<(f64, f64)>,
    /// Whether neighbours have nothing to do with each other, so that there are no contours.
    pub scattered: bool,
    /// Whether both sides are the same things, so that the cells are pairs with a value from -1 to 1: the
    /// colours part at zero, each cell has its number, a missing one is marked, and the diagonal
    /// is muted.
    pub pairs: bool,
    /// Limits of other quantities on the same grid.
    pub limits: Vec<Limit>,
    /// Small footer: where the numbers come from.
    pub source_line: String,
    /// What the picture shows, in words, for those who cannot see it.
    pub alt_text: String,
}

/// The steps along one side of a map, at equal distances whatever their values.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Steps {
    /// The quantity.
    pub label: String,
    /// Its unit.
    pub unit: String,
    /// How each step is written.
    pub names: Vec<String>,
    /// The steps as numbers, where they are: then ticks may stand at round ones in between.
    pub values: Vec<f64>,
    /// Whether the numbers go by equal ratios.
    pub log: bool,
}

/// A line on a map where a quantity passes a level.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Limit {
    /// Words for the legend, such as `overshoot 3 K`.
    pub words: String,
    /// The quantity on the grid of the map.
    pub values: Vec<Vec<f64>>,
    /// Where the line runs.
    pub level: f64,
    /// Whether values above it are wanted, rather than those below; cells on the other side fade.
    pub above: bool,
    /// Cells in which it is not sure on which side the quantity is, by row and column; they fade, too.
    pub unsure: Vec<(usize, usize)>,
}

impl Limit {
    /// Whether the quantity is on the unwanted side in a cell, or may be.
    #[must_use]
    pub fn breaks(&self, column: usize, row: usize) -> bool {
        if self.unsure.contains(&(row, column)) {
            return true;
        }
        let value = self.values.get(row).and_then(|r| r.get(column)).copied();
        value.is_some_and(|v| if self.above { v < self.level } else { v > self.level })
    }
}

impl Map {
    /// The numbers behind the picture: one row per cell, limits in columns of their own.
    pub(in crate::report::figure) fn table(&self) -> String {
        let mut heads = vec![
            head(&self.x.label, &self.x.unit),
            head(&self.y.label, &self.y.unit),
            head(&self.label, &self.unit),
        ];
        // What is behind the semicolon is about the picture.
        let words = |l: &Limit| joined(l.words.split(';').next().unwrap_or_default());
        heads.extend(self.limits.iter().map(words));
        let mut out = Csv::with_head(heads);
        for (j, y) in self.y.names.iter().enumerate() {
            for (i, x) in self.x.names.iter().enumerate() {
                let at =
                    |grid: &[Vec<f64>]| number(grid.get(j).and_then(|row| row.get(i)).copied());
                let limits = self.limits.iter().map(|limit| at(&limit.values));
                out.row([x.clone(), y.clone(), at(&self.cells)].into_iter().chain(limits));
            }
        }
        out.text()
    }
}
