//! What a user types to free a path: bounds, or a value known beforehand.

use super::data::FreePath;
use crate::reader::{Issue, Report, Value, present_path};
use crate::text::closest;
use crate::units::{self, Kind, Typed, UnitError, parse, parse_measured};

/// Reads `path=low..high unit`, `path=start, low..high unit` or `path=value ± uncertainty unit`; a path
/// alone is known beforehand as well as its own ± in the scenario says. Without a start it is the
/// scenario's value if that lies between the bounds, else their middle.
///
/// # Errors
/// What is wrong, with one thing to type.
pub fn free_path(text: &str, per_run: bool, report: &Report) -> Result<FreePath, Issue> {
    let option = if per_run { "--free-per-run" } else { "--free" };
    let fail = |what: String, hint: &str| {
        Err(Issue::of_file("bad-free", &format!("{option} {text}"), what, hint))
    };
    let (path, rest) =
        text.split_once('=').map_or((text.trim(), ""), |(p, r)| (p.trim(), r.trim()));
    let Some(record) = report.value(path) else {
        let known: Vec<&str> =
            report.values.iter().filter(|v| v.kind().is_some()).map(|v| v.path.as_str()).collect();
        let hint = match (present_path(path, &known), closest(path, known.iter().copied())) {
            (Some(now), _) => format!("it is called {now} now"),
            (None, Some(near)) => format!("did you mean {near}?"),
            (None, None) => "drybench check lists all paths".into(),
        };
        return fail(format!("{path} is no value of this scenario"), &hint);
    };
    let (Some(kind), Some(now)) = (record.kind(), record.si()) else {
        return fail(
            format!("{path} = {} is no quantity", record.text()),
            "free a value with a unit",
        );
    };
    let own = match record.value {
        Value::Quantity(_, known) => known.sd.filter(|sd| *sd > 0.0),
        _ => None,
    };
    let blank = FreePath { path: path.into(), kind, per_run, ..FreePath::default() };
    let example = || format!("{path}={}", example(kind, now));
    let free = match (rest, own) {
        ("", Some(sd)) => known(blank, now, sd),
        ("", None) => {
            let hint = format!("write {path}=LOW..HIGH, for example \"{}\"", example());
            return fail("has no bounds".into(), &hint);
        }
        _ => match typed(rest, blank, now, example) {
            Ok(free) => free,
            Err(e) => return fail(e.to_string(), &e.hint()),
        },
    };
    let FreePath { start, low, high, .. } = free;
    if !(low..=high).contains(&start) {
        let shown = |v| units::format(kind, v);
        let what = format!("starts at {}, outside {} to {}", shown(start), shown(low), shown(high));
        return fail(what, "move the start or the bounds");
    }
    Ok(free)
}

/// Bounds of a value that is known beforehand: so many standard uncertainties either way, where its own
/// uncertainty keeps it from going. Our choice.
const WIDE: f64 = 8.0;

/// A path known beforehand, to be searched as far as the box lets it.
fn known(free: FreePath, start: f64, sd: f64) -> FreePath {
    let (low, high) = (start - WIDE * sd, start + WIDE * sd);
    FreePath { start, low, high, prior: Some(sd), open: true, ..free }
}

fn typed(
    rest: &str,
    free: FreePath,
    now: f64,
    example: impl Fn() -> String,
) -> Result<FreePath, UnitError> {
    let kind = free.kind;
    match Typed::read(rest)? {
        Typed::Range(range) if !range.is_log() => {
            let (low, high) = range.ends(kind)?;
            let start = if (low..=high).contains(&now) { now } else { 0.5 * (low + high) };
            Ok(FreePath { start, low, high, ..free })
        }
        Typed::Start(start, range) if !range.is_log() => {
            let (start, (low, high)) = (parse_measured(kind, &start)?, range.ends(kind)?);
            Ok(FreePath { start: start.value, prior: start.sd, low, high, ..free })
        }
        Typed::Measured(text) => {
            let found = parse_measured(kind, &text)?;
            Ok(known(free, found.value, found.sd.unwrap_or_default()))
        }
        other => {
            if let Typed::Value(text) = &other {
                parse(kind, text)?;
            }
            Err(other.refused("a range or a value with its uncertainty", example()))
        }
    }
}

/// Half to double of the present value, as an example of bounds.
fn example(kind: Kind, now: f64) -> String {
    if kind == Kind::Temperature || now == 0.0 {
        return format!("{0}..{0}", kind.example());
    }
    format!("{}..{}", units::format(kind, 0.5 * now), units::format(kind, 2.0 * now))
}
