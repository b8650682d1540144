//! Sentinels, power-on values, impossible readings, units that must be guessed.

use drybench::measured::log::ImportOptions;
use drybench::measured::log::lex::Unit;

use crate::kit::*;

fn temperatures(cells: &[&str]) -> (drybench::measured::log::Summary, Vec<Option<f64>>) {
    let mut text = String::from("time_s,temp_c,rh\n");
    for (i, cell) in cells.iter().enumerate() {
        text += &format!("{},{cell},50.5\n", 10 * i);
    }
    let (summary, series) = read(&text);
    let got = some(&series, "", Temp);
    assert_eq!(got.len(), cells.len(), "every row keeps its time");
    (summary, got)
}

#[test]
fn missing_values_keep_their_rows() {
    let (summary, got) =
        temperatures(&["20.5", "NaN", "---", "", "null", "nan", "20.6", "-999", "-127.00", "998"]);
    let want = [Some(20.5), None, None, None, None, None, Some(20.6), None, None, None];
    assert_eq!(got, want);
    assert_eq!(ledger(&summary), "11 lines = 2 readings + 8 partial readings + 1 header");
    assert!(warnings(&summary).contains("-999"), "{}", warnings(&summary));
}

#[test]
fn power_on_values_are_set_aside_and_real_ones_kept() {
    let (summary, got) = temperatures(&["85.0", "21.5", "22.5", "-45.0", "23.5"]);
    assert_eq!(got, [None, Some(21.5), Some(22.5), None, Some(23.5)]);
    assert!(warnings(&summary).contains("without a reading"), "{}", warnings(&summary));
    let (_, got) = temperatures(&["80.5", "83.5", "85.0", "85.5"]);
    assert_eq!(got, [Some(80.5), Some(83.5), Some(85.0), Some(85.5)]);
}

#[test]
fn zeros_together_are_a_failed_read() {
    let (summary, series) = read("time_s,temp_c,rh\n0,20.5,50\n10,0,0\n20,0.0,0.0\n30,0,45\n");
    assert_eq!(some(&series, "", Temp), [Some(20.5), None, None, None]);
    assert_eq!(
        ledger(&summary),
        "5 lines = 1 reading + 1 partial reading + 2 failed reads + 1 header"
    );
}

#[test]
fn impossible_humidities_are_set_aside_and_high_ones_kept() {
    let (summary, series) =
        read("time_s,temp_c,rh\n0,20,99.9\n10,20,100\n20,20,3302.8\n30,20,104.2\n40,20,-1\n");
    let want = [Some(99.9), Some(100.0), None, Some(104.2), None];
    assert_eq!(some(&series, "", Rh), want);
    assert!(warnings(&summary).contains("3302.8"), "{}", warnings(&summary));
}

#[test]
fn fractions_are_recognised_and_told() {
    let (summary, series) = read("time_s,temp_c,rh\n0,20,0.45\n10,21,0.44\n20,22,0.43\n");
    assert_eq!(values(&series, "", Rh), [45.0, 44.0, 43.0]);
    assert!(guesses(&summary).contains("--humidity-unit fraction"), "{}", guesses(&summary));
    let options = ImportOptions { humidity_unit: Some(Unit::Percent), ..ImportOptions::default() };
    let (summary, series) = read_with("time_s,temp_c,rh\n0,20,0.45\n10,21,0.44\n", options);
    assert_eq!(values(&series, "", Rh), [0.45, 0.44]);
    assert!(summary.guesses.is_empty());
}

#[test]
fn a_room_of_seventy_degrees_is_asked_about() {
    let text = "time_s,temp,rh\n0,70.2,45\n10,71.0,44\n20,72.0,43\n";
    let said = refused(text);
    assert!(said.contains("start at 70.2: a room in °F, or a hot box in °C?"), "{said}");
    assert!(said.contains("--temperature-unit F  (starts at 21.2 °C, 45.0 %RH)"), "{said}");
    let options =
        ImportOptions { temperature_unit: Some(Unit::Fahrenheit), ..ImportOptions::default() };
    let (summary, series) = read_with(text, options);
    // (70.2 - 32) / 1.8 = 21.222222
    assert_eq!(values(&series, "", Temp)[0], 21.222222);
    assert!(summary.guesses.is_empty());
}

#[test]
fn swapped_labels_are_told_and_can_be_swapped() {
    // A heating box: the true temperature rises from 20 to 60 °C while the water stays the same.
    let mut text = String::from("time_s,temp_c,rh\n");
    for i in 0..41 {
        let t = 20.0 + f64::from(i);
        let rh = 50.0 * (-0.05 * (t - 20.0)).exp();
        text += &format!("{},{rh:.1},{t:.1}\n", 60 * i);
    }
    let (summary, _) = read(&text);
    let said = warnings(&summary);
    assert!(said.contains("the wrong way round") && said.contains("--swap"), "{said}");
    let (summary, series) =
        read_with(&text, ImportOptions { swap: true, ..ImportOptions::default() });
    assert_eq!((values(&series, "", Temp)[40], values(&series, "", Rh)[0]), (60.0, 50.0));
    assert!(!warnings(&summary).contains("--swap"), "{}", warnings(&summary));
}

#[test]
fn pressures_by_unit_and_by_size() {
    for (name, typed) in [
        ("pressure_pa", "100460"),
        ("pressure_hpa", "1004.6"),
        ("p_kpa", "100.46"),
        ("pressure", "1004.6"),
        ("pressure", "100460"),
    ] {
        let (_, series) =
            read(format!("time_s,temp_c,rh,{name}\n0,20,50,{typed}\n9,20,51,{typed}\n"));
        assert_eq!(values(&series, "", Pressure), [1004.6, 1004.6], "{name}");
    }
    let (_, series) = read("time_s,temp_c,rh,pressure_mmhg\n0,20,50,753.5\n9,20,51,753.5\n");
    assert!((values(&series, "", Pressure)[0] - 1004.58).abs() < 0.01);
}

#[test]
fn text_in_a_cell_of_numbers_is_told() {
    let (summary, series) =
        read("time_s,temp_c,rh,heater\n0,20,50,ON\n9,20,51,ColumnUse:\n18,20,52,OFF\n");
    assert_eq!(some(&series, "", Heater), [Some(1.0), None, Some(0.0)]);
    assert!(warnings(&summary).contains("\"ColumnUse:\""), "{}", warnings(&summary));
}

/// Two sensors on alternating lines without a name; a reading between two digits goes to and fro as well, and is one sensor.
#[test]
fn levels_that_take_turns_are_asked_about_and_digits_are_not() {
    let table = |rows: &dyn Fn(u32) -> (f64, f64)| {
        let mut text = String::from("time_s,temp_c,rh\n");
        for i in 0..30 {
            let (t, h) = rows(i);
            text += &format!("{},{t},{h}\n", 30 * i);
        }
        text
    };
    let turns =
        table(&|i| if i % 2 == 0 { (22.0 + 0.5 * f64::from(i), 48.5) } else { (21.0, 50.5) });
    assert!(refused(&turns).contains("takes turns between 2 levels"), "{}", refused(&turns));
    let options = ImportOptions { one_sensor: true, ..ImportOptions::default() };
    assert_eq!(read_with(&turns, options).1.time_s.len(), 30);
    for (t, h) in [(0.1, 0.1), (1.0, 1.0)] {
        let digits = table(&|i| (22.0 + t * f64::from(i % 2), 48.0 + h * f64::from(i % 2)));
        assert_eq!(read(&digits).1.time_s.len(), 30);
    }
}

#[test]
fn air_that_no_box_can_have_is_asked_about() {
    // As °C the first reading would be 150 °C with 85 %: more water than air.
    let said = refused("time_s,temp,rh\n0,150.2,85\n10,151.0,84\n20,152.0,83\n");
    assert!(said.contains("start at 150.2: with these humidities no air"), "{said}");
    let said = refused("ms,t,h\n0,2215,4530\n1000,2219,4521\n2000,2224,4512\n");
    assert!(
        said.contains("Say which:  --temperature-unit \"0.01 C\" --humidity-unit \"0.01 percent\"  (starts at 22.1 °C, 45.3 %RH)")
            || said.contains("(starts at 22.2 °C, 45.3 %RH)"),
        "{said}"
    );
    assert!(!said.contains("0.001"), "{said}");
    let options = ImportOptions {
        temperature_parts: Some(0.01),
        humidity_parts: Some(0.01),
        ..ImportOptions::default()
    };
    let (_, series) = read_with("ms,t,h\n0,2215,4530\n1000,2219,4521\n2000,2224,4512\n", options);
    assert_eq!(values(&series, "", Temp), [22.15, 22.19, 22.24]);
    assert_eq!(values(&series, "", Rh), [45.3, 45.21, 45.12]);
}
