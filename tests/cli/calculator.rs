//! `drybench air`.

use crate::bench::{Ended, run};

fn air(arguments: &[&str]) -> Ended {
    run(&[&["air"], arguments].concat())
}

/// The cell of a column in the last row of the CSV.
fn cell(arguments: &[&str], column: &str) -> f64 {
    let end = air(&[arguments, &["--format", "csv"]].concat());
    assert_eq!(end.code, 0, "{}", end.err);
    let mut lines = end.out.lines();
    let heads = lines.next().expect("a header").split(',');
    let at = heads.clone().position(|h| h == column).unwrap_or_else(|| panic!("no {column}"));
    let row = lines.last().expect("a row");
    row.split(',').nth(at).expect("a cell").parse().expect("a number")
}

#[test]
fn the_four_measures_agree() {
    for (t, pressure) in [("22 °C", "1013.25 hPa"), ("-8 °C", "900 hPa"), ("85 °C", "600 hPa")] {
        let base = ["-t", t, "--pressure", pressure];
        let with = |option: &str, value: &str| {
            let arguments = [&base[..], &[option, value]].concat();
            cell(&arguments, "relative_humidity_pct")
        };
        let first = [&base[..], &["--rh", "45 %RH"]].concat();
        let same = |column: &str, unit: &str| format!("{} {unit}", cell(&first, column));
        let back = [
            with("--dew-point", &same("dew_point_C", "°C")),
            with("--wet-bulb", &same("wet_bulb_C", "°C")),
            with("--humidity-ratio", &same("humidity_ratio_g_kg", "g/kg")),
        ];
        for rh in back {
            assert!((rh - 45.0).abs() < 1e-6, "{t}, {pressure}: {rh}");
        }
    }
}

#[test]
fn heating_keeps_the_water() {
    let arguments = ["-t", "20 °C", "--rh", "60 %RH", "--heat-to", "55 °C"];
    let cold = cell(&arguments[..4], "humidity_ratio_g_kg");
    assert!((cell(&arguments, "humidity_ratio_g_kg") - cold).abs() < 1e-9);
    assert!((cell(&arguments, "temperature_C") - 55.0).abs() < 1e-9);
    assert_eq!(air(&arguments).out.lines().count(), 13);
}

#[test]
fn altitude_stands_for_pressure() {
    let sea = cell(&["-t", "20 °C", "--rh", "50 %RH", "--altitude", "0 m"], "pressure_Pa");
    assert!((sea - 101_325.0).abs() < 1.0, "{sea}");
    let below = cell(&["-t", "20 °C", "--rh", "50 %RH", "--altitude", "-200 m"], "pressure_Pa");
    assert!(below > sea);
    let both = air(&["-t", "20 °C", "--rh", "50 %RH", "--altitude", "0 m", "--pressure", "1 bar"]);
    assert_eq!(both.code, 2);
}

#[test]
fn units_may_be_mixed_and_values_negative() {
    let c = cell(&["-t", "122 °F", "--rh", "20%"], "temperature_C");
    assert!((c - 50.0).abs() < 1e-9, "{c}");
    let frost = ["-t", "-10C", "--dew-point", "-14 °C"];
    assert!((cell(&frost, "dew_point_C") + 14.0).abs() < 1e-6);
}

#[test]
fn json_is_complete() {
    let end = air(&["-t", "20 °C", "--rh", "0 %RH", "--heat-to", "30 °C", "--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&end.out).expect("JSON");
    assert_eq!(json["schema_version"], 2);
    assert!(json["units"].as_str().is_some_and(|u| u.contains("Pa")));
    assert_eq!(json["warnings"], serde_json::json!([]));
    assert_eq!(json["air"]["humidity_ratio"], 0.0);
    assert_eq!(json["air"]["dew_point_k"], serde_json::Value::Null);
    assert!(json["heated"]["temp_k"].as_f64().is_some_and(|t| (t - 303.15).abs() < 1e-9));
}

#[test]
fn a_humidity_just_above_saturation_is_a_note() {
    let arguments = ["-t", "25C", "--rh", "101 %RH"];
    let end = air(&arguments);
    assert_eq!(end.code, 0, "{}", end.err);
    let note = "note: --rh = \"101 %RH\" is taken as saturated air, 100 %RH";
    assert!(end.err.starts_with(note), "{}", end.err);
    assert!((cell(&arguments, "relative_humidity_pct") - 100.0).abs() < 1e-9);
    let json: serde_json::Value =
        serde_json::from_str(&air(&[&arguments[..], &["--format", "json"]].concat()).out)
            .expect("JSON");
    assert!(json["warnings"][0].as_str().is_some_and(|w| w.starts_with(note)));
    assert_eq!(air(&["-t", "25C", "--rh", "100 %RH"]).err, "");
}

#[test]
fn a_wet_bulb_below_freezing_says_that_it_is_over_ice() {
    let line = |rh: &str| {
        let out = air(&["-t", "5 °C", "--rh", rh]).out;
        out.lines().find(|l| l.starts_with("wet bulb")).expect("a wet bulb").to_owned()
    };
    assert!(line("20 %RH").ends_with("°C, over ice") && line("90 %RH").ends_with("°C"));
    let csv = air(&["-t", "5 °C", "--rh", "20 %RH", "--format", "csv"]).out;
    assert!(csv.contains(",wet_bulb_over,") && csv.contains(",ice,"), "{csv}");
}

#[test]
fn what_cannot_be_is_explained() {
    let cases: [(&[&str], &str, &str); 11] = [
        (&["-t", "25", "--rh", "40%"], "--temperature = \"25\" has no unit", "write \"25 °C\""),
        (&["-t", "25C", "--rh", "0.46"], "--rh = \"0.46\" is ambiguous", "mean \"46 %RH\"?"),
        (&["-t", "25C", "--rh", "120%"], "--rh = \"120%\" is out of range", "0 %RH to 100 %RH"),
        (&["-t", "2 K", "--rh", "40%"], "--temperature = \"2 K\" is out of range", "-50 °C to 100"),
        (&["-t", "25,5 °C", "--rh", "40%"], "has a decimal comma", "write \"25.5 °C\""),
        (
            &["-t", "25C", "--dew-point", "30C"],
            "--dew-point = \"30C\" cannot be at \"25C\"",
            "cannot be above the temperature",
        ),
        (
            &["-t", "25C", "--wet-bulb", "2C"],
            "--wet-bulb = \"2C\" cannot be at \"25C\"",
            "write a wet bulb from 8.24 °C",
        ),
        (&["-t", "100C", "--rh", "100%"], "water boils here", "raise the pressure"),
        (
            &["-t", "25C", "--rh", "40%", "--heat-to", "5C"],
            "--heat-to = \"5C\" is below the dew point",
            "from 10.48 °C up",
        ),
        (
            &["-t", "25C", "--rh", "40%", "--pressure", "1013"],
            "--pressure = \"1013\" has no unit",
            "write \"1013 hPa\"",
        ),
        (
            &["-t", "25C", "--rh", "40%", "--pressure", "50 kPa"],
            "is out of range",
            "600 hPa to 1100 hPa",
        ),
    ];
    for (arguments, what, hint) in cases {
        let end = air(arguments);
        assert_eq!((end.code, end.out.as_str()), (3, ""), "{arguments:?}");
        assert!(end.err.starts_with("error: ") && end.err.contains(what), "{}", end.err);
        let advice = end.err.lines().nth(1).unwrap_or_default();
        assert!(advice.starts_with("     ") && advice.contains(hint), "{}", end.err);
    }
}
