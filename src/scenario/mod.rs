//! A scenario file as a whole: its order, its cross-references, and the model built from it.
//!
//! ```
//! use drybench::reader::Source;
//! use drybench::scenario::Scenario;
//!
//! let text = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/sealed.toml"));
//! let mut source = Source::from_bytes("sealed.toml", text.as_bytes()).expect("TOML");
//! source.set("heater.power=much").expect("a path");
//! let issues = Scenario::read(&source).expect_err("no number");
//! assert_eq!(issues[0].code, "not-a-number");
//! ```

mod derived;
mod draft;
mod enclosure;
mod events;
mod keys;
mod limits;
mod names;
pub mod replayed;
mod room;
mod run;
mod size;

pub use draft::{Draft, Given};
pub use enclosure::EnclosureSpec;
pub use events::EventsSpec;
pub use keys::keys;
pub use room::RoomSpec;
pub use run::RunSpec;

use crate::address::{Address, Place, Quantity};
use crate::model::control::{AnyDecider, ControlSpec, CutOutSpec, RuleSpec, Warm};
use crate::model::fan::FanSpec;
use crate::model::materials::Materials;
use crate::model::network::{Network, Way};
use crate::model::openings::{ExhaustSpec, OpeningSpec, ReliefSpec};
use crate::model::parts::{AnyPart, Fog, HeaterSpec, Lid, LoadSpec, SensorSpec};
use crate::model::room::air_of;
use crate::model::site::{Context, Site};
use crate::model::store::Layout;
use crate::model::{Landmarks, Limit, Model, Pieces, Steering};
use crate::reader::{Issue, Key, Report, Section, Source, key};

const TITLE: Key =
    key::text("title").or_word("untitled", "no title given").help("stands over tables and figures");

/// Everything a scenario file says, in SI units.
#[derive(Clone, Debug)]
pub struct Scenario {
    /// What the scenario calls itself.
    pub title: String,
    /// The room.
    pub room: RoomSpec,
    /// Box, walls and zones.
    pub enclosure: EnclosureSpec,
    /// Fan.
    pub fan: FanSpec,
    /// Element.
    pub heater: HeaterSpec,
    /// Controller.
    pub control: ControlSpec,
    /// Openings.
    pub vents: Vec<OpeningSpec>,
    /// Loads.
    pub loads: Vec<LoadSpec>,
    /// Sensors.
    pub sensors: Vec<SensorSpec>,
    /// The lid that gives way, where the pressure may get that far.
    pub relief: Option<ReliefSpec>,
    /// The exhaust fan with its rule.
    pub exhaust: Option<(ExhaustSpec, RuleSpec)>,
    /// The one-shot cut-out.
    pub cut_out: Option<CutOutSpec>,
    /// What happens at known times.
    pub events: EventsSpec,
    /// Temperatures that something should not pass.
    pub limits: Vec<Limit>,
    /// Air in the box at the start: temperature \[K\] and relative humidity.
    pub start: (f64, f64),
    /// How long and how finely.
    pub run: RunSpec,
}

impl Scenario {
    /// Reads a scenario, collecting every mistake.
    ///
    /// # Errors
    /// All issues of the file, sorted by line.
    pub fn read(source: &Source) -> Result<(Scenario, Report), Vec<Issue>> {
        let reader = source.reader();
        let scenario = Self::read_root(&reader.root());
        derived::record(&reader.root(), &scenario);
        replayed::check(&reader.root().section("control"), source, &scenario);
        reader.finish().map(|report| (scenario, report)).map_err(keys::advise)
    }

    /// As [`Scenario::read`], without the values that only follow from it: a sweep and a fit read
    /// thousands of scenarios that nobody is shown.
    ///
    /// # Errors
    /// As for [`Scenario::read`].
    pub fn read_case(source: &Source) -> Result<(Scenario, Report), Vec<Issue>> {
        let reader = source.reader();
        let scenario = Self::read_root(&reader.root());
        reader.finish().map(|report| (scenario, report)).map_err(keys::advise)
    }

    fn read_root(root: &Section) -> Scenario {
        let title = root.text(&TITLE);
        if title.contains(char::is_control) {
            let hint = Some("write it as one line of plain text".to_owned());
            root.fail("title", "title-control", "holds control characters", None, hint);
        }
        let mut materials = Materials::table();
        materials.add(&root.named("material"));
        let room = RoomSpec::read(&root.section("room"));
        let fan = FanSpec::read(&root.section("fan"));
        let stirred = fan.circulation_m3_s > 0.0;
        let enclosure = EnclosureSpec::read(root, &materials, stirred);
        let sensor_sections = root.named("sensor");
        let cx = Context {
            zones: enclosure.zones.clone(),
            inner_height_m: enclosure.height_m,
            volume_m3: enclosure.volume_m3,
            edges_m: enclosure.sorted_edges(),
            wall_thickness_m: enclosure.wall.thickness_m(),
            sensors: sensor_sections.iter().map(Section::name).collect(),
            room_temp_k: room.temp_k,
            room_rh: room.relative_humidity,
            total_pa: room.total_pa,
            circulation_m3_s: fan.circulation_m3_s,
            air_speed_m_s: fan.air_speed_m_s,
        };
        let run = RunSpec::read(&root.section("run"));
        let mut scenario = Scenario {
            title,
            start: room::read_start(root, &room),
            heater: HeaterSpec::read(&root.section("heater"), &cx),
            control: ControlSpec::read(&root.section("control"), &cx),
            vents: root.named("vent").iter().map(|s| OpeningSpec::read(s, &cx)).collect(),
            loads: root.named("load").iter().map(|s| LoadSpec::read(s, &cx)).collect(),
            sensors: sensor_sections.iter().map(|s| SensorSpec::read(s, &cx)).collect(),
            relief: None,
            exhaust: None,
            limits: limits::read(root),
            cut_out: None,
            events: EventsSpec::read(root, run.duration_s, &room, &enclosure),
            room,
            enclosure,
            fan,
            run,
        };
        scenario.limits.extend(limits::of_parts(&scenario.enclosure.wall, &scenario.loads));
        scenario.read_options(root, &cx);
        names::check(root, &scenario);
        size::check(root, &scenario);
        scenario
    }

    /// Reads the tables that a box may do without.
    fn read_options(&mut self, root: &Section, cx: &Context) {
        let moved = || self.events.list.iter().filter_map(|e| e.action.set_point_k());
        let highest = self.control.highest_k().map(|k| moved().fold(k, f64::max));
        let lowest = self.control.lowest_k().map(|k| moved().fold(k, f64::min));
        self.fan.check_reduced(&root.section("fan"), self.control.sensor.is_some());
        limits::check_boiling(root, self.start.0, self.room.total_pa, &self.loads);
        self.events.check_storage(root, &self.loads);
        self.cut_out = root.section_opt("cut_out").map(|s| CutOutSpec::read(&s, cx, highest));
        self.read_relief(root);
        self.exhaust = root.section_opt("exhaust").map(|s| {
            let fan = ExhaustSpec::read(&s, cx);
            fan.check_make_up(&s, &self.vents);
            let rule = RuleSpec::read(&s, cx, lowest);
            if rule.waits() && self.control.sensor.is_none() {
                let why = "without a set point the box never counts as warm";
                let hint = "strike it, or let a thermostat or PI controller heat the box";
                s.fail("lock_out", "lock-out-for-ever", "never ends", Some(why), Some(hint.into()));
            }
            let inside = |i: usize| self.sensors.get(i).is_some_and(|s| s.zone.is_some());
            if rule.room_sensor().is_some_and(inside) && s.is_valid("room_sensor") {
                let why = "a difference to the room needs a sensor there";
                let hint = "name a sensor with zone = \"room\"".to_owned();
                s.fail(
                    "room_sensor",
                    "room-sensor-inside",
                    "sits in the box",
                    Some(why),
                    Some(hint),
                );
            }
            (fan, rule)
        });
    }

    /// Reads at which pressure the lid gives way, and tells what a box without openings is.
    fn read_relief(&mut self, root: &Section) {
        let s = root.section("enclosure");
        let power_w = self.heater.power_w * self.heater.supply_voltage.powi(2);
        self.relief = ReliefSpec::read(&s, &self.vents, power_w, self.enclosure.height_m);
        if self.relief.is_none() && self.vents.is_empty() && root.section_opt("exhaust").is_none() {
            let what = "has no opening: it breathes through a pinhole that keeps the room's pressure and \
                        lets no vapour diffuse";
            let hint =
                "for a closed box add relief_pressure = \"2 kPa\", at which its lid gives way";
            root.warn("enclosure", "no-opening", what, Some(hint.into()));
        }
    }

    /// Builds the model.
    pub fn build(&self) -> Model {
        let mut site = self.site();
        let mut parts: Vec<(Address, AnyPart)> = Vec::new();
        let circulation = self.fan.build(self.enclosure.still_air, &mut site);
        parts.push((Place::Fan.part(), AnyPart::Circulation(circulation)));
        let mut walls = Vec::new();
        for (i, zone) in self.enclosure.zones.iter().enumerate() {
            let spec = &self.enclosure;
            let (wall, uptake) = spec.wall.build(i, zone.share, &spec.faces, &mut site);
            walls.push((wall.nodes.clone(), wall.film));
            let fog = Fog::new(i, spec.height_m, (wall.nodes[0], wall.puddle), &site);
            parts.push((Address::new(Place::Zone(i), Quantity::Fog), AnyPart::Fog(fog)));
            parts.push((Place::Wall(i).part(), AnyPart::Wall(wall)));
            if let Some(uptake) = uptake {
                let at = Address::new(Place::Wall(i), Quantity::BoundWater);
                parts.push((at, AnyPart::Uptake(uptake)));
            }
        }
        for (i, spec) in self.sensors.iter().enumerate() {
            let sensor = spec.build(&mut site);
            parts.push((Place::Sensor(i).part(), AnyPart::Sensor(sensor)));
        }
        let (heater, mut deciders) = self.heater.build(&self.control, &mut site);
        let landmarks = Landmarks {
            element: heater.element.heat,
            walls,
            loads: Vec::new(),
            set_point_k: self.control.highest_k(),
            control_sensor: self.control.sensor,
            limits: self.limits.clone(),
        };
        parts.push((Place::Heater.part(), AnyPart::Heater(heater)));
        if let Some(spec) = &self.cut_out {
            let (cut_out, follower) = spec.build(landmarks.element, &mut site);
            parts.push((Place::CutOut.part(), AnyPart::Follower(follower)));
            deciders.insert(0, AnyDecider::CutOut(cut_out));
        }
        self.add_deciders(&site, &mut deciders);
        self.finish(site, parts, deciders, landmarks)
    }

    fn add_deciders(&self, site: &Site, deciders: &mut Vec<AnyDecider>) {
        let exponent = self.heater.exponent;
        if !self.control.programme.stages.is_empty() {
            let ramp = self.control.ramp_k_s;
            let programme = self.control.programme.build(ramp, &self.fan, exponent, site);
            deciders.push(AnyDecider::Programme(programme));
        }
        let unlocks_exhaust = self.exhaust.as_ref().is_some_and(|(_, rule)| rule.waits());
        let waits = self.fan.reduced < 1.0 || unlocks_exhaust;
        if let Some(i) = self.control.sensor.filter(|_| waits) {
            let reading = site.sensors[i].temperature;
            let fan = self.fan.clone();
            deciders.push(AnyDecider::Warm(Warm {
                reading,
                fan,
                coupling_exponent: exponent,
                unlocks_exhaust,
            }));
        }
        if let Some((_, rule)) = &self.exhaust {
            deciders.push(AnyDecider::ExhaustRule(rule.build(self.room.total_pa, site)));
        }
    }

    fn finish(
        &self,
        mut site: Site,
        mut parts: Vec<(Address, AnyPart)>,
        deciders: Vec<AnyDecider>,
        mut landmarks: Landmarks,
    ) -> Model {
        for spec in &self.loads {
            site.load = landmarks.loads.len();
            let (part, view) = spec.build(&mut site);
            landmarks.loads.push(view);
            parts.push((Place::Load(site.load).part(), part));
        }
        let lid = (!self.events.lid.is_empty())
            .then(|| Lid::build(self.events.lid.clone(), parts.len(), &mut site));
        let lid_way = lid.as_ref().map(Lid::way);
        parts.extend(lid.map(|lid| (Place::Lid.part(), AnyPart::Lid(lid))));
        let mut openings: Vec<_> = self.vents.iter().flat_map(|v| v.build(&mut site)).collect();
        openings.extend(self.exhaust.iter().map(|(fan, _)| fan.build(&mut site)));
        openings.extend(self.relief.iter().map(|lid| lid.build(&mut site)));
        // Behind all parts and the air from zone to zone.
        let part = parts.len() + 1;
        let pinhole = openings.is_empty().then(|| Way::new(part, Place::Pinhole, &mut site.layout));
        let network = Network {
            zones: site.zones,
            openings,
            pinhole,
            lid: lid_way,
            displaced: site.layout.other_total(Place::Box, Quantity::DisplacedGas),
        };
        Model::new(Pieces {
            layout: site.layout,
            parts,
            network,
            rooms: self.events.rooms(&self.room),
            deciders,
            events: self.events.list.iter().cloned().chain(self.control.events()).collect(),
            steering: Steering {
                fan: self.fan.clone(),
                coupling_exponent: self.heater.exponent,
                target: self.control.first_target(self.start.0),
            },
            total_pa: self.room.total_pa,
            names: names::of(self, &landmarks.loads),
            landmarks,
        })
    }

    /// Zones filled with the air of the start.
    fn site(&self) -> Site {
        let total_pa = self.room.total_pa;
        let start = air_of(self.start.0, self.start.1, total_pa);
        let mut layout = Layout::default();
        let zones = self.enclosure.build_zones(&mut layout, &start);
        Site {
            layout,
            zones,
            wall_faces: Vec::new(),
            sensors: Vec::new(),
            load: 0,
            openings: 0,
            start,
            room: air_of(self.room.temp_k, self.room.relative_humidity, total_pa),
            total_pa,
            circulation_m3_s: self.fan.circulation_m3_s,
        }
    }
}
