//! Divides the picture: where words, plots and margins stand.

use super::axis::{Axis, extent};
use super::data::factor;
use super::key::Key;
use super::labels::NAME_GAP;
use super::marks::{self, MarkLayout};
use super::panel::{Header, PanelFrame};
use super::{Drawn, Figure, FigureError, GAP, Page, Panel, Point, Rect, Style, axis_title};

/// Room between two panels \[reference pixels\].
const PANEL_GAP: f64 = 22.0;
/// From the last plot to the numbers below it: clear of the lowest number beside the plot.
pub(super) const X_GAP: f64 = 18.0;
/// Length of the line from the plot to the name of a series.
pub(super) const LEADER: f64 = 44.0;
/// The least a plot needs: three numbers on its axis; a few ticks.
const LEAST_HEIGHT: f64 = 110.0;
const LEAST_WIDTH: f64 = 260.0;
/// Names of series take at most this share of the width, before they are wrapped.
const NAMES_SHARE: f64 = 0.19;
const NAMES_LEAST: f64 = 290.0;

/// What neighbours in one picture have in common, so that their plots are alike.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Fit {
    /// Pixels per reference pixel.
    pub(super) unit: f64,
    /// Lines kept for the title, whether it fills them or not.
    pub(super) title_rows: usize,
    /// Whether the x title stands below its numbers even where there is room beside them.
    pub(super) x_title_below: bool,
    /// Lines kept for names above each panel.
    pub(super) key_rows: usize,
}

/// The whole picture, measured.
pub(super) struct Frame<'a> {
    pub(super) figure: &'a Figure,
    pub(super) page: Page,
    /// Left and right end of all plots.
    pub(super) plot_x: (f64, f64),
    /// Width of the numbers on right axes.
    pub(super) right_numbers: f64,
    pub(super) x_axis: Axis,
    pub(super) title: Vec<String>,
    pub(super) subtitle: Vec<String>,
    pub(super) note: Vec<String>,
    pub(super) footer: Vec<String>,
    /// Top of the note, of the words of marks, and of the footer.
    pub(super) note_top: f64,
    pub(super) marks_top: f64,
    pub(super) footer_top: f64,
    pub(super) plan: MarkLayout,
    pub(super) panels: Vec<PanelFrame<'a>>,
    pub(super) x_title: String,
    /// Whether the x title stands behind the numbers rather than below them.
    pub(super) x_title_beside: bool,
}

/// One panel within its picture.
#[derive(Clone, Copy)]
pub(super) struct Pane<'a> {
    pub(super) frame: &'a Frame<'a>,
    pub(super) panel: &'a PanelFrame<'a>,
}

impl Pane<'_> {
    /// Pixel of a point on the left axis, or on the right one.
    pub(super) fn at(&self, (x, y): (f64, f64), on_right: bool) -> Point {
        (self.frame.x_px(x), self.panel.y_px(y, on_right))
    }
}

impl<'a> Frame<'a> {
    /// Measures everything, with or without regard to neighbours.
    pub(super) fn new(figure: &'a Figure, style: &Style, fit: Option<Fit>) -> Drawn<Self> {
        let mut frame = Self::empty(figure, style, fit)?;
        frame.divide(fit)?;
        // Names above one panel take room from all of them.
        while frame.move_names() {
            frame.divide(fit)?;
        }
        for panel in &mut frame.panels {
            panel.set_axes(frame.page.unit);
        }
        Ok(frame)
    }

    /// Finds room for everything.
    fn divide(&mut self, fit: Option<Fit>) -> Drawn<()> {
        self.divide_width(fit.is_some());
        if self.plot_px() < self.page.px(LEAST_WIDTH) {
            return Err(self.page.crowded(self.panels.len()));
        }
        self.set_x_axis(fit.is_some_and(|fit| fit.x_title_below));
        self.wrap_words(fit.map_or(0, |fit| fit.key_rows));
        self.divide_height()
    }

    /// Gives each panel whose names find no room beside it a key above it; `false` if all have room.
    fn move_names(&mut self) -> bool {
        let gap = self.page.px(NAME_GAP);
        let mut moved = false;
        for panel in self.panels.iter_mut().filter(|p| !p.has_room(gap)) {
            panel.key = Some(Key::default());
            moved = true;
        }
        moved
    }

    /// Width of all that stands left and right of the plots.
    pub(super) fn sides_px(figure: &'a Figure, style: &Style, fit: Fit) -> Drawn<f64> {
        let mut frame = Self::empty(figure, style, Some(fit))?;
        frame.divide_width(true);
        Ok(f64::from(frame.page.size_px.0) - frame.plot_px())
    }

    /// A frame with its panels and their names measured.
    fn empty(figure: &'a Figure, style: &Style, fit: Option<Fit>) -> Drawn<Self> {
        let page = fit.map_or_else(|| Page::new(style), |fit| Page::scaled(style, fit.unit))?;
        if figure.panels.is_empty() {
            return Err(FigureError::NoPanels);
        }
        // Among neighbours the width of names must not hang on that of their column.
        let share = if fit.is_some() { 0.0 } else { NAMES_SHARE };
        let most = (share * f64::from(page.size_px.0)).max(page.px(NAMES_LEAST));
        let panels = figure.panels.iter().map(|p| PanelFrame::new(p, &page.faces, most));
        let (faces, room) = (page.faces, page.room());
        let mut title = faces.title.wrap(&figure.title, room);
        title.resize(title.len().max(fit.map_or(0, |fit| fit.title_rows)), String::new());
        Ok(Self {
            figure,
            panels: panels.collect(),
            page,
            plot_x: (0.0, 0.0),
            right_numbers: 0.0,
            x_axis: Axis::along(None, "", 3),
            title,
            subtitle: faces.subtitle.wrap(&figure.subtitle, room),
            note: Vec::new(),
            footer: faces.footer.wrap(&figure.source_line, room),
            note_top: 0.0,
            marks_top: 0.0,
            footer_top: 0.0,
            plan: MarkLayout::default(),
            x_title: axis_title(&figure.x_label, &figure.x_unit),
            x_title_beside: false,
        })
    }

    /// Its panels, from top to bottom.
    pub(super) fn panes(&self) -> impl Iterator<Item = Pane<'_>> {
        self.panels.iter().map(|panel| Pane { frame: self, panel })
    }

    /// Width of the plots.
    pub(super) fn plot_px(&self) -> f64 {
        self.plot_x.1 - self.plot_x.0
    }

    /// Pixel of an x value.
    pub(super) fn x_px(&self, x: f64) -> f64 {
        self.plot_x.0 + self.x_axis.share(x) * self.plot_px()
    }

    /// Numbers left and right, names, and what remains for the plots. Among neighbours names above a
    /// panel count too, so that plots stay equally wide.
    fn divide_width(&mut self, neighbours: bool) {
        let (page, text) = (&self.page, self.page.faces.text);
        let widest = |axis: Axis| text.widest_px(axis.ticks.labels());
        // The heights are not known yet, so every number of ticks that may come is tried.
        let tries = || self.panels.iter().flat_map(|p| [3, 4, 5, 6, 7].map(|most| (p, most)));
        let left = tries().map(|(p, most)| widest(p.left_axis(most))).fold(0.0, f64::max);
        let right = tries().filter_map(|(p, most)| p.right_axis(most));
        let right = right.map(|axis| widest(axis) + 2.0 * page.px(GAP)).fold(0.0, f64::max);
        let mut names = 0.0_f64;
        for panel in self.panels.iter().filter(|p| neighbours || p.key.is_none()) {
            let numbers = panel.panel.right.as_ref().map_or(0.0, |_| right);
            for label in &panel.labels {
                let name = label.face.widest_px(&label.lines);
                names = names.max(numbers + page.px(LEADER) + name);
            }
        }
        let end = page.words_x.1 - names.max(right).max(text.em_px);
        self.plot_x = (page.words_x.0 + left + page.px(GAP), end);
        self.right_numbers = right;
    }

    /// As many ticks as their numbers leave room for.
    fn set_x_axis(&mut self, title_below: bool) {
        const MOST: usize = 12;
        let text = self.page.faces.text;
        let series = self.figure.panels.iter().flat_map(Panel::all_series);
        let data = extent(series.flat_map(|(s, _)| s.drawable_points().map(|(x, _)| x)));
        let along = if self.figure.x_log { Axis::along_ratios } else { Axis::along };
        let mut last_half = 0.0;
        for most in (2..=MOST).rev() {
            self.x_axis = along(data, &self.figure.x_unit, most);
            let labels = self.x_axis.ticks.labels();
            last_half = labels.last().map_or(0.0, |l| text.width_px(l) / 2.0);
            let step_px = self.x_axis.closest() * self.plot_px();
            if labels.len() < 2 || step_px >= text.widest_px(&labels) + text.em_px {
                break;
            }
        }
        let need = last_half + text.em_px + text.width_px(&self.x_title);
        self.x_title_beside = !title_below && self.plot_x.1 + need <= self.page.words_x.1;
    }

    /// Words whose room hangs on where the plots stand, with `least_rows` for each key.
    fn wrap_words(&mut self, least_rows: usize) {
        let (text, right) = (self.page.faces.text, self.plot_x.1);
        let reach = (self.plot_x.0, right, self.page.words_x.1);
        self.plan = marks::plan(&self.figure.marks, |x| self.x_px(x), reach, text);
        self.note = text.wrap(&self.plan.note, self.page.room());
        let room = right + self.right_numbers - self.page.words_x.0;
        for panel in &mut self.panels {
            panel.header = Header::new(panel.panel, text, room);
            panel.key = panel.key.as_ref().map(|_| Key::new(&panel.labels, &self.page));
            let rows = panel.key.as_ref().map_or(0, |key| key.rows);
            panel.header.key_rows = rows.max(least_rows);
        }
    }

    /// Heights of all words, and what remains for the plots, by weight.
    fn divide_height(&mut self) -> Drawn<()> {
        let (page, faces, line) = (&self.page, self.page.faces, self.page.faces.text.line_px());
        let (gap, panel_gap) = (page.px(GAP), page.px(PANEL_GAP));
        let title = self.title.len() as f64 * faces.title.line_px();
        let subtitle = self.subtitle.len() as f64 * faces.subtitle.line_px();
        self.note_top = page.words_y.0 + title + subtitle + gap;
        self.marks_top = self.note_top + self.note.len() as f64 * line;
        self.footer_top = page.words_y.1 - self.footer.len() as f64 * faces.footer.line_px();
        let start = self.marks_top + self.plan.rows as f64 * line + gap;
        let rows = if self.x_title_beside || self.x_title.is_empty() { 1.0 } else { 2.0 };
        let end = self.footer_top - page.px(X_GAP + GAP) - rows * line;
        let words: f64 = self.panels.iter().map(|p| p.header.rows() as f64).sum();
        let count = self.panels.len() as f64;
        let gaps = (count - 1.0) * panel_gap + count * gap;
        let room = end - start - words * line - gaps;
        let weights: f64 = self.panels.iter().map(|p| factor(p.panel.weight)).sum();
        let (left, right) = self.plot_x;
        let mut y = start;
        for panel in &mut self.panels {
            let top = y + panel.header.rows() as f64 * line + gap;
            let bottom = top + room * factor(panel.panel.weight) / weights;
            panel.plot = Rect { left, top, right, bottom };
            y = bottom + panel_gap;
        }
        let least = page.px(LEAST_HEIGHT);
        let high = self.panels.iter().all(|p| p.plot.height() >= least);
        if high { Ok(()) } else { Err(page.crowded(self.panels.len())) }
    }
}
