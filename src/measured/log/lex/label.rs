//! Names of columns and labels before values: what they mean, of which sensor, in which unit.

use Meaning::{Elapsed, LowerT, Reading, Time};
use Quantity::{RelativeHumidity, Temperature};

use super::meaning::Meaning;
use super::unit::{self, Unit};
use super::words::{FILLERS, IGNORED, MEASURES, OTHERS, PHRASES, PLACES, SENSORS};
use crate::measured::Quantity;

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
    let capital = words.len() == 2 && words[1].starts_with(char::is_uppercase);
    let joined = if capital && lower.len() <= 4 { lower.replace(' ', "") } else { lower.clone() };
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
    use Meaning::Elapsed;
    use Quantity::{Energy, Heater, SetPoint};

    use super::super::meaning::HumidityMeasure;
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
