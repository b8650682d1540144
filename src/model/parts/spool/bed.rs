//! Layers of polymer filaments or granules with the vapour in the gaps between them.

use super::face::{Face, Passage, Surroundings};
use crate::model::flows::Flows;
use crate::model::part::{At, Part};
use crate::model::store::{Gas, Heat, Water};
use crate::physics::constants::R_VAPOUR;
use crate::physics::diffusion::Shells;
use crate::physics::moist_air::saturation_in_air_pa;
use crate::physics::polymer::{Diffusion, Sorption};
use crate::physics::{surface, transport};
use crate::real::Real;

/// One layer: filaments of one temperature, divided into shells, and the vapour between them.
#[derive(Clone, Debug)]
pub(super) struct Layer {
    pub heat: Heat,
    pub gap: Water,
    pub shells: Vec<Water>,
    pub gap_m3: f64,
    pub dry_kg: f64,
    pub faces: Vec<Face>,
}

/// What joins two layers.
#[derive(Clone, Debug)]
pub(super) struct Link {
    pub layers: (usize, usize),
    /// Heat \[W/K\].
    pub heat_w_k: f64,
    /// Area over way for vapour, share of open gaps included \[m\].
    pub vapour_m: f64,
}

/// Layers, what joins them and what surrounds them.
///
/// Fick's law in the shells with a diffusivity that follows temperature and content; the gap's vapour
/// in equilibrium with the surface of the filament; diffusion of vapour through the gaps and conduction
/// of heat through the winding; convection, radiation and slits at the faces. The gaps are so well
/// connected to the air that Stefan's logarithm is left out: below 15 %, within the spread of the
/// gaps' share by far. Source: \[Crank1975\]. Checked in: `tests/published/filament.rs`.
#[derive(Clone, Debug)]
pub struct Bed {
    pub(super) layers: Vec<Layer>,
    pub(super) links: Vec<Link>,
    pub(super) sorption: Sorption,
    pub(super) diffusion: Diffusion,
    pub(super) shells: Shells,
    pub(super) surface_w_m2k: f64,
    /// Share of the diffusivity in free air that the gaps leave.
    pub(super) gap_diffusion: f64,
    /// Its number among the loads.
    pub(super) number: usize,
    /// Running totals of what it gives and takes in storage.
    pub(super) stored: (Gas, Gas),
    /// Area through which vapour passes \[m2\].
    pub(super) open_m2: f64,
}

impl Bed {
    #[inline]
    fn gap_pa<R: Real>(&self, layer: &Layer, at: &At<'_, R>) -> R {
        at.water_kg(layer.gap) * at.temp_k(layer.heat) * (R_VAPOUR / layer.gap_m3)
    }

    /// From shell to shell, and from the outermost into the gap.
    #[inline]
    fn filament<R: Real>(
        &self,
        layer: &Layer,
        gap_pa: R,
        at: &At<'_, R>,
        flows: &mut Flows<'_, R>,
    ) {
        let temp_k = at.temp_k(layer.heat);
        let activity = gap_pa / saturation_in_air_pa(temp_k, at.total_pa);
        let surface = self.diffusion.potential(self.sorption.content(activity, temp_k));
        let rate = self.diffusion.dry(temp_k) * layer.dry_kg;
        let per_shell = layer.shells.len() as f64 / layer.dry_kg;
        let potential = |w: Water| self.diffusion.potential(at.water_kg(w) * per_shell);
        let mut inner = potential(layer.shells[0]);
        let mut before = inner;
        for (pair, factor) in layer.shells.windows(2).zip(&self.shells.between) {
            let outer = potential(pair[1]);
            flows.within(pair[0], pair[1], rate * (inner - outer) * *factor);
            before = inner;
            inner = outer;
        }
        let [near, far] = self.shells.surface;
        let out = rate * ((inner - surface) * near + (before - surface) * far);
        flows.within(layer.shells[layer.shells.len() - 1], layer.gap, out);
    }

    #[inline]
    fn face<R: Real>(
        &self,
        (layer, face): (&Layer, &Face),
        gap_pa: R,
        at: &At<'_, R>,
        flows: &mut Flows<'_, R>,
    ) {
        let place = at.modes.stored.get(self.number).copied().flatten();
        let around =
            Surroundings::of(face, self.surface_w_m2k, self.stored, self.open_m2, place, at);
        let (air_k, wall_k, surface_w_m2k) = (around.air_k, around.wall_k, around.surface_w_m2k);
        let temp_k = at.temp_k(layer.heat);
        let radiation = surface::radiative_coefficient(face.emissivity, wall_k, temp_k);
        // The face holds no heat: it settles between layer, air and wall.
        let all = radiation + (face.inner_w_m2k + surface_w_m2k);
        let face_k = (temp_k * face.inner_w_m2k + air_k * surface_w_m2k + wall_k * radiation) / all;
        flows.heat(around.air.0, layer.heat, (air_k - face_k) * (surface_w_m2k * face.area_m2));
        flows.heat(around.wall, layer.heat, radiation * (wall_k - face_k) * face.area_m2);
        let surface_m_s = around.mass_per_heat * surface_w_m2k;
        let middle_k = (temp_k + air_k) * 0.5;
        let inside = match face.passage {
            Passage::Closed => return,
            Passage::Slit(m_s) => R::c(m_s),
            Passage::Winding(per_m) => {
                let d = transport::vapour_diffusivity(middle_k, R::c(at.total_pa));
                d * (per_m * self.gap_diffusion)
            }
        };
        let per_pa = surface_m_s * inside / (surface_m_s + inside) / (middle_k * R_VAPOUR);
        let through = if around.leak.is_finite() {
            per_pa * around.leak / (per_pa + around.leak)
        } else {
            per_pa
        };
        let kg_s = through * (gap_pa - around.vapour_pa) * face.area_m2;
        let other = if kg_s.val() < 0.0 { around.source } else { around.air };
        flows.vapour((layer.heat, layer.gap), other, kg_s, temp_k);
    }
}

impl Part for Bed {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        for layer in &self.layers {
            let gap_pa = self.gap_pa(layer, at);
            self.filament(layer, gap_pa, at, flows);
            for face in &layer.faces {
                self.face((layer, face), gap_pa, at, flows);
            }
        }
        for link in &self.links {
            let (a, b) = (&self.layers[link.layers.0], &self.layers[link.layers.1]);
            let (a_k, b_k) = (at.temp_k(a.heat), at.temp_k(b.heat));
            flows.heat(a.heat, b.heat, (a_k - b_k) * link.heat_w_k);
            let middle_k = (a_k + b_k) * 0.5;
            let d = transport::vapour_diffusivity(middle_k, R::c(at.total_pa));
            let drop_pa = self.gap_pa(a, at) - self.gap_pa(b, at);
            let kg_s = d * drop_pa * (link.vapour_m * self.gap_diffusion / R_VAPOUR) / middle_k;
            flows.vapour((a.heat, a.gap), (b.heat, b.gap), kg_s, middle_k);
        }
    }
}
