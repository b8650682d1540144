//! What lies on disk: scenarios, run folders, the tables of a sweep, what a fit is asked and what it
//! writes. Reads and writes files, prints nothing and ends no process: what happens is told to a
//! [`Listener`], what went wrong is a [`Stop`].

mod decimal;
pub mod figures;
pub mod fit;
pub mod input;
pub mod run_folder;
pub mod source;
mod stop;
pub mod sweep;
pub mod table;
pub mod whole;
mod written;

pub use stop::{Cause, Listener, Outcome, Stop, cannot_write, reason};
