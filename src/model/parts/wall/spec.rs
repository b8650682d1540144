//! How a wall is stated: layers or a loss; its steady state; and what is built from it.

use super::faces::Faces;
use super::{Outside, STILL_COEFFICIENT, Wall};
use crate::address::{Place, Quantity, Side};
use crate::model::materials::{Material, Materials, Polymer};
use crate::model::parts::uptake::{Uptake, UptakeSpec, wood_time_s};
use crate::model::site::Site;
use crate::model::store::Thermal;
use crate::physics::root::bisect;
use crate::reader::{Key, Keys, Section, key};
use crate::units::Kind;

const WALL: Key = key::table("wall").help("what the wall is made of; or `wall_loss`");
const LAYERS: Key =
    key::tables("layers").help("layers from the inside out, in place of one material");
const MATERIAL: Key =
    key::text("material").help("name in the table of materials, or of a [material.NAME]");
const THICKNESS: Key = key::quantity("thickness", Kind::Length, 0.02e-3..=0.5)
    .follows("usual thickness of this material")
    .help("thickness of the layer");
const EMISSIVITY: Key = key::number("emissivity", 0.02..=1.0)
    .follows("material of the outer layer")
    .help("emissivity of the outside");
const INSIDE_COEFFICIENT: Key =
    key::quantity("inside_coefficient", Kind::HeatTransferCoefficient, 0.5..=200.0)
        .or(10.0, "stirred air at 0.5 to 1 m/s gives 8 to 12, a jet 18 (order; fit it)")
        .within(1.5, 'C')
        .help("heat transfer from the air to the wall");
const WALL_LOSS: Key = key::quantity("wall_loss", Kind::Conductance, 1e-3..=1e3)
    .help("loss of all walls from the air inside to the room, the coefficient inside included");
const WALL_HEAT_CAPACITY: Key = key::quantity("wall_heat_capacity", Kind::HeatCapacity, 0.1..=1e6)
    .follows("as 2.5 mm of plastic")
    .within(2.0, 'D')
    .help("heat capacity of a wall stated by its loss");
const TAKES_UP_WATER: Key = key::switch("takes_up_water")
    .follows("true where the inner layer is wood")
    .help("whether the inner layer takes water up");
const UPTAKE_TIME: Key = key::quantity("uptake_time", Kind::Time, 1.0..=1e8)
    .follows("by its thickness, at 60 °C; right within a factor of 3, longer under varnish (order)")
    .within(3.0, 'D')
    .help("time constant of that, for wood");

/// Heat capacity per area of a wall stated by its loss alone \[J/(m2 K)\]: 2.5 mm of plastic.
const PLAIN_CAPACITY_J_M2K: f64 = 3_700.0;

/// Thickness of the wall of a scenario that states none, which is a mistake \[m\].
const STAND_IN_WALL_M: f64 = 3e-3;

/// What a wall is made of.
#[derive(Clone, Debug)]
pub enum Build {
    /// Layers from the inside out with their thickness \[m\].
    Layers(Vec<(Material, f64)>),
    /// A total loss from the air inside to the room, and a heat capacity.
    Plain {
        /// Loss \[W/K\].
        loss_w_k: f64,
        /// Heat capacity \[J/K\].
        capacity_j_k: f64,
    },
}

/// `wall`, `wall_loss` and `inside_coefficient` of `[enclosure]`.
#[derive(Clone, Debug)]
pub struct WallSpec {
    /// What it is made of.
    pub build: Build,
    /// Heat transfer coefficient inside \[W/(m2 K)\].
    pub inside_coefficient: f64,
    /// Emissivity of the outer face.
    pub emissivity: f64,
    /// What the inner layer takes water up with, if it does.
    pub uptake: Option<UptakeSpec>,
}

impl WallSpec {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[
        Keys::always(
            "enclosure",
            "",
            &[&WALL, &INSIDE_COEFFICIENT, &WALL_LOSS, &WALL_HEAT_CAPACITY],
        ),
        Keys::always(
            "enclosure.wall",
            "what the wall is made of",
            &[&MATERIAL, &THICKNESS, &LAYERS, &EMISSIVITY, &TAKES_UP_WATER, &UPTAKE_TIME],
        ),
        Keys::always(
            "enclosure.wall.layers",
            "one layer, from the inside out",
            &[&MATERIAL, &THICKNESS],
        ),
    ];

    /// Reads the wall of `[enclosure]`; `inner_m2` is the inner area of the box, `stirred` whether a
    /// fan runs.
    pub fn read(s: &Section, materials: &Materials, inner_m2: f64, stirred: bool) -> Self {
        let inside_coefficient = if stirred {
            s.quantity(&INSIDE_COEFFICIENT)
        } else {
            let how = "natural convection inside, the fan stands still (order)";
            s.quantity_by(&INSIDE_COEFFICIENT, STILL_COEFFICIENT, how)
        };
        match (s.section_opt(&WALL), s.has(&WALL_LOSS)) {
            (None, false) => missing_wall(s),
            (None, true) => return Self::read_plain(s, inside_coefficient, inner_m2),
            (Some(_), true) => two_walls(s),
            (Some(_), false) => {}
        }
        let Some(wall) = s.section_opt(&WALL) else {
            // The failed reading never becomes a model.
            let build = Build::Layers(vec![(materials.stand_in(), STAND_IN_WALL_M)]);
            return WallSpec { build, inside_coefficient, emissivity: 0.9, uptake: None };
        };
        let layer = |l: &Section| {
            let material = materials.read(l, &MATERIAL);
            let usual = material.thickness_m;
            let thickness = match usual {
                Some(t) => l.quantity_from(&THICKNESS, t),
                None => l.quantity(&THICKNESS),
            };
            (material, thickness)
        };
        let layers: Vec<_> = if wall.has(&LAYERS) {
            wall.tables(&LAYERS).iter().map(layer).collect()
        } else {
            vec![layer(&wall)]
        };
        let outer = layers.last().map_or(0.9, |(m, _)| m.emissivity);
        let emissivity = wall.quantity_from(&EMISSIVITY, outer);
        let uptake = read_uptake(&wall, &layers);
        WallSpec { build: Build::Layers(layers), inside_coefficient, emissivity, uptake }
    }

    fn read_plain(s: &Section, inside_coefficient: f64, inner_m2: f64) -> Self {
        let loss_w_k = s.quantity(&WALL_LOSS);
        let most = inside_coefficient * inner_m2;
        if loss_w_k >= 0.98 * most {
            s.fail(
                "wall_loss",
                "loss-too-large",
                &format!("exceeds what the air inside can pass to the wall ({most:.2} W/K)"),
                Some("the coefficient inside is in series with the rest: inside_coefficient times inner area"),
                Some("raise `inside_coefficient`, or check the unit".into()),
            );
        }
        let how = "wall_loss counts from the air inside, inside coefficient included: this is from the inner face on";
        s.derived(
            "loss_from_face",
            Kind::Conductance,
            (loss_w_k.recip() - most.recip()).recip(),
            how,
        );
        let capacity_j_k = s.quantity_from(&WALL_HEAT_CAPACITY, PLAIN_CAPACITY_J_M2K * inner_m2);
        // Without a stated surface the loss is taken as linear, so the emissivity has no effect.
        let build = Build::Plain { loss_w_k, capacity_j_k };
        WallSpec { build, inside_coefficient, emissivity: 0.9, uptake: None }
    }

    /// Total thickness \[m\], where it is known.
    pub fn thickness_m(&self) -> Option<f64> {
        match &self.build {
            Build::Layers(layers) => Some(layers.iter().map(|(_, t)| t).sum()),
            Build::Plain { .. } => None,
        }
    }

    /// Steady loss of the whole wall between air at `air_k` inside and the room, without
    /// condensation.
    pub fn steady(&self, faces: &Faces, air_k: f64, room_k: f64, total_pa: f64) -> Steady {
        let surface_w_k = self.inside_coefficient * faces.inner_m2();
        if let Build::Plain { loss_w_k, .. } = self.build {
            let loss_w = loss_w_k * (air_k - room_k);
            let face_k = air_k - loss_w / surface_w_k;
            return Steady { loss_w, inner_k: face_k, outer_k: None };
        }
        let (conductances, _) = self.nodes(faces, 1.0);
        let layers_k_w: f64 = conductances.iter().map(|c| 1.0 / c).sum();
        let inside_w_k = 1.0 / (1.0 / surface_w_k + layers_k_w);
        let outside = Outside::Free { faces: *faces, emissivity: self.emissivity };
        // The face settles where both sides pass the same heat; the balance is monotone in it.
        let out = |outer_k| outside.w_k(outer_k, room_k, total_pa) * (outer_k - room_k);
        let colder = |outer_k: f64| inside_w_k * (air_k - outer_k) > out(outer_k);
        let outer_k = bisect(room_k.min(air_k), room_k.max(air_k), colder);
        let loss_w = inside_w_k * (air_k - outer_k);
        Steady { loss_w, inner_k: air_k - loss_w / surface_w_k, outer_k: Some(outer_k) }
    }

    /// Makes the wall of one zone, which has `share` of all faces.
    pub fn build(
        &self,
        zone: usize,
        share: f64,
        faces: &Faces,
        site: &mut Site,
    ) -> (Wall, Option<Uptake>) {
        let faces = faces.scaled(share);
        let (conductances, capacities) = self.nodes(&faces, share);
        let film = site.layout.water(Place::Wall(zone), Quantity::Condensate, 0.0);
        let puddle = site.layout.water(Place::Floor(zone), Quantity::Puddle, 0.0);
        let start_rh = site.start.relative_humidity(site.total_pa);
        let area = faces.inner_m2();
        let start = (site.start.temp_k, start_rh);
        let sorbed =
            self.uptake.as_ref().map(|u| (u, u.stores(area, zone, start, &mut site.layout)));
        // The puddle and the bound water share the heat of the inner face.
        let more = 1 + sorbed.as_ref().map_or(0, |(_, stores)| stores.count());
        let fibre = sorbed.as_ref().and_then(|(spec, stores)| spec.binding(stores));
        let temp_k = site.start.temp_k;
        let mut heats = Vec::with_capacity(capacities.len());
        for (i, &capacity) in capacities.iter().enumerate() {
            let (place, rule) = if i == 0 {
                (
                    Place::Face(zone, Side::Inside),
                    Thermal::Wet { capacity, water: film, more, fibre },
                )
            } else if i + 1 == capacities.len() {
                (Place::Face(zone, Side::Outside), Thermal::Solid { capacity })
            } else {
                (Place::Joint(zone, i), Thermal::Solid { capacity })
            };
            heats.push(site.layout.heat(place, rule, temp_k));
        }
        site.wall_faces.push(heats[0]);
        let outside = match self.build {
            Build::Layers(_) => Outside::Free { faces, emissivity: self.emissivity },
            Build::Plain { loss_w_k, .. } => {
                let film = self.inside_coefficient * faces.inner_m2();
                Outside::Linear { w_k: 1.0 / (1.0 / (loss_w_k * share) - 1.0 / film) }
            }
        };
        let wall = Wall {
            zone,
            air: site.zones[zone].gas,
            inner_m2: faces.inner_m2(),
            inside_coefficient: self.inside_coefficient,
            still_coefficient: STILL_COEFFICIENT.min(self.inside_coefficient),
            nodes: heats,
            conductances,
            film,
            puddle,
            floor_m2: faces.inside_m2[2],
            outside,
            room: site.layout.heat_total(Place::Wall(zone), Quantity::HeatOut),
        };
        let uptake = sorbed.map(|(spec, stores)| {
            spec.build(zone, wall.air, wall.nodes[0], stores, (area, self.inside_coefficient))
        });
        (wall, uptake)
    }

    /// Conductances between the nodes and their heat capacities: one node on each face of each
    /// layer, with half of the layer's capacity.
    ///
    /// Conduction through faces, edges and corners of a box: `k (A/t + 0.54 E + 1.2 t)` with inner
    /// area A, length of edges E and thickness t. Source: \[Incropera2007\], ch. 4 (shape factors,
    /// from memory).
    fn nodes(&self, faces: &Faces, share: f64) -> (Vec<f64>, Vec<f64>) {
        let layers = match &self.build {
            Build::Plain { capacity_j_k, .. } => return (vec![], vec![*capacity_j_k * share]),
            Build::Layers(layers) => layers,
        };
        let mut capacities = vec![0.0; layers.len() + 1];
        let mut conductances = Vec::with_capacity(layers.len());
        let mut depth = 0.0;
        for (i, (material, thickness)) in layers.iter().enumerate() {
            let (area, edges) = faces.at_depth(depth, share);
            let middle = faces.at_depth(depth + 0.5 * thickness, share).0;
            depth += thickness;
            let volume = middle * thickness;
            let half = 0.5 * material.density * material.specific_heat * volume;
            capacities[i] += half;
            capacities[i + 1] += half;
            let corners = if edges > 0.0 { 1.2 * thickness * share } else { 0.0 };
            conductances.push(material.conductivity * (area / thickness + 0.54 * edges + corners));
        }
        (conductances, capacities)
    }
}

fn missing_wall(s: &Section) {
    if s.is_present() {
        let what = "is not given, nor is enclosure.wall_loss";
        let hint = "write wall = { material = \"polypropylene\", thickness = \"3 mm\" }";
        s.fail("wall", "missing-key", what, None, Some(hint.into()));
    }
}

fn two_walls(s: &Section) {
    s.fail(
        "wall_loss",
        "two-walls",
        "and enclosure.wall are both given",
        Some("one states the loss, the other works it out from the material"),
        Some("keep one of the two".into()),
    );
}

/// Materials of the table that take water up like wood.
const WOODS: [&str; 2] = ["plywood", "MDF"];

/// Reads `takes_up_water` and, for wood, `uptake_time` for the inner layer.
fn read_uptake(wall: &Section, layers: &[(Material, f64)]) -> Option<UptakeSpec> {
    let (material, thickness) = layers.first()?;
    let wood = WOODS.contains(&material.name.as_str());
    let how = if wood {
        "wood does: plywood round a small box gives up some 30 g"
    } else {
        "left out: 0.1 to 0.3 g in a plastic box in 3 h"
    };
    let takes_up = wall.switch_by(&TAKES_UP_WATER, wood, how);
    if !(wood && takes_up) && wall.has(&UPTAKE_TIME) {
        let _ = wall.quantity_opt(&UPTAKE_TIME);
        wall.warn("uptake_time", "unused-key", "has no effect on a wall that is no wood", None);
    }
    if !takes_up {
        return None;
    }
    if wood {
        let how =
            "by its thickness, at 60 °C; right within a factor of 3, longer under varnish (order)";
        let time = wood_time_s(*thickness);
        let time_s = wall.quantity_by(&UPTAKE_TIME, time, how);
        return Some(UptakeSpec::Wood {
            density: material.density,
            thickness_m: *thickness,
            time_s,
        });
    }
    let Some(polymer) = Polymer::find(&material.name) else {
        let what = format!("but the table of polymers has no {}", material.name);
        let hint = format!("it has {}, and wood {}", Polymer::names(), WOODS.join(", "));
        wall.fail("takes_up_water", "unknown-polymer", &what, None, Some(hint));
        return None;
    };
    Some(UptakeSpec::Polymer(Box::new(polymer), *thickness))
}

/// The wall in a steady state.
#[derive(Clone, Copy, Debug)]
pub struct Steady {
    /// Heat lost \[W\].
    pub loss_w: f64,
    /// Inner face \[K\].
    pub inner_k: f64,
    /// Outer face \[K\]; unknown for a wall stated by its loss alone.
    pub outer_k: Option<f64>,
}
