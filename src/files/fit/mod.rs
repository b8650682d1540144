//! What a fit is asked, and the folder that it writes.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

mod folders;
mod held;
mod notes;
mod question;
mod read;
mod saved;
mod written;

pub use question::{Asked, Question};
pub use read::read;
pub use saved::{all_there, draws};
pub use written::{Pages, stage, write};
