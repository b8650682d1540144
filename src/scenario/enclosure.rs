//! `[enclosure]`: sizes, walls and the division into air zones.

use crate::address::{Place, Quantity};
use crate::model::air::{Air, Zone};
use crate::model::materials::Materials;
use crate::model::network::MAX_ZONES;
use crate::model::parts::{Covered, Faces, StillAir, WallSpec};
use crate::model::site::ZoneName;
use crate::model::store::{Gas, Layout, Thermal};
use crate::reader::{Key, Keys, Section, key};
use crate::text::slug;
use crate::units::Kind;

const INNER_SIZE: Key =
    key::quantities("inner_size", Kind::Length, 5e-3..=5.0).help("length, width and height inside");
const VOLUME: Key = key::quantity("volume", Kind::Volume, 1e-5..=10.0)
    .optional()
    .help("volume inside, in place of `inner_size`");
const INNER_AREA: Key = key::quantity("inner_area", Kind::Area, 1e-4..=100.0)
    .follows("a cube of this volume")
    .help("area of the walls inside, with `volume`");
const FREE_VOLUME: Key = key::quantity("free_volume", Kind::Volume, 1e-5..=125.0)
    .follows("inner volume")
    .help("what the parts in the box leave of it for the air");
const SUPPLY_SHARE: Key = key::quantity("supply_share", Kind::Share, 0.01..=0.99)
    .or(0.25, "part of the free volume between heater and load (our guess)")
    .likely(0.1, 0.5, 'D')
    .help("share of the free volume on the supply side, between heater and load");
const ZONES: Key = key::texts("zones").help(
    "names of the zones in the order of the stream, one to eight; supply and return without it",
);
const ZONE_SHARES: Key = key::quantities("zone_shares", Kind::Share, 0.001..=1.0)
    .help("their shares of the free volume, with `zones`");

/// `[enclosure]`.
#[derive(Clone, Debug)]
pub struct EnclosureSpec {
    /// Inner length, width and height \[m\]; none for a box stated by its volume.
    pub size_m: Option<[f64; 3]>,
    /// Height inside \[m\].
    pub height_m: f64,
    /// Free volume of air \[m3\].
    pub volume_m3: f64,
    /// Areas of the walls.
    pub faces: Faces,
    /// The wall.
    pub wall: WallSpec,
    /// Zones in airflow order.
    pub zones: Vec<ZoneName>,
    /// What mixes them without a fan.
    pub still_air: StillAir,
}

impl EnclosureSpec {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[Keys::always(
        "enclosure",
        "the box",
        &[&INNER_SIZE, &VOLUME, &INNER_AREA, &FREE_VOLUME, &SUPPLY_SHARE, &ZONES, &ZONE_SHARES],
    )];

    /// Reads `[enclosure]`, and from all tables what mixes its zones without a fan.
    pub fn read(root: &Section, materials: &Materials, stirred: bool) -> Self {
        let s = &root.section("enclosure");
        let (size_m, volume_m3, inner_m2) = read_size(s);
        let wall = WallSpec::read(s, materials, inner_m2, stirred);
        let thickness = wall.thickness_m().unwrap_or(0.0);
        // A box stated by its volume is taken as a cube of that inner area for its faces.
        let edge = (inner_m2 / 6.0).sqrt();
        let size = size_m.unwrap_or([edge; 3]);
        let free = s.quantity_opt(&FREE_VOLUME.in_range(1e-5..=volume_m3));
        let free = free.unwrap_or_else(|| {
            s.derived("free_volume", Kind::Volume, volume_m3, "inner volume");
            volume_m3
        });
        let zones = read_zones(s);
        EnclosureSpec {
            size_m,
            height_m: size[2],
            volume_m3: free,
            faces: Faces::cuboid(size, thickness),
            wall,
            still_air: StillAir::read(root, size, zones.len()),
            zones,
        }
    }

    /// What a lid or a door closes. A box stated by its volume is taken as a cube.
    pub fn covered(&self) -> Covered {
        let [sides, top, _] = self.faces.inside_m2;
        let side_m2 = self.size_m.map_or(0.25 * sides, |[a, b, h]| a.max(b) * h);
        Covered { top_m2: top, side_m2, height_m: self.height_m }
    }

    /// Inner edges, longest first \[m\].
    pub fn sorted_edges(&self) -> Option<[f64; 3]> {
        self.size_m.map(|mut edges| {
            edges.sort_by(|a, b| b.total_cmp(a));
            edges
        })
    }

    /// Makes the zones and fills them with `start`.
    pub fn build_zones(&self, layout: &mut Layout, start: &Air<f64>) -> Vec<Zone> {
        let last = self.zones.len() - 1;
        let make = |(i, zone): (usize, &ZoneName)| {
            let volume_m3 = self.volume_m3 * zone.share;
            let dry_kg = start.dry_kg_m3 * volume_m3;
            let at = Place::Zone(i);
            let dry = layout.dry_air(at, dry_kg);
            let water = layout.water(at, Quantity::Vapour, dry_kg * start.ratio);
            let fog = layout.water(at, Quantity::Fog, 0.0);
            let heat = layout.heat(at, Thermal::Air { water, dry }, start.temp_k);
            // The fan's pressure falls evenly along the chain: +1/2 behind it, -1/2 before it.
            let share = if last == 0 { 0.0 } else { 0.5 - i as f64 / last as f64 };
            let gas = Gas { heat, water, dry, fog };
            Zone { name: zone.name.clone(), volume_m3, gas, pressure_share: share }
        };
        self.zones.iter().enumerate().map(make).collect()
    }
}

/// Reads `inner_size`, or `volume` with `inner_area`: size, volume \[m3\] and inner area \[m2\].
fn read_size(s: &Section) -> (Option<[f64; 3]>, f64, f64) {
    if s.has(&VOLUME) && !s.has(&INNER_SIZE) {
        let volume = s.quantity(&VOLUME);
        let least = 4.836 * volume.powf(2.0 / 3.0); // a sphere
        let cube = 6.0 * volume.powf(2.0 / 3.0);
        let area = s.quantity_from(&INNER_AREA, cube);
        if area < least {
            let hint = "check the units of volume and inner_area".to_owned();
            s.fail("inner_area", "area-too-small", "is less than a sphere needs", None, Some(hint));
        }
        return (None, volume, area);
    }
    let size = s.quantities(&INNER_SIZE, Some(3));
    let size = [size[0], size[1], size[2]];
    let [a, b, h] = size;
    s.derived("volume", Kind::Volume, a * b * h, "inner_size");
    let area = 2.0 * (a * b + a * h + b * h);
    s.derived("inner_area", Kind::Area, area, "inner_size");
    (Some(size), a * b * h, area)
}

/// Reads `supply_share`, or `zones` with `zone_shares`.
fn read_zones(s: &Section) -> Vec<ZoneName> {
    let named = |name: &str, share| ZoneName { name: name.into(), share };
    let Some(names) = s.texts_opt(&ZONES) else {
        let share = s.quantity(&SUPPLY_SHARE);
        return vec![named("supply", share), named("return", 1.0 - share)];
    };
    check_names(s, &names);
    let shares = if names.len() == 1 {
        vec![1.0]
    } else if s.has(&ZONE_SHARES) {
        s.quantities(&ZONE_SHARES, Some(names.len()))
    } else {
        let even = vec![(1000.0 / names.len().max(1) as f64).round() / 1000.0; names.len()];
        let hint = format!("write zone_shares = {even:?}, or what they really are");
        s.fail(&ZONE_SHARES, "missing-key", "is not given", None, Some(hint));
        even
    };
    let sum: f64 = shares.iter().sum();
    if (sum - 1.0).abs() > 1e-3 && names.len() > 1 {
        let hint = "change one of them so that they make 1".to_owned();
        s.fail(&ZONE_SHARES, "shares-sum", &format!("add up to {sum:.3}"), None, Some(hint));
    }
    names.iter().zip(&shares).map(|(n, share)| named(n, share / sum)).collect()
}

fn check_names(s: &Section, names: &[String]) {
    if names.is_empty() || names.len() > MAX_ZONES {
        let what = format!("has {} names; 1 to {MAX_ZONES} are possible", names.len());
        s.fail("zones", "zone-count", &what, None, Some("write [\"supply\", \"return\"]".into()));
    }
    for (i, name) in names.iter().enumerate() {
        let slugs = |names: &[String]| names.iter().map(|n| slug(n)).collect::<Vec<_>>();
        let what = if slugs(&names[..i]).contains(&slug(name)) {
            format!("uses the name \"{name}\" twice, but for its spelling")
        } else if slug(name).is_empty() || name.contains(char::is_control) {
            "has a name without a letter or digit, or with control characters".to_owned()
        } else {
            continue;
        };
        let hint = "write names of letters and digits, such as [\"supply\", \"return\"]".to_owned();
        s.fail("zones", "zone-name", &what, None, Some(hint));
    }
}
