//! JSON lines.

use crate::kit::*;

#[test]
fn flat_and_nested_objects() {
    let text = "{\"ts\": 1700000000, \"temp\": 22.1, \"humidity\": 45.0}\n\
        {\"ts\": 1700000030, \"temp\": null, \"humidity\": 44.0}\n\
        {\"ts\": 1700000060, \"temp\": 22.3, \"humidity\": 43.0}\n";
    let (summary, series) = read(text);
    assert_eq!(series.time_s, [0.0, 30.0, 60.0]);
    assert_eq!(some(&series, "", Temp), [Some(22.1), None, Some(22.3)]);
    assert_eq!(ledger(&summary), "3 lines = 2 readings + 1 partial reading");
    let text = "{\"time\":\"2026-03-14T15:02:10+01:00\",\"inside\":{\"t\":22.1,\"h\":45},\"outside\":{\"t\":20.1,\"h\":55},\"heater\":true}\n\
        {\"time\":\"2026-03-14T15:02:40+01:00\",\"inside\":{\"t\":22.2,\"h\":46},\"outside\":{\"t\":20.2,\"h\":56},\"heater\":false}\n";
    let (_, series) = read(text);
    assert_eq!(values(&series, "inside", Temp), [22.1, 22.2]);
    assert_eq!(values(&series, "outside", Rh), [55.0, 56.0]);
    assert_eq!(values(&series, "", Heater), [1.0, 0.0]);
    assert_eq!(series.start.and_then(|s| s.utc_offset_s), Some(3600.0));
}

#[test]
fn cut_objects_and_new_keys_are_told() {
    let mut text = String::new();
    for i in 0..4100 {
        text += &format!("{{\"ms\": {}, \"temp\": 22.5, \"rh\": 45.5}}\n", 1000 * i);
    }
    text += "{\"ms\": 4100000, \"temp\": 22.5, \"rh\": 45.5, \"extra\": 1}\n{\"ms\": 4101000, \"te";
    let (summary, series) = read(&text);
    assert_eq!(series.time_s.len(), 4101);
    assert_eq!(ledger(&summary), "4102 lines = 4101 readings + 1 cut");
    assert!(warnings(&summary).contains("left out: extra"), "{}", warnings(&summary));
}
