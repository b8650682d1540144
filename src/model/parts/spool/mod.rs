//! A spool of polymer filament: filament shells times winding layers, or one lump.

mod bed;
mod face;
mod lump;
mod spread;
mod winding;

pub use bed::Bed;
pub use lump::Lump;
pub use spread::{SPREAD, SPREAD_NAMES};

use std::f64::consts::PI;

use super::LoadView;
use spread::{
    BORE, CONDUCTIVITY, CORE, CORE_MASS, FLANGE, FLANGE_MASS_TRANSFER, GAPS, SOLID, SURFACE, WIDTH,
};

use crate::model::flows::Flows;
use crate::model::materials::{Polymer, Ranged};
use crate::model::part::{At, Part};
use crate::model::site::{Context, Site, ZONE, ZONES};
use crate::reader::{Key, Section, key};
use crate::real::Real;
use crate::units::{Kind, ZERO_CELSIUS_K, format, format_digits};

const POLYMER: Key = key::text("polymer").help("PLA, PET, PETG, ABS, PC, PA6, PA6_CF20, PA6_GF30, PA12, PA12_CF15, TPU_polyester, PVA_support, PPS, PPS_CF20, PLA_filled_wood_20 or PEBA_other_elastomers");
const MASS: Key = key::quantity("mass", Kind::Mass, 1e-3..=20.0)
    .help("mass of the filament, dry; less for a partly used spool");
const COUNT: Key = key::count("count", 1..=50).or(1.0, "one spool").help("spools alike");
const ROTATING: Key = key::switch("rotating")
    .or_switch(false, "it stands still")
    .help("turns, so that all of it sees both `zones`");
const MOISTURE: Key = key::quantity("moisture", Kind::Share, 0.0..=0.3)
    .follows("in equilibrium with the room")
    .help("water over dry mass at the start");
const TARGET: Key = key::quantity("target", Kind::Share, 1e-6..=0.3)
    .or(5e-4, "often asked of polyesters (common practice)")
    .help("moisture at which it counts as dry");
const SOFTENING: Key =
    key::quantity("softening", Kind::Temperature, ZERO_CELSIUS_K..=ZERO_CELSIUS_K + 300.0)
        .follows("highest drying temperature of this polymer (table; common practice)")
        .help("temperature above which it may soften or stick");
const DIFFUSIVITY: Key = key::number("diffusivity", 1e-17..=1e-7)
    .follows("table of polymers, with its range")
    .help("of water in the dry polymer at 23 °C, in m²/s");
const ACTIVATION_ENERGY: Key = key::number("activation_energy", 1.0..=150.0)
    .follows("table of polymers, with its range")
    .help("of the diffusivity, in kJ/mol");
const CONTENT_50: Key = key::quantity("content_50", Kind::Share, 1e-6..=0.3)
    .follows("table of polymers, with its range")
    .help("water over dry mass in equilibrium with 23 °C and 50 %RH");
const FILAMENT: Key = key::quantity("filament", Kind::Length, 0.2e-3..=10e-3)
    .or(1.75e-3, "usual filament")
    .help("diameter of the filament");
const MODEL: Key = key::word("model", &["layers", "lumped"])
    .or_word("layers", "filament and winding")
    .help("layers and shells, or one lump for sweeps");
const LAYERS: Key = key::count("layers", 2..=40)
    .or(10.0, "20 change the time by 0.2 %; fewer on a shallow winding")
    .help("rings of the winding; at most 10 for each filament of depth");
const SHELLS: Key = key::count("shells", 2..=40)
    .or(6.0, "12 change the time by 0.1 %")
    .help("shells of the filament");

/// Specific heat of core and flanges \[J/(kg K)\]; plastic or cardboard, handbook order, from memory.
const CP_CORE: f64 = 1400.0;

/// `[load.<name>]` with `kind = "spool"`.
#[derive(Clone, Debug)]
pub struct SpoolSpec {
    /// Name in the scenario.
    pub name: String,
    /// The polymer, with the scenario's own values in place of the table's.
    pub polymer: Box<Polymer>,
    zones: Vec<usize>,
    rotating: bool,
    /// One lump in place of layers.
    pub lumped: bool,
    count: f64,
    mass_kg: f64,
    filament_m: f64,
    core_m: f64,
    width_m: f64,
    solid: f64,
    core_j_k: f64,
    layers: usize,
    shells: usize,
    surface_w_m2k: f64,
    flange_w_m2k: f64,
    bore_w_m2k: f64,
    flange_m_s: f64,
    conductivity: f64,
    gap_diffusion: f64,
    stated: spread::Stated,
    /// Moisture at the start \[kg/kg\].
    pub moisture: f64,
    moisture_follows: bool,
    /// Moisture at which it counts as dry \[kg/kg\].
    pub target: f64,
    /// Temperature above which the polymer may soften \[K\].
    pub softening_k: f64,
}

/// Most layers for each filament that the winding is deep. Our choice.
const MOST_PER_FILAMENT: f64 = 10.0;

impl SpoolSpec {
    /// Its keys.
    pub const KEYS: &'static [&'static Key] = &[
        &POLYMER,
        &MASS,
        &COUNT,
        &ZONE,
        &ZONES,
        &ROTATING,
        &MOISTURE,
        &TARGET,
        &SOFTENING,
        &DIFFUSIVITY,
        &ACTIVATION_ENERGY,
        &CONTENT_50,
        &FILAMENT,
        &CORE,
        &WIDTH,
        &SOLID,
        &CORE_MASS,
        &GAPS,
        &CONDUCTIVITY,
        &FLANGE_MASS_TRANSFER,
        &SURFACE,
        &FLANGE,
        &BORE,
        &MODEL,
        &LAYERS,
        &SHELLS,
    ];

    /// Reads the polymer with its values, the winding, where it stands, and how it is modelled.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let polymer = read_polymer(s);
        let zones = cx.zones_around(s);
        let softening_k = s.quantity_from(&SOFTENING, polymer.softening_k);
        let content = polymer.sorption.content(cx.room_rh, cx.room_temp_k);
        let how = "in equilibrium with the room";
        let moisture = s.quantity_by(&MOISTURE, content, how);
        let target = s.quantity(&TARGET);
        let spec = Self::read_winding(s, cx, Box::new(polymer), zones);
        let moisture_follows = !s.has(&MOISTURE);
        SpoolSpec { softening_k, moisture, moisture_follows, target, ..spec }
    }

    fn read_winding(s: &Section, cx: &Context, polymer: Box<Polymer>, zones: Vec<usize>) -> Self {
        let model = s.choice(&MODEL);
        let spec = SpoolSpec {
            name: s.name(),
            polymer,
            zones,
            rotating: s.switch(&ROTATING),
            lumped: model == "lumped",
            count: s.count(&COUNT) as f64,
            mass_kg: s.quantity(&MASS),
            filament_m: s.quantity(&FILAMENT),
            core_m: 0.5 * s.quantity(&CORE),
            width_m: s.quantity(&WIDTH),
            solid: s.quantity(&SOLID),
            core_j_k: CP_CORE * s.quantity(&CORE_MASS),
            layers: 2,
            shells: s.count(&SHELLS),
            surface_w_m2k: s.quantity(&SURFACE).max(0.1),
            flange_w_m2k: s.quantity(&FLANGE),
            bore_w_m2k: s.quantity(&BORE),
            flange_m_s: s.quantity(&FLANGE_MASS_TRANSFER),
            conductivity: s.quantity(&CONDUCTIVITY),
            gap_diffusion: s.quantity(&GAPS),
            stated: spread::stated(s),
            moisture: 0.0,
            moisture_follows: false,
            target: 0.0,
            softening_k: 0.0,
        };
        spec.check_fits(s, cx);
        SpoolSpec { layers: spec.read_layers(s), ..spec }
    }

    /// Reads `layers`. Rings far thinner than a filament are no winding, and pass vapour and heat so fast
    /// that round-off shows in the accounts.
    fn read_layers(&self, s: &Section) -> usize {
        let depth_m = self.outer_m() - self.core_m;
        let most = (MOST_PER_FILAMENT * depth_m / self.filament_m) as usize;
        if most < 1 && !self.lumped && ["mass", "filament"].iter().all(|key| s.is_valid(key)) {
            let depth = format_digits(Kind::Length, depth_m, 2);
            let what = format!("makes a winding {depth} deep, less than a tenth of its filament");
            let hint = "check core_diameter and width, or write model = \"lumped\"".to_owned();
            s.fail("mass", "winding-too-thin", &what, None, Some(hint));
        }
        let most = most.clamp(2, 40);
        let layers = s.count_by(&LAYERS, most.min(10), LAYERS.source);
        if layers > most && !self.lumped && s.is_valid("mass") {
            let ring = format_digits(Kind::Length, depth_m / layers as f64, 2);
            let what = format!("makes rings of {ring}, less than a tenth of the filament");
            let hint = format!("write layers = {most}, or leave it out");
            s.fail("layers", "rings-too-thin", &what, None, Some(hint));
        }
        layers.min(most)
    }

    fn check_fits(&self, s: &Section, cx: &Context) {
        let diameter = 2.0 * self.outer_m();
        let volume = self.count * PI * self.outer_m().powi(2) * self.width_m;
        let too_wide = cx.edges_m.is_some_and(|e| {
            let mut own = [diameter, diameter, self.width_m];
            own.sort_by(|a, b| b.total_cmp(a));
            own.iter().zip(e).any(|(own, edge)| *own > edge)
        });
        if too_wide || volume > cx.volume_m3 {
            let what = format!("makes a winding {:.0} mm across", 1e3 * diameter);
            let why = "it does not fit into the box";
            let hint = "compare with enclosure.inner_size, and check core_diameter and width";
            s.fail("mass", "load-too-large", &what, Some(why), Some(hint.into()));
        }
    }

    /// Outer radius of the winding \[m\].
    pub fn outer_m(&self) -> f64 {
        let volume = self.mass_kg / (self.polymer.density * self.solid);
        (self.core_m * self.core_m + volume / (PI * self.width_m)).sqrt()
    }

    /// Dry polymer on all spools \[kg\].
    pub fn dry_kg(&self) -> f64 {
        self.count * self.mass_kg
    }

    /// It brings no water beside what it has bound.
    pub fn added_kg(&self) -> f64 {
        0.0
    }

    /// Makes the part.
    pub fn build(&self, site: &mut Site) -> (Spool, LoadView) {
        if self.lumped { self.build_lump(site) } else { self.build_full(site) }
    }
}

/// Reads `polymer` and the values that replace the table's.
fn read_polymer(s: &Section) -> Polymer {
    let word = s.text(&POLYMER);
    let Some(mut p) = Polymer::find(word.trim()) else {
        if s.has(&POLYMER) && !word.is_empty() {
            let names = Polymer::names();
            let hint = match crate::text::closest(&word, names.split(", ")) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => format!("write one of: {names}"),
            };
            let what = "is not in the table of polymers";
            s.fail("polymer", "unknown-polymer", what, None, Some(hint));
        }
        return Polymer::stand_in();
    };
    let how = |r: &Ranged, scale: f64| {
        let [low, high] = [r.low, r.high].map(|v| format(Kind::Number, v * scale));
        format!("quality {}, {low} to {high}: {}", r.quality, r.source)
    };
    let d = &p.diffusivity;
    let source = format!(
        "m²/s at 23 °C, dry; quality {}, {:e} to {:e}: {}",
        d.quality, d.low, d.high, d.source
    );
    p.diffusion.dry_m2_s = s.quantity_by(&DIFFUSIVITY, d.value, &source);
    let activation = s.quantity_by(
        &ACTIVATION_ENERGY,
        p.activation.value * 1e-3,
        &format!("kJ/mol; {}", how(&p.activation, 1e-3)),
    );
    p.diffusion.activation_j_mol = activation * 1e3;
    let source = format!("at 23 °C and 50 %RH, in %; {}", how(&p.content_50, 100.0));
    let table = p.content_50.value;
    let content = s.quantity_by(&CONTENT_50, table, &source);
    p.sorption.form = p.sorption.form.scaled(content / table);
    p.content_50.value = content;
    p.diffusivity.value = p.diffusion.dry_m2_s;
    p.activation.value = p.diffusion.activation_j_mol;
    // What the scenario states is known: it has no spread.
    for (key, ranged) in [
        (&CONTENT_50, &mut p.content_50),
        (&DIFFUSIVITY, &mut p.diffusivity),
        (&ACTIVATION_ENERGY, &mut p.activation),
    ] {
        if s.has(key) {
            (ranged.low, ranged.high) = (ranged.value, ranged.value);
        }
    }
    p
}

/// A spool as it is modelled.
#[derive(Clone, Debug)]
pub enum Spool {
    /// Layers and shells.
    Full(Box<Bed>),
    /// One lump.
    Lumped(Lump),
}

impl Part for Spool {
    #[inline]
    fn flows<R: Real>(&self, at: &At<'_, R>, flows: &mut Flows<'_, R>) {
        match self {
            Spool::Full(bed) => bed.flows(at, flows),
            Spool::Lumped(lump) => lump.flows(at, flows),
        }
    }
}
