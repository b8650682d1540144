//! A spool of one temperature and one moisture, for sweeps.

use crate::address::{Place, Quantity};
use std::f64::consts::PI;

use super::face::STILL_COEFFICIENT;
use super::winding::EMISSIVITY;
use super::{Spool, SpoolSpec};
use crate::model::flows::Flows;
use crate::model::part::{At, Part};
use crate::model::parts::LoadView;
use crate::model::parts::moisture::Slice;
use crate::model::site::Site;
use crate::model::store::{Gas, Heat, Thermal, Water};
use crate::physics::constants::R_VAPOUR;
use crate::physics::moist_air::saturation_in_air_pa;
use crate::physics::polymer::{Diffusion, Sorption};
use crate::physics::{surface, transport};
use crate::real::Real;

/// Mean time that water needs out of a cylinder, over R2/D, is one over this. Source: \[Crank1975\], ch. 5
/// (first moment of the series).
const FILAMENT: f64 = 8.0;

/// One zone around the lump.
#[derive(Clone, Debug)]
struct Around {
    zone: usize,
    air: Gas,
    wall: Heat,
    share: f64,
}

/// The water leaves at one rate, that of the mean times of filament and winding in series:
///
/// ```text
/// dc/dt = -k (c - c_eq),   1/k = R^2/(8 D) + M/D_pack,   D_pack = D_air f_g rho_v / (rho_p (1-e) c)
/// ```
/// with the mean way out of a ring closed inside, M, in place of L^2/3 for a plate. It starts too slowly
/// and ends too fast. The heat of sorption beyond condensation is left out. Checked in: `tests/analytic/spool.rs`, where its error against the layers is stated.
#[derive(Clone, Debug)]
pub struct Lump {
    heat: Heat,
    water: Water,
    around: Vec<Around>,
    dry_kg: f64,
    /// From its middle to its outer faces, and through the bore to the air \[W/K\].
    inner_w_k: f64,
    bore_w_k: f64,
    face_m2: f64,
    surface_w_m2k: f64,
    radius2_m2: f64,
    way_m2: f64,
    packed_kg_m3: f64,
    gap_diffusion: f64,
    sorption: Sorption,
    diffusion: Diffusion,
}

impl SpoolSpec {
    /// Area of flanges and rim \[m2\], the conductance from the middle of the winding to them and that
    /// through the bore \[W/K\]: a third of the winding's depth lies before the rim, a sixth of its
    /// width before each flange.
    fn lump_ways(&self) -> (f64, f64, f64) {
        let (inner, outer) = (self.core_m, self.outer_m());
        let series = |a: f64, b: f64| 1.0 / (1.0 / a + 1.0 / b);
        let flange_m2 = self.count * 2.0 * PI * (outer * outer - inner * inner);
        let rim_m2 = self.count * 2.0 * PI * outer * self.width_m;
        let bore_m2 = self.count * 2.0 * PI * inner * self.width_m;
        let flange = series(self.flange_w_m2k, self.conductivity / (self.width_m / 6.0));
        let rim = self.conductivity / ((outer - inner) / 3.0);
        let inner_w_k = flange * flange_m2 + rim * rim_m2;
        (flange_m2 + rim_m2, inner_w_k, bore_m2 * series(self.bore_w_m2k, self.surface_w_m2k))
    }

    /// Mean of the time out of a ring that is closed inside, times the diffusivity \[m2\].
    fn mean_way_m2(&self) -> f64 {
        let (a, b) = (self.core_m.powi(2), self.outer_m().powi(2));
        let gap = b - a;
        (0.25 * (b * b - a * a) - a * gap + 0.5 * a * a * (b / a).ln()) / (2.0 * gap)
    }

    pub(super) fn build_lump(&self, site: &mut Site) -> (Spool, LoadView) {
        let dry_kg = self.dry_kg();
        let water =
            site.layout.water(Place::Load(site.load), Quantity::Water, dry_kg * self.moisture);
        let capacity = dry_kg * self.polymer.specific_heat + self.core_j_k * self.count;
        let rule = Thermal::Wet { capacity, water, more: 0, fibre: None };
        let heat = site.layout.heat(Place::Load(site.load), rule, site.start.temp_k);
        let share = 1.0 / self.zones.len() as f64;
        let around = |zone: &usize| Around {
            zone: *zone,
            air: site.zones[*zone].gas,
            wall: site.wall_faces[*zone],
            share,
        };
        let (face_m2, inner_w_k, bore_w_k) = self.lump_ways();
        let part = Lump {
            heat,
            water,
            around: self.zones.iter().map(around).collect(),
            dry_kg,
            inner_w_k,
            bore_w_k,
            face_m2,
            surface_w_m2k: self.surface_w_m2k,
            radius2_m2: 0.25 * self.filament_m * self.filament_m,
            way_m2: self.mean_way_m2(),
            packed_kg_m3: self.polymer.density * self.solid,
            gap_diffusion: self.gap_diffusion,
            sorption: self.polymer.sorption,
            diffusion: self.polymer.diffusion,
        };
        let slice = Slice {
            heat,
            gap: None,
            shells: vec![water],
            dry_kg,
            radius_m: 0.5 * (self.core_m + self.outer_m()),
            half: 0,
        };
        let view = LoadView::of_one(&self.name, heat, vec![water], dry_kg * self.moisture);
        let moisture = Some(self.moisture_view(vec![slice]));
        (Spool::Lumped(part), LoadView { moisture, ..view })
    }
}

impl Part for Lump {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let temp_k = at.temp_k(self.heat);
        let content = at.water_kg(self.water) / self.dry_kg;
        let saturated_pa = saturation_in_air_pa(temp_k, at.total_pa);
        // Slope of the isotherm at half the saturation: Henry's law with a share of the clusters.
        let slope = self.sorption.content(R::c(0.5), temp_k) * 2.0;
        let d = self.diffusion.dry(temp_k) * (content * (self.diffusion.growth / 3.0)).exp();
        let filament_s = d.recip_of(self.radius2_m2 / FILAMENT);
        let gap = transport::vapour_diffusivity(temp_k, R::c(at.total_pa)) * self.gap_diffusion;
        let vapour_per_content = saturated_pa / (slope * temp_k * R_VAPOUR);
        let pack = gap * vapour_per_content / self.packed_kg_m3;
        let pack_s = pack.recip_of(self.way_m2);
        let rate = (filament_s + pack_s).recip_of(self.dry_kg);
        for a in &self.around {
            let air = &at.zones[a.zone].air;
            let end = self.sorption.content(air.vapour_pa / saturated_pa, temp_k);
            let kg_s = rate * (content - end) * a.share;
            flows.vapour((self.heat, self.water), (a.air.heat, a.air.water), kg_s, temp_k);
            let stirred = self.surface_w_m2k * at.modes.fan.coefficient;
            let surface_w_k = stirred.max(STILL_COEFFICIENT.min(self.surface_w_m2k)) * self.face_m2;
            let wall_k = at.temp_k(a.wall);
            let radiation =
                surface::radiative_coefficient(EMISSIVITY, wall_k, temp_k) * self.face_m2;
            let all = radiation + (self.inner_w_k + surface_w_k);
            let face_k =
                (temp_k * self.inner_w_k + air.temp_k * surface_w_k + wall_k * radiation) / all;
            let from_air =
                (air.temp_k - face_k) * surface_w_k + (air.temp_k - temp_k) * self.bore_w_k;
            flows.heat(a.air.heat, self.heat, from_air * a.share);
            flows.heat(a.wall, self.heat, radiation * (wall_k - face_k) * a.share);
        }
    }
}
