//! Many runs for one question: sweeps, sensitivities, fits.

pub mod fit;
