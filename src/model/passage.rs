//! One opening at one instant: its drive, its resistances for either gas, and the flow they give.

use super::openings::{FAN_CURVE_DENSITY, Opening};
use super::part::At;
use crate::physics::constants::GRAVITY;
use crate::physics::opening::Resistance;
use crate::real::Real;

/// A resistance with the dry air per volume of the gas that flows \[kg/m3\].
#[derive(Clone, Copy, Debug)]
struct Law<R> {
    resistance: Resistance<R>,
    dry: R,
}

impl<R: Real> Law<R> {
    fn plain(&self) -> Law<f64> {
        let Resistance { linear, square } = self.resistance;
        let resistance = Resistance { linear: linear.val(), square: square.val() };
        Law { resistance, dry: self.dry.val() }
    }

    #[inline]
    fn flow(&self, dp_pa: R) -> R {
        self.resistance.flow(dp_pa) * self.dry
    }
}

impl Law<f64> {
    /// Flow and its slope.
    #[inline]
    fn both(&self, dp_pa: f64) -> (f64, f64) {
        let (q, slope) = self.resistance.flow_and_slope(dp_pa);
        (q * self.dry, slope * self.dry)
    }
}

/// An opening ready to be solved for the pressure of the box.
#[derive(Clone, Copy, Debug)]
pub(super) struct Passage<R> {
    /// Pressure inside over outside, without p0 \[Pa\].
    pub(super) drive_pa: R,
    forward: Law<R>,
    backward: Law<R>,
    /// Pressure, either way, below which nothing passes \[Pa\].
    holds_pa: f64,
    /// A flap that opens beyond a pressure (with its sign turned), and what it then lets out.
    flap: Option<(R, Law<R>)>,
    /// Slope of the dry-air flow at the pressure looked at last \[kg/(s Pa)\].
    pub(super) slope: f64,
    /// Pressure difference looked at last, without its sign \[Pa\].
    pub(super) looked_pa: f64,
}

impl<R: Real> Passage<R> {
    /// The passage of `opening` as things stand.
    #[inline]
    pub(super) fn new(opening: &Opening, at: &At<'_, R>) -> Self {
        let zone = &at.zones[opening.zone].air;
        let drive_pa = (at.room.density - zone.density) * (GRAVITY * opening.height_m)
            + opening.pressure_share * at.modes.fan.pressure_pa;
        let resist = |air: &super::air::Air<R>| Law {
            resistance: opening.geometry.resistance(air.viscosity, air.density),
            dry: air.dry_kg_m3,
        };
        let mut passage = Passage {
            drive_pa,
            forward: resist(zone),
            backward: resist(&at.room),
            holds_pa: opening.holds_pa,
            flap: None,
            slope: 0.0,
            looked_pa: 0.0,
        };
        if let Some(exhaust) = &opening.exhaust {
            let open = Law {
                resistance: exhaust.open.resistance(zone.viscosity, zone.density),
                dry: zone.dry_kg_m3,
            };
            if at.modes.exhaust.on {
                // The flap is pushed open; what it needs to stay open is lost. Backwards it closes.
                let boost = zone.density * (exhaust.max_pa / FAN_CURVE_DENSITY);
                passage.drive_pa += boost - exhaust.crack_pa;
                passage.forward = open;
            } else {
                passage.flap = Some((R::c(-exhaust.crack_pa), open));
            }
        }
        passage
    }

    /// Dry air out at the floor pressure `p0_pa` \[kg/s\].
    #[inline]
    pub(super) fn flow(&self, p0_pa: R) -> R {
        let dp = beyond(self.drive_pa + p0_pa, self.holds_pa);
        let law = if dp.val() >= 0.0 { &self.forward } else { &self.backward };
        let mut flow = law.flow(dp);
        if let Some((shift, open)) = &self.flap {
            let dp = dp + *shift;
            if dp.val() > 0.0 {
                flow += open.flow(dp);
            }
        }
        flow
    }

    /// The same on plain numbers.
    #[inline]
    pub(super) fn plain(&self) -> Passage<f64> {
        Passage {
            drive_pa: self.drive_pa.val(),
            forward: self.forward.plain(),
            backward: self.backward.plain(),
            holds_pa: self.holds_pa,
            flap: self.flap.as_ref().map(|(shift, law)| (shift.val(), law.plain())),
            slope: 0.0,
            looked_pa: 0.0,
        }
    }
}

impl Passage<f64> {
    /// Dry-air flow out \[kg/s\] at `p0`; keeps its slope.
    #[inline]
    pub(super) fn flow_and_slope(&mut self, p0: f64) -> f64 {
        let held = p0 + self.drive_pa;
        let dp = beyond(held, self.holds_pa);
        if self.holds_pa > 0.0 && dp == 0.0 {
            self.slope = 0.0;
            self.looked_pa = self.holds_pa - held.abs();
            return 0.0;
        }
        let law = if dp >= 0.0 { &self.forward } else { &self.backward };
        let (mut flow, mut slope) = law.both(dp);
        if let Some((shift, open)) = &self.flap
            && dp + shift > 0.0
        {
            let (more, steeper) = open.both(dp + shift);
            flow += more;
            slope += steeper;
        }
        self.slope = slope;
        self.looked_pa = dp.abs();
        flow
    }

    /// A measure of the flow area, to weigh the openings by.
    pub(super) fn weight(&self) -> f64 {
        if self.holds_pa > 0.0 { 0.0 } else { 1.0 / self.forward.resistance.square.sqrt() }
    }
}

/// What of a pressure difference is left where the first `holds_pa` of it, either way, move nothing.
#[inline]
fn beyond<R: Real>(dp_pa: R, holds_pa: f64) -> R {
    if holds_pa <= 0.0 {
        dp_pa
    } else if dp_pa.val() > holds_pa {
        dp_pa - holds_pa
    } else if dp_pa.val() < -holds_pa {
        dp_pa + holds_pa
    } else {
        R::c(0.0)
    }
}
