use super::*;
use crate::reader::Source;

fn read(text: &str) -> Result<RunSpec, Vec<String>> {
    let source = Source::from_bytes("run.toml", text.as_bytes()).expect("good TOML");
    let read = RunSpec::read(&source);
    read.map(|(spec, _)| spec).map_err(|issues| issues.iter().map(ToString::to_string).collect())
}

#[test]
fn a_whole_description_is_read() {
    let spec = read(
        r#"
title = "Invented felt run"
start = "10:00"
[room]
temperature = "22 ± 0.5 °C"
relative_humidity = "45 ± 2 %RH"
[enclosure]
free_volume = "8.0 ± 0.3 L"
[control]
set_point = "50 °C"
[log.box]
file = "raw/log.txt"
clock_offset = "-90 s"
[weighings]
file = "raw/notes.txt"
[sensor.hot]
channel = "S1"
place = "supply"
accuracy_temperature = "0.5 K"
[event.peek]
kind = "lid_open"
at = "11:30"
[meter.start]
at = "10:00"
energy = "0.412 kWh"
[spot.lid]
reading = "41 ± 1 °C"
emissivity = "0.94 ± 0.02"
limit = "60 °C"
"#,
    )
    .unwrap();
    assert_eq!(spec.start, Some(Moment::Clock(36_000.0)));
    assert_eq!(spec.files().collect::<Vec<_>>(), ["raw/log.txt", "raw/notes.txt"]);
    assert_eq!(spec.logs[0].clock_offset_s, -90.0);
    assert_eq!(spec.sensor("box", "S1").map(|s| s.name.as_str()), Some("hot"));
    assert_eq!(spec.sensor("box", "S1").map(|s| s.place), Some(SensorPlace::Supply));
    assert_eq!(spec.room.temp_k.and_then(|m| m.sd), Some(0.5));
    assert_eq!(spec.events[0].duration_s, 40.0);
    assert!((spec.meter[0].energy_j.value - 0.412 * 3.6e6).abs() < 1e-6);
    assert_eq!(spec.spots[0].limit.as_ref().map(|l| l.source.as_str()), Some("not stated"));
}

#[test]
fn all_mistakes_come_at_once_with_their_lines() {
    let issues = read(
        "title = \"x\"\n[log.box]\nfile = \"a.txt\"\nfist_row_at = \"10:00\"\n[event.peek]\n\
         kind = \"lid_open\"\nat = \"25:00\"\n[room]\ntemperature = \"22\"\n",
    )
    .unwrap_err();
    let has = |words: &str| issues.iter().any(|i| i.contains(words));
    assert_eq!(issues.len(), 3, "{issues:#?}");
    assert!(has("run.toml:4: unknown key `fist_row_at`"), "{issues:#?}");
    assert!(has("run.toml:7: event.peek.at = \"25:00\" is no point in time"), "{issues:#?}");
    assert!(has("run.toml:9: room.temperature"), "{issues:#?}");
}

#[test]
fn a_run_without_data_is_refused() {
    let issues = read("title = \"x\"\n").unwrap_err();
    assert!(issues[0].contains("[log.box]"), "{issues:#?}");
}
