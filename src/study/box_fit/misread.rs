//! Readings in another unit than stated, as the model shows them.

use super::data::Compared;
use super::look::celsius_of_fahrenheit;
use super::problem::BoxFit;
use crate::reader::Issue;

/// Misfit from which on another unit is suspected, where the first reading does not tell \[K\].
const FAR_K: f64 = 8.0;

/// Part of the misfit that must be left after the conversion.
const NEAR: f64 = 0.4;

/// Misfit over the uncertainty below which a series is as good as fitted. Our choice.
const FITTED: f64 = 3.0;

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
