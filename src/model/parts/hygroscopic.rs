//! Loads that take up and give up bound water at one rate: desiccant, granules, sheets, textiles, wood.

use super::LoadView;
use crate::address::{Place, Quantity};
use crate::model::flows::Flows;
use crate::model::materials::Polymer;
use crate::model::part::{At, Part};
use crate::model::site::{Context, Site, ZONE};
use crate::model::store::{Gas, Heat, Thermal, Water};
use crate::physics::constants::{GAS_CONSTANT, R_VAPOUR};
use crate::physics::diffusion::Shape;
use crate::physics::moist_air::saturation_in_air_pa;
use crate::physics::polymer::{Diffusion, Sorption};
use crate::physics::sorbent;
use crate::physics::sorption::{Binding, CELLULOSE, FIBRES, Isotherm, SILICA_GEL};
use crate::reader::{Key, Section, key};
use crate::real::Real;
use crate::units::Kind;

const MATERIAL: Key = key::text("material")
    .help("silica_gel, wood, cardboard, cotton, paper, viscose, or a polymer of the table");
const MASS: Key = key::quantity("mass", Kind::Mass, 1e-5..=50.0).help("mass, dry");
const BED_DEPTH: Key = key::quantity("bed_depth", Kind::Length, 0.1e-3..=1.0)
    .or(20e-3, "poured this deep, one face in the air; half as much with both")
    .within(2.0, 'D')
    .help("depth of what is poured");
const COUPLING: Key = key::quantity("coupling", Kind::Conductance, 1e-4..=1e3)
    .follows("its area in stirred air (order)")
    .within(2.0, 'D')
    .help("heat that it takes from the air per kelvin; of the skin of a wall 5 to 10 W/m2K times its area");
const START_HUMIDITY: Key = key::quantity("start_humidity", Kind::RelativeHumidity, 0.0..=1.0)
    .follows("in equilibrium with the room")
    .help("relative humidity that it is in equilibrium with at the start");
const TIME_CONSTANT: Key = key::quantity("time_constant", Kind::Time, 1.0..=1e7)
    .follows("at 60 °C: wood and cardboard 6 h, textiles and paper 15 min (order)")
    .within(3.0, 'D')
    .help("time constant of wood, cardboard, textiles and paper at 60 °C");
const BEAD: Key = key::quantity("bead", Kind::Length, 0.1e-3..=20e-3)
    .or(3e-3, "usual beads")
    .likely(2e-3, 5e-3, 'C')
    .help("diameter of a bead of silica gel");
const SLOWER: Key = key::number("slower", 1.0..=100.0)
    .or(1.0, "the beads alone; the bed they lie in comes on top")
    .help("by how much silica gel is slower than its beads alone");
const SHAPE: Key = key::word("shape", &["granules", "filament", "sheet"])
    .or_word("granules", "poured in a tray")
    .help("shape of a polymer");
const THICKNESS: Key = key::quantity("thickness", Kind::Length, 0.01e-3..=0.1)
    .or(3e-3, "usual granule; diameter, or thickness of a sheet")
    .help("diameter of granule or filament, or thickness of a sheet");

/// Surface diffusivity of silica gel \[m2/s\] and its activation energy \[J/mol\].
/// Source: \[SakodaSuzuki1984\].
const GEL_DIFFUSIVITY: f64 = 2.54e-4;
const GEL_ACTIVATION: f64 = 42_000.0;
/// Specific heats, dry \[J/(kg K)\]: silica gel, wood and fibre; handbook order, from memory.
const CP_GEL: f64 = 920.0;
const CP_FIBRE: f64 = 1350.0;
/// Heat transfer coefficient at a load \[W/(m2 K)\], as in stirred air (order).
const COEFFICIENT: f64 = 10.0;
/// Mass of poured beads and granules per volume \[kg/m3\]: 600 to 760 (common practice).
const POURED_KG_M3: f64 = 700.0;
/// Diffusion of vapour between them over that in free air: the gaps, 40 %, to the power of 1.5
/// (Bruggeman's rule, from memory).
const BED_DIFFUSION: f64 = 0.25;
/// Area in the air per mass \[m2/kg\], both faces: cloth or paper of 200 g/m2; 6 mm of plywood or 3 mm of
/// plastic. Our choice.
const CLOTH_M2_KG: f64 = 10.0;
const BOARD_M2_KG: f64 = 0.6;
/// Least activity at which the chord of an isotherm is taken, and the rounding there. Our choice.
const LEAST_ACTIVITY: f64 = 0.01;

/// How much water it holds at equilibrium, and how fast it gets there.
#[derive(Clone, Copy, Debug)]
enum Matter {
    /// Beads; the rate is 15 D/r^2 over `slower`.
    Gel { radius_m: f64, slower: f64 },
    /// Wood, plywood, cardboard; time constant \[s\].
    Wood { time_s: f64 },
    /// Textile or paper; time constant \[s\].
    Fibre { isotherm: Isotherm, time_s: f64 },
    /// Granules or a sheet of a polymer; `per_m2` times the diffusivity is the rate.
    Polymer { sorption: Sorption, diffusion: Diffusion, per_m2: f64 },
}

impl Matter {
    /// Content it tends to \[kg/kg\] and the rate \[1/s\].
    #[inline]
    fn end_and_rate<R: Real>(&self, activity: R, content: R, temp_k: R) -> (R, R) {
        match self {
            Matter::Gel { radius_m, slower } => {
                let d = (temp_k.recip_of(-GEL_ACTIVATION / GAS_CONSTANT)).exp();
                let rate = d * (15.0 * GEL_DIFFUSIVITY / (radius_m * radius_m * slower));
                (sorbent::silica_gel(activity, temp_k), rate)
            }
            Matter::Wood { time_s } => {
                (sorbent::wood(activity, temp_k), sorbent::cellulose_pace(temp_k) / *time_s)
            }
            Matter::Fibre { isotherm, time_s } => {
                let end = isotherm.tends_to(activity, content, temp_k);
                (end, sorbent::cellulose_pace(temp_k) / *time_s)
            }
            Matter::Polymer { sorption, diffusion, per_m2 } => {
                let grown = (content * diffusion.growth).exp();
                (sorption.content(activity, temp_k), diffusion.dry(temp_k) * grown * *per_m2)
            }
        }
    }

    fn binding(&self) -> Option<Binding> {
        match self {
            Matter::Gel { .. } => Some(SILICA_GEL),
            Matter::Wood { .. } => Some(CELLULOSE),
            Matter::Fibre { isotherm, .. } => Some(isotherm.binding),
            // At most 11 % of the heat of evaporation; left out.
            Matter::Polymer { .. } => None,
        }
    }

    /// Content in equilibrium with the relative humidity `rh` at `temp_k`.
    fn content(&self, rh: f64, temp_k: f64) -> f64 {
        let mut content = 0.0;
        // Fibre needs some rounds, since its binding heat follows its content; others one.
        for _ in 0..50 {
            content = self.end_and_rate(rh, content, temp_k).0;
        }
        content
    }
}

/// `[load.<name>]` with `kind = "hygroscopic"`.
#[derive(Clone, Debug)]
pub struct HygroscopicSpec {
    /// Name in the scenario.
    pub name: String,
    zone: usize,
    matter: Matter,
    dry_kg: f64,
    cp_j_kgk: f64,
    coupling_w_k: f64,
    /// Depth of a poured bed over its area \[1/m\]; 0 for what hangs in the air.
    bed_per_m: f64,
    start_rh: f64,
    start_k: f64,
}

impl HygroscopicSpec {
    /// Its keys.
    pub const KEYS: &'static [&'static Key] = &[
        &MATERIAL,
        &MASS,
        &ZONE,
        &START_HUMIDITY,
        &COUPLING,
        &BED_DEPTH,
        &BEAD,
        &SLOWER,
        &TIME_CONSTANT,
        &SHAPE,
        &THICKNESS,
    ];

    /// Reads its keys.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let (matter, cp_j_kgk, poured) = read_matter(s);
        let dry_kg = s.quantity(&MASS);
        let (area_m2, bed_per_m) = if poured {
            let depth = s.quantity(&BED_DEPTH);
            let area = dry_kg / (POURED_KG_M3 * depth);
            (area, depth / area)
        } else {
            let cloth = matches!(matter, Matter::Fibre { .. });
            (dry_kg * if cloth { CLOTH_M2_KG } else { BOARD_M2_KG }, 0.0)
        };
        HygroscopicSpec {
            name: s.name(),
            zone: cx.zone(s),
            matter,
            dry_kg,
            cp_j_kgk,
            coupling_w_k: s.quantity_from(&COUPLING, COEFFICIENT * area_m2),
            start_rh: s.quantity_from(&START_HUMIDITY, cx.room_rh),
            start_k: cx.room_temp_k,
            bed_per_m,
        }
    }

    /// It brings no water beside what it has bound.
    pub fn added_kg(&self) -> f64 {
        0.0
    }

    /// Makes the part.
    pub fn build(&self, site: &mut Site) -> (Hygroscopic, LoadView) {
        let bound_kg = self.dry_kg * self.matter.content(self.start_rh, self.start_k);
        let water = site.layout.water(Place::Load(site.load), Quantity::Water, bound_kg);
        let rule = Thermal::Wet {
            capacity: self.dry_kg * self.cp_j_kgk,
            water,
            more: 0,
            fibre: self.matter.binding().map(|b| (b, self.dry_kg)),
        };
        let heat = site.layout.heat(Place::Load(site.load), rule, site.start.temp_k);
        let part = Hygroscopic {
            heat,
            water,
            zone: self.zone,
            air: site.zones[self.zone].gas,
            matter: self.matter,
            dry_kg: self.dry_kg,
            coupling_w_k: self.coupling_w_k,
            bed_per_m: self.bed_per_m,
        };
        (part, LoadView::of_one(&self.name, heat, vec![water], bound_kg))
    }
}

/// Words for `material` beside the polymers.
const MATERIALS: [&str; 6] = ["silica_gel", "wood", "cardboard", "cotton", "paper", "viscose"];

/// Reads `material` and what belongs to it: the matter, its specific heat, and whether it is poured.
fn read_matter(s: &Section) -> (Matter, f64, bool) {
    let word = s.text(&MATERIAL);
    let hours = |default: f64, how: &str| s.quantity_by(&TIME_CONSTANT, 3600.0 * default, how);
    match word.trim() {
        "silica_gel" => {
            let bead = s.quantity(&BEAD);
            let slower = s.quantity(&SLOWER);
            (Matter::Gel { radius_m: 0.5 * bead, slower }, CP_GEL, true)
        }
        "wood" | "cardboard" => {
            let time_s = hours(6.0, "at 60 °C; 6 mm of plywood 3 to 10 h (order); cardboard less");
            (Matter::Wood { time_s }, CP_FIBRE, false)
        }
        other => match FIBRES.iter().find(|(n, _)| *n == other) {
            Some((_, isotherm)) => {
                let time_s = hours(0.25, "at 60 °C; a textile or sheet hung in the air (order)");
                (Matter::Fibre { isotherm: *isotherm, time_s }, CP_FIBRE, false)
            }
            None => read_polymer(s, &word),
        },
    }
}

/// Granules or a sheet of a polymer; the rate is that of the mean time out of the body.
/// Source: \[Crank1975\], first moments: 3, 8, 15 D/R^2.
fn read_polymer(s: &Section, word: &str) -> (Matter, f64, bool) {
    let polymer = Polymer::find(word.trim()).unwrap_or_else(|| {
        if s.has(&MATERIAL) && !word.is_empty() {
            let polymers = Polymer::names();
            let names = MATERIALS.iter().copied().chain(polymers.split(", "));
            let hint = match crate::text::closest(word, names) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => format!("write one of: {}, {polymers}", MATERIALS.join(", ")),
            };
            let what = "is not in the table of hygroscopic materials";
            s.fail("material", "unknown-material", what, None, Some(hint));
        }
        Polymer::stand_in()
    });
    let shape = match s.choice(&SHAPE) {
        "sheet" => Shape::Sheet,
        "filament" => Shape::Cylinder,
        _ => Shape::Sphere,
    };
    let size = s.quantity(&THICKNESS);
    let n = shape as usize as f64;
    let per_m2 = n * (n + 2.0) / (0.25 * size * size);
    let matter =
        Matter::Polymer { sorption: polymer.sorption, diffusion: polymer.diffusion, per_m2 };
    (matter, polymer.specific_heat, !matches!(shape, Shape::Sheet))
}

/// A body of one temperature that tends to its isotherm (linear driving force), with the coefficient of the air
/// and the gaps of a bed in series:
/// `dX/dt = (X*(a, T) - X) / (1/k + m (X*/p) r)`, r their resistance to vapour over a pressure.
/// Of a bed counts a third of its depth, as in the mean time into a plate.
///
/// Source: \[Glueckauf1955\]. Checked in: `tests/analytic/hygroscopic.rs`.
#[derive(Clone, Debug)]
pub struct Hygroscopic {
    heat: Heat,
    water: Water,
    zone: usize,
    air: Gas,
    matter: Matter,
    dry_kg: f64,
    coupling_w_k: f64,
    bed_per_m: f64,
}

impl Part for Hygroscopic {
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        let air = &at.zones[self.zone].air;
        let temp_k = at.temp_k(self.heat);
        let content = at.water_kg(self.water) / self.dry_kg;
        let activity = air.vapour_pa / saturation_in_air_pa(temp_k, at.total_pa);
        let (end, rate) = self.matter.end_and_rate(activity, content, temp_k);
        // Content over activity at the damper of air and body. Most isotherms bend so that this is the
        // slope between the two: within 20 % for gel between 5 and 60 %RH, either way.
        let chord = |a: R| self.matter.end_and_rate(a, content, temp_k).0 / a;
        let damp = activity.rounded_positive(LEAST_ACTIVITY) + LEAST_ACTIVITY;
        let own = content / chord(damp);
        let damper = damp + (own - damp).rounded_positive(LEAST_ACTIVITY);
        let per_pa = chord(damper) / saturation_in_air_pa(temp_k, at.total_pa);
        // Heat and vapour are transferred alike.
        let outer = (air.mass_per_heat * self.coupling_w_k).recip_of(1.0);
        let bed = air.diffusivity.recip_of(self.bed_per_m / (3.0 * BED_DIFFUSION));
        let outside = (outer + bed) * temp_k * R_VAPOUR;
        let inside = rate * self.dry_kg;
        let kg_s = inside * (end - content) / (inside * per_pa * outside + 1.0);
        flows.vapour((self.air.heat, self.air.water), (self.heat, self.water), kg_s, temp_k);
        flows.heat(self.air.heat, self.heat, (air.temp_k - temp_k) * self.coupling_w_k);
    }
}
