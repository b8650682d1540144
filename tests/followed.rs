//! Metrics come from the steps of the solver: the rows that a run writes do not change them, they are
//! what fine rows approach, and a run that leaves the range of the model says what it still knows.

#[path = "common/mod.rs"]
mod common;

#[path = "followed/ended.rs"]
mod ended;
#[path = "followed/figures.rs"]
mod figures;
#[path = "followed/rows.rs"]
mod rows;
