//! A look at the readings: those in another unit than stated show at the box at rest.

use super::data::{Compared, Observed};
use super::problem::BoxFit;
use crate::reader::Issue;
use crate::units::c_from_k;

/// How long after the start a box still is as it was at rest \[s\]. Our choice.
const AT_REST_S: f64 = 30.0;

/// How far a reading of a box at rest may be off the temperature that is stated for it \[K\]: sensor
/// and note together. Our choice.
const REST_NEAR_K: f64 = 5.0;

/// How far it must be off as it stands \[K\]. Our choice: five times the above.
const REST_FAR_K: f64 = 25.0;

/// Rise of the converted readings from which on the box was heated after that, rather than held at
/// what it was \[K\]. Our choice.
const HEATED_K: f64 = 5.0;

/// Misfit from which on another unit is suspected, where the first reading does not tell \[K\].
const FAR_K: f64 = 8.0;

/// Part of the misfit that must be left after the conversion.
const NEAR: f64 = 0.4;

/// Misfit over the uncertainty below which a series is as good as fitted. Our choice.
const FITTED: f64 = 3.0;

fn celsius_of_fahrenheit(f: f64) -> f64 {
    (f - 32.0) / 1.8
}

/// Temperatures in °F taken for °C, by the readings alone: the first, of the box at rest, is what the
/// scenario states for the start in °F and far from it in °C; after it the box is heated, and never
/// becomes colder. No free value of the model has a say in it.
pub(super) fn fahrenheit(run: &str, hint: &str, observed: &[Observed], rest_k: f64) -> Vec<Issue> {
    let rest = c_from_k(rest_k);
    let certain = |o: &&Observed| {
        let good = |(t, v): (&f64, &f64)| (*t >= 0.0 && v.is_finite()).then_some((*t, *v));
        let all: Vec<(f64, f64)> = o.times_s.iter().zip(&o.values).filter_map(good).collect();
        let Some((t, first)) = all.first().copied() else { return false };
        let converted = || all.iter().map(|(_, v)| celsius_of_fahrenheit(*v));
        let least = converted().fold(f64::INFINITY, f64::min);
        let most = converted().fold(f64::NEG_INFINITY, f64::max);
        let own = celsius_of_fahrenheit(first);
        t <= AT_REST_S
            && (own - rest).abs() <= REST_NEAR_K
            && first - rest >= REST_FAR_K
            && least >= rest - REST_NEAR_K
            && most - own >= HEATED_K
    };
    let issue = |o: &Observed| {
        let good = o.times_s.iter().zip(&o.values).find(|(t, v)| **t >= 0.0 && v.is_finite());
        let first = good.map_or(f64::NAN, |(_, v)| *v);
        let what = format!(
            "{} looks like degrees Fahrenheit read as °C: its first reading is {first:.1}, where the box \
             starts at {rest:.1} °C = {:.1} °F",
            o.name,
            1.8 * rest + 32.0
        );
        let hint = format!(
            "{hint}; if they are °C, the box was warm at the start: --set \"start.temperature={first:.1} °C\""
        );
        Issue::of_file("suspect-fahrenheit", run, what, &hint)
    };
    let series =
        observed.iter().filter(|o| o.unit == "°C" && matches!(o.target, Compared::Column(_)));
    series.filter(certain).map(issue).collect()
}

/// Series in °C that the fit cannot meet, and that came much nearer to the model once converted from
/// °F, where it started or where it ended.
pub(super) fn warnings(fit: &BoxFit, best: &[f64]) -> Vec<String> {
    let start: Vec<f64> = fit.parameters().iter().map(|p| p.start).collect();
    let all = |p: &[f64]| -> Option<Vec<Vec<f64>>> {
        let each: Option<Vec<_>> = (0..fit.runs()).map(|k| fit.modelled(k, p).ok()).collect();
        each.map(|runs| runs.concat())
    };
    let (Some(ended), Some(started)) = (all(best), all(&start)) else { return Vec::new() };
    let mut out = Vec::new();
    for (((run, o), ended), started) in fit.series().zip(&ended).zip(&started) {
        let uncertain: Vec<f64> = o.values.iter().zip(&o.u).map(|(v, u)| v / u).collect();
        let modelled: Vec<f64> = ended.iter().zip(&o.u).map(|(m, u)| m / u).collect();
        let met = rms(&uncertain, &modelled, |v| v) <= FITTED;
        if o.unit != "°C" || !matches!(o.target, Compared::Column(_)) || met {
            continue;
        }
        let looks = |model: &[f64]| {
            let plain = rms(&o.values, model, |v| v);
            let converted = rms(&o.values, model, celsius_of_fahrenheit);
            (plain > FAR_K && converted < NEAR * plain).then_some((plain, converted))
        };
        if let Some((plain, converted)) = looks(ended).or_else(|| looks(started)) {
            out.push(format!(
                "{run}, {}: perhaps degrees Fahrenheit read as °C: it misses the model by {plain:.0} K, and \
                 by {converted:.1} K once converted; if so, {}",
                o.name,
                fit.fahrenheit_hint(run)
            ));
        }
    }
    out
}

/// Relative humidities that look like shares of 1, at the start values.
pub(super) fn suspicious(fit: &BoxFit, start: &[f64]) -> Vec<Issue> {
    let modelled = (0..fit.runs()).filter_map(|k| fit.modelled(k, start).ok()).flatten();
    let mut issues = Vec::new();
    for ((run, o), model) in fit.series().zip(modelled) {
        let most = o.values.iter().copied().fold(0.0, f64::max);
        let least = model.iter().copied().fold(f64::INFINITY, f64::min);
        if o.unit == "%RH" && most <= 1.0 && least > 2.0 {
            let what = format!("{} never exceeds {most}, it looks like a share of 1", o.name);
            let hint = "multiply it by 100, the header says percent";
            issues.push(Issue::of_file("suspect-share", run, what, hint));
        }
    }
    issues
}

fn rms(data: &[f64], model: &[f64], convert: impl Fn(f64) -> f64) -> f64 {
    let sum: f64 = data.iter().zip(model).map(|(d, m)| (convert(*d) - m).powi(2)).sum();
    (sum / data.len().max(1) as f64).sqrt()
}
