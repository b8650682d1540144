//! From a scenario file to typed values, with every mistake found in one pass.
//!
//! A [`Source`] holds the tree of a TOML file together with the place each value came from.
//! `--set` and sweep axes replace leaves of it. A [`Reader`] then hands out [`Section`]s whose
//! getters never fail: a mistake is noted and a harmless stand-in returned, so that one pass finds
//! them all. [`Reader::finish`] adds the keys nobody asked for. This module knows values, not parts.
//!
//! Keys of getters may be short paths through arrays and tables: `"accuracy.1"`.

mod check;
mod differ;
mod fingerprint;
mod getters;
mod issue;
pub mod key;
mod lines;
mod lists;
mod node;
mod path;
mod record;
mod renamed;
mod section;
mod source;
mod suggest;
mod syntax;
mod tables;
#[cfg(test)]
mod tests;
mod unknown;
mod verdict;
mod words;

pub use check::Reader;
pub use differ::{Difference, differences};
pub use fingerprint::{fingerprint, hash};
pub use issue::{Issue, MAX_SHOWN, Severity, render};
pub use key::{Doubt, Key, Keys, Likely};
pub use node::Origin;
pub use path::{join as join_path, split as split_path};
pub use record::{Report, Value, ValueRecord};
pub use renamed::present_path;
pub use section::Section;
pub use source::{MAX_BYTES, Source};
