//! From bytes to numbered lines: encodings, line ends, stray bytes, and lines without end.

use super::options::Encoding;

/// Longest line kept, in bytes; the rest of a longer one is dropped and the line rejected. A line
/// of readings that were printed without line ends may be long, a picture may have none at all.
pub const MAX_LINE: usize = 1 << 20;

/// One line of the raw text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Number from 1.
    pub number: u64,
    /// Its text without the line end.
    pub text: String,
    /// Whether it ended with a line end; the last line of a file may not.
    pub ended: bool,
    /// Whether bytes were wrong: NULs inside, or longer than [`MAX_LINE`].
    pub damaged: bool,
    /// Further lines of the raw text that it holds.
    pub more: u64,
}

/// What was odd about the bytes; told at the end.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Oddities {
    /// Lines that were not UTF-8 and were read as Latin-1.
    pub latin: u64,
    /// Lines with NUL bytes.
    pub nul: u64,
    /// Whether the text is UTF-16.
    pub wide: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wide {
    No,
    Little,
    Big,
}

/// Splits bytes that arrive in pieces of any size into lines.
#[derive(Debug)]
pub struct Splitter {
    encoding: Encoding,
    head: Vec<u8>,
    started: bool,
    wide: Wide,
    odd_byte: Option<u8>,
    high_half: Option<u16>,
    line: Vec<u8>,
    overlong: bool,
    returns: u64,
    number: u64,
    oddities: Oddities,
}

/// Bytes looked at before the encoding is chosen.
const HEAD: usize = 512;

impl Splitter {
    /// A splitter at the start of a text.
    #[must_use]
    pub fn new(encoding: Encoding) -> Self {
        Self {
            encoding,
            head: Vec::new(),
            started: false,
            wide: Wide::No,
            odd_byte: None,
            high_half: None,
            line: Vec::new(),
            overlong: false,
            returns: 0,
            number: 0,
            oddities: Oddities::default(),
        }
    }

    /// Takes bytes and adds the lines they complete to `out`.
    pub fn push(&mut self, bytes: &[u8], out: &mut Vec<Line>) {
        if self.started {
            return self.units(bytes, out);
        }
        self.head.extend_from_slice(bytes);
        if self.head.len() >= HEAD {
            self.start(out);
        }
    }

    /// No more bytes have come for a while: what is there is looked at as it is.
    pub fn settle(&mut self, out: &mut Vec<Line>) {
        if !self.started && self.head.contains(&b'\n') {
            self.start(out);
        }
    }

    /// The end of the text: a last line without line end comes out.
    pub fn finish(&mut self, out: &mut Vec<Line>) {
        if !self.started {
            self.start(out);
        }
        self.settle_returns(out);
        if !self.line.is_empty() || self.overlong {
            self.emit(false, out);
        }
    }

    /// What was odd so far.
    #[must_use]
    pub fn oddities(&self) -> Oddities {
        self.oddities
    }

    /// What the text starts with: enough to recognise a picture or an archive.
    #[must_use]
    pub fn head(&self) -> &[u8] {
        &self.head
    }

    fn start(&mut self, out: &mut Vec<Line>) {
        self.started = true;
        let head = self.head.clone();
        let mark = match head[..] {
            [0xEF, 0xBB, 0xBF, ..] => 3,
            [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] => 2,
            _ => 0,
        };
        self.wide = match (self.encoding, &head[..mark]) {
            (_, [0xFF, 0xFE]) => Wide::Little,
            (_, [0xFE, 0xFF]) => Wide::Big,
            (Encoding::Utf16, _) if zeros(&head, 0) > zeros(&head, 1) => Wide::Big,
            (Encoding::Utf16, _) => Wide::Little,
            (Encoding::Auto, []) => unmarked(&head),
            _ => Wide::No,
        };
        self.oddities.wide = self.wide != Wide::No;
        self.units(&head[mark..], out);
        self.head.truncate(16);
    }

    /// Bytes of one-byte text, or pairs of bytes turned into such.
    fn units(&mut self, bytes: &[u8], out: &mut Vec<Line>) {
        if self.wide == Wide::No {
            return self.narrow(bytes, out);
        }
        for byte in bytes {
            let Some(first) = self.odd_byte.take() else {
                self.odd_byte = Some(*byte);
                continue;
            };
            let pair = [first, *byte];
            let unit = match self.wide {
                Wide::Big => u16::from_be_bytes(pair),
                _ => u16::from_le_bytes(pair),
            };
            self.unit(unit, out);
        }
    }

    /// Bytes of one-byte text, a stretch between line ends at a time.
    fn narrow(&mut self, mut bytes: &[u8], out: &mut Vec<Line>) {
        while let Some(at) = memchr::memchr2(b'\n', b'\r', bytes) {
            self.stretch(&bytes[..at], out);
            self.byte(bytes[at], out);
            bytes = &bytes[at + 1..];
        }
        self.stretch(bytes, out);
    }

    /// Bytes without a line end among them.
    fn stretch(&mut self, bytes: &[u8], out: &mut Vec<Line>) {
        if bytes.is_empty() {
            return;
        }
        self.settle_returns(out);
        let room = MAX_LINE.saturating_sub(self.line.len());
        self.overlong |= bytes.len() > room;
        self.line.extend_from_slice(&bytes[..bytes.len().min(room)]);
    }

    fn unit(&mut self, unit: u16, out: &mut Vec<Line>) {
        let units: Vec<u16> = self.high_half.take().into_iter().chain([unit]).collect();
        if units.len() == 1 && (0xD800..0xDC00).contains(&unit) {
            self.high_half = Some(unit);
            return;
        }
        for c in char::decode_utf16(units) {
            let c = c.unwrap_or(char::REPLACEMENT_CHARACTER);
            for byte in c.encode_utf8(&mut [0; 4]).bytes() {
                self.byte(byte, out);
            }
        }
    }

    /// `\n`, any number of `\r` before it, and `\r` alone end a line.
    fn byte(&mut self, byte: u8, out: &mut Vec<Line>) {
        match byte {
            b'\r' => self.returns += 1,
            b'\n' => {
                self.returns = 0;
                self.emit(true, out);
            }
            _ => {
                self.settle_returns(out);
                if self.line.len() < MAX_LINE {
                    self.line.push(byte);
                } else {
                    self.overlong = true;
                }
            }
        }
    }

    fn settle_returns(&mut self, out: &mut Vec<Line>) {
        for _ in 0..std::mem::take(&mut self.returns) {
            self.emit(true, out);
        }
    }

    fn emit(&mut self, ended: bool, out: &mut Vec<Line>) {
        self.number += 1;
        let capacity = self.line.len();
        let bytes = std::mem::replace(&mut self.line, Vec::with_capacity(capacity));
        let (mut text, damaged) = self.decode(bytes);
        if memchr::memchr(ESCAPE as u8, text.as_bytes()).is_some() {
            text = plain(&text);
        }
        // The first byte of a line of a drawn table in UTF-8.
        if memchr::memchr(0xE2, text.as_bytes()).is_some()
            && text.contains(|c: char| ('\u{2500}'..='\u{257f}').contains(&c))
        {
            text = text.chars().map(ruled).collect();
        }
        let damaged = std::mem::take(&mut self.overlong) || damaged;
        out.push(Line { number: self.number, text, ended, damaged, more: 0 });
    }

    /// NULs at the ends of a line are what a power cut leaves; inside, the line is damaged.
    fn decode(&mut self, mut bytes: Vec<u8>) -> (String, bool) {
        let mut damaged = false;
        if memchr::memchr(0, &bytes).is_some() {
            self.oddities.nul += 1;
            let kept = bytes.iter().position(|b| *b != 0).unwrap_or(bytes.len());
            bytes.drain(..kept);
            while bytes.last() == Some(&0) {
                bytes.pop();
            }
            damaged = bytes.contains(&0) || bytes.is_empty();
        }
        if self.encoding == Encoding::Latin1 {
            return (latin(&bytes), damaged);
        }
        match String::from_utf8(bytes) {
            Ok(text) => (text, damaged),
            Err(e) => {
                self.oddities.latin += 1;
                (latin(e.as_bytes()), damaged)
            }
        }
    }
}

/// What begins a command to a terminal.
const ESCAPE: char = '\u{1b}';

/// Lines of a drawn table (the block "Box Drawing" of Unicode) as the marks of a plain one.
fn ruled(c: char) -> char {
    match c {
        '│' | '┃' | '║' => '|',
        '\u{2500}'..='\u{257f}' => '-',
        c => c,
    }
}

/// The text without commands to a terminal (ISO/IEC 6429): colours leave nothing, a cleared screen a blank.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        if c != ESCAPE {
            out.push(c);
            continue;
        }
        match letters.next() {
            Some('[') => {
                // Parameters, then one letter that says what to do.
                let last = letters.by_ref().find(|c| ('@'..='~').contains(c));
                if matches!(last, Some('H' | 'J' | 'K' | 'f')) {
                    out.push(' ');
                }
            }
            Some(']') => {
                let _ = letters.by_ref().find(|c| *c == '\u{7}' || *c == ESCAPE);
                letters.next_if_eq(&'\\');
            }
            Some('(' | ')') => {
                letters.next();
            }
            _ => {}
        }
    }
    out
}

fn latin(bytes: &[u8]) -> String {
    bytes.iter().map(|b| char::from(*b)).collect()
}

/// NULs at every second byte from `first`.
fn zeros(head: &[u8], first: usize) -> usize {
    head.iter().skip(first).step_by(2).filter(|b| **b == 0).count()
}

/// UTF-16 without a mark: nearly every second byte of plain text is NUL.
fn unmarked(head: &[u8]) -> Wide {
    let pairs = head.len() / 2;
    let most = pairs * 8 / 10;
    match (zeros(head, 0), zeros(head, 1)) {
        (0, odd) if pairs >= 8 && odd > most => Wide::Little,
        (even, 0) if pairs >= 8 && even > most => Wide::Big,
        _ => Wide::No,
    }
}

/// What a file is that is no text, by its first bytes (registered signatures, common practice).
#[must_use]
pub fn foreign(head: &[u8]) -> Option<&'static str> {
    const SIGNATURES: [(&[u8], &str); 9] = [
        (b"\x89PNG", "a PNG picture"),
        (b"\xFF\xD8\xFF", "a JPEG picture"),
        (b"GIF8", "a GIF picture"),
        (b"PK\x03\x04", "an archive or a spreadsheet (ZIP)"),
        (b"\xD0\xCF\x11\xE0", "a spreadsheet or document (old binary kind)"),
        (b"%PDF", "a PDF document"),
        (b"\x1F\x8B", "a compressed file (gzip)"),
        (b"SQLite format 3", "a database"),
        (b"\x7FELF", "a program"),
    ];
    SIGNATURES.iter().find(|(start, _)| head.starts_with(start)).map(|(_, what)| *what)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(bytes: &[u8], piece: usize) -> Vec<(u64, String, bool)> {
        let mut splitter = Splitter::new(Encoding::Auto);
        let mut out = Vec::new();
        bytes.chunks(piece).for_each(|c| splitter.push(c, &mut out));
        splitter.finish(&mut out);
        out.into_iter().map(|l| (l.number, l.text, l.ended)).collect()
    }

    fn texts(bytes: &[u8]) -> Vec<String> {
        lines(bytes, 3).into_iter().map(|l| l.1).collect()
    }

    #[test]
    fn all_line_ends_are_one() {
        assert_eq!(texts(b"a\nb\r\nc\rd\r\r\ne"), ["a", "b", "c", "d", "e"]);
        assert_eq!(texts(b"a\r\r\n\r\r\nb\r\r\n"), ["a", "", "b"]);
        assert_eq!(texts(b"a\r\rb"), ["a", "", "b"]);
        assert!(!lines(b"a\nb", 1)[1].2);
        assert!(texts(b"").is_empty());
    }

    #[test]
    fn encodings_are_told_apart() {
        assert_eq!(texts(b"\xEF\xBB\xBF20 \xC2\xB0C\n"), ["20 °C"]);
        assert_eq!(texts(b"20 \xB0C\n"), ["20 °C"]);
        let wide: Vec<u8> = "\u{feff}20 °C\nok".encode_utf16().flat_map(u16::to_le_bytes).collect();
        assert_eq!(texts(&wide), ["20 °C", "ok"]);
        let bare: Vec<u8> =
            "Temp: 20 C\nTemp: 21 C\n".encode_utf16().flat_map(u16::to_be_bytes).collect();
        assert_eq!(texts(&bare), ["Temp: 20 C", "Temp: 21 C"]);
    }

    #[test]
    fn a_line_without_end_is_cut_short() {
        let mut splitter = Splitter::new(Encoding::Auto);
        let mut out = Vec::new();
        splitter.push(&vec![b'x'; 3 * MAX_LINE], &mut out);
        splitter.push(b"\nrest\n", &mut out);
        assert_eq!((out.len(), out[0].text.len()), (2, MAX_LINE));
        assert!(out[0].damaged && !out[1].damaged);
    }
}
