//! What a sketch shows, as plain numbers and words.

use crate::text::Csv;

/// A place with its state.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tile {
    /// Its name.
    pub name: String,
    /// Its state, a line each.
    pub facts: Vec<String>,
}

/// What passes between two places; negative amounts go the other way.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Stream {
    /// Heat \[W\].
    pub heat_w: f64,
    /// Water \[g/h\].
    pub water_g_h: f64,
}

/// A way between a zone and the room.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Way {
    /// The opening.
    pub tile: Tile,
    /// What goes out.
    pub out: Stream,
}

/// A wall or a load.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Content {
    /// What it is.
    pub tile: Tile,
    /// What it gets from the air of its zone.
    pub from_air: Stream,
    /// What it gives to the room; `None` for what stands inside.
    pub to_room: Option<Stream>,
}

/// A zone with everything around it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lane {
    /// Its air.
    pub zone: Tile,
    /// What goes on to the next zone.
    pub onward: Stream,
    /// Openings and other ways to the room.
    pub ways: Vec<Way>,
    /// Its wall and its loads.
    pub contents: Vec<Content>,
}

/// One picture.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sketch {
    /// Headline.
    pub title: String,
    /// Smaller line below it.
    pub subtitle: String,
    /// The room in one line.
    pub room: String,
    /// The heating element.
    pub heater: Tile,
    /// What it gets from the mains.
    pub mains: Stream,
    /// What it gives to the first zone.
    pub warming: Stream,
    /// The zones in airflow order; at least one.
    pub lanes: Vec<Lane>,
    /// How the numbers are counted.
    pub note: String,
    /// Small footer: where the numbers come from.
    pub source_line: String,
    /// What the picture shows, in words.
    pub alt_text: String,
}

impl Stream {
    /// Heat, then water.
    pub(super) fn amounts(self) -> [f64; 2] {
        [self.heat_w, self.water_g_h]
    }
}

impl Sketch {
    /// All streams with the names of their two ends.
    pub(super) fn streams(&self) -> Vec<(&str, &str, Stream)> {
        let mut list = vec![("mains", self.heater.name.as_str(), self.mains)];
        if let Some(first) = self.lanes.first() {
            list.push((&self.heater.name, &first.zone.name, self.warming));
        }
        for (i, lane) in self.lanes.iter().enumerate() {
            let zone = lane.zone.name.as_str();
            list.extend(self.lanes.get(i + 1).map(|n| (zone, n.zone.name.as_str(), lane.onward)));
            list.extend(lane.ways.iter().map(|w| (zone, w.tile.name.as_str(), w.out)));
            for content in &lane.contents {
                let name = content.tile.name.as_str();
                list.push((zone, name, content.from_air));
                list.extend(content.to_room.map(|s| (name, "room", s)));
            }
        }
        list
    }

    /// Largest heat and largest water flow, against which the arrows are measured.
    pub(super) fn largest(&self) -> Stream {
        let finite = |a: f64, b: f64| if b.is_finite() { a.max(b.abs()) } else { a };
        self.streams().iter().fold(Stream::default(), |most, (_, _, s)| Stream {
            heat_w: finite(most.heat_w, s.heat_w),
            water_g_h: finite(most.water_g_h, s.water_g_h),
        })
    }

    /// The numbers on the arrows: a row for each pair of places.
    pub(in crate::report::figure) fn table(&self) -> String {
        let mut out = Csv::with_head(["from", "to", "heat_W", "water_g_h"]);
        for (from, to, s) in self.streams() {
            out.row([from, to, &s.heat_w.to_string(), &s.water_g_h.to_string()]);
        }
        out.text()
    }
}
