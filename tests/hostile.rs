//! What must not happen, whatever is typed, found in a file or done to one: lost outputs, panics, memory
//! without end, terminals and spreadsheets that obey, columns that nobody can tell apart.

#[path = "cli/bench.rs"]
mod bench;
#[path = "hostile/dice.rs"]
mod dice;
#[path = "hostile/inputs.rs"]
mod inputs;
#[path = "hostile/names.rs"]
mod names;
#[path = "hostile/outputs.rs"]
mod outputs;
#[path = "hostile/saved.rs"]
mod saved;
#[path = "hostile/shown.rs"]
mod shown;
#[path = "hostile/typed.rs"]
mod typed;
