//! What decides the results of a finished sweep.

use std::fmt::Write;

use rayon::prelude::*;

use crate::files::figures;
use crate::files::stop::{Listener, Stop};
use crate::report::figure::{Bars, Style};
use crate::report::{pictures, sensitivity};
use crate::study::sensitivity::{indices, swings};
use crate::study::sweep::{Design, SweepPlan, SweepTable};

/// A file to be written: name and bytes.
type File = (String, Vec<u8>);

/// The table of sensitivities.
const SENSITIVITY: &str = "sensitivity.csv";

/// What decides one result: lines of the table, a page, a picture.
struct Decided {
    rows: String,
    page: String,
    bars: Bars,
}

/// What decides the results: a table of all of them, and those asked for as figure and page.
pub fn decided(
    talk: &dyn Listener,
    plan: &SweepPlan,
    table: &SweepTable,
    (wanted, style): (&[usize], &Style),
) -> Result<(Vec<File>, String), Stop> {
    let mut files = Vec::new();
    let (mut csv, mut page) = (sensitivity::csv_head(&plan.design), String::new());
    for base in &plan.bases {
        let metrics = 0..table.metrics.len();
        // Resampling takes a while for each.
        let found: Vec<Option<Decided>> =
            metrics.into_par_iter().map(|m| of_metric(plan, table, &base.name, m)).collect();
        for (m, found) in found.into_iter().enumerate() {
            let (asked, key) = (wanted.contains(&m), &table.metrics[m].key);
            match found {
                Some(found) => {
                    csv.push_str(&found.rows);
                    if asked {
                        let _ = writeln!(page, "{}", found.page);
                        let stem = format!("sensitivity_{key}{}", suffix(plan, &base.name));
                        files.extend(figures::one(&stem, &found.bars, style)?);
                    }
                }
                None if asked => talk.note(&none(plan, key, &base.name)),
                None => {}
            }
        }
    }
    files.push((SENSITIVITY.to_owned(), csv.into_bytes()));
    if wanted.is_empty() {
        talk.note(&format!(
            "{SENSITIVITY} tells what decides each metric; --resume with --sensitivity \
             METRIC prints and draws one"
        ));
    }
    Ok((files, page))
}

fn none(plan: &SweepPlan, key: &str, scenario: &str) -> String {
    match plan.design {
        Design::Indices { .. } => {
            format!("no shares of {key}: it has too few values, or all are equal")
        }
        _ => format!("no swings of {key}: {scenario} has none"),
    }
}

fn of_metric(plan: &SweepPlan, table: &SweepTable, scenario: &str, m: usize) -> Option<Decided> {
    let metric = &table.metrics[m];
    let Design::Indices { seed, .. } = plan.design else {
        let (result, found) = swings(plan, table, scenario, m)?;
        return Some(Decided {
            rows: sensitivity::swings_csv(scenario, metric, result, &found),
            page: sensitivity::swings_page(scenario, metric, result, &found),
            bars: pictures::sweep_swings(scenario, metric, result, &found),
        });
    };
    let rows = table.rows.iter().filter(|r| r.scenario == scenario);
    let values: Vec<f64> = rows.map(|r| r.values[m].unwrap_or(f64::NAN)).collect();
    let found = indices(&values, plan.axes.len(), seed)?;
    let names: Vec<&str> = plan.axes.iter().map(|a| a.paths[0].as_str()).collect();
    Some(Decided {
        rows: sensitivity::indices_csv(scenario, metric, &names, &found),
        page: sensitivity::indices_page(scenario, metric, &names, &found),
        bars: pictures::sweep_indices(scenario, metric, &names, &found),
    })
}

/// The end of a file name that tells one scenario of several.
pub fn suffix(plan: &SweepPlan, name: &str) -> String {
    if plan.bases.len() == 1 { String::new() } else { format!("_{name}") }
}
