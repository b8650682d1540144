//! Rows of fields: separators, headers, names, quotes, several sensors, extra columns.

use drybench::measured::log::ImportOptions;
use drybench::measured::log::lex::{Decimal, Unit};
use drybench::measured::log::options::Separator;

use crate::kit::*;

fn names(list: &str) -> ImportOptions {
    let columns = Some(list.split(',').map(str::to_owned).collect());
    ImportOptions { columns, ..ImportOptions::default() }
}

#[test]
fn comma_tab_bar_and_blanks() {
    for separator in [",", "\t", ";", " | ", "   "] {
        let rows = ["time_s,temp_c,rh", "0,21.5,40.1", "10,22.5,39.2", "20,23.5,38"];
        let text = rows.map(|r| r.replace(',', separator)).join("\n") + "\n";
        let (summary, series) = read(&text);
        assert_eq!(series.time_s, [0.0, 10.0, 20.0], "{text}");
        assert_eq!(values(&series, "", Temp), [21.5, 22.5, 23.5]);
        assert_eq!(values(&series, "", Rh), [40.1, 39.2, 38.0]);
        assert_eq!(ledger(&summary), "4 lines = 3 readings + 1 header");
        assert!(summary.guesses.is_empty(), "{}", guesses(&summary));
    }
}

#[test]
fn decimal_commas_with_tabs_and_in_quotes() {
    let (_, series) =
        read("Zeit [s]\tTemperatur [°C]\tFeuchte [%]\n0\t20,5\t50,1\n30\t21,5\t49,9\n");
    assert_eq!(values(&series, "", Temp), [20.5, 21.5]);
    let (_, series) =
        read("time_s,temp_c,rh\n0,\"20,5\",\"50,1\"\n30,\"21,5\",\"49,9\"\n60,\"22,5\",\"49,0\"\n");
    assert_eq!(values(&series, "", Rh), [50.1, 49.9, 49.0]);
}

#[test]
fn two_sensors_set_point_and_duty() {
    let text = "timestamp,inside_c,inside_rh,outside_c,outside_rh,set_c,err_c,duty_cycle\n\
        1700000000.5,24.9,55.9,20.7,67.9,25.0,-0.1,0.00\n\
        1700000003.5,24.8,56.0,20.6,67.8,25.0,-0.2,40.00\n\
        1700000006.5,24.7,56.1,20.5,67.7,25.0,-0.3,100.00\n";
    let (summary, series) = read(text);
    assert_eq!(series.time_s, [0.0, 3.0, 6.0]);
    assert_eq!(values(&series, "inside", Temp), [24.9, 24.8, 24.7]);
    assert_eq!(values(&series, "outside", Rh), [67.9, 67.8, 67.7]);
    assert_eq!(values(&series, "", SetPoint), [25.0; 3]);
    assert_eq!(values(&series, "", Heater), [0.0, 0.4, 1.0]);
    assert!(summary.detected.contains("err_c ignored"), "{}", summary.detected);
    let start = series.start.expect("a clock");
    assert_eq!((start.clock_s, start.utc_offset_s), (1_700_000_000.5, Some(0.0)));
}

#[test]
fn numbered_sensors_and_heaters() {
    let (summary, series) =
        read("Time,T1,T2,Q1,Q2\n0,24.1,23.8,50.0,0.0\n1,24.2,23.9,50.0,0.0\n2,24.3,24,50.0,0.0\n");
    assert_eq!(values(&series, "1", Temp), [24.1, 24.2, 24.3]);
    assert_eq!(values(&series, "2", Temp), [23.8, 23.9, 24.0]);
    assert_eq!(values(&series, "1", Heater), [0.5; 3]);
    let said = guesses(&summary);
    assert!(
        said.contains("time names no unit; its steps of 1 are taken as s [--time-unit s]"),
        "{said}"
    );
    assert!(said.contains("taken as °C [--temperature-unit C]"), "{said}");
}

#[test]
fn one_named_sensor_needs_no_name() {
    let (_, series) =
        read("timestamp,ambient_c,ambient_rh\n1700000000,21.9,64.1\n1700000002,21.8,64.2\n");
    assert_eq!(values(&series, "", Temp), [21.9, 21.8]);
    let options = ImportOptions {
        sensor: vec![("ambient".into(), "Room".into())],
        ..ImportOptions::default()
    };
    let (_, series) = read_with(
        "timestamp,ambient_c,ambient_rh\n1700000000,21.9,64.1\n1700000002,21.8,64.2\n",
        options,
    );
    assert_eq!(values(&series, "room", Rh), [64.1, 64.2]);
}

#[test]
fn switches_power_energy_and_mass() {
    let text = "time_min,temp_c,rh,heater,fan_on,power_w,energy_kwh,mass_g,note\n\
        0,20,50,ON,1,60.5,0.412,6.04,start\n\
        1,25,40,off,0,0,0.4125,6.01,\"lid, open\"\n\
        2,26,41,true,1,60,0.413,,\n";
    let (_, series) = read(text);
    assert_eq!(series.time_s, [0.0, 60.0, 120.0]);
    assert_eq!(values(&series, "", Heater), [1.0, 0.0, 1.0]);
    assert_eq!(values(&series, "", Fan), [1.0, 0.0, 1.0]);
    assert_eq!(values(&series, "", Power), [60.5, 0.0, 60.0]);
    assert_eq!(values(&series, "", Energy), [412.0, 412.5, 413.0]);
    assert_eq!(some(&series, "", Mass), [Some(6.04), Some(6.01), None]);
    let notes = [(0.0, "start"), (60.0, "lid, open")].map(|(t, n)| (t, n.to_owned()));
    assert_eq!(series.notes, notes);
}

#[test]
fn unlabelled_pairs_are_asked_for() {
    let said = refused("41.1 / 74.1\n41.0 / 74.3\n40.9 / 74.6\n");
    assert_eq!(
        said.trim_end(),
        "error: log.txt:1: cannot tell temperature from humidity (2 unlabelled columns, both between 20 and 80)\n     \
         first row: 41.1  74.1. More than one is possible; say which:  --columns rh,temp_f  (starts at 23.4 °C, 41.1 %RH)\n     \
         or  --columns temp_c,rh  (starts at 41.1 °C, 74.1 %RH)\n     \
         or  --columns temp_f,rh  (starts at 5.1 °C, 74.1 %RH)"
    );
    let said = refused("1000,45.1,22.1,0\n31000,44.0,22.9,1\n61000,43.2,24.0,2\n");
    assert!(said.contains("cannot tell temperature from humidity (3 unlabelled columns"), "{said}");
    assert!(said.contains("--columns time,rh,temp_c,-  (starts at 22.1 °C, 45.1 %RH)"), "{said}");
}

#[test]
fn columns_can_be_named() {
    let mut options = names("time,rh,temp_c,-");
    options.time_unit = Some(Unit::Millisecond);
    let (summary, series) =
        read_with("1000,45.1,22.1,7\n31000,44.0,22.9,8\n61000,43.2,24.0,9\n", options);
    assert_eq!(series.time_s, [0.0, 30.0, 60.0]);
    assert_eq!(values(&series, "", Temp), [22.1, 22.9, 24.0]);
    assert!(summary.guesses.is_empty(), "{}", guesses(&summary));
    let (_, series) = read_with("0 41.1 74.1\n30 41.0 75.2\n", names("time_s,rh,temp_f"));
    // (74.1 - 32) / 1.8 = 23.388889
    assert_eq!(values(&series, "", Temp), [23.388889, 24.0]);
    let said = refused_with("0 41.1 74.1\n30 41.0 75.2\n", names("time_s,rh"));
    assert!(said[0].what.contains("--columns names 2 columns, rows have 3 fields"), "{}", said[0]);
}

#[test]
fn a_header_with_more_names_than_fields() {
    let said = refused("timestamp,temperature,humidity\n24.1,45.0\n24.2,44.8\n24.3,44.1\n");
    assert_eq!(
        said.trim_end(),
        "error: log.txt:1: header has 3 names (timestamp, temperature, humidity), rows have 2 fields\n     \
         first row: 24.1,45.0. Say which:  --columns temperature,humidity  (starts at 24.1 °C, 45.0 %RH)"
    );
}

#[test]
fn an_empty_time_column_is_no_time() {
    let text = "Date & Time,Humidity %,Temperature C,Temperature F\n\
        ,45.0,22.0,71.6\n,44.0,23.0,73.4\n,43.0,24.0,75.2\n";
    let said = refused(text);
    assert!(said.contains("no time in this file (3 readings"), "{said}");
    let (summary, series) = read_with(text, every_30_s());
    assert_eq!(values(&series, "", Rh), [45.0, 44.0, 43.0]);
    assert_eq!(values(&series, "", Temp), [22.0, 23.0, 24.0]);
    assert!(guesses(&summary).contains("Temperature C is kept"), "{}", guesses(&summary));
}

#[test]
fn derived_columns_are_told_and_unknown_ones_keep_their_names() {
    let text = "time_s,temp_c,rh,heat index,dew_point_c,battery_v,gas\n\
        0,20,50,19,9.3,3.7,11\n30,21,49,20,9.9,3.7,12\n60,22,48,21,10,3.7,13\n";
    let (summary, series) = read(text);
    assert_eq!(series.channels.len(), 4);
    assert_eq!(values(&series, "", Temp), [20.0, 21.0, 22.0]);
    assert_eq!(values(&series, "battery_v", drybench::measured::Quantity::Other), [3.7; 3]);
    assert_eq!(values(&series, "gas", drybench::measured::Quantity::Other), [11.0, 12.0, 13.0]);
    for name in ["heat index", "dew_point_c"] {
        assert!(summary.detected.contains(&format!("{name} ignored")), "{}", summary.detected);
    }
}

#[test]
fn rows_against_the_form_are_left_out_and_told() {
    let mut text = String::from("time_s,temp_c,rh\n");
    for i in 0..30 {
        text += &format!("{},20.5,50.5\n", 10 * i);
    }
    text += "300,20.6,50.6,7\n310;20.6;50.6\n320,20\n330,20.7,50.7\n";
    let (summary, series) = read(&text);
    let want = "35 lines = 31 readings + 1 header + 1 cut + 2 contradictions";
    assert_eq!(ledger(&summary), want);
    assert_eq!((series.time_s[30], series.line[30]), (330.0, 35));
    let said = warnings(&summary);
    assert!(said.contains("log.txt:32: left out: 4 fields where 3 are expected"), "{said}");
    assert!(said.contains("log.txt:33: left out: the separator changes from `,` to `;`"), "{said}");
}

#[test]
fn a_form_that_changes_for_good_is_an_error() {
    let mut text = String::from("time_s,temp_c,rh\n");
    for i in 0..5000 {
        text += &format!("{},20.5,50.5\n", 10 * i);
    }
    for i in 5000..9000 {
        text += &format!("{},20.5,50.5,1\n", 10 * i);
    }
    let said = refused(&text);
    assert!(
        said.starts_with("error: log.txt:5002: 4000 of 9000 rows go against the form"),
        "{said}"
    );
}

#[test]
fn a_header_may_be_repeated_or_a_comment() {
    let (summary, series) = read(
        "# time_s,temp_c,rh\n0,20.5,50\n10,20.6,50\n# time_s,temp_c,rh\n20,20.7,50\n30,20.8,50\n",
    );
    assert_eq!(series.time_s.len(), 4);
    assert_eq!(ledger(&summary), "6 lines = 4 readings + 2 headers");
}

#[test]
fn year_month_day_and_hour_as_columns() {
    let (_, series) = read(
        "year,month,day,hour,temp_c,rh\n2026,2,28,22,20,50\n2026,2,28,23,21,50\n2026,3,1,0,22,50\n",
    );
    assert_eq!(series.time_s, [0.0, 3600.0, 7200.0]);
    assert!(series.start.expect("a clock").dated);
}

#[test]
fn pinned_separator_and_mark() {
    let options = ImportOptions {
        separator: Some(Separator::Char(';')),
        decimal: Some(Decimal::Comma),
        ..ImportOptions::default()
    };
    let (_, series) = read_with("time_s;temp_c;rh\n0;20;50\n10;21;49\n", options);
    assert_eq!(values(&series, "", Temp), [20.0, 21.0]);
}
