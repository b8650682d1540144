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
    BORE, CONDUCTIVITY, CORE, CORE_MASS, FLANGE, FLANGE_MASS_TRANSFER, Guess, SOLID, SURFACE, WIDTH,
};

use crate::model::flows::Flows;
use crate::model::materials::{Polymer, Ranged};
use crate::model::part::{At, Part};
use crate::model::site::{Context, Site};
use crate::reader::Section;
use crate::real::Real;
use crate::units::{Kind, ZERO_CELSIUS_K, format, format_digits};

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
    /// Reads the polymer with its values, the winding, where it stands, and how it is modelled.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let polymer = read_polymer(s);
        let zones = cx.zones_around(s);
        let softening_k = s.quantity_or(
            "softening",
            Kind::Temperature,
            ZERO_CELSIUS_K..=ZERO_CELSIUS_K + 300.0,
            polymer.softening_k,
            "highest drying temperature of this polymer (table; common practice)",
        );
        let content = polymer.sorption.content(cx.room_rh, cx.room_temp_k);
        let how = "in equilibrium with the room";
        let moisture = s.quantity_or("moisture", Kind::Share, 0.0..=0.3, content, how);
        let how = "often asked of polyesters (common practice)";
        let target = s.quantity_or("target", Kind::Share, 1e-6..=0.3, 5e-4, how);
        let spec = Self::read_winding(s, cx, Box::new(polymer), zones);
        let moisture_follows = !s.has("moisture");
        SpoolSpec { softening_k, moisture, moisture_follows, target, ..spec }
    }

    fn read_winding(s: &Section, cx: &Context, polymer: Box<Polymer>, zones: Vec<usize>) -> Self {
        let length = |guess: &Guess, range, how: &str| {
            s.quantity_or(guess.key, Kind::Length, range, guess.range.1, how)
        };
        let coefficient = |guess: &Guess, how: &str| {
            s.quantity_or(guess.key, Kind::HeatTransferCoefficient, 0.0..=200.0, guess.range.1, how)
        };
        let (low, usual, high) = spread::GAPS.range;
        let gap = format!(
            "share of gaps over their winding way, {low} to {high}, quality D: weigh the spool and fit it"
        );
        let model = s.choice_or("model", &["layers", "lumped"], "layers", "filament and winding");
        let spec = SpoolSpec {
            name: s.name(),
            polymer,
            zones,
            rotating: s.boolean_or("rotating", false, "it stands still"),
            lumped: model == "lumped",
            count: s.count_or("count", 1..=50, 1, "one spool") as f64,
            mass_kg: s.quantity("mass", Kind::Mass, 1e-3..=20.0),
            filament_m: s.quantity_or(
                "filament",
                Kind::Length,
                0.2e-3..=10e-3,
                1.75e-3,
                "usual filament",
            ),
            core_m: 0.5 * length(&CORE, 5e-3..=0.5, "usual core, 50 to 110 mm"),
            width_m: length(&WIDTH, 5e-3..=0.5, "usual spool, 50 to 75 mm"),
            solid: s.number_or(SOLID.key, 0.3..=0.9, SOLID.range.1, "wound filament 0.72 to 0.80"),
            core_j_k: CP_CORE
                * s.quantity_or(
                    CORE_MASS.key,
                    Kind::Mass,
                    0.0..=5.0,
                    CORE_MASS.range.1,
                    "a plastic core, 30 to 150 g",
                ),
            layers: 2,
            shells: s.count_or("shells", 2..=40, 6, "12 change the time by 0.1 %"),
            surface_w_m2k: coefficient(&SURFACE, "stirred air at 0.5 to 1 m/s, 7 to 15, quality C")
                .max(0.1),
            flange_w_m2k: coefficient(&FLANGE, "4 with the air, 3 to 7, quality D"),
            bore_w_m2k: coefficient(&BORE, "3 with the air: still air in it, 2 to 5, quality D"),
            flange_m_s: s.quantity_or(
                FLANGE_MASS_TRANSFER.key,
                Kind::Speed,
                0.0..=0.1,
                FLANGE_MASS_TRANSFER.range.1,
                "flanges close; up to 1 mm/s where filament stands off them, quality D",
            ),
            conductivity: s.quantity_or(
                CONDUCTIVITY.key,
                Kind::Conductivity,
                0.01..=5.0,
                CONDUCTIVITY.range.1,
                "0.10 to 0.20, quality C: fit it",
            ),
            gap_diffusion: s.number_or(spread::GAPS.key, 1e-3..=1.0, usual, &gap),
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
        let how = "20 change the time by 0.2 %; fewer on a shallow winding";
        let layers = s.count_or("layers", 2..=40, most.min(10), how);
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
    let word = s.text("polymer");
    let Some(mut p) = Polymer::find(word.trim()) else {
        if s.has("polymer") && !word.is_empty() {
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
    p.diffusion.dry_m2_s = s.number_or("diffusivity", 1e-17..=1e-7, d.value, &source);
    let activation = s.number_or(
        "activation_energy",
        1.0..=150.0,
        p.activation.value * 1e-3,
        &format!("kJ/mol; {}", how(&p.activation, 1e-3)),
    );
    p.diffusion.activation_j_mol = activation * 1e3;
    let source = format!("at 23 °C and 50 %RH, in %; {}", how(&p.content_50, 100.0));
    let table = p.content_50.value;
    let content = s.quantity_or("content_50", Kind::Share, 1e-6..=0.3, table, &source);
    p.sorption.form = p.sorption.form.scaled(content / table);
    p.content_50.value = content;
    p.diffusivity.value = p.diffusion.dry_m2_s;
    p.activation.value = p.diffusion.activation_j_mol;
    // What the scenario states is known: it has no spread.
    for (key, ranged) in [
        ("content_50", &mut p.content_50),
        ("diffusivity", &mut p.diffusivity),
        ("activation_energy", &mut p.activation),
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
