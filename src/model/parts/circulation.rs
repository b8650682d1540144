//! The fan: the stream it drives round the chain of zones, its pressure and its waste heat.

use crate::address::Place;
use crate::model::air::Zone;
use crate::model::fan::FanSpec;
use crate::model::flows::Flows;
use crate::model::part::{At, Part};
use crate::model::parts::StillAir;
use crate::model::site::Site;
use crate::model::store::{Gas, Heat};
use crate::real::Real;

impl FanSpec {
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
