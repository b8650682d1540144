//! What decides the results of a finished sweep.

use std::fmt::Write;

use super::output::{Talk, print};
use super::sweep_figures::suffix;
use super::{Stop, figures};
use crate::report::figure::Style;
use crate::report::{pictures, sensitivity};
use crate::study::sensitivity::{indices, swings};
use crate::study::sweep::{Design, Plan, Table};

/// A file to be written: name and bytes.
type File = (String, Vec<u8>);

/// The table of sensitivities.
const SENSITIVITY: &str = "sensitivity.csv";

/// What decides the results: a table of all of them, and those asked for as text and figure.
pub(super) fn decided(
    talk: &Talk,
    plan: &Plan,
    table: &Table,
    (wanted, style): (&[usize], &Style),
) -> Result<Vec<File>, Stop> {
    let mut files = Vec::new();
    let (mut csv, mut page) = (sensitivity::csv_head(&plan.design), String::new());
    for base in &plan.bases {
        for (m, merit) in table.merits.iter().enumerate() {
            let asked = wanted.contains(&m);
            let (rows, words, bars) = match plan.design {
                Design::Indices { seed, .. } => {
                    let values: Vec<f64> = table
                        .rows
                        .iter()
                        .filter(|r| r.scenario == base.name)
                        .map(|r| r.values[m].unwrap_or(f64::NAN))
                        .collect();
                    // The resamplings of many results nobody asked for would take long.
                    let found = asked.then(|| indices(&values, plan.axes.len(), seed)).flatten();
                    let Some(found) = found else {
                        if asked {
                            let key = &merit.key;
                            talk.note(&format!(
                                "no shares of {key}: it has too few values, or all are equal"
                            ));
                        }
                        continue;
                    };
                    let names: Vec<&str> = plan.axes.iter().map(|a| a.paths[0].as_str()).collect();
                    (
                        sensitivity::indices_csv(&base.name, merit, &names, &found),
                        sensitivity::indices_page(&base.name, merit, &names, &found),
                        pictures::sweep_indices(&base.name, merit, &names, &found),
                    )
                }
                _ => {
                    let Some((result, found)) = swings(plan, table, &base.name, m) else {
                        if asked {
                            let key = &merit.key;
                            talk.note(&format!("no swings of {key}: {} has none", base.name));
                        }
                        continue;
                    };
                    (
                        sensitivity::swings_csv(&base.name, merit, result, &found),
                        sensitivity::swings_page(&base.name, merit, result, &found),
                        pictures::sweep_swings(&base.name, merit, result, &found),
                    )
                }
            };
            csv.push_str(&rows);
            if asked {
                let _ = writeln!(page, "{words}");
                let stem = format!("sensitivity_{}{}", merit.key, suffix(plan, &base.name));
                files.extend(figures::bars(&stem, &bars, style)?);
            }
        }
    }
    files.push((SENSITIVITY.to_owned(), csv.into_bytes()));
    print(&page)?;
    Ok(files)
}
