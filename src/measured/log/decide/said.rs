//! What the cells of a field say as names.

use crate::measured::log::shapes::Cell;

/// Most sensors in a log.
pub(super) const MOST_SENSORS: usize = 64;

/// Words that tell a state and no sensor.
pub(super) const STATES: [&str; 26] = [
    "ok", "err", "error", "fail", "good", "bad", "valid", "invalid", "on", "off", "true", "false",
    "heating", "idle", "cooling", "warmup", "run", "running", "stop", "stopped", "open", "closed",
    "yes", "no", "auto", "manual",
];
/// What a cell says as a name.
pub(super) fn said(cell: &Cell) -> Option<String> {
    match cell {
        Cell::Word(w) => Some(w.trim().to_owned()).filter(|w| !w.is_empty()),
        Cell::Number(v, None) => Some(format!("{v}")),
        Cell::Number(..) | Cell::Missing => None,
        Cell::Stamp(s) => Some(format!("{s:?}")),
    }
}

pub(super) fn distinct(cells: &[Cell]) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for text in cells.iter().filter_map(said) {
        if !all.contains(&text) {
            all.push(text);
        }
        if all.len() > 2 * MOST_SENSORS {
            break;
        }
    }
    all
}

/// Whether a field holds words on most lines.
pub(super) fn is_words(cells: &[Cell]) -> bool {
    let there = cells.iter().filter(|c| !matches!(c, Cell::Missing)).count();
    let words = cells.iter().filter(|c| matches!(c, Cell::Word(_))).count();
    words > 0 && 5 * words >= 4 * there
}

/// Whether a field changes at most lines, as where sensors take turns; a state does not.
pub(super) fn alternates(cells: &[Cell]) -> bool {
    let said: Vec<String> = cells.iter().filter_map(said).collect();
    let changes = said.windows(2).filter(|w| w[0] != w[1]).count();
    5 * changes >= 2 * said.len()
}
