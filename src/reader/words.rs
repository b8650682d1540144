//! Getters for texts, choices and switches.

use super::node::{Content, Origin};
use super::record::Value;
use super::section::{Fault, Found, Section};
use crate::text::closest;

/// The key that decides what else a table holds. When it is wrong, the other keys cannot be judged.
const DISCRIMINATOR: &str = "kind";

impl Section<'_> {
    /// A required text.
    #[must_use]
    pub fn text(&self, key: &str) -> String {
        let found = self.required(key, "\"…\"");
        found.and_then(|f| self.read_text(&f)).unwrap_or_default()
    }

    /// An optional text.
    #[must_use]
    pub fn text_opt(&self, key: &str) -> Option<String> {
        self.find(key).and_then(|f| self.read_text(&f))
    }

    /// A text with a default; `source` says where the default comes from.
    #[must_use]
    pub fn text_or(&self, key: &str, default: &str, source: &str) -> String {
        let value = |text: &String| Value::Words(text.clone());
        self.or_default(key, default.to_owned(), value, source, |f| self.read_text(f))
    }

    /// One of a list of words. A wrong one is stood in for by the closest, else by the first.
    ///
    /// A wrong `kind` also excuses the table: see [`Section::excuse`].
    #[must_use]
    pub fn choice(&self, key: &str, words: &[&'static str]) -> &'static str {
        let first = words.first().copied().unwrap_or("");
        match self.required(key, &format!("{first:?}")) {
            Some(found) => self.read_choice(key, &found, words, first),
            None => {
                self.excuse_if_kind(key);
                first
            }
        }
    }

    /// One of a list of words, with a default.
    #[must_use]
    pub fn choice_or(
        &self,
        key: &str,
        words: &[&'static str],
        default: &'static str,
        source: &str,
    ) -> &'static str {
        let value = |word: &&str| Value::Words((*word).to_owned());
        let read = |f: &Found<'_>| Some(self.read_choice(key, f, words, default));
        self.or_default(key, default, value, source, read)
    }

    /// A switch with a default.
    #[must_use]
    pub fn boolean_or(&self, key: &str, default: bool, source: &str) -> bool {
        let Some(found) = self.find(key) else {
            self.record_default(key, || Value::Words(default.to_string()), source);
            return default;
        };
        self.reader.read_whole(found.node, &found.path);
        let Content::Boolean(value) = found.node.content else {
            self.wrong_type(&found, "true or false", "true");
            return default;
        };
        self.record_found(&found, Value::Words(value.to_string()));
        value
    }

    pub(super) fn read_text(&self, found: &Found<'_>) -> Option<String> {
        self.reader.read_whole(found.node, &found.path);
        let text = match &found.node.content {
            Content::Text(text) => text.clone(),
            Content::Date(text) => text.clone(),
            // `--set title=42`: a command line has no quotes of its own
            content if !content.is_branch() && !in_file(found) => content.typed(false),
            content => {
                let example = if content.is_branch() {
                    "\"…\"".to_owned()
                } else {
                    format!("{:?}", content.typed(false))
                };
                self.wrong_type(found, "a text", &example);
                return None;
            }
        };
        self.record_found(found, Value::Words(text.clone()));
        Some(text)
    }

    fn read_choice(
        &self,
        key: &str,
        found: &Found<'_>,
        words: &[&'static str],
        stand_in: &'static str,
    ) -> &'static str {
        self.reader.read_whole(found.node, &found.path);
        let Content::Text(text) = &found.node.content else {
            self.wrong_type(found, "a word", &format!("{stand_in:?}"));
            self.excuse_if_kind(key);
            return stand_in;
        };
        if let Some(word) = words.iter().find(|w| *w == text) {
            self.record_found(found, Value::Words(text.clone()));
            return word;
        }
        let close = closest(text, words.iter().copied());
        let listed: Vec<String> = words.iter().map(|w| format!("{w:?}")).collect();
        self.fault(
            found,
            Fault {
                code: "unknown-choice",
                clause: "is not one of the known words".to_owned(),
                why: Some(format!("it can be {}.", listed.join(", "))),
                hint: close.map(|w| format!("Did you mean {w:?}?")),
            },
        );
        self.excuse_if_kind(key);
        close.and_then(|c| words.iter().find(|w| **w == c)).copied().unwrap_or(stand_in)
    }

    fn excuse_if_kind(&self, key: &str) {
        if key == DISCRIMINATOR {
            self.excuse();
        }
    }
}

fn in_file(found: &Found<'_>) -> bool {
    matches!(found.node.origin, Origin::File { .. })
}
