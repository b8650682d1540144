//! A run folder: raw texts that stay untouched, and one file `run.toml` that says what they are.
//!
//! [`RunSpec`] is that file, read with all its mistakes at once. The texts it names are opened by
//! the caller; [`Timeline`] puts their clocks on one.

mod parts;
mod starter;
mod timeline;

pub use parts::{
    EventKind, EventSpec, LogSpec, MeterReading, RoomValues, SensorPlace, SensorSpec, SpotSpec,
    Surface, WeighingSpec, WindowSpec,
};
pub use starter::{StarterLog, starter};
pub use timeline::Timeline;

use crate::measured::Moment;
use crate::reader::{Issue, Key, Keys, Report, Section, Source, key};
use crate::units::{Kind, Measured, ZERO_CELSIUS_K};

/// Name of the file that describes a run.
pub const FILE: &str = "run.toml";

const TITLE: Key = key::text("title").help("stands over tables and figures");
const START: Key =
    key::text("start").optional().help("when the run began: clock time, or date and time");
const FREE_VOLUME: Key = key::quantity("free_volume", Kind::Volume, 1e-5..=10.0)
    .optional()
    .help("air in the box, for air changes and balances");
const VENT_FLOW: Key = key::quantity("vent_flow", Kind::VolumeFlow, 0.0..=0.1)
    .optional()
    .help("measured flow through the openings");
const SCENARIO: Key =
    key::text("scenario").optional().help("scenario of the box, within the folder");
const POWER: Key = key::quantity("power", Kind::Power, 0.0..=1e4)
    .optional()
    .help("power of the heater while it is on");
const SET_POINT: Key =
    key::quantity("set_point", Kind::Temperature, ZERO_CELSIUS_K..=ZERO_CELSIUS_K + 150.0)
        .optional()
        .help("what the control was set to");

/// All keys of `run.toml`.
#[must_use]
pub fn keys() -> Vec<Keys> {
    let own = [
        Keys::always("", "", &[&TITLE, &START]),
        Keys::always("enclosure", "the box", &[&FREE_VOLUME, &VENT_FLOW, &SCENARIO]),
        Keys::always("heater", "the heating element", &[&POWER]),
        Keys::always("control", "what the heater was told to do", &[&SET_POINT]),
    ];
    let text = [
        Keys::always("log.NAME", "", super::log::ImportOptions::KEYS),
        Keys::always("weighings", "", super::weighings::WeighingOptions::KEYS),
    ];
    own.into_iter().chain(parts::KEYS.iter().copied()).chain(text).collect()
}

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
            title: root.text(&TITLE),
            start: Moment::read(root, &START),
            room: root.section_opt("room").map(|s| RoomValues::read(&s)).unwrap_or_default(),
            free_volume_m3: enclosure.as_ref().and_then(|s| s.measured_opt(&FREE_VOLUME)),
            vent_flow_m3_s: enclosure.as_ref().and_then(|s| s.measured_opt(&VENT_FLOW)),
            set_point_k: control.and_then(|s| s.quantity_opt(&SET_POINT)),
            heater_w: heater.and_then(|s| s.measured_opt(&POWER)),
            scenario: enclosure.as_ref().and_then(|s| s.text_opt(&SCENARIO)),
            logs,
            weighings,
            sensors: root.named("sensor").iter().map(SensorSpec::read).collect(),
            meter: root.named("meter").iter().filter_map(MeterReading::read).collect(),
            events: root.named("event").iter().filter_map(EventSpec::read).collect(),
            side_by_side: root
                .section_opt("side_by_side")
                .and_then(|s| WindowSpec::read(&s, &s.text(&parts::REFERENCE))),
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
