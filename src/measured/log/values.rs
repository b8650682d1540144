//! From cells to readings in SI: sentinels, power-on values and impossible ones are set aside.

use super::complaint::Tally;
use super::decide::uses::{ColumnUse, Role, Scale, quantity_word};
use super::ledger::Class;
use super::lex::Unit;
use super::shapes::Cell;
use super::sink::Column;
use crate::measured::Quantity;
use crate::units::{c_from_k, k_from_c};

/// Temperatures \[°C\] that common sensors give instead of a reading: no bus, no data, power-on.
const SENTINELS_C: [f64; 6] = [-127.0, -999.0, -9999.0, 998.0, 999.0, 85.0];
/// The raw value 0 of a common kind of sensor in °C.
const RAW_ZERO_C: f64 = -45.0;
/// Range of a sensor near a drying box \[°C\].
const RANGE_C: std::ops::RangeInclusive<f64> = -60.0..=200.0;
/// A good sensor may show a little more than saturation.
const MOST_RH: f64 = 1.05;
/// A reading this near the one before is no sentinel \[K\].
const NEAR_K: f64 = 10.0;

/// Turns cells into the values of a row.
#[derive(Clone, Debug)]
pub struct Values {
    columns: Vec<Column>,
    /// The temperature before, per column.
    before: Vec<f64>,
    /// Columns of the air: what makes a reading complete.
    vital: Vec<usize>,
}

impl Values {
    /// For rows of these columns.
    #[must_use]
    pub fn new(columns: &[Column]) -> Self {
        let air = |q| matches!(q, Quantity::Temperature | Quantity::RelativeHumidity);
        let place = |test: &dyn Fn(Quantity) -> bool| {
            (0..columns.len()).filter(|i| test(columns[*i].quantity)).collect::<Vec<_>>()
        };
        let vital = place(&air);
        let vital = if vital.is_empty() { place(&|_| true) } else { vital };
        Self { columns: columns.to_vec(), before: vec![f64::NAN; columns.len()], vital }
    }

    /// Whether one of the cells is for a vital column.
    #[must_use]
    pub fn is_vital(&self, targets: &[ColumnUse], cells: &[(usize, Cell)]) -> bool {
        cells.iter().any(|(t, _)| match targets[*t].role {
            Role::Value { column, .. } => self.vital.contains(&column),
            _ => false,
        })
    }

    /// Values of a row, and how complete it is.
    pub fn row(
        &mut self,
        targets: &[ColumnUse],
        cells: &[(usize, Cell)],
        line: u64,
        tally: &mut Tally,
    ) -> (Vec<f64>, Class) {
        let mut values = vec![f64::NAN; self.columns.len()];
        for (target, cell) in cells {
            if let Role::Value { column, scale } = targets[*target].role {
                values[column] = self.value(column, scale, cell, line, tally);
            }
        }
        self.zero_pairs(&mut values, line, tally);
        for (column, value) in values.iter().enumerate() {
            if self.columns[column].quantity == Quantity::Temperature && value.is_finite() {
                self.before[column] = *value;
            }
        }
        let there = self.vital.iter().filter(|c| values[**c].is_finite()).count();
        let class = match there {
            0 => Class::Failed,
            n if n == self.vital.len() => Class::Reading,
            _ => Class::Partial,
        };
        (values, class)
    }

    fn value(&self, column: usize, scale: Scale, cell: &Cell, line: u64, tally: &mut Tally) -> f64 {
        let quantity = self.columns[column].quantity;
        let typed = match (cell, scale) {
            (Cell::Missing, _) => return f64::NAN,
            (Cell::Number(v, _), Scale::Switch(full)) => {
                let share = v / full;
                if (0.0..=1.0).contains(&share) {
                    return share;
                }
                aside(quantity, &format!("{v}"), "outside its range", line, tally);
                return f64::NAN;
            }
            (Cell::Word(word), Scale::Switch(_)) if switch(word).is_some() => {
                return switch(word).unwrap_or(f64::NAN);
            }
            (Cell::Number(v, unit), Scale::Unit(planned)) => (*v, fitting(*unit, planned)),
            (Cell::Word(word), _) => {
                let shown: String = word.chars().take(30).collect();
                aside(quantity, &format!("{shown:?}"), "no value", line, tally);
                return f64::NAN;
            }
            (Cell::Stamp(_), _) => {
                aside(quantity, "a clock", "no value", line, tally);
                return f64::NAN;
            }
        };
        let si = typed.1.to_si(typed.0);
        match self.fault(column, typed.0, si) {
            None => si,
            Some(why) => {
                let shown = format!("{} {}", typed.0, typed.1.shown());
                aside(quantity, &shown, why, line, tally);
                f64::NAN
            }
        }
    }

    /// Why a value is no reading.
    fn fault(&self, column: usize, typed: f64, si: f64) -> Option<&'static str> {
        let outside = Some("outside its range");
        match self.columns[column].quantity {
            Quantity::Temperature => {
                let far = |c: f64| {
                    let before = self.before[column];
                    !(before.is_finite() && (before - k_from_c(c)).abs() < NEAR_K)
                };
                let sentinel = SENTINELS_C.contains(&typed) || typed == RAW_ZERO_C;
                if sentinel && far(typed) {
                    return Some("what a sensor gives without a reading");
                }
                if RANGE_C.contains(&c_from_k(si)) { None } else { outside }
            }
            Quantity::RelativeHumidity => {
                if (0.0..=MOST_RH).contains(&si) {
                    None
                } else {
                    outside
                }
            }
            Quantity::Pressure => {
                if super::options::PRESSURES.contains(&si) {
                    None
                } else {
                    outside
                }
            }
            _ => (!si.is_finite()).then_some("no number"),
        }
    }

    /// 0 °C at 0 % is what a logger prints when a read fails.
    fn zero_pairs(&self, values: &mut [f64], line: u64, tally: &mut Tally) {
        for i in 0..values.len() {
            let c = &self.columns[i];
            if c.quantity != Quantity::RelativeHumidity || values[i] != 0.0 {
                continue;
            }
            let warm = |o: &Column| o.sensor == c.sensor && o.quantity == Quantity::Temperature;
            let Some(t) = self.columns.iter().position(warm) else { continue };
            if values[t] == k_from_c(0.0) || values[t].is_nan() {
                values[i] = f64::NAN;
                values[t] = f64::NAN;
                tally.note("zeros", line, "0 °C and 0 % together set aside: a failed read");
            }
        }
    }
}

/// The unit in the cell if it is of the planned kind.
fn fitting(unit: Option<Unit>, planned: Unit) -> Unit {
    unit.filter(|u| u.implies() == planned.implies()).unwrap_or(planned)
}

fn aside(quantity: Quantity, shown: &str, why: &str, line: u64, tally: &mut Tally) {
    // The same fault with many values is counted once.
    let what = match why {
        "outside its range" => {
            format!("{} set aside, {why} (such as {shown})", quantity_word(quantity))
        }
        _ => format!("{} of {shown} set aside: {why}", quantity_word(quantity)),
    };
    tally.note_like(why_code(quantity, why), line, &what);
}

fn why_code(quantity: Quantity, why: &str) -> &'static str {
    match (why, quantity) {
        ("outside its range", Quantity::Temperature) => "temperature-range",
        ("outside its range", Quantity::RelativeHumidity) => "humidity-range",
        ("outside its range", _) => "value-range",
        ("no value", _) => "not-a-number",
        _ => "sentinel",
    }
}

/// A switch in words.
fn switch(word: &str) -> Option<f64> {
    match word.to_lowercase().as_str() {
        "on" | "true" | "yes" | "high" | "an" | "ein" => Some(1.0),
        "off" | "false" | "no" | "low" | "aus" => Some(0.0),
        _ => None,
    }
}
