//! The first `run.toml` of a folder: what is known already, and everything else as a comment to
//! fill in.

use std::fmt::Write;

use super::parts::SensorPlace;
use crate::text::{slug, visible_json};

/// A text in the quotes of TOML, which knows the escapes of JSON.
fn toml(text: &str) -> String {
    let quoted = serde_json::to_string(text).unwrap_or_default();
    visible_json(&quoted).into_owned()
}

/// What is known of a log when its folder is made.
#[derive(Clone, Debug, Default)]
pub struct StarterLog {
    /// Name of its table.
    pub name: String,
    /// Where the text is, relative to the folder.
    pub file: String,
    /// Names of its sensors; empty for one that could not be read yet.
    pub sensors: Vec<String>,
    /// What keeps it from being read, as lines of a comment.
    pub trouble: Vec<String>,
}

/// Text of a first description.
#[must_use]
pub fn starter(title: &str, logs: &[StarterLog], weighings: Option<&str>) -> String {
    let mut out = format!(
        "# A measured run. The texts in raw/ are never changed; this file says what they are.\n\
         # Lines that begin with # are yours to fill in: what is not known is not guessed.\n\n\
         title = {title}\n\
         # start = \"10:00\"            # clock when load and heat went in; else the first row\n\n\
         [room]                         # as noted; a room sensor in the log goes before it\n\
         # temperature       = \"21 ± 0.5 °C\"\n\
         # relative_humidity = \"45 ± 2 %RH\"\n\
         # pressure          = \"1013 hPa\"\n\n\
         [enclosure]\n\
         # free_volume = \"8.0 ± 0.3 L\"  # gas in the box with the load in it\n\
         # vent_flow   = \"0.6 ± 0.2 L/min\"   # room air through it, where it is known\n\
         # scenario    = \"box.toml\"     # a model of the same box\n\n\
         [control]\n\
         # set_point = \"50 °C\"\n\n\
         [heater]\n\
         # power = \"60 ± 2 W\"           # while it is on, by a plug meter\n",
        title = toml(title)
    );
    for log in logs {
        let _ = write!(out, "\n[log.{}]\nfile = {}\n", bare(&log.name), toml(&log.file));
        for line in &log.trouble {
            // A comment ends with its line.
            let _ = writeln!(out, "# {}", line.replace(char::is_control, " "));
        }
        out.push_str(
            "# clock_offset = \"0 s\"        # added to this logger's clock\n\
             # first_row_at = \"10:00\"      # for a log without a clock\n",
        );
    }
    let mut names = Vec::new();
    for log in logs {
        for channel in &log.sensors {
            let name = sensor_name(&log.name, channel, &mut names);
            out.push_str(&sensor_table(&log.name, channel, &name));
        }
    }
    if let Some(file) = weighings {
        let _ = write!(
            out,
            "\n[weighings]\nfile = {file}\n\
             # clock_offset      = \"0 s\"\n\
             # scale_uncertainty = \"0.01 g\"   # where no repeat weighing is in the notes\n",
            file = toml(file)
        );
    }
    out.push_str(LATER);
    out
}

const LATER: &str = "
# [event.lid_1]                # each lid opening, unless the notes have it
# kind     = \"lid_open\"        # or heater_on, heater_off, note
# at       = \"10:30\"           # or \"30 min\" after the start
# duration = \"40 s\"
# exchange = \"60 ± 20 %\"       # share of the gas swapped

# [meter.start]                # readings of an energy meter, unless the notes have them
# at     = \"10:00\"
# energy = \"0.412 kWh\"

# [side_by_side]               # sensors in one place: offsets against the one taken as right
# from      = \"-20 min\"
# to        = \"-5 min\"
# reference = \"hot\"

# [spot.lid]                   # an infrared reading of an outside surface
# reading    = \"41 ± 1 °C\"
# emissivity = \"0.94 ± 0.03\"
# limit      = \"...\"           # the touch limit that applies to you, with limit_source
";

/// A name that is not there yet, of what names may hold.
fn sensor_name(log: &str, channel: &str, names: &mut Vec<String>) -> String {
    let odd = |c: char| c.is_control() || "\"'\\".contains(c);
    let plain = if channel.is_empty() { log } else { channel }.replace(odd, " ");
    let plain = if slug(&plain).is_empty() { "sensor".to_owned() } else { plain };
    let taken = |name: &str, names: &[String]| names.contains(&slug(name));
    let numbered = (2..).map(|i| format!("{plain} {i}"));
    let mut all = std::iter::once(plain.clone()).chain(numbered);
    let name = all.find(|name| !taken(name, names)).unwrap_or_default();
    names.push(slug(&name));
    name
}

fn sensor_table(log: &str, channel: &str, name: &str) -> String {
    let only = channel.is_empty();
    let mut out = format!("\n[sensor.{}]\nlog     = {}\n", bare(name), toml(log));
    let _ = writeln!(
        out,
        "channel = {}{}",
        toml(channel),
        if only { "            # the only sensor of its log" } else { "" }
    );
    let _ = match place_by_name(name) {
        Some((place, word)) => {
            writeln!(
                out,
                "place   = {word:?}         # guessed from its name: {place:?}; correct it"
            )
        }
        None => writeln!(
            out,
            "place   = \"box\"            # or supply (hot side), return (cold side), room"
        ),
    };
    out.push_str(
        "# controls             = true     # the control reads this one\n\
         # accuracy_temperature = \"0.5 K\"  # limits of error by its data sheet\n\
         # accuracy_humidity    = \"3 %RH\"\n\
         # offset_temperature   = \"0.2 ± 0.1 K\"   # what it reads too much\n\
         # offset_humidity      = \"1 ± 1 %RH\"\n\
         # time_constant        = \"25 ± 5 s\"\n",
    );
    out
}

/// A name as a TOML key, in quotes where it needs them.
fn bare(name: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    if !name.is_empty() && name.chars().all(plain) { name.into() } else { toml(name) }
}

/// Where a sensor of this name is likely to be, and the word for it.
fn place_by_name(name: &str) -> Option<(SensorPlace, &'static str)> {
    let name = name.to_lowercase();
    let has = |words: &[&str]| words.iter().any(|w| name.contains(w));
    if has(&["room", "amb", "bench", "outside", "lab"]) {
        Some((SensorPlace::Room, "room"))
    } else if has(&["hot", "supply", "inlet", "heater"]) {
        Some((SensorPlace::Supply, "supply"))
    } else if has(&["cold", "return", "cool"]) {
        Some((SensorPlace::Return, "return"))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measured::folder::RunSpec;
    use crate::reader::Source;

    #[test]
    fn a_starter_reads_without_complaint_and_knows_its_sensors() {
        let log = StarterLog {
            name: "box".into(),
            file: "raw/log.txt".into(),
            sensors: vec!["hot".into(), "S 2".into(), "bench".into()],
            trouble: vec!["interval = \"30 s\"".into()],
        };
        let text = starter("a \"quoted\" run", &[log], Some("raw/notes.txt"));
        let source = Source::from_bytes("run.toml", text.as_bytes()).expect("good TOML");
        let (spec, report) = RunSpec::read(&source).expect("a good description");
        assert!(report.warnings.is_empty(), "{:?}", report.warnings);
        assert_eq!(spec.title, "a \"quoted\" run");
        let places: Vec<_> = spec.sensors.iter().map(|s| (s.channel.as_str(), s.place)).collect();
        let want =
            [("hot", SensorPlace::Supply), ("S 2", SensorPlace::Box), ("bench", SensorPlace::Room)];
        assert_eq!(places, want);
        assert!(spec.weighings.is_some());
    }

    #[test]
    fn commented_lines_are_good_when_their_mark_is_taken_off() {
        let log = StarterLog { name: "box".into(), file: "a".into(), ..StarterLog::default() };
        let text = starter("run", &[log], Some("b"));
        let is_key = |l: &&str| l.starts_with("# ") && (l.contains(" = ") || l.starts_with("# ["));
        let filled = |l: &str| match Some(l).filter(|l| is_key(l)) {
            Some(l) => l.trim_start_matches("# ").replace("\"...\"", "\"60 °C\""),
            None => l.to_owned(),
        };
        let text: String = text.lines().map(|l| filled(l) + "\n").collect();
        let source = Source::from_bytes("run.toml", text.as_bytes()).expect("good TOML");
        let read = RunSpec::read(&source);
        assert!(read.is_ok(), "{read:#?}\n{text}");
    }
}
