//! The count of lines: every line of the file is in exactly one class.

use std::fmt;

/// What a line turned out to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Class {
    /// A reading in which temperature and humidity of every sensor are there.
    Reading,
    /// A reading in which some of them are missing.
    Partial,
    /// A read that failed; it keeps its time.
    Failed,
    /// A further line of a reading that takes several.
    InBlock,
    /// Names of columns.
    Header,
    /// A line that names units, such as `t=s`.
    Units,
    /// A comment.
    Comment,
    /// What the logger prints at its start.
    Banner,
    /// Nothing, perhaps after a stamp.
    Blank,
    /// A restart of the logger.
    Restart,
    /// Cut off at an end: rejected whole.
    Cut,
    /// The same reading at the same time once more.
    Duplicate,
    /// Another reading at a time that is taken.
    SameTime,
    /// A reading far too late to be sorted in.
    OutOfOrder,
    /// A line that goes against the form of the file.
    Contradiction,
    /// A reading without a time of its own.
    NoTime,
    /// Bytes that are no text, or a line without end.
    Damaged,
    /// Other text.
    Text,
}

impl Class {
    /// Every class, in the order of the printed line.
    pub const ALL: [Self; 18] = [
        Self::Reading,
        Self::Partial,
        Self::Failed,
        Self::InBlock,
        Self::Header,
        Self::Units,
        Self::Comment,
        Self::Banner,
        Self::Restart,
        Self::Blank,
        Self::Cut,
        Self::Duplicate,
        Self::SameTime,
        Self::OutOfOrder,
        Self::Contradiction,
        Self::NoTime,
        Self::Damaged,
        Self::Text,
    ];

    /// Its words for one line and for several.
    #[must_use]
    pub fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::Reading => ("reading", "readings"),
            Self::Partial => ("partial reading", "partial readings"),
            Self::Failed => ("failed read", "failed reads"),
            Self::InBlock => ("in blocks", "in blocks"),
            Self::Header => ("header", "headers"),
            Self::Units => ("unit line", "unit lines"),
            Self::Comment => ("comment", "comments"),
            Self::Banner => ("banner", "banner"),
            Self::Restart => ("restart", "restarts"),
            Self::Blank => ("blank", "blank"),
            Self::Cut => ("cut", "cut"),
            Self::Duplicate => ("duplicate", "duplicates"),
            Self::SameTime => ("at a taken time", "at a taken time"),
            Self::OutOfOrder => ("out of order", "out of order"),
            Self::Contradiction => ("contradiction", "contradictions"),
            Self::NoTime => ("without time", "without time"),
            Self::Damaged => ("damaged", "damaged"),
            Self::Text => ("other text", "other text"),
        }
    }

    /// The key in JSON.
    #[must_use]
    pub fn key(self) -> String {
        self.words().1.replace(' ', "_")
    }
}

/// How many lines are in each class.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ledger {
    counts: [u64; Class::ALL.len()],
    lines: u64,
}

fn index(class: Class) -> usize {
    Class::ALL.iter().position(|c| *c == class).unwrap_or(0)
}

impl Ledger {
    /// Notes that a line was read.
    pub(super) fn line(&mut self) {
        self.lines += 1;
    }

    /// Puts one line into a class.
    pub(super) fn put(&mut self, class: Class) {
        self.counts[index(class)] += 1;
    }

    /// Lines of the file.
    #[must_use]
    pub fn lines(&self) -> u64 {
        self.lines
    }

    /// Lines of a class.
    #[must_use]
    pub fn count(&self, class: Class) -> u64 {
        self.counts[index(class)]
    }

    /// Classes that have lines, in printed order.
    pub fn entries(&self) -> impl Iterator<Item = (Class, u64)> {
        Class::ALL.into_iter().map(|c| (c, self.count(c))).filter(|(_, n)| *n > 0)
    }

    /// Whether the classes add up to the lines of the file.
    #[must_use]
    pub fn adds_up(&self) -> bool {
        self.counts.iter().sum::<u64>() == self.lines
    }
}

impl fmt::Display for Ledger {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} line{} =", self.lines, if self.lines == 1 { "" } else { "s" })?;
        for (i, (class, n)) in self.entries().enumerate() {
            let (one, many) = class.words();
            write!(
                f,
                "{} {n} {}",
                if i == 0 { "" } else { " +" },
                if n == 1 { one } else { many }
            )?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_prints_one_line_that_adds_up() {
        let mut ledger = Ledger::default();
        for class in [Class::Blank, Class::Reading, Class::Failed, Class::Reading] {
            ledger.line();
            ledger.put(class);
        }
        assert_eq!(ledger.to_string(), "4 lines = 2 readings + 1 failed read + 1 blank");
        assert!(ledger.adds_up());
        ledger.line();
        assert!(!ledger.adds_up());
    }
}
