//! Openings of the lid as a log shows them.

use super::{Readings, median, usual_step_s};

/// An opening that the log shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoundOpening {
    /// Last reading before \[s\].
    pub from_s: f64,
    /// Driest reading after \[s\].
    pub to_s: f64,
    /// Share of the vapour that went.
    pub fall: f64,
    /// By how much the temperature fell with it \[K\].
    pub dip_k: f64,
}

/// How notes and log agree about one opening.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Verdict {
    /// Noted at this time \[s\], and seen.
    Confirmed(f64, FoundOpening),
    /// Noted at this time \[s\]; the log does not show it.
    NotSeen(f64),
    /// The log shows it; nobody noted it.
    NotNoted(FoundOpening),
}

/// The vapour density must fall by this share within [`WITHIN_S`]; without a dip of the temperature
/// by the larger share. Heating, evaporation and a thermostat do not take vapour out that fast.
const FALL: f64 = 0.10;
const FALL_ALONE: f64 = 0.15;
const DIP_K: f64 = 0.3;
/// Time in which the fall must come \[s\], or this many readings of a slow log.
const WITHIN_S: f64 = 90.0;
const WITHIN_READINGS: usize = 3;
/// The fall must also be this many times the usual change between readings.
const TIMES_USUAL: f64 = 6.0;
/// The fall must be this many times what the vapour rises in a like time, but for a tenth of the run. Our choice.
const TIMES_CYCLE: f64 = 1.5;
/// Two falls closer than this belong to one opening \[s\].
const APART_S: f64 = 240.0;

/// Openings of the lid, by their loss of vapour. A strong pulse of an exhaust fan looks the same.
#[must_use]
pub fn openings(readings: &Readings<'_>) -> Vec<FoundOpening> {
    if readings.relative_humidity.len() != readings.time_s.len() {
        return Vec::new();
    }
    let density = readings.vapour_density();
    let (time, temp) = (readings.time_s, readings.temp_k);
    let step = usual_step_s(time);
    let reach = ((WITHIN_S / step).ceil() as usize).clamp(2, 200).max(WITHIN_READINGS.min(2));
    let changes = density.windows(2).map(|w| ((w[1] - w[0]) / w[0]).abs());
    let usual = median(changes).unwrap_or(0.0);
    // Vapour that comes back as fast as it goes is a heater's cycle that the humidity element follows late: after
    // an opening it comes back slowly. Nothing that is usual in that direction counts in the other.
    let rises = (0..time.len()).filter_map(|i| {
        let end = (i + reach).min(time.len() - 1);
        let highest =
            density[i..=end].iter().copied().filter(|d| d.is_finite()).fold(0.0, f64::max);
        (density[i] > 0.0 && highest > 0.0).then(|| 1.0 - density[i] / highest)
    });
    let mut rises: Vec<f64> = rises.collect();
    rises.sort_by(f64::total_cmp);
    let cycle = TIMES_CYCLE * rises.get(rises.len() * 9 / 10).copied().unwrap_or(0.0);
    let mut out: Vec<FoundOpening> = Vec::new();
    let mut i = 0;
    while i + 1 < time.len() {
        let before = density[i];
        let end = (i + reach).min(time.len() - 1);
        let lowest = (i + 1..=end)
            .filter(|j| density[*j].is_finite())
            .min_by(|a, b| density[*a].total_cmp(&density[*b]));
        let Some(low) = lowest.filter(|_| before > 0.0) else {
            i += 1;
            continue;
        };
        let fall = 1.0 - density[low] / before;
        let coldest = temp[i..=low].iter().copied().fold(f64::INFINITY, f64::min);
        let dip_k = temp[i] - coldest;
        let enough = if dip_k >= DIP_K { FALL } else { FALL_ALONE };
        // The fall must begin here: the next reading takes its share of it.
        let begins = density[i + 1] < before * (1.0 - 0.2 * fall);
        if fall >= enough.max(TIMES_USUAL * usual).max(cycle) && begins {
            let found = FoundOpening { from_s: time[i], to_s: time[low], fall, dip_k };
            match out.last_mut().filter(|last| time[i] - last.to_s < APART_S) {
                Some(last) => last.to_s = found.to_s,
                None => out.push(found),
            }
            i = low;
        } else {
            i += 1;
        }
    }
    out
}

/// Compares noted times \[s\] with openings found in the log.
#[must_use]
pub fn compare(noted_s: &[f64], found: &[FoundOpening], step_s: f64) -> Vec<Verdict> {
    // Notes are in whole minutes, and a slow log lags by a reading or two.
    let near = 120.0_f64.max(3.0 * step_s);
    let mut left: Vec<FoundOpening> = found.to_vec();
    let mut out = Vec::new();
    for &noted in noted_s {
        let close = left.iter().position(|f| noted >= f.from_s - near && noted <= f.to_s + near);
        out.push(match close {
            Some(at) => Verdict::Confirmed(noted, left.remove(at)),
            None => Verdict::NotSeen(noted),
        });
    }
    out.extend(left.into_iter().map(Verdict::NotNoted));
    let at = |v: &Verdict| match v {
        Verdict::Confirmed(t, _) | Verdict::NotSeen(t) => *t,
        Verdict::NotNoted(f) => f.from_s,
    };
    out.sort_by(|a, b| at(a).total_cmp(&at(b)));
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::k_from_c;

    /// A damp box under on/off control; the lid opens at the given readings; every 30 s.
    fn run(open: &[usize]) -> (Vec<f64>, Vec<f64>, Vec<f64>) {
        let mut vapour = 0.008;
        let (mut time, mut temp, mut rh) = (Vec::new(), Vec::new(), Vec::new());
        for i in 0..200 {
            vapour += (0.040 - vapour) * 0.02;
            let mut celsius = 45.0 + 0.4 * (f64::from(i) * 1.3).sin();
            if open.contains(&(i as usize)) {
                vapour = 0.010 + 0.4 * (vapour - 0.010);
                celsius -= 1.0;
            }
            let k = k_from_c(celsius);
            let full = crate::physics::moist_air::saturation_pressure_pa(k);
            let full = crate::physics::moist_air::vapour_density_kg_m3(full, k);
            time.push(30.0 * f64::from(i));
            temp.push(k);
            rh.push((1e3 * vapour / full).round() / 1e3);
        }
        (time, temp, rh)
    }

    fn found(open: &[usize]) -> Vec<FoundOpening> {
        let (time, temp, rh) = run(open);
        openings(&Readings { time_s: &time, temp_k: &temp, relative_humidity: &rh })
    }

    #[test]
    fn openings_are_found_and_the_saw_tooth_is_not() {
        assert_eq!(found(&[]), []);
        let seen = found(&[60, 120]);
        let starts: Vec<f64> = seen.iter().map(|f| f.from_s).collect();
        assert_eq!(starts, [59.0 * 30.0, 119.0 * 30.0]);
        assert!(seen.iter().all(|f| f.fall > 0.3 && f.dip_k > 0.3), "{seen:?}");
    }

    /// A thermostat swings by 3 K; the humidity element follows late, so that humidity times saturation swings too.
    #[test]
    fn a_cycle_that_the_humidity_element_follows_late_is_no_opening() {
        let run = |open: usize| {
            let (mut time, mut temp, mut rh): (Vec<f64>, Vec<f64>, Vec<f64>) = Default::default();
            let mut late = 0.3;
            for i in 0..600 {
                let k = k_from_c(
                    45.0 + 3.0 * (f64::from(i) * 10.0 / 240.0 * std::f64::consts::TAU).sin(),
                );
                let full = crate::physics::moist_air::sensed_vapour_density_kg_m3(k, 1.0);
                let vapour = if (open..open + 60).contains(&(i as usize)) { 0.008 } else { 0.020 };
                late += 0.2 * (vapour / full - late);
                time.push(10.0 * f64::from(i));
                temp.push(k);
                rh.push(late);
            }
            openings(&Readings { time_s: &time, temp_k: &temp, relative_humidity: &rh })
        };
        assert_eq!(run(10_000), []);
        let seen = run(300);
        assert!(seen.len() == 1 && (seen[0].from_s - 3000.0).abs() < 60.0, "{seen:?}");
    }

    #[test]
    fn notes_and_log_are_compared() {
        let seen = found(&[60, 120]);
        let verdicts = compare(&[1800.0, 5000.0], &seen, 30.0);
        assert!(matches!(verdicts[0], Verdict::Confirmed(t, _) if t == 1800.0), "{verdicts:?}");
        assert!(matches!(verdicts[1], Verdict::NotNoted(_)), "{verdicts:?}");
        assert_eq!(verdicts[2], Verdict::NotSeen(5000.0));
    }
}
