//! Water below its freezing point, which stays liquid in this model.

use super::{Column, Run};
use crate::model::Model;

/// Water that counts \[g\]: what can be seen and felt. Our choice.
const LEAST_G: f64 = 0.1;

/// A warning if a wet wall or load is below 0 °C at a sample.
pub(super) fn warning(run: &Run, model: &Model) -> Option<String> {
    let zones = model.zones().iter().map(|z| {
        let (film, face) = (format!("wall_{}_film_g", z.name), format!("wall_{}_inside_C", z.name));
        (format!("the {} wall", z.name), film, face)
    });
    let loads = model.landmarks.loads.iter().filter(|l| l.added_kg > 0.0).map(|l| {
        let (left, own) = (format!("{}_water_left_g", l.name), format!("{}_temperature_C", l.name));
        (l.name.clone(), left, own)
    });
    let frozen = |(what, water, temperature): (String, String, String)| {
        let (water, temperature): (&Column, &Column) =
            (run.column(&water)?, run.column(&temperature)?);
        let pairs = water.values.iter().zip(&temperature.values);
        let at = pairs.zip(&run.time_s).find(|((g, t), _)| **g > LEAST_G && **t < 0.0)?.1;
        Some(format!(
            "water on {what} is below 0 °C after {:.0} min: it stays liquid in this model, where a real \
             box has ice that melts late and gives off less vapour",
            at / 60.0
        ))
    };
    zones.chain(loads).find_map(frozen)
}
