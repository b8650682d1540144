//! Water left in the loads and in the box, and the drying rate.

use super::course::{Course, LOADS, clock, colour, joined, sum};
use super::overview;
use crate::address::{Place, Quantity};
use crate::report::figure::{Dash, Figure, Panel, Series};
use crate::run::{Column, Run};

/// Least window of the rate \[s\], and least number of sample steps in it: a rate over less would
/// show the switching of the heater and the rounding of the samples.
const LEAST_WINDOW_S: f64 = 300.0;
const LEAST_STEPS: usize = 4;

pub(super) fn figure(run: &Run) -> Option<Figure> {
    let course = Course::new(run)?;
    let loads: Vec<&Column> = run.of_loads(Quantity::WaterRemaining).collect();
    if loads.is_empty() {
        return None;
    }
    let mut left: Vec<Series> = loads
        .iter()
        .zip(LOADS.iter().cycle())
        .map(|(c, &colour)| Series { emphasis: true, ..course.line(c, colour, Dash::Solid) })
        .collect();
    let in_box: Vec<&Column> = run.at(Place::Box, Quantity::WaterRemaining).into_iter().collect();
    left.extend(in_box.iter().map(|c| course.line(c, colour::INK, Dash::DashDot)));
    left.extend(overview::on_walls(&course));
    let mut panels = vec![Panel { weight: 1.2, ..Panel::from_zero("Added water", "g", left) }];
    panels.extend(rates(&course, &loads, &in_box));
    course.figure("Drying", subtitle(&course, &loads), panels)
}

/// Steps of a centred window on an even grid, and its length \[s\].
fn window(time_s: &[f64]) -> Option<(usize, f64)> {
    let step = time_s.get(1)? - time_s.first()?;
    if step <= 0.0 {
        return None;
    }
    // An even number of steps, so that the window has a sample in its middle.
    let steps = LEAST_STEPS.max((LEAST_WINDOW_S / step).ceil() as usize).next_multiple_of(2);
    (steps < time_s.len()).then_some((steps, steps as f64 * step))
}

/// Loss per hour by centred differences; no value where the window would leave the run.
fn rate(time_s: &[f64], values: &[f64], steps: usize) -> Vec<f64> {
    let half = steps / 2;
    (0..time_s.len())
        .map(|i| {
            let (Some(a), b) = (i.checked_sub(half), i + half) else { return f64::NAN };
            match (values.get(a), values.get(b), time_s.get(b)) {
                (Some(from), Some(to), Some(t)) => 3600.0 * (from - to) / (t - time_s[a]),
                _ => f64::NAN,
            }
        })
        .collect()
}

fn rates(course: &Course<'_>, loads: &[&Column], in_box: &[&Column]) -> Option<Panel> {
    let time_s = &course.run.time_s;
    let (steps, window_s) = window(time_s)?;
    let line = |name: &str, values: &[f64], colour, dash| Series {
        name: name.into(),
        points: course.points(rate(time_s, values, steps).into_iter()),
        colour,
        dash,
        ..Series::default()
    };
    let total = sum(loads, time_s.len());
    let mut series =
        vec![Series { emphasis: true, ..line("leaves the loads", &total, LOADS[0], Dash::Solid) }];
    // Thin and solid: it follows every breath of a switched box, where dashes would be noise.
    series.extend(in_box.iter().map(|c| Series {
        width: 0.6,
        ..line("leaves the box", &c.values, colour::INK, Dash::Solid)
    }));
    Some(Panel::from_zero(&format!("Drying rate, over {:.0} min", window_s / 60.0), "g/h", series))
}

fn subtitle(course: &Course<'_>, loads: &[&Column]) -> String {
    let mut clauses = vec![overview::dried(course.run)];
    let time_s = &course.run.time_s;
    if let Some((steps, _)) = window(time_s) {
        let rates = rate(time_s, &sum(loads, time_s.len()), steps);
        let most = rates.iter().enumerate().filter(|(_, r)| r.is_finite());
        if let Some((i, most)) = most.max_by(|a, b| a.1.total_cmp(b.1)) {
            clauses.push(format!("fastest {most:.2} g/h at {}", clock(time_s[i])));
        }
    }
    if let Some(e) = course.run.metric("energy_per_gram_Wh_g") {
        clauses.push(format!("{e:.1} Wh per gram removed"));
    }
    joined(clauses)
}
