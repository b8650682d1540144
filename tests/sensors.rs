//! Sample logs with known answers: an opening of the lid, and the hot side against the cold one.

use drybench::measured::log::{ImportOptions, import};
use drybench::measured::sensors::{Readings, openings};
use drybench::measured::{Quantity, Series};

fn read(text: &[u8]) -> Series {
    import("log.txt", text, ImportOptions::default()).unwrap_or_else(|e| panic!("{e:?}")).1
}

fn good(series: &Series, sensor: &str) -> (Vec<f64>, Vec<f64>, Vec<f64>) {
    let temp = &series.channel(sensor, Quantity::Temperature).expect("a temperature").values;
    let rh = &series.channel(sensor, Quantity::RelativeHumidity).expect("a humidity").values;
    let rows = (0..temp.len()).filter(|i| temp[*i].is_finite() && rh[*i].is_finite());
    let mut out = (Vec::new(), Vec::new(), Vec::new());
    for i in rows {
        out.0.push(series.time_s[i]);
        out.1.push(temp[i]);
        out.2.push(rh[i]);
    }
    out
}

#[test]
fn the_noted_opening_is_seen_once() {
    let series = read(include_bytes!("logs/05_semicolon_decimal_comma.txt"));
    let (time_s, temp_k, rh) = good(&series, "");
    let found = openings(&Readings { time_s: &time_s, temp_k: &temp_k, relative_humidity: &rh });
    // "Deckel auf" at 15:32:10, half an hour after the first row; 70.3 to 52.2 to 43.9 %RH after it.
    let starts: Vec<f64> = found.iter().map(|f| f.from_s).collect();
    assert_eq!(starts, [1800.0], "{found:?}");
    assert!(found[0].fall > 0.3, "{found:?}");
}

#[test]
fn logs_without_an_opening_show_none() {
    for text in [
        &include_bytes!("logs/02_terminal_prefix_midnight.txt")[..],
        &include_bytes!("logs/07_millis_overflow.txt")[..],
    ] {
        let series = read(text);
        let (time_s, temp_k, rh) = good(&series, "");
        let found =
            openings(&Readings { time_s: &time_s, temp_k: &temp_k, relative_humidity: &rh });
        assert!(found.is_empty(), "{found:?}");
    }
}

#[test]
fn the_hot_side_is_warmer_by_the_known_mean() {
    let series = read(include_bytes!("logs/04_two_sensors_plus_ambient.txt"));
    let of = |s: &str| &series.channel(s, Quantity::Temperature).expect("a sensor").values;
    let (hot, cold) = (of("hot_inlet"), of("cold_side"));
    let off: Vec<f64> = (0..hot.len())
        .filter(|i| series.time_s[*i] >= 1200.0)
        .map(|i| hot[i] - cold[i])
        .filter(|d| d.is_finite())
        .collect();
    let mean = off.iter().sum::<f64>() / off.len() as f64;
    // The known mean is printed to two decimals.
    assert!((mean - 6.78).abs() < 0.005 + 1e-9, "{mean}");
}
