//! A look at the readings before they are fitted: wrong units show in the first misfit.

use super::data::Target;
use super::problem::BoxFit;
use crate::reader::Issue;

/// Misfit from which on another unit is suspected \[K\]: no start values are so wrong by chance
/// and, converted, so right.
const FAR_K: f64 = 8.0;

/// Part of the misfit that must be left after the conversion.
const NEAR: f64 = 0.4;

/// Series that look as if they were in another unit than stated, at the start values.
pub(super) fn suspicious(fit: &BoxFit, start: &[f64]) -> Vec<Issue> {
    let modelled = (0..fit.runs()).filter_map(|k| fit.modelled(k, start).ok()).flatten();
    let mut issues = Vec::new();
    for ((run, o), model) in fit.series().zip(modelled) {
        let Target::Column(_) = &o.target else { continue };
        let misfit = |convert: &dyn Fn(f64) -> f64| rms(&o.values, &model, convert);
        let plain = misfit(&|v| v);
        if o.unit == "°C" && plain > FAR_K && misfit(&|f| (f - 32.0) / 1.8) < NEAR * plain {
            let what = format!(
                "{} looks like degrees Fahrenheit read as °C: it misses the model by {plain:.0} K, \
                 and by {:.1} K once converted",
                o.name,
                misfit(&|f| (f - 32.0) / 1.8)
            );
            let hint = fit.fahrenheit_hint(run);
            issues.push(Issue::of_file("suspect-fahrenheit", run, what, hint));
        }
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

fn rms(data: &[f64], model: &[f64], convert: &dyn Fn(f64) -> f64) -> f64 {
    let sum: f64 = data.iter().zip(model).map(|(d, m)| (convert(*d) - m).powi(2)).sum();
    (sum / data.len().max(1) as f64).sqrt()
}
