//! The program as a user meets it: exit codes, messages with their lines, files written.

#[path = "cli/bad_files.rs"]
mod bad_files;
#[path = "cli/bad_values.rs"]
mod bad_values;
#[path = "cli/bench.rs"]
mod bench;
#[path = "cli/calculator.rs"]
mod calculator;
#[path = "cli/control_values.rs"]
mod control_values;
#[path = "cli/conventions.rs"]
mod conventions;
#[path = "cli/ended.rs"]
mod ended;
#[path = "cli/guide.rs"]
mod guide;
#[path = "cli/measured_runs.rs"]
mod measured_runs;
#[path = "cli/old_names.rs"]
mod old_names;
#[path = "cli/results.rs"]
mod results;
#[path = "cli/spool.rs"]
mod spool;
