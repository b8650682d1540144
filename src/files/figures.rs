//! Figures as files.

use super::stop::{Cause, Listener, Stop};
use crate::assess::Evidence;
use crate::reader::Difference;
use crate::report::figure::{Drawing, FigureError, Style};
use crate::report::pictures::{self, EVIDENCE_PICTURES, FIRST, MOISTURE, PICTURES};
use crate::run::{Explanation, Run};

/// Name of the files with the map of moisture.
const MAP: &str = "moisture_map";

/// The word for every figure.
const ALL: &str = "all";

/// A file to be written: name and bytes.
type File = (String, Vec<u8>);

/// The words for the figures of a run.
pub fn names() -> impl Iterator<Item = &'static str> {
    std::iter::once(ALL).chain(PICTURES.iter().map(|p| p.name))
}

/// The figures of a run, three files each. One without anything to show is noted and left out.
///
/// # Errors
/// That a figure cannot be drawn.
pub fn of_run(
    talk: &dyn Listener,
    wanted: &[String],
    run: &Run,
    style: &Style,
) -> Result<Vec<File>, Stop> {
    let all = wanted.iter().any(|w| w == ALL);
    let mut files = Vec::new();
    for picture in PICTURES.iter().filter(|p| all || wanted.iter().any(|w| w == p.name)) {
        let Some(figure) = (picture.draw)(run) else {
            talk.note(&format!("no figure {}: this run has nothing to show in it", picture.name));
            continue;
        };
        // The run is worth more than one of its pictures.
        if let Err(e @ (FigureError::Crowded { .. } | FigureError::Lines { .. })) =
            figure.scene(style)
        {
            talk.note(&format!("no figure {}: {e} (--portrait has more height)", picture.name));
            continue;
        }
        files.extend(one(stem(picture.name), &figure, style)?);
        if picture.name == MOISTURE {
            let moisture = pictures::moisture_map(run).map(|m| one(MAP, &m, style));
            files.extend(moisture.transpose()?.unwrap_or_default());
        }
    }
    Ok(files)
}

/// Whether one of these figures shows the layers of spools.
pub fn has_layers(wanted: &[String]) -> bool {
    wanted.iter().any(|name| name == ALL || name == MOISTURE)
}

/// The figures of a run as evidence, three files each.
///
/// # Errors
/// That a figure cannot be drawn.
pub fn of_evidence(talk: &dyn Listener, run: &Evidence, style: &Style) -> Result<Vec<File>, Stop> {
    let mut files = Vec::new();
    for picture in &EVIDENCE_PICTURES {
        let Some(figure) = (picture.draw)(run) else {
            talk.note(&format!("no figure {}: this run has nothing to show in it", picture.name));
            continue;
        };
        files.extend(one(picture.name, &figure, style)?);
    }
    Ok(files)
}

/// Names of all files that [`of_run`] may write.
pub fn file_names(wanted: &[String]) -> Vec<String> {
    let all = wanted.iter().any(|w| w == ALL);
    let chosen = PICTURES.iter().filter(|p| all || wanted.iter().any(|w| w == p.name));
    let ends = ["svg", "png", "csv"];
    let stems = chosen.flat_map(|p| match p.name {
        MOISTURE => vec![stem(p.name), MAP],
        name => vec![stem(name)],
    });
    stems.flat_map(|stem| ends.map(|end| format!("{stem}.{end}"))).collect()
}

/// The first figure keeps the short name that guides and scripts know.
fn stem(name: &str) -> &str {
    if name == FIRST { "figure" } else { name }
}

/// Several runs in one figure.
///
/// # Errors
/// That a figure cannot be drawn.
pub fn together(
    runs: &[(String, Run)],
    differences: &[Difference],
    style: &Style,
) -> Result<Vec<File>, Stop> {
    one("together", &pictures::together(runs, differences), style)
}

/// One finished picture under this stem: three files.
///
/// # Errors
/// That a figure cannot be drawn.
pub fn one(stem: &str, picture: &dyn Drawing, style: &Style) -> Result<Vec<File>, Stop> {
    with_csv(stem, picture, style, picture.to_csv())
}

/// The same with a table of its own.
///
/// # Errors
/// That a figure cannot be drawn.
pub fn with_csv(
    stem: &str,
    picture: &dyn Drawing,
    style: &Style,
    csv: String,
) -> Result<Vec<File>, Stop> {
    Ok(vec![
        (format!("{stem}.svg"), picture.to_svg(style).map_err(undrawn)?.into_bytes()),
        (format!("{stem}.png"), picture.to_png(style).map_err(undrawn)?),
        (format!("{stem}.csv"), csv.into_bytes()),
    ])
}

/// Names of the files of an explained instant.
pub const FLOWS_FILES: [&str; 4] = ["explanation.json", "flows.svg", "flows.png", "flows.csv"];

/// The sketch of an instant.
///
/// # Errors
/// That a figure cannot be drawn.
pub fn flows(explanation: &Explanation, style: &Style) -> Result<Vec<File>, Stop> {
    one("flows", &pictures::flows(explanation), style)
}

fn undrawn(e: FigureError) -> Stop {
    Stop::message(Cause::Output, format!("cannot draw the figure: {e}"))
}
