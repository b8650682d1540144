//! One figure of a run: value, uncertainty, definition.

use serde::Serialize;

pub use crate::metric::Chapter;
use crate::metric::{self, Bound, FromReadings, Metric};
use crate::uncertainty::{Estimate, Evaluated, Method};

/// What is known of a figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Value {
    /// A value with its standard uncertainty.
    Estimate(Estimate),
    /// A sampled value with the shortest interval that holds 95 %.
    Sampled {
        /// Mean and standard deviation of the draws.
        estimate: Estimate,
        /// Low and high end.
        interval: (f64, f64),
    },
    /// Somewhere between two observations.
    Between {
        /// Low end.
        low: f64,
        /// High end.
        high: f64,
    },
    /// At least this.
    AtLeast {
        /// Low end.
        low: f64,
    },
    /// At most this.
    AtMost {
        /// High end.
        high: f64,
    },
    /// Words instead of a number.
    Words {
        /// What is to be said.
        words: String,
    },
    /// The run does not show it.
    NotShown {
        /// Why.
        why: String,
    },
}

/// One figure of a run.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// Where it stands.
    pub chapter: Chapter,
    /// Short key, such as `t90_min`.
    pub key: String,
    /// Words for a table.
    pub label: String,
    /// What is known.
    pub value: Value,
    /// Unit.
    pub unit: String,
    /// What exactly it is.
    pub definition: String,
    /// How far readings tell it.
    pub interval: String,
    /// How its uncertainty was found.
    pub method: Method,
}

impl Finding {
    /// What a simulated run says of itself.
    pub(super) fn quoted(metric: &Metric) -> Self {
        let finding = Finding::titled(Chapter::Run, metric.clone());
        let value = match (metric.value, metric.bound) {
            (Some(value), None) => Value::Estimate(Estimate::exact(value)),
            (Some(low), Some(Bound::AtLeast)) => Value::AtLeast { low },
            (Some(high), Some(Bound::AtMost)) => Value::AtMost { high },
            (None, _) => {
                return finding
                    .missing(metric.why.as_deref().unwrap_or("the run does not say why"));
            }
        };
        Finding { value, ..finding }
    }

    /// A figure without a value yet, by its key in the table of metrics.
    pub(super) fn new(key: &str) -> Self {
        Finding::of(key, &[])
    }

    /// The same, with what stands in its slots.
    pub(super) fn of(key: &str, words: &[(&str, &str)]) -> Self {
        let row = metric::definition(key);
        let interval = row.interval.clone();
        Finding { interval, ..Finding::titled(row.chapter, row.metric(words)) }
    }

    fn titled(chapter: Chapter, title: Metric) -> Self {
        let Metric { key, label, unit, definition, .. } = title;
        let value = Value::NotShown { why: "not known".into() };
        let (interval, method) = (String::new(), Method::Exact);
        Finding { chapter, key, label, value, unit, definition, interval, method }
    }

    /// As one sensor shows it.
    pub(super) fn at(self, sensor: &str) -> Self {
        Finding { label: format!("{} ({sensor})", self.label), ..self }
    }

    /// With an estimate.
    pub(super) fn estimate(self, value: Estimate) -> Self {
        let method = if value.standard == 0.0 { Method::Exact } else { Method::Propagation };
        Finding { value: Value::Estimate(value), method, ..self }
    }

    /// With a value whose method was chosen; `factor` takes it to the unit of the figure.
    pub(super) fn evaluated(self, value: Option<Evaluated>, factor: f64) -> Self {
        let Some(found) = value else { return self.missing("these inputs allow no value") };
        let estimate = found.estimate.scaled(factor);
        let interval = (factor * found.interval.0, factor * found.interval.1);
        let value = match found.method {
            Method::Sampling => Value::Sampled { estimate, interval },
            _ => Value::Estimate(estimate),
        };
        Finding { value, method: found.method, ..self }
    }

    /// With what readings tell, in units of `unit`; else why they do not.
    pub(super) fn found(self, found: Option<FromReadings>, unit: f64, why: &str) -> Self {
        let value = match found {
            None => return self.missing(why),
            Some(FromReadings::Value(found)) => return self.estimate(found.scaled(1.0 / unit)),
            Some(FromReadings::Between(low, high)) => {
                Value::Between { low: low / unit, high: high / unit }
            }
            Some(FromReadings::AtLeast(low)) => Value::AtLeast { low: low / unit },
        };
        Finding { value, method: Method::Censoring, ..self }
    }

    /// With words.
    pub(super) fn words(self, words: impl Into<String>) -> Self {
        Finding { value: Value::Words { words: words.into() }, ..self }
    }

    /// Without a value, and why.
    pub(super) fn missing(self, why: impl Into<String>) -> Self {
        Finding { value: Value::NotShown { why: why.into() }, ..self }
    }

    /// By another method.
    pub(super) fn by(self, method: Method) -> Self {
        Finding { method, ..self }
    }

    /// What exactly it is, and how far readings tell it.
    #[must_use]
    pub fn meaning(&self) -> String {
        let parts = [self.definition.as_str(), self.interval.as_str()];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("; ")
    }

    /// The middle of what is known, for tables of many runs.
    #[must_use]
    pub fn middle(&self) -> Option<f64> {
        match &self.value {
            Value::Estimate(e) | Value::Sampled { estimate: e, .. } => Some(e.value),
            Value::Between { low, high } => Some(0.5 * (low + high)),
            _ => None,
        }
    }
}
