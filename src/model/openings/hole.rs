//! Drilled or printed round holes.

use std::f64::consts::PI;

use super::{Opening, Place, read_grazing};
use crate::model::site::{Context, Site};
use crate::physics::opening;
use crate::reader::Section;
use crate::units::Kind;

/// One round hole, or several alike side by side.
#[derive(Clone, Debug)]
pub struct HoleSpec {
    name: String,
    place: Place,
    diameter_m: f64,
    depth_m: f64,
    count: usize,
    grazing: f64,
}

impl HoleSpec {
    /// Reads `diameter`, `depth`, `count`, `zone`, `height`.
    pub fn read(s: &Section, cx: &Context) -> Self {
        HoleSpec {
            name: s.name(),
            place: Place::read(s, cx),
            diameter_m: s.quantity("diameter", Kind::Length, 0.1e-3..=0.2),
            depth_m: cx.wall_depth(s),
            count: s.count_or("count", 1..=1000, 1, "one hole"),
            grazing: read_grazing(s),
        }
    }

    /// Free area of all the holes \[m2\].
    pub fn area_m2(&self) -> f64 {
        PI / 4.0 * self.diameter_m.powi(2) * self.count as f64
    }

    /// Makes the opening; `n` holes are one with `n` times the flow at any pressure.
    pub fn build(&self, site: &mut Site) -> Vec<Opening> {
        let n = self.count as f64;
        let one = opening::hole(self.diameter_m, self.depth_m);
        let geometry = opening::Geometry {
            per_viscosity: one.per_viscosity / n,
            per_density: one.per_density / (n * n),
        };
        let stirred = site.circulation_m3_s > 0.0;
        let length = opening::diffusion_length_m(self.diameter_m, self.depth_m, stirred);
        let diffusion = self.area_m2() / length * self.grazing;
        vec![site.opening(&self.name, &self.place, geometry, diffusion)]
    }
}
