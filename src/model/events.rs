//! Scheduled events: what happens to the box at a known time.

use crate::address::{Change, Keeping, Place};
/// Something that happens at one time.
#[derive(Clone, Debug, PartialEq)]
pub struct ScheduledEvent {
    /// Name in the scenario.
    pub name: String,
    /// When \[s\].
    pub at_s: f64,
    /// What.
    pub action: Action,
}

/// What an event does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Action {
    /// The lid opens, for the opening of this number.
    OpenLid(usize),
    /// The lid closes.
    CloseLid,
    /// The mains go or come back.
    Power(bool),
    /// The set point moves to this temperature \[K\].
    SetPoint(f64),
    /// The room of this number is in force.
    Room(usize),
    /// This share of the speed that the fan would have is left; 0 for a fan that fails.
    Fan(f64),
    /// A schedule gives the element this share of its full power.
    Heater(f64),
    /// The spool that is the load of this number, or all of them, leaves the box and is kept there.
    Store(Option<usize>, Storage),
}

impl Action {
    /// Whether this takes the load of this number out of the box.
    pub fn takes_out(&self, load: usize) -> bool {
        matches!(self, Self::Store(which, _) if which.is_none_or(|w| w == load))
    }

    /// The new set point, if this is one \[K\].
    pub fn set_point_k(&self) -> Option<f64> {
        match self {
            Self::SetPoint(k) => Some(*k),
            _ => None,
        }
    }

    /// What happens.
    pub fn change(&self) -> Change {
        match self {
            Self::OpenLid(_) => Change::LidOpened,
            Self::CloseLid => Change::LidClosed,
            Self::Power(false) => Change::PowerLost,
            Self::Power(true) => Change::PowerBack,
            Self::SetPoint(k) => Change::SetPoint(*k),
            Self::Store(_, Storage::Room) => Change::TakenOut(Keeping::Room),
            Self::Store(_, Storage::Bag(_)) => Change::TakenOut(Keeping::Bag),
            Self::Store(_, Storage::Desiccant(_)) => Change::TakenOut(Keeping::Desiccant),
            Self::Room(_) => Change::RoomChanges,
            Self::Fan(share) => Change::FanAt(*share),
            Self::Heater(share) => Change::HeaterAt(*share),
        }
    }

    /// Where it happens.
    pub fn place(&self) -> Place {
        match self {
            Self::Store(Some(load), _) => Place::Load(*load),
            other => other.change().place(),
        }
    }
}

/// Loads that can be kept outside the box, the first of the scenario. Our choice, more than fit into any.
pub const MOST_STORED: usize = 8;

/// Where each load is kept that has left the box, by its number.
pub type Stored = [Option<Storage>; MOST_STORED];

/// Storage outside the box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Storage {
    /// Open in the room.
    Room,
    /// In a closed bag without desiccant, which lets this much vapour through \[kg/(s Pa)\].
    Bag(f64),
    /// In a closed bag with enough desiccant to keep this relative humidity.
    Desiccant(f64),
}
