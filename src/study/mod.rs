//! Many runs for one question: sweeps, sensitivities, fits.
//!
//! ```
//! use drybench::study::draws::Latin;
//!
//! // Five draws of one value: one in each fifth of its range.
//! let draws = Latin::new(5, 1, 1);
//! let mut fifths: Vec<usize> = (0..5).map(|i| (5.0 * draws.share(i, 0)) as usize).collect();
//! fifths.sort();
//! assert_eq!(fifths, [0, 1, 2, 3, 4]);
//! ```

pub mod box_fit;
pub mod draws;
pub mod fit;
pub mod guesses;
pub mod sensitivity;
pub mod spools;
pub mod sweep;
