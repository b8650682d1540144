//! Ways of the water out of the load that readings tell: with the air that leaves, in the air of the box, by
//! the lid.

use super::air::mean_state;
use super::evidence::{Evidence, LidOpening, Probe};
use crate::metric::Trace;
use crate::physics::constants::{MOLAR_RATIO, R_AIR, STANDARD_PRESSURE};
use crate::physics::moist_air::{
    humidity_ratio, saturation_in_air_pa, sensed_vapour_density_kg_m3 as density,
};
use crate::uncertainty::{Estimate, evaluate, evaluate_together};

/// Share of the gas swapped when a lid is opened for a weighing, where it is not noted: between a
/// quick peek and a full swap.
pub const EXCHANGE: (f64, f64) = (0.6, 0.2);
/// Readings averaged at the ends of the run and before an opening \[s\].
const END_S: f64 = 120.0;

/// The room: temperature \[K\], relative humidity, pressure of the gas \[Pa\].
#[derive(Clone, Copy)]
pub(super) struct State {
    pub(super) temp_k: f64,
    pub(super) rh: f64,
    total_pa: f64,
}

impl State {
    pub(super) fn of(run: &Evidence) -> Result<Self, &'static str> {
        let total_pa = run.pressure_pa.map_or(STANDARD_PRESSURE, |p| p.value);
        match (run.room.temp_k, run.room.relative_humidity) {
            (Some(t), Some(rh)) => Ok(State { temp_k: t.value, rh: rh.value, total_pa }),
            _ => Err("no room temperature and humidity"),
        }
    }

    /// Humidity ratio of air of this temperature and humidity at the room's pressure.
    pub(super) fn ratio(&self, temp_k: f64, rh: f64) -> f64 {
        humidity_ratio(rh * saturation_in_air_pa(temp_k, STANDARD_PRESSURE), self.total_pa)
    }

    /// Relative humidity of room air that is warmed to a temperature.
    pub(super) fn rh_at(&self, temp_k: f64) -> f64 {
        let full = |temp_k: f64| saturation_in_air_pa(temp_k, STANDARD_PRESSURE);
        self.rh * full(self.temp_k) / full(temp_k)
    }

    /// Dry air in a volume of air with this humidity ratio \[kg/m3\].
    pub(super) fn dry_kg_m3(&self, temp_k: f64, ratio: f64) -> f64 {
        self.total_pa / (R_AIR * temp_k * (1.0 + ratio / MOLAR_RATIO))
    }

    /// Dry air of a volume of the box over that of a volume of the room.
    pub(super) fn dry_share(&self, temp_k: f64, ratio: f64) -> f64 {
        let own = self.dry_kg_m3(self.temp_k, self.ratio(self.temp_k, self.rh));
        self.dry_kg_m3(temp_k, ratio) / own
    }

    /// Water that a volume of room air takes along when it leaves with the humidity ratio of air in the
    /// box \[kg/m3\]: its dry air stays the same, whatever vapour and heat make of its volume.
    pub(super) fn carried(&self, temp_k: f64, rh: f64) -> f64 {
        let own = self.ratio(self.temp_k, self.rh);
        self.dry_kg_m3(self.temp_k, own) * (self.ratio(temp_k, rh) - own)
    }
}

/// Times, temperatures and humidities of a probe up to a time.
pub(super) fn rows(probe: &Probe, end_s: f64) -> impl Iterator<Item = (f64, f64, f64)> {
    let all = (0..probe.time_s.len()).map(|i| {
        let rh = probe.relative_humidity.get(i).copied().unwrap_or(f64::NAN);
        (probe.time_s[i], probe.temp_k[i], rh)
    });
    all.filter(move |r| r.2.is_finite() && (0.0..=end_s).contains(&r.0))
}

/// Time integral of what a volume of room air carries out \[kg s/m3\]. Offsets of both sensors act over the
/// whole run.
pub(super) fn carried(run: &Evidence, probe: &Probe, end_s: f64) -> Result<Estimate, &'static str> {
    let room = State::of(run)?;
    let integral = |room: State, temp_k: f64, rh: f64| -> f64 {
        let moved = |r: (f64, f64, f64)| (r.0, room.carried(r.1 + temp_k, r.2 + rh));
        let (time_s, value): (Vec<f64>, Vec<f64>) = rows(probe, end_s).map(moved).unzip();
        Trace { time_s: &time_s, value: &value }.integral()
    };
    let value = integral(room, 0.0, 0.0);
    let sd = |e: Option<Estimate>| e.map_or(0.0, |e| e.standard);
    let (room_k, room_rh) = (sd(run.room.temp_k), sd(run.room.relative_humidity));
    let moved = [
        integral(room, probe.temp_sd_k, 0.0),
        integral(room, 0.0, probe.rh_sd),
        integral(State { temp_k: room.temp_k + room_k, ..room }, 0.0, 0.0),
        integral(State { rh: room.rh + room_rh, ..room }, 0.0, 0.0),
    ];
    // Errors of one kind of sensor may have one cause: they add up.
    let u = moved.iter().map(|m| (m - value).abs()).sum::<f64>();
    if value > 0.0 {
        Ok(Estimate::new(value, u))
    } else {
        Err("the box is never damper than the room")
    }
}

fn room_density(run: &Evidence) -> Result<Estimate, &'static str> {
    let (Some(temp), Some(rh)) = (run.room.temp_k, run.room.relative_humidity) else {
        return Err("no room temperature and humidity");
    };
    let found = evaluate_together(&[temp, rh], |x| density(x[0], x[1]));
    found.map(|e| e.estimate).ok_or("no vapour density of the room")
}

fn volume(run: &Evidence) -> Result<Estimate, &'static str> {
    run.volume_m3.ok_or("no free volume: add enclosure.free_volume")
}

/// What more there is in the air of the box than at the start.
pub(super) fn in_air(run: &Evidence, probe: &Probe, end_s: f64) -> Result<Estimate, &'static str> {
    let volume = volume(run)?;
    let first = mean_state(probe, 0.0, END_S).ok_or("no readings at the start")?;
    let last = mean_state(probe, end_s - END_S, end_s).ok_or("no readings at the end")?;
    let inputs = [volume, first.0, first.1, last.0, last.1];
    let change = evaluate(&inputs, |x| x[0] * (density(x[3], x[4]) - density(x[1], x[2])));
    change.map(|e| e.estimate).ok_or("no value")
}

/// What went with the gas that openings of the lid swapped.
pub(super) fn by_lid(run: &Evidence, probe: &Probe, end_s: f64) -> Result<Estimate, &'static str> {
    let openings: Vec<&LidOpening> = run.lids.iter().filter(|l| l.from_s <= end_s + 60.0).collect();
    if openings.is_empty() {
        return Ok(Estimate::exact(0.0));
    }
    let (volume, room) = (volume(run)?, room_density(run)?);
    let mut total = 0.0;
    let (mut by_volume, mut by_share, mut by_sensors) = (0.0, 0.0, 0.0_f64);
    for lid in openings {
        let Some((temp, rh)) = mean_state(probe, lid.from_s - END_S, lid.from_s) else { continue };
        let gap = density(temp.value, rh.value) - room.value;
        let noted = lid.exchange;
        let share = noted.unwrap_or(Estimate::new(EXCHANGE.0, EXCHANGE.1));
        let lost = volume.value * share.value * gap;
        total += lost;
        by_volume += lost / volume.value * volume.standard;
        // The same hand opens it each time: one share, one error.
        by_share += volume.value * gap * share.standard;
        // Offsets are the same each time.
        let off = density(temp.value, 1.0) * probe.rh_sd + room.standard;
        by_sensors += volume.value * share.value * off;
    }
    Ok(Estimate::new(total, by_volume.hypot(by_share).hypot(by_sensors)))
}
