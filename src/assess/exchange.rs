//! How much room air passes the box, from the water that left the load and the humidity in the box.

use super::evidence::{Evidence, Probe};
use super::finding::{Finding, Value};
use super::water::{State, by_lid, carried, in_air, rows};
use crate::physics::constants::STANDARD_PRESSURE;
use crate::physics::moist_air::{saturation_in_air_pa, sensed_vapour_density_kg_m3 as density};
use crate::physics::psychrometrics::dew_point_k;
use crate::uncertainty::{Estimate, Method, evaluate};

/// Standard uncertainty of the balance, as a share: heating up drives gas out and lets none in, vapour
/// diffuses through openings, sides of the box differ. Bundled boxes are off by 0.3 to 3.5 %
/// (`tests/air_changes.rs`). Our choice.
const MODEL: f64 = 0.03;
/// Part of the highest excess of vapour below which the accuracy of the room's humidity rules.
const LEAST_EXCESS: f64 = 0.1;
/// Part of the way from room to box temperature where the inner face of a thin wall lies at least: films
/// inside and outside are about alike. Air with its dew point above may wet the wall.
const COLDEST_WALL: f64 = 0.5;
/// Air must be so much warmer than the room for that to be judged \[K\].
const WARM_K: f64 = 10.0;
/// Time after a lid opening until the air is mixed again \[s\]. Our choice.
const MIXED_S: f64 = 60.0;
/// Least share by which the excess vapour must fall for its decay to be judged, least readings.
const LEAST_FALL: f64 = 0.5;
const LEAST_READINGS: usize = 20;
/// Part of all water lost that may still leave a load that counts as dry.
const DRY: f64 = 0.01;

/// Air changes: a value where walls stay dry, else limits.
pub(super) fn finding(run: &Evidence) -> Finding {
    let finding = Finding::new("air_changes_by_water_per_h");
    let probes: Vec<&Probe> = run.humid_probes().collect();
    let (Ok(room), Some(first)) = (State::of(run), probes.first()) else {
        return finding.missing("needs humidity in the box and in the room");
    };
    let wet = probes.iter().any(|p| walls_may_be_wet(p, room));
    // Water on the walls would keep the air damp: once it is dry, they are.
    let damp_until_s = probes.iter().map(|p| damp_until_s(p, room)).fold(0.0, f64::max);
    let fall = decay(run, first, room);
    let after_s = if wet { damp_until_s } else { 0.0 };
    let whole = balance(run, &probes, room, (after_s, wet));
    match (whole.or_else(|_| balance(run, &probes, room, (0.0, wet))), fall) {
        (Ok(n), _) if whole.is_ok() => finding.estimate(n),
        (Ok(n), fall) => {
            let low = fall.ok().map_or(0.0, |f| lowest(f.0));
            let high = n.value + n.expanded();
            let value = Value::Between { low: low.min(high), high };
            Finding { value, method: Method::Propagation, ..finding }
        }
        (Err(_), Ok((n, true))) if !wet => {
            finding.estimate(n.widened(MODEL * n.value)).by(Method::Scatter)
        }
        (Err(_), Ok((n, _))) => {
            Finding { value: Value::AtLeast { low: lowest(n) }, method: Method::Scatter, ..finding }
        }
        (Err(why), Err(also)) => finding.missing(format!("{why}; {also}")),
    }
}

fn lowest(n: Estimate) -> f64 {
    (n.value - n.expanded()).max(0.0)
}

/// When the excess of vapour was last above a part of its highest \[s\].
fn damp_until_s(probe: &Probe, room: State) -> f64 {
    let all: Vec<(f64, f64)> =
        rows(probe, f64::INFINITY).map(|(t, k, rh)| (t, room.carried(k, rh))).collect();
    let most = all.iter().map(|r| r.1).fold(0.0, f64::max);
    all.iter().rfind(|r| r.1 > LEAST_EXCESS * most).map_or(0.0, |r| r.0)
}

/// Whether the dew point of warm air comes above the coldest place that a wall may have.
fn walls_may_be_wet(probe: &Probe, room: State) -> bool {
    rows(probe, f64::INFINITY).any(|(_, temp_k, rh)| {
        let wall_k = room.temp_k + COLDEST_WALL * (temp_k - room.temp_k);
        let dew =
            dew_point_k(rh * saturation_in_air_pa(temp_k, STANDARD_PRESSURE), STANDARD_PRESSURE);
        temp_k > room.temp_k + WARM_K && dew.is_some_and(|dew| dew > wall_k)
    })
}

/// Air changes \[1/h\] by the water balance up to a weighing later than `after_s`, between which walls
/// may have been `wet`.
fn balance(
    run: &Evidence,
    probes: &[&Probe],
    room: State,
    (after_s, wet): (f64, bool),
) -> Result<Estimate, &'static str> {
    let start = run.weighed.start_kg.ok_or("no weighings")?;
    let volume = run.volume_m3.ok_or("no free volume: add enclosure.free_volume")?;
    let mut found = Vec::new();
    for probe in probes {
        let best = run.weighed.weighings.iter().filter_map(|(end_s, mass)| {
            // Of a simulated load every moment is known: the last one tells all.
            let last = run.weighed.weighings.last().is_some_and(|w| w.0 == *end_s);
            if *end_s <= after_s || (run.weighed.continuous && !last) {
                return None;
            }
            let air = in_air(run, probe, *end_s).ok()?;
            let lid = by_lid(run, probe, *end_s).ok()?;
            let inputs = [start, *mass, air, lid, carried(run, probe, *end_s).ok()?, volume];
            let n = evaluate(&inputs, |x| 3600.0 * (x[0] - x[1] - x[2] - x[3]) / (x[4] * x[5]))?;
            (n.estimate.value > 0.0).then_some(n.estimate)
        });
        let share = |e: &Estimate| e.standard / e.value;
        let best = best.min_by(|a, b| share(a).total_cmp(&share(b)));
        let total = best.ok_or("the scale misses too little water")?;
        let moment = by_moment(run, probe, room, volume.value);
        found.push(match moment {
            Some(n) if run.weighed.continuous && !wet => Estimate::new(n, 0.0),
            // Whatever ventilation and walls did meanwhile lies between the two means.
            Some(n) => {
                let half = 0.5 * (n - total.value);
                Estimate { value: total.value + half, ..total }.widened(half.abs())
            }
            None => total,
        });
    }
    let mean = found.iter().map(|e| e.value).sum::<f64>() / found.len() as f64;
    let widest = found.iter().map(|e| e.standard).fold(0.0, f64::max);
    let apart = found.iter().map(|e| (e.value - mean).abs()).fold(0.0, f64::max);
    let apart = Estimate::within(0.0, apart).standard;
    Ok(Estimate::new(mean, widest).widened(apart).widened(MODEL * mean))
}

/// Mean over time of the air changes at each moment \[1/h\], while the box is damp: the source, less what
/// stays in the air, over what each volume carries. Between two weighings the load dries evenly here.
fn by_moment(run: &Evidence, probe: &Probe, room: State, volume_m3: f64) -> Option<f64> {
    let start = (0.0, run.weighed.start_kg?.value);
    let later = run.weighed.weighings.iter().map(|(t, m)| (*t, m.value));
    let masses: Vec<(f64, f64)> = std::iter::once(start).chain(later).collect();
    let end_s = masses.last()?.0;
    let mass = |t: f64| {
        let after = masses.partition_point(|m| m.0 <= t).clamp(1, masses.len() - 1);
        let ((t0, m0), (t1, m1)) = (masses[after - 1], masses[after]);
        m0 + (m1 - m0) * (t - t0) / (t1 - t0)
    };
    let all: Vec<(f64, f64, f64)> = rows(probe, end_s)
        .map(|(t, temp_k, rh)| (t, density(temp_k, rh), room.carried(temp_k, rh)))
        .collect();
    let most = all.iter().map(|r| r.2).fold(0.0, f64::max);
    let open =
        |from: f64, to: f64| run.lids.iter().any(|l| from < l.to_s + MIXED_S && to > l.from_s);
    let (mut volumes, mut time_s) = (0.0, 0.0);
    for w in all.windows(2) {
        let carried = 0.5 * (w[0].2 + w[1].2);
        if carried <= LEAST_EXCESS * most || open(w[0].0, w[1].0) {
            continue;
        }
        let stays = volume_m3 * (w[1].1 - w[0].1);
        volumes += (mass(w[0].0) - mass(w[1].0) - stays) / (carried * volume_m3);
        time_s += w[1].0 - w[0].0;
    }
    let n = 3600.0 * volumes / time_s;
    (masses.len() > 1 && n.is_finite() && n > 0.0).then_some(n)
}

/// Fall of the excess vapour density towards the room \[1/h\], and whether the scale says that the load was
/// dry meanwhile.
fn decay(run: &Evidence, probe: &Probe, room: State) -> Result<(Estimate, bool), &'static str> {
    let base = density(room.temp_k, room.rh);
    let excess: Vec<(f64, f64)> =
        rows(probe, f64::INFINITY).map(|(t, k, rh)| (t, density(k, rh) - base)).collect();
    let last_lid = run.lids.iter().map(|l| l.to_s).fold(0.0, f64::max);
    let peak = excess.iter().filter(|(t, _)| *t > last_lid).max_by(|a, b| a.1.total_cmp(&b.1));
    let Some(&(from, top)) = peak.filter(|p| p.1 > 0.0) else {
        return Err("the box is never damper than the room after the last lid opening");
    };
    let tail: Vec<(f64, f64)> = excess
        .iter()
        .filter(|(t, _)| *t >= from)
        .take_while(|(_, d)| *d > LEAST_EXCESS * top)
        .copied()
        .collect();
    let fall = tail.last().map_or(0.0, |l| 1.0 - l.1 / top);
    if tail.len() < LEAST_READINGS || fall < LEAST_FALL {
        return Err("the vapour does not decay far enough after the last lid opening");
    }
    let rate = slope(&tail).ok_or("no clear decay")?;
    Ok((rate.scaled(3600.0), dry_from_s(run).is_some_and(|dry| dry <= from)))
}

/// The first weighing after which the load lost next to nothing \[s\].
fn dry_from_s(run: &Evidence) -> Option<f64> {
    let (start, all) = (run.weighed.start_kg?.value, &run.weighed.weighings);
    let last = all.last()?.1.value;
    let dry = |m: &Estimate| m.value - last <= (DRY * (start - last)).max(m.expanded());
    let found = all.iter().find(|(_, m)| dry(m))?;
    // The last weighing alone says nothing of what follows it.
    (all.last()?.0 > found.0).then_some(found.0)
}

/// Decay rate \[1/s\] by a straight line through the logarithms.
fn slope(points: &[(f64, f64)]) -> Option<Estimate> {
    let n = points.len() as f64;
    let (mt, my) = (
        points.iter().map(|p| p.0).sum::<f64>() / n,
        points.iter().map(|p| p.1.ln()).sum::<f64>() / n,
    );
    let stt: f64 = points.iter().map(|p| (p.0 - mt).powi(2)).sum();
    let sty: f64 = points.iter().map(|p| (p.0 - mt) * (p.1.ln() - my)).sum();
    let slope = sty / stt;
    let rest: Vec<f64> = points.iter().map(|p| p.1.ln() - my - slope * (p.0 - mt)).collect();
    let square: f64 = rest.iter().map(|r| r * r).sum();
    let alike = rest.windows(2).map(|w| w[0] * w[1]).sum::<f64>() / square.max(f64::MIN_POSITIVE);
    let alike = alike.clamp(0.0, 0.98);
    let u = (square / (n - 2.0) / stt * (1.0 + alike) / (1.0 - alike)).sqrt();
    (slope < 0.0).then(|| Estimate::new(-slope, u))
}

#[cfg(test)]
mod tests {
    use super::super::evidence::{Room, SensorPlace, Weighed};
    use super::*;
    use crate::units::k_from_c;

    #[test]
    fn a_decay_gives_air_changes_only_of_a_dry_load() {
        let temp_k = k_from_c(50.0);
        let full = density(temp_k, 1.0);
        let base = density(k_from_c(22.0), 0.45);
        let time: Vec<f64> = (0..400).map(|i| 30.0 * f64::from(i)).collect();
        let rate = 3.0 / 3600.0;
        let rh = time.iter().map(|t| (base + 0.03 * (-rate * t).exp()) / full).collect();
        let probe = Probe {
            name: "box".into(),
            place: SensorPlace::Box,
            controls: false,
            exact: false,
            temp_k: vec![temp_k; time.len()],
            time_s: time,
            relative_humidity: rh,
            temp_sd_k: 0.0,
            rh_sd: 0.0,
            time_constant_s: None,
        };
        let run = Evidence {
            probes: vec![probe],
            room: Room {
                temp_k: Some(Estimate::exact(k_from_c(22.0))),
                relative_humidity: Some(Estimate::exact(0.45)),
                source: String::new(),
            },
            ..Evidence::default()
        };
        // Nobody says that nothing gives off water meanwhile.
        let Value::AtLeast { low } = finding(&run).value else { panic!("{:?}", finding(&run)) };
        assert!((low - 3.0).abs() < 0.01, "{low}");
        let mass = Estimate::exact(1e-3);
        let weighings = vec![(1.0, mass), (11_970.0, mass)];
        let weighed = Weighed { start_kg: Some(mass), weighings, ..Weighed::default() };
        let mut dry = Evidence { weighed, ..run };
        // The first reading is the highest: the load must be dry before it.
        dry.probes[0].time_s.iter_mut().for_each(|t| *t += 2.0);
        assert!((finding(&dry).middle().unwrap() - 3.0).abs() < 0.01, "{:?}", finding(&dry));
    }
}
