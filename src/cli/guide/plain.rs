//! A chapter as plain text for a terminal.

use pulldown_cmark::{Event, HeadingLevel, Options, Parser, Tag, TagEnd};

/// Widest line, blocks of code excepted.
const WIDTH: usize = 96;

/// The Markdown of a chapter as plain text: marks and links are left out, paragraphs and tables laid out anew.
pub(super) fn plain(markdown: &str) -> String {
    let mut page = Page::default();
    Parser::new_ext(markdown, Options::ENABLE_TABLES).for_each(|event| page.take(event));
    page.text.trim_start().to_owned()
}

/// What has been written, and what is still being collected.
#[derive(Default)]
struct Page {
    text: String,
    /// A paragraph, a cell, a title or the text of an item.
    words: String,
    /// Mark of the item that begins.
    mark: String,
    /// Number of the next item of each open list; none for one without numbers.
    lists: Vec<Option<u64>>,
    table: Vec<Vec<String>>,
    in_code: bool,
}

impl Page {
    fn take(&mut self, event: Event<'_>) {
        match event {
            Event::Text(text) if self.in_code => {
                text.lines().for_each(|line| self.line(format!("    {line}").trim_end()));
            }
            Event::Text(text) | Event::Code(text) => self.words.push_str(&text),
            Event::SoftBreak | Event::HardBreak => self.words.push(' '),
            Event::Start(tag) => self.start(tag),
            Event::End(tag) => self.end(tag),
            // Marks for tests, and what this guide does not use.
            _ => {}
        }
    }

    fn start(&mut self, tag: Tag<'_>) {
        match tag {
            Tag::List(number) => {
                self.paragraph();
                self.lists.push(number);
            }
            Tag::Item => {
                let indent = "  ".repeat(self.lists.len().saturating_sub(1));
                let mark = match self.lists.last_mut() {
                    Some(Some(number)) => {
                        *number += 1;
                        format!("{}. ", *number - 1)
                    }
                    _ => "- ".to_owned(),
                };
                self.mark = indent + &mark;
            }
            Tag::CodeBlock(_) => self.in_code = true,
            Tag::TableHead | Tag::TableRow => self.table.push(Vec::new()),
            Tag::Image { dest_url, .. } => {
                self.words += &format!("Picture {}: ", dest_url.trim_start_matches("../"));
            }
            _ => {}
        }
    }

    fn end(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Heading(level) => {
                let title = std::mem::take(&mut self.words);
                let under = if level == HeadingLevel::H1 { "=" } else { "-" };
                self.line(&title);
                self.line(&under.repeat(title.chars().count()));
            }
            TagEnd::Paragraph | TagEnd::Item => {
                self.paragraph();
                if !self.lists.is_empty() {
                    return;
                }
            }
            TagEnd::List(_) => {
                self.lists.pop();
                if !self.lists.is_empty() {
                    return;
                }
            }
            TagEnd::CodeBlock => self.in_code = false,
            TagEnd::TableCell => {
                let cell = std::mem::take(&mut self.words);
                self.table.last_mut().into_iter().for_each(|row| row.push(cell.clone()));
                return;
            }
            TagEnd::Table => self.table(),
            _ => return,
        }
        self.text.push('\n');
    }

    fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
    }

    fn paragraph(&mut self) {
        let words = std::mem::take(&mut self.words);
        let mark = std::mem::take(&mut self.mark);
        if !words.is_empty() {
            self.filled(&words, &mark, &" ".repeat(mark.chars().count()));
        }
    }

    /// A text with its first line and its others indented.
    fn filled(&mut self, words: &str, first: &str, others: &str) {
        let options = textwrap::Options::new(WIDTH).break_words(false);
        let options = options.initial_indent(first).subsequent_indent(others);
        self.line(&textwrap::fill(words, options));
    }

    /// Columns beside each other where they find room, else a paragraph for each row.
    fn table(&mut self) {
        let table = std::mem::take(&mut self.table);
        let Some(head) = table.first() else { return };
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
            let cells = head.iter().skip(1).zip(rest).filter(|(_, cell)| !cell.is_empty());
            let named: Vec<String> = cells
                .map(|(n, c)| if rest.len() > 1 { format!("{n}: {c}") } else { c.clone() })
                .collect();
            // Many short cells in a line, few long ones in paragraphs.
            let parts = if rest.len() > 3 { vec![named.join("; ")] } else { named };
            parts.iter().for_each(|part| self.filled(part, "      ", "      "));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_go_and_words_stay() {
        let cases = [
            ("**Bold** and *not*, `vent.<name>` as it is", "Bold and not, vent.<name> as it is"),
            (
                "see [why vents matter][vents] or [sweeps].\n\n[vents]: a\n[sweeps]: b",
                "see why vents matter or sweeps.",
            ),
            ("![A box](../../scenarios/box.svg)", "Picture scenarios/box.svg: A box"),
            ("\\[Crank1975\\], latent heat [1]", "[Crank1975], latent heat [1]"),
            ("`[room]` keeps its *brackets*!", "[room] keeps its brackets!"),
        ];
        for (markdown, want) in cases {
            assert_eq!(plain(markdown).trim_end(), want);
        }
    }

    #[test]
    fn blocks_tables_and_lists_are_laid_out() {
        let text = "# Title\n\nOne\ntwo.\n\n<!-- mark -->\n```sh\ndrybench air\n```\n\n- a\n  b\n1. c\n\n| k | v |\n|---|---|\n| `x` | 1 |\n\n[a]: b.md\n";
        let want =
            "Title\n=====\n\nOne two.\n\n    drybench air\n\n- a b\n\n1. c\n\n  k  v\n  x  1\n";
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
