//! Getters for texts, choices and switches.

use super::key::{Key, KeyDefault};
use super::node::{Content, Origin};
use super::record::Value;
use super::section::{Fault, Found, Section};
use crate::text::closest;

/// The key that decides what else a table holds. When it is wrong, the other keys cannot be judged.
const DISCRIMINATOR: &str = "kind";

impl Section<'_> {
    /// A text: required, or with the default of its key.
    #[must_use]
    pub fn text(&self, key: &Key) -> String {
        if let KeyDefault::Word(default) = key.default {
            let value = |text: &String| Value::Words(text.clone());
            return self
                .or_default(key, default.to_owned(), value, key.source, |f| self.read_text(f));
        }
        let found = self.required(key.name, "\"…\"");
        found.and_then(|f| self.read_text(&f)).unwrap_or_default()
    }

    /// An optional text.
    #[must_use]
    pub fn text_opt(&self, key: &Key) -> Option<String> {
        self.find(key.name).and_then(|f| self.read_text(&f))
    }

    /// The texts of a table whose keys are names that nobody knows before.
    #[must_use]
    pub fn texts_by_name(&self) -> Vec<(String, String)> {
        let text = |name: String| {
            let found = self.find(&name)?;
            Some((name, self.read_text(&found).unwrap_or_default()))
        };
        self.keys().into_iter().filter_map(text).collect()
    }

    /// One of the words of a key: required, or with its default. A wrong one is stood in for by the closest,
    /// else by the default or the first.
    ///
    /// A wrong `kind` also excuses the table: see [`Section::excuse`].
    #[must_use]
    pub fn choice(&self, key: &Key) -> &'static str {
        if let KeyDefault::Word(_) = key.default {
            return self.choice_by(key, key.source);
        }
        let first = key.words.first().copied().unwrap_or("");
        match self.required(key.name, &format!("{first:?}")) {
            Some(found) => self.read_choice(key, &found, first),
            None => {
                self.excuse_if_kind(key);
                first
            }
        }
    }

    /// As [`Section::choice`] with a default; `how` says where that comes from.
    #[must_use]
    pub fn choice_by(&self, key: &Key, how: &str) -> &'static str {
        let default = if let KeyDefault::Word(word) = key.default { word } else { "" };
        let value = |word: &&str| Value::Words((*word).to_owned());
        let read = |f: &Found<'_>| Some(self.read_choice(key, f, default));
        self.or_default(key, default, value, how, read)
    }

    /// A switch with the default of its key.
    #[must_use]
    pub fn switch(&self, key: &Key) -> bool {
        self.switch_by(key, key.value() == Some(1.0), key.source)
    }

    /// A switch whose default follows from other values; `how` says from which.
    #[must_use]
    pub fn switch_by(&self, key: &Key, default: bool, how: &str) -> bool {
        let Some(found) = self.find(key.name) else {
            self.record_default(key, || Value::Words(default.to_string()), how);
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

    fn read_choice(&self, key: &Key, found: &Found<'_>, stand_in: &'static str) -> &'static str {
        let words = key.words;
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

    fn excuse_if_kind(&self, key: &Key) {
        if key.name == DISCRIMINATOR {
            self.excuse();
        }
    }
}

fn in_file(found: &Found<'_>) -> bool {
    matches!(found.node.origin, Origin::File { .. })
}
