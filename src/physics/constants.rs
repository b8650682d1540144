//! Constants of nature and of the two gases, each with its source.

/// Molar gas constant \[J/(mol K)\]. Source: \[CODATA2018\] (exact).
pub const GAS_CONSTANT: f64 = 8.314_462_618;

/// Molar mass of dry air \[kg/mol\]. Source: \[ASHRAE2017\], ch. 1.
pub const MOLAR_MASS_AIR: f64 = 28.966e-3;

/// Molar mass of water \[kg/mol\]. Source: \[ASHRAE2017\], ch. 1.
pub const MOLAR_MASS_WATER: f64 = 18.015_268e-3;

/// Specific gas constant of dry air \[J/(kg K)\].
pub const R_AIR: f64 = GAS_CONSTANT / MOLAR_MASS_AIR;

/// Specific gas constant of water vapour \[J/(kg K)\].
pub const R_VAPOUR: f64 = GAS_CONSTANT / MOLAR_MASS_WATER;

/// Ratio of the molar masses of water and dry air; turns a pressure ratio into a humidity ratio.
pub const MOLAR_RATIO: f64 = MOLAR_MASS_WATER / MOLAR_MASS_AIR;

/// Specific heat of dry air at constant pressure \[J/(kg K)\].
///
/// Mean from -40 to 95 °C and 60 to 110 kPa: 1005 at the cold end, 1011 at the hot one. Source:
/// \[LemmonJacobsen2004\]. \[ASHRAE2017\], ch. 1, takes 1006, which leaves hot air 0.2 kJ/kg short.
pub const CP_AIR: f64 = 1006.5;

/// Specific heat of water vapour at constant pressure \[J/(kg K)\]. Source: \[ASHRAE2017\], ch. 1.
pub const CP_VAPOUR: f64 = 1860.0;

/// Specific heat of liquid water \[J/(kg K)\]. Source: \[ASHRAE2017\], ch. 1.
pub const CP_WATER: f64 = 4186.0;

/// Heat of evaporation of water at 0 °C \[J/kg\]. Source: \[ASHRAE2017\], ch. 1.
///
/// With the constant specific heats above the latent heat at other temperatures is
/// `LATENT_0C - (CP_WATER - CP_VAPOUR) t`: 0.1 % above the steam tables at 50 °C, 0.3 % at 80 °C.
pub const LATENT_0C: f64 = 2.501e6;

/// Standard acceleration of gravity \[m/s2\]. Source: \[CODATA2018\] (conventional value).
pub const GRAVITY: f64 = 9.806_65;

/// Stefan-Boltzmann constant \[W/(m2 K4)\]. Source: \[CODATA2018\].
pub const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;

/// Standard atmosphere \[Pa\]. Source: \[ISO2533\].
pub const STANDARD_PRESSURE: f64 = 101_325.0;
