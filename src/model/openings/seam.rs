//! Lid seams and cracks.

use super::{
    CROSS_FLOW_FACTOR, HEIGHT, Opening, PRESSURE_SHARE, VentPlace, length, read_height, read_share,
};
use crate::model::site::{Context, Site, ZONE};
use crate::physics::opening::{self, Geometry};
use crate::reader::{Key, Section, key};
use crate::units::Kind;

const LENGTH: Key = key::quantity("length", Kind::Length, 1e-3..=20.0).help("length along the rim");
const GAP: Key = key::quantity("gap", Kind::Length, 1e-6..=5e-3).help("width of the gap; fit it");
const DEPTH: Key = key::quantity("depth", Kind::Length, 0.1e-3..=0.2)
    .help("length of the way from inside to outside");
const BENDS: Key =
    key::count("bends", 0..=20).or(0.0, "straight through").help("right angles on that way");

/// A narrow gap of some length. Its gap enters cubed: it is a parameter to fit.
#[derive(Clone, Debug)]
pub struct SeamSpec {
    /// Where it is, each place with its share of the length.
    places: Vec<(VentPlace, f64, String)>,
    length_m: f64,
    gap_m: f64,
    depth_m: f64,
    bends: f64,
    cross_flow_factor: f64,
}

impl SeamSpec {
    /// Its keys.
    pub const KEYS: &'static [&'static Key] =
        &[&ZONE, &HEIGHT, &LENGTH, &GAP, &DEPTH, &BENDS, &PRESSURE_SHARE, &CROSS_FLOW_FACTOR];

    /// Reads its keys; the zone `"all"` spreads it over the zones in proportion to their volume.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let all = s.has(&ZONE) && s.text(&ZONE) == "all";
        let places = if all {
            let (height_m, pressure_share) = (read_height(s, cx), read_share(s));
            let place = |zone| VentPlace { zone, height_m, pressure_share };
            let each = cx.zones.iter().enumerate();
            each.map(|(i, z)| (place(i), z.share, format!("{} {}", s.name(), z.name))).collect()
        } else {
            vec![(VentPlace::read(s, cx), 1.0, s.name())]
        };
        check_length(s, cx);
        SeamSpec {
            places,
            length_m: s.quantity(&LENGTH),
            gap_m: s.quantity(&GAP),
            depth_m: s.quantity(&DEPTH),
            bends: s.count(&BENDS) as f64,
            cross_flow_factor: s.quantity(&CROSS_FLOW_FACTOR),
        }
    }

    /// Free area \[m2\].
    pub fn area_m2(&self) -> f64 {
        self.length_m * self.gap_m
    }

    fn geometry(&self, share: f64) -> Geometry {
        opening::seam(self.length_m * share, self.gap_m, self.depth_m, self.bends)
    }

    /// Flow geometries of its places.
    pub fn geometries(&self) -> Vec<Geometry> {
        self.places.iter().map(|(_, share, _)| self.geometry(*share)).collect()
    }

    /// Makes one opening per place.
    pub fn build(&self, site: &mut Site) -> Vec<Opening> {
        let make = |(place, share, name): &(VentPlace, f64, String)| {
            let area = self.length_m * share * self.gap_m;
            let diffusion = area / self.depth_m * self.cross_flow_factor;
            site.opening(name, place, self.geometry(*share), diffusion)
        };
        self.places.iter().map(make).collect()
    }
}
fn check_length(s: &Section, cx: &Context) {
    let Some(edges) = cx.edges_m else { return };
    let most = 4.0 * edges.iter().sum::<f64>();
    if s.quantity(&LENGTH) > most {
        let what = format!("is longer than all edges of the box together ({})", length(most));
        let hint = "check the unit; a lid's seam is as long as its rim".to_owned();
        s.fail("length", "seam-too-long", &what, None, Some(hint));
    }
}
