//! The heating element: a store of heat of its own between the mains and the supply air.

use crate::address::Place;
use crate::model::control::{AnyDecider, Control, ControlSpec};
use crate::model::element::Element;
use crate::model::flows::Flows;
use crate::model::part::{At, Part};
use crate::model::site::{Context, Site};
use crate::model::store::{Heat, Thermal};
use crate::physics::constants::{CP_AIR, R_AIR};
use crate::physics::element::{PtcLaw, Still, stream_conductance};
use crate::reader::{Key, Keys, Section, key};
use crate::real::Real;
use crate::units::{Kind, ZERO_CELSIUS_K};

/// Where the values of a small element come from.
const ORDER: &str = "order of a small finned element (common practice)";
/// Where the values of a PTC element come from.
const USUAL_PTC: &str = "usual for air-heating ceramics (common practice)";

const KIND: Key = key::word("kind", HeaterSpec::KINDS)
    .help("a fixed resistance, or a ceramic that limits itself");
const POWER: Key = key::quantity("power", Kind::Power, 0.0..=5_000.0)
    .help("electric power at the rated circulation and supply voltage; what a plug meter showed");
const SUPPLY_VOLTAGE: Key = key::quantity("supply_voltage", Kind::Share, 0.5..=1.5)
    .or(1.0, "nominal supply voltage")
    .help("supply voltage over the rated one; power goes with its square");
const HEAT_CAPACITY: Key = key::quantity("heat_capacity", Kind::HeatCapacity, 1.0..=1e5)
    .or(150.0, ORDER)
    .within(2.0, 'D')
    .help("heat capacity of the element");
const COUPLING: Key = key::quantity("coupling", Kind::Conductance, 0.01..=500.0)
    .or(3.0, ORDER)
    .within(2.0, 'D')
    .help("heat that it gives to the stream per kelvin, at the rated circulation");
const RATED_CIRCULATION: Key = key::quantity("rated_circulation", Kind::VolumeFlow, 0.0..=0.5)
    .follows("fan.circulation")
    .help("circulation at which power and coupling are stated");
const COUPLING_EXPONENT: Key = key::number("coupling_exponent", 0.0..=1.0)
    .or(0.55, "finned elements in a stream, 0.5 to 0.6 (common practice)")
    .likely(0.5, 0.6, 'C')
    .help("power of the flow with which the coupling grows");
const STILL_COUPLING: Key =
    key::quantity("still_coupling", Kind::Conductance, 0.01..=100.0).optional().help(
        "measured heat to still air and walls per kelvin, in place of `surface` and `emissivity`",
    );
const SURFACE: Key = key::quantity("surface", Kind::Area, 1e-5..=10.0)
    .follows(
        "150 W/m2K of coupling per outer area: right within a factor of 2; measure its outside",
    )
    .within(2.0, 'D')
    .help("outer area of the element, for still air");
const EMISSIVITY: Key = key::number("emissivity", 0.02..=1.0)
    .or(0.8, "oxidised metal or ceramic (order); bright aluminium 0.1")
    .likely(0.5, 0.95, 'C')
    .help("emissivity of the element, for still air");
const SWITCH_TEMPERATURE: Key = key::quantity(
    "switch_temperature",
    Kind::Temperature,
    ZERO_CELSIUS_K + 40.0..=ZERO_CELSIUS_K + 350.0,
)
.or(ZERO_CELSIUS_K + 150.0, USUAL_PTC)
.likely(ZERO_CELSIUS_K + 120.0, ZERO_CELSIUS_K + 200.0, 'C')
.help("temperature from which the resistance rises");
const SLOPE: Key = key::quantity("slope", Kind::PerKelvin, 0.01..=1.0)
    .or(0.12, USUAL_PTC)
    .within(1.5, 'C')
    .help("how steeply it rises there, per kelvin of its logarithm");
const ROUNDING: Key = key::quantity("rounding", Kind::TemperatureDifference, 0.5..=40.0)
    .or(8.0, USUAL_PTC)
    .within(2.0, 'D')
    .help("width of the knee");
const RATED_INLET: Key =
    key::quantity("rated_inlet", Kind::Temperature, ZERO_CELSIUS_K - 20.0..=ZERO_CELSIUS_K + 80.0)
        .or(RATED_INLET_K, "room air at the time of the plug-meter reading")
        .likely(ZERO_CELSIUS_K + 18.0, ZERO_CELSIUS_K + 35.0, 'C')
        .help("air that went into the element when `power` was read");

/// `[heater]`.
#[derive(Clone, Debug)]
pub struct HeaterSpec {
    /// Electric power at the rated inlet and circulation \[W\].
    pub power_w: f64,
    /// Supply voltage over nominal voltage.
    pub supply_voltage: f64,
    /// Heat capacity of the element \[J/K\].
    pub capacity_j_k: f64,
    /// Conductance element to air at the rated circulation \[W/K\].
    pub coupling_w_k: f64,
    /// Circulation at which power and coupling are stated \[m3/s\].
    pub rated_m3_s: f64,
    /// Power of the flow with which the coupling grows.
    pub exponent: f64,
    /// What takes the heat away with the fan standing still.
    pub still: Still,
    /// The resistance law of a PTC element with its rated inlet temperature \[K\].
    pub ptc: Option<(PtcLaw, f64)>,
}

impl HeaterSpec {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[
        Keys::always(
            "heater",
            "the heating element",
            &[
                &KIND,
                &POWER,
                &SUPPLY_VOLTAGE,
                &HEAT_CAPACITY,
                &COUPLING,
                &RATED_CIRCULATION,
                &COUPLING_EXPONENT,
                &SURFACE,
                &EMISSIVITY,
                &STILL_COUPLING,
            ],
        ),
        Keys::when(
            "heater",
            ("kind", "ptc"),
            "a ceramic that limits itself",
            &[&SWITCH_TEMPERATURE, &SLOPE, &ROUNDING, &RATED_INLET],
        ),
    ];

    /// Words that `kind` may have.
    pub const KINDS: &'static [&'static str] = &["resistive", "ptc"];

    /// Reads its keys, those of still air and of a PTC element among them.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let kind = s.choice(&KIND);
        let coupling_w_k = s.quantity(&COUPLING);
        let mut spec = HeaterSpec {
            power_w: s.quantity(&POWER),
            supply_voltage: s.quantity(&SUPPLY_VOLTAGE),
            capacity_j_k: s.quantity(&HEAT_CAPACITY),
            coupling_w_k,
            still: read_still(s, coupling_w_k),
            rated_m3_s: s.quantity_from(&RATED_CIRCULATION, cx.circulation_m3_s),
            exponent: s.quantity(&COUPLING_EXPONENT),
            ptc: None,
        };
        if kind == "ptc" {
            spec.ptc = Some(read_ptc(s));
            spec.check_rating(s, cx);
        }
        s.spare(kind, Self::KEYS);
        spec
    }

    /// Conductance between element and stream at `inlet_k`, referred to the inlet \[W/K\]; without a
    /// stream to still air and walls of that temperature, at full power.
    pub fn conductance_w_k(&self, circulation_m3_s: f64, inlet_k: f64, total_pa: f64) -> f64 {
        if circulation_m3_s > 0.0 {
            let dry = total_pa / (R_AIR * inlet_k) * circulation_m3_s;
            return stream_conductance(dry * CP_AIR, self.coupling_at(circulation_m3_s));
        }
        let w_k = |above_k: f64| {
            let (air, wall) = self.still.w_k(inlet_k + above_k, inlet_k, inlet_k, total_pa);
            air + wall
        };
        // Both grow with the element's temperature, so what they take is monotone in it.
        let (mut low, mut high) = (0.0, HOTTEST_ABOVE_K);
        for _ in 0..40 {
            let mid = 0.5 * (low + high);
            if w_k(mid) * mid < self.power_w {
                low = mid;
            } else {
                high = mid;
            }
        }
        w_k(high)
    }

    /// Element temperature at the rated point \[K\].
    pub fn rated_element_k(&self, total_pa: f64) -> f64 {
        let inlet = self.ptc.map_or(RATED_INLET_K, |(_, inlet)| inlet);
        inlet + self.power_w / self.conductance_w_k(self.rated_m3_s, inlet, total_pa)
    }

    /// Coupling at another circulation \[W/K\].
    fn coupling_at(&self, circulation_m3_s: f64) -> f64 {
        if self.rated_m3_s > 0.0 {
            self.coupling_w_k * (circulation_m3_s / self.rated_m3_s).powf(self.exponent)
        } else {
            self.coupling_w_k
        }
    }

    fn check_rating(&self, s: &Section, cx: &Context) {
        let Some((law, _)) = self.ptc else { return };
        let rated = self.rated_element_k(cx.total_pa);
        if rated > law.switch_k + 60.0 {
            let text = |k| crate::units::format(Kind::Temperature, k);
            s.fail(
                "power",
                "ptc-rating",
                &format!("would put the element at {} at its rated point", text(rated)),
                Some(&format!(
                    "a ceramic that switches at {} limits itself long before; the resistance law \
                     holds to 60 K above",
                    text(law.switch_k)
                )),
                Some(
                    "raise `coupling` or `circulation`, or state the watts measured at the plug"
                        .into(),
                ),
            );
        }
    }

    /// Makes the part with its controller, and what decides for that.
    pub fn build(&self, control: &ControlSpec, site: &mut Site) -> (Heater, Vec<AnyDecider>) {
        let rule = Thermal::Solid { capacity: self.capacity_j_k };
        let rated_k = self.rated_element_k(site.total_pa);
        let element = Element {
            heat: site.layout.heat(Place::Element, rule, site.start.temp_k),
            capacity_j_k: self.capacity_j_k,
            nominal_w: self.power_w * self.supply_voltage * self.supply_voltage,
            ptc: self.ptc.map(|(law, _)| (law, law.ratio(rated_k))),
        };
        let mains = site.layout.mains_total(Place::Heater);
        let (control, deciders) = control.build(self.power_w, &element, site);
        let heater = Heater {
            element,
            mains,
            supply: site.zones[0].gas.heat,
            coupling_w_k: self.coupling_at(site.circulation_m3_s),
            still: self.still,
            wall: site.wall_faces[0],
            control,
        };
        (heater, deciders)
    }
}

/// Inlet temperature at which a plug-meter reading is usually taken \[K\].
const RATED_INLET_K: f64 = ZERO_CELSIUS_K + 24.0;

/// Largest difference to still air that is looked at \[K\]; every real element has failed long before.
const HOTTEST_ABOVE_K: f64 = 1_000.0;

/// Coupling to a stream per outer area of the element \[W/(m2 K)\]: 3 W/K for 100 x 60 x 25 mm. Our guess.
const COUPLING_PER_M2: f64 = 150.0;

/// Share of `still` by which the stream must be weaker for all of `still` to count. Our choice.
const TAKE_OVER: f64 = 0.05;

/// Reads `still_coupling`, or else `surface` and `emissivity`.
fn read_still(s: &Section, coupling_w_k: f64) -> Still {
    let stated = s.quantity_opt(&STILL_COUPLING);
    if let Some(w_k) = stated {
        for key in [&SURFACE, &EMISSIVITY].into_iter().filter(|key| s.has(key)) {
            let hint = "keep the coupling if it was measured, else these".to_owned();
            s.fail(
                key,
                "two-still-couplings",
                "and still_coupling are both given",
                None,
                Some(hint),
            );
        }
        let _ = s.quantity_opt(&SURFACE);
        let _ = s.quantity_opt(&EMISSIVITY);
        return Still::Stated(w_k);
    }
    let area_m2 = s.quantity_from(&SURFACE, coupling_w_k / COUPLING_PER_M2);
    Still::new(area_m2, s.quantity(&EMISSIVITY))
}

fn read_ptc(s: &Section) -> (PtcLaw, f64) {
    let switch_k = s.quantity(&SWITCH_TEMPERATURE);
    let law =
        PtcLaw { switch_k, slope_per_k: s.quantity(&SLOPE), rounding_k: s.quantity(&ROUNDING) };
    let inlet = s.quantity(&RATED_INLET);
    (law, inlet)
}

/// Element, its coupling to the air and its controller.
#[derive(Clone, Debug)]
pub struct Heater {
    /// The element.
    pub element: Element,
    /// Electric energy drawn.
    pub mains: Heat,
    supply: Heat,
    coupling_w_k: f64,
    still: Still,
    wall: Heat,
    /// What decides on the power.
    pub control: Control,
}

impl Part for Heater {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let element_k = at.temp_k(self.element.heat);
        let full = self.element.full_power_w(element_k);
        let watts = self.control.power(at, full, flows);
        flows.heat(self.mains, self.element.heat, watts);
        let fan = &at.modes.fan;
        let (air, wall_k) = (&at.zones[0].air, at.temp_k(self.wall));
        let (to_air, to_wall) = self.still.w_k(element_k, air.temp_k, wall_k, air.pressure_pa);
        // The stream arrives from the last zone. Its coupling was measured with all that goes on beside
        // it; still air and radiation are left where it is weaker than they.
        let share = if fan.circulation_m3_s > 0.0 {
            let inlet = &at.zones[at.zones.len() - 1].air;
            let rate = inlet.dry_kg_m3 * inlet.cp_dry * fan.circulation_m3_s;
            let stream = stream_conductance(rate, self.coupling_w_k * fan.coupling);
            flows.heat(self.element.heat, self.supply, stream * (element_k - inlet.temp_k));
            R::from_sub(1.0, stream / (to_air + to_wall)).rounded_positive(TAKE_OVER)
        } else {
            R::c(1.0)
        };
        if share.val() > 0.0 {
            let watts = to_air * share * (element_k - air.temp_k);
            flows.heat(self.element.heat, self.supply, watts);
            flows.heat(self.element.heat, self.wall, to_wall * share * (element_k - wall_k));
        }
    }
}
