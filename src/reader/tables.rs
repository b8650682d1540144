//! Tables with names of their own, and lists of tables.

use std::collections::HashMap;

use super::issue::blank;
use super::node::{Content, Key, Node};
use super::path::join;
use super::section::{Fault, Found, Section};
use crate::text::slug;

impl<'r> Section<'r> {
    /// The named tables under a key, `[vent.low]` and `[vent.high]`, in file order.
    #[must_use]
    pub fn named(&self, key: &str) -> Vec<Section<'r>> {
        let Some(group) = self.section_opt(key) else {
            return Vec::new();
        };
        let Some(table) = group.node else { return Vec::new() };
        let Content::Table(entries) = &table.content else { return Vec::new() };
        self.check_names(&group.path, entries);
        let mut sections = Vec::new();
        let mut stray = None;
        for (name, node) in entries {
            let path = join(&group.path, &name.name);
            self.reader.ask(table, &name.name);
            if matches!(node.content, Content::Table(_)) {
                sections.extend(self.opened(Found { node, path }));
            } else {
                self.reader.read_whole(node, &path);
                stray = stray.or(Some(Found { node, path }));
            }
        }
        if let Some(found) = stray {
            self.fault(
                &found,
                Fault {
                    code: "wrong-type",
                    clause: format!("stands in [{0}], which holds named tables only", group.path),
                    why: None,
                    hint: Some(format!("give it a name: [{}.<name>]", group.path)),
                },
            );
        }
        sections
    }

    /// The tables of a list, `[[layer]]` or `layers = [{ … }, { … }]`. Empty when missing.
    #[must_use]
    pub fn tables(&self, key: &(impl AsRef<str> + ?Sized)) -> Vec<Section<'r>> {
        let Some(found) = self.find(key.as_ref()) else {
            return Vec::new();
        };
        let Content::Array(items) = &found.node.content else {
            self.wrong_type(&found, "a list of tables", "[{ … }, { … }]");
            return Vec::new();
        };
        self.reader.open(found.node);
        let one = |(index, node): (usize, &'r Node)| {
            let segment = index.to_string();
            self.reader.ask(found.node, &segment);
            self.opened(Found { node, path: join(&found.path, &segment) })
        };
        items.iter().enumerate().filter_map(one).collect()
    }

    /// Notes names that columns and messages could not show, or not tell apart.
    fn check_names(&self, group: &str, entries: &[(Key, Node)]) {
        let mut seen: HashMap<String, &str> = HashMap::new();
        for (key, node) in entries {
            let (name, slug) = (key.name.as_str(), slug(&key.name));
            let plain = "name it with letters, digits, spaces, _ and - .";
            let (what, hint) = if name.contains(|c: char| c.is_control() || "\"'\\".contains(c)) {
                ("has quotes, backslashes or control characters in its name".to_owned(), plain)
            } else if slug.is_empty() {
                ("has no letter or digit in its name".to_owned(), plain)
            } else if let Some(other) = seen.insert(slug, name) {
                let what = format!("has the name of {} but for its spelling", join(group, other));
                (
                    what,
                    "capitals, spaces, _ and - make no difference in columns: rename one of them.",
                )
            } else {
                continue;
            };
            let path = join(group, name);
            if !self.is_faulty(&path) {
                let issue = blank("bad-name", format!("{path} {what}"), Some(hint.to_owned()));
                self.reader.push(self.located(Some(node), &path, issue));
            }
        }
    }
}
