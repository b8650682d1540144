//! Random boxes as texts of scenarios.

use std::fmt::{self, Write};

use proptest::prelude::*;

/// Seed of the random boxes: any will do, but the same each time.
pub const SEED: [u8; 32] = *b"boxes that nobody has built yet.";

/// A scenario that prints as it is written.
#[derive(Clone)]
pub struct Text(pub String);

impl fmt::Debug for Text {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Any box: zones, walls, heater, controller, openings, loads, lid openings, room and start.
pub fn random_box() -> impl Strategy<Value = Text> {
    (room_and_start(), enclosure(), heating(), vents(), loads(), events()).prop_map(
        |((room, warmest_c), (zones, enclosure), heating, vents, loads, events)| {
            let mut text = room + &enclosure;
            text += &heating.write(warmest_c, &zones);
            for (i, vent) in vents.iter().enumerate() {
                text += &vent.write(i, &zones);
            }
            for (i, load) in loads.iter().enumerate() {
                text += &load.write(i, &zones);
            }
            Text(text + &events)
        },
    )
}

/// Tables of room and start, and the warmest temperature of the room \[°C\].
fn room_and_start() -> impl Strategy<Value = (String, f64)> {
    // Below 2 %RH the reader asks whether a share was meant.
    let air = || (-5.0..35.0_f64, 2.0..100.0_f64);
    let start = prop::option::of((-5.0..60.0_f64, 2.0..100.0_f64));
    (700.0..1050.0_f64, air(), prop::option::of(air()), start).prop_map(|(hpa, a, b, start)| {
        let mut text = format!("[room]\npressure = \"{hpa} hPa\"\n");
        let mut warmest = a.0;
        if let Some(b) = b {
            warmest = a.0.max(b.0);
            let (ta, ha, tb, hb) = (a.0, a.1, b.0, b.1);
            text += &format!(
                "[room.table]\ntime = [\"0 s\", \"2 min\", \"5 min\"]\n\
                 temperature = [\"{ta} °C\", \"{ta} °C\", \"{tb} °C\"]\n\
                 relative_humidity = [\"{ha} %RH\", \"{ha} %RH\", \"{hb} %RH\"]\n"
            );
        } else {
            text += &format!("temperature = \"{} °C\"\nrelative_humidity = \"{} %RH\"\n", a.0, a.1);
        }
        if let Some((t, h)) = start {
            text +=
                &format!("[start]\ntemperature = \"{t} °C\"\nrelative_humidity = \"{h} %RH\"\n");
        }
        (text, warmest)
    })
}

/// Names of the zones and the table of the box, 150 to 400 mm long and wide and 150 to 300 high.
fn enclosure() -> impl Strategy<Value = (Vec<&'static str>, String)> {
    let edge = || 150.0..400.0_f64;
    let shares = prop::collection::vec(0.1..1.0_f64, 1..=3);
    let wall = prop_oneof![
        (1.0..6.0_f64).prop_map(|mm| {
            // Wood takes up water.
            let material = if mm > 4.5 { "plywood" } else { "polypropylene" };
            format!("wall = {{ material = \"{material}\", thickness = \"{mm} mm\" }}")
        }),
        (0.3..1.3_f64, 50.0..3000.0_f64).prop_map(|(w_k, j_k)| format!(
            "wall_loss = \"{w_k} W/K\"\nwall_heat_capacity = \"{j_k} J/K\""
        )),
    ];
    ([edge(), edge(), 150.0..300.0_f64], shares, wall, 5.0..20.0_f64).prop_map(
        |([a, b, h], shares, wall, film)| {
            let zones = ["first", "second", "third"][..shares.len()].to_vec();
            let sum: f64 = shares.iter().sum();
            let shares: Vec<f64> = shares.iter().map(|s| s / sum).collect();
            let split =
                if zones.len() > 1 { format!("zone_shares = {shares:?}\n") } else { String::new() };
            let text = format!(
                "[enclosure]\ninner_size = [\"{a} mm\", \"{b} mm\", \"{h} mm\"]\n{wall}\n\
                 inside_coefficient = \"{film} W/(m2 K)\"\nzones = {zones:?}\n{split}"
            );
            (zones, text)
        },
    )
}

/// Heater, fan and controller.
#[derive(Clone, Debug)]
struct Heating {
    ptc: bool,
    power: f64,
    circulation: Option<f64>,
    fan_pa: f64,
    motor_w: f64,
    control: usize,
    above_k: f64,
    hysteresis_k: f64,
    lag_s: f64,
}

fn heating() -> impl Strategy<Value = Heating> {
    let fan = (prop::option::weighted(0.85, 0.5..20.0_f64), 0.0..10.0_f64, 0.0..4.0_f64);
    let control = (0..4_usize, 5.0..35.0_f64, 0.3..4.0_f64, 1.0..60.0_f64);
    (any::<bool>(), 0.1..1.0_f64, fan, control).prop_map(
        |(ptc, power, (circulation, fan_pa, motor_w), (control, above_k, hysteresis_k, lag_s))| {
            Heating {
                ptc,
                power,
                circulation,
                fan_pa,
                motor_w,
                control,
                above_k,
                hysteresis_k,
                lag_s,
            }
        },
    )
}

impl Heating {
    fn write(&self, warmest_c: f64, zones: &[&str]) -> String {
        let l_s = self.circulation.unwrap_or(0.0);
        // As much as the stream can take from an element some 130 K hotter, within a plug's reach.
        let most_w = (150.0 * (0.8 * l_s).min(1.5)).max(30.0);
        let kind = if self.ptc { "ptc" } else { "resistive" };
        let place = ["beside", "below", "above"][(10.0 * self.hysteresis_k) as usize % 3];
        let mut text = format!(
            "[heater]\nkind = \"{kind}\"\nplace = \"{place}\"\npower = \"{} W\"\n[fan]\ncirculation = \"{l_s} L/s\"\n\
             pressure = \"{} Pa\"\nmotor_power = \"{} W\"\n",
            self.power * most_w,
            self.fan_pa,
            self.motor_w,
        );
        let last = zones.last().expect("a box has a zone");
        let sensor =
            format!("[sensor.s]\nzone = \"{last}\"\ntime_constant = \"{} s\"\n", self.lag_s);
        let set_point = (warmest_c.max(0.0) + self.above_k).min(70.0);
        let (kind, more) = match self.control {
            0 => ("thermostat", format!("hysteresis = \"{} K\"\n", self.hysteresis_k)),
            1 => ("pi", String::new()),
            2 => ("always_on", String::new()),
            _ => ("off", String::new()),
        };
        let _ = write!(text, "{sensor}[control]\nkind = \"{kind}\"\n{more}");
        if self.control < 2 {
            let _ = write!(text, "set_point = \"{set_point} °C\"\nsensor = \"s\"\n");
        }
        text
    }
}

/// One opening; its zone and height are shares of what the box has.
#[derive(Clone, Debug)]
struct Vent {
    hole: bool,
    size: f64,
    zone: f64,
    height: f64,
}

fn vents() -> impl Strategy<Value = Vec<Vent>> {
    let unit = || 0.0..1.0_f64;
    let vent = (any::<bool>(), unit(), unit(), unit())
        .prop_map(|(hole, size, zone, height)| Vent { hole, size, zone, height });
    prop::collection::vec(vent, 0..=4)
}

fn pick<'z>(zones: &[&'z str], share: f64) -> &'z str {
    zones[((share * zones.len() as f64) as usize).min(zones.len() - 1)]
}

impl Vent {
    fn write(&self, i: usize, zones: &[&str]) -> String {
        let zone = pick(zones, self.zone);
        let shape = if self.hole {
            format!("kind = \"hole\"\ndiameter = \"{} mm\"\n", 0.5 + 14.5 * self.size)
        } else {
            format!(
                "kind = \"seam\"\nlength = \"0.8 m\"\ngap = \"{} mm\"\n",
                0.02 + 0.4 * self.size
            )
        };
        let height = 150.0 * self.height;
        format!(
            "[vent.v{i}]\n{shape}depth = \"3 mm\"\nzone = \"{zone}\"\nheight = \"{height} mm\"\n"
        )
    }
}

/// One load.
#[derive(Clone, Debug)]
enum Load {
    Pad { water_g: f64, dry_g: f64, contact_w_k: f64, zone: f64 },
    Inert { capacity_j_k: f64, zone: f64 },
    Spool { grams: f64, moist: f64, lumped: bool, zone: f64 },
    Hygroscopic { grams: f64, material: f64, humid_pct: f64, zone: f64 },
}

fn loads() -> impl Strategy<Value = Vec<Load>> {
    let pad = (0.0..8.0_f64, 1.0..6.0_f64, 0.0..0.5_f64, 0.0..1.0_f64).prop_map(
        |(water_g, dry_g, contact_w_k, zone)| Load::Pad { water_g, dry_g, contact_w_k, zone },
    );
    let inert = (1.0..500.0_f64, 0.0..1.0_f64)
        .prop_map(|(capacity_j_k, zone)| Load::Inert { capacity_j_k, zone });
    let spool = (50.0..300.0_f64, 0.0..1.0_f64, any::<bool>(), 0.0..1.0_f64)
        .prop_map(|(grams, moist, lumped, zone)| Load::Spool { grams, moist, lumped, zone });
    let hygroscopic = (5.0..200.0_f64, 0.0..1.0_f64, 2.0..80.0_f64, 0.0..1.0_f64).prop_map(
        |(grams, material, humid_pct, zone)| Load::Hygroscopic { grams, material, humid_pct, zone },
    );
    prop::collection::vec(prop_oneof![2 => pad, 1 => inert, 1 => spool, 1 => hygroscopic], 0..=2)
}

impl Load {
    fn write(&self, i: usize, zones: &[&str]) -> String {
        match self {
            Load::Pad { water_g, dry_g, contact_w_k, zone } => format!(
                "[load.l{i}]\nkind = \"wet_pad\"\nwater = \"{water_g} g\"\ndry_mass = \"{dry_g} g\"\n\
                 size = [\"70 mm\", \"50 mm\", \"4 mm\"]\ncontact = \"{contact_w_k} W/K\"\n\
                 zone = \"{}\"\n",
                pick(zones, *zone)
            ),
            Load::Inert { capacity_j_k, zone } => format!(
                "[load.l{i}]\nkind = \"inert\"\nheat_capacity = \"{capacity_j_k} J/K\"\n\
                 coupling = \"0.5 W/K\"\nzone = \"{}\"\n",
                pick(zones, *zone)
            ),
            Load::Spool { grams, moist, lumped, zone } => {
                let polymer = pick(&["PLA", "PA6", "PVA_support"], *moist);
                let model = if *lumped { "lumped" } else { "layers" };
                format!(
                    "[load.l{i}]\nkind = \"spool\"\npolymer = \"{polymer}\"\nmass = \"{grams} g\"\n\
                     core_diameter = \"60 mm\"\nwidth = \"40 mm\"\nlayers = 3\nshells = 3\n\
                     model = \"{model}\"\nzone = \"{}\"\n",
                    pick(zones, *zone)
                )
            }
            Load::Hygroscopic { grams, material, humid_pct, zone } => format!(
                "[load.l{i}]\nkind = \"hygroscopic\"\nmaterial = \"{}\"\nmass = \"{grams} g\"\n\
                 start_humidity = \"{humid_pct} %RH\"\nzone = \"{}\"\n",
                pick(&["silica_gel", "wood", "cotton", "PA6"], *material),
                pick(zones, *zone)
            ),
        }
    }
}

/// Up to two lid openings and the length of the run, 5 to 20 min.
fn events() -> impl Strategy<Value = String> {
    let event = (0.5..50.0_f64, 0.0..0.99_f64);
    (prop::collection::vec(event, 0..=2), 5.0..20.0_f64).prop_map(|(events, minutes)| {
        let mut text = String::new();
        for (i, (seconds, share)) in events.iter().enumerate() {
            let at = 60.0 + 100.0 * i as f64;
            let _ = write!(
                text,
                "[event.e{i}]\nkind = \"lid_open\"\nat = \"{at} s\"\nduration = \"{seconds} s\"\n\
                 exchange = {share}\n"
            );
        }
        text + &format!("[run]\nduration = \"{minutes} min\"\n")
    })
}
