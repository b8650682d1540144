//! Byte offsets to lines and columns.

use super::node::SourcePlace;

/// Bytes between two counted marks; a column costs at most one block to find, however long the line.
const BLOCK: usize = 256;

/// Line starts and character counts of a text.
pub struct Lines {
    starts: Vec<usize>,
    /// Characters that start before each multiple of [`BLOCK`].
    marks: Vec<usize>,
    bytes: Vec<u8>,
}

impl Lines {
    pub fn new(text: &str) -> Self {
        let after = text.match_indices('\n').map(|(at, _)| at + 1);
        let mut count = 0;
        let mut marks = vec![0];
        for block in text.as_bytes().chunks(BLOCK) {
            count += characters(block);
            marks.push(count);
        }
        let starts = std::iter::once(0).chain(after).collect();
        Self { starts, marks, bytes: text.as_bytes().to_vec() }
    }

    /// The place of a byte; past the end it is the place just behind the last character.
    pub fn place(&self, at: usize) -> SourcePlace {
        let at = at.min(self.bytes.len());
        let line = self.starts.partition_point(|start| *start <= at);
        let start = self.starts[line - 1];
        SourcePlace { line, column: self.before(at) - self.before(start) + 1 }
    }

    fn before(&self, at: usize) -> usize {
        let block = at / BLOCK;
        self.marks[block] + characters(&self.bytes[block * BLOCK..at])
    }
}

/// Characters that start in a piece of UTF-8: every byte that is not a continuation.
fn characters(bytes: &[u8]) -> usize {
    bytes.iter().filter(|b| (**b & 0xc0) != 0x80).count()
}
