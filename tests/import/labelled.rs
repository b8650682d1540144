//! Lines with labels, in the many ways of loggers.

use drybench::measured::log::ImportOptions;

use crate::kit::*;

#[test]
fn all_ways_of_writing_degrees() {
    for degrees in ["*C", " °C", "℃", " C", " Â°C", " degC", "C", " deg C", "\u{fffd}C"] {
        let text = format!(
            "Humidity: 41.2 %\tTemperature: 24.1{degrees}\nHumidity: 41.0 %\tTemperature: 24.3{degrees}\n"
        );
        let (summary, series) = read_with(&text, every_30_s());
        assert_eq!(values(&series, "", Temp), [24.1, 24.3], "{degrees}");
        assert_eq!(values(&series, "", Rh), [41.2, 41.0]);
        assert!(summary.guesses.is_empty(), "{}", guesses(&summary));
    }
}

#[test]
fn fahrenheit_and_kelvin_by_label() {
    let (_, series) = read_with("T: 77.0 °F H: 40 %\nT: 86 °F H: 41 %\n", every_30_s());
    assert_eq!(values(&series, "", Temp), [25.0, 30.0]);
    let (_, series) = read_with("T=300.15 K RH=40\nT=301.15 K RH=41\n", every_30_s());
    assert_eq!(values(&series, "", Temp), [27.0, 28.0]);
}

#[test]
fn key_value_pairs_and_a_message_in_between() {
    let text = "temperature=24.1 humidity=41.2\n\
        temperature=24.2 Failed to read humidity\n\
        temperature=24.3 humidity=41.0\n\
        read failed\n\
        temperature=24.4 humidity=40.9\n";
    let (summary, series) = read_with(text, every_30_s());
    assert_eq!(ledger(&summary), "5 lines = 3 readings + 1 partial reading + 1 failed read");
    let all = [Some(24.1), Some(24.2), Some(24.3), None, Some(24.4)];
    assert_eq!(some(&series, "", Temp), all);
    assert_eq!(some(&series, "", Rh), [Some(41.2), None, Some(41.0), None, Some(40.9)]);
}

#[test]
fn short_keys() {
    let text = "P:1003 H:45 T:24\nP:1003 H:46 T:25\nP:1004 H:47 T:26\n";
    let (summary, series) = read_with(text, every_30_s());
    assert_eq!(values(&series, "", Temp), [24.0, 25.0, 26.0]);
    assert_eq!(values(&series, "", Rh), [45.0, 46.0, 47.0]);
    assert_eq!(values(&series, "", Pressure), [1003.0, 1003.0, 1004.0]);
    assert!(
        guesses(&summary).contains("P names no unit and is taken as hPa"),
        "{}",
        guesses(&summary)
    );
    let (_, series) = read_with("t:24.1 h:45\nt:23.9 h:46\nt:24.0 h:47\n", every_30_s());
    assert_eq!(values(&series, "", Temp), [24.1, 23.9, 24.0]);
}

#[test]
fn readings_without_line_ends_between() {
    let text = "temp=24.1, humi=45.0temp=24.2, humi=45.1temp=24.3, humi=45.2";
    let (summary, series) = read_with(text, every_30_s());
    assert_eq!(values(&series, "", Temp), [24.1, 24.2, 24.3]);
    assert_eq!(series.line, [1, 1, 1]);
    assert_eq!(ledger(&summary), "1 line = 1 reading");
}

#[test]
fn values_with_units_and_no_labels() {
    let (_, series) = read_with("24.1 C / 45.0 %\n24.2 C / 45.1 %\n", every_30_s());
    assert_eq!(
        (values(&series, "", Temp), values(&series, "", Rh)),
        (vec![24.1, 24.2], vec![45.0, 45.1])
    );
}

#[test]
fn felt_temperatures_are_not_taken() {
    let text = "Humidity: 45.0 %  Temperature: 24.1 C 75.4 F  Heat index: 23.9 C 75.0 F\n\
        Humidity: 46.0 %  Temperature: 24.2 C 75.6 F  Heat index: 24.0 C 75.2 F\n";
    let (summary, series) = read_with(text, every_30_s());
    assert_eq!(values(&series, "", Temp), [24.1, 24.2]);
    assert!(summary.detected.contains("Heat index ignored"), "{}", summary.detected);
}

#[test]
fn sensors_by_name() {
    let text = "Inside Temperature: 30.1 C Inside Humidity: 20 % Outside Temperature: 21.0 C Outside Humidity: 45 %\n\
        Inside Temperature: 30.2 C Inside Humidity: 21 % Outside Temperature: 21.1 C Outside Humidity: 46 %\n";
    let (_, series) = read_with(text, every_30_s());
    assert_eq!(values(&series, "inside", Temp), [30.1, 30.2]);
    assert_eq!(values(&series, "outside", Rh), [45.0, 46.0]);
    let text = "PROBE1: T=30.1 H=20 PROBE2: T=21.0 H=45\nPROBE1: T=30.2 H=21 PROBE2: T=21.1 H=46\n";
    let (_, series) = read_with(text, every_30_s());
    assert_eq!(values(&series, "probe1", Temp), [30.1, 30.2]);
    assert_eq!(values(&series, "probe2", Rh), [45.0, 46.0]);
}

#[test]
fn sensors_can_be_renamed() {
    let text =
        "t=0 S1 T=22.0C RH=45% | S2 T=23.0C RH=46%\nt=30 S1 T=22.1C RH=45% | S2 T=23.1C RH=46%\n";
    let sensor = vec![("S1".to_owned(), "hot".to_owned()), ("s2".to_owned(), "cold".to_owned())];
    let (_, series) = read_with(text, ImportOptions { sensor, ..ImportOptions::default() });
    assert_eq!(values(&series, "hot", Temp), [22.0, 22.1]);
    assert_eq!(values(&series, "cold", Temp), [23.0, 23.1]);
}

#[test]
fn decimal_commas_behind_labels() {
    let text =
        "Temperatur: 20,3 °C, Luftfeuchte: 51,7 %\nTemperatur: 20,4 °C, Luftfeuchte: 51,6 %\n";
    let (_, series) = read_with(text, every_30_s());
    assert_eq!(
        (values(&series, "", Temp), values(&series, "", Rh)),
        (vec![20.3, 20.4], vec![51.7, 51.6])
    );
}

#[test]
fn status_lines_between_take_no_time() {
    let text =
        "T=20.1 C RH=50 %\nBattery: 3.7 V\nT=20.2 C RH=50 %\nBattery: 3.6 V\nT=20.3 C RH=50 %\n";
    let (summary, series) = read_with(text, every_30_s());
    assert_eq!(series.time_s, [0.0, 30.0, 60.0]);
    assert_eq!(ledger(&summary), "5 lines = 3 readings + 2 other text");
}

#[test]
fn cut_ends_are_left_out_whole() {
    let text = "2.0 C RH=50.0 %\nT=22.1 C RH=50.1 %\nT=22.2 C RH=50.2 %\nT=22.3 C RH=5";
    let (summary, series) = read_with(text, every_30_s());
    assert_eq!(values(&series, "", Temp), [22.1, 22.2]);
    assert_eq!(ledger(&summary), "4 lines = 2 readings + 2 cut");
}
