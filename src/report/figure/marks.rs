//! Event marks: which of them get their words, and on which row above the plots.

use super::font::clean;
use super::{Face, Mark, drawable};

/// With more marks than this, words would only be clutter.
const MOST_LABELLED: usize = 12;
/// Rows of words above the plots.
const MOST_ROWS: usize = 2;
/// Kinds of marks named in the note.
const MOST_KINDS: usize = 4;

/// Where the words of one mark stand.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Words {
    pub(super) text: String,
    /// 0 is the row next to the plots.
    pub(super) row: usize,
    pub(super) left: f64,
    pub(super) right: f64,
}

/// One mark on the picture.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Placed {
    pub(super) x: f64,
    pub(super) words: Option<Words>,
}

/// All marks of a picture.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct MarkLayout {
    /// From left to right.
    pub(super) marks: Vec<Placed>,
    /// Rows of words in use.
    pub(super) rows: usize,
    /// Whether there are too many for full lines: short ticks only.
    pub(super) crowded: bool,
    /// Says what the marks without words are; may be empty.
    pub(super) note: String,
}

/// Lays out the marks between `left` and `right`; words may reach out to `far_right`.
pub(super) fn plan(
    marks: &[Mark],
    to_px: impl Fn(f64) -> f64,
    (left, right, far_right): (f64, f64, f64),
    face: Face,
) -> MarkLayout {
    // Half a pixel of slack for a mark at the very end of the axis.
    let inside = |x: f64| (left - 0.5..=right + 0.5).contains(&x);
    let mut seen: Vec<(f64, String)> = marks
        .iter()
        .filter(|mark| drawable(mark.x))
        .map(|mark| (to_px(mark.x), clean(&mark.label).trim().to_owned()))
        .filter(|&(x, _)| inside(x))
        .collect();
    seen.sort_by(|a, b| a.0.total_cmp(&b.0));
    let crowded = seen.len() > MOST_LABELLED;
    let mut plan = MarkLayout { crowded, ..MarkLayout::default() };
    let mut silent = Vec::new();
    for (x, text) in seen {
        let told = !crowded && !text.is_empty();
        let words = told.then(|| plan.find_room(x, &text, (left, far_right), face)).flatten();
        match &words {
            Some(words) => plan.rows = plan.rows.max(words.row + 1),
            None if text.is_empty() => {}
            None => silent.push(text),
        }
        plan.marks.push(Placed { x, words });
    }
    plan.note = note(&silent, crowded);
    plan
}

impl MarkLayout {
    /// The first row where the words collide neither with others nor with their lines.
    fn find_room(&self, x: f64, text: &str, ends: (f64, f64), face: Face) -> Option<Words> {
        let (left, right) = ends;
        let width = face.width_px(text);
        let gap = 0.6 * face.em_px;
        if width > right - left {
            return None;
        }
        let start = (x - width / 2.0).min(right - width).max(left);
        let (from, to) = (start - gap, start + width + gap);
        let free = |row: usize| {
            self.marks.iter().all(|other| match &other.words {
                None => true,
                Some(w) if w.row == row => w.right <= from || w.left >= to,
                // The line of the upper one runs down past the lower words.
                Some(w) if w.row < row => x < w.left - gap / 2.0 || x > w.right + gap / 2.0,
                Some(_) => other.x < from + gap / 2.0 || other.x > to - gap / 2.0,
            })
        };
        let row = (0..MOST_ROWS).find(|&row| free(row))?;
        Some(Words { text: text.to_owned(), row, left: start, right: start + width })
    }
}

/// `24 marks: lid opened × 12, lid closed × 12`.
fn note(silent: &[String], all: bool) -> String {
    if silent.is_empty() {
        return String::new();
    }
    let mut kinds: Vec<(&str, usize)> = Vec::new();
    for text in silent {
        match kinds.iter_mut().find(|(kind, _)| kind == text) {
            Some((_, times)) => *times += 1,
            None => kinds.push((text, 1)),
        }
    }
    let told = |(kind, times): &(&str, usize)| match times {
        1 => (*kind).to_owned(),
        _ => format!("{kind} × {times}"),
    };
    let mut words: Vec<String> = kinds.iter().take(MOST_KINDS).map(told).collect();
    let others: usize = kinds.iter().skip(MOST_KINDS).map(|(_, times)| times).sum();
    if others > 0 {
        words.push(format!("others × {others}"));
    }
    let lead = if all { format!("{} marks", silent.len()) } else { "Also marked".into() };
    format!("{lead}: {}", words.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    const FACE: Face = Face { em_px: 28.0, bold: false };

    fn marks(xs: impl IntoIterator<Item = f64>, label: &str) -> Vec<Mark> {
        xs.into_iter().map(|x| Mark { x, label: label.into() }).collect()
    }

    fn planned(marks: &[Mark]) -> MarkLayout {
        plan(marks, |x| x, (0.0, 1000.0, 1000.0), FACE)
    }

    #[test]
    fn words_and_lines_never_touch() {
        let plan = planned(&marks([5.0, 60.0, 110.0, 400.0, 500.0, 995.0], "lid opened"));
        assert_eq!(plan.rows, 2);
        for a in &plan.marks {
            let Some(w) = &a.words else { continue };
            assert!(w.left >= 0.0 && w.right <= 1000.0);
            for b in &plan.marks {
                let Some(v) = &b.words else { continue };
                if a.x != b.x && w.row == v.row {
                    assert!(w.right < v.left || v.right < w.left);
                }
                if v.row > w.row {
                    assert!(b.x < w.left || b.x > w.right);
                }
            }
        }
        let silent = plan.marks.iter().filter(|m| m.words.is_none()).count();
        assert!(silent > 0 && plan.note.contains("lid opened"), "{}", plan.note);
    }

    #[test]
    fn many_marks_are_summed_up() {
        let mut all = marks((0..10).map(|i| f64::from(i) * 90.0), "on");
        all.extend(marks((0..9).map(|i| f64::from(i) * 90.0 + 40.0), "off"));
        let plan = planned(&all);
        assert!(plan.crowded && plan.rows == 0);
        assert_eq!(plan.note, "19 marks: on × 10, off × 9");
    }

    #[test]
    fn marks_outside_or_without_a_place_are_left_out() {
        let plan = planned(&marks([-50.0, 2000.0, f64::NAN, 1000.0], "x"));
        assert_eq!(plan.marks.len(), 1);
    }
}
