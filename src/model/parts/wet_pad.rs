//! A wet absorbent pad with a temperature of its own.

use super::LoadView;
use crate::address::{Place, Quantity};
use crate::model::flows::Flows;
use crate::model::part::{At, Part};
use crate::model::site::{Context, Site, ZONE};
use crate::model::store::{Gas, Heat, Thermal, Water};
use crate::physics::convection::{self, Facing};
use crate::physics::moist_air::saturation_in_air_pa;
use crate::physics::sorption::{FIBRE_NAMES, FIBRES, Isotherm};
use crate::physics::{surface, transport};
use crate::reader::{Key, Section, key};
use crate::real::Real;
use crate::units::Kind;

const WATER: Key =
    key::quantity("water", Kind::Mass, 0.0..=10.0).help("water that was added, as weighed");
const DRY_MASS: Key = key::quantity("dry_mass", Kind::Mass, 1e-5..=10.0)
    .help("mass before that, as weighed in room air");
const SIZE: Key =
    key::quantities("size", Kind::Length, 0.0..=2.0).help("length, width and thickness");
const FACES: Key = key::count("faces", 1..=2)
    .or(2.0, "hangs free, both faces in the air")
    .help("faces in the air");
const FIBRE: Key = key::word("fibre", FIBRE_NAMES)
    .or_word("paper", "cellulose felt or kitchen roll")
    .help("what it is made of");
const AIR_SPEED: Key = key::quantity("air_speed", Kind::Speed, 0.0..=20.0)
    .follows("fan.air_speed")
    .help("speed of the air at the pad");
const COEFFICIENT_FACTOR: Key = key::number("coefficient_factor", 0.1..=10.0)
    .or(1.0, "laminar plate; 1.2 to 1.8 in a turbulent jet (fit it)")
    .likely(0.8, 1.5, 'C')
    .help("factor on its heat and mass transfer");
const CONTACT: Key = key::quantity("contact", Kind::Conductance, 0.0..=10.0)
    .or(0.0, "hangs free of the wall")
    .help("heat from the wall that it touches, per kelvin");
const CRITICAL_MOISTURE: Key = key::quantity("critical_moisture", Kind::Share, 0.01..=5.0)
    .or(0.4, "of the dry mass, thin cloth and soft paper 0.25 to 0.6 (from memory); below, it dries inwards")
    .likely(0.25, 0.6, 'C')
    .help("water over dry mass below which it dries inwards");
const VAPOUR_RESISTANCE: Key = key::number("vapour_resistance", 1.0..=1e3)
    .or(3.0, "of the dried depth, over that of still air: felt and soft paper 1.5 to 5 (order)")
    .likely(1.5, 5.0, 'C')
    .help("resistance of what has dried, over that of still air; fit it or `critical_moisture`, not both");

/// Specific heat of dry cellulose fibre \[J/(kg K)\]; handbook order, from memory.
const CP_FIBRE: f64 = 1350.0;
/// Emissivity of wet fibre. Source: \[Incropera2007\], appendix (water, paper, cloth 0.9 to 0.97).
const EMISSIVITY: f64 = 0.95;
/// Conductivity of dry felt, cloth and soft paper \[W/(m K)\]: 0.04 to 0.07; handbook order, from memory.
const DRY_CONDUCTIVITY: f64 = 0.05;
/// Part of the critical moisture over which the surface begins to dry. Our choice: cloth does not dry
/// evenly, and the solver sees the corner coming.
const ROUNDING: f64 = 0.05;

/// `[load.<name>]` with `kind = "wet_pad"`.
#[derive(Clone, Debug)]
pub struct PadSpec {
    /// Name in the scenario.
    pub name: String,
    zone: usize,
    water_kg: f64,
    dry_mass_kg: f64,
    size_m: [f64; 3],
    faces: f64,
    speed_m_s: f64,
    gain: f64,
    contact_w_k: f64,
    fibre: Isotherm,
    critical: f64,
    resistance: f64,
}

impl PadSpec {
    /// Its keys.
    pub const KEYS: &'static [&'static Key] = &[
        &WATER,
        &DRY_MASS,
        &SIZE,
        &FACES,
        &FIBRE,
        &ZONE,
        &AIR_SPEED,
        &COEFFICIENT_FACTOR,
        &CONTACT,
        &CRITICAL_MOISTURE,
        &VAPOUR_RESISTANCE,
    ];

    /// Reads its keys.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let water = s.measured(&WATER);
        let size = s.quantities(&SIZE, Some(3));
        let size_m = [size[0], size[1], size[2]];
        check_fits(s, cx, size_m);
        let fibre = s.choice(&FIBRE);
        let found = FIBRES.iter().find(|(n, _)| *n == fibre);
        PadSpec {
            name: s.name(),
            zone: cx.zone(s),
            water_kg: water.value,
            dry_mass_kg: s.quantity(&DRY_MASS),
            size_m,
            faces: s.count(&FACES) as f64,
            speed_m_s: s.quantity_from(&AIR_SPEED, cx.air_speed_m_s),
            gain: s.quantity(&COEFFICIENT_FACTOR),
            contact_w_k: s.quantity(&CONTACT),
            fibre: found.map_or(FIBRES[0].1, |(_, isotherm)| *isotherm),
            critical: s.quantity(&CRITICAL_MOISTURE),
            resistance: s.quantity(&VAPOUR_RESISTANCE),
        }
    }

    /// Water added by the person \[kg\].
    pub fn added_kg(&self) -> f64 {
        self.water_kg
    }

    /// Area that the air reaches \[m2\]: the faces and the rim.
    pub fn area_m2(&self) -> f64 {
        let [a, b, c] = self.size_m;
        self.faces * a * b + 2.0 * (a + b) * c
    }

    /// Makes the part. `dry_mass` is what the scale showed in room air, so it holds the water that
    /// the fibre binds there.
    pub fn build(&self, site: &mut Site) -> (Pad, LoadView) {
        let rh = site.room.relative_humidity(site.total_pa);
        let bound = self.fibre.content(rh, site.room.temp_k);
        let bone_dry_kg = self.dry_mass_kg / (1.0 + bound);
        let bound_kg = bone_dry_kg * bound;
        let water =
            site.layout.water(Place::Load(site.load), Quantity::Water, bound_kg + self.water_kg);
        let rule = Thermal::Wet {
            capacity: bone_dry_kg * CP_FIBRE,
            water,
            more: 0,
            fibre: Some((self.fibre.binding, bone_dry_kg)),
        };
        let heat = site.layout.heat(Place::Load(site.load), rule, site.start.temp_k);
        let part = Pad {
            heat,
            water,
            zone: self.zone,
            air: site.zones[self.zone].gas,
            wall: site.wall_faces[self.zone],
            area_m2: self.area_m2(),
            length_m: self.size_m[0],
            upright: convection::Length::new(self.size_m[0]),
            speed_m_s: self.speed_m_s,
            gain: self.gain,
            contact_w_k: self.contact_w_k,
            fibre: self.fibre,
            per_bone_dry: 1.0 / bone_dry_kg,
            critical: self.critical,
            // What is wet in the end lies in the middle of a pad with both faces in the air.
            depth_m: self.size_m[2] / self.faces,
            resistance: self.resistance,
        };
        let view = LoadView::of_one(&self.name, heat, vec![water], bound_kg);
        (part, LoadView { added_kg: self.water_kg, ..view })
    }
}

/// A pad longer than the box, or larger than its volume, is a slip of units.
fn check_fits(s: &Section, cx: &Context, size_m: [f64; 3]) {
    if size_m[0] <= 0.0 || size_m[1] <= 0.0 {
        s.fail(
            "size",
            "pad-flat",
            "has a zero edge",
            Some("length and width of the pad must be above zero; only the thickness may be 0"),
            Some("write for example [\"70 mm\", \"50 mm\", \"4 mm\"]".into()),
        );
        return;
    }
    let mut pad = size_m;
    pad.sort_by(|a, b| b.total_cmp(a));
    let too_long = cx.edges_m.is_some_and(|box_m| pad.iter().zip(box_m).any(|(p, b)| *p > b));
    if too_long || pad.iter().product::<f64>() > cx.volume_m3 {
        s.fail(
            "size",
            "load-too-large",
            "does not fit into the box",
            None,
            Some("compare with enclosure.inner_size; a folded pad has its folded size".into()),
        );
    }
}

/// A thin pad: convection, radiation, contact and evaporation. What is wet has one temperature. Below
/// the critical moisture the outer part of it has dried, to a depth that follows from the water left,
/// which vapour and heat pass in series with their coefficients.
///
/// Source: \[Keey1978\] (receding front). Checked in: `tests/published/receding.rs`.
#[derive(Clone, Debug)]
pub struct Pad {
    heat: Heat,
    water: Water,
    zone: usize,
    air: Gas,
    wall: Heat,
    area_m2: f64,
    length_m: f64,
    upright: convection::Length,
    speed_m_s: f64,
    gain: f64,
    contact_w_k: f64,
    fibre: Isotherm,
    per_bone_dry: f64,
    critical: f64,
    depth_m: f64,
    resistance: f64,
}

impl Part for Pad {
    /// Convection thinned by the vapour (Ackermann), Stefan's evaporation with the fibre's activity
    /// inside the driving force, radiation and contact to the wall of its zone. The dry surface holds
    /// no heat: its temperature is that at which it passes on what it gets.
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let air = &at.zones[self.zone].air;
        let pad_k = at.temp_k(self.heat);
        let content = at.water_kg(self.water) * self.per_bone_dry;
        let activity = self.fibre.activity(content, pad_k);
        let dried = R::from_sub(1.0, content / self.critical).rounded_positive(ROUNDING);
        let depth_m = dried * self.depth_m;
        let surface_pa = activity * saturation_in_air_pa(pad_k, at.total_pa);
        let mean_k = (air.temp_k + pad_k) * 0.5;
        let total_pa = air.pressure_pa;
        let y = (air.vapour_pa + surface_pa) * 0.5 / total_pa;
        let gas = transport::mixture(mean_k, y, total_pa);
        let d = transport::vapour_diffusivity(mean_k, total_pa);
        let dt = air.temp_k - pad_k;
        let still = convection::Natural::new(dt, mean_k, total_pa)
            .coefficient(Facing::Sideways, &self.upright);
        // The root of a zero Reynolds number has no derivative; this speed has no effect.
        let speed_m_s = (self.speed_m_s * at.modes.fan.speed).max(1e-4);
        let (h, h_m) = convection::plate(&gas, d, still, speed_m_s, self.length_m, self.gain);
        let h_m = h_m / (h_m * depth_m * self.resistance / d + 1.0);
        let flux = convection::stefan_flux(h_m, mean_k, air.vapour_pa, surface_pa, total_pa);
        flows.vapour(
            (self.heat, self.water),
            (self.air.heat, self.air.water),
            flux * self.area_m2,
            pad_k,
        );
        let wall_k = at.temp_k(self.wall);
        let h = convection::ackermann(h, flux);
        let h_r = surface::radiative_coefficient(EMISSIVITY, wall_k, pad_k);
        // How far the dry surface is warmer than what is wet behind it.
        let behind = depth_m / DRY_CONDUCTIVITY;
        let from_wall = wall_k - pad_k;
        let warmer = (h * dt + h_r * from_wall) * behind / ((h + h_r) * behind + 1.0);
        flows.heat(self.air.heat, self.heat, h * (dt - warmer) * self.area_m2);
        let radiant = h_r * (from_wall - warmer) * self.area_m2;
        flows.heat(self.wall, self.heat, radiant + from_wall * self.contact_w_k);
    }
}
