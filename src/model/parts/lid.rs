//! The lid while it is open: box gas is swapped for room gas, and what is inside radiates to the room.

use crate::address::{Place, Quantity};
use crate::model::flows::Flows;
use crate::model::network::Way;
use crate::model::part::{At, Part};
use crate::model::site::Site;
use crate::model::store::{Gas, Heat};
use crate::physics::opening::{level_exchange, upright_exchange};
use crate::physics::surface::radiative_coefficient;
use crate::reader::{Key, Section, key};
use crate::real::Real;
use crate::units::Kind;

const AT: Key = key::quantity("at", Kind::Time, 0.0..=1e8).help("when it begins");
const DURATION: Key = key::quantity("duration", Kind::Time, 0.5..=1e5).help("how long it is open");
const FACES: Key = key::word("faces", &["up", "side"])
    .or_word("up", "a lid; a door is a side")
    .help("a lid looks up, a door to the side");
const OPENING_AREA: Key = key::quantity("opening_area", Kind::Area, 1e-5..=25.0)
    .optional()
    .help("area that is open, from which the exchange of air follows");
const EXCHANGE: Key = key::quantity("exchange", Kind::Share, 0.0..=1.0)
    .optional()
    .help("share of the box's gas that is room air when it closes, as an inert tracer would show");

/// One opening of the lid: `[event.<name>]` with `kind = "lid_open"`.
#[derive(Clone, Debug)]
pub struct LidEvent {
    /// Name of the event in the scenario.
    pub name: String,
    /// When it opens \[s\].
    pub at_s: f64,
    /// When it closes \[s\].
    pub end_s: f64,
    /// Share of the gas that is room air in the end, where the scenario states it.
    pub share: Option<f64>,
    swap: Swap,
    /// Area through which the inside sees the room \[m2\].
    area_m2: f64,
}

/// How the gas is swapped.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Swap {
    /// At a constant pace \[1/s\], so that the stated share is room air in the end.
    Pace(f64),
    /// By its own weight through an opening that faces up.
    Level,
    /// The same through an upright opening of this height \[m\].
    Upright(f64),
}

/// What the lid covers: area of the top and of the largest side \[m2\], inner height \[m\].
#[derive(Clone, Copy, Debug)]
pub struct Covered {
    /// Area of the top.
    pub top_m2: f64,
    /// Area of the largest side.
    pub side_m2: f64,
    /// Height of it.
    pub height_m: f64,
}

impl LidEvent {
    /// Its keys.
    pub const KEYS: &'static [&'static Key] = &[&DURATION, &EXCHANGE, &OPENING_AREA, &FACES];

    /// Reads `at`, `duration`, `faces` and either `exchange` or `opening_area`.
    pub fn read(s: &Section, covered: &Covered) -> Self {
        let at_s = s.quantity(&AT);
        let duration_s = s.quantity(&DURATION);
        let upright = s.choice(&FACES) == "side";
        let whole_m2 = if upright { covered.side_m2 } else { covered.top_m2 };
        let opened_m2 = s.quantity_opt(&OPENING_AREA);
        if let Some(area) = opened_m2
            && area > whole_m2 * 1.001
            && s.is_valid("opening_area")
        {
            let what = "is more than the wall that it opens";
            let hint = format!("write {} or less", crate::units::format(Kind::Area, whole_m2));
            s.fail("opening_area", "opening-too-large", what, None, Some(hint));
        }
        let share = opened_m2.is_none().then(|| Self::read_share(s)).flatten();
        if opened_m2.is_some() && s.has(&EXCHANGE) {
            let why = "the one states the exchange of air, the other lets it follow";
            let hint = "keep one of the two".to_owned();
            let what = "is given beside opening_area";
            s.fail("exchange", "two-exchanges", what, Some(why), Some(hint));
        }
        let swap = match share {
            Some(share) => Swap::Pace(-(1.0 - share.min(MOST_SWAPPED)).ln() / duration_s),
            None if upright => Swap::Upright(covered.height_m),
            None => Swap::Level,
        };
        let area_m2 = opened_m2.unwrap_or_else(|| {
            s.derived(
                "opening_area",
                Kind::Area,
                whole_m2,
                "the whole lid, for its radiation only",
            );
            whole_m2
        });
        LidEvent { name: s.name(), at_s, end_s: at_s + duration_s, share, swap, area_m2 }
    }

    fn read_share(s: &Section) -> Option<f64> {
        if s.is_present() && !s.has(&EXCHANGE) {
            let what = "is not given, nor is opening_area";
            let hint = "write exchange = \"60 %\" (share of the gas that is room air in the end) or \
                        opening_area = \"300 cm²\"";
            s.fail("exchange", "missing-key", what, None, Some(hint.into()));
            return None;
        }
        Some(s.quantity(&EXCHANGE))
    }
}

/// A complete swap of well-mixed gas would take an infinite flow: 100 % means this share.
const MOST_SWAPPED: f64 = 0.999;

/// Emissivity of an open box: a cavity is nearly black. Source: \[Incropera2007\], ch. 12 (from memory).
const CAVITY: f64 = 1.0;

/// All lid openings of a run.
#[derive(Clone, Debug)]
pub struct Lid {
    /// Their times, in order.
    pub events: Vec<LidEvent>,
    zones: Vec<LidZone>,
    way: Way,
    radiated: Heat,
}

/// What lies open of one zone.
#[derive(Clone, Copy, Debug)]
struct LidZone {
    gas: Gas,
    volume_m3: f64,
    /// Share of the opening.
    share: f64,
    wall: Heat,
}

impl Lid {
    /// Makes the part of this number; `events` must not overlap.
    pub fn build(mut events: Vec<LidEvent>, part: usize, site: &mut Site) -> Lid {
        events.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        let all_m3: f64 = site.zones.iter().map(|z| z.volume_m3).sum();
        let zones = site.zones.iter().zip(&site.wall_faces).map(|(z, wall)| LidZone {
            gas: z.gas,
            volume_m3: z.volume_m3,
            share: z.volume_m3 / all_m3,
            wall: *wall,
        });
        Lid {
            events,
            zones: zones.collect(),
            way: Way::new(part, Place::Lid, &mut site.layout),
            radiated: site.layout.heat_total(Place::Lid, Quantity::RadiatedOut),
        }
    }

    /// The way out and in.
    pub fn way(&self) -> Way {
        self.way
    }

    /// Running total of the heat radiated to the room.
    pub fn radiated(&self) -> Heat {
        self.radiated
    }
}

impl Part for Lid {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let Some(event) = at.modes.lid.map(|i| &self.events[i]) else { return };
        for (own, zone) in self.zones.iter().zip(at.zones) {
            let air = &zone.air;
            let area_m2 = event.area_m2 * own.share;
            // Room air that enters takes the volume of the gas that leaves, so that the openings see nothing of it.
            let (out, back) = (zone.push_out(), zone.push(&at.room));
            let mean = (at.room.density + air.density) * 0.5;
            let lighter = (at.room.density - air.density) / mean;
            let swapped_m3_s = match event.swap {
                // What enters per dry air that is there decides on the share of a tracer.
                Swap::Pace(per_s) => back / out * (own.volume_m3 * per_s),
                Swap::Level => level_exchange(event.area_m2, lighter) * own.share,
                Swap::Upright(height_m) => upright_exchange(area_m2, height_m, lighter),
            };
            let leaving = swapped_m3_s * air.dry_kg_m3;
            flows.gas(own.gas, self.way.out, leaving, air);
            flows.gas(self.way.back, own.gas, leaving * out / back, &at.room);
            let (wall_k, room_k) = (at.temp_k(own.wall), at.room.temp_k);
            let w_k = radiative_coefficient(CAVITY, wall_k, room_k) * area_m2;
            flows.heat(own.wall, self.radiated, w_k * (wall_k - room_k));
        }
    }
}
