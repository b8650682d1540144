//! What mixes the zones of a box while its fan stands still.

use crate::model::air::Air;
use crate::physics::opening::{level_exchange, upright_exchange};
use crate::reader::{Key, Keys, Section, key};
use crate::real::Real;
use crate::units::Kind;

const STILL_EXCHANGE: Key = key::quantity("still_exchange", Kind::VolumeFlow, 1e-6..=0.1)
    .optional()
    .help("measured exchange of the zones without a fan, in place of `heater.place` and `enclosure.zone_opening`");
const PLACE: Key = key::word("place", &PLACES)
    .or_word("beside", "beside the load; above it next to nothing carries the heat away, state it")
    .help("where the heater sits, seen from the load: decides what still air carries");
const ZONE_OPENING: Key = key::quantity("zone_opening", Kind::Area, 1e-6..=25.0)
    .follows("half the width by half the height, or half the floor's edges with the heater below or above (guess)")
    .within(4.0, 'D')
    .help("opening between two zones, for a fan that stands still");
const ZONE_HEIGHT: Key = key::quantity("zone_height", Kind::Length, 1e-3..=5.0)
    .follows("half the height: of the opening, or from zone to zone")
    .within(2.0, 'D')
    .help("height of that opening, or from zone to zone");

/// Where the heater sits, seen from the load.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum HeaterPlace {
    Below,
    Beside,
    Above,
}

/// Words for `heater.place`.
const PLACES: [&str; 3] = ["beside", "below", "above"];

/// Part of the fan's stream over which it takes the exchange over. Our choice.
const TAKE_OVER: f64 = 0.1;

/// `place` of `[heater]`, `zone_opening` and `zone_height` of `[enclosure]`, `still_exchange` of `[fan]`.
#[derive(Clone, Copy, Debug)]
pub struct StillAir {
    place: HeaterPlace,
    area_m2: f64,
    height_m: f64,
    /// An exchange that the scenario states, in place of the laws \[m3/s\].
    stated_m3_s: Option<f64>,
}

impl StillAir {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[
        Keys::always("fan", "", &[&STILL_EXCHANGE]),
        Keys::always("heater", "", &[&PLACE]),
        Keys::always("enclosure", "", &[&ZONE_OPENING, &ZONE_HEIGHT]),
    ];

    /// Reads the keys of a box of these inner edges.
    pub fn read(root: &Section, size_m: [f64; 3], zones: usize) -> Self {
        let (fan, heater, enclosure) =
            (root.section("fan"), root.section("heater"), root.section("enclosure"));
        let stated_m3_s = fan.quantity_opt(&STILL_EXCHANGE);
        let [length, width, height] = size_m;
        if zones == 1 {
            // A sweep over zones may leave them standing.
            let _ = heater.choice(&PLACE);
            let _ = enclosure.quantity_opt(&ZONE_OPENING);
            let _ = enclosure.quantity_opt(&ZONE_HEIGHT);
            let (area_m2, height_m) = (length * width, height);
            return StillAir { place: HeaterPlace::Beside, area_m2, height_m, stated_m3_s };
        }
        let how = "beside the load; above it next to nothing carries the heat away, state it";
        let place = match heater.choice_by(&PLACE, how) {
            "below" => HeaterPlace::Below,
            "above" => HeaterPlace::Above,
            _ => HeaterPlace::Beside,
        };
        let (area, how) = match place {
            HeaterPlace::Beside => (
                0.5 * length.min(width) * 0.5 * height,
                "half the width by half the height; an open box has 4 times that, slots a quarter (guess)",
            ),
            _ => (
                0.5 * length * 0.5 * width,
                "half the length by half the width; an open box has 4 times that, slots a quarter (guess)",
            ),
        };
        StillAir {
            place,
            area_m2: enclosure.quantity_by(&ZONE_OPENING, area, how),
            height_m: enclosure.quantity_from(&ZONE_HEIGHT, 0.5 * height),
            stated_m3_s,
        }
    }

    /// Gas that two neighbouring zones exchange \[m3/s\] while the fan moves `fan_m3_s`: what warm and
    /// cold air pass each other, and diffusion. That of vapour counts for heat too, which is up to
    /// 15 % more than the gas conducts. What the fan moves comes out of it.
    #[inline]
    pub fn exchange<R: Real>(&self, near: &Air<R>, far: &Air<R>, fan_m3_s: f64) -> R {
        let still = match self.stated_m3_s {
            Some(stated) => R::c(stated),
            None => {
                let denser = (near.density - far.density) * 2.0 / (near.density + far.density);
                let buoyant = match self.place {
                    HeaterPlace::Beside => upright_exchange(self.area_m2, self.height_m, denser),
                    HeaterPlace::Below => level_exchange(self.area_m2, -denser),
                    HeaterPlace::Above => level_exchange(self.area_m2, denser),
                };
                let diffusivity = (near.diffusivity + far.diffusivity) * 0.5;
                buoyant + diffusivity * (self.area_m2 / self.height_m)
            }
        };
        if fan_m3_s > 0.0 {
            (still - fan_m3_s).rounded_positive(TAKE_OVER * fan_m3_s)
        } else {
            still
        }
    }
}
