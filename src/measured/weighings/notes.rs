//! Free notes, a line at a time.

use super::found::{
    EnergyReading, LidNote, Mass, Repeat, Weighing, WeighingOptions, Weighings, error, grams,
};
use super::line::{Line, mass_of, repeats, understand};
use super::lines::LineClass;
use super::scan::{Piece, pieces};
use super::words::{Topic, energy_unit, mass_unit, time_unit};
use crate::measured::Moment;
use crate::reader::Issue;

/// Least number of masses in one line that count as repeat weighings.
const LEAST_REPEATS: usize = 3;
/// Two dry masses further apart than this share cannot both be right.
const DRY_APART: f64 = 0.02;

pub(super) fn read(
    name: &str,
    text: &str,
    options: &WeighingOptions,
    issues: &mut Vec<Issue>,
) -> Weighings {
    let lines: Vec<(&str, Line)> = text.lines().map(|l| (l, understand(&pieces(l)))).collect();
    let mut out = Weighings::default();
    let Some(unit) = plain_unit(name, &lines, options, &mut out, issues) else {
        out.ledger.lines = vec![LineClass::Unread; lines.len()];
        return out;
    };
    let mut decimals = 0;
    for (i, (text, line)) in lines.iter().enumerate() {
        let class = if text.trim().is_empty() {
            LineClass::Blank
        } else {
            take(&mut out, name, (i + 1, text), line, unit, issues)
        };
        if class == LineClass::Weighing {
            let finest = line.masses.iter().filter(|m| m.unit.is_none_or(|u| u == unit));
            decimals = finest.map(|m| m.decimals).fold(decimals, usize::max);
        }
        out.ledger.push(class);
    }
    if out.resolution_kg.is_none() && !out.weighings.is_empty() {
        let step = 10f64.powi(-(decimals as i32)) * unit;
        out.resolution_kg = Some(step);
        out.notes.push(format!(
            "the scale is taken to show steps of {}, the last digit of the masses; write \"scale \
             reads to ...\" to say so",
            grams(step)
        ));
    }
    out
}

/// The unit of masses that have none: pinned, or that of the others in the notes.
fn plain_unit(
    name: &str,
    lines: &[(&str, Line)],
    options: &WeighingOptions,
    out: &mut Weighings,
    issues: &mut Vec<Issue>,
) -> Option<f64> {
    if let Some(word) = &options.mass_unit {
        let unit = mass_unit(&word.to_lowercase());
        if unit.is_none() {
            let what = format!("mass_unit \"{word}\" is no unit of mass");
            issues.push(error(name, 0, "bad-unit", what, "write g, kg, mg or oz"));
        }
        return unit;
    }
    let masses = || lines.iter().flat_map(|(_, l)| &l.masses);
    let mut units: Vec<f64> = masses().filter_map(|m| m.unit).collect();
    units.sort_by(f64::total_cmp);
    units.dedup();
    let bare =
        lines.iter().position(|(_, l)| l.at.is_some() && l.masses.iter().any(|m| m.unit.is_none()));
    match (units[..].len(), bare) {
        (0, Some(i)) => {
            let what = "has masses but no unit anywhere".to_owned();
            let hint = "say which: --mass-unit g";
            issues.push(error(name, i + 1, "no-unit", what, hint));
            None
        }
        (0, None) => Some(1e-3),
        (1, Some(_)) => {
            let unit = units[0];
            out.notes.push(format!(
                "masses without a unit are taken to be in {}, like the others; --mass-unit pins it",
                ["mg", "g", "oz", "kg"][[1e-6, 1e-3, 0.028_349_523_125, 1.0]
                    .iter()
                    .position(|u| *u == unit)
                    .unwrap_or(1)]
            ));
            Some(unit)
        }
        (1, None) => Some(units[0]),
        (_, Some(i)) => {
            let what = "this mass has no unit, and the others have several".to_owned();
            issues.push(error(name, i + 1, "no-unit", what, "say which: --mass-unit g"));
            None
        }
        (_, None) => Some(units[0]),
    }
}

/// Whether the time of a line has a minus: `-30 min`, `t=-30 min`. A dash with a blank behind it begins a list.
fn is_negative(text: &str) -> bool {
    let text = text.trim_start();
    let text = text
        .strip_prefix(['t', 'T'])
        .map_or(text, |t| t.trim_start().trim_start_matches(['=', ':']).trim_start());
    let rest = text.strip_prefix(['-', '\u{2212}']);
    rest.is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
}

/// Files a line under its class.
fn take(
    out: &mut Weighings,
    name: &str,
    (number, text): (usize, &str),
    line: &Line,
    unit: f64,
    issues: &mut Vec<Issue>,
) -> LineClass {
    let mut ask = |code, what: &str, hint: &str| {
        issues.push(error(name, number, code, what.to_owned(), hint));
        LineClass::Unread
    };
    if !line.energies.is_empty() {
        let mut read = energies(text, number);
        if let [only] = &mut read[..] {
            only.used = line.about(Topic::Used);
        }
        out.energy.extend(read);
        return LineClass::Energy;
    }
    if let (Some(Moment::Elapsed(s)), false) = (line.at, line.masses.is_empty()) {
        if line.bare_time {
            return ask(
                "no-unit",
                "its time since the start has no unit",
                "write, for example, t=30 min",
            );
        }
        if s > 0.0 && is_negative(text) {
            let what = "its time lies before the start";
            return ask(
                "before-start",
                what,
                "strike the line, or write its mass as \"wet 6.04 g\" without a time",
            );
        }
    }
    if line.about(Topic::Vessel) && mass_of(line).is_some() && line.at.is_none() {
        let what = "has the mass of what the load lies in: do the other masses hold it or not?";
        return ask(
            "vessel",
            what,
            "strike the line if all or none of them do: only their differences count",
        );
    }
    let repeats = repeats(line, unit);
    if repeats.len() >= LEAST_REPEATS && !line.time_first {
        out.repeats.push(Repeat { kg: repeats, line: number });
        out.resolution_kg = resolution(line, unit).or(out.resolution_kg);
        return LineClass::Repeat;
    }
    // A word between time and mass says what the mass is, the first time.
    if let (Some(at), Some(mass)) = (line.at, mass_of(line))
        && line.time_first
        && out.weighings.is_empty()
    {
        let mass = Mass { kg: mass.kg(unit), line: number };
        if line.says(Topic::Dry) && out.dry.is_none() {
            return dry(out, name, mass, issues);
        }
        if line.says(Topic::Start) && out.start.is_none() {
            out.start = Some(mass);
            out.into_box.get_or_insert(at);
            return LineClass::StartMass;
        }
    }
    if let (Some(at), Some(mass)) = (line.at, mass_of(line))
        && (line.time_first || !(line.about(Topic::Dry) || line.about(Topic::Start)))
    {
        let remark = remark(text);
        if line.about(Topic::Lid) {
            out.lids.push(LidNote { at, duration_s: line.spans.first().copied(), line: number });
        }
        let kg = mass.kg(unit);
        out.weighings.push(Weighing { at, time_s: 0.0, kg, line: number, remark });
        return LineClass::Weighing;
    }
    if let Some(step) = resolution(line, unit) {
        out.resolution_kg = Some(step);
        return LineClass::Resolution;
    }
    let mass = mass_of(line);
    if let (Some(mass), false) = (mass, line.time_first) {
        let kg = mass.kg(unit);
        if line.about(Topic::Dry) && line.volumes.is_empty() {
            return dry(out, name, Mass { kg, line: number }, issues);
        }
        if line.about(Topic::Start) || !line.volumes.is_empty() {
            if let Some(ml) = line.volumes.first() {
                out.nominal = Some(format!("{ml} mL"));
            }
            out.start = Some(Mass { kg, line: number });
            return LineClass::StartMass;
        }
    }
    match line.at {
        Some(at) if line.about(Topic::Lid) => {
            out.lids.push(LidNote { at, duration_s: line.spans.first().copied(), line: number });
            LineClass::Lid
        }
        Some(at) if line.about(Topic::IntoBox) || line.about(Topic::Start) => {
            out.into_box = Some(at);
            LineClass::IntoBox
        }
        _ if mass.is_some_and(|m| m.unit.is_some()) => {
            let what = "has a mass but neither a time nor a word that says what it is".to_owned();
            let hint = "write, for example, \"10:30  5.39 g\", \"dry 3.08 g\" or \"wet 6.04 g\"";
            issues.push(error(name, number, "stray-mass", what, hint));
            LineClass::Unread
        }
        _ => LineClass::Remark,
    }
}

fn dry(out: &mut Weighings, name: &str, mass: Mass, issues: &mut Vec<Issue>) -> LineClass {
    if let Some(other) = out.dry {
        if (other.kg - mass.kg).abs() > DRY_APART * other.kg {
            let (a, b) = (grams(mass.kg), grams(other.kg));
            let what = format!("dry mass {a} and that of line {}, {b}, disagree", other.line);
            let hint = "strike one of them; a tare with the tray is not the dry mass";
            issues.push(error(name, mass.line, "two-dry-masses", what, hint));
        } else {
            out.notes.push(format!("two dry masses: that of line {} is taken", mass.line));
        }
    }
    out.dry = Some(mass);
    LineClass::DryMass
}

/// `scale reads to 0.01`: the smallest number of a line about that.
fn resolution(line: &Line, unit: f64) -> Option<f64> {
    let steps = line.masses.iter().map(|m| m.kg(unit)).filter(|kg| *kg > 0.0);
    line.about(Topic::Resolution).then(|| steps.reduce(f64::min)).flatten()
}

/// Readings of an energy meter with the time that stands before or after each.
fn energies(text: &str, number: usize) -> Vec<EnergyReading> {
    let mut out: Vec<EnergyReading> = Vec::new();
    let mut at = None;
    let all = pieces(text);
    for (k, piece) in all.iter().enumerate() {
        match (piece, all.get(k + 1)) {
            (Piece::Clock(s), _) => at = Some(Moment::Clock(*s)),
            (Piece::Number { value, .. }, Some(Piece::Word(w))) => {
                if let Some(unit) = energy_unit(w) {
                    let (at, joule) = (at.take(), value * unit);
                    out.push(EnergyReading { at, joule, line: number, used: false });
                } else if let Some(unit) = time_unit(w) {
                    at = Some(Moment::Elapsed(value * unit));
                }
            }
            _ => {}
        }
    }
    if let Some((last, late)) = out.last_mut().zip(at) {
        last.at = last.at.or(Some(late));
    }
    out
}

/// What a line says besides its time and mass.
fn remark(text: &str) -> String {
    let open = text.find(['(', '<', '-', '#', ';']);
    let words = open.map_or("", |at| &text[at..]);
    words.trim_matches(|c: char| c.is_whitespace() || "()<>-#;".contains(c)).to_owned()
}
