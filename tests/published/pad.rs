//! The steady wet surface of a pad in its constant-rate period.

use super::agreement::{Agreement, check};
use super::balance::{Case, water_of_part_g_h};
use super::data_file::{Record, records, root};
use drybench::physics::convection::{self, Facing, Length, Natural};
use drybench::physics::moist_air::{latent_heat_j_kg, saturation_in_air_pa};
use drybench::physics::psychrometrics::{Humidity, air_state};
use drybench::physics::{surface, transport};
use drybench::units::{c_from_k, k_from_c};

const DATA: &str = include_str!("data/pad.csv");
const PRESSURE_PA: f64 = 101_325.0;
const OWN: &str = "independent calculation";

/// A wet plate in warm air.
#[derive(Clone, Copy, Debug)]
pub struct WetPlate {
    pub air_c: f64,
    pub rh: f64,
    pub speed_m_s: f64,
    pub length_m: f64,
    /// Emissivity towards walls at air temperature.
    pub emissivity: f64,
    /// Whether natural convection is mixed in, as the model does.
    pub mixed: bool,
}

impl WetPlate {
    /// Evaporation \[kg/(m2 s)\] and net heat \[W/m2\] at a surface temperature.
    fn at(&self, surface_k: f64) -> (f64, f64) {
        let air_k = k_from_c(self.air_c);
        let vapour_pa = self.rh * saturation_in_air_pa(air_k, PRESSURE_PA);
        let surface_pa = saturation_in_air_pa(surface_k, PRESSURE_PA);
        let mean_k = 0.5 * (air_k + surface_k);
        let y = (vapour_pa + surface_pa) * 0.5 / PRESSURE_PA;
        let gas = transport::mixture(mean_k, y, PRESSURE_PA);
        let d = transport::vapour_diffusivity(mean_k, PRESSURE_PA);
        let dt = air_k - surface_k;
        let still = if self.mixed {
            Natural::new(dt, mean_k, PRESSURE_PA)
                .coefficient(Facing::Sideways, &Length::new(self.length_m))
        } else {
            0.0
        };
        let (h, h_m) = convection::plate(&gas, d, still, self.speed_m_s, self.length_m, 1.0);
        let flux = convection::stefan_flux(h_m, mean_k, vapour_pa, surface_pa, PRESSURE_PA);
        let radiation = surface::radiative_coefficient(self.emissivity, air_k, surface_k);
        let heat = (convection::ackermann(h, flux) + radiation) * dt;
        (flux, heat - flux * latent_heat_j_kg(surface_k))
    }

    /// Surface temperature \[K\] and evaporation \[kg/(m2 s)\] in the steady state.
    pub fn steady(&self) -> (f64, f64) {
        let surface_k = root(k_from_c(0.0), k_from_c(self.air_c), |k| self.at(k).1);
        (surface_k, self.at(surface_k).0)
    }
}

/// The plate of the table, on which each row has three speeds.
fn of_table(r: &Record, speed_m_s: f64) -> WetPlate {
    let (air_c, rh) = (r.num("temp_c"), 0.01 * r.num("rh_pct"));
    WetPlate { air_c, rh, speed_m_s, length_m: 0.05, emissivity: 0.95, mixed: false }
}

fn at(r: &Record) -> String {
    format!("{} °C {} %RH", r.text("temp_c"), r.text("rh_pct"))
}

pub fn agreements() -> Vec<Agreement> {
    let mut all = rates();
    all.extend(temperatures());
    all
}

fn rates() -> Vec<Agreement> {
    let range = "55..80 °C, 10..60 %RH, 0.5..2 m/s";
    let new = |name, allowed| Agreement::percent(name, range, OWN, allowed);
    let mut plain = new("evaporation of a pad, no radiation", 2.0);
    let mut full = new("evaporation of a pad, radiation", 2.0);
    let mut mixed = new("evaporation of a pad, mixed convection", 5.0).remark(
        "The table has forced convection alone; the model's pad mixes natural convection in, which \
         adds up to 4 % at 0.5 m/s.",
    );
    let g_min = |p: WetPlate| p.steady().1 * 2.0 * 0.05 * 0.05 * 60e3;
    for r in &records(DATA) {
        for (speed_m_s, word) in [(0.5, "05"), (1.0, "1"), (2.0, "2")] {
            let plate = of_table(r, speed_m_s);
            let at = format!("{} {speed_m_s} m/s", at(r));
            let with = r.text(&format!("g_min_{word}"));
            let without = r.text(&format!("plain_{word}"));
            full.printed(&at, g_min(plate), with, 1.0);
            plain.printed(&at, g_min(WetPlate { emissivity: 0.0, ..plate }), without, 1.0);
            mixed.printed(&at, g_min(WetPlate { mixed: true, ..plate }), with, 1.0);
        }
    }
    vec![plain, full, mixed]
}

fn temperatures() -> [Agreement; 2] {
    let mut wet_bulb = Agreement::absolute("wet bulb", "55..80 °C, 10..60 %RH", OWN, "K", 0.1);
    let name = "surface of a pad, radiation";
    let mut surface = Agreement::absolute(name, "55..80 °C, at 1 m/s", OWN, "K", 0.2);
    for r in &records(DATA) {
        let plate = of_table(r, 1.0);
        let air = air_state(k_from_c(plate.air_c), Humidity::Relative(plate.rh), PRESSURE_PA);
        let bulb_c = c_from_k(air.expect("a possible state").wet_bulb_k);
        wet_bulb.printed(at(r), bulb_c, r.text("wet_bulb_c"), 1.0);
        surface.printed(at(r), c_from_k(plate.steady().0), r.text("surface_c_1"), 1.0);
    }
    [wet_bulb, surface]
}

/// The plate above is the model's pad: same evaporation at the start of a run, where the pad is as
/// warm as the air.
#[test]
fn the_pad_of_a_model_evaporates_as_this_plate() {
    let vents = r#"
        [vent.only]
        kind     = "hole"
        zone     = "return"
        diameter = "3 mm"
        height   = "70 mm"
        [load.pad]
        kind      = "wet_pad"
        water     = "3 g"
        dry_mass  = "3 g"
        size      = ["50 mm", "50 mm", "0 mm"]
        zone      = "return"
        air_speed = "1 m/s""#;
    let mut case = Case::reference(0.0, vents);
    case.inside = (65.0, 30.0);
    let plate = WetPlate {
        air_c: 65.0,
        rh: 0.3,
        speed_m_s: 1.0,
        length_m: 0.05,
        emissivity: 0.95,
        mixed: true,
    };
    let ours = plate.at(k_from_c(65.0)).0 * 2.0 * 0.05 * 0.05 * 3.6e6;
    let model = water_of_part_g_h(&case.build(0.0), "load.pad");
    // 1e-4: the fibre's activity is rounded off just below one.
    assert!((model / ours - 1.0).abs() < 1e-4, "{model} and {ours} g/h");
}

#[test]
fn pads_agree() {
    check(&agreements());
}
