//! The first step: what a picture shows, as plain numbers and words.

/// One picture: panels stacked above a shared x axis.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Figure {
    /// Headline, top left; wrapped, never cut.
    pub title: String,
    /// Smaller line below the title; may be empty.
    pub subtitle: String,
    /// What runs along x, such as `time`.
    pub x_label: String,
    /// Unit of x. With `s`, `min`, `h` or `d` the ticks use steps people count time in.
    pub x_unit: String,
    /// Whether equal ratios of x are equally far apart; where all x are above zero.
    pub x_log: bool,
    /// From top to bottom; at least one.
    pub panels: Vec<Panel>,
    /// Events, drawn across all panels.
    pub marks: Vec<Mark>,
    /// Small footer: where the numbers come from.
    pub source_line: String,
    /// What the picture shows, in words, for those who cannot see it.
    pub alt_text: String,
}

/// One plot area with its own y axis.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Panel {
    /// Quantity on the left axis, such as `temperature`.
    pub label: String,
    /// Unit of the left axis; empty when it has none.
    pub unit: String,
    /// Series on the left axis.
    pub series: Vec<Series>,
    /// A second axis with its own series.
    pub right: Option<RightAxis>,
    /// Whether both y axes must include zero.
    pub zero_based: bool,
    /// Whether the series follow from each other, so that names of lines that end together stand in
    /// the order of the series.
    pub ordered: bool,
    /// Whether the left series are drawn as filled areas, each on top of the one before.
    pub stacked: bool,
    /// Values the left axis must show besides its own, so that neighbours can be compared.
    pub reach: Option<(f64, f64)>,
    /// Height relative to the other panels; 0 stands for 1.
    pub weight: f64,
}

/// The axis at the right edge of a panel.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RightAxis {
    /// Quantity on this axis.
    pub label: String,
    /// Unit of this axis; empty when it has none.
    pub unit: String,
    /// Series on this axis.
    pub series: Vec<Series>,
}

/// One line (or one layer of a stacked panel).
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Series {
    /// Written at the end of the line.
    pub name: String,
    /// (x, y); a y that is not finite leaves a gap.
    pub points: Vec<(f64, f64)>,
    /// Place in the palette; taken modulo [`super::PALETTE_LEN`].
    pub colour: usize,
    /// Dash style.
    pub dash: Dash,
    /// Line width relative to the usual one; 0 stands for 1.
    pub width: f64,
    /// Whether y holds its value until the next point.
    pub step: bool,
    /// Draw a band instead of the line: for a swing too fast to be seen. The points stay as they
    /// are, also in the CSV.
    pub band: Option<Band>,
    /// Whether this is the line to look at: thicker, on top, its name in bold.
    pub emphasis: bool,
    /// Draw a symbol at each point instead of the line; not in stacked panels.
    pub symbol: Option<Symbol>,
    /// Whether only the outline of the symbol is drawn.
    pub hollow: bool,
    /// Lowest and highest y of each point, drawn as a bar; empty when there are none, and not in stacked
    /// panels.
    pub reach: Vec<(f64, f64)>,
    /// Whether `reach` is drawn as a shaded area around the line, not as bars.
    pub shaded: bool,
    /// Whether the name is left out of the picture and stands in the CSV alone: where another series has
    /// it already.
    pub quiet: bool,
}

/// What stands at a single point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Symbol {
    /// A circle: a reading.
    Dot,
    /// A square.
    Square,
    /// A square on its corner.
    Diamond,
    /// A triangle on its base.
    Triangle,
    /// Two crossed strokes: a reading in doubt.
    Cross,
}

/// The reach of a fast swing: lowest to highest value within a stretch of x around each place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// The stretch.
    pub over: f64,
    /// Where the band begins; before, the points are drawn as a line.
    pub from: f64,
    /// Whether the mean over the stretch is drawn in it.
    pub mean: bool,
}

/// Dash style of a line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Dash {
    /// Unbroken.
    #[default]
    Solid,
    /// Long dashes.
    Dash,
    /// Dots.
    Dot,
    /// Dashes and dots in turn.
    DashDot,
}

impl Dash {
    /// All of them, the plainest first.
    pub(super) const ALL: [Dash; 4] = [Dash::Solid, Dash::Dash, Dash::DashDot, Dash::Dot];

    /// That of the k-th of several lines, so that none is told by its colour alone.
    #[must_use]
    pub fn in_turn(k: usize) -> Dash {
        Dash::ALL[k % Dash::ALL.len()]
    }
}

/// An event at one x.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mark {
    /// Where it happened, in the unit of x.
    pub x: f64,
    /// A word or two.
    pub label: String,
}

/// Beyond this size a number is treated as missing, so that spans never overflow.
const LARGEST: f64 = 1e300;

/// Whether a number can be drawn.
pub(super) fn drawable(v: f64) -> bool {
    v.is_finite() && v.abs() <= LARGEST
}

/// A factor, or 1 where it says nothing.
pub(super) fn factor(v: f64) -> f64 {
    if v.is_finite() && v > 0.0 { v } else { 1.0 }
}

impl Series {
    /// The points that can be drawn, gaps left out.
    pub(super) fn drawable_points(&self) -> impl DoubleEndedIterator<Item = (f64, f64)> + '_ {
        self.points.iter().copied().filter(|&(x, y)| drawable(x) && drawable(y))
    }

    /// Whether no point can be drawn.
    pub(super) fn is_empty(&self) -> bool {
        self.drawable_points().next().is_none()
    }

    /// Every y that must find room on the axis: the points, and the ends of their bars.
    pub(super) fn heights(&self) -> impl Iterator<Item = f64> + '_ {
        let ends = self.reach.iter().flat_map(|&(low, high)| [low, high]);
        self.drawable_points().map(|(_, y)| y).chain(ends.filter(|y| drawable(*y)))
    }
}

impl Panel {
    /// A panel with a left axis.
    #[must_use]
    pub fn new(label: &str, unit: &str, series: Vec<Series>) -> Self {
        Panel { label: label.into(), unit: unit.into(), series, ..Panel::default() }
    }

    /// The same, zero being on the axis.
    #[must_use]
    pub fn from_zero(label: &str, unit: &str, series: Vec<Series>) -> Self {
        Panel { zero_based: true, ..Panel::new(label, unit, series) }
    }

    /// Left series, then right ones, each with whether it is a right one.
    pub(super) fn all_series(&self) -> impl Iterator<Item = (&Series, bool)> {
        let right = self.right.iter().flat_map(|right| &right.series);
        self.series.iter().map(|s| (s, false)).chain(right.map(|s| (s, true)))
    }
}

/// `temperature`, `°C` becomes `Temperature (°C)`: the words above an axis.
pub(super) fn axis_title(label: &str, unit: &str) -> String {
    let mut letters = label.trim().chars();
    let name: String =
        letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect();
    match (name.as_str(), unit.trim()) {
        (_, "") => name,
        ("", unit) => format!("({unit})"),
        (name, unit) => format!("{name} ({unit})"),
    }
}
