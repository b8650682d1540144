//! A wall that takes up water: diffusion into the inner layer of plastic, and out again; and wood.

use crate::address::{Place, Quantity};
use crate::model::flows::Flows;
use crate::model::materials::Polymer;
use crate::model::part::{At, Part};
use crate::model::store::{Gas, Heat, Layout, Water};
use crate::physics::constants::R_VAPOUR;
use crate::physics::moist_air::saturation_in_air_pa;
use crate::physics::polymer::Diffusion;
use crate::physics::sorbent;
use crate::physics::sorption::{Binding, CELLULOSE};
use crate::real::Real;

/// Thickness of each slice over that of the one before it, and their number. Water enters by the
/// root of time, so the first slices must be thin: a seventieth of the wall.
const GROWTH: f64 = 1.6;
const SLICES: usize = 8;

/// Diffusivity of water across plywood at 60 °C \[m2/s\]: 1e-10 to 1e-9, order, from memory.
const WOOD_DIFFUSIVITY: f64 = 5e-10;

/// Mean time into wood of this thickness with one open face, at 60 °C \[s\]. Source: \[Glueckauf1955\].
pub(super) fn wood_time_s(thickness_m: f64) -> f64 {
    thickness_m * thickness_m / (3.0 * WOOD_DIFFUSIVITY)
}

/// What takes the water up, with the thickness of the layer \[m\].
#[derive(Clone, Debug)]
pub enum UptakeSpec {
    /// A polymer.
    Polymer(Box<Polymer>, f64),
    /// Plywood or fibre board of this density \[kg/m3\], and its time constant at 60 °C \[s\].
    Wood {
        /// Density \[kg/m3\].
        density: f64,
        /// Thickness of the layer \[m\].
        thickness_m: f64,
        /// Time constant at 60 °C \[s\].
        time_s: f64,
    },
}

/// The sorbed water of one zone's wall.
#[derive(Clone, Debug)]
pub enum Uptake {
    /// In a polymer.
    Plastic(Slices),
    /// In wood.
    Wood(Wood),
}

/// Stores of the sorbed water, made before the wall's heat that they share.
pub(super) struct Stores {
    waters: Vec<Water>,
    dry_kg: Vec<f64>,
    half_m: Vec<f64>,
}

impl UptakeSpec {
    pub(super) fn stores(
        &self,
        area_m2: f64,
        zone: usize,
        start: (f64, f64),
        layout: &mut Layout,
    ) -> Stores {
        match self {
            UptakeSpec::Polymer(polymer, thickness_m) => {
                slices(polymer, *thickness_m, area_m2, start.1, zone, layout)
            }
            UptakeSpec::Wood { density, thickness_m, .. } => {
                let kg = density * thickness_m * area_m2;
                let content = sorbent::wood(start.1, start.0);
                let water = layout.water(Place::Wall(zone), Quantity::BoundWater, kg * content);
                Stores { waters: vec![water], dry_kg: vec![kg], half_m: vec![*thickness_m] }
            }
        }
    }

    pub(super) fn build(
        &self,
        zone: usize,
        air: Gas,
        face: Heat,
        stores: Stores,
        wall: (f64, f64),
    ) -> Uptake {
        let (area_m2, inside_coefficient) = wall;
        let Stores { waters, dry_kg, half_m } = stores;
        match self {
            UptakeSpec::Polymer(polymer, _) => Uptake::Plastic(Slices {
                zone,
                air,
                face,
                waters,
                dry_kg,
                half_m,
                diffusion: polymer.diffusion,
                density: polymer.density,
                content_at_saturation: polymer.content_at_saturation,
                area_m2,
                inside_coefficient,
            }),
            UptakeSpec::Wood { time_s, .. } => Uptake::Wood(Wood {
                zone,
                air,
                face,
                rate_kg_s: dry_kg[0] / time_s,
                per_dry_kg: 1.0 / dry_kg[0],
                waters,
            }),
        }
    }
}

impl Stores {
    pub(super) fn count(&self) -> usize {
        self.waters.len()
    }
}

impl UptakeSpec {
    /// What binds the water, with the dry mass \[kg\]. Of polymers it is at most 11 % of the heat of
    /// evaporation, and left out.
    pub(super) fn binding(&self, stores: &Stores) -> Option<(Binding, f64)> {
        matches!(self, UptakeSpec::Wood { .. }).then(|| (CELLULOSE, stores.dry_kg[0]))
    }
}

impl Uptake {
    /// The stores of the sorbed water.
    pub fn waters(&self) -> &[Water] {
        match self {
            Uptake::Plastic(p) => &p.waters,
            Uptake::Wood(w) => &w.waters,
        }
    }
}

impl Part for Uptake {
    #[inline]
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        match self {
            Uptake::Plastic(p) => p.flows(at, flows),
            Uptake::Wood(w) => w.flows(at, flows),
        }
    }
}

/// A wall of wood that tends to its isotherm at a rate that follows its temperature. Checked in: `tests/analytic/hygroscopic.rs`.
#[derive(Clone, Debug)]
pub struct Wood {
    zone: usize,
    air: Gas,
    face: Heat,
    waters: Vec<Water>,
    rate_kg_s: f64,
    per_dry_kg: f64,
}

impl Part for Wood {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let face_k = at.temp_k(self.face);
        let activity =
            at.zones[self.zone].air.vapour_pa / saturation_in_air_pa(face_k, at.total_pa);
        let content = at.water_kg(self.waters[0]) * self.per_dry_kg;
        let rate = sorbent::cellulose_pace(face_k) * self.rate_kg_s;
        let kg_s = (sorbent::wood(activity, face_k) - content) * rate;
        flows.vapour((self.air.heat, self.air.water), (self.face, self.waters[0]), kg_s, face_k);
    }
}

/// The sorbed water of a plastic wall, slice by slice from the inner face.
///
/// Fick's law with a diffusivity that follows Arrhenius, Henry's law at the face (the content is
/// proportional to the relative humidity at the wall's temperature), a film of air in series.
/// Source: \[Crank1975\]. Checked in: `tests/analytic/water.rs`.
#[derive(Clone, Debug)]
pub struct Slices {
    zone: usize,
    air: Gas,
    face: Heat,
    waters: Vec<Water>,
    /// Mass of dry polymer in each slice \[kg\].
    dry_kg: Vec<f64>,
    /// Half the thickness of each slice \[m\].
    half_m: Vec<f64>,
    diffusion: Diffusion,
    density: f64,
    content_at_saturation: f64,
    area_m2: f64,
    inside_coefficient: f64,
}

/// Slices of a polymer.
fn slices(
    polymer: &Polymer,
    thickness_m: f64,
    area_m2: f64,
    start_rh: f64,
    zone: usize,
    layout: &mut Layout,
) -> Stores {
    let total = (GROWTH.powi(SLICES as i32) - 1.0) / (GROWTH - 1.0);
    let (mut waters, mut dry, mut half) = (Vec::new(), Vec::new(), Vec::new());
    for i in 0..SLICES {
        let thickness = thickness_m * GROWTH.powi(i as i32) / total;
        let kg = polymer.density * area_m2 * thickness;
        let content = polymer.content_at_saturation * start_rh;
        waters.push(layout.water(Place::Wall(zone), Quantity::BoundWaterAt(i), kg * content));
        dry.push(kg);
        half.push(0.5 * thickness);
    }
    Stores { waters, dry_kg: dry, half_m: half }
}

impl Part for Slices {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let air = &at.zones[self.zone].air;
        let face_k = at.temp_k(self.face);
        let per_m = self.diffusion.dry(face_k) * (self.density * self.area_m2);
        let content = |i: usize| at.water_kg(self.waters[i]) / self.dry_kg[i];
        // The air at the wall and half of the first slice in series; the content of the face drops out.
        let h_m = air.mass_per_heat * (self.inside_coefficient * self.area_m2);
        let mean_k = (air.temp_k + face_k) * 0.5;
        let per_pa = h_m / (mean_k * R_VAPOUR);
        let per_content =
            per_pa * saturation_in_air_pa(face_k, at.total_pa) / self.content_at_saturation;
        let inward = per_m / self.half_m[0];
        let drive = per_pa * air.vapour_pa - per_content * content(0);
        let flux = drive * inward / (inward + per_content);
        flows.vapour((self.air.heat, self.air.water), (self.face, self.waters[0]), flux, face_k);
        for i in 1..self.waters.len() {
            let way = self.half_m[i - 1] + self.half_m[i];
            let kg_s = per_m * (content(i - 1) - content(i)) / way;
            let pair = ((self.face, self.waters[i - 1]), (self.face, self.waters[i]));
            flows.liquid(pair.0, pair.1, kg_s, face_k);
        }
    }
}
