//! The box at one instant: what passes between heater, zones, walls, loads, openings and room.

use super::course::capital;
use crate::address::Place;
use crate::report::figure::{Content, Lane, Sketch, Stream, Tile, Way};
use crate::report::text::duration;
use crate::run::{AirState, Explanation, OpeningState, Snapshot};

/// Condensate below this is none \[g\]: half of the last digit written.
const LEAST_FILM_G: f64 = 5e-3;
/// Flows below this are none: half of the last digit written.
const LEAST_RATE: f64 = 5e-3;

/// Sketches the flows of an instant.
pub fn flows(explanation: &Explanation) -> Sketch {
    let now = &explanation.snapshot;
    let last = now.zones.len().saturating_sub(1);
    let lanes = (0..now.zones.len()).map(|z| lane(now, z, z == last)).collect();
    let mains = stream(now, Place::Mains, Place::Element);
    let title = format!("Flows after {}: {}", duration(explanation.time_s), explanation.title);
    let sketch = Sketch {
        subtitle: capital(&subtitle(now, mains)),
        room: format!("room {}", air_facts(&now.room).join(", ")),
        heater: heater(now),
        mains,
        warming: stream(now, Place::Element, Place::Zone(0)),
        lanes,
        note: note(now),
        source_line: format!("drybench {} · simulated", explanation.program_version),
        alt_text: String::new(),
        title,
    };
    Sketch { alt_text: alt_text(&sketch), ..sketch }
}

fn heater(now: &Snapshot) -> Tile {
    let mut facts = vec![format!("{:.1} °C", now.element_c)];
    let radiant = stream(now, Place::Element, Place::Wall(0)).heat_w;
    if radiant >= LEAST_RATE {
        facts.push(format!("gives the wall {radiant:.2} W"));
    }
    Tile { name: "heater".into(), facts }
}

fn stream(now: &Snapshot, from: Place, to: Place) -> Stream {
    let (heat_w, water_g_h) = now.between(from, to);
    Stream { heat_w, water_g_h }
}

fn air_facts(air: &AirState) -> Vec<String> {
    vec![
        format!("{:.1} °C", air.temp_c),
        format!("{:.0} %RH", air.relative_humidity_pct),
        format!("{:.1} g/m³", air.vapour_g_m3),
    ]
}

fn lane(now: &Snapshot, z: usize, last: bool) -> Lane {
    let zone = &now.zones[z];
    let name = if now.zones.len() > 1 { format!("{} air", zone.name) } else { "air".into() };
    let mut facts = air_facts(zone);
    let fan = stream(now, Place::Mains, Place::Zone(z)).heat_w;
    if fan > 0.0 {
        facts.push(format!("fan +{fan:.1} W"));
    }
    let onward =
        if last { Stream::default() } else { stream(now, Place::Zone(z), Place::Zone(z + 1)) };
    let mut contents: Vec<Content> = wall(now, z).into_iter().collect();
    contents.extend((0..now.loads.len()).filter_map(|i| load(now, z, i)));
    Lane { zone: Tile { name, facts }, onward, ways: ways(now, z, last), contents }
}

/// The openings of a zone; the lid while it is open; in the last zone the pinhole of a sealed box.
fn ways(now: &Snapshot, z: usize, last: bool) -> Vec<Way> {
    let numbered = now.openings.iter().enumerate().filter(|(_, o)| o.zone == z);
    let mut list: Vec<Way> = numbered
        .map(|(i, o)| Way {
            tile: Tile { name: o.name.clone(), facts: vec![litres(o)] },
            out: stream(now, Place::Zone(z), Place::Opening(i)),
        })
        .collect();
    let lid = stream(now, Place::Zone(z), Place::Lid);
    if lid != Stream::default() {
        list.push(Way { tile: Tile { name: "open lid".into(), facts: Vec::new() }, out: lid });
    }
    if last && now.openings.is_empty() {
        let tile = Tile { name: "pinhole".into(), facts: vec!["no openings".into()] };
        list.push(Way { tile, out: stream(now, Place::Zone(z), Place::Pinhole) });
    }
    list
}

fn litres(opening: &OpeningState) -> String {
    let (rate, way) = (opening.out_l_min.abs(), if opening.out_l_min > 0.0 { "out" } else { "in" });
    if rate < LEAST_RATE { "0 L/min".into() } else { format!("{rate:.2} L/min {way}") }
}

fn wall(now: &Snapshot, z: usize) -> Option<Content> {
    let wall = now.walls.get(z)?;
    let mut facts = vec![match wall.outside_c {
        Some(outside) => format!("{:.1} °C in, {outside:.1} °C out", wall.inside_c),
        None => format!("{:.1} °C", wall.inside_c),
    }];
    if wall.film_g >= LEAST_FILM_G {
        facts.push(format!("{:.2} g of water", wall.film_g));
    }
    if wall.puddle_g >= LEAST_FILM_G {
        facts.push(format!("{:.2} g on the floor", wall.puddle_g));
    }
    Some(Content {
        tile: Tile { name: "wall".into(), facts },
        from_air: stream(now, Place::Zone(z), Place::Wall(z)),
        to_room: Some(stream(now, Place::Wall(z), Place::Room)),
    })
}

/// A load, if it stands in zone `z`: it exchanges with the air there.
fn load(now: &Snapshot, z: usize, i: usize) -> Option<Content> {
    let (air, own) = (Place::Zone(z), Place::Load(i));
    let here = |e: &&crate::run::Exchange| [(e.from, e.to), (e.to, e.from)].contains(&(air, own));
    now.exchanges.iter().find(here)?;
    let load = &now.loads[i];
    let mut facts = vec![format!("{:.1} °C", load.temp_c)];
    facts.extend(load.water_remaining_g.map(|g| format!("{g:.2} g remaining")));
    let radiant = stream(now, Place::Wall(z), own).heat_w;
    if radiant.abs() >= LEAST_RATE {
        let verb = if radiant > 0.0 { "gives" } else { "takes" };
        facts.push(format!("wall {verb} {:.2} W", radiant.abs()));
    }
    let from_air = stream(now, air, own);
    Some(Content { tile: Tile { name: load.name.clone(), facts }, from_air, to_room: None })
}

/// What comes in and where it goes, in numbers.
fn subtitle(now: &Snapshot, mains: Stream) -> String {
    let walls: f64 =
        (0..now.walls.len()).map(|z| stream(now, Place::Wall(z), Place::Room).heat_w).sum();
    let (mut water, mut dried) = (0.0, 0.0);
    for z in 0..now.zones.len() {
        let mut out: Vec<Place> = (0..now.openings.len()).map(Place::Opening).collect();
        out.extend([Place::Lid, Place::Pinhole]);
        water += out.iter().map(|o| stream(now, Place::Zone(z), *o).water_g_h).sum::<f64>();
        let loads = (0..now.loads.len()).map(Place::Load);
        dried += loads.map(|l| stream(now, l, Place::Zone(z)).water_g_h).sum::<f64>();
    }
    let heater = match mains.heat_w {
        w if w.abs() < LEAST_RATE => "the heater is off".into(),
        w => format!("the heater draws {w:.1} W"),
    };
    let mut text = format!("{heater}; the walls lose {walls:.1} W");
    if !now.loads.is_empty() {
        text.push_str(&format!("; {dried:.2} g/h of water leave the loads"));
    }
    let way = if water < 0.0 { "enter" } else { "leave" };
    text.push_str(&if water.abs() < LEAST_RATE {
        "; no water leaves the box".into()
    } else {
        format!("; {:.2} g/h {way} the box, net", water.abs())
    });
    text
}

fn note(now: &Snapshot) -> String {
    // Latent heat of evaporation at 40 °C, 2.4 MJ/kg, as W per g/h.
    let mut text = String::from(
        "Arrows show net rates. Heat is counted from room temperature, without the latent heat that \
         the water carries (about 0.7 W per g/h).",
    );
    if now.circulation_l_s > 0.0 {
        let round = now.circulation_l_s;
        text.push_str(&format!(
            " {round:.1} L/s of air circulate through the zones; arrows between zones show what \
             the next one gains."
        ));
    }
    text
}

fn alt_text(sketch: &Sketch) -> String {
    let mut text = format!("{}. {}. {}.", sketch.title, sketch.subtitle, sketch.room);
    for lane in &sketch.lanes {
        let tiles = std::iter::once(&lane.zone)
            .chain(lane.contents.iter().map(|c| &c.tile))
            .chain(lane.ways.iter().map(|w| &w.tile));
        for tile in tiles {
            text.push_str(&format!(" {}: {}.", tile.name, tile.facts.join(", ")));
        }
    }
    text
}
