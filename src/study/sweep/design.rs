//! How axes make cases.

/// Fewest complete points from which indices are told: with fewer their intervals mean nothing.
pub const LEAST_POINTS: usize = 16;

/// How axes make cases.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Design {
    /// Every value with every other; the last axis runs fastest.
    Cross,
    /// The scenario as it is, then each value of each axis alone; of a spread its two ends.
    OneAtATime,
    /// Draws of all axes at once, each of them covered evenly.
    Latin {
        /// Number of cases.
        cases: usize,
        /// Seed of the draws.
        seed: u64,
    },
    /// Draws along a scrambled Sobol sequence, which covers pairs of axes evenly too.
    Sobol {
        /// Number of cases.
        cases: usize,
        /// Seed of the scrambling.
        seed: u64,
    },
    /// Draws from which the shares of the axes in the variance follow: for each point of two
    /// Sobol sequences the first, the first with one axis from the second for each axis, and the
    /// second.
    ///
    /// Source: \[Saltelli2010\].
    Indices {
        /// Number of points.
        base: usize,
        /// Seed of the scrambling.
        seed: u64,
    },
}

impl Design {
    /// Whether the cases are draws without an order.
    #[must_use]
    pub fn is_drawn(self) -> bool {
        !matches!(self, Design::Cross | Design::OneAtATime)
    }
}

impl std::fmt::Display for Design {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Design::Cross => f.write_str("cross"),
            Design::OneAtATime => f.write_str("one at a time"),
            Design::Latin { cases, seed } => write!(f, "{cases} of a Latin hypercube, seed {seed}"),
            Design::Sobol { cases, seed } => write!(f, "{cases} of a Sobol sequence, seed {seed}"),
            Design::Indices { base, seed } => {
                write!(f, "indices from {base} points of a Sobol sequence, seed {seed}")
            }
        }
    }
}
