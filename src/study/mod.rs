//! Many runs for one question: sweeps, sensitivities, fits.

pub mod box_fit;
pub mod fit;
pub mod spools;
pub mod sweep;
