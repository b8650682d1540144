//! Everything known of one run, measured or simulated, in one form.

use crate::measured::sensors::Readings;
use crate::metric::{Metric, Trace};
use crate::uncertainty::Estimate;

pub use crate::measured::folder::SensorPlace;

/// One sensor, or the air of a zone of a simulated box; offsets already taken off.
#[derive(Clone, Debug)]
pub struct Probe {
    /// Its name.
    pub name: String,
    /// Where it is.
    pub place: SensorPlace,
    /// Whether the control reads it.
    pub controls: bool,
    /// Whether these are true values of a simulated box rather than readings.
    pub exact: bool,
    /// Times of its readings \[s\], rising, failed ones left out.
    pub time_s: Vec<f64>,
    /// Temperature \[K\].
    pub temp_k: Vec<f64>,
    /// Relative humidity, 0..1; NaN where only the temperature was read; empty without any.
    pub relative_humidity: Vec<f64>,
    /// Standard uncertainty common to all its temperatures \[K\].
    pub temp_sd_k: f64,
    /// Standard uncertainty common to all its relative humidities.
    pub rh_sd: f64,
    /// Time constant \[s\].
    pub time_constant_s: Option<Estimate>,
}

impl Probe {
    /// Its temperature over time \[K\].
    #[must_use]
    pub fn temperature(&self) -> Trace<'_> {
        Trace { time_s: &self.time_s, value: &self.temp_k }
    }

    /// Its readings together.
    #[must_use]
    pub fn readings(&self) -> Readings<'_> {
        let Probe { time_s, temp_k, relative_humidity, .. } = self;
        Readings { time_s, temp_k, relative_humidity }
    }

    /// Whether it is in the box.
    #[must_use]
    pub fn in_box(&self) -> bool {
        self.place != SensorPlace::Room
    }
}

/// The lid was open.
#[derive(Clone, Debug, PartialEq)]
pub struct LidOpening {
    /// From \[s\].
    pub from_s: f64,
    /// To \[s\].
    pub to_s: f64,
    /// Share of the gas swapped.
    pub exchange: Option<Estimate>,
    /// Whether somebody noted it, rather than the log alone showing it.
    pub noted: bool,
    /// Whether the log shows it.
    pub seen: bool,
}

impl LidOpening {
    /// One that somebody noted.
    pub(super) fn noted(from_s: f64, to_s: f64, exchange: Option<Estimate>) -> Self {
        LidOpening { from_s, to_s, exchange, noted: true, seen: false }
    }
}

/// A load on a scale.
#[derive(Clone, Debug, Default)]
pub struct Weighed {
    /// Mass before it was wetted \[kg\].
    pub dry_kg: Option<Estimate>,
    /// Mass when it went into the box \[kg\].
    pub start_kg: Option<Estimate>,
    /// Times \[s\] and masses \[kg\] of the weighings after that.
    pub weighings: Vec<(f64, Estimate)>,
    /// Whether the masses are known at every moment: a simulated load.
    pub continuous: bool,
}

/// The room around the box.
#[derive(Clone, Debug, Default)]
pub struct Room {
    /// Temperature \[K\].
    pub temp_k: Option<Estimate>,
    /// Relative humidity, 0..1.
    pub relative_humidity: Option<Estimate>,
    /// Where these come from, in words.
    pub source: String,
}

/// An infrared reading of a surface.
#[derive(Clone, Debug)]
pub struct Spot {
    /// Its name.
    pub name: String,
    /// When it was taken \[s\].
    pub at_s: Option<f64>,
    /// Which side of the box it is on.
    pub place: SensorPlace,
    /// What the thermometer showed \[K\].
    pub reading_k: Estimate,
    /// Emissivity it was set to.
    pub set_emissivity: f64,
    /// Emissivity of the surface.
    pub emissivity: Estimate,
    /// Temperature of what the surface reflects \[K\].
    pub reflected_k: Option<Estimate>,
    /// Limit \[K\] and where it comes from.
    pub limit: Option<(f64, String)>,
}

/// One run.
#[derive(Clone, Debug, Default)]
pub struct Evidence {
    /// Headline.
    pub title: String,
    /// Whether it was simulated.
    pub simulated: bool,
    /// Clock at the start, seconds since midnight.
    pub clock_s: Option<f64>,
    /// Sensors, those of the room too.
    pub probes: Vec<Probe>,
    /// Set point \[K\].
    pub set_point_k: Option<f64>,
    /// Times \[s\] and states of the heater, 0 off to 1 on.
    pub heater: Vec<(f64, f64)>,
    /// When somebody switched the heater on (true) or off for good \[s\].
    pub switched: Vec<(f64, bool)>,
    /// When the run is steady \[s\], where somebody says so.
    pub steady: Option<(f64, f64)>,
    /// The room.
    pub room: Room,
    /// Pressure \[Pa\].
    pub pressure_pa: Option<Estimate>,
    /// Gas in the box \[m³\].
    pub volume_m3: Option<Estimate>,
    /// Room air through the box at room state \[m³/s\].
    pub vent_flow_m3_s: Option<Estimate>,
    /// Electric power while the heater is on \[W\].
    pub heater_w: Option<Estimate>,
    /// The load.
    pub weighed: Weighed,
    /// Lid openings, in order.
    pub lids: Vec<LidOpening>,
    /// Times \[s\] and readings \[J\] of an energy meter.
    pub energy: Vec<(f64, Estimate)>,
    /// Limits of error of that meter, as a share of what it counts.
    pub meter_limit: f64,
    /// What it feeds.
    pub metered: String,
    /// Infrared readings.
    pub spots: Vec<Spot>,
    /// Remarks for the figures: times \[s\] and words.
    pub marks: Vec<(f64, String)>,
    /// What is doubtful in the readings.
    pub flags: Vec<ExchangeDoubt>,
    /// When sensors were side by side: from, to \[s\], and the one that is taken as right.
    pub side_by_side: Option<(f64, f64, String)>,
    /// Steps that sensors went through: name, from, to \[s\].
    pub steps: Vec<(String, f64, f64)>,
    /// What a simulated run says of itself: followed through every step, not estimated from its samples.
    pub quoted: Vec<Metric>,
    /// Why a simulated run ended before its time.
    pub ended: Option<String>,
}

/// A stretch of readings in doubt.
#[derive(Clone, Debug, PartialEq)]
pub struct ExchangeDoubt {
    /// Which probe.
    pub probe: String,
    /// From \[s\].
    pub from_s: f64,
    /// To \[s\].
    pub to_s: f64,
    /// What is wrong, with the raw line.
    pub what: String,
    /// Whether its readings are left out of figures.
    pub spoils: bool,
}

impl Evidence {
    /// The probe whose temperature stands for the control: the one marked so, else the hot side,
    /// else the first in the box.
    #[must_use]
    pub fn control_probe(&self) -> Option<&Probe> {
        let boxed = || self.probes.iter().filter(|p| p.in_box() && !p.exact);
        let any = || self.probes.iter().filter(|p| p.in_box());
        boxed()
            .find(|p| p.controls)
            .or_else(|| boxed().find(|p| p.place == SensorPlace::Supply))
            .or_else(|| boxed().next())
            .or_else(|| any().next())
    }

    /// What tells the humidity in the box: sensors, or the air of a simulated one.
    pub fn humid_probes(&self) -> impl Iterator<Item = &Probe> {
        let humid = |p: &&Probe| p.in_box() && !p.relative_humidity.is_empty();
        self.probes.iter().filter(humid).filter(|p| p.exact == self.simulated)
    }

    /// The last time of any reading \[s\].
    #[must_use]
    pub fn end_s(&self) -> f64 {
        let probes = self.probes.iter().filter_map(|p| p.time_s.last().copied());
        let weighings = self.weighed.weighings.iter().map(|w| w.0);
        probes.chain(weighings).fold(0.0, f64::max)
    }
}
