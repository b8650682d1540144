//! Textbook examples, as far as functions for them exist.

use super::agreement::{Agreement, check};
use super::pad::WetPlate;
use drybench::physics::moist_air::{latent_heat_j_kg, standard_atmosphere_pa};
use drybench::physics::psychrometrics::{AirState, Humidity, air_state, wet_bulb_k};
use drybench::units::{c_from_k, k_from_c};

const PRESSURE_PA: f64 = 101_325.0;

pub fn agreements() -> Vec<Agreement> {
    let mut all = psychrometer();
    all.extend(tray());
    all.extend([wet_surface(), wet_flux(), altitude()]);
    all
}

fn air(t: f64, humidity: Humidity) -> AirState {
    air_state(k_from_c(t), humidity, PRESSURE_PA).expect("a possible state")
}

/// ASHRAE Handbook of Fundamentals, psychrometrics, example 1: air of 40 °C with a wet bulb of
/// 20 °C. The printed answers (0.0065, 56.7, 7, 14, 0.896; from memory) were read off a chart; the
/// recomputed ones come from CoolProp 8.0.0.
fn psychrometer() -> Vec<Agreement> {
    let s = air(40.0, Humidity::WetBulb(k_from_c(20.0)));
    let dew_c = s.dew_point_k.map_or(f64::NAN, c_from_k);
    let chart = "ASHRAE, ex. 1, from memory";
    let again = "ASHRAE, ex. 1, CoolProp 8.0.0";
    let at = "40 °C, wet bulb 20 °C";
    // Real gas; 0.1 % of the humidity ratio is what constant specific heats make of the wet bulb.
    let mut rows = Agreement::percent("air from its wet bulb", at, again, 0.2);
    rows.row("W", s.humidity_ratio, 0.006_452_478);
    rows.row("h", 1e-3 * s.enthalpy_j_kg, 56.861_25);
    rows.row("RH", 100.0 * s.relative_humidity, 14.021_604);
    rows.row("v", s.volume_m3_kg, 0.896_120_3);
    let mut book = Agreement::percent("air from its wet bulb", at, chart, 2.0).remark(
        "Book values are chart readings: W 0.0065 and a dew point of 7 °C, where the equations \
         give 0.00645 and 7.5 °C.",
    );
    book.printed("W", s.humidity_ratio, "0.0065", 1.0);
    book.printed("h", 1e-3 * s.enthalpy_j_kg, "56.7", 1.0);
    book.printed("RH", 100.0 * s.relative_humidity, "14", 1.0);
    book.printed("v", s.volume_m3_kg, "0.896", 1.0);
    let mut dew = Agreement::absolute("dew point from a wet bulb", at, again, "K", 0.02);
    dew.row("dew point", dew_c, 7.488_83);
    vec![rows, book, dew]
}

/// Geankoplis, 3rd ed., example 9.6-3: constant-rate drying of a tray in air of 65.6 °C and
/// W = 0.010 at 6.1 m/s, with the book's own film 0.0204 G^0.8 (numbers from memory).
fn tray() -> Vec<Agreement> {
    let s = air(65.6, Humidity::Ratio(0.010));
    let source = "Geankoplis, ex. 9.6-3, from memory";
    let at = "65.6 °C, W 0.010, 6.1 m/s";
    let mut bulb = Agreement::absolute("wet bulb of a tray's air", at, source, "K", 0.1);
    bulb.printed("wet bulb", c_from_k(s.wet_bulb_k), "28.9", 1.0);
    let mass_kg_h_m2 = s.density_kg_m3 * 6.1 * 3600.0;
    let film = 0.0204 * mass_kg_h_m2.powf(0.8);
    let rate = film * (s.temp_k - s.wet_bulb_k) / latent_heat_j_kg(s.wet_bulb_k) * 3600.0;
    let mut drying = Agreement::percent("constant-rate drying of a tray", at, source, 0.5);
    drying.printed("volume", s.volume_m3_kg, "0.974", 1.0);
    drying.printed("density", s.density_kg_m3, "1.037", 1.0);
    drying.row("G", mass_kg_h_m2, 22_770.0);
    drying.printed("film", film, "62.45", 1.0);
    drying.printed("rate", rate, "3.39", 1.0);
    drying.printed("tray", rate * 0.457 * 0.457, "0.708", 1.0);
    // Coulson and Richardson vol. 2, example 16.5: the chart gives 312 K.
    let mut hot = Agreement::absolute(
        "wet bulb of very hot air",
        "400 K, W 0.01",
        "Coulson and Richardson, ex. 16.5; CoolProp 8.0.0",
        "K",
        0.1,
    )
    .remark("The book reads 312 K off a chart.");
    hot.row("400 K", wet_bulb_k(400.0, 0.01, PRESSURE_PA), 312.524);
    vec![bulb, drying, hot]
}

const BALANCE: &str = "Chilton-Colburn balance, recomputed";

/// Wet plates without radiation, recomputed by others with dry-air properties and no Stefan factor.
fn wet_plate(air_c: f64, rh: f64, speed_m_s: f64) -> (f64, f64) {
    WetPlate { air_c, rh, speed_m_s, length_m: 0.1, emissivity: 0.0, mixed: false }.steady()
}

fn wet_surface() -> Agreement {
    let mut a = Agreement::absolute(
        "surface of a wet plate, no radiation",
        "40..60 °C, 5..20 %RH",
        BALANCE,
        "K",
        1.0,
    )
    .remark(
        "Theirs has dry-air properties and no Stefan factor and so sits up to 0.8 K lower; the \
         thermodynamic wet bulb lies above both.",
    );
    for (t, rh, theirs) in
        [(40.0, 0.1, 17.4864), (50.0, 0.1, 22.5288), (60.0, 0.05, 23.8946), (60.0, 0.2, 33.7295)]
    {
        a.row(format!("{t} °C {rh}"), c_from_k(wet_plate(t, rh, 1.0).0), theirs);
    }
    a
}

fn wet_flux() -> Agreement {
    let name = "flux of a wet plate, no radiation";
    let mut a = Agreement::percent(name, "25..60 °C, 1..2 m/s, 0.1 m", BALANCE, 5.0);
    for (t, rh, u, theirs) in
        [(25.0, 0.5, 1.0, 137.592), (50.0, 0.1, 1.0, 502.754), (60.0, 0.05, 2.0, 934.306)]
    {
        a.row(format!("{t} °C {rh} {u} m/s"), wet_plate(t, rh, u).1 * 3.6e6, theirs);
    }
    a
}

/// The standard atmosphere, from memory of its tables.
fn altitude() -> Agreement {
    let mut a = Agreement::percent(
        "pressure of the standard atmosphere",
        "0..4000 m",
        "ISO 2533, from memory",
        0.01,
    );
    for (m, pa) in [(0.0, 101_325.0), (1000.0, 89_874.6), (2000.0, 79_495.2), (4000.0, 61_640.2)] {
        a.row(format!("{m} m"), standard_atmosphere_pa(m), pa);
    }
    a
}

#[test]
fn examples_agree() {
    check(&agreements());
}
