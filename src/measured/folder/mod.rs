//! A run folder: raw texts that stay untouched, and one file `run.toml` that says what they are.
//!
//! [`RunSpec`] is that file, read with all its mistakes at once. The texts it names are opened by
//! the caller; [`Timeline`] puts their clocks on one.

mod keys;
mod parts;
mod starter;
mod timeline;

pub use keys::keys;
pub use parts::{
    EventKind, EventSpec, LogSpec, MeterReading, RoomValues, SensorPlace, SensorSpec, SpotSpec,
    Surface, WeighingSpec, WindowSpec,
};
pub use starter::{StarterLog, starter};
pub use timeline::Timeline;

use crate::measured::Moment;
use crate::reader::{Issue, Report, Section, Source};
use crate::units::Measured;

/// Name of the file that describes a run.
pub const FILE: &str = "run.toml";

/// What a measured run was.
#[derive(Clone, Debug)]
pub struct RunSpec {
    /// Headline of tables and figures.
    pub title: String,
    /// Clock at the start of the run: heater on, load in the box.
    pub start: Option<Moment>,
    /// The room as noted by hand.
    pub room: RoomValues,
    /// Gas in the box with the load in it \[m³\].
    pub free_volume_m3: Option<Measured>,
    /// Flow of room air through the box, where it is known \[m³/s\], at room state.
    pub vent_flow_m3_s: Option<Measured>,
    /// What the control was set to \[K\].
    pub set_point_k: Option<f64>,
    /// Mean electric power while the heater was on \[W\].
    pub heater_w: Option<Measured>,
    /// Scenario file of the same box, relative to the folder.
    pub scenario: Option<String>,
    /// Logger texts.
    pub logs: Vec<LogSpec>,
    /// Weighing notes.
    pub weighings: Option<WeighingSpec>,
    /// What is known of the sensors.
    pub sensors: Vec<SensorSpec>,
    /// Readings of an energy meter.
    pub meter: Vec<MeterReading>,
    /// Lid openings and other things done by hand.
    pub events: Vec<EventSpec>,
    /// When sensors were side by side, and which of them is taken as right.
    pub side_by_side: Option<WindowSpec>,
    /// When the run is steady.
    pub steady: Option<WindowSpec>,
    /// Steps that sensors went through.
    pub steps: Vec<WindowSpec>,
    /// Spot readings of surfaces.
    pub spots: Vec<SpotSpec>,
}

impl RunSpec {
    /// Reads `run.toml`.
    ///
    /// # Errors
    /// Every mistake at once.
    pub fn read(source: &Source) -> Result<(Self, Report), Vec<Issue>> {
        let reader = source.reader();
        let root = reader.root();
        let spec = RunSpec::from(&root);
        drop(root);
        reader.finish().map(|report| (spec, report))
    }

    fn from(root: &Section) -> Self {
        let enclosure = root.section_opt("enclosure");
        let heater = root.section_opt("heater");
        let control = root.section_opt("control");
        let logs: Vec<LogSpec> = root.named("log").iter().map(LogSpec::read).collect();
        let weighings = root.section_opt("weighings").map(|s| WeighingSpec::read(&s));
        if logs.is_empty() && weighings.is_none() {
            let why = "a measured run has at least one log or a list of weighings";
            let hint = "add [log.box] with file = \"raw/log.txt\", or [weighings]".to_owned();
            root.fail("log", "no-data", "is not there, nor is weighings", Some(why), Some(hint));
        }
        RunSpec {
            title: root.text(&keys::TITLE),
            start: Moment::read(root, &keys::START),
            room: root.section_opt("room").map(|s| RoomValues::read(&s)).unwrap_or_default(),
            free_volume_m3: enclosure.as_ref().and_then(|s| s.measured_opt(&keys::FREE_VOLUME)),
            vent_flow_m3_s: enclosure.as_ref().and_then(|s| s.measured_opt(&keys::VENT_FLOW)),
            set_point_k: control.and_then(|s| s.quantity_opt(&keys::SET_POINT)),
            heater_w: heater.and_then(|s| s.measured_opt(&keys::POWER)),
            scenario: enclosure.as_ref().and_then(|s| s.text_opt(&keys::SCENARIO)),
            logs,
            weighings,
            sensors: root.named("sensor").iter().map(SensorSpec::read).collect(),
            meter: root.named("meter").iter().filter_map(MeterReading::read).collect(),
            events: root.named("event").iter().filter_map(EventSpec::read).collect(),
            side_by_side: root
                .section_opt("side_by_side")
                .and_then(|s| WindowSpec::read(&s, &s.text(&keys::REFERENCE))),
            steady: root.section_opt("steady").and_then(|s| WindowSpec::read(&s, "")),
            steps: root
                .named("step")
                .iter()
                .filter_map(|s| WindowSpec::read(s, &s.name()))
                .collect(),
            spots: root.named("spot").iter().map(SpotSpec::read).collect(),
        }
    }

    /// Files named by the description, relative to the folder.
    pub fn files(&self) -> impl Iterator<Item = &str> {
        let logs = self.logs.iter().map(|l| l.file.as_str());
        logs.chain(self.weighings.iter().map(|w| w.file.as_str()))
    }

    /// What is known of a sensor.
    #[must_use]
    pub fn sensor(&self, log: &str, name: &str) -> Option<&SensorSpec> {
        let same = |s: &&SensorSpec| s.log.as_deref().is_none_or(|l| l == log) && s.channel == name;
        self.sensors.iter().find(same)
    }
}

#[cfg(test)]
mod tests;
