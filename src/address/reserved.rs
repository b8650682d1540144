//! Names that things of a scenario may not have: columns, accounts and messages could not tell them apart.

/// Names that a zone may not have: zones have columns beside those of these.
pub const NOT_FOR_ZONES: [&str; 4] = ["all", "element", "mains", "room"];

/// Names that a load may not have: what columns, accounts and figures call something of every box.
pub const NOT_FOR_LOADS: [&str; 24] = [
    "air",
    "all",
    "box",
    "control",
    "cut_out",
    "element",
    "energy",
    "exhaust",
    "fan",
    "floor",
    "heater",
    "lid",
    "loads",
    "mains",
    "pinhole",
    "power",
    "room",
    "sensor",
    "set_point",
    "vent",
    "wall",
    "walls",
    "water",
    "water_in_box",
];

/// What follows the name of a load in the columns of its pieces.
const PIECES: [&str; 7] = ["core", "half", "layer", "resistance", "rim", "shell", "slice"];

/// Whether the columns of two names, or of pieces of what has them, could not be told apart.
#[must_use]
pub fn clash(one: &str, other: &str) -> bool {
    let piece = |long: &str, short: &str| {
        let rest = long.strip_prefix(short).and_then(|r| r.strip_prefix('_'));
        rest.is_some_and(|r| PIECES.iter().any(|p| r == *p || r.starts_with(&format!("{p}_"))))
    };
    one == other || piece(one, other) || piece(other, one)
}
