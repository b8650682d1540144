//! Getters for lists.

use super::getters::{example, placeholder};
use super::key::Key;
use super::node::{Content, Node};
use super::path::join;
use super::section::{Fault, Found, Section};

impl<'r> Section<'r> {
    /// A required list of quantities of one kind in SI; `count` is the length it must have.
    ///
    /// For a list of several kinds ask for each element: `quantity("accuracy.0", …)`.
    #[must_use]
    pub fn quantities(&self, key: &Key, count: Option<usize>) -> Vec<f64> {
        let found = self.required(key.name, &format!("[{}]", example(key.kind)));
        found
            .and_then(|f| self.read_quantities(&f, key, count))
            .unwrap_or_else(|| vec![placeholder(key); count.unwrap_or(1)])
    }

    /// An optional list of texts.
    #[must_use]
    pub fn texts_opt(&self, key: &Key) -> Option<Vec<String>> {
        let found = self.find(key.name)?;
        let items = self.items(&found, "a list of texts", "[\"…\", \"…\"]")?;
        let one = |(index, node)| self.read_text(&element(&found, index, node));
        Some(items.iter().enumerate().filter_map(one).collect())
    }

    fn read_quantities(
        &self,
        found: &Found<'r>,
        key: &Key,
        count: Option<usize>,
    ) -> Option<Vec<f64>> {
        let list = format!("[{}]", vec![example(key.kind); count.unwrap_or(2).min(3)].join(", "));
        let items = self.items(found, "a list", &list)?;
        let one = |(index, node)| {
            let element = element(found, index, node);
            self.read_measured(&element, key).map_or_else(|| placeholder(key), |m| m.value)
        };
        let values: Vec<f64> = items.iter().enumerate().map(one).collect();
        if let Some(count) = count.filter(|c| *c != values.len()) {
            self.fault(
                found,
                Fault {
                    code: "wrong-length",
                    clause: format!("has {} elements where {count} are needed", values.len()),
                    why: None,
                    hint: Some(format!("write, for example, {list}.")),
                },
            );
            return None;
        }
        Some(values)
    }

    fn items(&self, found: &Found<'r>, wanted: &str, example: &str) -> Option<&'r [Node]> {
        self.reader.read_whole(found.node, &found.path);
        match &found.node.content {
            Content::Array(items) => Some(items),
            _ => {
                self.wrong_type(found, wanted, example);
                None
            }
        }
    }
}

fn element<'r>(list: &Found<'_>, index: usize, node: &'r Node) -> Found<'r> {
    Found { node, path: join(&list.path, &index.to_string()) }
}
