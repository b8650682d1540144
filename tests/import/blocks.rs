//! Readings that take several lines.

use crate::kit::*;

#[test]
fn blocks_without_blank_lines() {
    let text = "Temp: 20.1 C\nHum: 50 %\nTemp: 20.2 C\nHum: 51 %\nTemp: 20.3 C\nHum: 52 %\n";
    let (summary, series) = read_with(text, every_30_s());
    assert_eq!(values(&series, "", Temp), [20.1, 20.2, 20.3]);
    assert_eq!(values(&series, "", Rh), [50.0, 51.0, 52.0]);
    assert_eq!(series.line, [1, 3, 5]);
    assert_eq!(ledger(&summary), "6 lines = 3 readings + 3 in blocks");
}

#[test]
fn a_block_without_temperature_does_not_borrow() {
    let text = "Temp: 20.1 C\nPressure: 1000 hPa\nHum: 50 %\n\
        Pressure: 1000 hPa\nHum: 51 %\n\
        Temp: 20.3 C\nPressure: 1000 hPa\nHum: 52 %\n";
    let (_, series) = read_with(text, every_30_s());
    assert_eq!(some(&series, "", Temp), [Some(20.1), None, Some(20.3)]);
    assert_eq!(values(&series, "", Rh), [50.0, 51.0, 52.0]);
}

#[test]
fn blocks_with_stamps_and_separating_lines() {
    let text = "10:00:00.100 -> ----\n10:00:00.200 -> Temp: 20.1 C\n10:00:00.300 -> Hum: 50 %\n\
        10:00:30.100 -> ----\n10:00:30.200 -> Temp: 20.2 C\n10:00:30.300 -> Hum: 51 %\n\
        10:01:00.100 -> ----\n10:01:00.200 -> Temp: 20.3 C\n10:01:00.300 -> Hum: 52 %\n";
    let (_, series) = read(text);
    assert_eq!(series.time_s, [0.0, 30.0, 60.0]);
    assert_eq!(values(&series, "", Rh), [50.0, 51.0, 52.0]);
}

#[test]
fn double_spaced_lines_are_blocks_all_the_same() {
    let text =
        "Temp: 20.1 C\n\nHum: 50 %\n\nTemp: 20.2 C\n\nHum: 51 %\n\nTemp: 20.3 C\n\nHum: 52 %\n";
    let (summary, series) = read_with(text, every_30_s());
    assert_eq!(values(&series, "", Rh), [50.0, 51.0, 52.0]);
    assert_eq!(ledger(&summary), "11 lines = 3 readings + 3 in blocks + 5 blank");
}
