//! An exhaust fan behind a guard and a one-way flap.

use std::f64::consts::PI;

use super::{HEIGHT, Opening, OpeningSpec, PRESSURE_SHARE, VentPlace};
use crate::model::site::{Context, Site, ZONE};
use crate::physics::opening::{self, Geometry, Resistance};
use crate::physics::root::bisect;
use crate::reader::{Key, Keys, Section, key};
use crate::units::{Kind, format};

const MAX_PRESSURE: Key = key::quantity("max_pressure", Kind::Pressure, 0.1..=1_000.0)
    .help("what the fan makes without flow");
const MAX_FLOW: Key = key::quantity("max_flow", Kind::VolumeFlow, 1e-6..=0.5)
    .help("what the fan moves against no pressure, of the hot gas of the box");
const FLAP_DIAMETER: Key = key::quantity("flap_diameter", Kind::Length, 2e-3..=0.3)
    .or(0.03, "a small fan's outlet (order)")
    .within(1.5, 'D')
    .help("diameter of the outlet behind its flap");
const FLAP_LOSS: Key = key::number("flap_loss", 0.0..=100.0)
    .or(5.0, "open flap and guard, 3 to 10 on the flap's area (common practice)")
    .likely(3.0, 10.0, 'C')
    .help("loss coefficient of guard and open flap");
const FLAP_OPENS_AT: Key = key::quantity("flap_opens_at", Kind::Pressure, 0.0..=50.0)
    .or(1.0, "weight of a light film flap, up to 1.4 Pa")
    .likely(0.5, 1.4, 'D')
    .help("pressure that the flap needs to be open");
const FLAP_GAP: Key = key::quantity("flap_gap", Kind::Length, 1e-6..=2e-3)
    .or(0.07e-3, "slot round the closed flap, 0.05 to 0.1 mm (order)")
    .likely(0.05e-3, 0.1e-3, 'D')
    .help("slot round the closed flap");

/// Density at which fan curves are stated \[kg/m3\]: 20 °C at sea level (common practice).
pub(in crate::model) const FAN_CURVE_DENSITY: f64 = 1.2;
/// Viscosity of air at which a shortage of make-up air is judged \[Pa s\]: that of a warm box.
pub(super) const WARM_VISCOSITY: f64 = 1.9e-5;
/// Share of its free flow below which a fan is said to run near stall. Our choice.
const STALL_SHARE: f64 = 0.5;

/// `[exhaust]`, without its rule.
#[derive(Clone, Debug)]
pub struct ExhaustSpec {
    place: VentPlace,
    max_pa: f64,
    /// Flow without pressure, of the gas of the box \[m3/s\].
    pub max_m3_s: f64,
    diameter_m: f64,
    loss: f64,
    crack_pa: f64,
    leak_gap_m: f64,
}

impl ExhaustSpec {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[Keys::always(
        "exhaust",
        "the exhaust fan behind its flap",
        &[
            &ZONE,
            &HEIGHT,
            &MAX_PRESSURE,
            &MAX_FLOW,
            &PRESSURE_SHARE,
            &FLAP_DIAMETER,
            &FLAP_LOSS,
            &FLAP_OPENS_AT,
            &FLAP_GAP,
        ],
    )];

    /// Reads all but the rule.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let spec = ExhaustSpec {
            place: VentPlace::read(s, cx),
            max_pa: read_pressure(s),
            max_m3_s: s.quantity(&MAX_FLOW),
            diameter_m: s.quantity(&FLAP_DIAMETER),
            loss: s.quantity(&FLAP_LOSS),
            crack_pa: s.quantity(&FLAP_OPENS_AT),
            leak_gap_m: s.quantity(&FLAP_GAP),
        };
        // A closed flap must hold against the pressure of the stirring fan alone.
        if s.is_valid("max_pressure") && spec.max_pa <= spec.crack_pa {
            let crack = format(Kind::Pressure, spec.crack_pa);
            let what = format!("does not open the flap, which needs {crack}");
            let hint = "raise it or lower `flap_opens_at`".to_owned();
            s.fail("max_pressure", "flap-stays-closed", &what, None, Some(hint));
        }
        spec
    }

    /// Warns where the other openings cannot feed the fan.
    pub fn check_make_up(&self, s: &Section, vents: &[OpeningSpec]) {
        if !s.is_valid("max_flow") || !s.is_valid("max_pressure") {
            return;
        }
        if vents.is_empty() {
            let what = "finds no other opening that could feed it: nothing will flow";
            s.warn("max_flow", "exhaust-starved", what, Some("add make-up holes".into()));
            return;
        }
        let flow = self.flow_with(vents);
        if flow < STALL_SHARE * self.max_m3_s {
            let (text, max) =
                (format(Kind::VolumeFlow, flow), format(Kind::VolumeFlow, self.max_m3_s));
            let what = format!(
                "is {max}, but the other openings feed only {text}: the fan runs near stall and \
                 their size sets the flow"
            );
            s.warn("max_flow", "exhaust-starved", &what, Some("add make-up holes".into()));
        }
    }

    /// Flow where the fan's curve meets all other openings in parallel \[m3/s\].
    fn flow_with(&self, vents: &[OpeningSpec]) -> f64 {
        let make_up = |dp: f64| -> f64 {
            let each = vents.iter().flat_map(OpeningSpec::geometries);
            each.map(|g| g.resistance(WARM_VISCOSITY, FAN_CURVE_DENSITY).flow(dp)).sum()
        };
        let open = self.open();
        // Pressure left for the make-up openings falls with the flow: one crossing.
        bisect(0.0, self.max_m3_s, |q| {
            let Resistance { linear, square } = open.resistance(WARM_VISCOSITY, FAN_CURVE_DENSITY);
            let left = self.max_pa - self.crack_pa - linear * q - square * q * q;
            left > 0.0 && make_up(left) > q
        })
    }

    /// Fan, guard and open flap in series as one resistance behind a source of `max_pa`.
    ///
    /// The curve is `dp = p_max (1 - (Q/Q_max)^2)` (common practice); p_max follows the density.
    fn open(&self) -> Geometry {
        let area = PI / 4.0 * self.diameter_m.powi(2);
        let outlet = opening::hole(self.diameter_m, 0.0);
        Geometry {
            per_viscosity: outlet.per_viscosity,
            per_density: self.loss / (2.0 * area * area)
                + self.max_pa / (FAN_CURVE_DENSITY * self.max_m3_s.powi(2)),
        }
    }

    /// Makes the opening.
    pub fn build(&self, site: &mut Site) -> Opening {
        // The closed flap leaks through the slot round its rim, as deep as a millimetre of seat.
        let rim = PI * self.diameter_m;
        let leak = opening::seam(rim, self.leak_gap_m, 1e-3, 0.0);
        let diffusion = rim * self.leak_gap_m / 1e-3;
        let mut made = site.opening("exhaust", &self.place, leak, diffusion);
        made.exhaust =
            Some(Exhaust { max_pa: self.max_pa, open: self.open(), crack_pa: self.crack_pa });
        made
    }
}

/// Reads `max_pressure`: a flap without a fan would be a hole of its own.
fn read_pressure(s: &Section) -> f64 {
    if s.has(&MAX_PRESSURE) {
        return s.quantity(&MAX_PRESSURE);
    }
    let hint = "write what the fan makes without flow, such as max_pressure = \"25 Pa\"".to_owned();
    s.fail(
        &MAX_PRESSURE,
        "no-fan-pressure",
        "is not given",
        Some("a flap needs a fan"),
        Some(hint),
    );
    f64::NAN
}

/// A fan with its flap, behind an opening whose own geometry is the leak of the closed flap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exhaust {
    /// Pressure at no flow, at the density of fan curves \[Pa\].
    pub max_pa: f64,
    /// Fan, guard and open flap in series.
    pub open: Geometry,
    /// Pressure that the flap needs to be open \[Pa\].
    pub crack_pa: f64,
}
