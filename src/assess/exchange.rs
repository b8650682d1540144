//! How much room air passes the box, from the water that left the load and the humidity in the box.

use super::evidence::{Evidence, Probe};
use super::exponential::fit_windows;
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
/// Standard uncertainty of a decay, as a share: walls and what else is in the box give off and take up water
/// meanwhile, and no box is mixed at once. Our choice.
const DECAY: f64 = 0.04;
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

/// Air changes: a value where walls stay dry, else limits; and which decay was used, if one was.
pub(super) fn findings(run: &Evidence) -> Vec<Finding> {
    let finding = Finding::new("air_changes_by_water_per_h");
    let probes: Vec<&Probe> = run.humid_probes().collect();
    let (Ok(room), Some(first)) = (State::of(run), probes.first()) else {
        return vec![finding.missing("needs humidity in the box and in the room")];
    };
    let wet = probes.iter().any(|p| walls_may_be_wet(p, room));
    // Water on the walls would keep the air damp: once it is dry, they are.
    let damp_until_s = probes.iter().map(|p| damp_until_s(p, room)).fold(0.0, f64::max);
    let fall = decay(run, first, room);
    let after_s = if wet { damp_until_s } else { 0.0 };
    let whole = balance(run, &probes, room, (after_s, wet)).ok();
    let part = balance(run, &probes, room, (0.0, wet));
    let share = |n: &Estimate| n.standard / n.value;
    let told = fall.as_ref().ok().filter(|d| d.dry && !wet).map(|d| d.changes);
    let by_fall = told.filter(|n| whole.as_ref().is_none_or(|w| share(n) < share(w)));
    let value = match (by_fall, whole, part, &fall) {
        (Some(n), ..) => Value::Estimate(n),
        (None, Some(n), ..) => return vec![finding.estimate(n)],
        (None, None, Ok(n), fall) => {
            let low = fall.as_ref().map_or(0.0, |f| lowest(f.changes));
            let high = n.value + n.expanded();
            Value::Between { low: low.min(high), high }
        }
        (None, None, Err(_), Ok(fall)) => Value::AtLeast { low: lowest(fall.changes) },
        (None, None, Err(why), Err(also)) => {
            return vec![finding.missing(format!("{why}; {also}"))];
        }
    };
    let used = fall.ok().map(|d| Finding::new("decay_used").words(d.used));
    let found = Finding { value, method: Method::Propagation, ..finding };
    std::iter::once(found).chain(used).collect()
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

/// A fall of the humidity ratio towards that of the room.
struct Decay {
    /// Room air \[volumes of the box an hour\].
    changes: Estimate,
    /// Whether the scale says that the load was dry meanwhile.
    dry: bool,
    /// Which part of the run was used.
    used: String,
}

/// The fall that tells most, between two openings of the lid. What dry air holds follows
/// `dw/dt = -n rho_room / rho_box (w - w_room)`, both densities those of the dry air alone.
fn decay(run: &Evidence, probe: &Probe, room: State) -> Result<Decay, &'static str> {
    let all: Vec<(f64, f64, f64)> = rows(probe, f64::INFINITY).collect();
    let mut from_s = 0.0;
    let mut found: Vec<Decay> = Vec::new();
    let mut why = "the box is never damper than the room between two lid openings";
    for until_s in run.lids.iter().map(|l| l.from_s).chain([f64::INFINITY]) {
        let part: Vec<_> =
            all.iter().copied().filter(|r| (from_s..=until_s).contains(&r.0)).collect();
        match fall(run, probe, room, &part) {
            Ok(decay) => found.push(decay),
            Err(Some(more)) => why = more,
            Err(None) => {}
        }
        let closed = run.lids.iter().filter(|l| l.from_s == until_s).map(|l| l.to_s + MIXED_S);
        from_s = closed.fold(from_s, f64::max);
    }
    let share = |d: &Decay| d.changes.standard / d.changes.value;
    let best = |a: &Decay, b: &Decay| b.dry.cmp(&a.dry).then(share(a).total_cmp(&share(b)));
    found.into_iter().min_by(best).ok_or(why)
}

/// The fall after the highest of these readings; why there is none, where there is vapour at all.
fn fall(
    run: &Evidence,
    probe: &Probe,
    room: State,
    part: &[(f64, f64, f64)],
) -> Result<Decay, Option<&'static str>> {
    let all: Vec<(f64, f64)> = part.iter().map(|r| (r.0, room.ratio(r.1, r.2))).collect();
    let own = room.ratio(room.temp_k, room.rh);
    let peak = all.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    let &(from_s, top) = peak.filter(|p| p.1 > own).ok_or(None)?;
    let kept = |p: &&(f64, f64)| p.1 - own > LEAST_EXCESS * (top - own);
    let tail: Vec<(f64, f64)> =
        all.iter().filter(|p| p.0 >= from_s).take_while(kept).copied().collect();
    let fallen = tail.last().map_or(0.0, |l| (top - l.1) / (top - own));
    if tail.len() < LEAST_READINGS || fallen < LEAST_FALL {
        return Err(Some("the vapour does not decay far enough between two lid openings"));
    }
    let end_s = tail[tail.len() - 1].0;
    let inside = part.iter().filter(|r| (from_s..=end_s).contains(&r.0));
    let temp_k = inside.map(|r| r.1).sum::<f64>() / tail.len() as f64;
    // What the sensor would show of room air: its errors at the temperature of the box, and those of the room's.
    let boxed_rh = room.rh_at(temp_k);
    let sd = |e: Option<Estimate>| e.map_or(0.0, |e| e.standard);
    let shifts = [
        room.ratio(temp_k, boxed_rh + probe.rh_sd),
        room.ratio(temp_k + probe.temp_sd_k, boxed_rh),
        room.ratio(room.temp_k + sd(run.room.temp_k), room.rh),
        room.ratio(room.temp_k, room.rh + sd(run.room.relative_humidity)),
    ];
    let base = Estimate::new(own, shifts.iter().map(|w| (w - own).abs()).sum());
    let rate = fit_windows(&tail, base).ok_or(Some("the vapour falls along no exponential"))?;
    let mean_w = tail.iter().map(|p| p.1).sum::<f64>() / tail.len() as f64;
    let changes = rate.scaled(3600.0 * room.dry_share(temp_k, mean_w));
    let dry = dry_from_s(run).is_some_and(|dry| dry <= from_s);
    let unseen = run.volume_m3.filter(|_| dry).map_or(0.0, |volume| {
        // Water that the scale would not have seen to leave meanwhile, over what left the air.
        let scale = run.weighed.start_kg.map_or(0.0, |m| m.standard) * 2.0_f64.sqrt();
        scale / (volume.value * room.dry_kg_m3(temp_k, mean_w) * fallen * (top - own))
    });
    let used = format!(
        "{}, {:.1} to {:.1} min: {:.0} % of what it held more than the room",
        probe.name,
        from_s / 60.0,
        end_s / 60.0,
        100.0 * fallen
    );
    let changes = changes.widened(unseen * changes.value).widened(DECAY * changes.value);
    // Many count the air as it is in the box, which is the plain rate of the fall: the ± holds that too.
    let boxed = 0.5 * (3600.0 * rate.value - changes.value).abs();
    let changes = changes.widened(boxed);
    Ok(Decay { changes, dry, used })
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

#[cfg(test)]
mod tests {
    use super::super::evidence::{Room, SensorPlace, Weighed};
    use super::*;
    use crate::units::k_from_c;

    #[test]
    fn a_decay_gives_air_changes_only_of_a_dry_load() {
        let (temp_k, room_k) = (k_from_c(50.0), k_from_c(22.0));
        let room = Room {
            temp_k: Some(Estimate::exact(room_k)),
            relative_humidity: Some(Estimate::exact(0.45)),
            source: String::new(),
        };
        let empty = Evidence { room, ..Evidence::default() };
        let state = State::of(&empty).expect("a room");
        // Three volumes of room air an hour; at 50 °C the box holds less of it.
        let rate = 3.0 / 3600.0 / state.dry_share(temp_k, 0.01);
        let own = state.ratio(room_k, 0.45);
        let per_rh = state.ratio(temp_k, 0.2) / 0.2;
        let time: Vec<f64> = (0..400).map(|i| 30.0 * f64::from(i)).collect();
        let rh = time.iter().map(|t| {
            // Twice: the ratio is not quite straight in the humidity.
            let ratio = own + 0.01 * (-rate * t).exp();
            (0..3).fold(ratio / per_rh, |rh, _| rh * ratio / state.ratio(temp_k, rh))
        });
        let probe = Probe {
            name: "box".into(),
            place: SensorPlace::Box,
            controls: false,
            exact: false,
            temp_k: vec![temp_k; time.len()],
            relative_humidity: rh.collect(),
            time_s: time,
            temp_sd_k: 0.0,
            rh_sd: 0.0,
            time_constant_s: None,
        };
        let run = Evidence { probes: vec![probe], ..empty };
        let first = |run: &Evidence| findings(run).remove(0);
        // Nobody says that nothing gives off water meanwhile.
        let Value::AtLeast { low } = first(&run).value else { panic!("{:?}", first(&run)) };
        let boxed = 0.5 * (1.0 / state.dry_share(temp_k, 0.01) - 1.0);
        assert!((low - 3.0 * (1.0 - 2.0 * DECAY.hypot(boxed))).abs() < 0.05, "{low}");
        let mass = Estimate::exact(1e-3);
        let weighings = vec![(1.0, mass), (11_970.0, mass)];
        let weighed = Weighed { start_kg: Some(mass), weighings, ..Weighed::default() };
        let mut dry = Evidence { weighed, ..run };
        // The first reading is the highest: the load must be dry before it.
        dry.probes[0].time_s.iter_mut().for_each(|t| *t += 2.0);
        assert!((first(&dry).middle().unwrap() - 3.0).abs() < 0.05, "{:?}", first(&dry));
        // What is said of the sensor counts, where noise hides what the fall tends to.
        let sure = |run: &Evidence| match first(run).value {
            Value::Estimate(e) => e.standard,
            other => panic!("{other:?}"),
        };
        let noise = |i: usize| 0.01 * ((i * 7919 % 101) as f64 / 50.0 - 1.0);
        let rh = dry.probes[0].relative_humidity.iter_mut().enumerate();
        rh.for_each(|(i, rh)| *rh += noise(i));
        let exact = sure(&dry);
        dry.probes[0].rh_sd = 0.02;
        assert!(sure(&dry) > 1.1 * exact, "{} {exact}", sure(&dry));
    }
}
