//! Spools of several polymers in one box, as a table.

use std::fmt::Write;

use super::text::{left, plain, right};
use crate::study::spools::{After, Answer, Banded, SPREAD_NAMES};
use crate::text::{Csv, number};

/// Causes of a band below this part of it are left out \[%\].
const LEAST_PART_PCT: f64 = 1.0;
/// Least width of a name: that of the longest polymer of the table.
const NAME: usize = 22;
/// Width of a column with a band, and with one more decimal.
const WIDE: (usize, usize) = (20, 23);
/// Moisture below which one more decimal is told \[wt%\].
const LITTLE_WT_PCT: f64 = 0.1;
/// Width of the words for a time, at least.
const WHEN: usize = 13;
/// Width of the name of a cause: the longest and a space.
const CAUSE: usize = 25;
/// Times below this have two significant digits instead of one decimal \[h\].
const SHORT_H: f64 = 0.95;

/// The widths and names of one page.
struct Page<'a> {
    answers: &'a [Answer],
    several: bool,
    name: usize,
    wide: usize,
}

/// The whole page.
pub fn page(title: &str, answers: &[Answer], samples: usize, seed: u64) -> String {
    let mut out = format!("{title}\n");
    let Some(first) = answers.first() else { return out };
    let several = answers.iter().any(|a| a.spool != first.spool);
    let little = answers.iter().any(|a| decimals(a) > 3);
    let mut page =
        Page { answers, several, name: NAME, wide: if little { WIDE.1 } else { WIDE.0 } };
    let longest = answers.iter().map(|a| page.named(a).chars().count()).max().unwrap_or(0);
    page.name = NAME.max(longest + 1);
    // Spools that leave the box at other times have other columns.
    for group in answers.chunk_by(|a, b| times(a) == times(b)) {
        page.head(&mut out, &group[0]);
        group.iter().for_each(|a| page.row(&mut out, a));
    }
    page.resistance_shares(&mut out);
    page.causes(&mut out);
    page.customary(&mut out);
    let stored = |a: &Answer| a.after.iter().any(|at| at.stored_h > 0.0);
    let storage = if answers.iter().any(stored) {
        "h stored: time in the box, then in storage; what holds the water back is told of the box alone.\n"
    } else {
        ""
    };
    let ends = ends_pct(answers).map_or_else(String::new, |pct| {
        format!(
            " The ends\nof the bands of moisture are known within {pct:.0} % (95 %); four times the --samples halve that."
        )
    });
    let _ = writeln!(
        out,
        "\n{storage}In brackets: 90 % of {samples} runs with all guessed values drawn from their spread (seed {seed}).{ends}\n\
         Quality: A measured and read, B handbook order, C spread of 2 to 3, D estimate, - stated in the file.\n\
         A value that the file states has no spread. Weighing the spool while it dries tells its gaps and its\n\
         diffusivity: drybench fit with load.<name>.winding_diffusion and load.<name>.diffusivity free."
    );
    let _ = write!(out, "\nCaution\n{}", super::CAUTION);
    out.push('\n');
    out
}

/// The largest uncertainty of an end of a band of moisture \[%\].
fn ends_pct<'a>(answers: impl IntoIterator<Item = &'a Answer>) -> Option<f64> {
    let all = answers.into_iter().flat_map(|a| &a.after);
    all.filter_map(|at| at.moisture_wt_pct.ends_pct()).reduce(f64::max)
}

/// The times of a row, in words.
fn times(a: &Answer) -> Vec<String> {
    a.after.iter().map(when).collect()
}

/// A time in words: `after 24 h`, or `36 h + 72 h stored`.
fn when(after: &After) -> String {
    let hours = |h: f64| plain(h, 4);
    match after.stored_h {
        0.0 => format!("after {} h", hours(after.in_box_h)),
        stored => format!("{} h + {} h stored", hours(after.in_box_h), hours(stored)),
    }
}

/// Decimals of moisture.
fn decimals(a: &Answer) -> usize {
    if a.start_wt_pct < LITTLE_WT_PCT { 4 } else { 3 }
}

impl Page<'_> {
    fn named(&self, a: &Answer) -> String {
        if self.several { format!("{}: {}", a.spool, a.polymer) } else { a.polymer.clone() }
    }

    fn head(&self, out: &mut String, first: &Answer) {
        let _ = write!(out, "\n{}{}", left("", self.name + 4), right("start", 8));
        times(first).iter().for_each(|t| out.push_str(&right(t, self.wide)));
        let _ = writeln!(out, "{}{}", right("time to target", 26), right("floor", 8));
        let _ = write!(out, "{}{}", left("polymer, set point", self.name + 6), right("wt%", 6));
        first.after.iter().for_each(|_| out.push_str(&right("wt%", self.wide)));
        let _ = writeln!(out, "{}{}", right("h", 26), right("wt%", 8));
    }

    fn row(&self, out: &mut String, a: &Answer) {
        let set = a.set_point_c.map_or_else(String::new, |c| format!("{c:.0} °C"));
        let digits = decimals(a);
        let _ = write!(
            out,
            "{}{}",
            left(&format!("{} {set}", self.named(a)), self.name + 6),
            right(&format!("{:.digits$}", a.start_wt_pct), 6)
        );
        for at in &a.after {
            let moisture = banded(&at.moisture_wt_pct, |v| format!("{v:.digits$}"));
            out.push_str(&right(&moisture, self.wide));
        }
        let target = plain(a.target_wt_pct, 3);
        let (some, all) = (a.reached.samples, a.reached.of);
        let time = match (a.target_h.value, a.target_h.high) {
            (None, _) if some == 0 => format!("{:.2} not reached", a.target_wt_pct),
            (None, _) => format!("{:.2} in {some} of {all} only", a.target_wt_pct),
            (Some(0.0), Some(0.0)) => format!("{target} at the start"),
            _ => format!("{:.2} in {}", a.target_wt_pct, banded(&a.target_h, hours)),
        };
        let floor = a.floor_wt_pct.map_or_else(|| "-".into(), |f| format!("{f:.digits$}"));
        let _ = writeln!(out, "{}{}", right(&time, 26), right(&floor, 8));
    }

    /// What holds the water back.
    fn resistance_shares(&self, out: &mut String) {
        out.push_str(
            "\nWhat holds the water back (% of its vapour pressure, mean over the water that left)\n",
        );
        for a in self.answers {
            let _ = write!(out, "  {}", left(&self.named(a), self.name));
            let shares = a.resistance_shares.iter().map(|held| {
                let share = held.share_pct.map_or_else(|| "  -".into(), |s| format!("{s:>3.0}"));
                format!("{} {share}", held.by.word())
            });
            let _ = writeln!(out, "{}", shares.collect::<Vec<_>>().join("   "));
        }
    }

    /// What each band comes from.
    fn causes(&self, out: &mut String) {
        out.push_str(
            "\nWhat the bands come from: change of the moisture (wt%) with one value a standard deviation low, and\n\
             high; its part of all; its quality\n",
        );
        let longest = self.answers.iter().map(|a| when(&a.causes_at).chars().count() + 1).max();
        let wide = WHEN.max(longest.unwrap_or(0));
        for a in self.answers {
            let digits = decimals(a);
            let name = left(&self.named(a), self.name);
            let mut head = format!("  {name}{}", left(&when(&a.causes_at), wide));
            for c in a.causes.iter().filter(|c| c.share_pct >= LEAST_PART_PCT) {
                let change = c.change_wt_pct;
                let _ = writeln!(
                    out,
                    "{head}{} {:+.digits$} {:+.digits$}   {:>3.0} %   {}",
                    left(c.name, CAUSE),
                    change.low,
                    change.high,
                    c.share_pct,
                    c.quality
                );
                head = left("", self.name + 2 + wide);
            }
        }
    }

    /// What people do, and the warnings of the runs.
    fn customary(&self, out: &mut String) {
        out.push_str("\nCustomary (common practice)\n");
        for a in self.answers {
            let (t, h) = (a.customary.temperature_c, a.customary.time_h);
            let name = left(&self.named(a), self.name);
            let (cold, hot, short, long) = (t.low, t.high, h.low, h.high);
            let _ = writeln!(out, "  {name}{cold:.0} to {hot:.0} °C, {short:.0} to {long:.0} h");
        }
        for a in self.answers.iter().filter(|a| !a.warnings.is_empty()) {
            let _ = writeln!(out, "\nWarnings, {}", self.named(a));
            a.warnings.iter().for_each(|w| {
                let _ = writeln!(out, "  {w}");
            });
        }
    }
}

/// A time \[h\] with the digits that a person wants of it.
fn hours(h: f64) -> String {
    if h > 0.0 && h < SHORT_H { plain(h, 2) } else { format!("{h:.1}") }
}

/// Value and band; an open end where the band leaves the run.
fn banded(b: &Banded, written: impl Fn(f64) -> String) -> String {
    let Some(value) = b.value else { return "-".into() };
    let one = |v: Option<f64>| v.map_or_else(|| "…".to_owned(), &written);
    format!("{} ({}-{})", written(value), one(b.low), one(b.high))
}

/// One row per spool and polymer as CSV.
pub fn csv(answers: &[Answer]) -> String {
    // All times of all rows, in the order in which they come.
    let mut at: Vec<String> = Vec::new();
    for key in answers.iter().flat_map(|a| a.after.iter().map(key)) {
        if !at.contains(&key) {
            at.push(key);
        }
    }
    let mut head = ["spool", "polymer", "set_point_C", "start_wt_pct"].map(str::to_owned).to_vec();
    for key in &at {
        head.extend(["", "_low", "_high"].map(|end| format!("{key}{end}_wt_pct")));
    }
    let after = ["target_wt_pct", "target_h", "target_low_h", "target_high_h", "floor_wt_pct"];
    head.extend(after.map(str::to_owned));
    head.extend(["heating_pct", "filament_pct", "gaps_pct", "air_pct"].map(str::to_owned));
    head.push("causes_at_h".into());
    head.push("ends_pct".into());
    for name in SPREAD_NAMES {
        let ends = ["low_wt_pct", "high_wt_pct", "quality"];
        head.extend(ends.map(|end| format!("{}_{end}", name.replace(' ', "_"))));
    }
    let mut out = Csv::with_head(head);
    answers.iter().for_each(|a| out.row(csv_row(a, &at)));
    out.text()
}

/// A time as part of a head.
fn key(after: &After) -> String {
    let hours = |h: f64| plain(h, 6);
    match after.stored_h {
        0.0 => format!("after_{}_h", hours(after.in_box_h)),
        stored => format!("after_{}_h_and_{}_h_stored", hours(after.in_box_h), hours(stored)),
    }
}

fn csv_row(a: &Answer, at: &[String]) -> Vec<String> {
    let three = |b: Option<&Banded>| {
        [b.and_then(|b| b.value), b.and_then(|b| b.low), b.and_then(|b| b.high)].map(number)
    };
    let mut cells = vec![a.spool.clone(), a.polymer.clone(), number(a.set_point_c)];
    cells.push(a.start_wt_pct.to_string());
    for time in at {
        let found = a.after.iter().find(|after| key(after) == *time);
        cells.extend(three(found.map(|after| &after.moisture_wt_pct)));
    }
    cells.push(a.target_wt_pct.to_string());
    cells.extend(three(Some(&a.target_h)));
    cells.push(number(a.floor_wt_pct));
    cells.extend(a.resistance_shares.iter().map(|held| number(held.share_pct)));
    cells.push(a.causes_at.all_h().to_string());
    cells.push(number(ends_pct([a])));
    for name in SPREAD_NAMES {
        let cause = a.causes.iter().find(|c| c.name == name);
        cells.push(number(cause.map(|c| c.change_wt_pct.low)));
        cells.push(number(cause.map(|c| c.change_wt_pct.high)));
        cells.push(cause.map_or(String::new(), |c| c.quality.clone()));
    }
    cells
}
