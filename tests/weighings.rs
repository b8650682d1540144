//! Weighing notes of many kinds: exact expectations, and lines that always add up.

use std::path::PathBuf;

use drybench::measured::weighings::{LineClass, WeighingOptions, read};
use proptest::prelude::*;

/// Invented notes of one wet pad.
const NOTES: &str = include_str!("logs/w1_weighings_notes.txt");

#[test]
fn scribbled_notes_become_a_table() {
    let w = read("w1", NOTES.as_bytes(), &WeighingOptions::default())
        .unwrap_or_else(|e| panic!("{e:#?}"));
    let g = |kg: f64| (1e5 * kg).round() / 1e2;
    assert_eq!(w.dry.map(|m| g(m.kg)), Some(3.08));
    assert_eq!(w.start.map(|m| g(m.kg)), Some(6.04));
    assert_eq!(w.added_kg().map(g), Some(2.96));
    let masses: Vec<f64> = w.weighings.iter().map(|w| g(w.kg)).collect();
    assert_eq!(masses, [5.39, 4.78, 4.21, 3.70, 3.29, 3.04, 3.02]);
    let times: Vec<f64> = w.weighings.iter().map(|w| w.time_s / 60.0).collect();
    assert_eq!(times, [30.0, 60.0, 90.0, 120.0, 150.0, 180.0, 210.0]);
    let s = w.scale().expect("repeats").standard;
    assert!((1e3 * s - 0.007).abs() < 0.0005, "{s}");
    assert_eq!(w.repeats[0].kg.len(), 5);
    assert!((1e3 * w.resolution_kg.unwrap() - 0.01).abs() < 1e-9);
    let energy: f64 = w.energy[1].joule - w.energy[0].joule;
    assert!((energy / 3.6e6 - 0.149).abs() < 1e-9);
    assert_eq!(w.removed_kg().map(g), Some(3.02));
    assert_eq!((w.lids.len(), w.lids[0].duration_s), (1, Some(40.0)));
    let words = w.beyond_all().expect("more than all is gone");
    assert!(words.starts_with("102 % of the added water is gone"), "{words}");
    assert!(w.notes.iter().any(|t| t.contains("3 mL; the scale says 2.96 g")), "{:?}", w.notes);
    assert_eq!(
        w.ledger.to_string(),
        "12 lines = 1 dry mass + 1 start mass + 1 into the box + 7 weighings + 1 repeat weighing + \
         1 meter reading"
    );
    let csv = w.csv();
    assert!(csv.contains("\n0,10:00:00,2,6.04,2.96,0.0,start\n"), "{csv}");
    assert!(csv.contains("\n1800,10:30:00,4,5.39,2.31,22.0,\n"), "{csv}");
    assert!(csv.contains("\n12600,13:30:00,10,3.02,-0.06,102.0,\n"), "{csv}");
}

fn measured(file: &str) -> Option<Vec<u8>> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let beside = concat!("..", "/sha", "red/checks/measured");
    let folder = std::env::var_os("DRYBENCH_MEASURED").map_or(root.join(beside), PathBuf::from);
    let bytes = std::fs::read(folder.join(file)).ok();
    if bytes.is_none() {
        println!("skipped: no {file} in the folder of measured sets");
    }
    bytes
}

/// Public drying curves of wet objects on a 0.1 mg scale.
#[test]
fn twelve_public_drying_curves() {
    let Some(bytes) = measured("leaf_drying/leaf_drying_data.csv") else { return };
    let options = |sample: &str| WeighingOptions {
        mass_unit: Some("g".into()),
        sample: Some(sample.into()),
        mass_column: Some("fresh.weight".into()),
        ..WeighingOptions::default()
    };
    let w = read("leaf", &bytes, &options("10%/1")).unwrap_or_else(|e| panic!("{e:#?}"));
    assert_eq!(w.ledger.lines.len(), 173);
    assert_eq!(w.ledger.count(LineClass::Unread), 0, "{}", w.ledger);
    assert!((1e3 * w.start.unwrap().kg - 6.0317).abs() < 1e-9);
    assert!((1e3 * w.dry.unwrap().kg - 0.5374).abs() < 1e-9);
    assert!((1e3 * w.weighings[0].kg - 5.9736).abs() < 1e-9);
    assert_eq!(w.weighings[0].time_s, 23.0 * 60.0);
    let unknown = read("leaf", &bytes, &options("11%/1")).unwrap_err();
    assert!(unknown[0].to_string().contains("has no sample \"11%/1\""), "{unknown:?}");
    let plain = WeighingOptions { sample: Some("10%/1".into()), ..WeighingOptions::default() };
    let which = read("leaf", &bytes, &plain).map(|w| w.ledger.to_string());
    assert!(which.is_err(), "{which:?}");
}

proptest! {
    /// Whatever is typed, nothing panics and every line has one class.
    #[test]
    fn lines_always_add_up(text in "([0-9]{1,2}[:.][0-9]{2}|[0-9,. ]{1,6}|dry|wet|g|kWh|mL|lid|box| |\n|;|\t|,|[a-zé°]{0,4}){0,60}") {
        let options = WeighingOptions { mass_unit: Some("g".into()), ..WeighingOptions::default() };
        if let Ok(w) = read("fuzz", text.as_bytes(), &options) {
            prop_assert_eq!(w.ledger.lines.len(), text.lines().count());
            for mass in &w.weighings {
                prop_assert!(mass.line >= 1 && mass.line <= w.ledger.lines.len());
            }
        }
    }

    /// Notes with bytes changed at random.
    #[test]
    fn damaged_notes_never_panic(at in 0usize..380, byte in any::<u8>(), cut in 0usize..389) {
        let mut bytes = NOTES.as_bytes().to_vec();
        bytes[at] = byte;
        bytes.truncate(cut.max(1));
        if let Ok(w) = read("fuzz", &bytes, &WeighingOptions::default()) {
            let text = String::from_utf8(bytes.clone()).expect("others are refused");
            prop_assert_eq!(w.ledger.lines.len(), text.lines().count());
        }
    }
}
