//! What to write in place of a word that nobody knows.

use crate::text::closest;

/// A hint from a list of words: the closest one, or all of them when there are few.
pub fn hint(typed: &str, known: &[&str]) -> Option<String> {
    /// A longer list is no help in a message.
    const MOST_LISTED: usize = 16;
    if let Some(word) = closest(typed, known.iter().copied()) {
        return Some(format!("did you mean `{word}`?"));
    }
    if known.is_empty() || known.len() > MOST_LISTED {
        return None;
    }
    let words: Vec<String> = known.iter().map(|w| format!("`{w}`")).collect();
    Some(format!("known here: {}.", words.join(", ")))
}
