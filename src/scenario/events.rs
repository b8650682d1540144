//! `[event.<name>]`: what happens at known times.

use super::{EnclosureSpec, RoomSpec};
use crate::model::events::{Action, ScheduledEvent};
use crate::model::events::{MOST_STORED, Storage};
use crate::model::parts::{Covered, LidEvent, LoadSpec};
use crate::model::room::{Room, air_of};
use crate::reader::{Key, Keys, Section, key};
use crate::units::{Kind, ZERO_CELSIUS_K, format};

const KIND: Key = key::word("kind", KINDS).help("what happens");
const AT: Key = key::quantity("at", Kind::Time, 0.0..=1e8).help("when it begins");
const POWER_LOSS: Key =
    key::quantity("duration", Kind::Time, 1.0..=1e8).help("how long the mains are off");
const SET_POINT: Key =
    key::quantity("temperature", Kind::Temperature, ZERO_CELSIUS_K..=ZERO_CELSIUS_K + 150.0)
        .help("the new set point");
const SPEED: Key = key::quantity("speed", Kind::Share, 0.0..=1.0)
    .help("share of its speed from then on; 0 is a failed fan");
const ROOM_TEMPERATURE: Key =
    key::quantity("temperature", Kind::Temperature, super::room::TEMPERATURES)
        .follows("[room]")
        .help("of the room from then on");
const ROOM_HUMIDITY: Key = key::quantity("relative_humidity", Kind::RelativeHumidity, 0.0..=1.0)
    .follows("[room]")
    .help("of the room from then on");
const LOAD: Key =
    key::text("load").optional().help("the spool that is taken out; all of them without it");
const PLACE: Key =
    key::word("place", &["room", "bag", "desiccant"]).help("where it is from then on");
const LEAK: Key = key::number("leak", 1e-6..=100.0)
    .or(BAG_G_DAY_KPA, "g per day and kPa; 0.2 m2 of thin polyethylene with its zip, quality D")
    .within(3.0, 'D')
    .help("what a bag lets through, in g per day and kPa");
const HUMIDITY: Key = key::quantity("humidity", Kind::RelativeHumidity, 0.0..=1.0)
    .or(0.1, "what fresh silica gel keeps (order)")
    .likely(0.02, 0.2, 'C')
    .help("relative humidity over a desiccant");

/// All events of a scenario.
#[derive(Clone, Debug, Default)]
pub struct EventsSpec {
    /// What happens, and when.
    pub list: Vec<ScheduledEvent>,
    /// Openings of the lid.
    pub lid: Vec<LidEvent>,
    /// Rooms of later events: temperature \[K\] and relative humidity.
    later_rooms: Vec<(f64, f64)>,
}

/// Words that `kind` may have.
const KINDS: &[&str] = &["lid_open", "power_loss", "set_point", "room", "fan", "store"];

impl EventsSpec {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[
        Keys::always("event.NAME", "what happens at a known time", &[&KIND, &AT]),
        Keys::when("event.NAME", ("kind", "lid_open"), "the lid or a door is open", LidEvent::KEYS),
        Keys::when("event.NAME", ("kind", "power_loss"), "the mains fail", &[&POWER_LOSS]),
        Keys::when("event.NAME", ("kind", "set_point"), "another set point", &[&SET_POINT]),
        Keys::when(
            "event.NAME",
            ("kind", "room"),
            "another room",
            &[&ROOM_TEMPERATURE, &ROOM_HUMIDITY],
        ),
        Keys::when(
            "event.NAME",
            ("kind", "fan"),
            "the fan slows down, fails or comes back",
            &[&SPEED],
        ),
        Keys::when(
            "event.NAME",
            ("kind", "store"),
            "a spool is taken out and kept",
            &[&LOAD, &PLACE],
        ),
        Keys::when("event.NAME", ("place", "bag"), "in a closed bag", &[&LEAK]),
        Keys::when("event.NAME", ("place", "desiccant"), "over a desiccant", &[&HUMIDITY]),
    ];

    /// Reads all events.
    pub fn read(root: &Section, duration_s: f64, room: &RoomSpec, space: &EnclosureSpec) -> Self {
        let mut events = EventsSpec::default();
        for s in root.named("event") {
            match s.choice(&KIND) {
                "lid_open" => events.read_lid(&s, &space.covered()),
                "power_loss" => events.read_power(&s),
                "set_point" => {
                    let k = s.quantity(&SET_POINT);
                    events.add(&s, Action::SetPoint(k));
                }
                "room" => events.read_room(&s, room),
                "store" => {
                    let action = Action::Store(stored_load(&s, root), read_storage(&s));
                    events.add(&s, action);
                }
                _ => {
                    let share = s.quantity(&SPEED);
                    events.add(&s, Action::Fan(share));
                }
            }
            let at_s = s.quantity(&AT);
            if at_s >= duration_s && s.is_valid("at") {
                let end = format(Kind::Time, duration_s);
                let what = format!("is after the end of the run ({end})");
                s.warn("at", "event-after-end", &what, None);
            }
        }
        events.lid.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        for (i, event) in events.lid.iter().enumerate() {
            let name = event.name.clone();
            let at = |at_s, action| ScheduledEvent { name: name.clone(), at_s, action };
            // Closing comes first where one opening follows another at once.
            events.list.insert(0, at(event.end_s, Action::CloseLid));
            events.list.push(at(event.at_s, Action::OpenLid(i)));
        }
        events
    }

    /// The room of the start and those of later events.
    pub fn rooms(&self, room: &RoomSpec) -> Vec<Room> {
        let later = self.later_rooms.iter();
        let later = later.map(|(t, rh)| Room::Constant(air_of(*t, *rh, room.total_pa)));
        std::iter::once(room.build()).chain(later).collect()
    }

    /// What is taken out must be a spool, and it must have layers.
    pub fn check_storage(&self, root: &Section, loads: &[LoadSpec]) {
        for event in &self.list {
            let Action::Store(which, _) = event.action else { continue };
            let key = format!("event.{}", event.name);
            let is_meant = |i: usize| which.is_none_or(|w| w == i);
            let meant = || loads.iter().enumerate().filter(|(i, _)| is_meant(*i));
            let spools = || {
                meant().filter_map(|(i, l)| match l {
                    LoadSpec::Spool(spec) => Some((i, spec)),
                    _ => None,
                })
            };
            if spools().next().is_none() {
                let hint = match loads.iter().find(|l| matches!(l, LoadSpec::Spool(_))) {
                    Some(spool) => format!("write load = \"{}\"", spool.name()),
                    None => "add a table [load.spool] with kind = \"spool\"".to_owned(),
                };
                let what = "takes out a spool, but there is none";
                root.fail(&key, "nothing-to-store", what, None, Some(hint));
            } else if let Some((_, lump)) = spools().find(|(_, s)| s.lumped) {
                let what = format!("needs the layers of load.{}, which is lumped", lump.name);
                let hint = format!("write model = \"layers\" in [load.{}]", lump.name);
                root.fail(&key, "stored-lump", &what, None, Some(hint));
            } else if let Some((_, late)) = spools().find(|(i, _)| *i >= MOST_STORED) {
                let what = format!("takes out load.{}, which stands too far down", late.name);
                let why = format!("only the first {MOST_STORED} loads of a file can be taken out");
                let hint = format!("move [load.{}] before the other loads", late.name);
                root.fail(&key, "stored-too-late", &what, Some(&why), Some(hint));
            }
        }
    }

    fn add(&mut self, s: &Section, action: Action) {
        let at_s = s.quantity(&AT);
        self.list.push(ScheduledEvent { name: s.name(), at_s, action });
    }

    fn read_lid(&mut self, s: &Section, covered: &Covered) {
        let event = LidEvent::read(s, covered);
        let clash = self.lid.iter().find(|e| event.at_s < e.end_s && e.at_s < event.end_s);
        if let Some(other) = clash {
            let what = format!("falls into the opening of event.{}", other.name);
            let hint = "move one of them, or join them into one longer opening".to_owned();
            s.fail("at", "events-overlap", &what, None, Some(hint));
        }
        self.lid.push(event);
    }

    fn read_power(&mut self, s: &Section) {
        let at_s = s.quantity(&AT);
        let end_s = at_s + s.quantity(&POWER_LOSS);
        let name = s.name();
        self.list.push(ScheduledEvent {
            name: name.clone(),
            at_s: end_s,
            action: Action::Power(true),
        });
        self.list.push(ScheduledEvent { name, at_s, action: Action::Power(false) });
    }

    fn read_room(&mut self, s: &Section, room: &RoomSpec) {
        let temp_k = s.quantity_from(&ROOM_TEMPERATURE, room.temp_k);
        let rh = s.quantity_from(&ROOM_HUMIDITY, room.relative_humidity);
        super::room::warn_of_ice(s, "temperature", temp_k);
        self.later_rooms.push((temp_k, rh));
        self.add(s, Action::Room(self.later_rooms.len()));
    }
}

/// What a closed bag lets through by default \[g per day and kPa\]: 0.2 m2 of thin polyethylene with its
/// zip (order, quality D).
const BAG_G_DAY_KPA: f64 = 0.2;

/// Reads `load`: the number of the load that is taken out; none for all spools.
fn stored_load(s: &Section, root: &Section) -> Option<usize> {
    let word = s.text_opt(&LOAD)?;
    let names: Vec<String> = root.named("load").iter().map(Section::name).collect();
    let found = names.iter().position(|n| *n == word);
    if found.is_none() {
        let near = crate::text::closest(&word, names.iter().map(String::as_str));
        let hint = match near {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("write one of: {}", names.join(", ")),
        };
        s.fail("load", "unknown-name", "names no load of this scenario", None, Some(hint));
    }
    found
}

/// Reads `place` with `leak` or `humidity`.
fn read_storage(s: &Section) -> Storage {
    match s.choice(&PLACE) {
        "room" => Storage::Room,
        "bag" => {
            let leak = s.quantity(&LEAK);
            // g to kg, kPa to Pa, day to s.
            Storage::Bag(leak * 1e-6 / 86_400.0)
        }
        _ => Storage::Desiccant(s.quantity(&HUMIDITY)),
    }
}
