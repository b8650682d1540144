//! Drilled or printed round holes.

use std::f64::consts::PI;

use super::{CROSS_FLOW_FACTOR, Counterflow, HEIGHT, Opening, PRESSURE_SHARE, VentPlace, length};
use crate::model::site::{Context, DEPTH, Site, ZONE};
use crate::physics::opening::{self, Geometry};
use crate::reader::{Key, Section, key};
use crate::units::Kind;

const DIAMETER: Key =
    key::quantity("diameter", Kind::Length, 0.1e-3..=0.2).help("diameter of one hole");
const COUNT: Key = key::count("count", 0..=1000)
    .or(1.0, "one hole")
    .help("holes alike side by side; 0 leaves it out");
const FACES: Key = key::word("faces", &["side", "up"])
    .or_word("side", "in a side wall")
    .help("whether it is in a side wall, or looks up or down");

/// One round hole, or several alike side by side.
#[derive(Clone, Debug)]
pub struct HoleSpec {
    name: String,
    place: VentPlace,
    diameter_m: f64,
    depth_m: f64,
    count: usize,
    cross_flow_factor: f64,
    upwards: bool,
}

impl HoleSpec {
    /// Its keys.
    pub const KEYS: &'static [&'static Key] =
        &[&ZONE, &HEIGHT, &DIAMETER, &DEPTH, &COUNT, &FACES, &PRESSURE_SHARE, &CROSS_FLOW_FACTOR];

    /// Reads its keys.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let spec = HoleSpec {
            name: s.name(),
            place: VentPlace::read(s, cx),
            diameter_m: s.quantity(&DIAMETER),
            depth_m: cx.wall_depth(s),
            count: s.count(&COUNT),
            cross_flow_factor: s.quantity(&CROSS_FLOW_FACTOR),
            upwards: s.choice(&FACES) == "up",
        };
        spec.check_room(s, cx);
        spec
    }

    /// A hole must fit into a wall of the box, and all of them together into the largest one.
    fn check_room(&self, s: &Section, cx: &Context) {
        if !["diameter", "height"].iter().all(|key| s.is_valid(key)) {
            return;
        }
        let (height, top) = (self.place.height_m, cx.inner_height_m);
        let in_side = height > 0.0 && height < top * (1.0 - 1e-9);
        let radius = 0.5 * self.diameter_m;
        if in_side && self.diameter_m > top {
            let what = format!("is wider than the side of the box is high ({})", length(top));
            self.too_large(s, "diameter", &what);
        } else if in_side && (height < radius || height + radius > top) {
            let what = "is less than the hole's radius away from the floor or the lid";
            let lid = length(top);
            let hint = format!("a hole in the floor has height \"0 mm\", one in the lid \"{lid}\"");
            s.warn("height", "hole-at-edge", what, Some(hint));
        }
        let Some([long, wide, _]) = cx.edges_m else { return };
        let face = format!("{} × {}", length(long), length(wide));
        if self.diameter_m > wide {
            let what = format!("is wider than the largest wall of the box ({face})");
            self.too_large(s, "diameter", &what);
        } else if self.area_m2() > long * wide {
            let what =
                format!("holes of this diameter are larger than any wall of the box ({face})");
            self.too_large(s, "count", &what);
        }
    }

    fn too_large(&self, s: &Section, key: &str, what: &str) {
        let hint = "check the unit, and enclosure.inner_size".to_owned();
        s.fail(key, "hole-too-large", what, None, Some(hint));
    }

    /// Free area of all the holes \[m2\].
    pub fn area_m2(&self) -> f64 {
        PI / 4.0 * self.diameter_m.powi(2) * self.count as f64
    }

    /// Flow geometry: `n` holes are one with `n` times the flow at any pressure.
    pub fn geometries(&self) -> Vec<Geometry> {
        let n = self.count as f64;
        let one = opening::hole(self.diameter_m, self.depth_m);
        vec![Geometry {
            per_viscosity: one.per_viscosity / n,
            per_density: one.per_density / (n * n),
        }]
    }

    /// Makes the opening.
    pub fn build(&self, site: &mut Site) -> Vec<Opening> {
        // None at all: a sweep asks so what a hole would change.
        if self.count == 0 {
            return Vec::new();
        }
        let stirred = site.circulation_m3_s > 0.0;
        let length = opening::diffusion_length_m(self.diameter_m, self.depth_m, stirred);
        let diffusion = self.area_m2() / length * self.cross_flow_factor;
        let make = |g| site.opening(&self.name, &self.place, g, diffusion);
        let mut made: Vec<Opening> = self.geometries().into_iter().map(make).collect();
        for hole in &mut made {
            hole.exchange = Some(self.counterflow());
        }
        made
    }

    fn counterflow(&self) -> Counterflow {
        let count = self.count as f64;
        let (diameter_m, depth_m) = (self.diameter_m, self.depth_m);
        if self.upwards {
            return Counterflow::Upwards { diameter_m, depth_m, count };
        }
        let half = opening::half_hole(diameter_m, depth_m);
        Counterflow::Sideways { half, radius_m: 0.5 * diameter_m, count }
    }
}
