//! A step of Rodas5P allocates nothing, whether accepted, rejected or cut by an event.

// A counting allocator is the only proof of that, and an allocator is unsafe by nature.
#![allow(unsafe_code)]

use std::alloc::{GlobalAlloc, Layout, System as Heap};
use std::cell::Cell;

use drybench::solver::{Rodas5p, SolverOptions, Stepper, System, integrate};

struct Counting;

thread_local! {
    // One count for each thread: the test harness allocates in others.
    static COUNT: Cell<u64> = const { Cell::new(0) };
}

fn count_one() {
    // A thread on its way out has no count any more, and none is asked of it.
    let _ = COUNT.try_with(|count| count.set(count.get() + 1));
}

// SAFETY: every call is handed on unchanged to the allocator of the system.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        count_one();
        unsafe { Heap.alloc(layout) }
    }
    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        unsafe { Heap.dealloc(pointer, layout) }
    }
    unsafe fn realloc(&self, pointer: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        count_one();
        unsafe { Heap.realloc(pointer, layout, size) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

/// A fast and a slow store with a thermostat on the slow one, and one sink.
struct Chamber {
    on: bool,
}

impl System for Chamber {
    fn core(&self) -> usize {
        2
    }
    fn len(&self) -> usize {
        3
    }
    fn rhs(&mut self, y: &[f64], dy: &mut [f64]) {
        let power = if self.on { 100.0 } else { 0.0 };
        let (exchange, loss) = (5.0 * (y[0] - y[1]), y[1] - 20.0);
        dy.copy_from_slice(&[(power - exchange) / 3.0, (exchange - loss) / 300.0, loss]);
    }
    fn jacobian(&mut self, _y: &[f64], jac: &mut [f64]) {
        jac.copy_from_slice(&[-5.0 / 3.0, 5.0 / 3.0, 5.0 / 300.0, -6.0 / 300.0, 0.0, 1.0]);
    }
    fn abs_tol(&self) -> &[f64] {
        &[1e-6; 2]
    }
    fn guards(&self) -> usize {
        2
    }
    fn guard_values(&mut self, y: &[f64], out: &mut [f64]) {
        out[0] = if self.on { -1.0 } else { 49.0 - y[1] };
        out[1] = if self.on { y[1] - 51.0 } else { -1.0 };
    }
    fn fire(&mut self, guard: usize, _y: &[f64]) {
        self.on = guard == 0;
    }
    fn state_name(&self, i: usize) -> String {
        format!("state {i}")
    }
}

/// Allocations, steps and events of a run from 0 to `t_stop` with a stepper that has run before.
fn count(t_stop: f64) -> (u64, u64, u64) {
    let mut stepper = Rodas5p::new(SolverOptions::default());
    let mut system = Chamber { on: true };
    let mut y = [60.0, 50.0, 0.0];
    integrate(&mut stepper, &mut system, 0.0, &mut y, 1.0, &mut |_, _, _| {}).expect("solvable");
    let steps = stepper.statistics().accepted;
    let before = COUNT.get();
    let fired = integrate(&mut stepper, &mut system, 1.0, &mut y, t_stop, &mut |_, _, _| {})
        .expect("solvable");
    let allocations = COUNT.get() - before;
    assert!(stepper.statistics().rejected > 0, "a rejected step must be among them");
    (allocations, stepper.statistics().accepted - steps, fired)
}

#[test]
fn steps_and_events_allocate_nothing() {
    let (short, few, _) = count(100.0);
    let (long, many, fired) = count(10_000.0);
    println!("{short} allocations for {few} steps, {long} for {many} steps and {fired} events");
    assert!(many > 50 * few && fired > 50, "{few} {many} {fired}");
    assert_eq!(short, long, "allocations must not grow with steps or events");
    assert!(long <= 7, "only the work space of one call: {long}");
}
