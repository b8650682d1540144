//! Pure constitutive functions: moist air, transport properties, convection, radiation, openings,
//! sorption, heating elements. No state, no parts; every function names its source.
//!
//! All quantities are SI, temperatures in kelvin, unless a suffix says otherwise (`temp_c`).
//!
//! ```
//! use drybench::physics::moist_air::saturation_pressure_pa;
//!
//! // 0.01 °C is the triple point of water: 611.657 Pa.
//! let triple_pa: f64 = saturation_pressure_pa(273.16);
//! assert!((triple_pa - 611.657).abs() < 0.05);
//! ```

pub mod constants;
pub mod convection;
pub mod diffusion;
pub mod element;
pub mod moist_air;
pub mod opening;
pub mod polymer;
pub mod psychrometrics;
pub mod root;
pub mod sorbent;
pub mod sorption;
pub mod surface;
pub mod transport;
