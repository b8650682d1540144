//! Sensors, heater and meters of a log.

use super::LogText;
use crate::assess::energy::meter;
use crate::assess::evidence::{ExchangeDoubt, Probe, SensorPlace};
use crate::measured::folder::RunSpec;
use crate::measured::sensors::{Flag, FlagKind};
use crate::measured::{Channel, Quantity, Series};
use crate::metric::{BAND_K, Trace};
use crate::uncertainty::{Estimate, mean_of_series};

/// Limits of error of a sensor of which nothing is known: usual data sheets of cheap capacitive
/// sensors (common practice).
const USUAL_K: (f64, &str) = (0.5, "0.5 K");
const USUAL_RH: (f64, &str) = (0.03, "3 %RH");

/// All sensors of a log, failed readings left out; with the raw line of each reading.
pub(super) fn probes(
    spec: &RunSpec,
    log: &LogText,
    notes: &mut Vec<String>,
) -> Vec<(Probe, Vec<u64>)> {
    let series = &log.series;
    let temperatures = series.channels.iter().filter(|c| c.quantity == Quantity::Temperature);
    temperatures
        .map(|channel| {
            let known = spec.sensor(&log.name, &channel.sensor);
            let humid = series.channel(&channel.sensor, Quantity::RelativeHumidity);
            // The only sensor of a log has no name there.
            let own = if channel.sensor.is_empty() { &log.name } else { &channel.sensor };
            let name = known.map_or(own, |k| &k.name).clone();
            let good: Vec<usize> =
                (0..series.time_s.len()).filter(|i| channel.values[*i].is_finite()).collect();
            let (off_k, off_rh) =
                known.map_or((0.0, 0.0), |k| (k.offset_k.value, k.offset_rh.value));
            let temperature = known.map(|k| (k.offset_k.sd, k.accuracy_k));
            let humidity = known.map(|k| (k.offset_rh.sd, k.accuracy_rh));
            let mut sd = |key, known, usual| sd(&name, key, known, usual, notes);
            let probe = Probe {
                place: known.map_or(SensorPlace::Box, |k| k.place),
                controls: known.is_some_and(|k| k.controls),
                exact: false,
                time_s: good.iter().map(|i| series.time_s[*i]).collect(),
                temp_k: good.iter().map(|i| channel.values[*i] - off_k).collect(),
                relative_humidity: humid.map_or_else(Vec::new, |h| {
                    good.iter().map(|i| h.values[*i] - off_rh).collect()
                }),
                temp_sd_k: sd("accuracy_temperature", temperature, USUAL_K),
                rh_sd: humid.map_or(0.0, |_| sd("accuracy_humidity", humidity, USUAL_RH)),
                time_constant_s: known.and_then(|k| k.time_constant_s).map(Estimate::from),
                name,
            };
            let lines = good.iter().map(|i| series.line.get(*i).copied().unwrap_or(0)).collect();
            (probe, lines)
        })
        .collect()
}

/// Standard uncertainty of a sensor: that of its known offset, else its stated limits, else usual
/// ones, which is told.
fn sd(
    name: &str,
    key: &str,
    known: Option<(Option<f64>, Option<f64>)>,
    (usual, shown): (f64, &str),
    notes: &mut Vec<String>,
) -> f64 {
    let (offset, limits) = known.unwrap_or_default();
    let stated = limits.map(|half| Estimate::within(0.0, half).standard);
    offset.or(stated).unwrap_or_else(|| {
        notes.push(format!("{name}: limits of error ± {shown} are taken, those of usual sensors (pin: {key} in [sensor.{name}])"));
        Estimate::within(0.0, usual).standard
    })
}

pub(super) fn doubt(
    flag: &Flag,
    (probe, lines): &(Probe, Vec<u64>),
    set_point_k: Option<f64>,
) -> ExchangeDoubt {
    let (from, to) = flag.rows;
    // A good control holds its set point still.
    let held = set_point_k.is_some_and(|set| (probe.temp_k[from] - set).abs() <= BAND_K);
    let line = lines.get(from).copied().unwrap_or(0);
    ExchangeDoubt {
        probe: probe.name.clone(),
        from_s: probe.time_s[from],
        to_s: probe.time_s[to],
        what: format!("{} (line {line})", flag.what),
        spoils: match flag.kind {
            FlagKind::Spike | FlagKind::Impossible | FlagKind::PowerOn => true,
            FlagKind::Stuck => !held,
            FlagKind::Saturated | FlagKind::Gap => false,
        },
    }
}

/// All channels of a quantity.
fn of(logs: &[LogText], quantity: Quantity) -> impl Iterator<Item = &Channel> {
    logs.iter().flat_map(|l| &l.series.channels).filter(move |c| c.quantity == quantity)
}

/// The last set point that a log has.
pub(super) fn logged_set_point(logs: &[LogText]) -> Option<f64> {
    let last = |c: &Channel| c.values.iter().rev().copied().find(|v| v.is_finite());
    of(logs, Quantity::SetPoint).find_map(last)
}

pub(super) fn logged_pressure(logs: &[LogText]) -> Option<Estimate> {
    let pressure = of(logs, Quantity::Pressure).next()?;
    let good: Vec<f64> = pressure.values.iter().copied().filter(|v| v.is_finite()).collect();
    mean_of_series(&good)
}

/// Changes of the heater command.
pub(super) fn switchings(series: &Series) -> Vec<(f64, f64)> {
    let Some(heater) = series.channels.iter().find(|c| c.quantity == Quantity::Heater) else {
        return Vec::new();
    };
    let mut out: Vec<(f64, f64)> = Vec::new();
    for (t, v) in series.time_s.iter().zip(&heater.values).filter(|(_, v)| v.is_finite()) {
        if out.last().is_none_or(|last| last.1 != *v) {
            out.push((*t, *v));
        }
    }
    out
}

/// First and last reading of an energy counter; else power added up.
pub(super) fn logged_energy(logs: &[LogText]) -> Vec<(f64, Estimate)> {
    for series in logs.iter().map(|l| &l.series) {
        let finite = |quantity| -> (Vec<f64>, Vec<f64>) {
            let channel = series.channels.iter().find(|c| c.quantity == quantity);
            let rows = channel.into_iter().flat_map(|c| series.time_s.iter().zip(&c.values));
            rows.filter(|(_, v)| v.is_finite()).unzip()
        };
        let (time_s, joule) = finite(Quantity::Energy);
        if let Some(last) = time_s.len().checked_sub(1) {
            return [0, last].map(|i| (time_s[i], meter(joule[i]))).to_vec();
        }
        let (time_s, value) = finite(Quantity::Power);
        let sum = Trace { time_s: &time_s, value: &value }.integral();
        if let (Some(from), Some(to)) = (time_s.first(), time_s.last()) {
            return vec![(*from, Estimate::exact(0.0)), (*to, Estimate::exact(sum))];
        }
    }
    Vec::new()
}
