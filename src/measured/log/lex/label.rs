//! Names of columns and labels before values: what they mean, of which sensor, in which unit.

use super::unit::{self, Unit};
use crate::measured::Quantity;

/// What a label announces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// A time of any kind: counter, clock, date with clock.
    Time,
    /// A time since the start, as a number or `hh:mm:ss`.
    Elapsed,
    /// A date alone, or a clock alone.
    DateOrClock,
    /// Year, month, day, hour, minute or second as a number of its own: index 0 to 5.
    Part(usize),
    /// A reading that is kept.
    Reading(Quantity),
    /// `t`: a time, or a temperature when there is no other.
    LowerT,
    /// A remark.
    Note,
    /// A measure of humidity that gives the relative humidity with the temperature beside it.
    Humidity(HumidityMeasure),
    /// A quantity of another kind, kept under its own name.
    Other,
    /// Which sensor a row is of.
    Sensor,
    /// Something known that is not kept, and why.
    Ignored(&'static str),
    /// Nothing known.
    Unknown,
}

/// Measures of humidity other than the relative one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HumidityMeasure {
    /// Dew point.
    DewPoint,
    /// Mass of vapour in a volume of air, or beside a mass of dry air: its unit says which.
    Content,
}

/// A label taken apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// What it announces.
    pub meaning: Meaning,
    /// Words that are left and name a sensor; empty when there are none.
    pub sensor: String,
    /// The unit in it.
    pub unit: Option<Unit>,
    /// Whether only the unit says what it means.
    pub implied: bool,
}

impl Label {
    fn of(meaning: Meaning, unit: Option<Unit>) -> Self {
        Self { meaning, sensor: String::new(), unit, implied: false }
    }
}

const DERIVED: &str = "worked out anew from temperature and humidity";
const FELT: &str = "not a temperature of the air";
const NOT_KEPT: &str = "not kept";

/// Phrases that decide wherever they stand in a label: no such column is a plain reading.
const IGNORED: &[(&str, &str)] = &[
    ("heat index", FELT),
    ("heatindex", FELT),
    ("hic", FELT),
    ("hif", FELT),
    ("apparent", FELT),
    ("feels like", FELT),
    ("feelslike", FELT),
    ("real feel", FELT),
    ("wet bulb", DERIVED),
    ("wetbulb", DERIVED),
    ("vapour", DERIVED),
    ("vapor", DERIVED),
    ("vpd", DERIVED),
    ("altitude", "not a reading of the air"),
    ("alt", "not a reading of the air"),
    ("hoehe", "not a reading of the air"),
    ("höhe", "not a reading of the air"),
    ("err", NOT_KEPT),
    ("error", NOT_KEPT),
    ("delta", NOT_KEPT),
    ("diff", NOT_KEPT),
    ("raw", NOT_KEPT),
    ("index", NOT_KEPT),
    ("chip", NOT_KEPT),
    ("cpu", NOT_KEPT),
];

/// Words of quantities that are neither temperature nor humidity of the air, whatever stands beside them.
const OTHERS: &[&str] = &[
    "battery",
    "bat",
    "vbat",
    "batt",
    "akku",
    "rssi",
    "snr",
    "lqi",
    "signal",
    "soil",
    "boden",
    "moisture",
    "co2",
    "eco2",
    "tvoc",
    "voc",
    "iaq",
    "aqi",
    "gas",
    "pm1",
    "pm25",
    "pm10",
    "light",
    "lux",
    "licht",
    "illuminance",
    "brightness",
    "noise",
    "sound",
    "uv",
    "wind",
    "rain",
    "voltage",
    "vcc",
    "vdd",
    "resistance",
    "o2",
    "ph",
];

/// Names of columns and keys that say which sensor a row is of.
const SENSORS: &[&str] = &[
    "id",
    "sensor",
    "sensor id",
    "sensor name",
    "sensorid",
    "sensor no",
    "sensor nr",
    "channel",
    "ch",
    "node",
    "node id",
    "addr",
    "address",
    "probe",
    "device",
    "device id",
    "dev",
    "station",
    "location",
    "loc",
    "place",
    "position",
    "pos",
    "topic",
    "name",
    "source",
    "src",
    "mac",
    "serial",
    "sn",
    "host",
    "entity",
    "entity id",
    "tag",
    "zone",
    "room",
    "box",
    "port",
    "unit id",
    "sensor address",
    "label",
    "point",
    "spot",
    "side",
    "rom",
    "messstelle",
    "fühler",
    "fuehler",
    "kanal",
];

/// Phrases of other measures of humidity, wherever they stand in a label.
const MEASURES: &[(&str, HumidityMeasure)] = &[
    ("dew point", HumidityMeasure::DewPoint),
    ("dewpoint", HumidityMeasure::DewPoint),
    ("dew", HumidityMeasure::DewPoint),
    ("dewp", HumidityMeasure::DewPoint),
    ("dewpt", HumidityMeasure::DewPoint),
    ("taupunkt", HumidityMeasure::DewPoint),
    ("td", HumidityMeasure::DewPoint),
    ("absolute humidity", HumidityMeasure::Content),
    ("abs humidity", HumidityMeasure::Content),
    ("abs hum", HumidityMeasure::Content),
    ("ah", HumidityMeasure::Content),
    ("absolute feuchte", HumidityMeasure::Content),
    ("humidity ratio", HumidityMeasure::Content),
    ("mixing ratio", HumidityMeasure::Content),
];

use Meaning::{DateOrClock, Elapsed, LowerT, Note, Part, Reading, Time};
use Quantity::{
    Energy, Fan, Heater, Mass, Power, Pressure, RelativeHumidity, SetPoint, Temperature,
};

/// Phrases that are a meaning by themselves, or with the name of a sensor around them.
const PHRASES: &[(&str, Meaning)] = &[
    ("temperature", Reading(Temperature)),
    ("temperatur", Reading(Temperature)),
    ("temperatura", Reading(Temperature)),
    ("température", Reading(Temperature)),
    ("temp", Reading(Temperature)),
    ("tmp", Reading(Temperature)),
    ("temperature air", Reading(Temperature)),
    ("teplota", Reading(Temperature)),
    ("lämpötila", Reading(Temperature)),
    ("sıcaklık", Reading(Temperature)),
    ("sicaklik", Reading(Temperature)),
    ("hőmérséklet", Reading(Temperature)),
    ("temperatură", Reading(Temperature)),
    ("temperatuur", Reading(Temperature)),
    ("температура", Reading(Temperature)),
    ("温度", Reading(Temperature)),
    ("気温", Reading(Temperature)),
    ("lufttemperatur", Reading(Temperature)),
    ("temperatuur", Reading(Temperature)),
    ("temperature", Reading(Temperature)),
    ("T", Reading(Temperature)),
    ("t", LowerT),
    ("relative humidity", Reading(RelativeHumidity)),
    ("rel humidity", Reading(RelativeHumidity)),
    ("humidity", Reading(RelativeHumidity)),
    ("humid", Reading(RelativeHumidity)),
    ("humi", Reading(RelativeHumidity)),
    ("hum", Reading(RelativeHumidity)),
    ("humedad", Reading(RelativeHumidity)),
    ("humidité", Reading(RelativeHumidity)),
    ("umidità", Reading(RelativeHumidity)),
    ("relative feuchte", Reading(RelativeHumidity)),
    ("rel feuchte", Reading(RelativeHumidity)),
    ("luftfeuchtigkeit", Reading(RelativeHumidity)),
    ("luftfeuchte", Reading(RelativeHumidity)),
    ("feuchtigkeit", Reading(RelativeHumidity)),
    ("feuchte", Reading(RelativeHumidity)),
    ("relative luftfeuchte", Reading(RelativeHumidity)),
    ("relative luftfeuchtigkeit", Reading(RelativeHumidity)),
    ("humidité relative", Reading(RelativeHumidity)),
    ("humidite", Reading(RelativeHumidity)),
    ("humedad relativa", Reading(RelativeHumidity)),
    ("umidità relativa", Reading(RelativeHumidity)),
    ("umidita", Reading(RelativeHumidity)),
    ("umidade", Reading(RelativeHumidity)),
    ("relh", Reading(RelativeHumidity)),
    ("hygro", Reading(RelativeHumidity)),
    ("luchtvochtigheid", Reading(RelativeHumidity)),
    ("vochtigheid", Reading(RelativeHumidity)),
    ("relatieve vochtigheid", Reading(RelativeHumidity)),
    ("wilgotność", Reading(RelativeHumidity)),
    ("wilgotnosc", Reading(RelativeHumidity)),
    ("luftfuktighet", Reading(RelativeHumidity)),
    ("fuktighet", Reading(RelativeHumidity)),
    ("fugtighed", Reading(RelativeHumidity)),
    ("luftfugtighed", Reading(RelativeHumidity)),
    ("vlhkost", Reading(RelativeHumidity)),
    ("kosteus", Reading(RelativeHumidity)),
    ("ilmankosteus", Reading(RelativeHumidity)),
    ("nem", Reading(RelativeHumidity)),
    ("páratartalom", Reading(RelativeHumidity)),
    ("umiditate", Reading(RelativeHumidity)),
    ("humidade", Reading(RelativeHumidity)),
    ("umidade relativa", Reading(RelativeHumidity)),
    ("влажность", Reading(RelativeHumidity)),
    ("湿度", Reading(RelativeHumidity)),
    ("相对湿度", Reading(RelativeHumidity)),
    ("相対湿度", Reading(RelativeHumidity)),
    ("rh", Reading(RelativeHumidity)),
    ("rf", Reading(RelativeHumidity)),
    ("hr", Reading(RelativeHumidity)),
    ("h", Reading(RelativeHumidity)),
    ("pressure", Reading(Pressure)),
    ("press", Reading(Pressure)),
    ("pres", Reading(Pressure)),
    ("luftdruck", Reading(Pressure)),
    ("druck", Reading(Pressure)),
    ("baro", Reading(Pressure)),
    ("p", Reading(Pressure)),
    ("set point", Reading(SetPoint)),
    ("set temp", Reading(SetPoint)),
    ("target temp", Reading(SetPoint)),
    ("target temperature", Reading(SetPoint)),
    ("setpoint", Reading(SetPoint)),
    ("set", Reading(SetPoint)),
    ("target", Reading(SetPoint)),
    ("sollwert", Reading(SetPoint)),
    ("soll", Reading(SetPoint)),
    ("sp", Reading(SetPoint)),
    ("heater on", Reading(Heater)),
    ("heater duty", Reading(Heater)),
    ("heater", Reading(Heater)),
    ("heating", Reading(Heater)),
    ("heat", Reading(Heater)),
    ("heizung", Reading(Heater)),
    ("duty cycle", Reading(Heater)),
    ("duty", Reading(Heater)),
    ("pwm", Reading(Heater)),
    ("q", Reading(Heater)),
    ("fan on", Reading(Fan)),
    ("fan", Reading(Fan)),
    ("lüfter", Reading(Fan)),
    ("luefter", Reading(Fan)),
    ("power", Reading(Power)),
    ("leistung", Reading(Power)),
    ("energy", Reading(Energy)),
    ("energie", Reading(Energy)),
    ("mass", Reading(Mass)),
    ("weight", Reading(Mass)),
    ("masse", Reading(Mass)),
    ("gewicht", Reading(Mass)),
    ("scale", Reading(Mass)),
    ("date time", Time),
    ("date and time", Time),
    ("datetime", Time),
    ("timestamp", Time),
    ("time stamp", Time),
    ("time", Time),
    ("zeit", Time),
    ("tijd", Time),
    ("tijdstip", Time),
    ("czas", Time),
    ("tid", Time),
    ("čas", Time),
    ("aika", Time),
    ("idő", Time),
    ("zaman", Time),
    ("saat", Time),
    ("время", Time),
    ("时间", Time),
    ("時刻", Time),
    ("時間", Time),
    ("hora", Time),
    ("heure", Time),
    ("tempo", Time),
    ("fecha y hora", Time),
    ("date heure", Time),
    ("data ora", Time),
    ("datum zeit", Time),
    ("datum uhrzeit", Time),
    ("zeitpunkt", Time),
    ("when", Time),
    ("zeitstempel", Time),
    ("ts", Time),
    ("unix", Time),
    ("epoch", Time),
    ("time elapsed", Elapsed),
    ("elapsed time", Elapsed),
    ("elapsed", Elapsed),
    ("uptime", Elapsed),
    ("runtime", Elapsed),
    ("millis", Elapsed),
    ("date", DateOrClock),
    ("datum", DateOrClock),
    ("fecha", DateOrClock),
    ("ora", DateOrClock),
    ("clock", DateOrClock),
    ("uhrzeit", DateOrClock),
    ("year", Part(0)),
    ("month", Part(1)),
    ("day", Part(2)),
    ("hour", Part(3)),
    ("minute", Part(4)),
    ("second", Part(5)),
    ("note", Note),
    ("notes", Note),
    ("remark", Note),
    ("remarks", Note),
    ("comment", Note),
    ("comments", Note),
    ("bemerkung", Note),
    ("remarque", Note),
    ("nota", Note),
    ("notas", Note),
    ("kommentar", Note),
    ("event", Note),
];

/// Words that name no sensor.
const FILLERS: &[&str] = &[
    "air", "current", "sensor", "the", "approx", "measured", "actual", "value", "reading", "is",
    "and", "status", "state", "ok", "logger", "mean", "avg", "average", "readings", "data",
    "payload",
];

/// Places whose names loggers glue to a short word for a quantity.
const PLACES: &[&str] = &[
    "in", "out", "room", "box", "amb", "ambient", "hot", "cold", "top", "bot", "bottom", "inlet",
    "outlet", "supply", "return", "inside", "outside", "air", "wall", "mid", "left", "right",
    "front", "back", "upper", "lower",
];

/// Most words a sensor's name may have.
const NAME_WORDS: usize = 6;

/// Takes a label or the name of a column apart.
#[must_use]
pub fn label(text: &str) -> Label {
    let (text, mut unit) = bracketed(text);
    let mut words = words(&text);
    trim_fillers(&mut words);
    let whole = format!(" {} ", words.join(" ").to_lowercase());
    let holds = |phrase: &str| whole.contains(&format!(" {phrase} "));
    if let Some((_, reason)) = IGNORED.iter().find(|(p, _)| holds(p)) {
        return Label::of(Meaning::Ignored(reason), unit);
    }
    if let Some((p, measure)) = MEASURES.iter().find(|(p, _)| holds(p)) {
        let rest = whole.replacen(&format!(" {p} "), " ", 1);
        let mut rest: Vec<&str> =
            rest.split_whitespace().filter(|w| !FILLERS.contains(w)).collect();
        if let Some(last) = rest.last().and_then(|w| unit::word(w)) {
            unit = unit.or(Some(last));
            rest.pop();
        }
        rest.retain(|w| {
            unit::word(w).is_none() && !matches!(*w, "temperature" | "temp" | "g" | "m3" | "kg")
        });
        return Label { sensor: rest.join("_"), ..Label::of(Meaning::Humidity(*measure), unit) };
    }
    if OTHERS.iter().any(|p| holds(p)) && phrase(&words).is_none() {
        return Label::of(Meaning::Other, unit);
    }
    if let Some(meaning) = phrase(&words) {
        return Label::of(meaning, unit);
    }
    if SENSORS.contains(&whole.trim()) {
        return Label::of(Meaning::Sensor, unit);
    }
    if let Some(last) = words.last().and_then(|w| unit::word(&w.to_lowercase())) {
        // Of a time alone: the `h` of `outside_h` is a humidity, not hours.
        let before = with_sensor(&words[..words.len() - 1]).0;
        let timed = matches!(before, Some(Time | Elapsed | LowerT)) || words.len() == 1;
        if last.seconds().is_none() || timed {
            unit = unit.or(Some(last));
            words.pop();
        }
    }
    if words.is_empty() {
        return alone(unit);
    }
    let (meaning, rest) = with_sensor(&words);
    let (meaning, rest, implied) = match (meaning, unit.and_then(Unit::implies)) {
        (None, Some(quantity)) if rest.len() <= 2 => (Some(Reading(quantity)), rest, true),
        other => (other.0, rest, false),
    };
    // A wanted humidity is none of the air.
    let wanted = |w: &String| {
        ["target", "set", "setpoint", "sp", "soll", "desired", "wanted", "limit"]
            .contains(&w.to_lowercase().as_str())
    };
    if meaning == Some(Reading(RelativeHumidity)) && rest.iter().any(wanted) {
        return Label::of(Meaning::Other, unit);
    }
    let keep = |w: &&String| !FILLERS.contains(&w.to_lowercase().as_str());
    let sensor: Vec<String> = rest.iter().filter(keep).map(|w| w.to_lowercase()).collect();
    match meaning {
        Some(meaning) if sensor.len() <= NAME_WORDS => {
            Label { sensor: sensor.join("_"), implied, ..Label::of(meaning, unit) }
        }
        _ => Label::of(Meaning::Unknown, unit),
    }
}

/// Leaves out words at the ends that say nothing, such as `value`, unless nothing would be left.
fn trim_fillers(words: &mut Vec<String>) {
    let filler = |w: &String| FILLERS.contains(&w.to_lowercase().as_str());
    if words.iter().all(filler) {
        return;
    }
    while words.last().is_some_and(filler) {
        words.pop();
    }
    let front = words.iter().take_while(|w| filler(w)).count();
    words.drain(..front);
}

/// A unit that is the whole name: `ms`, `C`, `kWh`.
fn alone(unit: Option<Unit>) -> Label {
    let time = unit.filter(|u| u.seconds().is_some()).map(|_| Elapsed);
    let reading = unit.and_then(Unit::implies).map(Reading);
    Label { implied: true, ..Label::of(time.or(reading).unwrap_or(Meaning::Unknown), unit) }
}

/// The name without a unit in brackets or at its end.
fn bracketed(text: &str) -> (String, Option<Unit>) {
    for (open, close) in [('(', ')'), ('[', ']'), ('{', '}')] {
        let Some((before, rest)) = text.split_once(open) else { continue };
        let Some((inner, after)) = rest.split_once(close) else { continue };
        return match unit::exact(inner) {
            Some(unit) => (format!("{before} {after}"), Some(unit)),
            None => (format!("{before} {inner} {after}"), None),
        };
    }
    let text = text.trim();
    let signs = ["%RH", "%rH", "%rF", "%", "*C", "Â°C", "°C", "℃", "*F", "°F", "ºC", "\u{fffd}C"];
    for sign in signs {
        if let Some(before) = text.strip_suffix(sign) {
            return (before.to_owned(), unit::exact(sign));
        }
    }
    (text.to_owned(), None)
}

/// Words of a name: parted by anything but letters and digits, and by a capital after a small letter.
fn words(text: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut before = ' ';
    for c in text.chars() {
        if !c.is_alphanumeric() {
            words.push(String::new());
        } else {
            if c.is_uppercase() && before.is_lowercase() {
                words.push(String::new());
            }
            if let Some(word) = words.last_mut() {
                word.push(c);
            }
        }
        before = c;
    }
    words.retain(|w| !w.is_empty());
    words
}

/// The meaning of words that are a known phrase as a whole.
fn phrase(words: &[String]) -> Option<Meaning> {
    let typed = words.join(" ");
    if typed == "T" {
        return Some(Reading(Temperature));
    }
    let lower = typed.to_lowercase();
    // `rF` falls apart at its capital and is one word all the same.
    let joined =
        if words.len() == 2 && lower.len() <= 4 { lower.replace(' ', "") } else { lower.clone() };
    PHRASES.iter().find(|(p, _)| *p == lower || *p == joined).map(|(_, meaning)| *meaning)
}

/// The longest known phrase at either end, and the words beside it.
fn with_sensor(words: &[String]) -> (Option<Meaning>, Vec<String>) {
    for length in (1..=words.len().min(3)).rev() {
        let (front, tail) = words.split_at(words.len() - length);
        if let Some(meaning) = phrase(tail) {
            return (Some(meaning), front.to_vec());
        }
        let (head, rest) = words.split_at(length);
        if let Some(meaning) = phrase(head) {
            return (Some(meaning), rest.to_vec());
        }
    }
    numbered(words)
}

/// `T1`, `temp2`, `Q1`: a known word with a number that names the sensor.
fn numbered(words: &[String]) -> (Option<Meaning>, Vec<String>) {
    let Some((last, front)) = words.split_last() else { return (None, Vec::new()) };
    // `Tin`, `RHout`: a short word with the place glued to it.
    for (stem, quantity) in [("RH", RelativeHumidity), ("rh", RelativeHumidity), ("T", Temperature)]
    {
        let place = last.strip_prefix(stem).unwrap_or_default().to_lowercase();
        if PLACES.contains(&place.as_str()) {
            return (Some(Reading(quantity)), front.iter().cloned().chain([place]).collect());
        }
    }
    let stem = last.trim_end_matches(|c: char| c.is_ascii_digit());
    let digits = &last[stem.len()..];
    let meaning = if digits.is_empty() { None } else { phrase(&[stem.to_owned()]) };
    match meaning {
        Some(Reading(_) | LowerT) => {
            let meaning = meaning.map(|m| if m == LowerT { Reading(Temperature) } else { m });
            (meaning, front.iter().cloned().chain([digits.to_owned()]).collect())
        }
        _ => (None, words.to_vec()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (Meaning, String, Option<Unit>) {
        let l = label(text);
        (l.meaning, l.sensor, l.unit)
    }

    #[test]
    fn names_of_columns() {
        let temperature = Reading(Temperature);
        let humidity = Reading(RelativeHumidity);
        for (text, meaning, sensor, unit) in [
            ("Temperatur [°C]", temperature, "", Some(Unit::Celsius)),
            ("Feuchte [%rF]", humidity, "", Some(Unit::Percent)),
            ("T_C", temperature, "", Some(Unit::Celsius)),
            ("RH_pct", humidity, "", Some(Unit::Percent)),
            ("inside_c", temperature, "inside", Some(Unit::Celsius)),
            ("outside_rh", humidity, "outside", None),
            ("set_c", Reading(SetPoint), "", Some(Unit::Celsius)),
            ("duty_cycle", Reading(Heater), "", None),
            ("T1", temperature, "1", None),
            ("Q2", Reading(Heater), "2", None),
            ("TimeElapsed", Elapsed, "", None),
            ("ms", Elapsed, "", Some(Unit::Millisecond)),
            ("date.and.time", Time, "", None),
            ("Humidity %", humidity, "", Some(Unit::Percent)),
            ("hot_temp_c", temperature, "hot", Some(Unit::Celsius)),
            ("time_s", Time, "", Some(Unit::Second)),
            ("S1 T", temperature, "s1", None),
            ("t", LowerT, "", None),
            ("tempF", temperature, "", Some(Unit::Fahrenheit)),
            ("Temperature (inside)", temperature, "inside", None),
            ("energy_kwh", Reading(Energy), "", Some(Unit::KilowattHour)),
        ] {
            assert_eq!(read(text), (meaning, sensor.to_owned(), unit), "{text}");
        }
    }

    #[test]
    fn what_is_no_reading_of_the_air() {
        for text in ["Heat index", "err_c", "Approx. Altitude"] {
            assert!(matches!(label(text).meaning, Meaning::Ignored(_)), "{text}");
        }
        for text in
            ["Battery %", "soil_moisture", "RSSI", "CO2 [ppm]", "light_pct", "soil temperature"]
        {
            assert_eq!(label(text).meaning, Meaning::Other, "{text}");
        }
        for text in ["dew_point_c", "Td_C", "hot dew point [°C]"] {
            assert_eq!(label(text).meaning, Meaning::Humidity(HumidityMeasure::DewPoint), "{text}");
        }
        assert_eq!(label("gas resistance").meaning, Meaning::Other);
        assert_eq!(label("flange").meaning, Meaning::Unknown);
    }
}
