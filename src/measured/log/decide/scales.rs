//! How the cells of each column become SI: units stated, units guessed, switches and shares.

use super::Sample;
use super::draft::Draft;
use super::uses::{ColumnUse, Role, Scale, numbers};
use crate::measured::Quantity;
use crate::measured::log::lex::{HumidityMeasure, Label, Meaning, Unit};
use crate::measured::log::sink::Column;
use crate::measured::log::text;

/// Measures of humidity beside a temperature: used where there is no relative humidity of that sensor.
pub(super) fn humidities(drafts: &mut [Draft]) {
    let has = |drafts: &[Draft], sensor: &str, quantity: Quantity| {
        drafts.iter().any(|d| {
            d.labels.iter().zip(&d.ignored).any(|(l, why)| {
                why.is_none() && l.sensor == sensor && l.meaning == Meaning::Reading(quantity)
            })
        })
    };
    for d in 0..drafts.len() {
        for i in 0..drafts[d].labels.len() {
            let label = drafts[d].labels[i].clone();
            if !matches!(label.meaning, Meaning::Humidity(_)) || drafts[d].ignored[i].is_some() {
                continue;
            }
            let own = &drafts[d..=d];
            let known = has(drafts, &label.sensor, Quantity::RelativeHumidity);
            let warm = has(own, &label.sensor, Quantity::Temperature);
            let double = drafts[d].labels[..i]
                .iter()
                .any(|l| l.meaning == label.meaning && l.sensor == label.sensor);
            if known || !warm || double {
                let why = if known {
                    "worked out anew from temperature and humidity"
                } else {
                    "no temperature beside it"
                };
                drafts[d].ignored[i] = Some(why.to_owned());
            }
        }
    }
}

/// The name of a quantity that this program does not know, as the head of its column.
fn own_name(name: &str, label: &Label) -> String {
    let parts = [label.sensor.clone(), text::identifier(name)];
    parts.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join("_")
}

/// The column of a label: its sensor and quantity.
fn column_of(name: &str, label: &Label) -> Option<(String, Quantity)> {
    match label.meaning {
        Meaning::Reading(q) => Some((label.sensor.clone(), q)),
        Meaning::Humidity(_) => Some((label.sensor.clone(), Quantity::RelativeHumidity)),
        Meaning::Other => Some((own_name(name, label), Quantity::Other)),
        _ => None,
    }
}

/// Makes the columns of the rows, air first and sensor by sensor.
pub(super) fn columns(drafts: &[Draft], columns: &mut Vec<Column>) {
    let rank = |q: Quantity| match q {
        Quantity::Temperature | Quantity::RelativeHumidity => Quantity::Temperature,
        other => other,
    };
    let mut order: Vec<(Quantity, usize, Quantity, usize, String)> = Vec::new();
    let mut sensors: Vec<String> = Vec::new();
    for draft in drafts {
        for (i, label) in draft.labels.iter().enumerate() {
            let column = column_of(&draft.names[i], label).filter(|_| draft.ignored[i].is_none());
            let Some((sensor, q)) = column else { continue };
            let first = sensors.iter().position(|s| *s == sensor).unwrap_or_else(|| {
                sensors.push(sensor.clone());
                sensors.len() - 1
            });
            order.push((rank(q), first, q, order.len(), sensor));
        }
    }
    order.sort();
    for (_, _, quantity, _, sensor) in order {
        if !columns.iter().any(|c| c.sensor == sensor && c.quantity == quantity) {
            columns.push(Column { sensor, quantity, share: false });
        }
    }
}

/// Says what each field of a draft is for.
pub(super) fn fill(sample: &mut Sample<'_>, draft: &mut Draft, columns: &mut [Column]) {
    let temperature_unit = temperature_unit(sample, draft);
    for i in 0..draft.labels.len() {
        let label = draft.labels[i].clone();
        let place = column_of(&draft.names[i], &label)
            .and_then(|(s, q)| columns.iter().position(|c| c.sensor == s && c.quantity == q));
        let role = match (draft.ignored[i].clone(), label.meaning, place) {
            (Some(why), ..) => Role::Ignored(why),
            (None, Meaning::Humidity(measure), Some(column)) => {
                let warm =
                    |c: &Column| c.sensor == label.sensor && c.quantity == Quantity::Temperature;
                match columns.iter().position(warm) {
                    Some(temperature) => {
                        let unit = measure_unit(sample, draft, i, measure, temperature_unit);
                        Role::Humidity { column, temperature, measure, unit }
                    }
                    None => Role::Ignored("no temperature beside it".to_owned()),
                }
            }
            (None, Meaning::Other, Some(column)) => Role::Value { column, scale: Scale::Plain },
            (None, Meaning::Reading(q), Some(column)) => {
                let scale = scale(sample, draft, &label, q, i, temperature_unit);
                let share = matches!(scale, Scale::Switch(full) if full > 1.0)
                    || numbers(&draft.cells[i]).any(|v| v > 0.0 && v < 1.0);
                columns[column].share |= share && matches!(q, Quantity::Heater | Quantity::Fan);
                Role::Value { column, scale }
            }
            (None, Meaning::Note, _) => Role::Note,
            (None, Meaning::Part(p), _) => Role::Part(p),
            (None, ..) => Role::Time,
        };
        draft.targets.push(ColumnUse { name: draft.names[i].clone(), role });
    }
}

fn measure_unit(
    sample: &mut Sample<'_>,
    draft: &Draft,
    i: usize,
    measure: HumidityMeasure,
    temperature_unit: Unit,
) -> Unit {
    let fits = |u: &Unit| match measure {
        HumidityMeasure::DewPoint => u.implies() == Some(Quantity::Temperature),
        HumidityMeasure::Content => matches!(u, Unit::GramPerCubicMetre | Unit::GramPerKilogram),
    };
    match (draft.labels[i].unit.filter(fits), measure) {
        (Some(unit), _) => unit,
        (None, HumidityMeasure::DewPoint) => temperature_unit,
        (None, HumidityMeasure::Content) => guessed(
            sample,
            &draft.names[i],
            Unit::GramPerCubicMetre,
            "abs_humidity_gm3 or humidity_ratio_gkg",
        ),
    }
}

/// The unit of temperatures that name none; what is possible as neither is asked about later.
fn temperature_unit(sample: &mut Sample<'_>, draft: &Draft) -> Unit {
    let is_temperature = |i: usize| {
        draft.ignored[i].is_none()
            && draft.labels[i].meaning == Meaning::Reading(Quantity::Temperature)
    };
    let all: Vec<usize> = (0..draft.labels.len()).filter(|i| is_temperature(*i)).collect();
    let open: Vec<usize> =
        all.iter().copied().filter(|i| draft.labels[*i].unit.is_none()).collect();
    if let Some(unit) = sample.options.temperature_unit {
        return unit;
    }
    let named = all.iter().find_map(|i| draft.labels[*i].unit);
    if open.is_empty() || named.is_some() {
        return named.unwrap_or(Unit::Celsius);
    }
    sample.guess("temperatures name no unit and are taken as °C", "--temperature-unit C");
    Unit::Celsius
}

/// How the cells of a reading become SI.
fn scale(
    sample: &mut Sample<'_>,
    draft: &Draft,
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
    let parts = match quantity {
        Quantity::Temperature | Quantity::SetPoint => sample.options.temperature_parts,
        Quantity::RelativeHumidity => sample.options.humidity_parts,
        _ => None,
    };
    let parts = parts.unwrap_or(1.0);
    let most = numbers(&draft.cells[i]).fold(f64::NEG_INFINITY, f64::max);
    if matches!(quantity, Quantity::Heater | Quantity::Fan) {
        let percent = label.unit == Some(Unit::Percent) || most > 1.0;
        return Scale::Switch(if percent { 100.0 } else { 1.0 });
    }
    if let Some(unit) = label.unit.filter(fits) {
        return Scale::Unit(unit, parts);
    }
    let name = draft.names[i].clone();
    let unit = match quantity {
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
        Quantity::Pressure => pressure_unit(sample, &name, most),
        Quantity::Power => Unit::Watt,
        Quantity::Energy => guessed(sample, &name, Unit::WattHour, "energy_wh"),
        _ => guessed(sample, &name, Unit::Gram, "mass_g"),
    };
    Scale::Unit(unit, parts)
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
