//! The lid while it is open: box gas is swapped for room gas.

use crate::model::flows::Flows;
use crate::model::network::Way;
use crate::model::part::{At, Part};
use crate::model::site::Site;
use crate::model::store::Gas;
use crate::reader::Section;
use crate::real::Real;
use crate::units::Kind;

/// One opening of the lid.
#[derive(Clone, Debug)]
pub struct LidEvent {
    /// Name of the event in the scenario.
    pub name: String,
    /// When it opens \[s\].
    pub at_s: f64,
    /// When it closes \[s\].
    pub end_s: f64,
    /// Share of the gas swapped in the whole time, 0..1.
    pub share: f64,
}

/// `[event.<name>]` with `kind = "lid_open"`.
pub type LidSpec = LidEvent;

impl LidEvent {
    /// Reads `at`, `duration` and `exchange`.
    pub fn read(s: &Section) -> Self {
        let at_s = s.quantity("at", Kind::Time, 0.0..=1e8);
        let duration = s.quantity("duration", Kind::Time, 0.5..=1e5);
        let share = s.quantity("exchange", Kind::Share, 0.0..=1.0);
        if share > MOST_SWAPPED {
            s.fail(
                "exchange",
                "exchange-complete",
                "swaps more than 99.9 % of the gas",
                Some("well-mixed air is replaced by halves, never completely"),
                Some("write \"99 %\" for a lid taken off for good".into()),
            );
        }
        LidEvent { name: s.name(), at_s, end_s: at_s + duration, share: share.min(MOST_SWAPPED) }
    }
}

/// A complete swap of well-mixed gas would take an infinite flow.
const MOST_SWAPPED: f64 = 0.999;

/// All lid openings of a run.
#[derive(Clone, Debug)]
pub struct Lid {
    /// Their times, in order.
    pub events: Vec<LidEvent>,
    zones: Vec<(Gas, f64)>,
    way: Way,
}

impl Lid {
    /// Makes the part of this number; `events` must not overlap.
    pub fn build(mut events: Vec<LidEvent>, part: usize, site: &mut Site) -> Lid {
        events.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        Lid {
            events,
            zones: site.zones.iter().map(|z| (z.gas, z.volume_m3)).collect(),
            way: Way::new(part, "lid", &mut site.layout),
        }
    }
}

impl Lid {
    /// The way out and in.
    pub fn way(&self) -> Way {
        self.way
    }
}

impl Part for Lid {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let Some(event) = at.modes.lid.map(|i| &self.events[i]) else { return };
        // Well-mixed washout: the stated share is gone after the stated time.
        let per_s = -(1.0 - event.share).ln() / (event.end_s - event.at_s);
        for ((gas, volume_m3), zone) in self.zones.iter().zip(at.zones) {
            let air = &zone.air;
            let out = air.dry_kg_m3 * (volume_m3 * per_s);
            // As much room air as takes the same volume, so that the openings see nothing of it.
            let back = out * zone.push_out() / zone.push(&at.room);
            flows.gas(*gas, self.way.out, out, air.ratio, air.enthalpy);
            flows.gas(self.way.back, *gas, back, at.room.ratio, at.room.enthalpy);
        }
    }
}
