//! Values that go over several lines, as JSON does when it is printed for people: one line for each.

use super::bytes::Line;
use super::shapes::json::open_brackets;

/// Longest value kept together, in lines and bytes; what is longer is read line by line.
const MOST_LINES: usize = 65_536;
const MOST_BYTES: usize = 1 << 22;

/// Joins lines until the brackets that the first one opens are closed.
#[derive(Debug, Default)]
pub struct Joiner {
    held: Vec<Line>,
    bytes: usize,
    open: i64,
}

impl Joiner {
    /// Takes lines and gives those that are whole.
    pub fn take(&mut self, lines: Vec<Line>) -> Vec<Line> {
        let plain = |l: &Line| !l.text.trim_start().starts_with(['{', '[']);
        if self.held.is_empty() && lines.iter().all(plain) {
            return lines;
        }
        let mut out = Vec::with_capacity(lines.len());
        lines.into_iter().for_each(|l| self.one(l, &mut out));
        out
    }

    fn one(&mut self, line: Line, out: &mut Vec<Line>) {
        if self.held.is_empty() {
            match opens(&line) {
                Some(open) => self.open = open,
                None => return out.push(line),
            }
        } else {
            self.open += open_brackets(&line.text);
        }
        self.bytes += line.text.len() + 1;
        let damaged = line.damaged;
        self.held.push(line);
        if self.open <= 0 && !damaged {
            return out.push(self.whole());
        }
        if damaged || self.held.len() > MOST_LINES || self.bytes > MOST_BYTES {
            self.give_up(out);
        }
    }

    /// The end of the text: what was never closed comes out line by line.
    pub fn finish(&mut self, out: &mut Vec<Line>) {
        self.give_up(out);
    }

    fn give_up(&mut self, out: &mut Vec<Line>) {
        out.append(&mut self.held);
        (self.open, self.bytes) = (0, 0);
    }

    fn whole(&mut self) -> Line {
        let held = std::mem::take(&mut self.held);
        (self.open, self.bytes) = (0, 0);
        let texts: Vec<&str> = held.iter().map(|l| l.text.trim()).collect();
        let text = texts.join(" ");
        let (number, more) = (held[0].number, held.len() as u64 - 1);
        let ended = held.last().is_some_and(|l| l.ended);
        Line { number, text, ended, damaged: false, more }
    }
}

/// How many brackets a line leaves open that begins a value of several lines.
fn opens(line: &Line) -> Option<i64> {
    let text = line.text.trim();
    let open = open_brackets(text);
    if open <= 0 || line.damaged || !text.starts_with(['{', '[']) {
        return None;
    }
    let inner = text[1..].trim_start();
    let value = inner.is_empty() || inner.starts_with(['{', '[', '"', '\'']);
    // The list around all records is not waited for: its records are read one by one.
    let list = text.starts_with('[') && open == 1;
    (value && !list).then_some(open)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn joined(text: &str) -> Vec<(u64, u64, String)> {
        let line = |(i, l): (usize, &str)| Line {
            number: i as u64 + 1,
            text: l.to_owned(),
            ended: true,
            damaged: false,
            more: 0,
        };
        let mut joiner = Joiner::default();
        let mut out = joiner.take(text.lines().enumerate().map(line).collect());
        joiner.finish(&mut out);
        out.into_iter().map(|l| (l.number, l.more, l.text)).collect()
    }

    #[test]
    fn values_over_several_lines() {
        let got = joined("[\n{\n\"t\": 1\n},\n{\"t\": 2}\n]");
        let want = [(1, 0, "["), (2, 2, "{ \"t\": 1 },"), (5, 0, "{\"t\": 2}"), (6, 0, "]")];
        assert_eq!(got, want.map(|(n, m, t)| (n, m, t.to_owned())));
        assert_eq!(joined("{\"list\": [\n{\"t\": 1}\n]}").len(), 1);
        assert_eq!(joined("{\"never\": [\n1\n2").len(), 3);
        assert_eq!(joined("[30000] T=1\n[A] x").len(), 2);
    }
}
