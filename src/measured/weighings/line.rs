//! One line of free notes: what its pieces are.

use super::found::REPEATS_APART;
use super::scan::Piece;
use super::words::{Topic, about, energy_unit, is_volume, mass_unit, time_unit};
use crate::measured::Moment;

/// A mass in a line: the number, its unit if it has one, digits behind the mark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Found {
    pub(super) value: f64,
    pub(super) unit: Option<f64>,
    pub(super) decimals: usize,
}

impl Found {
    pub(super) fn kg(&self, plain: f64) -> f64 {
        self.value * self.unit.unwrap_or(plain)
    }
}

/// What a line holds.
#[derive(Debug, Default)]
pub(super) struct Line {
    pub(super) at: Option<Moment>,
    /// Whether the time comes first: such a line is a weighing whatever words follow.
    pub(super) time_first: bool,
    pub(super) masses: Vec<Found>,
    pub(super) energies: Vec<(f64, Option<f64>)>,
    pub(super) spans: Vec<f64>,
    pub(super) volumes: Vec<f64>,
    pub(super) words: Vec<String>,
    /// How many of the words stand before the first mass.
    pub(super) leading: usize,
    /// A time since the start without a unit, such as `t=30`.
    pub(super) bare_time: bool,
}

impl Line {
    pub(super) fn about(&self, topic: Topic) -> bool {
        about(topic, self.words.iter().map(String::as_str))
    }

    /// Whether a word before the mass says what it is: `10:00 wet 5.05 g`, but not `10:30 5.39 g still wet`.
    pub(super) fn says(&self, topic: Topic) -> bool {
        about(topic, self.words[..self.leading].iter().map(String::as_str))
    }
}

/// Sorts the pieces of a line.
pub(super) fn understand(pieces: &[Piece]) -> Line {
    let mut line = Line::default();
    let mut day = None;
    let mut k = 0;
    let plus = matches!(pieces.first(), Some(Piece::Mark('+')));
    while k < pieces.len() {
        let follows = match pieces.get(k + 1) {
            Some(Piece::Word(w)) => Some(w.as_str()),
            _ => None,
        };
        match &pieces[k] {
            Piece::Date(d) => day = Some(*d as f64),
            Piece::Clock(s) if line.at.is_none() => {
                line.time_first = line.masses.is_empty() && line.words.is_empty();
                line.at = Some(day.map_or(Moment::Clock(*s), |d| Moment::Dated(d * 86_400.0 + s)));
            }
            Piece::Clock(_) => {}
            Piece::Number { value, .. } if line.at.is_none() && since_start(pieces, k) => {
                let unit = follows.and_then(time_unit);
                line.bare_time = unit.is_none() && *value != 0.0;
                line.at = Some(Moment::Elapsed(value * unit.unwrap_or(1.0)));
                line.time_first = line.masses.is_empty();
                k += usize::from(unit.is_some());
            }
            Piece::Number { value, decimals } => {
                let value = *value;
                if line.masses.is_empty() {
                    line.leading = line.words.len();
                }
                let unit_follows =
                    follows.map(|w| (mass_unit(w), time_unit(w), energy_unit(w), is_volume(w)));
                match unit_follows {
                    Some((Some(unit), ..)) => {
                        line.masses.push(Found { value, unit: Some(unit), decimals: *decimals });
                        k += 1;
                    }
                    Some((_, Some(unit), ..)) => {
                        let begins =
                            line.masses.is_empty() && line.words.len() <= 1 && line.at.is_none();
                        if begins {
                            line.time_first = line.words.iter().all(|w| w == "t") || plus;
                            line.at = Some(Moment::Elapsed(value * unit));
                        } else {
                            line.spans.push(value * unit);
                        }
                        k += 1;
                    }
                    Some((.., Some(unit), _)) => {
                        let seconds = line.at.map(|m| match m {
                            Moment::Clock(s) | Moment::Dated(s) | Moment::Elapsed(s) => s,
                        });
                        line.energies.push((value * unit, seconds));
                        // the next reading of the line has a time of its own
                        k += 1;
                    }
                    Some((.., true)) => {
                        line.volumes.push(value);
                        k += 1;
                    }
                    _ => line.masses.push(Found { value, unit: None, decimals: *decimals }),
                }
            }
            Piece::Word(w) => line.words.push(w.clone()),
            Piece::Mark(_) => {}
        }
        k += 1;
    }
    line
}

/// Whether a number stands behind `t` or `t=`.
fn since_start(pieces: &[Piece], at: usize) -> bool {
    let t = |k: usize| matches!(pieces.get(k), Some(Piece::Word(w)) if w == "t");
    let equals = at >= 2 && matches!(pieces[at - 1], Piece::Mark('='));
    (equals && t(at - 2)) || (at >= 1 && t(at - 1))
}

/// The mass of a line: one with a unit if there is one, else the first number.
pub(super) fn mass_of(line: &Line) -> Option<Found> {
    let with_unit = line.masses.iter().find(|m| m.unit.is_some());
    with_unit.or(line.masses.first()).copied().filter(|m| m.value > 0.0)
}

/// The longest run of neighbouring numbers that differ little.
pub(super) fn repeats(line: &Line, unit: f64) -> Vec<f64> {
    let near =
        |a: &Found, b: &Found| (a.kg(unit) - b.kg(unit)).abs() <= REPEATS_APART * a.kg(unit).abs();
    let runs = line.masses.chunk_by(near);
    let longest = runs.max_by_key(|run| run.len()).unwrap_or_default();
    // "repeat weigh of same 5 g weight: 5.00 5.01 ...": the nominal value has fewer digits.
    let digits = longest.iter().map(|m| m.decimals).max().unwrap_or(0);
    longest.iter().filter(|m| m.decimals == digits).map(|m| m.kg(unit)).collect()
}
