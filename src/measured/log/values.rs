//! From cells to readings in SI: sentinels, power-on values and impossible ones are set aside.

use super::complaint::Tally;
use super::decide::uses::{ColumnUse, Role, Scale, quantity_word};
use super::lex::{HumidityMeasure, Unit};
use super::moist::pairs;
use super::resort::{ColumnSet, bit};
use super::shapes::Cell;
use super::sink::Column;
use crate::measured::Quantity;
use crate::physics::constants::R_VAPOUR;
use crate::physics::moist_air::{saturation_any_in_air_pa, vapour_pressure_pa};
use crate::units::{c_from_k, k_from_c};

/// Temperatures \[°C\] that common sensors give instead of a reading: no bus, no data, power-on.
const SENTINELS_C: [f64; 3] = [-127.0, 85.0, 130.0];
/// Numbers that stand for no value in any unit.
const NO_VALUES: [f64; 5] = [-999.0, -9999.0, 998.0, 999.0, -127.0];
/// The raw value 0 of common kinds of sensor in °C.
const RAW_ZEROS_C: [f64; 3] = [-45.0, -46.85, -39.7];
/// Range of a sensor near a drying box \[°C\].
const RANGE_C: std::ops::RangeInclusive<f64> = -60.0..=200.0;
/// A good sensor may show a little more than saturation.
const MOST_RH: f64 = 1.05;
/// A reading this near the one before is no sentinel \[K\].
const NEAR_K: f64 = 10.0;
/// A humidity of zero after one above this is no reading.
const NEAR_RH: f64 = 0.1;

/// Turns cells into the values of a row.
#[derive(Clone, Debug)]
pub struct Values {
    columns: Vec<Column>,
    /// The reading before, per column.
    before: Vec<f64>,
    /// Places of temperature and humidity of each sensor that has both.
    pairs: Vec<(usize, usize)>,
    /// Place of the pressure in a row.
    pressure: Option<usize>,
    pressure_pa: f64,
}

impl Values {
    /// For rows of these columns, with this pressure where the log has none.
    #[must_use]
    pub fn new(columns: &[Column], pressure_pa: f64) -> Self {
        let pressure = columns.iter().position(|c| c.quantity == Quantity::Pressure);
        Self {
            columns: columns.to_vec(),
            before: vec![f64::NAN; columns.len()],
            pairs: pairs(columns).into_iter().map(|(_, t, h)| (t, h)).collect(),
            pressure,
            pressure_pa,
        }
    }

    /// Takes further columns behind those so far; these are all of them.
    pub fn widen(&mut self, columns: &[Column]) {
        let old = std::mem::replace(self, Self::new(columns, self.pressure_pa));
        self.before[..old.before.len()].copy_from_slice(&old.before);
    }

    /// Values of a row, and the columns that its cells are for.
    pub fn row(
        &mut self,
        targets: &[ColumnUse],
        cells: &[(usize, Cell)],
        line: u64,
        tally: &mut Tally,
    ) -> (Vec<f64>, ColumnSet) {
        let mut values = vec![f64::NAN; self.columns.len()];
        let mut touched = 0;
        let mut derived = false;
        for (target, cell) in cells {
            match targets[*target].role {
                Role::Value { column, scale } => {
                    touched |= bit(column);
                    values[column] = self.value(column, scale, cell, line, tally);
                }
                Role::Humidity { column, .. } => {
                    touched |= bit(column);
                    derived = true;
                }
                _ => {}
            }
        }
        if derived {
            self.humidities(targets, cells, &mut values);
        }
        self.zero_pairs(&mut values, line, tally);
        self.cold_pairs(&mut values, line, tally);
        self.dead_pairs(&cells_of(targets, cells), &mut values, line, tally);
        for (column, value) in values.iter().enumerate() {
            if value.is_finite() {
                self.before[column] = *value;
            }
        }
        (values, touched)
    }

    /// Relative humidities from dew points and contents of water.
    fn humidities(&self, targets: &[ColumnUse], cells: &[(usize, Cell)], values: &mut [f64]) {
        let own = self.pressure.map_or(f64::NAN, |p| values[p]);
        let total_pa = if own.is_finite() { own } else { self.pressure_pa };
        for (target, cell) in cells {
            let Role::Humidity { column, temperature, measure, unit } = targets[*target].role
            else {
                continue;
            };
            let Cell::Number(typed, _) = cell else { continue };
            let (temp_k, si) = (values[temperature], unit.to_si(*typed));
            let vapour_pa = match (measure, unit) {
                (HumidityMeasure::DewPoint, _) => saturation_any_in_air_pa(si, total_pa),
                (_, Unit::GramPerKilogram) => vapour_pressure_pa(si, total_pa),
                _ => si * R_VAPOUR * temp_k,
            };
            let rh = vapour_pa / saturation_any_in_air_pa(temp_k, total_pa);
            values[column] = if (0.0..=MOST_RH).contains(&rh) { rh } else { f64::NAN };
        }
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
            (Cell::Number(v, _), Scale::Plain) => return *v,
            (Cell::Number(v, unit), Scale::Unit(planned, parts)) => {
                (scaled(*v, parts), fitting(*unit, planned))
            }
            (_, Scale::Plain) => return f64::NAN,
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
                let before = self.before[column];
                let far = !(before.is_finite() && (before - si).abs() < NEAR_K);
                let c = (c_from_k(si) * 1e6).round() / 1e6;
                // A lone zero is one only where the reading before was far from it.
                let zero = c == 0.0 && before.is_finite();
                let sentinel = SENTINELS_C.contains(&c)
                    || RAW_ZEROS_C.contains(&c)
                    || NO_VALUES.contains(&typed);
                if (sentinel || zero) && far {
                    return Some("what a sensor gives without a reading");
                }
                if RANGE_C.contains(&c_from_k(si)) { None } else { outside }
            }
            Quantity::RelativeHumidity => {
                if si == 0.0 && self.before[column] > NEAR_RH {
                    return Some("what a sensor gives without a reading");
                }
                if (0.0..=MOST_RH).contains(&si) { None } else { outside }
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

    /// The lowest end of both scales at once is what a sensor gives without a reading.
    fn cold_pairs(&self, values: &mut [f64], line: u64, tally: &mut Tally) {
        for &(t, h) in &self.pairs {
            let end = values[h] >= 1.0 || values[h] == 0.0;
            if end && values[t] == k_from_c(-40.0) {
                (values[h], values[t]) = (f64::NAN, f64::NAN);
                let what = "-40 °C at an end of the humidity scale set aside: what a sensor gives without a reading";
                tally.note("sentinel", line, what);
            }
        }
    }

    /// A sensor that gives an end of its temperature scale gives one of its humidity scale as well.
    fn dead_pairs(&self, typed: &[(usize, f64)], values: &mut [f64], line: u64, tally: &mut Tally) {
        for (t, c) in typed.iter().filter(|(_, c)| *c == 130.0 || RAW_ZEROS_C.contains(c)) {
            let humidity = |o: &Column| {
                o.sensor == self.columns[*t].sensor && o.quantity == Quantity::RelativeHumidity
            };
            let Some(h) = self.columns.iter().position(humidity) else { continue };
            if values[*t].is_nan() && (values[h] > 0.99 || values[h] <= 0.0) {
                values[h] = f64::NAN;
                let what = format!(
                    "a humidity beside {c} °C set aside: what a sensor gives without a reading"
                );
                tally.note("sentinel", line, &what);
            }
        }
    }

    /// 0 °C at 0 % is what a logger prints when a read fails.
    fn zero_pairs(&self, values: &mut [f64], line: u64, tally: &mut Tally) {
        for &(t, h) in &self.pairs {
            if values[h] == 0.0 && (values[t] == k_from_c(0.0) || values[t].is_nan()) {
                (values[h], values[t]) = (f64::NAN, f64::NAN);
                tally.note("zeros", line, "0 °C and 0 % together set aside: a failed read");
            }
        }
    }
}

/// The temperatures among cells as typed, with their columns.
fn cells_of(targets: &[ColumnUse], cells: &[(usize, Cell)]) -> Vec<(usize, f64)> {
    let one = |(t, cell): &(usize, Cell)| match (&targets[*t].role, cell) {
        (Role::Value { column, scale: Scale::Unit(Unit::Celsius, _) }, Cell::Number(v, _)) => {
            Some((*column, *v))
        }
        _ => None,
    };
    // Hardly any reading is one of these: nothing is built for the others.
    let dead = |(_, v): &(usize, f64)| *v == 130.0 || RAW_ZEROS_C.contains(v);
    cells.iter().filter_map(one).filter(dead).collect()
}

/// A whole number of tenths or hundredths in full units; divided, so that 2215 is 22.15 to the last digit.
fn scaled(value: f64, parts: f64) -> f64 {
    if parts == 1.0 { value } else { value / (1.0 / parts).round() }
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
