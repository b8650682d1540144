//! What first comes after the form of a log is decided: sensors, which get columns where the output has a place for them,
//! and headers, which the rows after them follow.

use super::complaint::Tally;
use super::decide::uses::{ColumnUse, Role, Scale};
use super::decide::{Layout, ReadingPlan, use_of};
use super::lex::{Label, Meaning, label};
use super::shapes::{Shape, columns};
use super::sink::{Column, Sink};
use crate::measured::Quantity;

/// A field that came late: where it stands, its name, and what it holds.
struct Late {
    field: usize,
    name: String,
    column: Column,
    scale: Scale,
}

/// Takes what the last line of a form said that no line before it had; whether anything came of it. Before the first row is
/// out (`open`) there is room for any column, after it where the output says so.
pub(super) fn adopt<S: Sink>(
    plan: &mut ReadingPlan,
    tally: &mut Tally,
    open: bool,
    (form, line): (usize, u64),
    sink: &mut S,
) -> bool {
    let layout = &mut plan.layouts[form];
    if let Some(record) = layout.pivot.as_mut().and_then(|p| p.missed.take()) {
        let found = layout.pivot.as_ref().map(|p| p.late(&record)).unwrap_or_default();
        let late: Vec<Late> = found
            .into_iter()
            .filter_map(|(field, like, sensor, label)| {
                of_mark(plan, form, field, like, sensor, label)
            })
            .collect();
        let Some(targets) = take(plan, form, &late, |c| open || sink.widen(c)) else {
            return false;
        };
        tell(tally, line, &late);
        let uses: Vec<(usize, usize)> = late.iter().map(|l| l.field).zip(targets).collect();
        if let Some(pivot) = &mut plan.layouts[form].pivot {
            pivot.adopt(&record, &uses);
        }
        return true;
    }
    let missed = match &mut layout.shape {
        Shape::Labelled(l) => std::mem::take(&mut l.missed),
        Shape::Pairs(p) => std::mem::take(&mut p.missed),
        Shape::Columns(_) => Vec::new(),
    };
    let late: Vec<Late> = missed.into_iter().filter_map(|name| of_name(plan, form, name)).collect();
    let Some(targets) = take(plan, form, &late, |c| open || sink.widen(c)) else { return false };
    tell(tally, line, &late);
    for (late, target) in late.into_iter().zip(targets) {
        match &mut plan.layouts[form].shape {
            Shape::Labelled(l) => {
                l.strangers.retain(|s| *s != late.name);
                l.targets.insert(late.name, Some(target));
            }
            Shape::Pairs(p) => {
                p.strangers.retain(|s| *s != late.name);
                p.fields.insert(late.name, target);
            }
            Shape::Columns(_) => {}
        }
    }
    true
}

/// The scale of a quantity in a form, from a sensor that has it.
fn scale_of(plan: &ReadingPlan, form: usize, quantity: Quantity) -> Option<Scale> {
    plan.layouts[form].targets.iter().find_map(|t| match t.role {
        Role::Value { column, scale } if plan.columns[column].quantity == quantity => Some(scale),
        _ => None,
    })
}

fn of_mark(
    plan: &ReadingPlan,
    form: usize,
    field: usize,
    like: Option<usize>,
    sensor: String,
    label: Option<Label>,
) -> Option<Late> {
    let (quantity, sensor) = match label {
        Some(Label { meaning: Meaning::Reading(q), sensor: own, .. }) => {
            let parts = [sensor, own];
            let named: Vec<String> = parts.into_iter().filter(|p| !p.is_empty()).collect();
            (q, named.join("_"))
        }
        Some(_) => return None,
        None => match plan.layouts[form].targets[like?].role {
            Role::Value { column, .. } => (plan.columns[column].quantity, sensor),
            _ => return None,
        },
    };
    let air = matches!(quantity, Quantity::Temperature | Quantity::RelativeHumidity);
    let scale = scale_of(plan, form, quantity).filter(|_| air && !sensor.is_empty())?;
    Some(Late {
        field,
        name: String::new(),
        column: Column { sensor, quantity, share: false },
        scale,
    })
}

/// A label or a key of a sensor that has a name. What only a unit tells may be the rest of a cut line.
fn of_name(plan: &ReadingPlan, form: usize, name: String) -> Option<Late> {
    let Label { meaning: Meaning::Reading(quantity), sensor, implied: false, .. } = label(&name)
    else {
        return None;
    };
    let air = matches!(quantity, Quantity::Temperature | Quantity::RelativeHumidity);
    let scale = scale_of(plan, form, quantity).filter(|_| air && !sensor.is_empty())?;
    Some(Late { field: 0, name, column: Column { sensor, quantity, share: false }, scale })
}

/// Gives late fields columns and uses; none where the output has no place for them.
fn take(
    plan: &mut ReadingPlan,
    form: usize,
    late: &[Late],
    room: impl FnOnce(&[Column]) -> bool,
) -> Option<Vec<usize>> {
    let mut new: Vec<Column> = Vec::new();
    for l in late {
        if !plan.columns.contains(&l.column) && !new.contains(&l.column) {
            new.push(l.column.clone());
        }
    }
    if late.is_empty() || !(new.is_empty() || room(&new)) {
        return None;
    }
    plan.columns.extend(new);
    let columns = &plan.columns;
    let targets = &mut plan.layouts[form].targets;
    let place = |c: &Column| columns.iter().position(|o| o == c).unwrap_or(0);
    let uses = late.iter().map(|l| {
        let role = Role::Value { column: place(&l.column), scale: l.scale };
        targets.push(ColumnUse { name: l.name.clone(), role });
        targets.len() - 1
    });
    Some(uses.collect())
}

fn tell(tally: &mut Tally, line: u64, late: &[Late]) {
    let mut sensors: Vec<&str> = late.iter().map(|l| l.column.sensor.as_str()).collect();
    sensors.dedup();
    let what = format!("a sensor that comes late: {}", sensors.join(", "));
    tally.note("late", line, &what);
}

/// A header after the first lines with the known columns in another order, or with some of them: the form of the rows
/// after it.
pub(super) fn header(
    plan: &mut ReadingPlan,
    tally: &mut Tally,
    now: usize,
    (number, body): (u64, &str),
) -> Option<usize> {
    let Shape::Columns(form) = &plan.layouts[now].shape else { return None };
    let names = columns::names(body, form.separator)?;
    let known = |name: &String| {
        let all = plan.layouts.iter().filter(|l| l.pivot.is_none()).flat_map(|l| &l.targets);
        all.into_iter().find(|t| t.name.eq_ignore_ascii_case(name))
    };
    let mut targets: Vec<ColumnUse> = Vec::new();
    for name in &names {
        let ignored =
            || ColumnUse { name: name.clone(), role: Role::Ignored("came later".to_owned()) };
        targets.push(known(name).cloned().unwrap_or_else(ignored));
    }
    let value = |t: &ColumnUse| matches!(t.role, Role::Value { .. });
    if !targets.iter().any(value) || names.len() < 2 {
        return None;
    }
    let late: Vec<&str> = targets
        .iter()
        .filter(|t| matches!(&t.role, Role::Ignored(why) if why == "came later"))
        .map(|t| t.name.as_str())
        .collect();
    if !late.is_empty() {
        let what = format!(
            "a new header; its columns that no line named before are left out: {}",
            late.join(", ")
        );
        tally.note("new-header", number, &what);
    }
    let uses = targets.iter().map(use_of).collect();
    let shape = Shape::Columns(columns::Columns {
        header: Some(body.trim().to_owned()),
        uses,
        ..form.clone()
    });
    let layout = Layout { shape, targets, pivot: None, ..plan.layouts[now].clone() };
    plan.layouts.push(layout);
    Some(plan.layouts.len() - 1)
}
