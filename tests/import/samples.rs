//! The sample logs in `tests/logs` (invented numbers), with everything that must be found in them.

use drybench::measured::Series;
use drybench::measured::log::{ImportOptions, Summary};

use crate::kit::*;

fn first_last_max(series: &Series, sensor: &str) -> [f64; 3] {
    let t = values(series, sensor, Temp);
    let last = t.iter().rev().find(|v| v.is_finite()).copied().unwrap_or(f64::NAN);
    [t[0], last, t.iter().copied().fold(f64::NEG_INFINITY, f64::max)]
}

fn first_last_min_max(series: &Series, sensor: &str) -> [f64; 4] {
    let h = values(series, sensor, Rh);
    let low = h.iter().copied().fold(f64::INFINITY, f64::min);
    let high = h.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let last = h.iter().rev().find(|v| v.is_finite()).copied().unwrap_or(f64::NAN);
    [h[0], last, low, high]
}

fn end(series: &Series) -> f64 {
    *series.time_s.last().expect("rows")
}

#[test]
fn labelled_lines_with_a_banner_and_failed_reads() {
    let text = include_str!("../logs/01_labelled_banner_failed.txt");
    let said = refused(text);
    assert_eq!(
        said.lines().collect::<Vec<_>>(),
        [
            "error: log.txt: no time in this file (117 readings, 4 failed reads, no clock, no counter)",
            "     line 2 says \"period 30 s\". If that is right:  drybench import log.txt --interval \"30 s\"",
        ]
    );
    let (summary, series) = read_with(text, every_30_s());
    assert_eq!(ledger(&summary), "124 lines = 117 readings + 4 failed reads + 2 banner + 1 blank");
    assert_eq!((end(&series), series.time_s.len()), (3600.0, 121));
    assert_eq!(first_last_max(&series, ""), [22.1, 50.4, 50.4]);
    assert_eq!(first_last_min_max(&series, ""), [45.4, 57.0, 27.0, 58.6]);
    // The 18th good reading comes after two failed ones and keeps its place.
    let good: Vec<usize> = (0..121).filter(|i| some(&series, "", Temp)[*i].is_some()).collect();
    assert_eq!(good.len(), 117);
    assert_eq!((series.time_s[good[17]], values(&series, "", Temp)[good[17]]), (570.0, 49.7));
    assert_eq!(series.start, None);
    assert!(summary.guesses.is_empty(), "{}", guesses(&summary));
}

#[test]
fn a_terminal_prefix_over_midnight() {
    let (summary, series) = read(include_str!("../logs/02_terminal_prefix_midnight.txt"));
    let want = "124 lines = 119 readings + 1 failed read + 1 restart + 1 blank + 2 cut";
    assert_eq!(ledger(&summary), want);
    let start = series.start.expect("a clock");
    assert_eq!((start.dated, start.clock_s), (false, 84_664.267));
    assert!((end(&series) - 3_599.97).abs() < 1e-9, "{}", end(&series));
    assert_eq!((series.line[0], series.line[119]), (2, 123));
    assert_eq!(first_last_max(&series, ""), [22.0, 55.2, 55.4]);
    assert_eq!(first_last_min_max(&series, ""), [45.0, 35.6, 23.3, 45.0]);
    let said = warnings(&summary);
    assert!(said.contains("log.txt:61: the logger restarts"), "{said}");
    assert!(said.contains("log.txt:1: a cut line is left out whole (2 times"), "{said}");
}

#[test]
fn three_named_sensors_on_a_line() {
    let (summary, series) = read(include_str!("../logs/04_two_sensors_plus_ambient.txt"));
    let want = "123 lines = 120 readings + 1 partial reading + 1 unit line + 1 comment";
    assert_eq!(ledger(&summary), want);
    assert_eq!(end(&series), 3600.0);
    assert_eq!(first_last_max(&series, "hot_inlet"), [22.0, 53.2, 55.7]);
    assert_eq!(first_last_max(&series, "cold_side")[..2], [22.0, 46.8]);
    assert_eq!(first_last_max(&series, "bench")[..2], [22.1, 23.0]);
    assert_eq!(first_last_min_max(&series, "hot_inlet")[..2], [45.3, 49.9]);
    assert_eq!(first_last_min_max(&series, "cold_side")[..2], [45.0, 67.2]);
    assert_eq!(first_last_min_max(&series, "bench")[..2], [44.7, 44.9]);
    let (hot, cold) = (values(&series, "hot_inlet", Temp), values(&series, "cold_side", Temp));
    let late: Vec<f64> = (0..121)
        .filter(|i| series.time_s[*i] >= 1200.0 && cold[*i].is_finite())
        .map(|i| hot[i] - cold[i])
        .collect();
    let mean = late.iter().sum::<f64>() / late.len() as f64;
    assert!((mean - 6.78).abs() < 0.005, "{mean}");
    assert_eq!((hot[44], cold[44].is_nan()), (54.7, true));
}

#[test]
fn semicolons_and_decimal_commas() {
    let (summary, series) = read(include_bytes!("../logs/05_semicolon_decimal_comma.txt"));
    let want = "122 lines = 118 readings + 1 partial reading + 2 failed reads + 1 header";
    assert_eq!(ledger(&summary), want);
    assert_eq!((end(&series), series.time_s.len()), (3600.0, 121));
    let start = series.start.expect("a clock");
    // 14 March 2026 is day 20 526 since 1970.
    assert_eq!((start.dated, start.clock_s), (true, 20_526.0 * 86_400.0 + 54_130.0));
    assert_eq!(first_last_max(&series, ""), [20.3, 45.2, 45.4]);
    assert_eq!(first_last_min_max(&series, ""), [51.7, 74.1, 30.2, 75.3]);
    let notes = [(0.0, "Filz 3 mL, Start"), (1800.0, "Deckel auf, 1,63 g Wasser übrig")];
    assert_eq!(series.notes, notes.map(|(t, n)| (t, n.to_owned())));
    let lid = series.time_s.iter().position(|t| *t == 1800.0).expect("the lid");
    assert_eq!(values(&series, "", Rh)[lid..lid + 3], [70.3, 52.2, 43.9]);
}

#[test]
fn a_counter_that_wraps() {
    let (summary, series) = read(include_str!("../logs/07_millis_overflow.txt"));
    assert_eq!(ledger(&summary), "182 lines = 181 readings + 1 header");
    assert_eq!(end(&series), 10_800.0);
    assert!(series.time_s.iter().enumerate().all(|(i, t)| *t == 60.0 * i as f64));
    assert_eq!(first_last_max(&series, ""), [21.98, 49.93, 50.41]);
    assert_eq!(first_last_min_max(&series, ""), [45.13, 33.03, 26.97, 59.45]);
    let said = warnings(&summary);
    assert_eq!(said.matches("wraps").count(), 1, "{said}");
    assert!(said.contains("log.txt:92: the 32-bit counter wraps"), "{said}");
}

fn blocks() -> (Summary, Series) {
    let options = ImportOptions { interval_s: Some(60.0), ..ImportOptions::default() };
    read_with(include_str!("../logs/09_multiline_blocks.txt"), options)
}

#[test]
fn blocks_of_several_lines() {
    let (summary, series) = blocks();
    let want = "306 lines = 60 readings + 1 partial reading + 181 in blocks + 2 banner + 62 blank";
    assert_eq!(ledger(&summary), want);
    assert_eq!((end(&series), series.time_s.len()), (3600.0, 61));
    assert_eq!(first_last_max(&series, "")[..2], [21.94, 64.84]);
    assert_eq!(first_last_min_max(&series, "")[..2], [38.06, 18.26]);
    let pressure = values(&series, "", Pressure);
    assert_eq!(pressure.iter().filter(|p| p.is_finite()).count(), 60);
    assert!(pressure.iter().filter(|p| p.is_finite()).all(|p| (p - 1004.6).abs() < 0.5));
    // The block without a temperature does not borrow one.
    let odd = series.line.iter().position(|l| *l == 149).expect("the failed block");
    assert_eq!((some(&series, "", Temp)[odd], some(&series, "", Rh)[odd]), (None, Some(21.65)));
    assert!(summary.detected.contains("Altitude ignored"), "{}", summary.detected);
}

#[test]
fn blocks_without_times_are_refused() {
    let said = refused(include_str!("../logs/09_multiline_blocks.txt"));
    assert!(said.contains("no time in this file (60 readings, 1 partial reading"), "{said}");
    assert!(said.contains("a time is not invented"), "{said}");
}

#[test]
fn weighing_notes_are_no_log() {
    let said = refused(include_str!("../logs/w1_weighings_notes.txt"));
    assert!(said.contains("these look like weighing notes"), "{said}");
}
