//! Electric power and energy.

use super::course::{Course, colour, joined, last};
use crate::address::{Place, Quantity};
use crate::report::figure::{Band, Dash, Figure, Panel, Series};
use crate::run::{Column, Run};

/// Length of the running mean of a switched heater \[s\].
const MEAN_S: f64 = 600.0;

pub(super) fn figure(run: &Run) -> Option<Figure> {
    let course = Course::new(run)?;
    let power = run.at(Place::Heater, Quantity::Power)?;
    let energy = run.at(Place::Heater, Quantity::Energy)?;
    let mut series = vec![heater(&course, power, energy)];
    if course.switches() {
        let points = course.points(mean(&run.time_s, &energy.values).into_iter());
        let name = "10-minute mean".into();
        let mean =
            Series { name, points, colour: colour::INK, emphasis: true, ..Series::default() };
        series.extend((!mean.points.iter().all(|p| p.1.is_nan())).then_some(mean));
    }
    let panels = vec![
        Panel::from_zero("Heater power", "W", series),
        Panel::from_zero("Energy", "Wh", energies(&course)),
    ];
    course.figure("Power and energy", subtitle(&course, power), panels)
}

/// The power; of a switched heater the mean between samples, since it may switch in between.
fn heater(course: &Course<'_>, power: &Column, energy: &Column) -> Series {
    let mut base = course.swinging(power, colour::VERMILLION, Dash::Solid);
    // The running mean is a series of its own here.
    base.band = base.band.map(|b| Band { mean: false, ..b });
    if !course.switches() {
        return Series { emphasis: true, ..base };
    }
    let t = &course.run.time_s;
    let means = t.windows(2).zip(energy.values.windows(2));
    let mut means: Vec<f64> = means.map(|(t, e)| 3600.0 * (e[1] - e[0]) / (t[1] - t[0])).collect();
    means.extend(means.last().copied().or_else(|| power.values.last().copied()));
    Series { points: course.points(means.into_iter()), step: true, width: 0.6, ..base }
}

/// Mean power over a centred window, from the energy at its ends; none where it leaves the run.
fn mean(time_s: &[f64], energy_wh: &[f64]) -> Vec<f64> {
    let at = |t: f64| -> Option<f64> {
        let after = time_s.partition_point(|x| *x < t);
        let (t1, e1) = (*time_s.get(after)?, *energy_wh.get(after)?);
        if t1 <= t {
            return Some(e1);
        }
        let before = after.checked_sub(1)?;
        let (t0, e0) = (time_s[before], energy_wh[before]);
        Some(e0 + (e1 - e0) * (t - t0) / (t1 - t0))
    };
    let half = 0.5 * MEAN_S;
    let mean = |t: &f64| Some(3600.0 * (at(t + half)? - at(t - half)?) / MEAN_S);
    time_s.iter().map(|t| mean(t).unwrap_or(f64::NAN)).collect()
}

fn energies(course: &Course<'_>) -> Vec<Series> {
    let styles = [(colour::VERMILLION, Dash::Solid), (colour::SKY, Dash::Dash)];
    let columns = course.run.of(Quantity::Energy).zip(styles.into_iter().cycle());
    let mut series: Vec<Series> =
        columns.map(|(c, (colour, dash))| course.line(c, colour, dash)).collect();
    if let Some(first) = series.first_mut() {
        first.emphasis = true;
    }
    series
}

fn subtitle(course: &Course<'_>, power: &Column) -> String {
    let mut clauses = Vec::new();
    let total: f64 = course.run.of(Quantity::Energy).map(last).sum();
    let hours = course.end_s() / 3600.0;
    if hours > 0.0 {
        clauses.push(format!("{total:.0} Wh in all, on average {:.0} W", total / hours));
    }
    if let Some(most) = power.values.iter().copied().reduce(f64::max) {
        clauses.push(format!("the heater draws up to {most:.0} W"));
    }
    if course.run.effort.switchings > 0 {
        clauses.push(format!("it switches {} times", course.run.effort.switchings));
    }
    if let Some(e) = course.run.metric("energy_per_gram_Wh_g") {
        clauses.push(format!("{e:.1} Wh per gram removed"));
    }
    joined(clauses)
}
