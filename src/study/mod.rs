//! Many runs for one question: sweeps, sensitivities, fits.

pub mod box_fit;
pub mod draws;
pub mod fit;
pub mod guesses;
pub mod sensitivity;
pub mod spools;
pub mod sweep;
