//! A spool of one temperature and one moisture, for sweeps.

use std::f64::consts::PI;

use super::moisture::Slice;
use super::{Spool, SpoolSpec};
use crate::model::flows::Flows;
use crate::model::part::{At, Part};
use crate::model::parts::LoadView;
use crate::model::site::Site;
use crate::model::store::{Gas, Heat, Thermal, Water};
use crate::physics::constants::R_VAPOUR;
use crate::physics::moist_air::saturation_pressure_pa;
use crate::physics::polymer::{Diffusion, Sorption};
use crate::physics::transport;
use crate::real::Real;

/// Late rate of a cylinder over D/R2: the square of the first zero of J0. Source: \[Crank1975\], ch. 5.
const STRAND: f64 = 5.783;
/// Late rate of a plate with one open face over D/L2: (pi/2)^2. Source: \[Crank1975\], ch. 4.
const PLATE: f64 = 2.467;

/// One zone around the lump.
#[derive(Clone, Debug)]
struct Around {
    zone: usize,
    air: Gas,
    share: f64,
}

/// The water leaves at one rate, that of the strand and the winding in series:
///
/// ```text
/// dc/dt = -k (c - c_eq),   1/k = 1/(5.78 D/R^2) + L^2/(2.47 D_pack),   D_pack = D_air f_g rho_v / (rho_p (1-e) c)
/// ```
/// Heat comes through one conductance. Radiation and the heat of sorption beyond condensation are left
/// out. Checked in: `tests/analytic/spool.rs`, where its error against the layers is stated.
#[derive(Clone, Debug)]
pub struct Lump {
    heat: Heat,
    water: Water,
    around: Vec<Around>,
    dry_kg: f64,
    conductance_w_k: f64,
    radius2_m2: f64,
    depth2_m2: f64,
    packed_kg_m3: f64,
    gap_diffusion: f64,
    sorption: Sorption,
    diffusion: Diffusion,
}

impl SpoolSpec {
    /// Flanges, bore and rim in parallel, each with the film in series; the rim and the flanges with
    /// a third of the winding's depth behind them \[W/K\].
    fn lump_w_k(&self) -> f64 {
        let (inner, outer) = (self.core_m, self.outer_m());
        let series = |list: &[f64]| 1.0 / list.iter().map(|u| 1.0 / u).sum::<f64>();
        let flange_m2 = 2.0 * PI * (outer * outer - inner * inner);
        let flange_way = self.conductivity / (self.width_m / 6.0);
        let flange = flange_m2 * series(&[self.film_w_m2k, self.flange_w_m2k, flange_way]);
        let bore = 2.0 * PI * inner * self.width_m * series(&[self.film_w_m2k, self.bore_w_m2k]);
        let rim_way = self.conductivity / ((outer - inner) / 3.0);
        let rim = 2.0 * PI * outer * self.width_m * series(&[self.film_w_m2k, rim_way]);
        self.count * (flange + bore + rim)
    }

    pub(super) fn build_lump(&self, site: &mut Site) -> (Spool, LoadView) {
        let label = format!("load.{}", self.name);
        let dry_kg = self.dry_kg();
        let water = site.layout.water(&format!("{label} water"), dry_kg * self.moisture);
        let capacity = dry_kg * self.polymer.specific_heat + self.core_j_k * self.count;
        let rule = Thermal::Wet { capacity, water, more: 0, fibre: None };
        let heat = site.layout.heat(&label, rule, site.start.temp_k);
        let share = 1.0 / self.zones.len() as f64;
        let around = |zone: &usize| Around { zone: *zone, air: site.zones[*zone].gas, share };
        let depth = self.outer_m() - self.core_m;
        let part = Lump {
            heat,
            water,
            around: self.zones.iter().map(around).collect(),
            dry_kg,
            conductance_w_k: self.lump_w_k(),
            radius2_m2: 0.25 * self.strand_m * self.strand_m,
            depth2_m2: depth * depth,
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
        let view = LoadView {
            name: self.name.clone(),
            heat,
            heats: vec![heat],
            waters: vec![water],
            bound_kg: dry_kg * self.moisture,
            added_kg: 0.0,
            moisture: Some(self.moisture_view(vec![slice])),
        };
        (Spool::Lumped(part), view)
    }
}

impl Part for Lump {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let temp_k = at.temp_k(self.heat);
        let content = at.water_kg(self.water) / self.dry_kg;
        let saturated_pa = saturation_pressure_pa(temp_k);
        // Slope of the isotherm at half the saturation: Henry's law with a share of the clusters.
        let slope = self.sorption.content(R::c(0.5), temp_k) * 2.0;
        let d = self.diffusion.dry(temp_k) * (content * (self.diffusion.growth / 3.0)).exp();
        let strand_s = d.recip_of(self.radius2_m2 / STRAND);
        let gap = transport::vapour_diffusivity(temp_k, at.total_pa) * self.gap_diffusion;
        let vapour_per_content = saturated_pa / (slope * temp_k * R_VAPOUR);
        let pack = gap * vapour_per_content / self.packed_kg_m3;
        let pack_s = pack.recip_of(self.depth2_m2 / PLATE);
        let rate = (strand_s + pack_s).recip_of(self.dry_kg);
        for a in &self.around {
            let air = &at.zones[a.zone].air;
            let end = self.sorption.content(air.vapour_pa / saturated_pa, temp_k);
            let kg_s = rate * (content - end) * a.share;
            flows.vapour((self.heat, self.water), (a.air.heat, a.air.water), kg_s, temp_k);
            let film = at.modes.fan.film.max(0.35);
            let w_k = self.conductance_w_k * a.share * film;
            flows.heat(a.air.heat, self.heat, (air.temp_k - temp_k) * w_k);
        }
    }
}
