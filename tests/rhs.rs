//! The right-hand side and its Jacobian: no allocation, exact derivatives, nothing lost, no memory.

// A global allocator is the only way to count allocations, and its trait is unsafe to implement;
// this test hands every call on to the system's allocator unchanged.
#![allow(unsafe_code)]

mod common;

use std::alloc::{GlobalAlloc, Layout, System as SystemAllocator};
use std::cell::Cell;

use common::{bundled, drive, scenario_of};
use drybench::model::air::PRESSURE_TIME_S;
use drybench::model::store::Holds;
use drybench::model::{Model, Plant};
use drybench::solver::System;

struct Counting;

thread_local! {
    /// Allocations of this thread, so that tests running beside it do not count.
    static ALLOCATIONS: Cell<u64> = const { Cell::new(0) };
}

fn count() {
    // Nothing is counted while a thread is being taken down.
    let _ = ALLOCATIONS.try_with(|n| n.set(n.get() + 1));
}

// SAFETY: every method passes its arguments on to the system's allocator, which keeps the contract.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        count();
        unsafe { SystemAllocator.alloc(layout) }
    }
    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        count();
        unsafe { SystemAllocator.alloc_zeroed(layout) }
    }
    unsafe fn realloc(&self, at: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        count();
        unsafe { SystemAllocator.realloc(at, layout, size) }
    }
    unsafe fn dealloc(&self, at: *mut u8, layout: Layout) {
        unsafe { SystemAllocator.dealloc(at, layout) }
    }
}

#[global_allocator]
static COUNTING: Counting = Counting;

/// A box that uses every kind of part: three zones, PI, PTC, two pads, dry load, room table, lid.
const EVERYTHING: &str = include_str!("data/everything.toml");

/// The models of all bundled scenarios and of the box with everything.
fn models() -> Vec<(String, Model)> {
    let mut list = vec![("everything".to_owned(), scenario_of(EVERYTHING.as_bytes()).build())];
    for path in bundled() {
        let bytes = std::fs::read(&path).expect("a bundled scenario");
        list.push((path.display().to_string(), scenario_of(&bytes).build()));
    }
    list
}

/// Some states that a run passes, with the lid event under way in them.
fn states(model: &Model) -> Vec<(Option<usize>, Vec<f64>)> {
    let mut plant = Plant::new(model, 1e-6);
    let (mut y, mut list, mut steps) = (model.start(), Vec::new(), 0_u32);
    drive(&mut plant, &mut y, 1e-6, 5400.0, &mut |plant, t, y| {
        steps += 1;
        // At rest every opening stands on the corner between out and in; at a knot of the room's
        // table the derivative over time jumps.
        if t == 0.0 || model.room().knots().any(|knot| (knot - t).abs() < 1.0) {
            return;
        }
        // A load in equilibrium with the room leaves diffusion on its corner between out and in.
        let at = plant.instant(y);
        if at.zones.iter().any(|z| (z.air.vapour_pa - at.room.vapour_pa).abs() < 1e-3) {
            return;
        }
        // Every third step, and all steps while the lid is open: neither few nor nearly alike.
        if steps % 3 == 1 || plant.modes.lid.is_some() {
            list.push((plant.modes.lid, y.to_vec()));
        }
    });
    assert!(list.len() > 10, "only {} states", list.len());
    list
}

#[test]
fn neither_values_nor_derivatives_allocate() {
    for (name, model) in models() {
        let mut plant = Plant::new(&model, 1e-6);
        let y = model.start();
        let mut dy = vec![0.0; y.len()];
        let mut jac = vec![0.0; y.len() * model.core_len()];
        let before = ALLOCATIONS.with(Cell::get);
        for _ in 0..3 {
            plant.rhs(&y, &mut dy);
            plant.jacobian(&y, &mut jac);
        }
        let after = ALLOCATIONS.with(Cell::get);
        assert_eq!(after - before, 0, "{name}");
        drop(vec![0_u8; 8]);
        assert!(ALLOCATIONS.with(Cell::get) > after, "the counter must count");
    }
}

/// Steps of a difference, as shares of an entry's scale: 30 mK to 0.3 uK. The short ones resolve the
/// rounded corner of a film law, the long ones are above the round-off of a law far from its corner.
const STEPS: [f64; 6] = [1e-4, 1e-5, 1e-6, 1e-7, 1e-8, 1e-9];

/// Largest difference of a Jacobian from the nearest of some central differences, over the size of
/// all terms of its row.
fn worst_derivative(plant: &mut Plant<'_>, y: &[f64]) -> (f64, String) {
    let model = plant.model();
    let (n, len) = (model.core_len(), y.len());
    let mut jac = vec![0.0; len * n];
    plant.jacobian(y, &mut jac);
    let (mut up, mut down) = (vec![0.0; len], vec![0.0; len]);
    let mut moved = y.to_vec();
    let mut worst = (0.0, String::new());
    for j in 0..n {
        let mut nearest = vec![(f64::INFINITY, 0.0); len];
        for step in STEPS {
            let h = step * scale(model, j);
            moved[j] = y[j] + h;
            plant.rhs(&moved, &mut up);
            moved[j] = y[j] - h;
            plant.rhs(&moved, &mut down);
            moved[j] = y[j];
            for (i, near) in nearest.iter_mut().enumerate() {
                let difference = (up[i] - down[i]) / (2.0 * h);
                let gap = (jac[i * n + j] - difference).abs();
                if gap < near.0 {
                    *near = (gap, difference);
                }
            }
        }
        for (i, (gap, difference)) in nearest.into_iter().enumerate() {
            let size: f64 = (0..n).map(|k| jac[i * n + k].abs() * scale(model, k)).sum();
            let relative = gap * scale(model, j) / size.max(f64::MIN_POSITIVE);
            if relative > worst.0 {
                let names = (model.entry_name(i), model.entry_name(j));
                let pair = (jac[i * n + j], difference);
                worst = (relative, format!("d({})/d({}): {pair:?}", names.0, names.1));
            }
        }
    }
    worst
}

/// Scale of an entry: 300 K, 1 g, and an hour for time.
fn scale(model: &Model, i: usize) -> f64 {
    let tol = model.entries()[i].abs_tol;
    if tol.is_finite() { tol } else { 3600.0 }
}

#[test]
fn derivatives_agree_with_central_differences() {
    for (name, model) in models() {
        let mut plant = Plant::new(&model, 1e-6);
        let mut worst = (0.0, String::new());
        for (lid, y) in states(&model) {
            plant.modes.lid = lid;
            let here = worst_derivative(&mut plant, &y);
            if here.0 > worst.0 {
                worst = here;
            }
        }
        println!("{name}: {:.2e} in {}", worst.0, worst.1);
        assert!(worst.0 < 1e-5, "{name}: {:.2e} in {}", worst.0, worst.1);
    }
}

/// Largest sum of `column` over the entries of one kind, over the sum of their sizes.
fn unbalance(model: &Model, column: impl Fn(usize) -> f64) -> f64 {
    let kinds = [Holds::Heat, Holds::Water, Holds::DryAir];
    let of = |what: Holds| {
        let held = model.entries().iter().enumerate().filter(move |(_, e)| e.holds == what);
        let values = held.map(|(i, _)| column(i));
        let (sum, size) = values.fold((0.0, 0.0), |(s, a), v| (s + v, a + v.abs()));
        if size > 0.0 { sum.abs() / size } else { 0.0 }
    };
    kinds.into_iter().map(of).fold(0.0, f64::max)
}

/// Largest sum of the rates over one kind, over the sum of the sizes of all that was posted.
fn unposted(plant: &mut Plant<'_>, y: &[f64]) -> f64 {
    let mut journal = Vec::new();
    let rates = plant.explain(y, &mut journal).rates.to_vec();
    let entries = plant.model().entries();
    let of = |what: Holds| {
        let pairs = entries.iter().zip(&rates).filter(|(e, _)| e.holds == what);
        let sum: f64 = pairs.map(|(_, rate)| rate).sum();
        let posted = journal.iter().filter(|p| p.holds == what).map(|p| p.rate.abs()).sum::<f64>();
        if posted > 0.0 { sum.abs() / posted } else { 0.0 }
    };
    [Holds::Heat, Holds::Water, Holds::DryAir].into_iter().map(of).fold(0.0, f64::max)
}

#[test]
fn rates_and_columns_sum_to_zero_over_heat_water_and_air() {
    for (name, model) in models() {
        let n = model.core_len();
        let mut plant = Plant::new(&model, 1e-6);
        let (mut worst, mut worst_rate) = (0.0_f64, 0.0_f64);
        for (lid, y) in states(&model) {
            plant.modes.lid = lid;
            let mut jac = vec![0.0; y.len() * n];
            plant.jacobian(&y, &mut jac);
            worst_rate = worst_rate.max(unposted(&mut plant, &y));
            for j in 0..n {
                worst = worst.max(unbalance(&model, |i| jac[i * n + j]));
            }
        }
        println!("{name}: columns {worst:.1e}, rates {worst_rate:.1e}");
        assert!(worst < 1e-14 && worst_rate < 1e-14, "{name}: {worst:e}, {worst_rate:e}");
    }
}

#[test]
fn the_right_hand_side_remembers_nothing() {
    for (name, model) in models() {
        let states = states(&model);
        let mut plant = Plant::new(&model, 1e-6);
        let (len, n) = (model.entries().len(), model.core_len());
        let mut evaluate = |lid: Option<usize>, y: &[f64]| {
            let (mut dy, mut jac) = (vec![0.0; len], vec![0.0; len * n]);
            plant.modes.lid = lid;
            plant.rhs(y, &mut dy);
            plant.jacobian(y, &mut jac);
            dy.append(&mut jac);
            dy.into_iter().map(f64::to_bits).collect::<Vec<u64>>()
        };
        let first: Vec<_> = states.iter().map(|(lid, y)| evaluate(*lid, y)).collect();
        // A state that is no state leaves no trace either.
        evaluate(None, &vec![f64::NAN; len]);
        for ((lid, y), want) in states.iter().zip(&first).rev() {
            assert!(evaluate(*lid, y) == *want, "{name}: other bits when called again");
        }
        // The running totals are not read.
        let (lid, y) = &states[states.len() / 2];
        let mut other = y.clone();
        other[n..].fill(f64::NAN);
        assert!(evaluate(*lid, &other) == first[states.len() / 2], "{name}: reads a total");
    }
}

#[test]
fn the_gas_of_every_zone_follows_the_pressure_of_the_box() {
    for (name, model) in models() {
        let mut plant = Plant::new(&model, 1e-6);
        let mut worst = 0.0_f64;
        for (lid, y) in states(&model) {
            plant.modes.lid = lid;
            let at = plant.instant(&y);
            let (p0_pa, rates) = (at.p0_pa, at.rates.to_vec());
            let mut excess = |h: f64| -> Vec<f64> {
                let moved: Vec<f64> = y.iter().zip(&rates).map(|(y, r)| y + h * r).collect();
                plant.intensive(&moved).zones.iter().map(|z| z.excess(model.total_pa())).collect()
            };
            let (before, now, after) = (excess(-H_S), excess(0.0), excess(H_S));
            for ((before, now), after) in before.iter().zip(&now).zip(&after) {
                let (rise, want) =
                    ((after - before) / (2.0 * H_S), (p0_pa - now) / PRESSURE_TIME_S);
                worst = worst.max((rise - want).abs() / (want.abs() + 1.0));
            }
        }
        println!("{name}: {worst:.1e}");
        assert!(worst < 1e-5, "{name}: {worst:e}");
    }
}

/// Step of the difference \[s\]: 1e-3 s leaves round-off of 1e5 Pa at 1e-8 Pa/s.
const H_S: f64 = 1e-3;
