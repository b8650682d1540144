//! The heating element by itself: what it draws at which temperature.

use super::store::Heat;
use crate::physics::element::PtcLaw;
use crate::real::Real;

/// The heating element by itself.
#[derive(Clone, Debug)]
pub struct Element {
    /// Its heat.
    pub heat: Heat,
    /// Its heat capacity \[J/K\].
    pub capacity_j_k: f64,
    /// Power at the supply voltage, at the rated point \[W\].
    pub nominal_w: f64,
    /// PTC law with its resistance ratio at the rated point.
    pub ptc: Option<(PtcLaw, f64)>,
}

impl Element {
    /// Electric power if the element is switched fully on \[W\].
    #[inline]
    pub fn full_power_w<R: Real>(&self, element_k: R) -> R {
        match self.ptc {
            None => R::c(self.nominal_w),
            Some((law, rated)) => law.ratio(element_k).recip_of(self.nominal_w * rated),
        }
    }
}
