//! What happened in a run, and where.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::Place;
use crate::units::{Kind, format};

/// Something that happened at one instant.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// When \[s\].
    pub time_s: f64,
    /// Where.
    pub place: Place,
    /// What.
    pub change: Change,
    /// Name of the event in the scenario; none for what a controller decided.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
}

/// What an event does.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Change {
    /// The heater is switched on.
    HeaterOn,
    /// The heater is switched off.
    HeaterOff,
    /// The heater gets this share of its full power.
    HeaterAt(f64),
    /// The lid is opened.
    LidOpened,
    /// The lid is closed.
    LidClosed,
    /// The mains fail.
    PowerLost,
    /// The mains come back.
    PowerBack,
    /// A new set point \[K\].
    SetPoint(f64),
    /// A load is taken out and kept there.
    TakenOut(Keeping),
    /// Another room.
    RoomChanges,
    /// The fan runs at this share of its speed; 0 where it stops.
    FanAt(f64),
    /// The fan slows down after warm-up.
    FanSlowed,
    /// The exhaust fan starts.
    ExhaustOn,
    /// The exhaust fan stops.
    ExhaustOff,
    /// The programme goes on to its next stage.
    NextStage,
    /// The cut-out opens.
    CutOutOpened,
}

/// Where a load is kept outside the box.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Keeping {
    /// In the air of the room.
    Room,
    /// In a bag.
    Bag,
    /// In a bag with desiccant.
    Desiccant,
}

impl Change {
    /// Whether the heater switches.
    #[must_use]
    pub fn is_switching(self) -> bool {
        matches!(self, Self::HeaterOn | Self::HeaterOff)
    }

    /// Where it happens, unless it happens to one load.
    #[must_use]
    pub fn place(self) -> Place {
        match self {
            Self::HeaterOn | Self::HeaterOff | Self::HeaterAt(_) => Place::Heater,
            Self::LidOpened | Self::LidClosed => Place::Lid,
            Self::PowerLost | Self::PowerBack => Place::Mains,
            Self::SetPoint(_) | Self::NextStage => Place::Controller,
            Self::TakenOut(_) => Place::AllLoads,
            Self::RoomChanges => Place::Room,
            Self::FanAt(_) | Self::FanSlowed => Place::Fan,
            Self::ExhaustOn | Self::ExhaustOff => Place::Exhaust,
            Self::CutOutOpened => Place::CutOut,
        }
    }
}

impl fmt::Display for Change {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words = match self {
            Self::HeaterOn => "heater on",
            Self::HeaterOff => "heater off",
            Self::HeaterAt(share) => return write!(f, "heater at {:.0} %", 100.0 * share),
            Self::LidOpened => "lid opened",
            Self::LidClosed => "lid closed",
            Self::PowerLost => "power lost",
            Self::PowerBack => "power back",
            Self::SetPoint(k) => return write!(f, "set point {}", format(Kind::Temperature, *k)),
            Self::TakenOut(Keeping::Room) => "spool taken out into the room",
            Self::TakenOut(Keeping::Bag) => "spool taken out into a bag",
            Self::TakenOut(Keeping::Desiccant) => "spool taken out into a bag with desiccant",
            Self::RoomChanges => "room changes",
            Self::FanAt(0.0) => "fan stops",
            Self::FanAt(share) => return write!(f, "fan at {:.0} %", 100.0 * share),
            Self::FanSlowed => "fan slowed",
            Self::ExhaustOn => "exhaust on",
            Self::ExhaustOff => "exhaust off",
            Self::NextStage => "next stage",
            Self::CutOutOpened => "cut-out opened",
        };
        f.write_str(words)
    }
}

impl fmt::Display for Event {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.name {
            Some(name) => write!(f, "{name}: {}", self.change),
            None => write!(f, "{}", self.change),
        }
    }
}
