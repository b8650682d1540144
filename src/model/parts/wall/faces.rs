//! Areas of a box by the way they face.

use crate::physics::convection;

/// Areas of the box, inside and outside, by the way they face.
#[derive(Clone, Copy, Debug)]
pub struct Faces {
    /// Inner areas of sides, top and bottom \[m2\].
    pub inside_m2: [f64; 3],
    /// Outer areas of sides, top and bottom \[m2\].
    pub outside_m2: [f64; 3],
    /// Sum of the lengths of the twelve inner edges \[m\]; zero for plates without corners.
    pub edges_m: f64,
    /// Characteristic lengths outside: height of the sides, area/perimeter of top and bottom.
    pub lengths: [convection::Length; 3],
}

impl Faces {
    /// Faces of a cuboid of inner `size` (length, width, height) with walls of `thickness`.
    pub fn cuboid(size: [f64; 3], thickness: f64) -> Self {
        let areas = |[a, b, h]: [f64; 3]| [2.0 * (a + b) * h, a * b, a * b];
        let [a, b, h] = size.map(|e| e + 2.0 * thickness);
        let flat = a * b / (2.0 * (a + b));
        Faces {
            inside_m2: areas(size),
            outside_m2: areas([a, b, h]),
            edges_m: 4.0 * size.iter().sum::<f64>(),
            lengths: [h, flat, flat].map(convection::Length::new),
        }
    }

    /// Inner area \[m2\].
    pub fn inner_m2(&self) -> f64 {
        self.inside_m2.iter().sum()
    }

    /// Outer area \[m2\].
    pub fn outer_m2(&self) -> f64 {
        self.outside_m2.iter().sum()
    }

    /// Area \[m2\] and edges \[m\] of the surface at `depth` in the wall, for `share` of a box.
    pub(super) fn at_depth(&self, depth_m: f64, share: f64) -> (f64, f64) {
        if self.edges_m == 0.0 {
            return (self.inner_m2(), 0.0);
        }
        // Each edge of the cuboid grows by twice the depth.
        let area = self.inner_m2() + 2.0 * depth_m * self.edges_m + 24.0 * depth_m.powi(2) * share;
        (area, self.edges_m + 24.0 * depth_m * share)
    }

    pub(super) fn scaled(&self, share: f64) -> Self {
        Faces {
            inside_m2: self.inside_m2.map(|a| a * share),
            outside_m2: self.outside_m2.map(|a| a * share),
            edges_m: self.edges_m * share,
            lengths: self.lengths,
        }
    }
}
