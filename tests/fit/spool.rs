//! A spool that is weighed while it dries, fitted: the gaps of its winding and its diffusivity come
//! out, or the answer says that only a combination of them is known.

use crate::common::{bundled_text, replaced, scenario};
use crate::kit::{Dice, free, noisy, source};
use drybench::study::box_fit::{BoxFit, Observed, ParameterRow, RunData, Settings, solve};

/// What the weighed spool has; the scenario holds the table's 0.12 and 1.5e-13 m2/s.
const GAPS: f64 = 0.18;
const DIFFUSIVITY: f64 = 2.1e-13;
/// A kitchen scale reads 1 kg to about this \[g\].
const SCALE_G: f64 = 0.1;
const WEIGHED: &str = "spool_mass_change_g";
const FREE: [&str; 2] =
    ["load.spool.winding_diffusion=0.03..0.6", "load.spool.diffusivity=2e-14..2e-12"];

/// The bundled box, coarser in layers and shells: the same in the truth and in the fit.
fn boxed(more: &str) -> String {
    let text = bundled_text("spool_polyamide.toml");
    let more = format!("polymer = \"PA6\"\nlayers = 6\nshells = 4\n{more}");
    replaced(&text, "polymer  = \"PA6\"", &more)
}

/// Weighings of a spool with this much filament at some hours, with the noise of the scale.
fn weighed(mass: &str, hours: &[f64], seed: u64) -> RunData {
    let own = format!("winding_diffusion = {GAPS}\ndiffusivity = {DIFFUSIVITY:e}");
    let text = replaced(&boxed(&own), "\"1 kg\"", &format!("\"{mass}\""));
    let times: Vec<f64> = hours.iter().map(|h| 3600.0 * h).collect();
    let readings = noisy(&scenario(&text), WEIGHED, &times, SCALE_G, &mut Dice::new(seed));
    RunData {
        name: mass.into(),
        sets: vec![("load.spool.mass".into(), mass.into())],
        observed: vec![Observed { correlation_s: Some(0.0), ..readings }],
        ..RunData::default()
    }
}

/// The ends of the intervals over each other, for gaps and diffusivity, infinite where one is open;
/// both hold the truth.
fn widths(runs: &[RunData]) -> [f64; 2] {
    let text = boxed("");
    let mut problem = BoxFit::new(&source(&text), free(&FREE, &text), runs).expect("a problem");
    let settings = Settings { more_starts: 0, ..Settings::default() };
    let found = solve(&mut problem, &settings).expect("a fit");
    assert!(found.optimum, "{:?}", found.warnings);
    let width = |(p, truth): (&ParameterRow, f64)| {
        println!("{} = {} ({}); truth {truth:e}", p.name, p.text, p.interval);
        let (low, high) = (p.low.unwrap_or(0.0), p.high.unwrap_or(f64::INFINITY));
        assert!(low <= truth && truth <= high, "{}: {low:e} to {high:e}", p.name);
        high / low
    };
    let all: Vec<f64> = found.parameters.iter().zip([GAPS, DIFFUSIVITY]).map(width).collect();
    [all[0], all[1]]
}

const HOURS: [f64; 12] = [1.0, 2.0, 3.0, 4.5, 6.0, 8.0, 11.0, 14.0, 20.0, 26.0, 36.0, 47.0];

#[test]
fn weighings_of_a_full_spool_give_gaps_and_diffusivity_roughly_and_a_nearly_empty_one_makes_them_sharp()
 {
    // A full spool alone: a faster filament makes up for narrower gaps over more than a factor of two.
    let full = weighed("1 kg", &HOURS, 11);
    let [gaps, diffusivity] = widths(std::slice::from_ref(&full));
    assert!((1.5..3.0).contains(&gaps) && (2.0..5.0).contains(&diffusivity));
    // In a thin winding the gaps hardly matter, so it tells the filament.
    let [gaps, diffusivity] = widths(&[full, weighed("200 g", &HOURS, 12)]);
    assert!(gaps < 1.3 && diffusivity < 1.3, "{gaps} {diffusivity}");
}

#[test]
fn five_weighings_of_one_evening_leave_the_diffusivity_open_to_above() {
    let evening = weighed("1 kg", &[0.5, 1.0, 2.0, 3.0, 4.0], 13);
    let [gaps, diffusivity] = widths(&[evening]);
    assert!(gaps > 2.5 && diffusivity == f64::INFINITY, "{gaps} {diffusivity}");
}
