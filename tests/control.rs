//! Control: limit cycles, PI, programmes, fan, cut-out, events and exhaust rules, each against a
//! closed solution or against what the scenario promised.
//!
//! The values lie in `tests/control/data/`, each file with its source on top.

#[path = "control/exhaust.rs"]
mod exhaust;
#[path = "control/faults.rs"]
mod faults;
#[path = "control/grid.rs"]
mod grid;
#[path = "control/guesses.rs"]
mod guesses;
#[path = "control/lag.rs"]
mod lag;
#[path = "control/limit_cycle.rs"]
mod limit_cycle;
#[path = "control/pi.rs"]
mod pi;
#[path = "control/plant.rs"]
mod plant;
#[path = "control/programme.rs"]
mod programme;
#[path = "control/schedule.rs"]
mod schedule;
#[path = "control/speed.rs"]
mod speed;
