//! Speed of the core: right-hand side, Jacobian, whole runs, and our stepper against the explicit
//! one in the same run. Compare ratios: absolute times depend on the machine and its neighbours.

// The macros of the harness make public functions without documentation.
#![allow(missing_docs)]

use std::hint::black_box;
use std::path::Path;

use criterion::{Criterion, criterion_group, criterion_main};
use drybench::files::table::{TableStyle, Writer};
use drybench::measured::log::{ImportOptions, Importer};
use drybench::model::Plant;
use drybench::reader::Source;
use drybench::run::{Method, simulate};
use drybench::scenario::Scenario;
use drybench::solver::System;

/// A bundled scenario.
fn scenario(name: &str) -> Scenario {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(name);
    let bytes = std::fs::read(&path).expect("a bundled scenario");
    let source = Source::from_bytes(name, &bytes).expect("a readable scenario");
    Scenario::read(&source).expect("a valid scenario").0
}

const TWO_HOLES: &str = "two_holes_two_zones.toml";
/// One hour of the same box under a PI controller.
fn pi_hour() -> Scenario {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(TWO_HOLES);
    let text = std::fs::read_to_string(path).expect("a bundled scenario");
    let mut source = Source::from_bytes(TWO_HOLES, text.as_bytes()).expect("readable");
    for set in ["control.kind=pi", "run.duration=1 h", "run.output_every=30 s"] {
        source.set(set).expect("a valid assignment");
    }
    Scenario::read(&source).expect("a valid scenario").0
}

/// The bundled spool of polyamide in this model.
fn spool(model: &str) -> Scenario {
    let name = "spool_polyamide.toml";
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(name);
    let bytes = std::fs::read(path).expect("a bundled scenario");
    let mut source = Source::from_bytes(name, &bytes).expect("readable");
    source.set(&format!("load.spool.model={model}")).expect("a valid assignment");
    Scenario::read(&source).expect("a valid scenario").0
}

fn pieces(c: &mut Criterion) {
    let scenario = scenario(TWO_HOLES);
    let model = scenario.build();
    let mut plant = Plant::new(&model, 1e-6);
    let y = model.start();
    let mut dy = vec![0.0; y.len()];
    c.bench_function("right-hand side, two zones, pad, two holes", |b| {
        b.iter(|| plant.rhs(black_box(&y), &mut dy));
    });
    let mut jac = vec![0.0; y.len() * model.core_len()];
    c.bench_function("jacobian, same box", |b| {
        b.iter(|| plant.jacobian(black_box(&y), &mut jac));
    });
}

fn runs(c: &mut Criterion) {
    let mut group = c.benchmark_group("run");
    group.sample_size(10);
    let pi = pi_hour();
    for (name, method) in [("rodas5p", Method::Rodas5p), ("dopri5", Method::Dopri5)] {
        group.bench_function(format!("one PI hour, {name}"), |b| {
            b.iter(|| simulate(black_box(&pi), method).expect("a run"));
        });
    }
    for name in ["two_holes_two_zones", "two_holes_one_zone", "one_small_hole", "sealed"] {
        let scenario = scenario(&format!("{name}.toml"));
        for (word, method) in [("rodas5p", Method::Rodas5p), ("dopri5", Method::Dopri5)] {
            group.bench_function(format!("{name}, {word}"), |b| {
                b.iter(|| simulate(black_box(&scenario), method).expect("a run"));
            });
        }
    }
    group.finish();
}

/// 48 h of the bundled spool, 10 layers of 6 shells, at a relative tolerance of 1e-5; and one lump.
fn spools(c: &mut Criterion) {
    let mut group = c.benchmark_group("spool");
    group.sample_size(20);
    for model in ["layers", "lumped"] {
        let scenario = spool(model);
        group.bench_function(format!("48 h, {model}"), |b| {
            b.iter(|| simulate(black_box(&scenario), Method::Rodas5p).expect("a run"));
        });
    }
    group.finish();
}

/// A plain table of three columns, read and written with moist air beside it; and its numbers alone, read and written by the
/// standard library, for the ratio.
fn logs(c: &mut Criterion) {
    const ROWS: u32 = 100_000;
    let mut text = String::from("time_s,temp_c,rh\n");
    for i in 0..ROWS {
        let (t, h) = (25.0 + f64::from(i % 3000) / 100.0, 45.0 - f64::from(i % 2500) / 100.0);
        text += &format!("{i},{t:.2},{h:.2}\n");
    }
    let mut group = c.benchmark_group("log");
    group.sample_size(20);
    group.throughput(criterion::Throughput::Elements(u64::from(ROWS)));
    group.bench_function("read, moist air worked out, written", |b| {
        b.iter(|| {
            let writer = Writer::new(Vec::new(), TableStyle::Csv, 101_325.0);
            let mut importer = Importer::new("log.csv", ImportOptions::default(), writer);
            text.as_bytes().chunks(1 << 16).for_each(|p| importer.feed(p).expect("fed"));
            importer.finish().expect("read").0.rows
        });
    });
    group.bench_function("three numbers read and seven written", |b| {
        b.iter(|| {
            let mut out = String::new();
            for line in text.lines().skip(1) {
                let of = |f: &str| f.parse::<f64>().expect("a number");
                let row: Vec<f64> = line.split(',').map(of).collect();
                for value in row.iter().cycle().take(7) {
                    use std::fmt::Write;
                    let _ = write!(out, "{value:.6},");
                }
                out.push('\n');
            }
            black_box(out.len())
        });
    });
    group.finish();
}

criterion_group!(benches, pieces, runs, spools, logs);
criterion_main!(benches);
