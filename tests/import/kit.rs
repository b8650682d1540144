//! Short ways to import a text and to ask for what came of it.

use drybench::measured::log::{Failure, ImportOptions, Summary, import};
use drybench::measured::{Quantity, Series};
use drybench::reader::{Issue, render};

pub use Quantity::{
    Energy, Fan, Heater, Mass, Power, Pressure, RelativeHumidity as Rh, SetPoint,
    Temperature as Temp,
};

/// A text that must be readable, with what is pinned.
pub fn read_with(text: impl AsRef<[u8]>, options: ImportOptions) -> (Summary, Series) {
    let (summary, series) = import("log.txt", text.as_ref(), options).unwrap_or_else(|f| match f {
        Failure::Input(issues) => panic!("{}", render(&issues)),
        Failure::Output(e) => panic!("{e}"),
    });
    assert!(summary.ledger.adds_up(), "{}", summary.ledger);
    assert!(series.time_s.windows(2).all(|w| w[1] > w[0]), "times do not rise");
    (summary, series)
}

/// A text that must be readable as it is.
pub fn read(text: impl AsRef<[u8]>) -> (Summary, Series) {
    read_with(text, ImportOptions::default())
}

/// The errors of a text that must not be readable.
pub fn refused_with(text: impl AsRef<[u8]>, options: ImportOptions) -> Vec<Issue> {
    match import("log.txt", text.as_ref(), options) {
        Err(Failure::Input(issues)) => issues,
        Err(Failure::Output(e)) => panic!("{e}"),
        Ok((summary, _)) => panic!("read: {} {}", summary.detected, summary.ledger),
    }
}

/// The printed errors of a text that must not be readable as it is.
pub fn refused(text: impl AsRef<[u8]>) -> String {
    render(&refused_with(text, ImportOptions::default()))
}

/// Readings every 30 s.
pub fn every_30_s() -> ImportOptions {
    ImportOptions { interval_s: Some(30.0), ..ImportOptions::default() }
}

/// Values of a channel in user units (°C, %, hPa, W, Wh, g), rounded to six decimals.
pub fn values(series: &Series, sensor: &str, quantity: Quantity) -> Vec<f64> {
    let names: Vec<_> = series.channels.iter().map(|c| (c.sensor.as_str(), c.quantity)).collect();
    let channel = series.channel(sensor, quantity);
    let channel = channel.unwrap_or_else(|| panic!("no {sensor} {quantity:?} among {names:?}"));
    let shown = |v: f64| match quantity {
        Temp | SetPoint => v - 273.15,
        Rh => v * 100.0,
        Pressure => v / 100.0,
        Energy => v / 3600.0,
        Mass => v * 1000.0,
        Heater | Fan | Power | Quantity::Other => v,
    };
    channel.values.iter().map(|v| (shown(*v) * 1e6).round() / 1e6).collect()
}

/// The same with `None` for a missing value, so that lists can be compared.
pub fn some(series: &Series, sensor: &str, quantity: Quantity) -> Vec<Option<f64>> {
    values(series, sensor, quantity).into_iter().map(|v| v.is_finite().then_some(v)).collect()
}

/// All that was guessed, as text.
pub fn guesses(summary: &Summary) -> String {
    let lines: Vec<String> =
        summary.guesses.iter().map(|g| format!("{} [{}]", g.what, g.pin)).collect();
    lines.join("\n")
}

/// All that was odd, as text.
pub fn warnings(summary: &Summary) -> String {
    render(&summary.warnings)
}

/// The count of lines as printed.
pub fn ledger(summary: &Summary) -> String {
    summary.ledger.to_string()
}
