//! Numbers in, bytes out: tables, CSV, JSON and figures. Nothing here simulates or opens files.
//!
//! ```
//! use drybench::report::keys;
//!
//! let rows = keys::rows(&drybench::scenario::keys());
//! let diameter = rows.iter().find(|r| r.table == "vent.NAME" && r.key == "diameter").expect("a key");
//! assert_eq!(diameter.wanted, "a length, 0.1 mm to 200 mm");
//! ```

pub mod air;
pub mod assessment;
pub mod bands;
pub mod check;
pub mod columns;
pub mod differing;
pub mod explanation;
pub mod figure;
pub mod fit;
pub mod keys;
pub mod measured;
pub mod pictures;
pub mod sensitivity;
pub mod series;
pub mod spools;
pub mod spread;
pub mod summary;
mod text;
pub mod together;

/// The standing caution that goes with every simulated box. Our wording.
pub const CAUTION: &str = "\
A simulated box is no proof of safety. A mains heater in a closed box needs a limiter and a one-shot
cut-out of its own, must be off when the fan fails, and belongs to no solvent, fuel or food. Local
codes and a competent person decide; this program certifies nothing.";
