//! Names of series in rows above a panel, each behind a piece of its line: for a panel beside which
//! they find no room, since a name that is left out lets its neighbour's be read as its own.

use super::labels::EndLabel;
use super::{GAP, Page};

/// Length of a piece of line, which shows each dash style twice, and room between two names.
pub(super) const SAMPLE: f64 = 72.0;
const BETWEEN: f64 = 30.0;

/// One name: its lines, and where they begin.
#[derive(Clone, Debug)]
pub(super) struct Item {
    pub(super) lines: Vec<String>,
    pub(super) left_px: f64,
    /// Lines of text above it.
    pub(super) above: usize,
}

/// The names of one panel.
#[derive(Clone, Debug, Default)]
pub(super) struct Key {
    /// In the order of the labels.
    pub(super) items: Vec<Item>,
    /// Lines of text it takes.
    pub(super) rows: usize,
}

impl Key {
    /// Names behind each other in rows as wide as the page has room.
    pub(super) fn new(labels: &[EndLabel<'_>], page: &Page) -> Self {
        let (begin, room_px) = (page.px(SAMPLE + GAP), page.room());
        let mut key = Key::default();
        let (mut left, mut high) = (0.0, 0);
        for label in labels {
            let face = label.face;
            let lines = face.wrap(&label.words, (room_px - begin).max(face.em_px));
            let wide = face.widest_px(&lines);
            if left > 0.0 && left + begin + wide > room_px {
                key.rows += high;
                (left, high) = (0.0, 0);
            }
            high = high.max(lines.len());
            key.items.push(Item { lines, left_px: left + begin, above: key.rows });
            left += begin + wide + page.px(BETWEEN);
        }
        key.rows += high;
        key
    }
}
