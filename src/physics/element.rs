//! Heating elements: the resistance of a PTC ceramic and the coupling of an element to its stream.

use super::convection::{Facing, Length, Natural};
use super::surface::radiative_coefficient;
use crate::real::Real;

/// Resistance of a PTC element relative to its smallest value, as a smooth three-parameter law.
///
/// ```text
/// ln(R/R_m) = s w ln(1 + exp((T - T_c)/w))
/// ```
/// Our own rounding of the usual two-branch law (flat below the switch temperature, exponential
/// above). Not valid more than about 60 K above `switch_k`, where real ceramics turn back.
///
/// Physics: \[Heywang1961\] (from memory). Checked in: `tests/published/elements.rs`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PtcLaw {
    /// Switch temperature T_c \[K\].
    pub switch_k: f64,
    /// Slope s of ln R above it \[1/K\].
    pub slope_per_k: f64,
    /// Rounding w \[K\].
    pub rounding_k: f64,
}

impl PtcLaw {
    /// `R(T) / R_m`, at least 1.
    #[inline]
    pub fn ratio<R: Real>(&self, temp_k: R) -> R {
        let x = (temp_k - self.switch_k) / self.rounding_k;
        (softplus(x) * (self.slope_per_k * self.rounding_k)).exp()
    }
}

/// `ln(1 + e^x)` without overflow.
#[inline]
fn softplus<R: Real>(x: R) -> R {
    if x.val() > 30.0 {
        x // the rest is below 1e-13
    } else {
        (x.exp() + 1.0).ln()
    }
}

/// Conductance \[W/K\] between an element and the stream that passes it, referred to the stream's
/// inlet temperature: `G = C (1 - exp(-UA/C))` with the stream's capacity rate C \[W/K\].
///
/// Source: \[Incropera2007\], ch. 11 (effectiveness of a wall of uniform temperature).
#[inline]
pub fn stream_conductance<R: Real>(capacity_rate: R, ua_w_k: f64) -> R {
    let ntu = capacity_rate.recip_of(ua_w_k);
    if ntu.val() > 40.0 {
        capacity_rate // the stream leaves at the element's temperature to 4e-18
    } else {
        capacity_rate * R::from_sub(1.0, (-ntu).exp())
    }
}

/// What takes the heat from an element in still air.
#[derive(Clone, Copy, Debug)]
pub enum Still {
    /// This conductance to the air \[W/K\], with all that radiates counted in.
    Stated(f64),
    /// Natural convection to the air and radiation to the wall.
    Surface {
        /// Outer area \[m2\].
        area_m2: f64,
        /// Emissivity.
        emissivity: f64,
        /// Height.
        height: Length,
    },
}

impl Still {
    /// An element of this outer area: an upright square plate with both faces in the air.
    pub fn new(area_m2: f64, emissivity: f64) -> Self {
        Still::Surface { area_m2, emissivity, height: Length::new((0.5 * area_m2).sqrt()) }
    }

    /// Conductances to the air and to the wall around it \[W/K\]. Source: \[ChurchillChu1975\],
    /// \[Incropera2007\], ch. 1. Checked in: `tests/published/still_air.rs`.
    #[inline]
    pub fn w_k<R: Real>(&self, element_k: R, air_k: R, wall_k: R, total_pa: R) -> (R, R) {
        match self {
            Still::Stated(w_k) => (R::c(*w_k), R::c(0.0)),
            Still::Surface { area_m2, emissivity, height } => {
                let mean_k = (element_k + air_k) * 0.5;
                let still = Natural::new(element_k - air_k, mean_k, total_pa);
                (
                    still.coefficient(Facing::Sideways, height) * *area_m2,
                    radiative_coefficient(*emissivity, element_k, wall_k) * *area_m2,
                )
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conductance_lies_below_both_limits() {
        for c in [0.01, 0.5, 9.0, 1e4] {
            let g = stream_conductance(c, 3.0);
            assert!(g > 0.0 && g <= c && g <= 3.0);
        }
    }

    #[test]
    fn ptc_is_flat_when_cold_and_steep_when_hot() {
        let law = PtcLaw { switch_k: 423.15, slope_per_k: 0.12, rounding_k: 8.0 };
        assert!((law.ratio(300.0) - 1.0).abs() < 1e-6);
        let steep = (law.ratio(480.0) / law.ratio(470.0)).ln() / 10.0;
        assert!((steep - 0.12).abs() < 1e-3);
    }
}
