//! Spools of several polymers in one box, as a table.

use std::fmt::Write;

use super::text::{left, right};
use crate::study::spools::{Answer, Banded, SPREAD_NAMES};

/// Causes of a band below this part of it are left out \[%\].
const LEAST_PART_PCT: f64 = 1.0;
/// Width of a polymer's name: that of the longest of the table.
const NAME: usize = 22;
/// Width of a column with a band.
const WIDE: usize = 20;

/// The whole page.
pub fn page(title: &str, answers: &[Answer], samples: usize, seed: u64) -> String {
    let mut out = format!("{title}\n");
    let Some(first) = answers.first() else { return out };
    let _ = write!(out, "\n{}{}", left("", NAME + 4), right("start", 8));
    for (hours, _) in &first.after {
        out.push_str(&right(&format!("after {hours:.0} h"), WIDE));
    }
    let _ = writeln!(out, "{}{}", right("time to target", 26), right("floor", 8));
    let _ = write!(out, "{}{}", left("polymer, set point", NAME + 6), right("wt%", 6));
    first.after.iter().for_each(|_| out.push_str(&right("wt%", WIDE)));
    let _ = writeln!(out, "{}{}", right("h", 26), right("wt%", 8));
    for a in answers {
        row(&mut out, a);
    }
    held_back(&mut out, answers);
    causes(&mut out, answers);
    out.push_str("\nCustomary (common practice)\n");
    for a in answers {
        let [(cold, hot), (short, long)] = a.customary;
        let name = left(&a.polymer, NAME);
        let _ = writeln!(out, "  {name}{cold:.0} to {hot:.0} °C, {short:.0} to {long:.0} h");
    }
    for a in answers.iter().filter(|a| !a.warnings.is_empty()) {
        let _ = writeln!(out, "\nWarnings, {}", a.polymer);
        a.warnings.iter().for_each(|w| {
            let _ = writeln!(out, "  {w}");
        });
    }
    let _ = writeln!(
        out,
        "\nIn brackets: 90 % of {samples} runs with all of these values drawn from their spread (seed {seed}).\n\
         Quality: A measured and read, B handbook order, C spread of 2 to 3, D estimate, - stated in the file.\n\
         A value that the file states has no spread. Weighing the spool while it dries tells its gaps and its\n\
         diffusivity: drybench fit with load.<name>.winding_diffusion and load.<name>.diffusivity free."
    );
    let _ = write!(out, "\nCaution\n{}", super::CAUTION);
    out.push('\n');
    out
}

/// What holds the water back.
fn held_back(out: &mut String, answers: &[Answer]) {
    out.push_str(
        "\nWhat holds the water back (% of its vapour pressure, mean over the water that left)\n",
    );
    for a in answers {
        let _ = write!(out, "  {}", left(&a.polymer, NAME));
        let shares =
            a.held_back.iter().map(|(what, share)| format!("{} {share:>3.0}", what.word()));
        let _ = writeln!(out, "{}", shares.collect::<Vec<_>>().join("   "));
    }
}

/// What each band comes from.
fn causes(out: &mut String, answers: &[Answer]) {
    out.push_str(
        "\nWhat the bands come from: change of the moisture (wt%) with one value a standard deviation low, and\n\
         high; its part of all; its quality\n",
    );
    for a in answers {
        let when = format!("after {:.0} h", a.causes_h);
        let mut head = format!("  {}{}", left(&a.polymer, NAME), left(&when, 13));
        for c in a.causes.iter().filter(|c| c.share_pct >= LEAST_PART_PCT) {
            let (low, high) = c.change_wt_pct;
            let _ = writeln!(
                out,
                "{head}{} {low:+.3} {high:+.3}   {:>3.0} %   {}",
                left(c.name, 21),
                c.share_pct,
                c.quality
            );
            head = left("", NAME + 15);
        }
    }
}

fn row(out: &mut String, a: &Answer) {
    let set = a.set_point_c.map_or_else(String::new, |c| format!("{c:.0} °C"));
    let _ = write!(
        out,
        "{}{}",
        left(&format!("{} {set}", a.polymer), NAME + 6),
        right(&format!("{:.3}", a.start_wt_pct), 6)
    );
    for (_, b) in &a.after {
        out.push_str(&right(&banded(b, 3), WIDE));
    }
    let time = match a.target_h.value {
        None if a.reached.0 == 0 => format!("{:.2} not reached", a.target_wt_pct),
        None => format!("{:.2} in {} of {} only", a.target_wt_pct, a.reached.0, a.reached.1),
        Some(_) => format!("{:.2} in {}", a.target_wt_pct, banded(&a.target_h, 1)),
    };
    // A spool that is in storage at the end has none.
    let floor = a.floor_wt_pct.is_finite().then(|| format!("{:.3}", a.floor_wt_pct));
    let floor = floor.unwrap_or_else(|| "-".into());
    let _ = writeln!(out, "{}{}", right(&time, 26), right(&floor, 8));
}

/// Value and band; an open end where the band leaves the run.
fn banded(b: &Banded, decimals: usize) -> String {
    let Some(value) = b.value else { return "-".into() };
    let one = |v: Option<f64>| v.map_or_else(|| "…".to_owned(), |v| format!("{v:.decimals$}"));
    format!("{value:.decimals$} ({}-{})", one(b.low), one(b.high))
}

/// One row per polymer as CSV.
pub fn csv(answers: &[Answer]) -> String {
    let mut out = String::from("polymer,set_point_C,start_wt_pct");
    let hours = answers.first().map_or(&[][..], |a| &a.after);
    for (h, _) in hours {
        let _ = write!(out, ",after_{h:.0}_h_wt_pct,low,high");
    }
    out.push_str(",target_wt_pct,target_h,low,high,floor_wt_pct,heating_pct,strand_pct,gaps_pct,air_pct,causes_at_h");
    for (name, _) in SPREAD_NAMES {
        let key = name.replace(' ', "_");
        let _ = write!(out, ",{key}_low_wt_pct,{key}_high_wt_pct,{key}_quality");
    }
    out.push('\n');
    let number = |v: Option<f64>| v.map_or_else(String::new, |v| v.to_string());
    for a in answers {
        let _ = write!(out, "{},{},{}", a.polymer, number(a.set_point_c), a.start_wt_pct);
        for (_, b) in &a.after {
            let _ = write!(out, ",{},{},{}", number(b.value), number(b.low), number(b.high));
        }
        let t = &a.target_h;
        let _ = write!(
            out,
            ",{},{},{},{},{}",
            a.target_wt_pct,
            number(t.value),
            number(t.low),
            number(t.high),
            a.floor_wt_pct
        );
        a.held_back.iter().for_each(|(_, s)| {
            let _ = write!(out, ",{s}");
        });
        let _ = write!(out, ",{}", a.causes_h);
        for (name, _) in SPREAD_NAMES {
            let cause = a.causes.iter().find(|c| c.name == name);
            let (low, high) = cause.map_or((f64::NAN, f64::NAN), |c| c.change_wt_pct);
            let _ = write!(out, ",{low},{high},{}", cause.map_or("", |c| &c.quality));
        }
        out.push('\n');
    }
    out
}
