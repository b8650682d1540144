//! One comparison: rows of ours and theirs, the worst gap among them, and what is allowed.

use std::fmt::Write as _;

/// How a gap is counted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Gap {
    /// In percent of their value.
    Percent,
    /// In the unit named.
    Absolute(&'static str),
}

#[derive(Clone, Debug)]
struct Row {
    at: String,
    ours: f64,
    theirs: f64,
    /// Half a unit of the last digit that they print; zero for values with all digits.
    rounding: f64,
}

/// One quantity compared over a range.
#[derive(Clone, Debug)]
pub struct Agreement {
    quantity: &'static str,
    range: &'static str,
    source: &'static str,
    gap: Gap,
    allowed: f64,
    remark: &'static str,
    rows: Vec<Row>,
}

impl Agreement {
    /// A comparison in percent.
    pub fn percent(
        quantity: &'static str,
        range: &'static str,
        source: &'static str,
        allowed: f64,
    ) -> Self {
        Self::new(quantity, range, source, Gap::Percent, allowed)
    }

    /// A comparison in `unit`.
    pub fn absolute(
        quantity: &'static str,
        range: &'static str,
        source: &'static str,
        unit: &'static str,
        allowed: f64,
    ) -> Self {
        Self::new(quantity, range, source, Gap::Absolute(unit), allowed)
    }

    fn new(
        quantity: &'static str,
        range: &'static str,
        source: &'static str,
        gap: Gap,
        allowed: f64,
    ) -> Self {
        Agreement { quantity, range, source, gap, allowed, remark: "", rows: Vec::new() }
    }

    /// Words beside the number.
    pub fn remark(mut self, remark: &'static str) -> Self {
        self.remark = remark;
        self
    }

    /// Adds a row whose value has all its digits.
    pub fn row(&mut self, at: impl Into<String>, ours: f64, theirs: f64) {
        self.rows.push(Row { at: at.into(), ours, theirs, rounding: 0.0 });
    }

    /// Adds a row whose value is known to the digits printed, times `scale`.
    pub fn printed(&mut self, at: impl Into<String>, ours: f64, theirs: &str, scale: f64) {
        let (value, half) = printed(theirs);
        let row = Row { at: at.into(), ours, theirs: value * scale, rounding: half * scale };
        self.rows.push(row);
    }

    /// True if nothing was compared.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// Gap of a row beyond the rounding of the printed value.
    fn gap_of(&self, row: &Row) -> f64 {
        // Written so that a NaN stays one: `max` would swallow it.
        let beyond = (row.ours - row.theirs).abs() - row.rounding;
        let gap = if beyond < 0.0 { 0.0 } else { beyond };
        match self.gap {
            Gap::Percent => 100.0 * gap / row.theirs.abs(),
            Gap::Absolute(_) => gap,
        }
    }

    fn worst(&self) -> (f64, Option<&Row>) {
        let mut worst = (0.0, self.rows.first());
        for row in &self.rows {
            let gap = self.gap_of(row);
            if gap.is_nan() {
                return (f64::NAN, Some(row));
            }
            if gap > worst.0 {
                worst = (gap, Some(row));
            }
        }
        worst
    }

    fn unit(&self) -> &'static str {
        match self.gap {
            Gap::Percent => "%",
            Gap::Absolute(unit) => unit,
        }
    }

    fn holds(&self) -> bool {
        self.worst().0 <= self.allowed
    }

    /// One line: name, rows, worst row with ours and theirs, gap, allowed, source.
    fn line(&self) -> String {
        let (gap, row) = self.worst();
        let at = row.map_or(String::new(), |r| {
            format!("worst at {}: ours {}, theirs {}", r.at, digits(r.ours), digits(r.theirs))
        });
        format!(
            "{}, {}: {} rows, {at}, gap {} {u} (allowed {} {u}); {}",
            self.quantity,
            self.range,
            self.rows.len(),
            digits(gap),
            self.allowed,
            self.source,
            u = self.unit(),
        )
    }
}

/// Prints each comparison and fails if one of them is out of tolerance.
pub fn check(all: &[Agreement]) {
    for a in all {
        println!("{}", a.line());
        if !a.remark.is_empty() {
            println!("    {}", a.remark);
        }
    }
    let bad: Vec<String> = all.iter().filter(|a| !a.holds()).map(Agreement::line).collect();
    assert!(bad.is_empty(), "out of tolerance:\n{}", bad.join("\n"));
    assert!(all.iter().all(|a| !a.is_empty()), "a comparison without rows");
}

/// All comparisons as a Markdown table with the remarks below.
pub fn markdown(all: &[Agreement]) -> String {
    let mut text = String::from(
        "| quantity | range | rows | worst gap | allowed | source |\n\
         |---|---|---|---|---|---|\n",
    );
    let mut notes = String::new();
    let mut count = 0;
    for a in all {
        let mut mark = String::new();
        if !a.remark.is_empty() {
            count += 1;
            mark = format!(" (note {count})");
            let _ = writeln!(notes, "{count}. {}", a.remark);
        }
        let _ = writeln!(
            text,
            "| {}{mark} | {} | {} | {} {u} | {} {u} | {} |",
            a.quantity,
            a.range,
            a.rows.len(),
            shown(a.worst().0),
            a.allowed,
            a.source,
            u = a.unit(),
        );
    }
    format!(
        "{text}\nGaps against printed tables count from the rounding of their last digit. An \
         *independent calculation* has the same equations, coded apart with the properties of an \
         open library: it checks this code, not the physics.\n\n{notes}"
    )
}

/// A gap for the table: round-off differs from machine to machine.
fn shown(gap: f64) -> String {
    if gap < 1e-6 { "below 1e-6".into() } else { digits(gap) }
}

/// Three digits, or four before the point.
fn digits(x: f64) -> String {
    let size = x.abs();
    if size != 0.0 && !(1e-3..1e5).contains(&size) {
        format!("{x:.2e}")
    } else if size >= 1000.0 {
        format!("{x:.0}")
    } else if size == 0.0 {
        "0".into()
    } else {
        let places = (2 - size.log10().floor() as i32).max(0) as usize;
        format!("{x:.places$}")
    }
}

/// A printed number and half a unit of its last digit.
fn printed(text: &str) -> (f64, f64) {
    let value: f64 = text.parse().unwrap_or_else(|_| panic!("\"{text}\" is no number"));
    let (mantissa, power) = text.split_once('e').unwrap_or((text, "0"));
    let decimals = mantissa.split_once('.').map_or(0, |(_, d)| d.len() as i32);
    let power: i32 = power.parse().unwrap_or_else(|_| panic!("\"{text}\" is no number"));
    (value, 0.5 * 10f64.powi(power - decimals))
}

#[test]
fn a_printed_number_knows_its_rounding() {
    for (text, half) in [("57", 0.5), (".0020", 5e-5), ("1.934e-5", 5e-9), ("10.5", 0.05)] {
        assert!((printed(text).1 / half - 1.0).abs() < 1e-12, "{text}");
    }
}

#[test]
fn a_gap_beyond_the_allowed_one_and_a_nan_are_noticed() {
    let mut a = Agreement::percent("test", "none", "none", 1.0);
    a.row("good", 1.005, 1.0);
    assert!(a.holds());
    a.row("bad", 1.02, 1.0);
    assert!(!a.holds());
    let mut b = Agreement::absolute("test", "none", "none", "K", 1.0);
    b.row("broken", f64::NAN, 1.0);
    assert!(!b.holds());
}
