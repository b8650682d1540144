//! Divides the picture: where words, plots and margins stand.

use super::axis::{Axis, extent};
use super::data::{Figure, Panel, axis_title};
use super::font::Face;
use super::key::Key;
use super::labels;
use super::marks::{self, MarkLayout};
use super::palette::Palette;
use super::panel::{Header, PanelFrame};
use super::scene::Rect;
use super::style::{FigureError, Style};

/// Lengths in reference pixels: those of a picture whose shorter side is 1080 px.
const REFERENCE_PX: f64 = 1080.0;
/// Margins: left and right, top, bottom.
const SIDE: f64 = 48.0;
const TOP: f64 = 40.0;
const BOTTOM: f64 = 30.0;
/// Room between two panels, and between words and what they belong to.
const PANEL_GAP: f64 = 22.0;
pub(super) const GAP: f64 = 12.0;
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

/// The sizes of text used.
#[derive(Clone, Copy, Debug)]
pub(super) struct Faces {
    pub(super) title: Face,
    pub(super) subtitle: Face,
    pub(super) text: Face,
    pub(super) strong: Face,
    pub(super) footer: Face,
}

/// The whole picture, measured.
pub(super) struct Frame<'a> {
    pub(super) figure: &'a Figure,
    pub(super) size_px: (u32, u32),
    /// Pixels per reference pixel.
    pub(super) unit: f64,
    pub(super) faces: Faces,
    pub(super) palette: Palette,
    /// Left and right end of all plots, and of all words.
    pub(super) plot_x: (f64, f64),
    pub(super) words_x: (f64, f64),
    /// Width of the numbers on right axes.
    pub(super) right_numbers: f64,
    pub(super) x_axis: Axis,
    pub(super) title: Vec<String>,
    pub(super) subtitle: Vec<String>,
    pub(super) note: Vec<String>,
    pub(super) footer: Vec<String>,
    pub(super) plan: MarkLayout,
    pub(super) panels: Vec<PanelFrame<'a>>,
    pub(super) x_title: String,
    /// Whether the x title stands behind the numbers rather than below them.
    pub(super) x_title_beside: bool,
}

impl<'a> Frame<'a> {
    /// Measures everything, with or without regard to neighbours.
    pub(super) fn new(
        figure: &'a Figure,
        style: &Style,
        fit: Option<Fit>,
    ) -> Result<Self, FigureError> {
        let mut frame = Self::empty(figure, style, fit)?;
        frame.divide(fit)?;
        // Names above one panel take room from all of them.
        while frame.move_names() {
            frame.divide(fit)?;
        }
        for panel in &mut frame.panels {
            panel.set_axes(frame.unit);
        }
        Ok(frame)
    }

    /// Finds room for everything.
    fn divide(&mut self, fit: Option<Fit>) -> Result<(), FigureError> {
        self.divide_width(fit.is_some());
        if self.plot_x.1 - self.plot_x.0 < self.px(LEAST_WIDTH) {
            return Err(self.crowded());
        }
        self.set_x_axis();
        self.wrap_words();
        if let Some(fit) = fit {
            let rows = fit.title_rows.max(self.title.len());
            self.title.resize(rows, String::new());
            self.x_title_beside &= !fit.x_title_below;
            for header in self.panels.iter_mut().map(|p| &mut p.header) {
                header.key_rows = header.key_rows.max(fit.key_rows);
            }
        }
        self.divide_height()
    }

    /// Gives each panel whose names find no room beside it a key above it; `false` if all have room.
    fn move_names(&mut self) -> bool {
        let gap = labels::gap_px(self.unit);
        let full = |p: &PanelFrame<'_>| p.key.is_none() && !labels::have_room(p, gap);
        let crowded: Vec<usize> =
            (0..self.panels.len()).filter(|i| full(&self.panels[*i])).collect();
        crowded.iter().for_each(|i| self.panels[*i].key = Some(Key::default()));
        !crowded.is_empty()
    }

    /// Width of all that stands left and right of the plots.
    pub(super) fn sides_px(
        figure: &'a Figure,
        style: &Style,
        fit: Fit,
    ) -> Result<f64, FigureError> {
        let mut frame = Self::empty(figure, style, Some(fit))?;
        frame.divide_width(true);
        Ok(f64::from(frame.size_px.0) - (frame.plot_x.1 - frame.plot_x.0))
    }

    /// A frame with its panels and their names measured.
    fn empty(figure: &'a Figure, style: &Style, fit: Option<Fit>) -> Result<Self, FigureError> {
        let size_px = style.pixels()?;
        if figure.panels.is_empty() {
            return Err(FigureError::NoPanels);
        }
        let whole = f64::from(size_px.0.min(size_px.1)) / REFERENCE_PX;
        let unit = fit.map_or(whole, |fit| fit.unit);
        let mut frame = Self {
            figure,
            size_px,
            unit,
            faces: faces(unit),
            palette: Palette::new(style.theme),
            plot_x: (0.0, 0.0),
            words_x: (SIDE * unit, f64::from(size_px.0) - SIDE * unit),
            right_numbers: 0.0,
            x_axis: Axis::along(None, "", 3),
            title: Vec::new(),
            subtitle: Vec::new(),
            note: Vec::new(),
            footer: Vec::new(),
            plan: MarkLayout::default(),
            panels: Vec::new(),
            x_title: axis_title(&figure.x_label, &figure.x_unit),
            x_title_beside: false,
        };
        // Among neighbours the width of names must not hang on that of their column.
        let share = if fit.is_some() { 0.0 } else { NAMES_SHARE };
        let most = (share * f64::from(size_px.0)).max(NAMES_LEAST * unit);
        let panels = figure.panels.iter();
        frame.panels = panels.map(|panel| PanelFrame::new(panel, &frame.faces, most)).collect();
        Ok(frame)
    }

    /// Reference pixels to pixels.
    pub(super) fn px(&self, reference: f64) -> f64 {
        reference * self.unit
    }

    /// Pixel of an x value.
    pub(super) fn x_px(&self, x: f64) -> f64 {
        self.plot_x.0 + self.x_axis.share(x) * (self.plot_x.1 - self.plot_x.0)
    }

    fn crowded(&self) -> FigureError {
        FigureError::Crowded {
            panels: self.figure.panels.len(),
            width: self.size_px.0,
            height: self.size_px.1,
        }
    }

    /// Numbers left and right, names, and what remains for the plots. Among neighbours names above a
    /// panel count too, so that plots stay equally wide.
    fn divide_width(&mut self, neighbours: bool) {
        let text = self.faces.text;
        let widest = |axis: &Axis| {
            let labels = axis.ticks.labels();
            labels.iter().map(|l| text.width_px(l)).fold(0.0, f64::max)
        };
        // The heights are not known yet, so every number of ticks that may come is tried.
        let tries = [3, 4, 5, 6, 7];
        let (mut left, mut right, mut names) = (0.0_f64, 0.0_f64, 0.0_f64);
        for panel in &self.panels {
            for most in tries {
                left = left.max(widest(&panel.left_axis(most)));
                if let Some(axis) = panel.right_axis(most) {
                    right = right.max(widest(&axis) + 2.0 * self.px(GAP));
                }
            }
        }
        for panel in self.panels.iter().filter(|p| neighbours || p.key.is_none()) {
            let numbers = panel.panel.right.as_ref().map_or(0.0, |_| right);
            for label in &panel.labels {
                names = names.max(numbers + self.px(LEADER) + label.width_px);
            }
        }
        self.right_numbers = right;
        let end = self.words_x.1 - names.max(right).max(text.em_px);
        self.plot_x = (self.words_x.0 + left + self.px(GAP), end);
    }

    /// As many ticks as their numbers leave room for.
    fn set_x_axis(&mut self) {
        const MOST: usize = 12;
        let text = self.faces.text;
        let data = self
            .figure
            .panels
            .iter()
            .flat_map(Panel::all_series)
            .flat_map(|series| series.drawable_points().map(|(x, _)| x));
        let data = extent(data);
        let width = self.plot_x.1 - self.plot_x.0;
        let (mut last_half, mut most) = (0.0, MOST);
        while most >= 2 {
            let along = if self.figure.x_log { Axis::along_ratios } else { Axis::along };
            self.x_axis = along(data, &self.figure.x_unit, most);
            let widths: Vec<f64> =
                self.x_axis.ticks.labels().iter().map(|l| text.width_px(l)).collect();
            last_half = widths.last().map_or(0.0, |w| w / 2.0);
            let widest = widths.iter().copied().fold(0.0, f64::max);
            let step_px = self.x_axis.closest() * width;
            if widths.len() < 2 || step_px >= widest + text.em_px {
                break;
            }
            most -= 1;
        }
        let need = last_half + text.em_px + text.width_px(&self.x_title);
        self.x_title_beside = self.plot_x.1 + need <= self.words_x.1;
    }

    fn wrap_words(&mut self) {
        let faces = self.faces;
        let width = self.words_x.1 - self.words_x.0;
        self.title = faces.title.wrap(&self.figure.title, width);
        self.subtitle = faces.subtitle.wrap(&self.figure.subtitle, width);
        self.footer = faces.footer.wrap(&self.figure.source_line, width);
        let reach = (self.plot_x.0, self.plot_x.1, self.words_x.1);
        self.plan = marks::plan(&self.figure.marks, |x| self.x_px(x), reach, faces.text);
        self.note = faces.text.wrap(&self.plan.note, width);
        let right_end = self.plot_x.1 + self.right_numbers;
        let room = right_end - self.words_x.0;
        for panel in &mut self.panels {
            panel.header = Header::new(panel.panel, faces.text, room);
            panel.key = panel.key.as_ref().map(|_| Key::new(&panel.labels, width, self.unit));
            panel.header.key_rows = panel.key.as_ref().map_or(0, Key::rows);
        }
    }

    /// Heights of all words, and what remains for the plots, by weight.
    fn divide_height(&mut self) -> Result<(), FigureError> {
        let weight = |panel: &Panel| {
            if panel.weight.is_finite() && panel.weight > 0.0 { panel.weight } else { 1.0 }
        };
        let line = self.faces.text.line_px();
        let (start, end) = (self.panels_top(), self.panels_bottom());
        let words: f64 = self.panels.iter().map(|p| p.header.rows() as f64).sum();
        let gaps = (self.panels.len() - 1) as f64 * self.px(PANEL_GAP)
            + self.panels.len() as f64 * self.px(GAP);
        let room = end - start - words * line - gaps;
        let weights: f64 = self.panels.iter().map(|p| weight(p.panel)).sum();
        let (plot_x, gap, panel_gap) = (self.plot_x, self.px(GAP), self.px(PANEL_GAP));
        let mut y = start;
        for panel in &mut self.panels {
            let top = y + panel.header.rows() as f64 * line + gap;
            let bottom = top + room * weight(panel.panel) / weights;
            panel.plot = Rect { left: plot_x.0, top, right: plot_x.1, bottom };
            y = bottom + panel_gap;
        }
        let least = self.px(LEAST_HEIGHT);
        if self.panels.iter().all(|p| p.plot.height() >= least) {
            Ok(())
        } else {
            Err(self.crowded())
        }
    }

    /// Top of the note about marks.
    pub(super) fn note_top(&self) -> f64 {
        let title = self.title.len() as f64 * self.faces.title.line_px();
        let subtitle = self.subtitle.len() as f64 * self.faces.subtitle.line_px();
        self.px(TOP) + title + subtitle + self.px(GAP)
    }

    /// Top of the rows with the words of marks.
    pub(super) fn marks_top(&self) -> f64 {
        self.note_top() + self.note.len() as f64 * self.faces.text.line_px()
    }

    /// Top of the words above the first panel.
    pub(super) fn panels_top(&self) -> f64 {
        let rows = self.plan.rows as f64 * self.faces.text.line_px();
        self.marks_top() + rows + self.px(GAP)
    }

    /// Top of the title.
    pub(super) fn title_top(&self) -> f64 {
        self.px(TOP)
    }

    /// Top of the footer.
    pub(super) fn footer_top(&self) -> f64 {
        let lines = self.footer.len() as f64 * self.faces.footer.line_px();
        f64::from(self.size_px.1) - self.px(BOTTOM) - lines
    }

    /// Bottom of the last plot.
    fn panels_bottom(&self) -> f64 {
        let rows = if self.x_title_beside || self.x_title.is_empty() { 1.0 } else { 2.0 };
        self.footer_top() - self.px(X_GAP + GAP) - rows * self.faces.text.line_px()
    }
}

/// Sizes in reference pixels; nothing but the footer is smaller than 28.
fn faces(unit: f64) -> Faces {
    let face = |reference: f64, bold: bool| Face { em_px: reference * unit, bold };
    Faces {
        title: face(44.0, true),
        subtitle: face(30.0, false),
        text: face(28.0, false),
        strong: face(28.0, true),
        footer: face(22.0, false),
    }
}
