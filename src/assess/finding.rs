//! One figure of a run: value, uncertainty, definition.

use serde::Serialize;

use crate::metric::{Bound, Metric};
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

/// Parts of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Chapter {
    /// What a simulated run says of itself.
    Run,
    /// Warm-up, overshoot, ripple, sides.
    Heating,
    /// Moist air of box and room.
    Air,
    /// What the scale says.
    Drying,
    /// Where the water went.
    Water,
    /// What the meter says.
    Energy,
    /// Outside surfaces.
    Surfaces,
    /// Sensors and their faults.
    Sensors,
}

impl Chapter {
    /// Heading of the part.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Chapter::Run => "As simulated",
            Chapter::Heating => "Heating",
            Chapter::Air => "Air",
            Chapter::Drying => "Drying",
            Chapter::Water => "Water balance",
            Chapter::Energy => "Energy",
            Chapter::Surfaces => "Outside surfaces",
            Chapter::Sensors => "Sensors",
        }
    }
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
    /// How its uncertainty was found.
    pub method: Method,
}

/// Figures that are estimated from samples by a definition other than that of the run itself.
const OTHERWISE: [&str; 3] = ["ripple_K", "hot_minus_cold_K", "air_changes_per_h"];

impl Finding {
    /// What a simulated run says of itself.
    pub(super) fn quoted(metric: &Metric) -> Self {
        let Metric { key, label, unit, definition, .. } = metric;
        let finding = Finding::new(Chapter::Run, key, label, unit, definition);
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

    /// A figure from samples beside those that the run says itself: none where that is the same, and a
    /// key of its own where it is another question.
    pub(super) fn beside(self, quoted: &[Metric]) -> Option<Self> {
        if !quoted.iter().any(|m| m.key == self.key) {
            return Some(self);
        }
        OTHERWISE.contains(&self.key.as_str()).then(|| Finding {
            key: format!("{}_from_samples", self.key),
            label: format!("{}, from samples", self.label),
            ..self
        })
    }

    /// A figure without a value yet.
    pub(super) fn new(
        chapter: Chapter,
        key: &str,
        label: &str,
        unit: &str,
        definition: &str,
    ) -> Self {
        Finding {
            chapter,
            key: key.into(),
            label: label.into(),
            value: Value::NotShown { why: "not known".into() },
            unit: unit.into(),
            definition: definition.into(),
            method: Method::Exact,
        }
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

    /// Between two observations.
    pub(super) fn between(self, low: f64, high: f64) -> Self {
        Finding { value: Value::Between { low, high }, method: Method::Censoring, ..self }
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
