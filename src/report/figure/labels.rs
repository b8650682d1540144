//! Names of series, measured.

use super::{Face, Faces, Panel, Series};

/// Room around names \[reference pixels\].
pub(super) const NAME_GAP: f64 = 4.0;

/// The name of one series, measured.
#[derive(Clone, Debug)]
pub(super) struct EndLabel<'a> {
    pub(super) series: &'a Series,
    pub(super) words: String,
    pub(super) lines: Vec<String>,
    pub(super) face: Face,
    /// Which layer of a stacked panel it names.
    pub(super) layer: Option<usize>,
    pub(super) on_right: bool,
}

impl EndLabel<'_> {
    pub(super) fn height_px(&self) -> f64 {
        self.lines.len() as f64 * self.face.line_px()
    }
}

/// Measures the names of all series of a panel, wrapped to `most_px`.
pub(super) fn measure<'a>(panel: &'a Panel, faces: &Faces, most_px: f64) -> Vec<EndLabel<'a>> {
    let loud = panel.all_series().enumerate().filter(|(_, (series, _))| !series.quiet);
    let measured = loud.map(|(index, (series, on_right))| {
        let face = if series.emphasis { faces.strong } else { faces.text };
        let mut words = series.name.clone();
        if on_right && !words.trim().is_empty() {
            words.push_str(" (right)");
        }
        if series.is_empty() {
            words.push_str(" (no data)");
        }
        let lines = face.wrap(&words, most_px);
        let layer = (panel.stacked && !on_right).then_some(index);
        EndLabel { series, words, lines, face, layer, on_right }
    });
    measured.filter(|label| !label.lines.is_empty()).collect()
}
