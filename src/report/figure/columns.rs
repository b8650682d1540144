//! Figures beside each other under one headline, for cases to be compared at a glance.

use super::frame::{Fit, Frame};
use super::page::SIDE;
use super::{Drawn, Figure, FigureError, Page, Scene, Size, Style, paint};
use crate::text::csv_line;

/// Figures beside each other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Columns {
    /// Headline, top left; wrapped, never cut.
    pub title: String,
    /// Smaller line below the title; may be empty.
    pub subtitle: String,
    /// The figures from left to right, each with its own short title.
    pub figures: Vec<Figure>,
    /// Small footer: where the numbers come from.
    pub source_line: String,
    /// What the picture shows, in words, for those who cannot see it.
    pub alt_text: String,
}

/// Smallest and largest scale of words and lines in the columns against those of the headline.
const SCALE: (f64, f64) = (0.45, 0.72);
/// Width of a column \[reference pixels\] that would take words of full scale.
const FULL: f64 = 880.0;

impl Columns {
    /// The numbers behind the picture: the tables of the figures one below the other, each under
    /// its title.
    pub(super) fn table(&self) -> String {
        let table = |f: &Figure| csv_line([format!("# {}", f.title)]) + &f.table();
        self.figures.iter().map(table).collect()
    }
}

/// The whole picture as shapes.
pub(super) fn scene(columns: &Columns, style: &Style) -> Drawn<Scene> {
    let page = Page::new(style)?;
    if columns.figures.is_empty() {
        return Err(FigureError::NoPanels);
    }
    let mut scene = page.blank();
    let (wide, unit) = (f64::from(page.size_px.0), page.unit);
    let top = page.head(&mut scene, &columns.title, &columns.subtitle);
    let foot = page.foot(&mut scene, &columns.source_line);
    let high = (foot - top).max(0.0) as u32;
    let crowded = |_| page.crowded(columns.figures.iter().map(|f| f.panels.len()).sum());
    let count = columns.figures.len() as f64;
    let scale = (wide / count / unit / FULL).clamp(SCALE.0, SCALE.1);
    // The words of the first column begin where those of the page do.
    let inset = (SIDE * (1.0 - scale) * unit).round();
    let room = wide - 2.0 * inset;
    let small = |wide: f64| {
        let size = Size::Custom(wide.max(0.0).round() as u32, high);
        Style { size, ..*style }
    };
    let mut fit = Fit { unit: scale * unit, ..Fit::default() };
    let sides = columns.figures.iter().map(|f| Frame::sides_px(f, &small(room / count), fit));
    let sides = sides.collect::<Result<Vec<f64>, _>>().map_err(crowded)?;
    // All plots are equally wide, whatever words stand beside them.
    let plot = (room - sides.iter().sum::<f64>()) / count;
    let styles: Vec<Style> = sides.iter().map(|side| small(side + plot)).collect();
    loop {
        // Room kept for one panel may leave too little for the names of another.
        let next = common(columns, &styles, fit).map_err(crowded)?;
        if std::mem::replace(&mut fit, next) == next {
            break;
        }
    }
    let mut left = inset;
    for ((figure, style), side) in columns.figures.iter().zip(&styles).zip(&sides) {
        let part = paint::among(figure, style, Some(fit)).map_err(crowded)?;
        scene.add_moved(part, (left.round(), top.round()));
        left += side + plot;
    }
    Ok(scene)
}

/// What all columns need, so that their plots are at one height.
fn common(columns: &Columns, styles: &[Style], fit: Fit) -> Drawn<Fit> {
    let mut found = fit;
    for (figure, style) in columns.figures.iter().zip(styles) {
        let frame = Frame::new(figure, style, Some(fit))?;
        found.title_rows = found.title_rows.max(frame.title.len());
        found.x_title_below |= !frame.x_title_beside;
        let rows = frame.panels.iter().filter_map(|p| p.key.as_ref()).map(|key| key.rows);
        found.key_rows = rows.fold(found.key_rows, usize::max);
    }
    Ok(found)
}
