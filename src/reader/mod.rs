//! From a scenario file to typed values, with every mistake found in one pass.
//!
//! A [`Source`] holds the tree of a TOML file together with the place each value came from.
//! `--set` and sweep axes replace leaves of it. A [`Reader`] then hands out [`Section`]s whose
//! getters never fail: a mistake is noted and a harmless stand-in returned, so that one pass finds
//! them all. [`Reader::finish`] adds the keys nobody asked for. This module knows values, not parts.
//!
//! Keys of getters may be short paths through arrays and tables: `"accuracy.1"`.
//!
//! ```
//! use drybench::reader::{Source, key};
//! use drybench::units::Kind;
//!
//! let source = Source::from_bytes("box.toml", b"[heater]\npower = \"180 W\"\ncolour = 3").expect("TOML");
//! let reader = source.reader();
//! let power = key::quantity("power", Kind::Power, 0.0..=5e3);
//! assert_eq!(reader.root().section("heater").quantity(&power), 180.0);
//! let issues = reader.finish().expect_err("a key that nobody asked for");
//! assert_eq!((issues[0].line, issues[0].code), (3, "unknown-key"));
//! ```

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
