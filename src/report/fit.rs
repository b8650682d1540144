//! The page of a fit: parameters, correlations, series, verdict.

use crate::study::box_fit::{ErrorRow, ExactRow, HeldOut, Outcome, ParameterRow, PriorRow};
use crate::study::fit::Gain;
use crate::text::{Csv, number};

use super::text::left;

/// Correlations below this are not worth a line. Our choice.
const WORTH_SAYING: f64 = 0.3;

/// Ranked measurements shown.
const MOST_GAINS: usize = 12;

/// The page for people. `notes` are said above the table.
#[must_use]
pub fn page(title: &str, outcome: &Outcome, notes: &[String], held: &[HeldOut]) -> String {
    let mut out = format!("{title}\n\n");
    for note in notes {
        out += &format!("{note}\n");
    }
    out += &head(outcome);
    out += &format!(
        "\nParameters (value ± standard error; 95 % profile-likelihood interval)\n{}",
        parameters(outcome)
    );
    if let Some(text) = correlations(outcome) {
        out += &format!("\nCorrelations (those below {WORTH_SAYING} are left out)\n{text}");
    }
    out += &priors(outcome);
    out += &format!("\nReadings\n{}", series(outcome));
    if let Some(text) = errors(outcome) {
        out += &text;
    }
    if let Some(text) = exact(outcome) {
        out += &text;
    }
    out += "\nVerdict\n";
    outcome.verdict.iter().for_each(|v| out += &format!("  {v}\n"));
    if !held.is_empty() {
        out += &format!("\nHeld-out readings, predicted\n{}", held_out(held));
    }
    if !outcome.warnings.is_empty() {
        out += "\nWarnings\n";
        outcome.warnings.iter().for_each(|w| out += &format!("  {w}\n"));
    }
    out
}

fn head(o: &Outcome) -> String {
    let count: usize = o.series.iter().map(|s| s.count).sum();
    let effective: f64 = o.series.iter().map(|s| s.effective).sum();
    let n = o.parameters.len();
    let (agreed, tried) = o.starts;
    let known = match o.priors.len() {
        0 => String::new(),
        k => format!(", {k} known beforehand"),
    };
    let end = if o.optimum { "optimum found" } else { "NO OPTIMUM" };
    let chance = match o.chi2_probability {
        Some(p) if p >= 1e-4 => format!(", probability {p:.3}"),
        Some(_) => ", probability below 0.0001".into(),
        None => String::new(),
    };
    let sets = o.draws.as_ref().map_or(String::new(), |d| {
        format!(
            "intervals are uneven: {} sets for bands drawn by the misfit itself ({} tried, effective sample size {:.0})\n",
            d.sets.len(),
            d.tried,
            d.effective
        )
    });
    format!(
        "{end} in {} step{}; {agreed} of {tried} starts ended here (seed {})\n\
         {count} reading{}, effective sample size {effective:.0}; {n} parameter{}{known}\n\
         chi-square {:.1} for {:.0} degree{} of freedom{chance}\n{sets}",
        o.steps,
        plural(o.steps),
        o.seed,
        plural(count),
        plural(n),
        o.chi2,
        o.freedom,
        plural(o.freedom.round() as usize)
    )
}

fn plural(count: usize) -> &'static str {
    if count == 1 { "" } else { "s" }
}

fn parameters(o: &Outcome) -> String {
    let row = |p: &ParameterRow| {
        let se = p.standard_error.map_or("-".to_owned(), |s| match s / p.value.abs() {
            r if r.is_finite() && r < 10.0 => format!("{:.2} %", 100.0 * r),
            _ => "-".to_owned(),
        });
        vec![p.name.clone(), p.text.clone(), se, p.interval.clone(), p.standing.clone()]
    };
    let head = ["parameter", "value", "rel.", "95 % interval", "standing"];
    columns(&head, &o.parameters.iter().map(row).collect::<Vec<_>>())
}

fn correlations(o: &Outcome) -> Option<String> {
    let mut rows = Vec::new();
    for i in 0..o.parameters.len() {
        for k in 0..i {
            if let Some(r) = o.correlation[i][k].filter(|r| r.abs() >= WORTH_SAYING) {
                rows.push((
                    r.abs(),
                    vec![
                        o.parameters[k].name.clone(),
                        o.parameters[i].name.clone(),
                        format!("{r:+.3}"),
                    ],
                ));
            }
        }
    }
    rows.sort_by(|a, b| b.0.total_cmp(&a.0));
    let rows: Vec<_> = rows.into_iter().map(|(_, row)| row).collect();
    (!rows.is_empty()).then(|| columns(&["", "", "correlation"], &rows))
}

fn priors(o: &Outcome) -> String {
    let row = |p: &PriorRow| {
        let share = p.share.map_or("-".to_owned(), |s| format!("{:.0} %", 100.0 * s));
        vec![p.name.clone(), p.text.clone(), format!("{:+.1}", p.found), share]
    };
    if o.priors.is_empty() {
        return String::new();
    }
    format!(
        "\nKnown beforehand, each counted as one more reading: how far the fit is from it, in its standard\n\
         uncertainty, and its part in what is now known of the parameter\n{}",
        columns(
            &["parameter", "beforehand", "off by", "part"],
            &o.priors.iter().map(row).collect::<Vec<_>>()
        )
    )
}

fn series(o: &Outcome) -> String {
    let several = o.series.iter().any(|s| s.run != o.series[0].run);
    let rows: Vec<Vec<String>> = o
        .series
        .iter()
        .map(|s| {
            let name = if several { format!("{}: {}", s.run, s.name) } else { s.name.clone() };
            vec![
                name,
                s.count.to_string(),
                format!("{:.0}", s.effective),
                format!("{:.3} {}", s.rms, s.unit),
                format!("{:.2}", s.rms_over_u),
                format!("{:+.2}", s.lag_1),
            ]
        })
        .collect();
    columns(&["series", "n", "effective", "rms misfit", "over u", "lag-1"], &rows)
}

/// Shared errors that make up this part of the variance of a parameter or more are listed.
const WORTH_A_ROW: f64 = 0.01;

fn errors(o: &Outcome) -> Option<String> {
    let large = |e: &&ErrorRow| e.shares.iter().flatten().any(|s| *s >= WORTH_A_ROW);
    let row = |e: &ErrorRow| {
        let share = |s: &Option<f64>| s.map_or("-".to_owned(), |s| format!("{:.0} %", 100.0 * s));
        let mut cells = vec![e.name.clone(), format!("{:+.1}", e.found)];
        cells.extend(e.shares.iter().map(share));
        cells
    };
    let rows: Vec<_> = o.errors.iter().filter(large).map(row).collect();
    let names = short_names(o);
    let head: Vec<&str> =
        ["error", "best"].into_iter().chain(names.iter().map(String::as_str)).collect();
    let count = o.errors.len();
    (!rows.is_empty()).then(|| {
        format!(
            "\nErrors of inputs and sensors, in the intervals ({count} carried, those below 1 % left out): what each \
             has to be for the\nbest fit, in its standard uncertainty, and its part in the variance of the parameter\n{}",
            columns(&head, &rows)
        )
    })
}

/// Names of parameters for the heads of wide tables: the last word of the path, where that tells them
/// apart.
fn short_names(o: &Outcome) -> Vec<String> {
    let last = |p: &ParameterRow| {
        let from = p.path.rfind('.').map_or(0, |at| at + 1);
        format!("{}{}", &p.path[from..], p.name.strip_prefix(&p.path).unwrap_or_default())
    };
    let all: Vec<String> = o.parameters.iter().map(last).collect();
    let alone = |n: &String| all.iter().filter(|m| *m == n).count() == 1;
    let pick = |(n, p): (&String, &ParameterRow)| if alone(n) { n.clone() } else { p.name.clone() };
    all.iter().zip(&o.parameters).map(pick).collect()
}

fn exact(o: &Outcome) -> Option<String> {
    let row = |e: &ExactRow| {
        let value = if e.default { format!("{} (default)", e.text) } else { e.text.clone() };
        let mut cells = vec![e.path.clone(), value, e.by.clone()];
        cells.extend(e.words.iter().cloned());
        cells
    };
    let first = o.exact.first()?;
    let names = short_names(o);
    let head: Vec<&str> =
        ["value", "now", "more by"].into_iter().chain(names.iter().map(String::as_str)).collect();
    let rows: Vec<_> = o.exact.iter().map(row).collect();
    Some(format!(
        "\nTaken for exact, NOT in the intervals: what so much more of it would do to each parameter (those are listed that\nmove one by its standard error or more; 1st order)\n{}  \
         where one may well be wrong, state its uncertainty in the scenario ({} = \"{} ± …\") or free it\n",
        columns(&head, &rows),
        first.path,
        first.text
    ))
}

fn held_out(held: &[HeldOut]) -> String {
    let rows: Vec<Vec<String>> = held
        .iter()
        .map(|h| {
            vec![
                format!("{}: {}", h.run, h.name),
                h.count.to_string(),
                format!("{:.3} {}", h.rmse, h.unit),
                format!("{:+.3} {}", h.bias, h.unit),
                format!("{:.0} %", 100.0 * h.coverage),
            ]
        })
        .collect();
    columns(&["series", "n", "rms miss", "mean miss", "in 95 % band"], &rows)
}

/// The ranked list of further measurements for one parameter or figure; `shown` writes a standard error.
#[must_use]
pub fn plan(name: &str, shown: &dyn Fn(f64) -> String, gains: &[Gain]) -> String {
    let rows: Vec<Vec<String>> = gains
        .iter()
        .take(MOST_GAINS)
        .map(|g| {
            let left = match (g.ratio, g.standard_error) {
                (Some(r), _) => format!("{:.0} %", 100.0 * r),
                (None, Some(_)) => "unknown so far".into(),
                _ => "still unknown".into(),
            };
            let error = g.standard_error.map_or("-".to_owned(), shown);
            vec![g.name.clone(), error, left]
        })
        .collect();
    let head = ["further measurement", "standard error then", "of the present one"];
    format!("\nWhat would tell more about {name}\n{}", columns(&head, &rows))
}

/// The parameters as a table for other programs, in SI.
#[must_use]
pub fn csv(o: &Outcome) -> String {
    let mut out = Csv::with_head([
        "parameter",
        "si_unit",
        "value",
        "standard_error",
        "low_95",
        "high_95",
        "standing",
    ]);
    for p in &o.parameters {
        let [value, error, low, high] =
            [Some(p.value), p.standard_error, p.low, p.high].map(number);
        out.row([&p.name, p.si_unit, &value, &error, &low, &high, &p.standing.to_string()]);
    }
    out.text()
}

/// A table whose columns are as wide as their widest cell.
fn columns(head: &[&str], rows: &[Vec<String>]) -> String {
    let length = |text: &str| text.chars().count();
    let width =
        |i: usize| rows.iter().map(|r| length(&r[i])).max().unwrap_or(0).max(length(head[i]));
    let widths: Vec<usize> = (0..head.len()).map(width).collect();
    let line = |cells: &[String]| {
        let padded: Vec<String> = cells.iter().zip(&widths).map(|(c, w)| left(c, *w)).collect();
        format!("  {}\n", padded.join("  ").trim_end())
    };
    let head: Vec<String> = head.iter().map(|h| (*h).to_owned()).collect();
    rows.iter().fold(line(&head), |out, row| out + &line(row))
}
