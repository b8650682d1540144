//! What of the data of a fit is not compared, and what else a reader must know before the search.

use crate::assess::LogText;
use crate::measured::{Channel, Quantity};
use crate::reader::Source;
use crate::study::box_fit::RunData;
use crate::units::{self, Kind};

/// Seconds of a table that are as many times the length of the run look like milliseconds.
const MILLI: f64 = 1e3;

/// `1 reading`, `2 readings`, and the verb after it.
fn readings(count: usize, verbs: (&str, &str)) -> (String, String) {
    let (s, verb) = if count == 1 { ("", verbs.0) } else { ("s", verbs.1) };
    (format!("{count} reading{s}"), verb.to_owned())
}

/// Readings of a table that are not compared, and why.
pub fn left_out(run: &RunData, end_s: f64) -> Vec<String> {
    let all: Vec<(f64, f64)> = run
        .observed
        .iter()
        .flat_map(|o| o.times_s.iter().copied().zip(o.values.iter().copied()))
        .collect();
    let count = |which: &dyn Fn(f64, f64) -> bool| all.iter().filter(|r| which(r.0, r.1)).count();
    let early = count(&|t, v| t < 0.0 && v.is_finite());
    let late = count(&|t, v| t > end_s && v.is_finite());
    // A column that is mostly empty holds what is read now and then, such as weighings.
    let missing = |values: &[f64]| {
        let empty = values.iter().filter(|v| v.is_nan()).count();
        let gaps = if 2 * empty < values.len() { empty } else { 0 };
        gaps + values.iter().filter(|v| v.is_infinite()).count()
    };
    let none: usize = run.observed.iter().map(|o| missing(&o.values)).sum();
    let (name, mut out) = (&run.name, Vec::new());
    if early > 0 {
        let (readings, are) = readings(early, ("is", "are"));
        out.push(format!(
            "{name}: {readings} before the start (time_s below 0) {are} left out, of {}",
            all.len()
        ));
    }
    if none > 0 {
        let (readings, are) = readings(none, ("is no number", "are no numbers"));
        out.push(format!(
            "{name}: {readings} of {} {are} (empty, nan or inf): left out",
            all.len()
        ));
    }
    if late > 0 {
        let last_s = all.iter().filter(|r| r.1.is_finite()).map(|r| r.0).fold(0.0, f64::max);
        let (readings, are) = readings(late, ("is", "are"));
        let last = units::format(Kind::Time, last_s);
        let what = format!(
            "{name}: {readings} after the end of the scenario's run ({}) {are} left out, of {}; the last is at {last}",
            units::format(Kind::Time, end_s),
            all.len()
        );
        let milli = last_s > 0.1 * MILLI * end_s;
        out.push(match milli {
            true => format!(
                "{what}: if time_s is in milliseconds, divide it by 1000, else --set \"run.duration={last}\""
            ),
            false => format!("{what}: --set \"run.duration={last}\" makes it longer"),
        });
    }
    out
}

/// A thermostat whose heater was not logged, and no means.
pub fn switches_by_itself(source: &Source, means_s: Option<f64>) -> Option<String> {
    let own = source.get_text("control.kind").as_deref() == Some("thermostat");
    (own && means_s.is_none()).then(|| {
        "Warning: no column is the heater, so the box's own thermostat switches it, at other moments than the real \
         one, and these decide the misfit: map its logged state, --map heater_pct=control.heater, or compare \
         means over a few of its cycles, --cycle-means \"10 min\""
            .to_owned()
    })
}

/// Columns of a log of a folder with which nothing is compared.
pub fn not_compared(log: &LogText) -> Option<String> {
    let series = &log.series;
    let lost = |c: &Channel| match c.quantity {
        Quantity::RelativeHumidity
            if series.channel(&c.sensor, Quantity::Temperature).is_none() =>
        {
            let whose = if c.sensor.is_empty() { "no named sensor" } else { &c.sensor };
            Some(format!("the relative humidity of {whose} (no temperature stands beside it)"))
        }
        Quantity::Mass => Some("the mass (weighings come from the notes)".to_owned()),
        Quantity::Fan => Some("the fan's command".to_owned()),
        Quantity::Other => {
            Some(format!("{} (a quantity that this program does not know)", c.sensor))
        }
        _ => None,
    };
    let mut all: Vec<String> = series.channels.iter().filter_map(lost).collect();
    // The line of what was found names what the importer left out.
    let found = log.detected.rsplit("; ").next().unwrap_or_default();
    let ignored = found.split(", ").filter_map(|part| part.split_once(" ignored ("));
    all.extend(ignored.map(|(name, why)| format!("{name} ({}", why)));
    (!all.is_empty()).then(|| {
        format!(
            "not compared, of [log.{}]: {} (write columns = [...] in it for what each column is)",
            log.name,
            all.join(", ")
        )
    })
}
