//! The air in the box, and what is exchanged with the room.

use super::{Card, drying};
use crate::metric::Span;
use crate::run::probe::Probe;

/// Error of a step in the water of a store \[g\]: the tolerance of the solver at its default.
const FOG_ERROR_G: f64 = 1e-6;

pub(super) fn add(card: &mut Card<'_>) {
    // The room's own humidity at the start says nothing about the box.
    let warm = card.zones(Probe::ZoneHumidity, Span::Warm);
    let whole = card.zones(Probe::ZoneHumidity, Span::All);
    card.add("peak_rh_pct", move |seen| {
        seen.most(seen.highest(&warm).or_else(|| seen.highest(&whole)))
    });
    let density = card.zones(Probe::ZoneDensity, Span::All);
    card.highest("peak_vapour_density_g_m3", density);
    drying::films(card);
    let fog = card.high(Probe::Fog, Span::All);
    // Below the error of a step there is none.
    card.add("peak_fog_g", move |seen| {
        seen.most(seen.highest(&[fog]).map(|g| if g < FOG_ERROR_G { 0.0 } else { g }))
    });
    let displaced = card.model.index_of_lag(card.model.displaced());
    card.add("displaced_L", move |seen| seen.most(Some(1e3 * seen.y[displaced])));
    let (steady_s, before) = (card.steady_s(), card.before_steady(Probe::RoomAir));
    let volume_l: f64 = card.model.zones().iter().map(|z| 1e3 * z.volume_m3).sum();
    card.add("air_changes_per_h", move |seen| {
        let before = seen.watch.get(before).value();
        let entered = before.map(|litres| seen.last(Probe::RoomAir) - litres);
        seen.whole(entered.map(|litres| litres / volume_l / (steady_s / 3600.0)))
    });
}
