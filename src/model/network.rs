//! Air through the openings and along the chain of zones: one pressure closes the whole box.
//!
//! Each zone is a rigid volume, so whatever heats, evaporates or enters must push gas out
//! (breathing) or raise the pressure of the gas, as it does where an opening is so small that the
//! gas cannot leave at once. The unknowns are one gauge pressure p0 at the floor and the flow of each
//! leg from zone to zone; the fan's own leg, from the last zone back to the first, is imposed. Walking down
//! the chain, the surplus of a zone is the flow of its leg, and the surplus of the last zone is the
//! one equation for p0. Closing each zone against the room by itself would double the vent flow of
//! a box with a hole in each zone, and no ledger would notice.

use super::air::{Zone, ZoneAir};
use super::flows::Flows;
use super::openings::Opening;
use super::part::At;
use super::passage::Passage;
use super::store::{Gas, Lag, Layout};
use crate::address::Place;
use crate::physics::constants::{R_AIR, R_VAPOUR};
use crate::physics::convection::stefan_flux;
use crate::real::Real;

/// Largest number of air zones.
pub const MAX_ZONES: usize = 8;

/// Steps allowed to find p0. Bracketed Newton needs 4 to 6; bisection alone would need about 60.
const MAX_STEPS: usize = 80;

/// Change of p0 at which the search ends, over the smallest pressure difference at any opening: one
/// further step in the number type squares it, and the derivatives are wrong by no more than this.
const CONVERGED: f64 = 1e-5;

/// Smallest change of p0 that counts \[Pa\]: round-off of the pressures of a fan.
const ROUND_OFF_PA: f64 = 1e-13;

/// The chain of zones with its openings.
#[derive(Clone, Debug)]
pub struct Network {
    /// Zones in airflow order.
    pub zones: Vec<Zone>,
    /// Openings to the room.
    pub openings: Vec<Opening>,
    /// The way out of a box without any opening, and back in.
    pub pinhole: Option<Way>,
    /// The way of what the air swapped through an open lid pushes out or draws in after it.
    pub lid: Option<Way>,
    /// Running total of the gas that heating and evaporation push out \[m3\].
    pub displaced: Lag,
}

/// A way so wide that the box keeps the room's pressure.
#[derive(Clone, Copy, Debug)]
pub struct Way {
    /// Number of the part in whose name it is posted.
    pub part: usize,
    /// Totals of what left by it.
    pub out: Gas,
    /// Totals of what entered by it.
    pub back: Gas,
}

impl Way {
    /// A way with running totals of this place.
    pub fn new(part: usize, place: Place, layout: &mut Layout) -> Way {
        let out = layout.outflow_total(place);
        Way { part, out, back: layout.inflow_total(place) }
    }
}

/// Work space: per opening, the resistances for both gases and the flow found.
#[derive(Clone, Debug)]
pub struct Solved<R> {
    /// Gauge pressure at the box floor \[Pa\].
    pub p0_pa: R,
    /// Dry air out through each opening \[kg/s\].
    pub out_kg_s: Vec<R>,
    passages: Vec<Passage<R>>,
    /// Plain copies for the search.
    plain: Vec<Passage<f64>>,
    claims: Vec<Claims<R>>,
    plain_claims: Vec<Claims<f64>>,
}

/// What each zone claims per kg of dry air that crosses its borders.
#[derive(Clone, Copy, Debug)]
struct Claims<R> {
    /// Surplus from everything posted so far \[W\], and from the pressure that the gas has already.
    surplus: R,
    /// What the gas takes up per pascal of p0 \[W/Pa\].
    spring: R,
    /// Own gas leaving \[J/kg\].
    out: R,
    /// Room air entering \[J/kg\].
    from_room: R,
    /// Gas of the next zone entering (backflow of the leg) \[J/kg\].
    from_next: R,
    /// Gas of the previous zone entering \[J/kg\].
    from_previous: R,
}

impl<R: Real> Solved<R> {
    /// Work space for `openings` openings and `zones` zones.
    pub fn new(openings: usize, zones: usize) -> Self {
        Solved {
            p0_pa: R::c(0.0),
            out_kg_s: vec![R::c(0.0); openings],
            passages: Vec::with_capacity(openings),
            plain: Vec::with_capacity(openings),
            claims: Vec::with_capacity(zones),
            plain_claims: Vec::with_capacity(zones),
        }
    }
}

impl Network {
    /// Solves for p0 and posts the flows of all openings and legs. Everything else must have been
    /// posted before.
    pub fn flows<R: Real>(
        &self,
        at: &At<'_, R>,
        flows: &mut Flows<'_, R>,
        solved: &mut Solved<R>,
        first_part: usize,
    ) {
        let zones = self.zones.iter().enumerate();
        let mut claims = std::mem::take(&mut solved.claims);
        claims.clear();
        claims.extend(zones.map(|(k, zone)| self.claims(k, zone, at, flows)));
        self.close(at, flows, solved, &claims, first_part);
        solved.claims = claims;
    }

    /// Finds p0 and posts what follows from it.
    fn close<R: Real>(
        &self,
        at: &At<'_, R>,
        flows: &mut Flows<'_, R>,
        solved: &mut Solved<R>,
        claims: &[Claims<R>],
        first_part: usize,
    ) {
        solved.passages.clear();
        solved.passages.extend(self.openings.iter().map(|o| Passage::new(o, at)));
        let open = self.lid.filter(|_| at.modes.lid.is_some());
        if let Some(way) = open.or(self.pinhole) {
            self.relieve(at, flows, solved, claims, (first_part, way));
            return;
        }
        solved.plain.clear();
        solved.plain.extend(solved.passages.iter().map(Passage::plain));
        solved.plain_claims.clear();
        solved.plain_claims.extend(claims.iter().map(Claims::plain));
        let (p0, slope) = self.search(&solved.plain_claims, &mut solved.plain);
        // One exact step in the number type: right value, right first derivative.
        for (out, passage) in solved.out_kg_s.iter_mut().zip(&solved.passages) {
            *out = passage.flow(R::c(p0));
        }
        let residual = self.walk(claims, R::c(p0), &solved.out_kg_s, |_, _| ());
        let step = residual * (-1.0 / slope);
        solved.p0_pa = step + p0;
        for (out, plain) in solved.out_kg_s.iter_mut().zip(&solved.plain) {
            *out += step * plain.slope;
        }
        let net_w = self.post(at, flows, claims, (solved.p0_pa, &solved.out_kg_s), first_part);
        self.breathe(flows, net_w, at.total_pa);
        self.counterflow(at, flows, solved, first_part);
    }

    /// Breathing: the net outflow through all openings, counted at box temperature. Heating and
    /// evaporation cause it; a steady stream that comes in cold and leaves warm is none.
    fn breathe<R: Real>(&self, flows: &mut Flows<'_, R>, net_w: R, total_pa: f64) {
        if net_w.val() > 0.0 {
            flows.pace(self.displaced, net_w / total_pa);
        }
    }

    fn claims<R: Real>(
        &self,
        k: usize,
        zone: &Zone,
        at: &At<'_, R>,
        flows: &Flows<'_, R>,
    ) -> Claims<R> {
        let z: &ZoneAir<R> = &at.zones[k];
        let neighbour = |i: Option<usize>| {
            i.and_then(|i| at.zones.get(i)).map_or(R::c(1.0), |n| z.push(&n.air))
        };
        let spring = z.spring(zone.volume_m3);
        let excess = z.excess(at.total_pa);
        Claims {
            surplus: z.surplus(flows.net(zone.gas)) + spring * excess,
            spring,
            out: z.push_out(),
            from_room: z.push(&at.room),
            from_next: neighbour(Some(k + 1)),
            from_previous: neighbour(k.checked_sub(1)),
        }
    }

    /// Finds p0 on plain values, from a start that depends on nothing but the state, so that the
    /// right-hand side stays a function of the state alone. Returns it with the slope of the
    /// residual there.
    fn search(&self, zones: &[Claims<f64>], plain: &mut [Passage<f64>]) -> (f64, f64) {
        let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
        let mut p0 = first_guess(plain);
        let mut slope = -1.0;
        for _ in 0..MAX_STEPS {
            let residual;
            (residual, slope) = self.residual(zones, plain, p0);
            // The residual falls as p0 rises.
            if residual > 0.0 {
                low = p0;
            } else {
                high = p0;
            }
            let newton = p0 - residual / slope;
            let next = if newton > low && newton < high {
                newton
            } else if low.is_finite() && high.is_finite() {
                0.5 * (low + high)
            } else {
                newton
            };
            let least = plain.iter().fold(f64::INFINITY, |m, p| m.min(p.looked_pa));
            let done = (next - p0).abs() <= CONVERGED * least + ROUND_OFF_PA;
            if done || !next.is_finite() {
                break;
            }
            p0 = next;
        }
        (p0, slope)
    }

    /// Residual of the last zone \[W\] at `p0` and its slope \[W/Pa\].
    #[inline]
    fn residual(&self, zones: &[Claims<f64>], plain: &mut [Passage<f64>], p0: f64) -> (f64, f64) {
        let mut surplus = [0.0; MAX_ZONES];
        let mut slope = [0.0; MAX_ZONES];
        for (opening, law) in self.openings.iter().zip(plain) {
            let flow = law.flow_and_slope(p0);
            let z = &zones[opening.zone];
            let claim = if flow >= 0.0 { z.out } else { z.from_room };
            surplus[opening.zone] -= flow * claim;
            slope[opening.zone] -= law.slope * claim;
        }
        let (mut carried, mut steep) = (0.0, 0.0);
        for (k, z) in zones.iter().enumerate() {
            let total = z.surplus - z.spring * p0 + surplus[k] + carried;
            let total_slope = slope[k] - z.spring + steep;
            if k + 1 == zones.len() {
                return (total, total_slope);
            }
            let next = &zones[k + 1];
            let ratio =
                if total >= 0.0 { next.from_previous / z.out } else { next.out / z.from_next };
            carried = total * ratio;
            steep = total_slope * ratio;
        }
        (f64::NAN, f64::NAN)
    }

    /// Walks down the chain with the pressure `p0` and the flows `out`; calls `leg(k, flow)` with the
    /// dry-air flow from zone k to k + 1 and returns the surplus left in the last zone.
    #[inline]
    fn walk<R: Real>(
        &self,
        zones: &[Claims<R>],
        p0: R,
        out: &[R],
        mut leg: impl FnMut(usize, R),
    ) -> R {
        let mut carried = R::c(0.0);
        for (k, z) in zones.iter().enumerate() {
            let mut total = z.surplus - z.spring * p0 + carried;
            for (opening, flow) in self.openings.iter().zip(out) {
                if opening.zone == k {
                    let claim = if flow.val() >= 0.0 { z.out } else { z.from_room };
                    total -= *flow * claim;
                }
            }
            if k + 1 == zones.len() {
                return total;
            }
            let next = &zones[k + 1];
            let forward = total.val() >= 0.0;
            let flow = total / if forward { z.out } else { z.from_next };
            carried = flow * if forward { next.from_previous } else { next.out };
            leg(k, flow);
        }
        R::c(f64::NAN)
    }

    /// Posts the flows of all openings and legs; returns the net volume rate out times pressure \[W\].
    fn post<R: Real>(
        &self,
        at: &At<'_, R>,
        flows: &mut Flows<'_, R>,
        claims: &[Claims<R>],
        (p0, out): (R, &[R]),
        first_part: usize,
    ) -> R {
        let mut net_w = R::c(0.0);
        for (i, (opening, flow)) in self.openings.iter().zip(out).enumerate() {
            flows.set_part(first_part + 1 + i);
            let zone = self.zones[opening.zone].gas;
            let inside = &at.zones[opening.zone].air;
            let air = if flow.val() >= 0.0 { inside } else { &at.room };
            net_w += *flow * (air.ratio * R_VAPOUR + R_AIR) * inside.temp_k;
            if flow.val() >= 0.0 {
                flows.gas(zone, opening.out, *flow, air);
            } else {
                flows.gas(opening.back, zone, -*flow, air);
            }
        }
        flows.set_part(first_part);
        self.walk(claims, p0, out, |k, flow| self.post_leg(at, flows, k, flow));
        net_w
    }

    fn post_leg<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>, k: usize, flow: R) {
        let (from, to) = (self.zones[k].gas, self.zones[k + 1].gas);
        let upstream = if flow.val() >= 0.0 { k } else { k + 1 };
        let air = &at.zones[upstream].air;
        flows.gas(from, to, flow, air);
    }

    /// A box with its lid off, or without openings: it keeps the room's pressure by a way in its last zone,
    /// which takes what the openings leave.
    fn relieve<R: Real>(
        &self,
        at: &At<'_, R>,
        flows: &mut Flows<'_, R>,
        solved: &mut Solved<R>,
        claims: &[Claims<R>],
        (first_part, way): (usize, Way),
    ) {
        solved.p0_pa = R::c(0.0);
        for (out, passage) in solved.out_kg_s.iter_mut().zip(&solved.passages) {
            *out = passage.flow(R::c(0.0));
        }
        let through = self.post(at, flows, claims, (R::c(0.0), &solved.out_kg_s), first_part);
        let surplus = self.walk(claims, R::c(0.0), &solved.out_kg_s, |_, _| ());
        self.breathe(flows, through + surplus, at.total_pa);
        let last = self.zones.len() - 1;
        let (zone, claim) = (self.zones[last].gas, &claims[last]);
        let air = &at.zones[last].air;
        flows.set_part(way.part);
        if surplus.val() >= 0.0 {
            flows.gas(zone, way.out, surplus / claim.out, air);
        } else {
            let flow = -surplus / claim.from_room;
            flows.gas(way.back, zone, flow, &at.room);
        }
        self.counterflow(at, flows, solved, first_part);
    }

    /// Warm and cold air that pass each other in one opening. As much comes in as takes the volume
    /// of what goes out, so that the balance of pressure sees nothing of it.
    fn counterflow<R: Real>(
        &self,
        at: &At<'_, R>,
        flows: &mut Flows<'_, R>,
        solved: &Solved<R>,
        first_part: usize,
    ) {
        for (i, opening) in self.openings.iter().enumerate() {
            let Some(exchange) = &opening.exchange else { continue };
            let zone = &at.zones[opening.zone];
            let dp = solved.passages[i].drive_pa + solved.p0_pa;
            let m3_s = exchange.flow(&zone.air, &at.room, dp);
            if m3_s.val() <= 0.0 {
                continue;
            }
            flows.set_part(first_part + 1 + i);
            let gas = self.zones[opening.zone].gas;
            let out = m3_s * zone.air.dry_kg_m3;
            let back = out * zone.push_out() / zone.push(&at.room);
            flows.gas(gas, opening.out, out, &zone.air);
            flows.gas(opening.back, gas, back, &at.room);
        }
    }

    /// Posts the diffusion of vapour through each opening.
    ///
    /// Stefan's form, the flux through air that on the whole stands still: the flows of the openings
    /// are counted in dry air, so the drift that evaporation causes is in this logarithm alone. A
    /// linear form would be 6 % low for warm air of 50 %RH.
    pub fn diffusion<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>, first_part: usize) {
        for (i, opening) in self.openings.iter().enumerate() {
            if opening.diffusion_m <= 0.0 {
                continue;
            }
            flows.set_part(first_part + 1 + i);
            let inside = &at.zones[opening.zone].air;
            let d = (inside.diffusivity + at.room.diffusivity) * 0.5;
            let mean_k = (inside.temp_k + at.room.temp_k) * 0.5;
            let (outer_pa, inner_pa) = (at.room.vapour_pa, inside.vapour_pa);
            let m3_s = d * opening.diffusion_m;
            let total_pa = (inside.pressure_pa + at.total_pa) * 0.5;
            let kg_s = stefan_flux(m3_s, mean_k, outer_pa, inner_pa, total_pa);
            let zone = self.zones[opening.zone].gas;
            let inner = (zone.heat, zone.water);
            if kg_s.val() >= 0.0 {
                let outer = (opening.out.heat, opening.out.water);
                flows.vapour(inner, outer, kg_s, inside.temp_k);
            } else {
                let outer = (opening.back.heat, opening.back.water);
                flows.vapour(outer, inner, -kg_s, at.room.temp_k);
            }
        }
    }
}

/// The p0 at which openings of equal sharpness would balance without any surplus: the mean drive
/// weighted by the flow areas; 0 where only a lid that gives way is left.
fn first_guess(plain: &[Passage<f64>]) -> f64 {
    let (mut sum, mut weights) = (0.0, 0.0);
    for opening in plain {
        let weight = opening.weight();
        sum -= weight * opening.drive_pa;
        weights += weight;
    }
    if weights > 0.0 { sum / weights } else { 0.0 }
}

impl<R: Real> Claims<R> {
    fn plain(&self) -> Claims<f64> {
        Claims {
            surplus: self.surplus.val(),
            spring: self.spring.val(),
            out: self.out.val(),
            from_room: self.from_room.val(),
            from_next: self.from_next.val(),
            from_previous: self.from_previous.val(),
        }
    }
}
