//! A chapter as plain text for a terminal.

/// Widest line, blocks of code excepted.
const WIDTH: usize = 96;

/// The Markdown of a chapter as plain text: marks and links are left out, paragraphs and tables laid out anew.
pub fn plain(markdown: &str) -> String {
    let mut page = Page::default();
    let mut in_block = false;
    for line in markdown.lines() {
        if line.starts_with("```") {
            page.end();
            in_block = !in_block;
        } else if in_block {
            page.line(format!("    {line}").trim_end());
        } else if line.starts_with("<!--") || is_definition(line) {
            page.end();
        } else {
            page.take(line);
        }
    }
    page.end();
    page.text.trim_start().to_owned()
}

/// A target of links, at the end of a chapter.
fn is_definition(line: &str) -> bool {
    line.starts_with('[') && line.contains("]: ")
}

/// What has been written, and what is still being collected.
#[derive(Default)]
struct Page {
    text: String,
    /// A paragraph or an item of a list, with the mark of the item.
    words: Vec<String>,
    mark: String,
    table: Vec<Vec<String>>,
}

impl Page {
    fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
    }

    /// An empty line, unless there is one.
    fn gap(&mut self) {
        if !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    fn take(&mut self, line: &str) {
        let trimmed = line.trim_start();
        if let Some(row) = trimmed.strip_prefix('|') {
            self.end_words();
            let cells: Vec<String> = row
                .trim_end()
                .trim_end_matches('|')
                .split(" | ")
                .map(|c| inline(c.trim()))
                .collect();
            if !row.starts_with("---") {
                self.table.push(cells);
            }
            return;
        }
        self.end_table();
        if trimmed.is_empty() {
            self.end_words();
            self.gap();
        } else if let Some(title) = trimmed.strip_prefix('#') {
            self.end();
            let under = if title.starts_with('#') { "-" } else { "=" };
            let title = inline(title.trim_start_matches('#').trim());
            self.gap();
            self.line(&title);
            self.line(&under.repeat(title.chars().count()));
        } else if let Some((mark, rest)) = item(trimmed) {
            self.end_words();
            self.mark = mark.to_owned();
            self.words.push(rest.to_owned());
        } else {
            self.words.push(trimmed.to_owned());
        }
    }

    fn end(&mut self) {
        self.end_words();
        self.end_table();
    }

    fn end_words(&mut self) {
        let text = inline(&std::mem::take(&mut self.words).join(" "));
        let mark = std::mem::take(&mut self.mark);
        if text.is_empty() {
            return;
        }
        let wide = mark.chars().count();
        for (i, line) in wrapped(&text, WIDTH - wide).into_iter().enumerate() {
            let before = if i == 0 { mark.clone() } else { " ".repeat(wide) };
            self.line(&format!("{before}{line}"));
        }
    }

    /// Columns beside each other where they find room, else a paragraph for each row.
    fn end_table(&mut self) {
        let table = std::mem::take(&mut self.table);
        let Some(head) = table.first().cloned() else { return };
        let size = |cell: &String| cell.chars().count();
        let wide = |column: usize| table.iter().filter_map(|r| r.get(column)).map(size).max();
        let widths: Vec<usize> = (0..head.len()).map(|c| wide(c).unwrap_or(0)).collect();
        if widths.iter().map(|w| w + 2).sum::<usize>() <= WIDTH {
            for row in &table {
                let cells = row.iter().zip(&widths).map(|(c, w)| format!("{c:<w$}  "));
                self.line(&format!("  {}", cells.collect::<String>().trim_end()));
            }
            return;
        }
        for row in &table[1..] {
            let (first, rest) = row.split_first().map_or(("", row.as_slice()), |(f, r)| (f, r));
            self.line(&format!("  {first}"));
            let filled = head.iter().skip(1).zip(rest).filter(|(_, cell)| !cell.is_empty());
            let named: Vec<String> = filled
                .map(|(n, c)| if rest.len() > 1 { format!("{n}: {c}") } else { c.clone() })
                .collect();
            // Many short cells in a line, few long ones in paragraphs.
            let parts = if rest.len() > 3 { vec![named.join("; ")] } else { named };
            for line in parts.iter().flat_map(|p| wrapped(p, WIDTH - 6)) {
                self.line(&format!("      {line}"));
            }
        }
    }
}

/// Mark and text of an item of a list.
fn item(line: &str) -> Option<(&str, &str)> {
    let digits = line.len() - line.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let mark = if line.starts_with("- ") {
        2
    } else if digits > 0 && line[digits..].starts_with(". ") {
        digits + 2
    } else {
        return None;
    };
    Some(line.split_at(mark))
}

fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut open = String::new();
    for word in text.split_whitespace() {
        if !open.is_empty() && open.chars().count() + 1 + word.chars().count() > width {
            lines.push(std::mem::take(&mut open));
        }
        if !open.is_empty() {
            open.push(' ');
        }
        open.push_str(word);
    }
    lines.push(open);
    lines
}

/// A text without its marks: bold, links, pictures, code, escapes.
fn inline(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(['`', '*', '[', '!', '\\']) {
        out.push_str(&rest[..at]);
        let here = &rest[at..];
        let link = here.strip_prefix("![").or_else(|| here.strip_prefix('[')).and_then(link);
        if let Some((code, after)) = here.strip_prefix('`').and_then(|r| r.split_once('`')) {
            out.push_str(code);
            rest = after;
        } else if let Some((words, target, after)) = link {
            let words = inline(words);
            match here.starts_with('!') {
                true => {
                    out.push_str(&format!("Picture {}: {words}", target.trim_start_matches("../")))
                }
                false => out.push_str(&words),
            }
            rest = after;
        } else {
            // An escape keeps what follows; an asterisk is a mark.
            let escaped = here.strip_prefix('\\').and_then(|r| r.chars().next());
            let kept = escaped.or(here.chars().next()).filter(|c| escaped.is_some() || *c != '*');
            out.extend(kept);
            rest = &here[1 + escaped.map_or(0, char::len_utf8)..];
        }
    }
    out + rest
}

/// Words, target and what follows of a link whose bracket is open.
fn link(open: &str) -> Option<(&str, &str, &str)> {
    let (words, after) = open.split_once(']')?;
    for (from, to) in [('(', ')'), ('[', ']')] {
        if let Some((target, after)) = after.strip_prefix(from).and_then(|r| r.split_once(to)) {
            return Some((words, target, after));
        }
    }
    let is_name = !words.is_empty() && words.chars().all(|c| c.is_ascii_lowercase() || c == '_');
    is_name.then_some((words, "", after))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_go_and_words_stay() {
        let cases = [
            ("**Bold** and *not*, `vent.<name>` as it is", "Bold and not, vent.<name> as it is"),
            ("see [why vents matter][vents] or [sweeps].", "see why vents matter or sweeps."),
            ("![A box](../../scenarios/box.svg)", "Picture scenarios/box.svg: A box"),
            ("\\[Crank1975\\], latent heat [1]", "[Crank1975], latent heat [1]"),
            ("`[room]` keeps its *brackets*!", "[room] keeps its brackets!"),
        ];
        for (markdown, want) in cases {
            assert_eq!(inline(markdown), want);
        }
    }

    #[test]
    fn blocks_tables_and_lists_are_laid_out() {
        let text = "# Title\n\nOne\ntwo.\n\n<!-- mark -->\n```sh\ndrybench air\n```\n\n- a\n  b\n1. c\n\n| k | v |\n|---|---|\n| `x` | 1 |\n\n[a]: b.md\n";
        let want =
            "Title\n=====\n\nOne two.\n\n    drybench air\n\n- a b\n1. c\n\n  k  v\n  x  1\n";
        assert_eq!(plain(text).trim_end(), want.trim_end());
    }

    #[test]
    fn a_wide_table_becomes_paragraphs() {
        let long = "word ".repeat(40);
        let text = format!("| k | v | w |\n|---|---|---|\n| x | {long} | y |\n");
        let shown = plain(&text);
        assert!(shown.starts_with("x\n      v: word word"), "{shown}");
        assert!(shown.contains("\n      w: y\n"), "{shown}");
        assert!(shown.lines().all(|l| l.chars().count() <= WIDTH), "{shown}");
    }
}
