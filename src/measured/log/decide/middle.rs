//! Middle values of what is typed, by which a wrong scale is seen.

use super::draft::Draft;
use super::uses::{Role, Scale, numbers};
use crate::measured::Quantity;
use crate::measured::log::lex::Unit;

/// A middle value of what is typed in a field.
#[derive(Clone, Copy, Debug)]
pub struct Middle {
    /// What it is taken for.
    pub quantity: Quantity,
    /// The value as typed.
    pub value: f64,
    /// Whether the log states the unit.
    pub stated: bool,
    /// Whether all values are whole numbers.
    pub whole: bool,
}

/// Middle values of the fields of readings of the air.
pub(super) fn middles(drafts: &[Draft]) -> Vec<Middle> {
    let mut out = Vec::new();
    for draft in drafts {
        for (i, target) in draft.targets.iter().enumerate() {
            let Role::Value { scale: Scale::Unit(unit, _), .. } = target.role else { continue };
            let Some(quantity) =
                unit.implies().or((unit == Unit::Fraction).then_some(Quantity::RelativeHumidity))
            else {
                continue;
            };
            let mut values: Vec<f64> = numbers(&draft.cells[i]).collect();
            let whole = values.iter().all(|v| v.fract() == 0.0);
            values.sort_by(f64::total_cmp);
            let Some(value) = values.get(values.len() / 2).copied() else { continue };
            if unit == Unit::Kelvin {
                continue;
            }
            out.push(Middle { quantity, value, stated: draft.labels[i].unit.is_some(), whole });
        }
    }
    out
}
