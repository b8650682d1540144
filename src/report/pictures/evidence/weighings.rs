//! Water left at each weighing. Nothing is drawn between them as if it had been seen.

use super::{figure as framed, time_unit};
use crate::assess::{Evidence, Value, assess};
use crate::report::figure::{Dash, Figure, Panel, Series, Symbol};
use crate::report::pictures::course::colour;

/// Coverage factor of the bars.
const COVERAGE: f64 = 2.0;

pub(super) fn figure(run: &Evidence) -> Option<Figure> {
    let (_, per_s) = time_unit(run);
    let weighed = &run.weighed;
    let dry = weighed.dry_kg?;
    let start = weighed.start_kg.map(|m| (0.0, m));
    let all: Vec<_> = start.into_iter().chain(weighed.weighings.iter().copied()).collect();
    if all.len() < 2 {
        return None;
    }
    let grams = |kg: f64| 1e3 * (kg - dry.value);
    let points: Vec<(f64, f64)> = all.iter().map(|(t, m)| (t * per_s, grams(m.value))).collect();
    let reach = all.iter().map(|(_, m)| {
        let half = COVERAGE * 1e3 * m.standard.hypot(dry.standard);
        (grams(m.value) - half, grams(m.value) + half)
    });
    let mut series = vec![Series {
        name: "water remaining".into(),
        points: points.clone(),
        colour: colour::SKY,
        emphasis: weighed.continuous,
        ..Series::default()
    }];
    if !weighed.continuous {
        series[0].symbol = Some(Symbol::Dot);
        series[0].reach = reach.collect();
        series.push(Series {
            name: "joined by eye".into(),
            points,
            colour: colour::SKY,
            dash: Dash::Dot,
            width: 0.6,
            ..Series::default()
        });
    }
    let panels = vec![Panel::from_zero("Water above the dry mass", "g", series)];
    let mut clauses = dried(run);
    clauses.extend([
        "bars: ± U (k = 2) of the weighing and of the dry mass".into(),
        "what happened between two weighings was not seen".into(),
    ]);
    framed(run, "Weighings", if weighed.continuous { Vec::new() } else { clauses }, panels)
}

/// When nine tenths of the water were gone.
fn dried(run: &Evidence) -> Vec<String> {
    let found = assess(run).findings.into_iter().find(|f| f.key == "t90_min");
    match found.map(|f| f.value) {
        Some(Value::Between { low, high }) => {
            vec![format!("90 % gone between {low:.0} and {high:.0} min")]
        }
        Some(Value::AtLeast { low }) => vec![format!("90 % gone after more than {low:.0} min")],
        _ => Vec::new(),
    }
}
