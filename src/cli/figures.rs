//! Figures as files.

use clap::builder::PossibleValuesParser;

use super::output::Talk;
use super::{Exit, Stop};
use crate::assess::Evidence;
use crate::reader::Difference;
use crate::report::figure::{
    Bars, Columns, Figure, FigureError, Map, Style, bars_to_png, bars_to_svg, columns_to_png,
    columns_to_svg, map_to_png, map_to_svg, sketch_to_png, sketch_to_svg, to_png, to_svg,
};
use crate::report::pictures::{self, EVIDENCE_PICTURES, FIRST, MOISTURE, PICTURES};
use crate::run::{Explanation, Run};

/// Name of the files with the map of moisture.
const MAP: &str = "moisture_map";

/// The word for every figure.
const ALL: &str = "all";

/// A file to be written: name and bytes.
type File = (String, Vec<u8>);

/// The words that `--figures` may list.
pub(super) fn names() -> PossibleValuesParser {
    let names = PICTURES.iter().map(|p| p.name);
    std::iter::once(ALL).chain(names).collect::<Vec<_>>().into()
}

/// The figures of a run, three files each. One without anything to show is noted and left out.
pub(super) fn of_run(
    talk: &Talk,
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
            to_svg(&figure, style)
        {
            talk.note(&format!("no figure {}: {e} (--portrait has more height)", picture.name));
            continue;
        }
        files.extend(one(stem(picture.name), &figure, style)?);
        if picture.name == MOISTURE {
            let moisture = pictures::moisture_map(run).map(|m| map(MAP, &m, style));
            files.extend(moisture.transpose()?.unwrap_or_default());
        }
    }
    Ok(files)
}

/// The figures of a run as evidence, three files each.
pub(super) fn of_evidence(talk: &Talk, run: &Evidence, style: &Style) -> Result<Vec<File>, Stop> {
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
pub(super) fn file_names(wanted: &[String]) -> Vec<String> {
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
pub(super) fn together(
    runs: &[(String, Run)],
    differences: &[Difference],
    style: &Style,
) -> Result<Vec<File>, Stop> {
    one("together", &pictures::together(runs, differences), style)
}

/// The three files of a picture under this stem.
fn three(
    stem: &str,
    svg: Result<String, FigureError>,
    png: Result<Vec<u8>, FigureError>,
    csv: String,
) -> Result<Vec<File>, Stop> {
    Ok(vec![
        (format!("{stem}.svg"), svg.map_err(undrawn)?.into_bytes()),
        (format!("{stem}.png"), png.map_err(undrawn)?),
        (format!("{stem}.csv"), csv.into_bytes()),
    ])
}

/// One finished figure under this stem: three files.
pub(super) fn one(stem: &str, figure: &Figure, style: &Style) -> Result<Vec<File>, Stop> {
    three(stem, to_svg(figure, style), to_png(figure, style), figure.to_csv())
}

/// The same with a table of its own.
pub(super) fn with_csv(
    stem: &str,
    figure: &Figure,
    style: &Style,
    csv: String,
) -> Result<Vec<File>, Stop> {
    three(stem, to_svg(figure, style), to_png(figure, style), csv)
}

/// One finished map under this stem: three files.
pub(super) fn map(stem: &str, map: &Map, style: &Style) -> Result<Vec<File>, Stop> {
    three(stem, map_to_svg(map, style), map_to_png(map, style), map.to_csv())
}

/// One finished picture of bars under this stem: three files.
pub(super) fn bars(stem: &str, bars: &Bars, style: &Style) -> Result<Vec<File>, Stop> {
    three(stem, bars_to_svg(bars, style), bars_to_png(bars, style), bars.to_csv())
}

/// Pictures beside each other under this stem: three files.
pub(super) fn columns(stem: &str, columns: &Columns, style: &Style) -> Result<Vec<File>, Stop> {
    three(stem, columns_to_svg(columns, style), columns_to_png(columns, style), columns.to_csv())
}

/// Names of the files of an explained instant.
pub(super) const FLOWS_FILES: [&str; 4] =
    ["explanation.json", "flows.svg", "flows.png", "flows.csv"];

/// The sketch of an instant.
pub(super) fn flows(explanation: &Explanation, style: &Style) -> Result<Vec<File>, Stop> {
    let sketch = pictures::flows(explanation);
    three("flows", sketch_to_svg(&sketch, style), sketch_to_png(&sketch, style), sketch.to_csv())
}

fn undrawn(e: FigureError) -> Stop {
    Stop::message(Exit::Output, format!("cannot draw the figure: {e}"))
}
