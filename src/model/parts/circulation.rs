//! The fan: the stream it drives round the chain of zones, its pressure and its waste heat.

use crate::address::Place;
use crate::model::air::Zone;
use crate::model::flows::Flows;
use crate::model::part::{At, FanState, Part};
use crate::model::parts::StillAir;
use crate::model::site::Site;
use crate::model::store::{Gas, Heat};
use crate::reader::Section;
use crate::real::Real;
use crate::units::Kind;

/// Where a default comes from without a fan.
const STILL: &str = "the fan stands still";

/// `[fan]`.
#[derive(Clone, Debug)]
pub struct FanSpec {
    /// Volume it moves, at the density of the last zone \[m3/s\].
    pub circulation_m3_s: f64,
    /// Pressure between its two sides, as the openings see it \[Pa\].
    pub pressure_pa: f64,
    /// Electric power, all of which ends as heat in the box \[W\].
    pub motor_w: f64,
    /// Speed of the air at loads \[m/s\].
    pub air_speed_m_s: f64,
    /// Share of its speed once the set point has been reached.
    pub reduced: f64,
}

impl FanSpec {
    /// Reads `circulation`, `pressure`, `motor_power`, `air_speed`, `speed_after_warm_up`.
    pub fn read(s: &Section) -> Self {
        let circulation_m3_s = s.quantity("circulation", Kind::VolumeFlow, 0.0..=0.5);
        let still = circulation_m3_s == 0.0;
        let (pressure, pressure_source) = if still {
            (0.0, STILL)
        } else {
            (1.0, "a free stirrer makes 0.3 to 1 Pa, a ducted heater 3 to 15 Pa (common practice)")
        };
        let (speed, speed_source) = if still {
            (0.0, STILL)
        } else {
            (0.5, "small stirred boxes have 0.2 to 2 m/s at the load (common practice)")
        };
        FanSpec {
            circulation_m3_s,
            pressure_pa: s.quantity_or(
                "pressure",
                Kind::Pressure,
                0.0..=500.0,
                pressure,
                pressure_source,
            ),
            motor_w: s.quantity_or(
                "motor_power",
                Kind::Power,
                0.0..=200.0,
                0.0,
                "motor outside the box, or its heat left out",
            ),
            air_speed_m_s: s.quantity_or("air_speed", Kind::Speed, 0.0..=20.0, speed, speed_source),
            reduced: s.quantity_or(
                "speed_after_warm_up",
                Kind::Share,
                0.05..=1.0,
                1.0,
                "full speed all the time",
            ),
        }
    }

    /// What the fan does at a `wanted` share of its speed, of which an event leaves the share `left`,
    /// with the mains on or off.
    ///
    /// Fan laws at a fixed system: flow with the speed, pressure with its square, power with its
    /// cube (common practice). Coefficients follow the root of the flow (laminar plate).
    pub fn state(&self, wanted: f64, left: f64, powered: bool, coupling_exponent: f64) -> FanState {
        let share = if powered { wanted * left } else { 0.0 };
        FanState {
            wanted,
            circulation_m3_s: self.circulation_m3_s * share,
            pressure_pa: self.pressure_pa * share * share,
            motor_w: self.motor_w * share.powi(3),
            speed: share,
            coefficient: share.sqrt(),
            coupling: share.powf(coupling_exponent),
        }
    }

    /// Makes the part.
    pub fn build(&self, still_air: StillAir, site: &mut Site) -> Circulation {
        Circulation {
            still_air,
            zones: site.zones.iter().map(|z: &Zone| z.gas).collect(),
            mains: (self.motor_w > 0.0).then(|| site.layout.mains_total(Place::Fan)),
        }
    }
}

/// The fan's own leg from the last zone back to the first, and what mixes without it.
#[derive(Clone, Debug)]
pub struct Circulation {
    still_air: StillAir,
    zones: Vec<Gas>,
    /// What the motor drew, if its heat ends in the box.
    mains: Option<Heat>,
}

impl Part for Circulation {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let last = self.zones.len() - 1;
        let fan = &at.modes.fan;
        if let Some(mains) = self.mains {
            flows.heat(mains, self.zones[last].heat, R::c(fan.motor_w));
        }
        if last == 0 {
            return;
        }
        let air = &at.zones[last].air;
        let dry = air.dry_kg_m3 * fan.circulation_m3_s;
        flows.gas(self.zones[last], self.zones[0], dry, air);
        for (pair, air) in self.zones.windows(2).zip(at.zones.windows(2)) {
            let (a, b) = (&air[0].air, &air[1].air);
            let exchange = self.still_air.exchange(a, b, fan.circulation_m3_s);
            if exchange.val() > 0.0 {
                let dry = (a.dry_kg_m3 + b.dry_kg_m3) * exchange * 0.5;
                flows.gas(pair[0], pair[1], dry, a);
                flows.gas(pair[1], pair[0], dry, b);
            }
        }
    }
}
