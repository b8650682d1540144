//! Keys that had another name before: an old file is told the new one.

/// Old name, new name.
const KEYS: [(&str, &str); 9] = [
    ("grazing", "cross_flow_factor"),
    ("line", "supply_voltage"),
    ("when_warm", "speed_after_warm_up"),
    ("commands", "output"),
    ("film_factor", "coefficient_factor"),
    ("inside_film", "inside_coefficient"),
    ("strand", "filament"),
    ("film", "surface_coefficient"),
    ("flange_gap", "flange_mass_transfer"),
];

/// The present name of an old key among those that its table has.
pub(super) fn present(old: &str, known: &[&str]) -> Option<&'static str> {
    let found = KEYS.iter().find(|(key, _)| *key == old).map(|(_, new)| *new);
    found.filter(|new| known.contains(new))
}

/// The present path of an old one, if it is among these.
#[must_use]
pub fn present_path<'a>(old: &str, known: &[&'a str]) -> Option<&'a str> {
    let (table, key) = old.rsplit_once('.')?;
    let (_, now) = KEYS.iter().find(|(was, _)| *was == key)?;
    let is = |path: &&&str| path.rsplit_once('.') == Some((table, *now));
    known.iter().find(is).copied()
}
