//! One panel, measured: its plot, its axes and the words around it.

use super::axis::{Axis, extent};
use super::key::Key;
use super::labels::{self, EndLabel};
use super::stack::{Layer, layers};
use super::{Face, Faces, Panel, Rect, axis_title};

/// Words above one end of a panel.
#[derive(Clone, Debug, Default)]
pub(super) struct Header {
    pub(super) left: Vec<String>,
    pub(super) right: Vec<String>,
    /// Lines the right words stand below the top ones.
    pub(super) right_from: usize,
    /// Lines of the key below them.
    pub(super) key_rows: usize,
}

impl Header {
    /// Wraps the titles of both axes; side by side where they fit into `room`.
    pub(super) fn new(panel: &Panel, face: Face, room: f64) -> Self {
        let left = face.wrap(&axis_title(&panel.label, &panel.unit), room);
        let right = panel.right.as_ref().map_or_else(Vec::new, |axis| {
            face.wrap(&format!("{} →", axis_title(&axis.label, &axis.unit)), room)
        });
        let beside = match (left.as_slice(), right.as_slice()) {
            ([l], [r]) => face.width_px(l) + face.width_px(r) + 2.0 * face.em_px <= room,
            _ => left.is_empty() || right.is_empty(),
        };
        let right_from = if beside { 0 } else { left.len() };
        Self { left, right, right_from, key_rows: 0 }
    }

    /// Lines in use.
    pub(super) fn rows(&self) -> usize {
        self.left.len().max(self.right_from + self.right.len()) + self.key_rows
    }
}

/// One panel, measured.
pub(super) struct PanelFrame<'a> {
    pub(super) panel: &'a Panel,
    pub(super) plot: Rect,
    pub(super) header: Header,
    pub(super) left: Axis,
    pub(super) right: Option<Axis>,
    /// Only in stacked panels.
    pub(super) layers: Vec<Layer>,
    pub(super) labels: Vec<EndLabel<'a>>,
    /// Where the names stand if they find no room at the ends of their lines.
    pub(super) key: Option<Key>,
}

impl<'a> PanelFrame<'a> {
    /// A panel whose names are measured, and nothing else yet.
    pub(super) fn new(panel: &'a Panel, faces: &Faces, names_px: f64) -> Self {
        Self {
            panel,
            plot: Rect::default(),
            header: Header::default(),
            left: Axis::upright(None, false, 3),
            right: None,
            layers: if panel.stacked { layers(&panel.series) } else { Vec::new() },
            labels: labels::measure(panel, faces, names_px),
            key: None,
        }
    }

    /// Pixel of a value on the left axis, or on the right one.
    pub(super) fn y_px(&self, y: f64, on_right: bool) -> f64 {
        let axis = match (&self.right, on_right) {
            (Some(right), true) => right,
            _ => &self.left,
        };
        self.plot.bottom - axis.share(y) * self.plot.height()
    }

    /// From where to where names may stand: a little above and below the plot; the x title stands below it.
    pub(super) fn names_room(&self, gap: f64) -> (f64, f64) {
        (self.plot.top - 2.0 * gap, self.plot.bottom + gap)
    }

    /// Whether all names find room at the ends of their lines, or have a key.
    pub(super) fn has_room(&self, gap: f64) -> bool {
        let (top, bottom) = self.names_room(gap);
        let high: f64 = self.labels.iter().map(|l| l.height_px() + gap).sum();
        self.key.is_some() || high <= bottom - top
    }

    /// Sets both axes once the height is known.
    pub(super) fn set_axes(&mut self, unit: f64) {
        // Closer than 42 reference pixels, numbers 28 high begin to look like a list.
        let most = ((self.plot.height() / (42.0 * unit)) as usize).clamp(3, 7);
        self.left = self.left_axis(most);
        self.right = self.right_axis(most);
    }

    /// The left axis with at most `most` ticks.
    pub(super) fn left_axis(&self, most: usize) -> Axis {
        let panel = self.panel;
        let reach = panel.reach.into_iter().flat_map(|(low, high)| [low, high]);
        if panel.stacked {
            let edges = self.layers.iter().flat_map(Layer::edges);
            return Axis::upright(extent(edges.chain(reach)), true, most);
        }
        let values = panel.series.iter().flat_map(|s| s.heights()).chain(reach);
        Axis::upright(extent(values), panel.zero_based, most)
    }

    /// The right axis with at most `most` ticks.
    pub(super) fn right_axis(&self, most: usize) -> Option<Axis> {
        let right = self.panel.right.as_ref()?;
        let data = extent(right.series.iter().flat_map(|s| s.heights()));
        Some(Axis::upright(data, self.panel.zero_based, most))
    }
}
