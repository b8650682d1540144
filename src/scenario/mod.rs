//! A scenario file as a whole: its order, its cross-references, and the model built from it.

mod derived;
mod enclosure;
mod room;

pub use enclosure::EnclosureSpec;
pub use room::RoomSpec;

use crate::model::control::ControlSpec;
use crate::model::materials::Materials;
use crate::model::network::Network;
use crate::model::openings::OpeningSpec;
use crate::model::parts::{AnyPart, FanSpec, HeaterSpec, Lid, LidEvent, LoadSpec, SensorSpec};
use crate::model::room::air_of;
use crate::model::site::{Context, Site};
use crate::model::store::Layout;
use crate::model::{Landmarks, Model, Pieces};
use crate::reader::{Issue, Report, Section, Source};
use crate::units::{Kind, ZERO_CELSIUS_K};

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
    /// Lid openings.
    pub lid_events: Vec<LidEvent>,
    /// Air in the box at the start: temperature \[K\] and relative humidity.
    pub start: (f64, f64),
    /// How long and how finely.
    pub run: RunSpec,
}

/// `[run]`.
#[derive(Clone, Copy, Debug)]
pub struct RunSpec {
    /// Simulated time \[s\].
    pub duration_s: f64,
    /// Step of the output \[s\].
    pub output_every_s: f64,
    /// Relative tolerance of the solver.
    pub tolerance: f64,
}

/// Most rows that a run may write: a person can still open such a table.
const MOST_ROWS: f64 = 2e6;

impl Scenario {
    /// Reads a scenario, collecting every mistake.
    ///
    /// # Errors
    /// All issues of the file, sorted by line.
    pub fn read(source: &Source) -> Result<(Scenario, Report), Vec<Issue>> {
        let reader = source.reader();
        let scenario = Self::read_root(&reader.root());
        reader.finish().map(|report| (scenario, report))
    }

    fn read_root(root: &Section) -> Scenario {
        let title = root.text_or("title", "untitled", "no title given");
        if title.contains(char::is_control) {
            let hint = Some("write it as one line of plain text".to_owned());
            root.fail("title", "title-control", "holds control characters", None, hint);
        }
        let mut materials = Materials::table();
        materials.add(&root.named("material"));
        let room = RoomSpec::read(&root.section("room"));
        let fan = FanSpec::read(&root.section("fan"));
        let stirred = fan.circulation_m3_s > 0.0;
        let enclosure = EnclosureSpec::read(&root.section("enclosure"), &materials, stirred);
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
        let run = read_run(&root.section("run"));
        let scenario = Scenario {
            title,
            start: read_start(root, &room),
            heater: HeaterSpec::read(&root.section("heater"), &cx),
            control: ControlSpec::read(&root.section("control"), &cx),
            vents: root.named("vent").iter().map(|s| OpeningSpec::read(s, &cx)).collect(),
            loads: root.named("load").iter().map(|s| LoadSpec::read(s, &cx)).collect(),
            sensors: sensor_sections.iter().map(|s| SensorSpec::read(s, &cx)).collect(),
            lid_events: read_events(root, run.duration_s),
            room,
            enclosure,
            fan,
            run,
        };
        derived::record(root, &scenario);
        scenario
    }

    /// Builds the model.
    pub fn build(&self) -> Model {
        let mut site = self.site();
        let mut parts: Vec<(String, AnyPart)> = Vec::new();
        let circulation = self.fan.build(&mut site);
        parts.push(("fan".into(), AnyPart::Circulation(circulation)));
        let mut walls = Vec::new();
        for (i, zone) in self.enclosure.zones.iter().enumerate() {
            let spec = &self.enclosure;
            let wall = spec.wall.build(i, zone.share, &spec.faces, &mut site);
            walls.push((wall.nodes.clone(), wall.film));
            parts.push((format!("wall.{}", zone.name), AnyPart::Wall(wall)));
        }
        for spec in &self.sensors {
            let sensor = spec.build(&mut site);
            parts.push((format!("sensor.{}", spec.name), AnyPart::Sensor(sensor)));
        }
        let heater = self.heater.build(&self.control, &mut site);
        let landmarks = Landmarks {
            element: heater.element,
            heater_mains: heater.mains,
            walls,
            loads: Vec::new(),
            set_point_k: self.control.set_point_k(),
            control_sensor: self.control.sensor(),
        };
        parts.push(("heater".into(), AnyPart::Heater(heater)));
        self.finish(site, parts, landmarks)
    }

    fn finish(
        &self,
        mut site: Site,
        mut parts: Vec<(String, AnyPart)>,
        mut landmarks: Landmarks,
    ) -> Model {
        for spec in &self.loads {
            let (part, view) = spec.build(&mut site);
            landmarks.loads.push(view);
            parts.push((format!("load.{}", spec.name()), part));
        }
        if !self.lid_events.is_empty() {
            let lid = Lid::build(self.lid_events.clone(), &mut site);
            parts.push(("lid".into(), AnyPart::Lid(lid)));
        }
        let openings: Vec<_> = self.vents.iter().flat_map(|v| v.build(&mut site)).collect();
        let pinhole = openings
            .is_empty()
            .then(|| (site.layout.gas_total("pinhole out"), site.layout.gas_total("pinhole in")));
        let network = Network {
            zones: site.zones,
            openings,
            pinhole,
            fan_pa: self.fan.pressure_pa,
            breathed: site.layout.other_total("gas breathed out"),
        };
        Model::new(Pieces {
            layout: site.layout,
            parts,
            network,
            room: self.room.build(),
            total_pa: self.room.total_pa,
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
            start,
            room: air_of(self.room.temp_k, self.room.relative_humidity, total_pa),
            total_pa,
            circulation_m3_s: self.fan.circulation_m3_s,
        }
    }
}

fn read_run(s: &Section) -> RunSpec {
    let duration_s = s.quantity("duration", Kind::Time, 1.0..=3.2e7);
    let output_every_s =
        s.quantity_or("output_every", Kind::Time, 0.1..=1e6, 30.0, "usual logger step");
    if duration_s / output_every_s > MOST_ROWS {
        s.fail(
            "output_every",
            "too-many-rows",
            "makes more than two million rows of output",
            None,
            Some("raise `output_every`".into()),
        );
    }
    let tolerance = s.number_or(
        "tolerance",
        1e-10..=1e-3,
        1e-6,
        "our choice: errors far below those of any sensor",
    );
    RunSpec { duration_s, output_every_s, tolerance }
}

/// `[start]`: air, walls, element and loads when the run begins; as the room by default.
fn read_start(root: &Section, room: &RoomSpec) -> (f64, f64) {
    let own = (room.temp_k, room.relative_humidity);
    let Some(s) = root.section_opt("start") else { return own };
    let warm = ZERO_CELSIUS_K + 100.0;
    let temp_k =
        s.quantity_or("temperature", Kind::Temperature, 230.0..=warm, own.0, "room.temperature");
    let rh = s.quantity_or(
        "relative_humidity",
        Kind::RelativeHumidity,
        0.0..=1.0,
        own.1,
        "room.relative_humidity",
    );
    (temp_k, rh)
}

fn read_events(root: &Section, duration_s: f64) -> Vec<LidEvent> {
    let mut events: Vec<LidEvent> = Vec::new();
    for s in root.named("event") {
        let _only_kind = s.choice("kind", &["lid_open"]);
        let event = LidEvent::read(&s);
        if event.at_s >= duration_s {
            let end = crate::units::format(Kind::Time, duration_s);
            s.warn("at", "event-after-end", &format!("is after the end of the run ({end})"), None);
        }
        let clash = events.iter().find(|e| event.at_s < e.end_s && e.at_s < event.end_s);
        if let Some(other) = clash {
            let what = format!("falls into the opening of event.{}", other.name);
            let hint = "move one of them, or join them into one longer opening".to_owned();
            s.fail("at", "events-overlap", &what, None, Some(hint));
        }
        events.push(event);
    }
    events
}
