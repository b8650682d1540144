//! The room around the box: constant, or following a table in time.

use super::air::Air;
use crate::physics::moist_air::{humidity_ratio, saturation_in_air_pa};
use crate::real::Real;

/// Temperature and humidity of the room. Its pressure is constant in a run.
#[derive(Clone, Debug)]
pub enum Room {
    /// The same all the time.
    Constant(Air<f64>),
    /// Straight lines between knots; constant before the first and after the last.
    Table(Vec<Knot>, f64),
}

/// One row of a room table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Knot {
    /// When \[s\].
    pub time_s: f64,
    /// Temperature \[K\].
    pub temp_k: f64,
    /// Relative humidity, 0..1.
    pub relative_humidity: f64,
}

/// Air of given temperature and relative humidity at `total_pa`.
pub fn air_of<R: Real>(temp_k: R, relative_humidity: R, total_pa: f64) -> Air<R> {
    let vapour_pa = relative_humidity * saturation_in_air_pa(temp_k, total_pa);
    Air::derive(temp_k, humidity_ratio(vapour_pa, total_pa), R::c(total_pa))
}

impl Room {
    /// The room at time `t` \[s\].
    #[inline]
    pub fn air<R: Real>(&self, t: R) -> Air<R> {
        match self {
            Room::Constant(air) => air.lift(),
            Room::Table(knots, total_pa) => {
                let (temp_k, rh) = interpolate(knots, t);
                air_of(temp_k, rh, *total_pa)
            }
        }
    }

    /// Times at which the slope changes \[s\].
    pub fn knots(&self) -> impl Iterator<Item = f64> {
        let knots: &[Knot] = match self {
            Room::Constant(_) => &[],
            Room::Table(knots, _) => knots,
        };
        knots.iter().map(|k| k.time_s)
    }
}

fn interpolate<R: Real>(knots: &[Knot], t: R) -> (R, R) {
    let after = knots.partition_point(|k| k.time_s <= t.val());
    if after == 0 || after == knots.len() {
        let k = &knots[after.saturating_sub(1)];
        return (R::c(k.temp_k), R::c(k.relative_humidity));
    }
    let (a, b) = (&knots[after - 1], &knots[after]);
    let x = (t - a.time_s) / (b.time_s - a.time_s);
    (
        x * (b.temp_k - a.temp_k) + a.temp_k,
        x * (b.relative_humidity - a.relative_humidity) + a.relative_humidity,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn table_is_linear_between_and_constant_outside() {
        let knot = |time_s, temp_k| Knot { time_s, temp_k, relative_humidity: 0.5 };
        let knots = [knot(0.0, 290.0), knot(100.0, 300.0)];
        for (t, want) in [(-5.0, 290.0), (0.0, 290.0), (25.0, 292.5), (100.0, 300.0), (1e4, 300.0)]
        {
            assert_eq!(interpolate(&knots, t).0, want);
        }
    }
}
