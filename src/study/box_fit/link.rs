//! What a user types to link a column of a table with the model.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use crate::reader::Issue;
use crate::units::split_uncertainty;

/// Targets that are inputs of the run: each follows one column.
const INPUTS: [&str; 3] = ["room.temperature", "room.relative_humidity", "control.heater"];

/// One `--map`: a column of the data, less a constant, and what it is compared with.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    pub(super) header: String,
    /// What is taken off each reading, such as a tare, as typed.
    pub(super) minus: Option<String>,
    pub(super) target: String,
    /// Standard uncertainty as typed.
    pub(super) u: Option<String>,
}

impl Link {
    /// Reads `HEADER = COLUMN ± U`, or `HEADER - TARE = COLUMN ± U`.
    ///
    /// # Errors
    /// An issue when there is no `=`.
    pub fn parse(text: &str) -> Result<Self, Issue> {
        let Some((left, right)) = text.split_once('=') else {
            let what = "does not say what the column is compared with".to_owned();
            let hint = "write header=column, for example: --map \"hot_temperature_C=sensor_logger_temperature_C ± 0.2 K\"";
            return Err(Issue::of_file("bad-map", &format!("--map {text}"), what, hint));
        };
        let (target, u) = match split_uncertainty(right) {
            Some((target, u)) => (target.to_owned(), Some(u.to_owned())),
            None => (right.trim().to_owned(), None),
        };
        let (header, minus) = match left.split_once(" - ") {
            Some((header, minus)) => (header.trim(), Some(minus.trim().to_owned())),
            None => (left.trim(), None),
        };
        Ok(Link { header: header.into(), minus, target, u })
    }

    /// Whether it makes an input of the run follow the column, rather than compare it.
    pub(super) fn is_input(&self) -> bool {
        INPUTS.contains(&self.target.as_str())
    }

    /// A link that is there twice: its readings would count twice; or an input that would have to
    /// follow two columns.
    #[must_use]
    pub fn twice(links: &[Link]) -> Option<Issue> {
        let same =
            |a: &Link, b: &Link| a.target == b.target && (a.header == b.header || a.is_input());
        let (k, link) =
            links.iter().enumerate().find(|(k, b)| links[..*k].iter().any(|a| same(a, b)))?;
        let first = links[..k].iter().find(|a| same(a, link))?;
        let what = match first.header == link.header {
            true if link.is_input() => format!("{} follows {} twice", link.target, link.header),
            true => format!(
                "{} is compared with {} twice: its readings would count twice",
                link.header, link.target
            ),
            false => {
                format!("{} cannot follow both {} and {}", link.target, first.header, link.header)
            }
        };
        let named = format!("--map {}={}", link.header, link.target);
        Some(Issue::of_file("twice", &named, what, "leave one of the two --map out"))
    }

    /// Header of the column that is linked to `target`.
    pub(super) fn header_of<'a>(links: &'a [Link], target: &str) -> Option<&'a str> {
        links.iter().find(|l| l.target == target).map(|l| l.header.as_str())
    }

    /// Its standard uncertainty as typed.
    pub(super) fn u_of<'a>(links: &'a [Link], target: &str) -> Option<&'a str> {
        links.iter().find(|l| l.target == target).and_then(|l| l.u.as_deref())
    }
}
