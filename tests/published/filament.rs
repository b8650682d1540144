//! Shells of a sheet, a filament and a granule against the series for a step at the surface.

use super::agreement::{Agreement, check};
use super::data_file::records;
use drybench::physics::diffusion::{Shape, Shells};
use nalgebra::{DMatrix, DVector};

const DATA: &str = include_str!("data/crank.csv");
/// Times below this belong to a front thinner than any coarse shell.
const LEAST_FO: f64 = 0.01;

fn shape(name: &str) -> Shape {
    match name {
        "sheet" => Shape::Sheet,
        "cylinder" => Shape::Cylinder,
        _ => Shape::Sphere,
    }
}

/// Rates of the shells for size and diffusivity 1 and a surrounding at zero, by their own fluxes.
fn rates(shape: Shape, biot: f64, count: usize) -> DMatrix<f64> {
    let shells = Shells::new(shape, 1.0, count);
    let mut m = DMatrix::zeros(count, count);
    let volume = 1.0 / count as f64;
    for (i, f) in shells.between.iter().enumerate() {
        for (row, sign) in [(i, -1.0), (i + 1, 1.0)] {
            m[(row, i)] += sign * f / volume;
            m[(row, i + 1)] -= sign * f / volume;
        }
    }
    // The surface settles where the film takes what the shells send.
    let [near, far] = shells.surface;
    let film = shape as usize as f64 * biot;
    let held = if biot.is_finite() { film / (film + near + far) } else { 1.0 };
    m[(count - 1, count - 1)] -= near * held / volume;
    m[(count - 1, count - 2)] -= far * held / volume;
    m
}

/// Share of the final uptake at `fo`.
fn uptake(shape: Shape, biot: f64, fo: f64, count: usize) -> f64 {
    let left = (rates(shape, biot, count) * fo).exp() * DVector::from_element(count, 1.0);
    1.0 - left.mean()
}

pub fn agreements() -> Vec<Agreement> {
    ["sheet", "cylinder", "sphere"]
        .into_iter()
        .map(|name| {
            let label = match name {
                "sheet" => "diffusion in a sheet, 64 shells",
                "cylinder" => "diffusion in a filament, 64 shells",
                _ => "diffusion in a granule, 64 shells",
            };
            let mut a = Agreement::absolute(
                label,
                "Fo 0.01..5, Bi 0.5..inf",
                "Crank, series",
                "share",
                1e-4,
            );
            for r in
                records(DATA).iter().filter(|r| r.text("shape") == name && r.num("fo") >= LEAST_FO)
            {
                let biot = r.text("biot").parse().expect("a number or inf");
                let at = format!("Bi {} Fo {}", r.text("biot"), r.text("fo"));
                a.row(at, uptake(shape(name), biot, r.num("fo"), 64), r.num("uptake"));
            }
            a
        })
        .collect()
}

#[test]
fn shells_agree_with_the_series() {
    check(&agreements());
}

#[test]
fn the_error_falls_with_the_square_of_the_number_of_shells() {
    for name in ["sheet", "cylinder", "sphere"] {
        let worst = |count| {
            records(DATA)
                .iter()
                .filter(|r| r.text("shape") == name && r.num("fo") >= LEAST_FO)
                .map(|r| {
                    let biot = r.text("biot").parse().expect("a number or inf");
                    let ours = uptake(shape(name), biot, r.num("fo"), count);
                    (ours - r.num("uptake")).abs()
                })
                .fold(0.0, f64::max)
        };
        let errors = [6, 12, 24, 48].map(worst);
        let text = errors.map(|e| format!("{e:.1e}")).join(", ");
        println!("{name}: largest error with 6, 12, 24, 48 shells {text}");
        assert!(errors[0] < 2e-2, "{name} with 6 shells: {errors:?}");
        assert!(errors[3] < errors[2] / 3.0, "{name}: {errors:?}");
    }
}
