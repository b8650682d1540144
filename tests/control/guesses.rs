//! What guessed values leave open: each at both ends of what is likely.

use crate::plant::{DRYER, PAD, PI};
use drybench::reader::{Source, render};
use drybench::run::{Method, Run, simulate};
use drybench::scenario::Scenario;
use drybench::study::guesses::{GuessBands, spread};

fn of(text: &str) -> (Run, GuessBands) {
    let source = Source::from_bytes("test.toml", text.as_bytes()).expect("TOML");
    let (scenario, report) = Scenario::read(&source).unwrap_or_else(|e| panic!("{}", render(&e)));
    let run = simulate(&scenario, Method::Rodas5p).unwrap_or_else(|e| panic!("{e}"));
    let spread = spread(&source, &scenario, &report, &run);
    (run, spread)
}

const END: &str = "[run]\nduration = \"3 h\"\noutput_every = \"1 min\"\ntolerance = 1e-5\n";

#[test]
fn drying_times_come_with_what_the_pad_leaves_open() {
    let (run, spread) = of(&format!("{DRYER}{PAD}{PI}{END}"));
    let keys: Vec<&str> = spread.guesses.iter().map(|g| g.paths[0].as_str()).collect();
    let pad = ["coefficient_factor", "critical_moisture", "vapour_resistance"];
    assert_eq!(keys, pad.map(|k| format!("load.pad.{k}")));
    for key in ["t90_min", "t95_min"] {
        let band = spread.bands.iter().find(|b| b.key == key).expect("a band");
        let (low, high) = (band.low, band.high.expect("a high end"));
        println!("{key}: {:.1} ({low:.1} to {high:.1})", band.value);
        assert_eq!(Some(band.value), run.metric(key));
        assert!(low < 0.97 * band.value && high > 1.05 * band.value, "{low} {high}");
    }
    // What is stated is no guess.
    let stated = PAD.replacen(
        "kind",
        "coefficient_factor = 1\ncritical_moisture = 0.4\nvapour_resistance = 3\nkind",
        1,
    );
    assert_eq!(of(&format!("{DRYER}{stated}{PI}{END}")).1, GuessBands::default());
}

#[test]
fn a_fan_that_stops_leaves_air_and_element_open() {
    let fails = "[event.fails]\nkind = \"fan\"\nat = \"20 min\"\nspeed = 0\n[control]\nkind = \
                 \"always_on\"\n";
    let text = format!("{DRYER}{fails}{END}").replacen("150 W", "40 W", 1);
    let (run, spread) = of(&text);
    let keys: Vec<&str> = spread.guesses.iter().map(|g| g.paths[0].as_str()).collect();
    assert_eq!(keys, ["enclosure.zone_opening", "heater.surface"]);
    assert!(spread.place_guessed);
    let band = |key: &str| spread.bands.iter().find(|b| b.key == key).expect("a band");
    let (air, element) = (band("still_air_C"), band("still_element_C"));
    for b in [air, element] {
        println!("{}: {:.1} ({:.1} to {:?})", b.key, b.value, b.low, b.high);
        assert!(b.low < b.value - 1.0 && b.high.is_none_or(|high| high > b.value + 3.0));
    }
    // The element is hottest without a stream, so that its peak is the same but for the samples.
    let peak = run.metric("peak_element_C").expect("a peak");
    assert!((element.value - peak).abs() < 1.0, "{} {peak}", element.value);
    // One end by hand lies within the band.
    let opening = &spread.guesses[0].low;
    let narrow =
        text.replacen("[enclosure]", &format!("[enclosure]\nzone_opening = \"{opening}\""), 1);
    let (_, narrow) = of(&narrow);
    let hotter = narrow.bands.iter().find(|b| b.key == "still_air_C").expect("a band").value;
    assert!(hotter > air.value + 3.0, "{hotter}");
    assert!(air.high.is_none_or(|high| hotter <= high + 0.1), "{hotter}");
    // A fan that runs has nothing of it.
    assert!(of(&format!("{DRYER}{PI}{END}")).1.bands.is_empty());
}
