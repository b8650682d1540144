//! What parts need while they are read (names, sizes) and while they are built (stores).

use super::air::{Air, Zone};
use super::reading::Reading;
use super::store::{Heat, Layout};
use crate::reader::{Key, Section, key};
use crate::units::Kind;

/// `zone` of whatever has a place in the box.
pub(crate) const ZONE: Key =
    key::text("zone").follows("the zone of a box that has one only").help("zone in which it is");
/// `zones` of a load that stands in two of them.
pub(crate) const ZONES: Key =
    key::texts("zones").help("two zones in place of one: a half of a still spool in each");
/// `sensor` of whatever reads one.
pub(crate) const SENSOR: Key = key::text("sensor").help("name of the sensor that it reads");
/// `depth` of an opening through the wall.
pub(crate) const DEPTH: Key = key::quantity("depth", Kind::Length, 0.0..=0.2)
    .follows("thickness of the wall")
    .help("length of the way through the wall");

/// A zone as the scenario names it.
#[derive(Clone, Debug)]
pub struct ZoneName {
    /// Its name.
    pub name: String,
    /// Its share of the free volume and of the walls.
    pub share: f64,
}

/// What is known of the whole box while its parts are read.
#[derive(Clone, Debug)]
pub struct Context {
    /// Zones in airflow order.
    pub zones: Vec<ZoneName>,
    /// Height of the box inside \[m\].
    pub inner_height_m: f64,
    /// Free volume \[m3\].
    pub volume_m3: f64,
    /// Edges of the box inside, longest first, where it is a cuboid \[m\].
    pub edges_m: Option<[f64; 3]>,
    /// Thickness of the wall, where it is known: the usual depth of a hole \[m\].
    pub wall_thickness_m: Option<f64>,
    /// Names of all sensors.
    pub sensors: Vec<String>,
    /// Room temperature at the start \[K\].
    pub room_temp_k: f64,
    /// Relative humidity of the room at the start, 0..1.
    pub room_rh: f64,
    /// Pressure \[Pa\].
    pub total_pa: f64,
    /// Circulation \[m3/s\].
    pub circulation_m3_s: f64,
    /// Air speed at loads \[m/s\].
    pub air_speed_m_s: f64,
}

impl Context {
    /// Reads `zone` as one of the zones' names; a box of one zone needs no such key.
    pub fn zone(&self, s: &Section) -> usize {
        if self.zones.len() == 1 && !s.has(&ZONE) {
            return 0;
        }
        self.one_of(s, &ZONE, "zone", self.zones.iter().map(|z| z.name.as_str()))
    }

    /// Reads `zones`, a list of one or two names, or else `zone`.
    pub fn zones_around(&self, s: &Section) -> Vec<usize> {
        let Some(words) = s.texts_opt(&ZONES) else { return vec![self.zone(s)] };
        if s.has(&ZONE) {
            let _ = s.text(&ZONE);
            let hint = Some("delete the line with `zone`".to_owned());
            s.fail("zone", "zone-and-zones", "is given beside `zones`", None, hint);
        }
        let known = |w: &String| self.zones.iter().position(|z| z.name == *w);
        let list: Vec<usize> = words.iter().filter_map(known).collect();
        if list.len() == words.len() && (1..=2).contains(&list.len()) {
            return list;
        }
        let names: Vec<String> = self.zones.iter().map(|z| format!("{:?}", z.name)).collect();
        let hint = format!("write one or two of: [{}]", names.join(", "));
        let what = "must be a list of one or two zones of this scenario";
        s.fail("zones", "unknown-name", what, None, Some(hint));
        vec![0]
    }

    /// Reads `zone`, which may also be `room`: then the answer is `None`.
    pub fn zone_or_room(&self, s: &Section) -> Option<usize> {
        if s.has(&ZONE) && s.text(&ZONE) == "room" {
            return None;
        }
        Some(self.zone(s))
    }

    /// Reads `key` as the name of a sensor.
    pub fn sensor(&self, s: &Section, key: &Key) -> usize {
        self.one_of(s, key, "sensor", self.sensors.iter().map(String::as_str))
    }

    fn one_of<'a>(
        &self,
        s: &Section,
        key: &Key,
        thing: &str,
        names: impl Iterator<Item = &'a str>,
    ) -> usize {
        let names: Vec<&str> = names.collect();
        if s.is_present() && !s.has(key) {
            let hint = match names.first() {
                Some(first) => {
                    format!("add a line: {} = \"{first}\"; known: {}", key.name, names.join(", "))
                }
                None => {
                    format!("add a [{thing}.<name>] table and a line: {} = \"<name>\"", key.name)
                }
            };
            s.fail(key, "missing-key", "is not given", None, Some(hint));
            return 0;
        }
        let word = s.text(key);
        if let Some(i) = names.iter().position(|n| *n == word) {
            return i;
        }
        if s.has(key) && !word.is_empty() {
            let near = crate::text::closest(&word, names.iter().copied());
            let hint = match near {
                Some(n) => format!("did you mean \"{n}\"?"),
                None if names.is_empty() => format!("add a [{thing}.{word}] table"),
                None => format!("write one of: {}", names.join(", ")),
            };
            let what = format!("names no {thing} of this scenario");
            s.fail(key, "unknown-name", &what, None, Some(hint));
        }
        0
    }

    /// Reads `depth`, by default the thickness of the wall.
    pub fn wall_depth(&self, s: &Section) -> f64 {
        match self.wall_thickness_m {
            Some(t) => s.quantity_from(&DEPTH, t),
            None => {
                if s.is_present() && !s.has(&DEPTH) {
                    let what = "is not given";
                    let why =
                        "it is the thickness of the wall, which enclosure.wall_loss does not tell";
                    let hint = Some("add a line: depth = \"3 mm\"".to_owned());
                    s.fail("depth", "missing-key", what, Some(why), hint);
                    return DEPTH.high;
                }
                s.quantity(&DEPTH)
            }
        }
    }
}

/// What a sensor shows.
#[derive(Clone, Copy, Debug)]
pub struct SensorLags {
    /// Its temperature \[K\].
    pub temperature: Reading,
    /// Its relative humidity, 0..1.
    pub humidity: Reading,
}

/// What exists of a model while its parts are built.
#[derive(Debug)]
pub struct Site {
    /// The state vector so far.
    pub layout: Layout,
    /// Zones in airflow order.
    pub zones: Vec<Zone>,
    /// Inner face of the wall of each zone.
    pub wall_faces: Vec<Heat>,
    /// What each sensor shows, in the order of [`Context::sensors`].
    pub sensors: Vec<SensorLags>,
    /// Number of the load that is being built.
    pub load: usize,
    /// Number of openings made so far.
    pub openings: usize,
    /// Air in the box at the start.
    pub start: Air<f64>,
    /// The room at the start.
    pub room: Air<f64>,
    /// Pressure \[Pa\].
    pub total_pa: f64,
    /// Circulation \[m3/s\].
    pub circulation_m3_s: f64,
}
