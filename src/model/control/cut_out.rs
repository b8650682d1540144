//! The one-shot thermal cut-out: opens once and stays open.

use super::decider::Decider;
use super::follower::Follower;
use crate::address::Change;
use crate::address::{Place, Quantity};
use crate::model::part::Modes;
use crate::model::reading::See;
use crate::model::site::{Context, Site, ZONE};
use crate::model::store::Lag;
use crate::reader::{Key, Keys, Section, key};
use crate::units::{Kind, ZERO_CELSIUS_K, format};

const PLACE: Key = key::word("place", &["element"])
    .or_word("element", "clamped to the element")
    .help("where it sits, unless `zone` says where");
const TEMPERATURE: Key =
    key::quantity("temperature", Kind::Temperature, ZERO_CELSIUS_K + 20.0..=ZERO_CELSIUS_K + 350.0)
        .help("temperature at which it opens, for good");
const TIME_CONSTANT: Key = key::quantity("time_constant", Kind::Time, 0.1..=3_600.0)
    .or(30.0, "thermal link in a sleeve (order)")
    .within(2.0, 'D')
    .help("its lag");

/// `[cut_out]`.
#[derive(Clone, Debug)]
pub struct CutOutSpec {
    /// Where it sits: a zone, or the element.
    place: Option<usize>,
    /// Temperature at which it opens \[K\].
    limit_k: f64,
    /// Its lag \[s\].
    time_constant_s: f64,
}

impl CutOutSpec {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[Keys::always(
        "cut_out",
        "a one-shot thermal cut-out",
        &[&PLACE, &ZONE, &TEMPERATURE, &TIME_CONSTANT],
    )];

    /// Reads its keys; `set_point_k` is the highest set point.
    pub fn read(s: &Section, cx: &Context, set_point_k: Option<f64>) -> Self {
        let place = if s.has(&ZONE) { Some(cx.zone(s)) } else { None };
        if place.is_none() {
            let _ = s.choice(&PLACE);
        }
        let limit_k = s.quantity(&TEMPERATURE);
        if let Some(set) = set_point_k.filter(|set| limit_k <= *set && s.has(&TEMPERATURE)) {
            let what = format!("is not above the set point ({})", format(Kind::Temperature, set));
            let hint =
                "a cut-out opens once and for all: write a temperature well above".to_owned();
            s.fail("temperature", "cut-out-below-set-point", &what, None, Some(hint));
        }
        CutOutSpec { place, limit_k, time_constant_s: s.quantity(&TIME_CONSTANT) }
    }

    /// Makes the decider and the part that follows the temperature at its place.
    pub fn build(&self, element: crate::model::store::Heat, site: &mut Site) -> (CutOut, Follower) {
        let scale = crate::model::store::SCALE.kelvin;
        let lag = site.layout.lag(Place::CutOut, Quantity::Temperature, site.start.temp_k, scale);
        let follower = Follower::new(lag, self.place, element, 1.0 / self.time_constant_s);
        (CutOut { lag, limit_k: self.limit_k }, follower)
    }
}

/// Opens at its temperature, for good.
#[derive(Clone, Debug)]
pub struct CutOut {
    lag: Lag,
    limit_k: f64,
}

impl Decider for CutOut {
    fn guards(&self) -> usize {
        1
    }

    fn values(&self, see: &See<'_>, _modes: &Modes, out: &mut [f64]) {
        out[0] = see.lag(self.lag) - self.limit_k;
    }

    fn decide(&self, see: &See<'_>, modes: &mut Modes) -> Option<Change> {
        if modes.tripped || see.lag(self.lag) < self.limit_k {
            return None;
        }
        modes.tripped = true;
        Some(Change::CutOutOpened)
    }
}
