//! Gas in a closed volume, and droplets.

use super::agreement::{Agreement, check};
use drybench::address::{Place, Quantity};
use drybench::model::air::{Air, Zone};
use drybench::model::parts::FOG_SETTLING_M_S;
use drybench::model::room::air_of;
use drybench::model::store::{Gas, Layout, Thermal};
use drybench::physics::constants::GRAVITY;
use drybench::physics::transport::viscosity_dry_air;
use drybench::units::k_from_c;

pub fn agreements() -> Vec<Agreement> {
    let mut all = closed_volume();
    all.push(settling());
    all
}

/// A litre of moist air, closed at 22 °C and 101.325 kPa, at other temperatures.
fn closed_volume() -> Vec<Agreement> {
    let (range, source) = ("closed at 22 °C 50 %RH, 5..80 °C", "laws of Gay-Lussac and Dalton");
    let mut pressure = Agreement::percent("pressure of a closed gas", range, source, 0.001);
    let mut vapour = Agreement::percent("vapour density in it", range, source, 0.001);
    let shut = air_of(k_from_c(22.0), 0.5, 101_325.0);
    for temp_c in [5.0, 22.0, 40.0, 65.0, 80.0] {
        let air: Air<f64> = heated(&shut, k_from_c(temp_c));
        let at = format!("{temp_c} °C");
        pressure.row(&at, air.pressure_pa, 101_325.0 * k_from_c(temp_c) / k_from_c(22.0));
        vapour.row(&at, air.dry_kg_m3 * air.ratio, shut.dry_kg_m3 * shut.ratio);
    }
    vec![pressure, vapour]
}

/// The gas of a closed litre that held `shut`, at `temp_k`.
fn heated(shut: &Air<f64>, temp_k: f64) -> Air<f64> {
    let volume_m3 = 1e-3;
    let mut layout = Layout::default();
    let dry = layout.dry_air(Place::Zone(0), shut.dry_kg_m3 * volume_m3);
    let water =
        layout.water(Place::Zone(0), Quantity::Vapour, shut.dry_kg_m3 * shut.ratio * volume_m3);
    let fog = layout.water(Place::Zone(0), Quantity::Fog, 0.0);
    let heat = layout.heat(Place::Zone(0), Thermal::Air { water, dry }, shut.temp_k);
    let gas = Gas { heat, water, dry, fog };
    let zone = Zone { name: "box".into(), volume_m3, gas, pressure_share: 0.0 };
    let (mut y, total_pa) = (layout.start(), shut.pressure_pa);
    let air = |y: &[f64]| zone.air(y, total_pa);
    // Heat at constant volume.
    y[3] += air(&y).capacity_v * (temp_k - shut.temp_k);
    air(&y).air
}

/// Droplets of 10 µm: `d^2 (rho_water - rho_air) g / (18 mu)`.
fn settling() -> Agreement {
    let source = "Stokes 1851, from memory";
    let mut all = Agreement::percent("settling of fog", "droplets of 10 µm, 20 °C", source, 2.0);
    let theirs = 1e-10 * (998.2 - 1.2) * GRAVITY / (18.0 * viscosity_dry_air(20.0));
    all.row("10 µm", 1e3 * FOG_SETTLING_M_S, 1e3 * theirs);
    all
}

#[test]
fn liquid_agrees() {
    check(&agreements());
}
