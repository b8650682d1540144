//! The air in the box, and what is exchanged with the room.

use super::{Card, drying};
use crate::run::probe::Probe;
use crate::run::watch::Span;

/// Error of a step in the water of a store \[g\]: the tolerance of the solver at its default.
const FOG_ERROR_G: f64 = 1e-6;

pub(super) fn add(card: &mut Card<'_>) {
    // The room's own humidity at the start says nothing about the box.
    let warm = card.zones(Probe::ZoneHumidity, Span::Warm);
    let whole = card.zones(Probe::ZoneHumidity, Span::All);
    card.add(
        "peak_rh_pct",
        "peak relative humidity",
        "%RH",
        "highest in any zone after warm-up (in the whole run without one)",
        move |seen| seen.most(seen.highest(&warm).or_else(|| seen.highest(&whole))),
    );
    let density = card.zones(Probe::ZoneDensity, Span::All);
    card.add(
        "peak_vapour_density_g_m3",
        "peak vapour density",
        "g/m³",
        "highest in any zone",
        move |seen| seen.most(seen.highest(&density)),
    );
    drying::films(card);
    let fog = card.high(Probe::Fog, Span::All);
    card.add(
        "peak_fog_g",
        "most fog in the air",
        "g",
        "droplets in the air of all zones together",
        // Below the error of a step there is none.
        move |seen| seen.most(seen.highest(&[fog]).map(|g| if g < FOG_ERROR_G { 0.0 } else { g })),
    );
    let displaced = card.model.index_of_lag(card.model.displaced());
    card.add(
        "displaced_L",
        "displaced gas",
        "L",
        "net outflow through all openings at box temperature, while outward: what heating and \
         evaporation push out; not a path of its own",
        move |seen| seen.most(Some(1e3 * seen.y[displaced])),
    );
    let (steady_s, before) = (card.steady_s(), card.before_steady(Probe::RoomAir));
    let volume_l: f64 = card.model.zones().iter().map(|z| 1e3 * z.volume_m3).sum();
    card.add(
        "air_changes_per_h",
        "air changes",
        "1/h",
        "room air entering through all openings in the steady window, at room state, over the free volume",
        move |seen| {
            let before = seen.watch.get(before).amount();
            let entered = before.map(|litres| seen.last(Probe::RoomAir) - litres);
            seen.whole(entered.map(|litres| litres / volume_l / (steady_s / 3600.0)))
        },
    );
}
