//! One box in other words: other units, other signs for them, other line ends. The results must not
//! notice.

mod common;

use common::{bundled_text, replaced, run, scenario_of};
use drybench::run::{Method, Run, simulate};

const BOX: &str = "two_holes_two_zones.toml";

/// `two_holes_two_zones.toml` in inches, degrees Fahrenheit and whatever else a reader may type.
const TWIN: &str = r#"
title = "Workbench dryer, two 5 mm holes on the two sides of the fan"

[room]
temperature       = "69.8 °F"
relative_humidity = "52 %"
pressure          = "1.009 bar"

[enclosure]
inner_size   = ["28 cm", "0.22 m", "7.086614173228346 in"]
wall         = { material = "polypropylene", thickness = "3000 um" }
supply_share = "25 %"

[heater]
kind  = "ptc"
power = "0.16 kW"

[fan]
circulation = "14.832160023025207 cfm"
pressure    = "0.02 mbar"
motor_power = "2000 mW"
air_speed   = "80 cm/s"

[control]
kind       = "thermostat"
set_point  = "131 °F"
hysteresis = "3.6 Δ°F"
sensor     = "panel"

[sensor.panel]
zone          = "return"
time_constant = "0.3333333333333333 min"

[sensor.logger]
zone                 = "return"
time_constant        = "40000 ms"
accuracy_temperature = "0.9 Δ°F"
accuracy_humidity    = "3 %"

[vent.low]
kind     = "hole"
zone     = "return"
diameter = "0.19685039370078738 in"
height   = "4 cm"

[vent.high]
kind     = "hole"
zone     = "supply"
diameter = "0.5 cm"
height   = "5.511811023622047 in"

[load.pad]
kind     = "wet_pad"
water    = "0.10582188584874123 ± 0.0007 oz"
dry_mass = "3100 mg"
size     = ["2.7559055118110236 in", "5 cm", "4000 µm"]
zone     = "return"

[run]
duration     = "240 min"
output_every = "0.16666666666666666 min"
"#;

/// Columns smaller than this in their own unit are nothing: a dry wall has a film of nanograms.
const NOTHING: f64 = 1e-3;

/// Largest difference of two runs over all samples, over the size of the column.
fn apart(a: &Run, b: &Run) -> (f64, String) {
    assert_eq!(a.time_s.len(), b.time_s.len());
    assert_eq!(a.columns.len(), b.columns.len());
    let mut worst = (0.0, String::from("nothing"));
    for (x, y) in a.columns.iter().zip(&b.columns) {
        assert_eq!(x.name, y.name);
        let size = x.values.iter().fold(NOTHING, |s: f64, v| s.max(v.abs()));
        let gap = x.values.iter().zip(&y.values).map(|(p, q)| (p - q).abs()).fold(0.0, f64::max);
        if gap / size > worst.0 {
            worst = (gap / size, x.name.clone());
        }
    }
    worst
}

/// Fails unless the two texts give the same bits.
fn assert_identical(what: &str, text: &[u8], twin: &[u8]) {
    let simulated = |bytes: &[u8]| {
        simulate(&scenario_of(bytes), Method::Rodas5p).unwrap_or_else(|e| panic!("{what}: {e}"))
    };
    let (a, b) = (simulated(text), simulated(twin));
    let (gap, column) = apart(&a, &b);
    assert_eq!(gap, 0.0, "{what}: {column}");
    assert_eq!(a.events, b.events, "{what}");
    assert_eq!((a.water, a.energy), (b.water, b.energy), "{what}");
}

/// The text under PI: a switching box turns round-off into a shift of its edges.
fn under_pi(text: &str, hysteresis: &str) -> String {
    let text = replaced(text, "kind       = \"thermostat\"", "kind = \"pi\"");
    replaced(&text, &format!("hysteresis = \"{hysteresis}\""), "#")
}

#[test]
fn a_twin_in_other_units_gives_the_same_series() {
    let original = run(&under_pi(&bundled_text(BOX), "2 K"));
    let twin = run(&under_pi(TWIN, "3.6 Δ°F"));
    let (gap, column) = apart(&original, &twin);
    println!("{gap:.1e} in {column}");
    assert!(gap < 1e-9, "{gap:e} in {column}");
}

#[test]
fn a_switching_twin_switches_at_the_same_instants() {
    let (a, b) = (run(&bundled_text(BOX)), run(TWIN));
    assert_eq!(a.events.len(), b.events.len());
    assert!(a.events.len() > 100, "{}", a.events.len());
    let pairs = a.events.iter().zip(&b.events);
    let late = pairs.map(|(x, y)| (x.time_s - y.time_s).abs()).fold(0.0, f64::max);
    println!("edges {late:.1e} s apart");
    // An event is located to 1e-9 of a step, and each passes its gap on to the next.
    assert!(late < 1e-4, "edges {late} s apart");
}

#[test]
fn line_ends_and_a_mark_at_the_start_change_nothing() {
    let text = bundled_text(BOX);
    let windows = text.replace('\n', "\r\n");
    assert_identical("line ends", text.as_bytes(), windows.as_bytes());
    let marked = [b"\xef\xbb\xbf".as_slice(), windows.as_bytes()].concat();
    assert_identical("byte order mark", text.as_bytes(), &marked);
}

#[test]
fn signs_of_units_have_twins() {
    let text = replaced(TWIN, "[enclosure]", "[enclosure]\ninside_coefficient = \"10 W/(m² K)\"");
    let ascii = replaced(&text, "\"69.8 °F\"", "\"69.8 degF\"");
    let ascii = replaced(&ascii, "\"131 °F\"", "\"131 F\"");
    let ascii = replaced(&ascii, "W/(m² K)", "W/m2K");
    let ascii = replaced(&ascii, "4000 µm", "4000 um");
    let ascii = replaced(&ascii, "0.9 Δ°F", "0.9 delta_F");
    let ascii = replaced(&ascii, "3.6 Δ°F", "3.6 deltaF");
    let ascii = replaced(&ascii, " ± ", " +/- ");
    assert!(ascii.is_ascii(), "the twin must be all ASCII");
    assert_identical("ASCII", text.as_bytes(), ascii.as_bytes());
    // U+00B5 is the micro sign, U+03BC the Greek letter; U+00B0 the degree, U+00BA an ordinal.
    let greek = replaced(&text, "4000 \u{b5}m", "4000 \u{3bc}m");
    assert_identical("micro", text.as_bytes(), greek.as_bytes());
    let ordinal = replaced(&text, "69.8 \u{b0}F", "69.8 \u{ba}F");
    assert_identical("degree", text.as_bytes(), ordinal.as_bytes());
}
