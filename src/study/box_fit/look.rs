//! A look at the readings alone: those in another unit than stated show at the box at rest.

use super::data::{Compared, Observed};
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

pub(super) fn celsius_of_fahrenheit(f: f64) -> f64 {
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
