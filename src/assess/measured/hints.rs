//! What to type in a run's description where a message names an option.

use crate::reader::Issue;

/// `--date-order dmy` on the command line is `date_order = "dmy"` in a run's description.
pub(super) fn key_of(pin: &str) -> String {
    let Some(option) = pin.trim().strip_prefix("--") else { return pin.to_owned() };
    let (key, rest) = option.split_once(' ').unwrap_or((option, ""));
    let rest = rest.trim_start();
    let value = match rest.strip_prefix('"') {
        Some(quoted) => quoted.split('"').next().unwrap_or_default(),
        None => rest.split_whitespace().next().unwrap_or_default(),
    };
    let key = key.replace('-', "_");
    if value.is_empty() {
        format!("{key} = true")
    } else if key == "columns" {
        let names: Vec<String> = value.split(',').map(|name| format!("{name:?}")).collect();
        format!("{key} = [{}]", names.join(", "))
    } else {
        format!("{key} = \"{value}\"")
    }
}

/// The same message with what to type in a folder.
pub(super) fn in_folder(issue: Issue, table: &str) -> Issue {
    let hint = issue.hint.as_ref().and_then(|h| {
        let all: Vec<String> = h.split("\n").filter_map(keys_of_line).collect();
        let first = if all.len() > 1 { "write one of these" } else { "write" };
        let list = all.join("\n     or  ");
        (!all.is_empty()).then(|| format!("{first} in {table} of run.toml:  {list}"))
    });
    Issue { hint: hint.or(issue.hint), ..issue }
}

/// The options of a line of a hint as keys, with what stands in brackets behind them.
fn keys_of_line(line: &str) -> Option<String> {
    let mut pieces = line.split("--");
    pieces.next();
    let pieces: Vec<&str> = pieces.collect();
    let keys: Vec<String> = pieces.iter().map(|p| key_of(&format!("--{p}"))).collect();
    let told = pieces.last()?.split_once("  (starts").map(|(_, told)| format!("  (starts{told}"));
    Some(format!("{}{}", keys.join(", "), told.unwrap_or_default()))
}

#[cfg(test)]
mod tests {
    use super::{in_folder, key_of};
    use crate::reader::Issue;

    #[test]
    fn options_become_keys() {
        assert_eq!(key_of("--interval \"30 s\""), "interval = \"30 s\"");
        assert_eq!(key_of("--sample \"10%/1\"  (there are 2)"), "sample = \"10%/1\"");
        assert_eq!(key_of("--date-order dmy"), "date_order = \"dmy\"");
        assert_eq!(key_of("--columns time,rh"), "columns = [\"time\", \"rh\"]");
        assert_eq!(key_of("--swap"), "swap = true");
    }

    #[test]
    fn each_option_that_a_hint_offers_becomes_a_key() {
        let hint = |typed: &str| {
            let issue = Issue::of_file("x", "log.txt", "what".into(), typed);
            in_folder(issue, "[log.box]").hint.unwrap_or_default()
        };
        assert_eq!(
            hint(
                "Say which:  --temperature-unit \"0.01 C\" --humidity-unit \"0.1 percent\"  (starts at 22.0 °C)"
            ),
            "write in [log.box] of run.toml:  temperature_unit = \"0.01 C\", humidity_unit = \"0.1 percent\"  (starts at 22.0 °C)"
        );
        assert_eq!(
            hint(
                "More than one:  --columns rh,temp_f  (starts at 1)\n     or  --columns temp_c,rh  (starts at 2)"
            ),
            "write one of these in [log.box] of run.toml:  columns = [\"rh\", \"temp_f\"]  (starts at 1)\n     \
             or  columns = [\"temp_c\", \"rh\"]  (starts at 2)"
        );
        assert_eq!(hint("check the name"), "check the name");
    }
}
