//! A plastic wall that takes up water: diffusion into the inner layer, and out again.

use crate::model::flows::Flows;
use crate::model::materials::Polymer;
use crate::model::part::{At, Part};
use crate::model::store::{Gas, Heat, Layout, Water};
use crate::physics::constants::R_VAPOUR;
use crate::physics::moist_air::saturation_pressure_pa;
use crate::real::Real;

/// Thickness of each slice over that of the one before it, and their number. Water enters by the
/// root of time, so the first slices must be thin: a seventieth of the wall.
const GROWTH: f64 = 1.6;
const SLICES: usize = 8;

/// The sorbed water of one zone's wall, slice by slice from the inner face.
///
/// Fick's law with a diffusivity that follows Arrhenius, Henry's law at the face (the content is
/// proportional to the relative humidity at the wall's temperature), a film of air in series.
/// Source: \[Crank1975\]. Checked in: `tests/analytic/water.rs`.
#[derive(Clone, Debug)]
pub struct Uptake {
    zone: usize,
    air: Gas,
    face: Heat,
    waters: Vec<Water>,
    /// Mass of dry polymer in each slice \[kg\].
    dry_kg: Vec<f64>,
    /// Half the thickness of each slice \[m\].
    half_m: Vec<f64>,
    polymer: Polymer,
    area_m2: f64,
    inside_film: f64,
}

/// Stores of the sorbed water, made before the wall's heat that they share.
pub(super) fn stores(
    polymer: &Polymer,
    thickness_m: f64,
    area_m2: f64,
    start_rh: f64,
    zone: &str,
    layout: &mut Layout,
) -> (Vec<Water>, Vec<f64>, Vec<f64>) {
    let total = (GROWTH.powi(SLICES as i32) - 1.0) / (GROWTH - 1.0);
    let (mut waters, mut dry, mut half) = (Vec::new(), Vec::new(), Vec::new());
    for i in 0..SLICES {
        let thickness = thickness_m * GROWTH.powi(i as i32) / total;
        let kg = polymer.density * area_m2 * thickness;
        let content = polymer.content_at_saturation * start_rh;
        waters.push(layout.water(&format!("wall.{zone} sorbed {}", i + 1), kg * content));
        dry.push(kg);
        half.push(0.5 * thickness);
    }
    (waters, dry, half)
}

impl Uptake {
    /// Number of water stores it needs.
    pub(super) const STORES: usize = SLICES;

    #[allow(clippy::too_many_arguments, reason = "all that the wall knows of itself")]
    pub(super) fn new(
        zone: usize,
        air: Gas,
        face: Heat,
        stores: (Vec<Water>, Vec<f64>, Vec<f64>),
        polymer: Polymer,
        area_m2: f64,
        inside_film: f64,
    ) -> Self {
        let (waters, dry_kg, half_m) = stores;
        Uptake { zone, air, face, waters, dry_kg, half_m, polymer, area_m2, inside_film }
    }

    /// The stores of the sorbed water.
    pub fn waters(&self) -> &[Water] {
        &self.waters
    }
}

impl Part for Uptake {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let air = &at.zones[self.zone].air;
        let face_k = at.temp_k(self.face);
        let per_m = self.polymer.diffusion.dry(face_k) * (self.polymer.density * self.area_m2);
        let content = |i: usize| at.water_kg(self.waters[i]) / self.dry_kg[i];
        // Film of air and half of the first slice in series; the content of the face drops out.
        let h_m = air.mass_per_heat * (self.inside_film * self.area_m2);
        let film_k = (air.temp_k + face_k) * 0.5;
        let per_pa = h_m / (film_k * R_VAPOUR);
        let per_content =
            per_pa * saturation_pressure_pa(face_k) / self.polymer.content_at_saturation;
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
