//! Clocks and counters of all kinds.

use drybench::measured::Series;
use drybench::measured::log::options::DateOrder;
use drybench::measured::log::{ImportOptions, Summary};

use crate::kit::*;

/// Rows `time,temp_c,rh` with these times.
fn with_times(header: &str, times: &[&str]) -> (Summary, Series) {
    read(table(header, times))
}

fn table(header: &str, times: &[&str]) -> String {
    let mut text = format!("{header};temp_c;rh\n");
    for (i, time) in times.iter().enumerate() {
        text += &format!("{time};{}.5;50.5\n", 20 + i % 10);
    }
    text
}

#[test]
fn iso_with_and_without_offset() {
    let (_, series) = with_times("time", &["2026-03-14T23:59:30Z", "2026-03-15T00:00:00Z"]);
    assert_eq!(series.time_s, [0.0, 30.0]);
    assert_eq!(series.start.and_then(|s| s.utc_offset_s), Some(0.0));
    let (_, series) = with_times("time", &["2026-03-14 23:59:30", "2026-03-15 00:00:00.5"]);
    assert_eq!(series.time_s, [0.0, 30.5]);
    assert_eq!(series.start.and_then(|s| s.utc_offset_s), None);
}

#[test]
fn summer_time_is_no_jump() {
    let (_, series) =
        with_times("time", &["2026-03-29T01:59:30+01:00", "2026-03-29T03:00:00+02:00"]);
    assert_eq!(series.time_s, [0.0, 30.0]);
}

#[test]
fn unix_seconds_and_milliseconds() {
    let (_, series) = with_times("timestamp", &["1700000000", "1700000030", "1700000061"]);
    assert_eq!(series.time_s, [0.0, 30.0, 61.0]);
    let (_, series) = with_times("ts", &["1700000000123", "1700000000623"]);
    assert_eq!(series.time_s, [0.0, 0.5]);
    assert!(series.start.expect("a clock").dated);
}

#[test]
fn day_month_and_month_day() {
    let clear = table("date", &["13/04/2026 10:00", "14/04/2026 10:00"]);
    let (summary, series) = read(&clear);
    assert_eq!(series.time_s, [0.0, 86_400.0]);
    assert!(!guesses(&summary).contains("month"), "{}", guesses(&summary));
    let (_, series) = with_times("date", &["4/13/2026 10:00", "4/14/2026 10:00"]);
    assert_eq!(series.time_s, [0.0, 86_400.0]);
    let open = table("date", &["3/4/2026 10:00", "3/4/2026 10:05"]);
    let (summary, series) = read(&open);
    let said = guesses(&summary);
    assert!(said.contains("3/4 could be day/month or month/day"), "{said}");
    assert!(said.contains("--date-order dmy"), "{said}");
    // 3 April 2026 is day 20 546.
    assert_eq!(series.start.expect("a clock").clock_s, 20_546.0 * 86_400.0 + 36_000.0);
    let options = ImportOptions { date_order: Some(DateOrder::Mdy), ..ImportOptions::default() };
    let (summary, series) = read_with(&open, options);
    // 4 March 2026 is day 20 516.
    assert_eq!(series.start.expect("a clock").clock_s, 20_516.0 * 86_400.0 + 36_000.0);
    assert!(summary.guesses.is_empty(), "{}", guesses(&summary));
}

#[test]
fn twelve_hour_clocks() {
    let (_, series) =
        with_times("time", &["11:59:30 AM", "12:00:00 PM", "12:59:59 PM", "1:00:29 PM"]);
    assert_eq!(series.time_s, [0.0, 30.0, 3629.0, 3659.0]);
    let (_, series) = with_times("time", &["11:59:30 PM", "12:00:00 AM"]);
    assert_eq!(series.time_s, [0.0, 30.0]);
}

#[test]
fn a_little_back_is_disorder_and_far_back_midnight() {
    let (summary, series) =
        with_times("time", &["10:00:00", "10:00:30", "10:01:30", "10:01:00", "10:02:00"]);
    assert_eq!(series.time_s, [0.0, 30.0, 60.0, 90.0, 120.0]);
    assert_eq!(series.line, [2, 3, 5, 4, 6]);
    assert!(warnings(&summary).contains("log.txt:5: a line comes late"), "{}", warnings(&summary));
    let (summary, series) = with_times("time", &["23:59:30", "0:00:00", "0:00:30"]);
    assert_eq!(series.time_s, [0.0, 30.0, 60.0]);
    assert!(warnings(&summary).contains("log.txt:3: midnight"), "{}", warnings(&summary));
}

#[test]
fn counters_in_all_units() {
    for (name, factor) in
        [("time_s", 1.0), ("ms", 1e3), ("uptime_ms", 1e3), ("time_min", 1.0 / 60.0)]
    {
        let times: Vec<String> =
            (1..5).map(|i| format!("{}", 60.0 * f64::from(i) * factor)).collect();
        let times: Vec<&str> = times.iter().map(String::as_str).collect();
        let (summary, series) = with_times(name, &times);
        assert_eq!(series.time_s, [0.0, 60.0, 120.0, 180.0], "{name}");
        assert!(summary.guesses.is_empty(), "{}", guesses(&summary));
        assert_eq!(series.start, None);
    }
}

#[test]
fn a_wrap_is_no_restart_and_a_restart_no_wrap() {
    let wrap = ["4294900000", "4294930000", "4294960000", "22704", "52704"];
    let (summary, series) = with_times("ms", &wrap);
    assert_eq!(series.time_s, [0.0, 30.0, 60.0, 90.0, 120.0]);
    assert!(warnings(&summary).contains("wraps"), "{}", warnings(&summary));
    let restart = ["2000000", "2030000", "2060000", "1500", "31500"];
    // One axis of time needs the pause; nobody invents it.
    let said = refused(table("ms", &restart));
    assert!(said.contains("log.txt:5: the counter starts anew here, and the pause"), "{said}");
    assert!(said.contains("--pause \"10 s\""), "{said}");
    let options = ImportOptions { pause_s: Some(12.0), ..ImportOptions::default() };
    let (summary, series) = read_with(table("ms", &restart), options);
    assert_eq!(series.time_s, [0.0, 30.0, 60.0, 72.0, 102.0]);
    let said = warnings(&summary);
    assert!(said.contains("the time goes on 12 s later, as stated"), "{said}");
}

#[test]
fn elapsed_clocks_go_beyond_a_day() {
    let (_, series) = with_times("TimeElapsed", &["23:59:50", "24:00:00", "24:00:10", "100:00:00"]);
    assert_eq!(series.time_s, [0.0, 10.0, 20.0, 273_610.0]);
    assert_eq!(series.start, None);
}

#[test]
fn duplicates_taken_times_and_late_lines() {
    let mut text = String::from("time_s,temp_c,rh\n");
    for i in 0..100 {
        text += &format!("{},20.5,50.5\n", 10 * i);
    }
    text += "990,20.5,50.5\n990,21.5,50.5\n100,20.5,50.5\n1000,20.5,50.5\n";
    let (summary, series) = read(&text);
    assert_eq!(series.time_s.len(), 101);
    let want =
        "105 lines = 101 readings + 1 header + 1 duplicate + 1 at a taken time + 1 out of order";
    assert_eq!(ledger(&summary), want);
}

#[test]
fn gaps_are_told_and_not_filled() {
    let times = ["0", "10", "20", "30", "40", "400", "410", "420"];
    let (summary, series) = with_times("time_s", &times);
    assert_eq!(series.time_s, times.map(|t| t.parse::<f64>().expect("a number")));
    let said = warnings(&summary);
    assert!(said.contains("log.txt:7: a gap in time of 360 s before this line"), "{said}");
}

#[test]
fn date_and_clock_in_two_columns() {
    let (_, series) =
        read("Date,Time,temp_c,rh\n2026-03-14,23:59:30,20.5,50\n2026-03-15,00:00:00,20.6,50\n");
    assert_eq!(series.time_s, [0.0, 30.0]);
    assert!(series.start.expect("a clock").dated);
}

#[test]
fn the_start_can_be_pinned() {
    let options = ImportOptions {
        interval_s: Some(30.0),
        start: Some("2026-03-14 15:02:10".into()),
        ..ImportOptions::default()
    };
    let (_, series) = read_with("T=20 C RH=50 %\nT=21 C RH=50 %\n", options);
    assert_eq!(series.start.expect("a clock").clock_s, 20_526.0 * 86_400.0 + 54_130.0);
}

#[test]
fn stamps_before_rows() {
    let (_, series) = read("13:11:56.548 -> 24.1 C,45.0 %\n13:12:26.548 -> 24.2 C,45.1 %\n");
    assert_eq!(series.time_s, [0.0, 30.0]);
    let (_, series) =
        read("[2026-03-14 13:11:56] T=24.1C H=45%\n[2026-03-14 13:12:26] T=24.2C H=45%\n");
    assert_eq!(series.time_s, [0.0, 30.0]);
    let (_, series) =
        read("2026-03-14 13:11:56 T=24.1C H=45%\n2026-03-14 13:12:26 T=24.2C H=45%\n");
    assert_eq!(series.time_s, [0.0, 30.0]);
}

#[test]
fn a_time_since_the_start_is_no_time_of_the_day() {
    for times in
        [["0d 23:50:00", "0d 23:51:00"], ["T+00:10:00", "T+00:11:00"], ["10 min 0 s", "11 min 0 s"]]
    {
        let (_, series) = with_times("time", &times);
        assert_eq!((series.time_s, series.start), (vec![0.0, 60.0], None), "{times:?}");
    }
}
