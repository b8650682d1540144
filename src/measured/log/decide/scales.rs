//! How the cells of each column become SI: units stated, units guessed, switches and shares.

use super::Sample;
use super::table::TableShape;
use super::uses::{ColumnUse, Role, Roles, Scale, numbers};
use crate::measured::Quantity;
use crate::measured::log::lex::{Label, Meaning, Unit};
use crate::measured::log::sink::Column;

/// Makes the columns of the rows, air first and sensor by sensor.
pub(super) fn fill(
    sample: &mut Sample<'_>,
    table: &TableShape,
    roles: &mut Roles,
    ignored: Vec<Option<String>>,
) {
    let rank = |q: Quantity| match q {
        Quantity::Temperature | Quantity::RelativeHumidity => Quantity::Temperature,
        other => other,
    };
    let mut order: Vec<(Quantity, usize, Quantity, usize)> = Vec::new();
    for (i, label) in roles.labels.iter().enumerate() {
        if let (Meaning::Reading(q), None) = (label.meaning, &ignored[i]) {
            let first = roles.labels.iter().position(|l| l.sensor == label.sensor).unwrap_or(i);
            order.push((rank(q), first, q, i));
        }
    }
    order.sort();
    let mut place = vec![0; roles.labels.len()];
    for (_, _, quantity, i) in order {
        place[i] = roles.columns.len();
        let sensor = roles.labels[i].sensor.clone();
        roles.columns.push(Column { sensor, quantity, share: false });
    }
    let temperature_unit = temperature_unit(sample, table, &roles.labels, &ignored);
    for (i, why) in ignored.into_iter().enumerate() {
        let role = match (why, roles.labels[i].meaning) {
            (Some(why), _) => Role::Ignored(why),
            (None, Meaning::Reading(q)) => {
                let scale = scale(sample, table, &roles.labels[i], q, i, temperature_unit);
                let share = matches!(scale, Scale::Switch(full) if full > 1.0)
                    || numbers(&table.cells[i]).any(|v| v > 0.0 && v < 1.0);
                roles.columns[place[i]].share =
                    share && matches!(q, Quantity::Heater | Quantity::Fan);
                Role::Value { column: place[i], scale }
            }
            (None, Meaning::Note) => Role::Note,
            (None, Meaning::Part(p)) => Role::Part(p),
            (None, _) => Role::Time,
        };
        roles.targets.push(ColumnUse { name: table.names[i].clone(), role });
    }
}

/// The unit of temperatures that name none; the first reading may look like one in °F.
fn temperature_unit(
    sample: &mut Sample<'_>,
    table: &TableShape,
    labels: &[Label],
    ignored: &[Option<String>],
) -> Unit {
    let open: Vec<usize> = (0..labels.len())
        .filter(|i| ignored[*i].is_none() && labels[*i].unit.is_none())
        .filter(|i| labels[*i].meaning == Meaning::Reading(Quantity::Temperature))
        .collect();
    if let Some(unit) = sample.options.temperature_unit {
        return unit;
    }
    let named = labels
        .iter()
        .find(|l| l.meaning == Meaning::Reading(Quantity::Temperature) && l.unit.is_some());
    if let (true, Some(label)) = (open.is_empty(), named) {
        return label.unit.unwrap_or(Unit::Celsius);
    }
    let Some(i) = open.first() else { return Unit::Celsius };
    let first = numbers(&table.cells[*i]).next();
    match first {
        // no room is that hot in °C, and 60 to 90 °F is a usual one (common practice)
        Some(v) if (58.0..=95.0).contains(&v) => sample.guess(
            format!(
                "temperatures name no unit and are taken as °C, but start at {v}: a room in °F?"
            ),
            "--temperature-unit F (or C)",
        ),
        _ => sample.guess("temperatures name no unit and are taken as °C", "--temperature-unit C"),
    }
    Unit::Celsius
}

/// How the cells of a reading become SI.
fn scale(
    sample: &mut Sample<'_>,
    table: &TableShape,
    label: &Label,
    quantity: Quantity,
    i: usize,
    temperature_unit: Unit,
) -> Scale {
    let fits = |u: &Unit| match quantity {
        Quantity::RelativeHumidity => matches!(u, Unit::Percent | Unit::Fraction),
        Quantity::SetPoint => u.implies() == Some(Quantity::Temperature),
        _ => u.implies() == Some(quantity),
    };
    let most = numbers(&table.cells[i]).fold(f64::NEG_INFINITY, f64::max);
    if matches!(quantity, Quantity::Heater | Quantity::Fan) {
        let percent = label.unit == Some(Unit::Percent) || most > 1.0;
        return Scale::Switch(if percent { 100.0 } else { 1.0 });
    }
    if let Some(unit) = label.unit.filter(fits) {
        return Scale::Unit(unit);
    }
    let name = &table.names[i];
    Scale::Unit(match quantity {
        Quantity::Temperature | Quantity::SetPoint => temperature_unit,
        Quantity::RelativeHumidity => match sample.options.humidity_unit {
            Some(unit) => unit,
            None if most > 0.0 && most <= 1.0 => {
                sample.guess(
                    format!("{name} is never above 1 and is taken as a fraction 0..1"),
                    "--humidity-unit fraction",
                );
                Unit::Fraction
            }
            None => Unit::Percent,
        },
        Quantity::Pressure => pressure_unit(sample, name, most),
        Quantity::Power => Unit::Watt,
        Quantity::Energy => guessed(sample, name, Unit::WattHour, "energy_wh"),
        _ => guessed(sample, name, Unit::Gram, "mass_g"),
    })
}

fn guessed(sample: &mut Sample<'_>, name: &str, unit: Unit, word: &str) -> Unit {
    let what = format!("{name} names no unit and is taken as {}", unit.shown());
    sample.guess(what, format!("--columns … with {word}"));
    unit
}

/// By its size: air at the ground has 500 to 1100 hPa.
fn pressure_unit(sample: &mut Sample<'_>, name: &str, most: f64) -> Unit {
    let unit = match most {
        v if v > 20_000.0 => Unit::Pascal,
        v if v > 820.0 => Unit::Hectopascal,
        v if v > 200.0 => Unit::MillimetreMercury,
        v if v > 40.0 => Unit::Kilopascal,
        _ => Unit::InchMercury,
    };
    guessed(sample, name, unit, "pressure_hpa")
}
