//! Checksums of rows: a damaged row is told, and so is a row of another sweep.

use super::manifest::Manifest;
use crate::reader::hash;

/// What the checksums of a sweep begin with: all that decides its rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seal(u64);

/// Head of the last column, and key of the last entry of a row as JSON.
pub const CHECKSUM: &str = "checksum";

/// Digits of a checksum.
const DIGITS: usize = 16;

impl Seal {
    /// That of a sweep and all its parts.
    #[must_use]
    pub fn of(manifest: &Manifest) -> Self {
        let whole = Manifest { shard: None, ..manifest.clone() };
        Seal(hash(manifest.schema_version.into(), format!("{whole:?}").as_bytes()))
    }

    /// The checksum of a text.
    #[must_use]
    pub fn sum(self, text: &[u8]) -> u64 {
        hash(self.0, text)
    }

    /// A line of CSV with its checksum as one more cell.
    pub(super) fn csv(self, line: &str) -> String {
        let row = line.trim_end_matches('\n');
        format!("{row},{:016x}\n", self.sum(row.as_bytes()))
    }

    /// A line with an object of JSON with its checksum as one more entry.
    pub(super) fn json(self, object: &str) -> String {
        let open = object.trim_end_matches('\n').strip_suffix('}').unwrap_or_default();
        format!("{open},\"{CHECKSUM}\":\"{:016x}\"}}\n", self.sum(open.as_bytes()))
    }

    /// The case of a line of the CSV table; none if it is not as it was written.
    #[must_use]
    pub fn case_of_csv(self, line: &str) -> Option<usize> {
        let (row, sum) = line.strip_suffix('\n')?.rsplit_once(',')?;
        self.fits(row, sum)?;
        row.split(',').next()?.parse().ok()
    }

    /// The row in a line of JSON; none if it is not as it was written.
    #[must_use]
    pub fn row_of_json(self, line: &str) -> Option<serde_json::Value> {
        let mark = format!(",\"{CHECKSUM}\":\"");
        let (open, sum) = line.strip_suffix("\"}\n")?.rsplit_once(&mark)?;
        self.fits(open, sum)?;
        serde_json::from_str(line).ok()
    }

    fn fits(self, text: &str, sum: &str) -> Option<()> {
        (sum.len() == DIGITS && format!("{:016x}", self.sum(text.as_bytes())) == sum).then_some(())
    }
}
