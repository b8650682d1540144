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
    let typed =
        issue.hint.as_ref().and_then(|h| h.split_once("--").map(|(_, rest)| rest.to_owned()));
    let hint = typed
        .map(|rest| format!("write in {table} of run.toml:  {}", key_of(&format!("--{rest}"))));
    Issue { hint: hint.or(issue.hint), ..issue }
}

#[cfg(test)]
mod tests {
    use super::key_of;

    #[test]
    fn options_become_keys() {
        assert_eq!(key_of("--interval \"30 s\""), "interval = \"30 s\"");
        assert_eq!(key_of("--sample \"10%/1\"  (there are 2)"), "sample = \"10%/1\"");
        assert_eq!(key_of("--date-order dmy"), "date_order = \"dmy\"");
        assert_eq!(key_of("--columns time,rh"), "columns = [\"time\", \"rh\"]");
        assert_eq!(key_of("--swap"), "swap = true");
    }
}
