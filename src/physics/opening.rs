//! Flow laws of openings. Every opening is a resistance `dp = linear Q + square Q^2`.

use crate::real::Real;
use std::f64::consts::PI;

/// A flow resistance for one gas: pressure difference \[Pa\] = `linear` Q + `square` Q |Q|,
/// Q in m3/s at the density of the gas in the opening.
#[derive(Clone, Copy, Debug)]
pub struct Resistance<R> {
    /// Viscous coefficient \[Pa s/m3\].
    pub linear: R,
    /// Inertial coefficient \[Pa s2/m6\].
    pub square: R,
}

impl<R: Real> Resistance<R> {
    /// Volume flow \[m3/s\] under the pressure difference `dp_pa`, with its sign.
    ///
    /// The rationalised root keeps its digits near zero, where the flow is `dp / linear`.
    #[inline]
    pub fn flow(&self, dp_pa: R) -> R {
        dp_pa * 2.0 / (self.linear + (self.linear.sq() + self.square * dp_pa.abs() * 4.0).sqrt())
    }

    /// Flow \[m3/s\] with its slope over the pressure difference \[m3/(s Pa)\]: the root of the
    /// quadratic is the inverse of the slope.
    #[inline]
    pub fn flow_and_slope(&self, dp_pa: R) -> (R, R) {
        let root = (self.linear.sq() + self.square * dp_pa.abs() * 4.0).sqrt();
        (dp_pa * 2.0 / (self.linear + root), root.recip_of(1.0))
    }

    /// Slope of the flow over the pressure difference \[m3/(s Pa)\] where the flow is `flow_m3_s`.
    #[inline]
    pub fn slope(&self, flow_m3_s: R) -> R {
        (self.linear + self.square * flow_m3_s.abs() * 2.0).recip_of(1.0)
    }
}

/// What an opening of fixed geometry does to any gas: `linear` is per viscosity \[1/m3\], `square`
/// per density \[1/m4\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Geometry {
    /// Viscous coefficient over viscosity \[1/m3\].
    pub per_viscosity: f64,
    /// Inertial coefficient over density \[1/m4\].
    pub per_density: f64,
}

impl Geometry {
    /// The resistance for a gas of this viscosity \[Pa s\] and density \[kg/m3\].
    #[inline]
    pub fn resistance<R: Real>(&self, viscosity: R, density: R) -> Resistance<R> {
        Resistance { linear: viscosity * self.per_viscosity, square: density * self.per_density }
    }
}

/// A round hole of diameter `d_m` through a wall of thickness `depth_m`.
///
/// ```text
/// dp = (mu Q / r^3)(3 + 8 L/(pi r)) + K(L/d) (rho/2)(Q/A)^2
/// ```
/// Sampson's orifice and Poiseuille's pipe in series, plus an inertial loss. Re 0 to 5000,
/// d 0.5 to 15 mm, L/d 0 to 4; about 10 % for a clean drilled hole, 25 % for a printed one.
///
/// Source: \[Sampson1891\], \[Dagan1982\]. Checked in: `tests/published/openings.rs`.
pub fn hole(d_m: f64, depth_m: f64) -> Geometry {
    let r = 0.5 * d_m;
    let area = PI * r * r;
    Geometry {
        per_viscosity: (3.0 + 8.0 * depth_m / (PI * r)) / r.powi(3),
        per_density: hole_loss(depth_m / d_m) / (2.0 * area * area),
    }
}

/// Loss coefficient of a thick-edged orifice in a large wall, from `l_over_d` = thickness/diameter.
///
/// `K = 1.5 + (2.4 - x) 10^-(0.25 + 0.535 x^8/(0.05 + x^7))`, x at most 2.4; within 3.5 % of the
/// tabulated values. Source: \[Idelchik2006\], ch. 4 (table from memory).
/// Checked in: `tests/published/openings.rs`.
pub fn hole_loss(l_over_d: f64) -> f64 {
    let x = l_over_d.min(2.4);
    let tau = 0.25 + 0.535 * x.powi(8) / (0.05 + x.powi(7));
    1.5 + (2.4 - x) * 10f64.powf(-tau)
}

/// A seam of length `w_m`, gap `b_m` and land depth `z_m` with `bends` right-angle bends.
///
/// ```text
/// dp = 12 mu z Q/(w b^3) + (1.5 + bends)(rho/2)(Q/(w b))^2
/// ```
/// Laminar, Re = 2 b v/nu < 2000. The gap enters cubed: fit it, do not measure it with a ruler.
///
/// Source: \[Baker1987\]. Checked in: `tests/published/openings.rs`.
pub fn seam(w_m: f64, b_m: f64, z_m: f64, bends: f64) -> Geometry {
    let area = w_m * b_m;
    Geometry {
        per_viscosity: 12.0 * z_m / (w_m * b_m.powi(3)),
        per_density: (1.5 + bends) / (2.0 * area * area),
    }
}

/// Effective diffusion length \[m\] of a round hole: its depth and an end correction on each side.
///
/// `stirred_inside` drops the inner correction. Source: \[Rayleigh1878\] (pi/4 r each side).
pub fn diffusion_length_m(d_m: f64, depth_m: f64, stirred_inside: bool) -> f64 {
    let end = PI / 4.0 * 0.5 * d_m;
    depth_m + end * if stirred_inside { 1.0 } else { 2.0 }
}

/// Each half of a round hole in which warm air leaves above and cold air enters below.
///
/// Half the area, and viscous drag by the hydraulic diameter of a half disc, `2 pi r/(pi + 2)`. An
/// estimate: other readings differ by a factor of 2 to 4. Our own, after the usual treatment of
/// doorways \[BrownSolvason1962\]. Checked in: `tests/published/openings.rs`.
pub fn half_hole(d_m: f64, depth_m: f64) -> Geometry {
    let whole = hole(d_m, depth_m);
    let narrower = (PI + 2.0) / PI;
    Geometry {
        per_viscosity: whole.per_viscosity * 2.0 * narrower * narrower,
        per_density: whole.per_density * 4.0,
    }
}

/// Exchange through a single hole in the lid \[m3/s\] with gas inside that is `lighter` \[kg/m3\].
///
/// ```text
/// Q = sqrt(d^5 g drho/rho) 0.055 [1 + 400 x^3]^(1/6) / {1 + 0.00527 (1 + 400 x^3)^(1/2) (x^6 + 117 x^2)^(3/4)}^(1/3)
/// ```
/// x = L/d, 0.01 to 10, from brine over water: inviscid. In air it holds only well above the
/// limit `Ra = g drho r^4 / ((L + 0.785 d) mu D) = 67.9`, below which dense over light air is
/// stable in a tube; the two are joined by a smooth step from Ra 68 to 136 (our interpolation).
///
/// Source: \[Epstein1988\] (constants from memory), \[Taylor1954\].
#[inline]
pub fn lid_exchange<R: Real>(
    d_m: f64,
    depth_m: f64,
    lighter: R,
    room_density: R,
    viscosity: R,
    diffusivity: R,
) -> R {
    let r = 0.5 * d_m;
    let stable = (depth_m + PI / 4.0 * d_m) / (super::constants::GRAVITY * r.powi(4));
    let rayleigh = lighter / (viscosity * diffusivity * stable);
    let step = rayleigh / STABLE_RAYLEIGH - 1.0;
    if step.val() <= 0.0 {
        return R::c(0.0);
    }
    let number = exchange_number(depth_m / d_m);
    let scale = (lighter / room_density * (super::constants::GRAVITY * d_m.powi(5))).sqrt();
    let smooth =
        if step.val() >= 1.0 { R::c(1.0) } else { step.sq() * R::from_sub(3.0, step * 2.0) };
    scale * smooth * number
}

/// `Q / sqrt(d^5 g drho/rho)` of a level opening `depth_over_d` deep. Source: \[Epstein1988\] (constants
/// from memory).
fn exchange_number(depth_over_d: f64) -> f64 {
    let x = depth_over_d.clamp(0.01, 10.0);
    let cubic = 1.0 + 400.0 * x.powi(3);
    let drag = 1.0 + 0.00527 * cubic.sqrt() * (x.powi(6) + 117.0 * x * x).powf(0.75);
    0.055 * cubic.powf(1.0 / 6.0) / drag.cbrt()
}

/// Discharge coefficient of an upright opening: 0.6 to 1. Source: \[BrownSolvason1962\].
const UPRIGHT_DISCHARGE: f64 = 0.8;

/// Relative difference of density below which the root in the laws of wide openings is rounded: that
/// of 0.1 K of air. Our choice.
const ROUNDED_DIFFERENCE: f64 = 3.3e-4;

/// The root of a positive `x`; below [`ROUNDED_DIFFERENCE`] it turns into a parabola, so that the
/// slope at zero is zero and not infinite. 1 % low at ten times that.
#[inline]
fn rounded_root<R: Real>(x: R) -> R {
    let x2 = x.sq();
    let sum = (x2 + ROUNDED_DIFFERENCE * ROUNDED_DIFFERENCE).sqrt();
    x2 / (sum * sum.sqrt())
}

/// Gas that passes each way \[m3/s\] through a wide upright opening between two bodies of gas whose
/// densities differ by the share `difference` of their mean, whichever is the lighter.
///
/// ```text
/// Q = C/3 A sqrt(g H drho/rho)
/// ```
/// Inviscid: for openings of centimetres, not for holes. Source: \[BrownSolvason1962\].
/// Checked in: `tests/published/still_air.rs`.
#[inline]
pub fn upright_exchange<R: Real>(area_m2: f64, height_m: f64, difference: R) -> R {
    let scale = UPRIGHT_DISCHARGE / 3.0 * area_m2 * (super::constants::GRAVITY * height_m).sqrt();
    rounded_root(difference) * scale
}

/// The same through a wide level opening in a thin floor, the gas above being `denser` by this share
/// of the mean density; none where it is the lighter one. Source: \[Epstein1988\].
#[inline]
pub fn level_exchange<R: Real>(area_m2: f64, denser: R) -> R {
    if denser.val() <= 0.0 {
        return R::c(0.0);
    }
    let d_m = (4.0 / PI * area_m2).sqrt();
    rounded_root(denser) * (exchange_number(0.0) * (super::constants::GRAVITY * d_m.powi(5)).sqrt())
}

/// Rayleigh number at which dense over light air in a vertical tube turns unstable.
/// Source: \[Taylor1954\] (from memory).
const STABLE_RAYLEIGH: f64 = 67.9;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn flow_and_pressure_are_inverses_and_odd() {
        let r = hole(4e-3, 3e-3).resistance(1.9e-5, 1.05);
        for dp in [1e-6, 0.1, 3.0, 50.0] {
            let q = r.flow(dp);
            assert!((r.linear * q + r.square * q * q - dp).abs() < 1e-12 * (1.0 + dp));
            assert_eq!(r.flow(-dp), -q);
            let h = dp * 1e-5;
            let slope = (r.flow(dp + h) - r.flow(dp - h)) / (2.0 * h);
            assert!((r.slope(q) / slope - 1.0).abs() < 1e-6);
            let (flow, steep) = r.flow_and_slope(dp);
            assert!(flow == q && (steep / r.slope(q) - 1.0).abs() < 1e-12);
        }
        assert_eq!(r.flow(0.0), 0.0);
    }

    #[test]
    fn a_seam_follows_the_cube_of_its_gap_when_slow() {
        let q = |b| seam(0.8, b, 8e-3, 0.0).resistance(1.9e-5, 1.0).flow(1e-4_f64);
        assert!((q(2e-4) / q(1e-4) - 8.0).abs() < 0.05);
    }
}
