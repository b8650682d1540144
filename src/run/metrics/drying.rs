//! What became of the added water.

use super::Card;
use crate::address::{Place, Quantity};
use crate::metric::{Bound, LEAST_REMOVED_G, Span, Tracker};
use crate::run::probe::{Probe, water_before_kg};

pub(super) fn add(card: &mut Card<'_>) {
    let added: f64 = card.model.landmarks.loads.iter().map(|l| 1e3 * l.added_kg).sum();
    if added <= 0.0 {
        return;
    }
    for (key, percent) in [("t50_min", 50.0), ("t90_min", 90.0), ("t95_min", 95.0)] {
        let level = added * (1.0 - percent / 100.0);
        let time = card.watch.track(Probe::LoadsLeft, Tracker::falling(level));
        card.time(key, time, 60.0);
    }
    let in_box = Probe::WaterInBox(water_before_kg(card.model));
    let gone = card.watch.track(in_box, Tracker::falling(0.1 * added));
    card.time("box_t90_min", gone, 60.0);
    for (key, probe) in
        [("box_t90_energy_Wh", Probe::SupplyEnergy), ("box_t90_room_air_L", Probe::RoomAir)]
    {
        let then = card.watch.beside(gone, probe);
        card.add(key, move |seen| seen.once(seen.watch.at_crossing(then)));
    }
    card.last("water_in_box_g", in_box);
    card.last("water_remaining_g", Probe::LoadsLeft);
    let removed_g = move |left_g: f64| added - left_g;
    card.add("removed_g", move |seen| seen.whole(Some(removed_g(seen.last(Probe::LoadsLeft)))));
    card.add("energy_per_gram_Wh_g", move |seen| {
        let removed = removed_g(seen.last(Probe::LoadsLeft));
        if removed > LEAST_REMOVED_G || seen.ended {
            return seen.whole(Some(seen.electric_wh() / removed));
        }
        Err(too_little())
    });
}

/// Why there is no energy per gram.
pub(super) fn too_little() -> String {
    format!("less than {LEAST_REMOVED_G} g was removed")
}

/// Film that counts as condensation \[g\]: a tenth of a gram can be seen and felt.
const VISIBLE_FILM_G: f64 = 0.1;

/// Water on the walls.
pub(super) fn films(card: &mut Card<'_>) {
    let Some(films) = card.line(Place::AllWalls, Quantity::Condensate).map(Probe::Line) else {
        return;
    };
    let wet = card.watch.track(films, Tracker::above(VISIBLE_FILM_G));
    card.add("condensation_min", move |seen| {
        let time = seen.watch.get(wet).value().map(|s| s / 60.0);
        seen.growing(time, Bound::AtLeast)
    });
    let most = card.high(films, Span::All);
    card.highest("peak_film_g", vec![most]);
}
