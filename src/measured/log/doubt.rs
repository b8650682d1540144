//! What a plan takes for granted and the readings contradict: scales, units, sensors that take turns.

use super::advice::{Trial, advise, trial};
use super::bytes::Line;
use super::complaint::{Attempt, error};
use super::decide::ReadingPlan;
use super::decide::uses::quantity_word;
use super::lex::Unit;
use super::options::ImportOptions;
use crate::measured::Quantity;
use crate::reader::Issue;
use crate::units::c_from_k;

/// Fails where the readings of the first lines cannot be what the plan takes them for.
pub(super) fn raise(
    file: &str,
    lines: &[Line],
    options: &ImportOptions,
    plan: &mut ReadingPlan,
) -> Result<(), Vec<Issue>> {
    let found = trial(lines, plan, options);
    plan.segments = found.segments > 1;
    let look = Look { file, lines, options, plan, found };
    let scale = look.scales();
    let unit = if scale.is_none() { look.fahrenheit() } else { None };
    let all = [scale, unit, look.turns(), look.too_fast()];
    let issues: Vec<Issue> = all.into_iter().flatten().collect();
    if issues.is_empty() { Ok(()) } else { Err(issues) }
}

/// The first lines as a plan reads them.
struct Look<'a> {
    file: &'a str,
    lines: &'a [Line],
    options: &'a ImportOptions,
    plan: &'a ReadingPlan,
    found: Trial,
}

/// Hottest and most humid middle value of a log that is in °C or °F and in percent.
const HOTTEST: f64 = 250.0;
const MOST_PERCENT: f64 = 110.0;

impl Look<'_> {
    /// Whole numbers that are too large for their units: tenths or hundredths, or kelvin.
    fn scales(&self) -> Option<Issue> {
        let middles = &self.plan.middles;
        let odd = |q: Quantity, most: f64| {
            middles.iter().find(|m| m.quantity == q && m.value.abs() > most)
        };
        let warm = odd(Quantity::Temperature, HOTTEST).filter(|m| !m.stated || m.whole);
        let warm = warm.filter(|_| {
            self.options.temperature_parts.is_none()
                && self.options.temperature_unit != Some(Unit::Kelvin)
        });
        let humid = odd(Quantity::RelativeHumidity, MOST_PERCENT)
            .filter(|_| self.options.humidity_parts.is_none());
        let first = warm.or(humid)?;
        let mut attempts = Vec::new();
        // A logger counts both in the same parts, as a rule.
        for (unit, parts) in [
            ("C", "0.01 "),
            ("C", "0.1 "),
            ("C", "0.001 "),
            ("F", "0.01 "),
            ("F", "0.1 "),
            ("K", ""),
        ] {
            let mut own = self.options.clone();
            let mut text = Vec::new();
            if warm.is_some() {
                let word = format!("{parts}{unit}");
                own.temperature_unit = ImportOptions::unit_of(&word);
                own.temperature_parts = ImportOptions::parts_of(&word);
                let quoted = if parts.is_empty() { word } else { format!("\"{word}\"") };
                text.push(format!("--temperature-unit {quoted}"));
            } else if unit != "C" {
                continue;
            }
            if humid.is_some() && !parts.is_empty() {
                let word = format!("{parts}percent");
                own.humidity_unit = ImportOptions::unit_of(&word);
                own.humidity_parts = ImportOptions::parts_of(&word);
                text.push(format!("--humidity-unit \"{word}\""));
            }
            attempts.push(Attempt { text: text.join(" "), options: own });
        }
        let what = match first.quantity {
            Quantity::Temperature => {
                format!("temperatures around {} are none in °C or °F", first.value)
            }
            _ => format!("humidities around {} are none in percent", first.value),
        };
        let why = "they may count tenths or hundredths".to_owned();
        Some(error(
            self.file,
            0,
            "scale",
            what,
            Some(why),
            advise(self.file, self.lines, &attempts),
        ))
    }

    /// Temperatures that name no unit and start as no room does in °C, but as many do in °F.
    fn fahrenheit(&self) -> Option<Issue> {
        /// A room of 10 to 35 °C in °F (common practice).
        const ROOM_F: std::ops::RangeInclusive<f64> = 50.0..=95.0;
        let open = self.plan.guesses.iter().any(|g| g.pin.starts_with("--temperature-unit"));
        let first = c_from_k(self.found.first(Quantity::Temperature)?);
        let room = ROOM_F.contains(&first) && !(first < 58.0 && self.found.is_plausible());
        // Air that no box can have asks as well, wherever it starts.
        if !open || !room && self.found.is_possible() {
            return None;
        }
        let attempts =
            [("F", Unit::Fahrenheit), ("C", Unit::Celsius)].map(|(word, unit)| Attempt {
                text: format!("--temperature-unit {word}"),
                options: ImportOptions { temperature_unit: Some(unit), ..self.options.clone() },
            });
        let what = if room {
            format!(
                "temperatures name no unit and start at {first:.1}: a room in °F, or a hot box in °C?"
            )
        } else {
            format!(
                "temperatures name no unit and start at {first:.1}: with these humidities no air of a box is like that in °C"
            )
        };
        Some(error(
            self.file,
            0,
            "temperature-unit",
            what,
            None,
            advise(self.file, self.lines, &attempts),
        ))
    }

    /// A counter whose unit is guessed, and air that warms faster than any box can: another unit is as likely.
    fn too_fast(&self) -> Option<Issue> {
        /// Fastest usual change of air near a sensor [K/s]: a strong heater in a small box does a tenth of it.
        const FASTEST: f64 = 0.5;
        let guessed = self.plan.guesses.iter().find(|g| g.pin.starts_with("--time-unit"))?;
        let t = self.found.quantities.iter().position(|q| *q == Quantity::Temperature)?;
        let all: Vec<(f64, f64)> = self
            .found
            .times
            .iter()
            .zip(&self.found.rows)
            .filter_map(|(at, r)| Some(((*at)?, r[t])))
            .filter(|(_, v)| v.is_finite())
            .collect();
        let mut rates: Vec<f64> = all
            .windows(2)
            .filter(|w| w[1].0 > w[0].0)
            .map(|w| (w[1].1 - w[0].1).abs() / (w[1].0 - w[0].0))
            .collect();
        rates.sort_by(f64::total_cmp);
        let usual =
            rates.get(rates.len() / 2).copied().filter(|r| rates.len() > 4 && *r > FASTEST)?;
        let attempts =
            [("s", Unit::Second), ("ms", Unit::Millisecond)].map(|(word, unit)| Attempt {
                text: format!("--time-unit {word}"),
                options: ImportOptions { time_unit: Some(unit), ..self.options.clone() },
            });
        let what = format!("{}; the air would change by {usual:.1} K a second", guessed.what);
        Some(error(self.file, 0, "time-unit", what, None, advise(self.file, self.lines, &attempts)))
    }

    /// Readings that jump to and fro between levels that are smooth each: sensors that take turns without a name.
    fn turns(&self) -> Option<Issue> {
        if self.options.one_sensor {
            return None;
        }
        let air = |q: &Quantity| matches!(q, Quantity::Temperature | Quantity::RelativeHumidity);
        let places =
            self.found.quantities.iter().enumerate().filter(|(_, q)| air(q)).map(|(i, _)| i);
        for i in places {
            let values: Vec<f64> =
                self.found.rows.iter().map(|r| r[i]).filter(|v| v.is_finite()).collect();
            let warm = self.found.quantities[i] == Quantity::Temperature;
            // 1 K and 1 %RH, the last digits of the coarsest sensors (common practice).
            let coarsest = if warm { 1.0 } else { 0.01 };
            let Some((count, levels)) = period(&values, coarsest) else { continue };
            let scale = if warm { 1.0 } else { 100.0 };
            let zero = if warm { c_from_k(0.0) } else { 0.0 };
            let unit = if warm { "°C" } else { "%" };
            let shown: Vec<String> =
                levels.iter().map(|v| format!("{:.1}", v * scale + zero)).collect();
            let name = quantity_word(self.found.quantities[i]);
            let sensor = &self.plan.columns[i].sensor;
            let of = if sensor.is_empty() { String::new() } else { format!(" of {sensor}") };
            let what = format!(
                "{name}{of} takes turns between {count} levels ({} {unit} at the start): {count} sensors on alternating lines?",
                shown.join(", ")
            );
            let why = "nothing on the lines says which is which".to_owned();
            let hint = "print a name on each line, such as S1: or S2:; if it is one sensor, an on/off box read twice a cycle:  --one-sensor";
            return Some(error(self.file, 0, "turns", what, Some(why), hint));
        }
        None
    }
}

/// After how many readings the levels come again, and the levels; none for a series that is smooth by itself. No sensor has
/// a last digit larger than `coarsest`.
fn period(values: &[f64], coarsest: f64) -> Option<(usize, Vec<f64>)> {
    /// Fewest readings that show it.
    const FEWEST: usize = 10;
    /// The steps from level to level must be this many times those of each level.
    const CLEAR: f64 = 4.0;
    if values.len() < FEWEST {
        return None;
    }
    let mean_step = |lag: usize| {
        let sum: f64 = values.windows(lag + 1).map(|w| (w[lag] - w[0]).abs()).sum();
        sum / (values.len() - lag) as f64
    };
    let one = mean_step(1);
    // Readings that lie between two digits go to and fro by the last one, which is no other level.
    let steps = values.windows(2).map(|w| (w[1] - w[0]).abs()).filter(|s| *s > 0.0);
    let digit = steps.fold(coarsest, f64::min);
    let count =
        (2..=4).find(|n| values.len() >= 4 * n && one > CLEAR * mean_step(*n) && one > 0.0)?;
    // Levels must keep their order throughout: noise does not.
    let start = |k: usize| values.iter().skip(k).step_by(count);
    let gap =
        (0..count).map(|k| start(k).sum::<f64>() / start(k).count() as f64).collect::<Vec<f64>>();
    let spread = gap.iter().copied().fold(f64::NEG_INFINITY, f64::max)
        - gap.iter().copied().fold(f64::INFINITY, f64::min);
    let turns = values.windows(3).filter(|w| (w[1] - w[0]) * (w[2] - w[1]) < 0.0).count();
    let most = values.len() - 2;
    let steady = count > 2 || 10 * turns >= 8 * most;
    (steady && spread > 0.25 * one && spread > 1.5 * digit)
        .then(|| (count, values[..count].to_vec()))
}
