//! The moist-air calculator against an ideal-gas and a real-gas library.

use super::agreement::{Agreement, check};
use super::data_file::{Record, records};
use drybench::physics::moist_air::{humidity_ratio, saturation_pressure_pa};
use drybench::physics::psychrometrics::{AirState, Humidity, air_state};
use drybench::units::{c_from_k, k_from_c};

const STATES: &str = include_str!("data/moist_air.csv");
const HEATING: &str = include_str!("data/heating.csv");
const SATURATION: &str = include_str!("data/adiabatic_saturation.csv");
const DEW_POINTS: &str = include_str!("data/dew_points.csv");
const REFERENCE: &str = include_str!("data/air_states.csv");

const STANDARD_PA: f64 = 101_325.0;
const PSYCHROLIB: &str = "PsychroLib 2.5.0";
const COOLPROP: &str = "CoolProp 8.0.0, real gas";
const ALL: &str = "0..95 °C, 0..100 %RH, 70..101 kPa";

fn state(r: &Record) -> (String, AirState) {
    let (t, rh, p) = (r.num("temp_c"), r.num("rh_pct"), r.num("p_pa"));
    let at = format!("{t} °C {rh} %RH {:.0} kPa", 1e-3 * p);
    let state = air_state(k_from_c(t), Humidity::Relative(0.01 * rh), p);
    (at, state.expect("a possible state"))
}

/// Fills `a` from the rows that `keep` and `theirs` accept.
fn fill(
    mut a: Agreement,
    column: &str,
    keep: impl Fn(&Record) -> bool,
    ours: impl Fn(&AirState) -> Option<f64>,
) -> Agreement {
    for r in records(STATES).iter().filter(|r| keep(r)) {
        let (at, s) = state(r);
        if let (Some(theirs), Some(ours)) = (r.num_opt(column), ours(&s)) {
            a.row(at, ours, theirs);
        }
    }
    a
}

fn every(_: &Record) -> bool {
    true
}

fn humid(r: &Record) -> bool {
    r.num("rh_pct") > 0.0
}

fn between(low: f64, high: f64) -> impl Fn(&Record) -> bool {
    move |r| humid(r) && r.num("temp_c") > low && r.num("temp_c") <= high
}

/// Two wet bulbs are possible where ice and water could both cover the thermometer.
///
/// Dry air of 10 °C has one at -0.36 °C over ice (CoolProp) and one at +0.37 °C over water
/// (PsychroLib); the row proves nothing.
fn one_wet_bulb(r: &Record) -> bool {
    !(r.num("temp_c") == 10.0 && r.num("rh_pct") == 0.0)
}

pub fn agreements() -> Vec<Agreement> {
    let mut all = ideal().to_vec();
    all.extend(real_ratio());
    all.extend(real());
    all.extend(processes());
    all.extend(reference());
    all
}

/// The same gas laws and the same saturation equation: 0.1 % leaves room for constants only.
fn ideal() -> [Agreement; 5] {
    let pc = |name| Agreement::percent(name, ALL, PSYCHROLIB, 0.1);
    let kj = |s: &AirState| Some(1e-3 * s.enthalpy_j_kg);
    [
        fill(pc("humidity ratio"), "w_psychrolib", humid, |s| Some(s.humidity_ratio)),
        // A zero cannot be missed by a percentage.
        fill(
            Agreement::absolute("enthalpy", ALL, PSYCHROLIB, "kJ/kg", 0.01)
                .remark("In kJ/kg because enthalpies start at zero; 0.01 kJ/kg is 0.01 K."),
            "h_psychrolib_kj",
            every,
            kj,
        ),
        fill(pc("volume per kg of dry air"), "v_psychrolib", every, |s| Some(s.volume_m3_kg)),
        fill(
            Agreement::absolute("dew point", ALL, PSYCHROLIB, "K", 0.002),
            "dew_psychrolib_c",
            humid,
            |s| s.dew_point_k.map(c_from_k),
        ),
        // PsychroLib bisects to 1e-3 K and has other constants over ice.
        fill(
            Agreement::absolute("wet bulb", ALL, PSYCHROLIB, "K", 0.01),
            "wet_psychrolib_c",
            one_wet_bulb,
            |s| Some(c_from_k(s.wet_bulb_k)),
        ),
    ]
}

/// The known gap of ideal to real moist air, which is the enhancement factor (0.42 % at 20 °C,
/// 0.6 % at 65 °C) times p/(p - p_v), as PsychroLib has it too.
fn real_ratio() -> [Agreement; 3] {
    let w = |s: &AirState| Some(s.humidity_ratio);
    let ratio = |range, allowed| Agreement::percent("humidity ratio", range, COOLPROP, allowed);
    let remark =
        "Ideal gases hold less vapour at saturation than real ones: no enhancement factor.";
    [
        fill(ratio("to 25 °C", 0.5), "w_coolprop", between(-1.0, 25.0), w).remark(remark),
        fill(ratio("25..60 °C", 1.0), "w_coolprop", between(25.0, 60.0), w),
        fill(ratio("60..95 °C", 2.0), "w_coolprop", between(60.0, 95.0), w),
    ]
}

/// The same gap in the other columns, each as large as PsychroLib's.
fn real() -> [Agreement; 4] {
    let moderate = |r: &Record| r.num("temp_c") <= 60.0 && r.num("p_pa") > 1e5;
    let kj = |s: &AirState| Some(1e-3 * s.enthalpy_j_kg);
    let enthalpy = Agreement::absolute("enthalpy", "to 60 °C", COOLPROP, "kJ/kg", 2.9);
    let volume = Agreement::percent("volume per kg of dry air", "to 60 °C", COOLPROP, 0.13);
    let dew = Agreement::absolute("dew point", ALL, COOLPROP, "K", 0.09);
    // PsychroLib differs from CoolProp by the same 0.071 K, at 95 °C and 50 %RH.
    let wet = Agreement::absolute("wet bulb", ALL, COOLPROP, "K", 0.075);
    [
        fill(enthalpy, "h_coolprop_kj", moderate, kj),
        fill(volume, "v_coolprop", moderate, |s| Some(s.volume_m3_kg)),
        fill(dew, "dew_coolprop_c", humid, |s| s.dew_point_k.map(c_from_k)),
        fill(wet, "wet_coolprop_c", one_wet_bulb, |s| Some(c_from_k(s.wet_bulb_k))),
    ]
}

fn air(t: f64, humidity: Humidity) -> AirState {
    air_state(k_from_c(t), humidity, STANDARD_PA).expect("a possible state")
}

fn processes() -> [Agreement; 3] {
    let mut heating = Agreement::absolute(
        "humidity of air heated at constant W",
        "25 °C 60 %RH to 35..65 °C",
        COOLPROP,
        "%RH",
        0.1,
    );
    let start = air(25.0, Humidity::Relative(0.6));
    for r in records(HEATING) {
        let t = r.num("temp_c");
        let hot = air(t, Humidity::Ratio(start.humidity_ratio));
        heating.row(format!("{t} °C"), 100.0 * hot.relative_humidity, r.num("rh_pct"));
    }
    let range = "40..70 °C, 5..20 %RH";
    let mut wet = Agreement::absolute("adiabatic saturation", range, COOLPROP, "K", 0.1);
    let mut water = Agreement::percent("water taken up until saturated", range, COOLPROP, 1.0);
    for r in records(SATURATION) {
        let (t, rh) = (r.num("temp_c"), r.num("rh_pct"));
        let s = air(t, Humidity::Relative(0.01 * rh));
        let at = format!("{t} °C {rh} %RH");
        if r.text("quantity") == "pick_up_g_kg" {
            let full = humidity_ratio(saturation_pressure_pa(s.wet_bulb_k), STANDARD_PA);
            water.row(at, 1e3 * (full - s.humidity_ratio), r.num("value"));
        } else {
            wet.row(at, c_from_k(s.wet_bulb_k), r.num("value"));
        }
    }
    [heating, wet, water]
}

/// States and dew points of the reference box; the humidity ratio there is that of a real gas.
fn reference() -> [Agreement; 5] {
    let own = "independent calculation";
    let two = "65 °C 50 %RH, 24 °C 45 %RH";
    let mut dew = Agreement::absolute("dew point of 65 °C air", "10..70 %RH", own, "K", 0.09);
    for r in records(DEW_POINTS) {
        let s = air(65.0, Humidity::Relative(0.01 * r.num("rh_pct")));
        let ours = s.dew_point_k.map_or(f64::NAN, c_from_k);
        dew.printed(format!("{} %RH", r.text("rh_pct")), ours, r.text("dew_c"), 1.0);
    }
    let mut ratio = Agreement::percent("humidity ratio", two, own, 1.0);
    let mut density = Agreement::percent("density of moist air", two, own, 0.15);
    let mut vapour = Agreement::percent("vapour density", two, own, 1.0);
    let mut pressure = Agreement::percent("vapour pressure", two, own, 0.7);
    for r in records(REFERENCE) {
        let s = air(r.num("temp_c"), Humidity::Relative(0.01 * r.num("rh_pct")));
        let at = format!("{} °C", r.text("temp_c"));
        ratio.printed(&at, s.humidity_ratio, r.text("ratio"), 1.0);
        density.printed(&at, s.density_kg_m3, r.text("density"), 1.0);
        vapour.printed(&at, 1e3 * s.vapour_density_kg_m3, r.text("vapour_g_m3"), 1.0);
        pressure.printed(&at, s.vapour_pa, r.text("vapour_pa"), 1.0);
    }
    [dew, ratio, density, vapour, pressure]
}

#[test]
fn moist_air_agrees() {
    check(&agreements());
}
