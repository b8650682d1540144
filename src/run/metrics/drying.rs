//! What became of the added water.

use super::{Answered, Card};
use crate::address::{Place, Quantity};
use crate::metric::{Bound, LEAST_REMOVED_G};
use crate::run::probe::{Probe, water_before_kg};
use crate::run::watch::Tracker;

pub(super) fn add(card: &mut Card<'_>) {
    let added: f64 = card.model.landmarks.loads.iter().map(|l| 1e3 * l.added_kg).sum();
    if added <= 0.0 {
        return;
    }
    for percent in [50.0, 90.0, 95.0] {
        let level = added * (1.0 - percent / 100.0);
        let time = card.watch.track(Probe::LoadsLeft, Tracker::falling(level, Vec::new()));
        card.add(
            &format!("t{percent:.0}_min"),
            &format!("time to remove {percent:.0} % of the added water"),
            "min",
            "mass of the loads back to that share of the added water above their mass in room air",
            move |seen| seen.time(time, 60.0),
        );
    }
    let in_box = Probe::WaterInBox(water_before_kg(card.model));
    let also = vec![Probe::SupplyEnergy, Probe::RoomAir];
    let gone = card.watch.track(in_box, Tracker::falling(0.1 * added, also));
    card.add(
        "box_t90_min",
        "time until 90 % of the water left the box",
        "min",
        "water in loads, air and on the walls back to 10 % of the added water above the start",
        move |seen| seen.time(gone, 60.0),
    );
    card.add(
        "box_t90_energy_Wh",
        "electric energy until the box is 90 % dry",
        "Wh",
        &format!(
            "{}, until 90 % of the added water left the box",
            super::supply::consumers(card.model)
        ),
        move |seen| seen.once(seen.watch.get(gone).also(0)),
    );
    card.add(
        "box_t90_room_air_L",
        "room air until the box is 90 % dry",
        "L",
        "room air that entered through all openings, at room state, until 90 % of the added water left the box",
        move |seen| seen.once(seen.watch.get(gone).also(1)),
    );
    card.add(
        "water_in_box_g",
        "added water still in the box at the end",
        "g",
        "in loads, in the air and on the walls, above what was there before any was added",
        move |seen| seen.whole(Some(seen.last(in_box))),
    );
    card.add(
        "water_remaining_g",
        "added water remaining at the end",
        "g",
        "negative where a load ends drier than it was in room air",
        |seen| seen.whole(Some(seen.last(Probe::LoadsLeft))),
    );
    card.add(
        "removed_g",
        "water removed from the loads",
        "g",
        "added water minus what remains; it may still be in the air or on the walls",
        move |seen| seen.whole(Some(added - seen.last(Probe::LoadsLeft))),
    );
    card.add(
        "energy_per_gram_Wh_g",
        "energy per gram removed",
        "Wh/g",
        "electric energy over water removed from the loads, whole run; the floor is 0.66",
        move |seen| {
            let removed = added - seen.last(Probe::LoadsLeft);
            if removed > LEAST_REMOVED_G || seen.ended {
                return seen.whole(Some(seen.electric_wh() / removed));
            }
            Answered::Nothing(too_little())
        },
    );
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
    let wet = card.watch.track(films, Tracker::Above { level: VISIBLE_FILM_G, time_s: 0.0 });
    card.add(
        "condensation_min",
        "time with over 0.1 g of water on the walls",
        "min",
        "time with more than 0.1 g of water on the walls",
        move |seen| {
            let time = seen.watch.get(wet).amount().map(|s| s / 60.0);
            seen.growing(time, Bound::AtLeast)
        },
    );
    let most = [card.high(films, crate::run::watch::Span::All)];
    card.add("peak_film_g", "most water on the walls", "g", "sum of all walls", move |seen| {
        seen.most(seen.highest(&most))
    });
}
