//! Logs put together at random from pieces of many forms: what is read is the truth or is not there, never something else.

use drybench::measured::Series;
use drybench::measured::log::{Failure, ImportOptions, import};
use proptest::prelude::*;
use proptest::sample::select;

use crate::kit::*;

/// One form of a line of readings.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Form {
    Comma,
    CommaOtherOrder,
    Semicolon,
    Labelled,
    Json,
    NestedJson,
    KeyValue,
    Protocol,
    Tuple,
    Long,
}

const FORMS: [Form; 10] = [
    Form::Comma,
    Form::CommaOtherOrder,
    Form::Semicolon,
    Form::Labelled,
    Form::Json,
    Form::NestedJson,
    Form::KeyValue,
    Form::Protocol,
    Form::Tuple,
    Form::Long,
];

/// A reading: when [s], of which sensor, temperature [0.1 °C], humidity [0.1 %].
#[derive(Clone, Copy, Debug)]
struct Reading {
    second: u32,
    sensor: usize,
    tenths_c: u32,
    tenths_rh: u32,
}

const NAMES: [&str; 2] = ["top", "low"];

fn reading(step: u32, sensor: usize) -> Reading {
    // No temperature of one sensor is a humidity of any, nor a temperature of the other.
    let (tenths_c, tenths_rh) = match sensor {
        0 => (221 + 2 * step, 600 - 2 * step),
        _ => (222 + 2 * step, 601 - 2 * step),
    };
    Reading { second: 30 * step, sensor, tenths_c, tenths_rh }
}

fn header(form: Form, two: bool) -> Option<String> {
    let mark = if two { "sensor" } else { "" };
    let join = |parts: &[&str], by: &str| {
        parts.iter().filter(|p| !p.is_empty()).copied().collect::<Vec<_>>().join(by)
    };
    match form {
        Form::Comma => Some(join(&["time", mark, "temp_c", "rh"], ",")),
        Form::CommaOtherOrder => Some(join(&["time", mark, "rh", "temp_c"], ",")),
        Form::Semicolon => Some(join(&["time", mark, "rh", "temp_c", "battery_pct"], ";")),
        Form::Long => Some(join(&["time", mark, "quantity", "value"], ",")),
        Form::Tuple => None,
        _ => None,
    }
}

fn lines(form: Form, r: Reading, two: bool) -> Vec<String> {
    let clock = format!("2026-03-14T10:{:02}:{:02}", r.second / 60, r.second % 60);
    let value = |tenths: u32| format!("{}.{}", tenths / 10, tenths % 10);
    let (t, h) = (value(r.tenths_c), value(r.tenths_rh));
    let name = NAMES[r.sensor];
    let field = if two { format!("{name},") } else { String::new() };
    let one = match form {
        Form::Comma => format!("{clock},{field}{t},{h}"),
        Form::CommaOtherOrder => format!("{clock},{field}{h},{t}"),
        Form::Semicolon => format!("{clock};{}{h};{t};57", field.replace(',', ";")),
        Form::Labelled if two => format!("{clock} {name}: Temp: {t} C Hum: {h} %"),
        Form::Labelled => format!("{clock} Temp: {t} C Hum: {h} %"),
        Form::Json if two => format!(r#"{{"time":"{clock}","id":"{name}","temp":{t},"hum":{h}}}"#),
        Form::Json => format!(r#"{{"time":"{clock}","temp":{t},"hum":{h}}}"#),
        Form::NestedJson if two => {
            format!(r#"{{"time":"{clock}","{name}":{{"temp":{t},"hum":{h},"battery":63}}}}"#)
        }
        Form::NestedJson => {
            format!(r#"{{"time":"{clock}","air":{{"temp":{t},"hum":{h}}},"battery":63}}"#)
        }
        Form::KeyValue if two => format!("time={clock} sensor={name} hum={h} temp={t}"),
        Form::KeyValue => format!("time={clock} hum={h} temp={t}"),
        Form::Protocol => {
            // 2026-03-14T10:00:00Z is 1 773 482 400 s after 1970.
            let ns = (1_773_482_400 + u64::from(r.second)) * 1_000_000_000;
            format!("air,place={name} temp={t},hum={h} {ns}")
        }
        Form::Tuple if two => format!("('{clock}', '{name}', ('temp', {t}), ('hum', {h}))"),
        Form::Tuple => format!("('{clock}', ('temp', {t}), ('hum', {h}))"),
        Form::Long => {
            return vec![
                format!("{clock},{field}temperature,{t}"),
                format!("{clock},{field}humidity,{h}"),
            ];
        }
    };
    vec![one]
}

/// What stands between the readings.
const NOISE: [&str; 6] = [
    "",
    "# a remark",
    "sensor ok",
    "W (90211) net: beacon lost",
    "----",
    "Failed to read from sensor!",
];

fn text(parts: &[(Form, u32)], two: bool, noise: &[usize]) -> String {
    let mut out = String::new();
    let mut step = 0;
    let mut said = noise.iter().cycle();
    for (form, count) in parts {
        if let Some(header) = header(*form, two) {
            out += &format!("{header}\n");
        }
        for _ in 0..*count {
            for sensor in 0..if two { 2 } else { 1 } {
                for line in lines(*form, reading(step, sensor), two) {
                    out += &format!("{line}\n");
                }
            }
            step += 1;
            if let Some(n) = said.next().filter(|n| **n < NOISE.len()) {
                out += &format!("{}\n", NOISE[*n]);
            }
        }
    }
    out
}

/// Every value that is there must be the one that was written for its time, quantity and sensor.
fn check(series: &Series, two: bool, text: &str) -> Result<usize, TestCaseError> {
    let first = series.start.map_or(0.0, |s| s.clock_s.rem_euclid(86_400.0) - 36_000.0);
    let mut right = 0;
    for channel in series.channels.iter().filter(|c| matches!(c.quantity, Temp | Rh)) {
        for (time_s, value) in
            series.time_s.iter().zip(&channel.values).filter(|(_, v)| v.is_finite())
        {
            let step = ((time_s + first) / 30.0).round() as u32;
            let truth = |sensor: usize| {
                let r = reading(step, sensor);
                match channel.quantity {
                    Temp => f64::from(r.tenths_c) / 10.0 + 273.15,
                    _ => f64::from(r.tenths_rh) / 1000.0,
                }
            };
            let named = NAMES.iter().position(|n| channel.sensor.ends_with(n));
            let good = match named {
                Some(sensor) => (truth(sensor) - value).abs() < 1e-6,
                None => (0..if two { 2 } else { 1 }).any(|s| (truth(s) - value).abs() < 1e-6),
            };
            prop_assert!(
                good,
                "{} {:?} {value} at {time_s} s in\n{text}",
                channel.sensor,
                channel.quantity
            );
            right += 1;
        }
    }
    Ok(right)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn mixtures_give_the_truth_or_nothing(
        parts in prop::collection::vec((select(&FORMS[..]), 3..12_u32), 1..4),
        two in any::<bool>(),
        noise in prop::collection::vec(0..20_usize, 1..12),
    ) {
        let text = text(&parts, two, &noise);
        match import("mixed.txt", text.as_bytes(), ImportOptions::default()) {
            Ok((summary, series)) => {
                prop_assert!(summary.ledger.adds_up());
                check(&series, two, &text)?;
            }
            Err(Failure::Input(issues)) => prop_assert!(issues.iter().all(|i| !i.what.is_empty())),
            Err(Failure::Output(e)) => return Err(TestCaseError::fail(e.to_string())),
        }
    }
}

/// Each form by itself and each pair of forms is read whole, or refused because its two clocks are of different kinds: seconds
/// since 1970 and stamps that name no zone cannot be put on one axis.
#[test]
fn each_form_and_each_pair_is_read_whole() {
    let mut lost = Vec::new();
    let mut whole = 0;
    for two in [false, true] {
        for a in FORMS {
            for b in FORMS {
                let parts = if a == b { vec![(a, 8)] } else { vec![(a, 8), (b, 8)] };
                let text = text(&parts, two, &[99]);
                let steps: u32 = parts.iter().map(|p| p.1).sum();
                let wanted = (steps * if two { 4 } else { 2 }) as usize;
                let got = match import("pair.txt", text.as_bytes(), ImportOptions::default()) {
                    Ok((_, series)) => check(&series, two, &text).map_err(|e| e.to_string()),
                    Err(Failure::Input(issues)) => Err(drybench::reader::render(&issues)),
                    Err(Failure::Output(e)) => Err(e.to_string()),
                };
                let clocks = (a == Form::Protocol) != (b == Form::Protocol);
                let unnamed = (a == Form::Tuple) != (b == Form::Tuple) && two;
                match got {
                    Ok(n) if n == wanted => whole += 1,
                    Err(said) if said.contains("one of another kind") && (clocks || unnamed) => {}
                    got => lost.push(format!("{a:?} {b:?} two={two}: {got:?}, must be {wanted}")),
                }
            }
        }
    }
    assert!(lost.is_empty(), "{} of 200:\n{}", lost.len(), lost.join("\n"));
    assert!(whole >= 160, "{whole} of 200 whole");
}
