//! From the sizes of a spool to layers, links and faces.

use crate::address::{Place, Quantity};
use std::f64::consts::PI;

use super::bed::{Bed, Layer, Link};
use super::face::{Face, Passage};
use super::{Spool, SpoolSpec};
use crate::model::parts::LoadView;
use crate::model::parts::moisture::{Moisture, Slice};
use crate::model::site::Site;
use crate::model::store::Thermal;
use crate::physics::constants::R_VAPOUR;
use crate::physics::diffusion::{Shape, Shells};
use crate::physics::moist_air::saturation_in_air_pa;

/// Emissivity of plastic. Source: \[Incropera2007\], appendix (plastics, paint 0.9).
pub(super) const EMISSIVITY: f64 = 0.9;

/// Middle radius, inner and outer radius of a layer \[m\].
#[derive(Clone, Copy, Debug)]
struct Ring {
    inner_m: f64,
    outer_m: f64,
}

impl Ring {
    fn middle_m(self) -> f64 {
        0.5 * (self.inner_m + self.outer_m)
    }

    /// Cross-section \[m2\].
    fn area_m2(self) -> f64 {
        PI * (self.outer_m * self.outer_m - self.inner_m * self.inner_m)
    }
}

impl SpoolSpec {
    fn rings(&self) -> Vec<Ring> {
        let (inner, outer) = (self.core_m, self.outer_m());
        let step = (outer - inner) / self.layers as f64;
        let at = |i: usize| inner + step * i as f64;
        (0..self.layers).map(|i| Ring { inner_m: at(i), outer_m: at(i + 1) }).collect()
    }

    /// Zones that each half sees, with the share of its faces.
    /// Number of states that it takes.
    pub fn states(&self) -> usize {
        match self.lumped {
            true => 2,
            false => self.halves().len() * self.layers * (self.shells + 2),
        }
    }

    fn halves(&self) -> Vec<Vec<(usize, f64)>> {
        let share = 1.0 / self.zones.len() as f64;
        if self.rotating || self.zones.len() == 1 {
            return vec![self.zones.iter().map(|z| (*z, share)).collect()];
        }
        self.zones.iter().map(|z| vec![(*z, 1.0)]).collect()
    }

    pub(super) fn build_full(&self, site: &mut Site) -> (Spool, LoadView) {
        let rings = self.rings();
        let halves = self.halves();
        let share = self.count / halves.len() as f64;
        let mut layers = Vec::new();
        for (half, zones) in halves.iter().enumerate() {
            for (i, ring) in rings.iter().enumerate() {
                let number = (site.load, half * rings.len() + i);
                let mut layer = self.layer(number, *ring, share, i == 0, site);
                for &(zone, part) in zones {
                    let edge = (i == 0, i + 1 == rings.len());
                    self.faces(&mut layer, *ring, (zone, share * part), edge, site);
                }
                layers.push(layer);
            }
        }
        let at = Place::Storage(site.load);
        let stored = (site.layout.stored_total(at), site.layout.inflow_total(at));
        let mut view = self.view(&layers, &rings, halves.len());
        if let Some(m) = &mut view.moisture {
            m.stored = Some(stored);
        }
        let faces = layers.iter().flat_map(|l| &l.faces);
        let open_m2 = faces.filter(|f| f.passage != Passage::Closed).map(|f| f.area_m2).sum();
        let part = Bed {
            links: self.links(&rings, halves.len(), share),
            layers,
            sorption: self.polymer.sorption,
            diffusion: self.polymer.diffusion,
            shells: Shells::new(Shape::Cylinder, 0.5 * self.filament_m, self.shells),
            surface_w_m2k: self.surface_w_m2k,
            gap_diffusion: self.gap_diffusion,
            number: site.load,
            stored,
            open_m2,
        };
        (Spool::Full(Box::new(part)), view)
    }

    /// Stores of a layer that holds the moisture of the start, its gaps in equilibrium with it.
    fn layer(
        &self,
        (load, number): (usize, usize),
        ring: Ring,
        share: f64,
        first: bool,
        site: &mut Site,
    ) -> Layer {
        let volume = ring.area_m2() * self.width_m * share;
        let dry_kg = self.polymer.density * self.solid * volume;
        let gap_m3 = (1.0 - self.solid) * volume;
        let start_k = site.start.temp_k;
        let activity = self.polymer.sorption.activity(self.moisture, start_k);
        let vapour =
            activity * saturation_in_air_pa(start_k, site.total_pa) / (R_VAPOUR * start_k) * gap_m3;
        let gap = site.layout.gap_vapour(Place::Slice(load, number), vapour, gap_m3);
        let each = dry_kg * self.moisture / self.shells as f64;
        let shells = (0..self.shells)
            .map(|i| site.layout.water(Place::Shell(load, number, i), Quantity::BoundWater, each))
            .collect();
        let core = if first { self.core_j_k * share } else { 0.0 };
        let rule = Thermal::Bound {
            capacity: dry_kg * self.polymer.specific_heat + core,
            vapour: gap,
            shells: self.shells,
            excess_j_kg: self.polymer.sorption.excess_j_kg(),
        };
        let heat = site.layout.heat(Place::Slice(load, number), rule, start_k);
        Layer { heat, gap, shells, gap_m3, dry_kg, faces: Vec::new() }
    }

    /// Flanges; the bore for the innermost layer, the rim for the outermost.
    fn faces(
        &self,
        layer: &mut Layer,
        ring: Ring,
        (zone, share): (usize, f64),
        (innermost, outermost): (bool, bool),
        site: &Site,
    ) {
        let face = |area_m2: f64, inner_w_m2k, emissivity, passage| Face {
            zone,
            air: site.zones[zone].gas,
            wall: site.wall_faces[zone],
            area_m2: area_m2 * share,
            inner_w_m2k,
            emissivity,
            passage,
        };
        let slit = match self.flange_m_s {
            0.0 => Passage::Closed,
            m_s => Passage::Slit(m_s),
        };
        layer.faces.push(face(2.0 * ring.area_m2(), self.flange_w_m2k, EMISSIVITY, slit));
        if innermost {
            let bore = 2.0 * PI * ring.inner_m * self.width_m;
            layer.faces.push(face(bore, self.bore_w_m2k, 0.0, Passage::Closed));
        }
        if outermost {
            let per_m = 1.0 / (ring.outer_m * (ring.outer_m / ring.middle_m()).ln());
            let rim = 2.0 * PI * ring.outer_m * self.width_m;
            let inner = self.conductivity * per_m;
            layer.faces.push(face(rim, inner, EMISSIVITY, Passage::Winding(per_m)));
        }
    }

    /// Along the radius, and round the spool from half to half.
    fn links(&self, rings: &[Ring], halves: usize, share: f64) -> Vec<Link> {
        let depth = rings.len();
        let mut links = Vec::new();
        for half in 0..halves {
            for (i, pair) in rings.windows(2).enumerate() {
                let way = (pair[1].middle_m() / pair[0].middle_m()).ln();
                let area_per_m = 2.0 * PI * self.width_m * share / way;
                links.push(Link {
                    layers: (half * depth + i, half * depth + i + 1),
                    heat_w_k: self.conductivity * area_per_m,
                    vapour_m: area_per_m,
                });
            }
        }
        // Two cuts; from the middle of one half to that of the other is half a turn. Along the
        // filaments the polymer conducts in parallel and the grooves are straight.
        for (i, ring) in rings.iter().enumerate().filter(|_| halves == 2) {
            let cut = 2.0 * (ring.outer_m - ring.inner_m) * self.width_m * self.count;
            let area_per_m = cut / (PI * ring.middle_m());
            links.push(Link {
                layers: (i, depth + i),
                heat_w_k: self.solid * self.polymer.conductivity * area_per_m,
                vapour_m: (1.0 - self.solid) / self.gap_diffusion * area_per_m,
            });
        }
        links
    }

    fn view(&self, layers: &[Layer], rings: &[Ring], halves: usize) -> LoadView {
        let depth = rings.len();
        let slices: Vec<Slice> = layers
            .iter()
            .enumerate()
            .map(|(i, l)| Slice {
                heat: l.heat,
                gap: Some((l.gap, l.gap_m3)),
                shells: l.shells.clone(),
                dry_kg: l.dry_kg,
                radius_m: rings[i % depth].middle_m(),
                half: i / depth,
            })
            .collect();
        debug_assert_eq!(slices.len(), depth * halves, "each half has all layers");
        let waters = layers.iter().flat_map(|l| l.shells.iter().copied().chain([l.gap]));
        LoadView {
            name: self.name.clone(),
            heat: layers[depth - 1].heat,
            heats: layers.iter().map(|l| l.heat).collect(),
            waters: waters.collect(),
            bound_kg: self.dry_kg() * self.moisture,
            added_kg: 0.0,
            moisture: Some(self.moisture_view(slices)),
        }
    }

    pub(super) fn moisture_view(&self, slices: Vec<Slice>) -> Moisture {
        let share = 1.0 / self.zones.len() as f64;
        Moisture {
            slices,
            dry_kg: self.dry_kg(),
            target: self.target,
            sorption: self.polymer.sorption,
            stored: None,
            around: self.zones.iter().map(|z| (*z, share)).collect(),
        }
    }
}
