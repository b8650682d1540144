//! Options to type, tried on the lines before they are printed.

use super::bytes::Line;
use super::complaint::{Attempt, Question};
use super::decide::{ReadingPlan, decide};
use super::options::ImportOptions;
use super::run::Run;
use super::sink::{Head, Row, Sink};
use crate::measured::Quantity;
use crate::physics::constants::STANDARD_PRESSURE;
use crate::physics::moist_air::{humidity_ratio, saturation_any_in_air_pa};
use crate::reader::Issue;
use crate::units::c_from_k;

/// The readings of the sample under a plan, in the order of the lines and without their times.
#[derive(Clone, Debug)]
pub struct Trial {
    /// Values of each reading in SI.
    pub rows: Vec<Vec<f64>>,
    /// Their times \[s\], as far as they have any.
    pub times: Vec<Option<f64>>,
    /// What each column holds.
    pub quantities: Vec<Quantity>,
    /// Segments of the time: more than one where a counter starts anew.
    pub segments: u32,
}

struct Nowhere;

impl Sink for Nowhere {
    const ONE_AXIS: bool = false;

    fn begin(&mut self, _: &Head) -> std::io::Result<()> {
        Ok(())
    }

    fn row(&mut self, _: Row) -> std::io::Result<()> {
        Ok(())
    }
}

/// Reads the lines under a plan.
pub fn trial(lines: &[Line], plan: &ReadingPlan, options: &ImportOptions) -> Trial {
    let mut run = Run::new(plan.clone(), options);
    run.seen = Some(Vec::new());
    for line in lines {
        // Nothing is written, so nothing can fail.
        let _ = run.line(line, &mut Nowhere);
    }
    let _ = run.finish(&mut Nowhere);
    let quantities = plan.columns.iter().map(|c| c.quantity).collect();
    let (times, rows) = run.seen.take().unwrap_or_default().into_iter().unzip();
    Trial { rows, times, quantities, segments: run.gate.segments() }
}

/// Room air and boxes near it [°C]: where a log begins, as a rule (common practice).
const STARTS_C: std::ops::RangeInclusive<f64> = 4.0..=45.0;
/// What a drying box can have [°C].
const BOX_C: std::ops::RangeInclusive<f64> = -30.0..=130.0;
/// Wettest air in a box that is open to the room, water beside dry air: a dew point of 60 °C.
const WETTEST: f64 = 0.15;
/// Share of the readings that must be plausible and complete.
const MOST: f64 = 0.9;

impl Trial {
    fn column(&self, quantity: Quantity) -> Option<usize> {
        self.quantities.iter().position(|q| *q == quantity)
    }

    /// The first value of the first column of this quantity.
    pub fn first(&self, quantity: Quantity) -> Option<f64> {
        let i = self.column(quantity)?;
        self.rows.iter().map(|r| r[i]).find(|v| v.is_finite())
    }

    /// Whether nearly all readings are complete and of air that a box can have, and start near that of a room.
    pub fn is_plausible(&self) -> bool {
        let columns = [Quantity::Temperature, Quantity::RelativeHumidity].map(|q| self.column(q));
        let whole = |r: &&Vec<f64>| columns.iter().flatten().all(|i| r[*i].is_finite());
        let some = |r: &&Vec<f64>| columns.iter().flatten().any(|i| r[*i].is_finite());
        let count =
            |test: &dyn Fn(&&Vec<f64>) -> bool| self.rows.iter().filter(test).count() as f64;
        let first = self.first(Quantity::Temperature).map(c_from_k);
        first.is_some_and(|c| STARTS_C.contains(&c))
            && count(&whole) >= MOST * count(&some)
            && self.is_possible()
    }

    /// Whether nearly all readings are of air that a box can have.
    pub fn is_possible(&self) -> bool {
        let Some(t) = self.column(Quantity::Temperature) else { return true };
        let rh = self.column(Quantity::RelativeHumidity);
        let dry = |temp_k: f64, rh: f64| {
            let vapour = rh * saturation_any_in_air_pa(temp_k, STANDARD_PRESSURE);
            vapour < 0.5 * STANDARD_PRESSURE && humidity_ratio(vapour, STANDARD_PRESSURE) < WETTEST
        };
        let good = |r: &&&Vec<f64>| {
            let humid = rh.map_or(f64::NAN, |h| r[h]);
            BOX_C.contains(&c_from_k(r[t])) && (humid.is_nan() || dry(r[t], humid))
        };
        let there: Vec<&Vec<f64>> = self.rows.iter().filter(|r| r[t].is_finite()).collect();
        there.iter().filter(good).count() as f64 >= MOST * there.len() as f64
    }

    /// What a reader can check: where it starts.
    fn shown(&self) -> String {
        let t = self.first(Quantity::Temperature).map(|v| format!("{:.1} °C", c_from_k(v)));
        let rh = self.first(Quantity::RelativeHumidity).map(|v| format!("{:.1} %RH", 100.0 * v));
        let parts: Vec<String> = t.into_iter().chain(rh).collect();
        if parts.is_empty() { "no reading".to_owned() } else { parts.join(", ") }
    }
}

/// What to type: what is proven on the lines, else what is possible, said so.
pub fn advise(file: &str, lines: &[Line], attempts: &[Attempt]) -> String {
    let tried: Vec<(&Attempt, Trial)> = attempts
        .iter()
        .filter_map(|a| {
            let plan = decide(file, lines, &a.options).ok()?;
            Some((a, trial(lines, &plan, &a.options)))
        })
        .collect();
    let proven: Vec<&(&Attempt, Trial)> = tried.iter().filter(|(_, t)| t.is_plausible()).collect();
    let with = |(a, t): &(&Attempt, Trial)| format!("{}  (starts at {})", a.text, t.shown());
    match proven[..] {
        [one] => format!("Say which:  {}", with(one)),
        [_, _, ..] => {
            let all: Vec<String> = proven.iter().map(|p| with(p)).collect();
            format!("More than one is possible; say which:  {}", all.join("\n     or  "))
        }
        [] => match tried.first() {
            Some(one) => {
                format!("A possibility, which gives no plausible readings of a box:  {}", with(one))
            }
            None => match attempts.first() {
                Some(a) => format!("A possibility, not proven on these lines:  {}", a.text),
                None => "name the columns from the left:  --columns time,temp_c,rh".to_owned(),
            },
        },
    }
}

/// A question as an error, with what its attempts gave on the lines.
pub fn asked(file: &str, lines: &[Line], question: Question) -> Issue {
    let Question { issue, attempts } = question;
    if attempts.is_empty() {
        return issue;
    }
    Issue { hint: Some(advise(file, lines, &attempts)), ..issue }
}
