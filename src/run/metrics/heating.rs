//! Warm-up, overshoot, ripple, hottest places.

use super::{Card, Seen, Watched};
use crate::metric::{Bound, Span, Tracker};
use crate::run::probe::Probe;
use crate::run::watch::Id;
use crate::units::c_from_k;

pub(super) fn add(card: &mut Card<'_>, limits: &[Watched]) {
    let model = card.model;
    let marks = &model.landmarks;
    let store = |heat| Probe::Store(model.index_of_heat(heat));
    let air = card.zones(Probe::ZoneTemperature, Span::All);
    let sensor = marks.control_sensor.and_then(|i| model.sensors().nth(i));
    if let (Some(set_k), Some(sensor)) = (marks.set_point_k, sensor) {
        let lag = model.index_of_lag(sensor.temperature);
        let reading = Probe::SensorTemperature(lag, sensor.offset.0);
        against_set_point(card, reading, c_from_k(set_k), air.clone());
    }
    card.highest("peak_air_C", air);
    let element = card.high(store(marks.element), Span::All);
    card.highest("peak_element_C", vec![element]);
    let faces = marks.walls.iter().map(|(nodes, _)| store(nodes[nodes.len() - 1]));
    let faces = faces.map(|face| card.high(face, Span::All)).collect();
    card.highest("peak_outside_C", faces);
    let service = limits.iter().filter(|w| w.limit.service && !w.places.is_empty());
    let margins: Vec<(f64, Id)> = service
        .flat_map(|w| w.places.iter().map(|(_, high, _)| (c_from_k(w.limit.limit_k), *high)))
        .collect();
    if !margins.is_empty() {
        card.add("service_margin_K", move |seen| {
            let one = |(limit, high): &(f64, Id)| Some(limit - seen.highest(&[*high])?);
            seen.growing(margins.iter().filter_map(one).reduce(f64::min), Bound::AtMost)
        });
    }
    if model.zones().len() > 1 {
        let spread = card.watch.track(Probe::Spread, Tracker::mean());
        card.add("hot_minus_cold_K", move |seen| seen.whole(seen.watch.get(spread).value()));
    }
}

fn against_set_point(card: &mut Card<'_>, reading: Probe, set: f64, air: Vec<Id>) {
    let warm = card.watch.track(reading, Tracker::warm(set));
    card.watch.warm_from(warm);
    let peak = [card.high(reading, Span::All)];
    let settled = card.watch.track(reading, Tracker::settled(set));
    let swing = [Tracker::high(Span::Steady), Tracker::low(Span::Steady)]
        .map(|t| card.watch.track(reading, t));
    card.add("set_point_reached", move |seen| match seen.watch.get(warm).value() {
        Some(_) => Ok((1.0, None)),
        None => seen.whole(Some(0.0)),
    });
    card.time("warm_up_min", warm, 60.0);
    let over = move |seen: &Seen<'_>, ids: &[Id]| seen.most(seen.highest(ids).map(|v| v - set));
    card.add("overshoot_sensor_K", move |seen| over(seen, &peak));
    card.add("overshoot_air_K", move |seen| over(seen, &air));
    card.time("settling_min", settled, 60.0);
    card.add("ripple_K", move |seen| {
        let [high, low] = swing.map(|id| seen.watch.get(id).value());
        seen.whole(high.zip(low).map(|(high, low)| high - low))
    });
}
