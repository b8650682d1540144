//! What every decider is asked.

use crate::address::Change;
use crate::model::part::Modes;
use crate::model::reading::See;

/// Something that switches.
pub trait Decider {
    /// Number of guards.
    fn guards(&self) -> usize;

    /// Guards: a decision may be due when one of them rises through zero.
    fn values(&self, see: &See<'_>, modes: &Modes, out: &mut [f64]);

    /// Brings the modes in line with what is seen; says what changed.
    fn decide(&self, see: &See<'_>, modes: &mut Modes) -> Option<Change>;
}
