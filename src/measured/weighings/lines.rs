//! What each line of the notes was; the counts always add up to the lines.

use std::fmt;

use serde::Serialize;

/// What a line of notes is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LineClass {
    /// A weighing with its time.
    Weighing,
    /// The mass before wetting.
    DryMass,
    /// The mass when it went in.
    StartMass,
    /// When it went in.
    IntoBox,
    /// One object weighed again and again.
    Repeat,
    /// What the scale can show.
    Resolution,
    /// Readings of an energy meter.
    Energy,
    /// The lid alone.
    Lid,
    /// Names of columns.
    Header,
    /// Another sample of a table.
    OtherSample,
    /// Words without a number that counts.
    Remark,
    /// Nothing.
    Blank,
    /// A line that could not be read; told by an error.
    Unread,
}

const CLASSES: [(LineClass, &str, &str); 13] = [
    (LineClass::DryMass, "dry mass", "dry masses"),
    (LineClass::StartMass, "start mass", "start masses"),
    (LineClass::IntoBox, "into the box", "into the box"),
    (LineClass::Weighing, "weighing", "weighings"),
    (LineClass::Repeat, "repeat weighing", "repeat weighings"),
    (LineClass::Resolution, "resolution", "resolutions"),
    (LineClass::Energy, "meter reading", "meter readings"),
    (LineClass::Lid, "lid opening", "lid openings"),
    (LineClass::Header, "header", "headers"),
    (LineClass::OtherSample, "of another sample", "of other samples"),
    (LineClass::Remark, "remark", "remarks"),
    (LineClass::Blank, "blank", "blank"),
    (LineClass::Unread, "not read", "not read"),
];

/// The class of every line, in order.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct LineLedger {
    /// One class per line.
    pub lines: Vec<LineClass>,
}

impl LineLedger {
    pub(super) fn push(&mut self, class: LineClass) {
        self.lines.push(class);
    }

    /// Number of lines of a class.
    #[must_use]
    pub fn count(&self, class: LineClass) -> usize {
        self.lines.iter().filter(|c| **c == class).count()
    }
}

impl fmt::Display for LineLedger {
    /// `12 lines = 1 dry mass + 1 start mass + 7 weighings + ...`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let counts = CLASSES.iter().map(|(class, one, many)| match self.count(*class) {
            1 => format!("1 {one}"),
            n => format!("{n} {many}"),
        });
        let kept: Vec<String> = counts.filter(|c| !c.starts_with("0 ")).collect();
        let lines = self.lines.len();
        write!(f, "{lines} line{} = {}", if lines == 1 { "" } else { "s" }, kept.join(" + "))
    }
}
