//! The moist-air calculator against an ideal-gas and a real-gas library. The simulated box has the same
//! functions and constants (`tests/analytic/air.rs`).

use super::agreement::{Agreement, check};
use super::data_file::{Record, records};
use drybench::physics::moist_air::{humidity_ratio, saturation_in_air_pa};
use drybench::physics::psychrometrics::{AirState, Humidity, air_state};
use drybench::units::{c_from_k, k_from_c};

const IDEAL: &str = include_str!("data/ideal_air.csv");
const REAL: &str = include_str!("data/real_air.csv");
const HEATING: &str = include_str!("data/heating.csv");
const SATURATION: &str = include_str!("data/adiabatic_saturation.csv");
const DEW_POINTS: &str = include_str!("data/dew_points.csv");
const REFERENCE: &str = include_str!("data/air_states.csv");

const STANDARD_PA: f64 = 101_325.0;
const PSYCHROLIB: &str = "PsychroLib 2.5.0";
const COOLPROP: &str = "CoolProp 8.0.0, real gas";

fn state(r: &Record, humidity: Humidity) -> (String, AirState) {
    let (t, p) = (r.num("temp_c"), r.num("p_pa"));
    let at = format!("{t} °C {} %RH {:.0} kPa", r.text("rh_pct"), 1e-3 * p);
    (at, air_state(k_from_c(t), humidity, p).expect("a possible state"))
}

/// Fills `a` from the rows of real air that `keep` accepts.
fn fill(
    mut a: Agreement,
    column: &str,
    keep: impl Fn(&Record) -> bool,
    ours: impl Fn(&AirState) -> Option<f64>,
) -> Agreement {
    for r in records(REAL).iter().filter(|r| keep(r)) {
        let (at, s) = state(r, Humidity::Relative(0.01 * r.num("rh_pct")));
        if let (Some(theirs), Some(ours)) = (r.num_opt(column), ours(&s)) {
            a.row(at, ours, theirs);
        }
    }
    a
}

pub fn agreements() -> Vec<Agreement> {
    let mut all = ideal().to_vec();
    all.extend(real());
    all.extend(processes());
    all.extend(reference());
    all
}

/// The same gas laws: 0.1 % leaves room for constants only.
fn ideal() -> [Agreement; 2] {
    let range = "0..95 °C, 70..101 kPa, at their humidity ratio";
    // A zero cannot be missed by a percentage. Their dry air has 1006 J/(kg K) in place of 1006.5.
    let mut enthalpy = Agreement::absolute("enthalpy", range, PSYCHROLIB, "kJ/kg", 0.05);
    let mut volume = Agreement::percent("volume per kg of dry air", range, PSYCHROLIB, 0.1);
    for r in records(IDEAL) {
        // Their least humidity ratio is 1e-7.
        let ratio = if r.num("rh_pct") == 0.0 { 0.0 } else { r.num("w") };
        // Just saturated air may come out as 1e-5 above saturation here.
        let (t, p) = (r.num("temp_c"), r.num("p_pa"));
        let Ok(s) = air_state(k_from_c(t), Humidity::Ratio(ratio), p) else { continue };
        let at = format!("{t} °C {} %RH {:.0} kPa", r.text("rh_pct"), 1e-3 * p);
        enthalpy.row(&at, 1e-3 * s.enthalpy_j_kg, r.num("h_kj"));
        volume.row(&at, s.volume_m3_kg, r.num("v"));
    }
    [enthalpy, volume]
}

/// Vapour as a share of the pressure.
fn share(r: &Record) -> f64 {
    r.num("vapour_pa") / r.num("p_pa")
}

/// Real air. The aim holds where vapour is below 0.3 of the pressure; beyond, ideal gases without
/// virial coefficients are off by what the rows say.
fn real() -> Vec<Agreement> {
    let kj = |s: &AirState| Some(1e-3 * s.enthalpy_j_kg);
    let w = |s: &AirState| Some(s.humidity_ratio);
    let v = |s: &AirState| Some(s.volume_m3_kg);
    let all = "-40..95 °C, 60..110 kPa";
    let mut out = Vec::new();
    // Least and most vapour over pressure; allowed for W \[%\], v \[%\] and h \[%\].
    let ranges = [
        ("-40..95 °C, 60..110 kPa, vapour < 0.3 of the pressure", 0.0, 0.3, [0.2, 0.3, 0.2]),
        ("the same, vapour 0.3..0.5 of the pressure", 0.3, 0.5, [0.1, 0.5, 0.25]),
        ("the same, vapour 0.5..0.7 of the pressure", 0.5, 0.7, [0.1, 0.9, 0.3]),
        ("the same, vapour 0.7..0.9 of the pressure", 0.7, 0.9, [0.1, 1.2, 0.35]),
    ];
    for (range, least, most, [of_w, of_v, of_h]) in ranges {
        let inside = |r: &Record| (least..most).contains(&share(r));
        let pc = |name, allowed| Agreement::percent(name, range, COOLPROP, allowed);
        let humid = |r: &Record| inside(r) && r.num("rh_pct") > 0.0;
        out.push(fill(pc("humidity ratio", of_w), "w", humid, w));
        out.push(fill(pc("volume per kg of dry air", of_v), "v", inside, v));
        // Enthalpies start at zero, which no percentage can miss: below 100 kJ/kg in kJ/kg.
        let large = |r: &Record| inside(r) && r.num("h_kj") >= 100.0;
        out.push(fill(pc("enthalpy from 100 kJ/kg up", of_h), "h_kj", large, kj));
    }
    let small = |r: &Record| r.num("h_kj") < 100.0;
    let enthalpy = Agreement::absolute("enthalpy below 100 kJ/kg", all, COOLPROP, "kJ/kg", 0.2);
    out.push(fill(enthalpy, "h_kj", small, kj));
    // 0.02 % of the vapour pressure is 0.004 K at 60 °C.
    let dew = Agreement::absolute("dew point", all, COOLPROP, "K", 0.02);
    let dew_c = |s: &AirState| s.dew_point_k.map(c_from_k);
    out.push(fill(dew, "dew_c", |r| r.num("rh_pct") > 0.0, dew_c));
    let wet = Agreement::absolute("wet bulb, over ice below 0 °C", all, COOLPROP, "K", 0.05);
    out.push(fill(wet, "wet_c", one_wet_bulb, |s| Some(c_from_k(s.wet_bulb_k))));
    out
}

/// Two wet bulbs are possible where ice and water could both cover the thermometer: theirs just below
/// 0 °C is over ice, ours just above over water. Such a row proves nothing.
fn one_wet_bulb(r: &Record) -> bool {
    !r.num_opt("wet_c").is_some_and(|c| (-0.8..0.0).contains(&c))
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
            let full_pa = saturation_in_air_pa(s.wet_bulb_k, STANDARD_PA);
            let full = humidity_ratio(full_pa, STANDARD_PA);
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
