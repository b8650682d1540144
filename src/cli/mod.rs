//! The command line: the only code that prints and decides on exit codes.

mod air;
mod assess;
mod check;
mod completions;
mod fit;
mod guide;
mod import;
mod keys;
mod look;
mod new;
mod output;
#[cfg(test)]
mod own_power;
mod simulate;
mod spool;
mod sweep;

use clap::{Parser, Subcommand, ValueEnum};

use crate::files::{Cause, Outcome};

/// The exit code of what stood in the way.
fn code(cause: Cause) -> u8 {
    match cause {
        Cause::Nothing => 0,
        Cause::CommandLine => 2,
        Cause::BadInput => 3,
        Cause::Numerical => 4,
        Cause::Output => 5,
        Cause::Ended => 6,
        Cause::Interrupted => 130,
    }
}

/// How results are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Format {
    /// Plain text for people.
    Table,
    /// Comma-separated values.
    Csv,
    /// JSON with units and a schema version.
    Json,
}

/// When messages are coloured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Colour {
    /// On a terminal, unless NO_COLOR is set.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

#[derive(Debug, Parser)]
#[command(
    name = "drybench",
    version,
    about = "Simulates small heated, vented drying boxes: temperature, humidity, water and energy",
    after_help = "Examples:\n  \
        drybench new two_holes -o box.toml\n  \
        drybench simulate box.toml -o out\n\n\
        Exit codes: 0 done, 2 wrong command line, 3 wrong input, 4 no numerical solution, \
        5 output not written, 6 the box left the range of the model before the end of the run \
        (all outputs are written)."
)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
    /// Say less: no notes on standard error
    #[arg(short, long, global = true, display_order = 900)]
    quiet: bool,
    /// Colour of messages
    #[arg(
        long,
        global = true,
        value_enum,
        default_value = "auto",
        value_name = "WHEN",
        display_order = 901
    )]
    color: Colour,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Write a commented starter scenario, or the folder of a measured run
    New(new::New),
    /// Find all mistakes of a scenario or run folder; show its values and what follows from them
    Check(check::Check),
    /// Moist-air calculator: temperature and one humidity give all the others
    Air(air::Air),
    /// Logger text to a tidy series with moist-air columns, and a count of its lines
    Import(import::Import),
    /// Simulate one scenario: summary, time series, ledgers, figure
    Simulate(simulate::Simulate),
    /// Figures of one run, measured or simulated, each with its uncertainty and definition
    Assess(assess::Assess),
    /// Find parameters of a box from measured runs, and say how well they are known
    Fit(fit::Fit),
    /// Dry a spool of one or several polymers in a box: moisture and times with their bands
    Spool(spool::SpoolCommand),
    /// Run many cases over values of any parameters, in parallel
    Sweep(sweep::Sweep),
    /// The keys of the files: what each takes, its default, how far that may be off
    Keys(keys::KeysCommand),
    /// Show the guide: first box, sweeps, measured runs, fits, all keys, the model
    Guide(guide::Guide),
    /// A script that lets a shell complete commands and options
    Completions(completions::Completions),
}

/// Runs the program with the arguments of the process; returns the exit code.
pub fn run() -> u8 {
    keep_alive();
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(refusal) => return of_parser(&refusal),
    };
    let talk = output::Talk::new(arguments.quiet, arguments.color);
    let outcome = match &arguments.command {
        Command::New(c) => c.run(&talk),
        Command::Check(c) => c.run(&talk),
        Command::Air(c) => c.run(&talk),
        Command::Import(c) => c.run(&talk),
        Command::Simulate(c) => c.run(&talk),
        Command::Assess(c) => c.run(&talk),
        Command::Fit(c) => c.run(&talk),
        Command::Spool(c) => c.run(&talk),
        Command::Sweep(c) => c.run(&talk),
        Command::Keys(c) => c.run(),
        Command::Guide(c) => c.run(),
        Command::Completions(c) => c.run(),
    };
    ended(&talk, outcome)
}

fn ended(talk: &output::Talk, outcome: Outcome) -> u8 {
    match outcome {
        Ok(()) => code(Cause::Nothing),
        Err(stop) => {
            talk.stop(&stop);
            code(stop.cause)
        }
    }
}

/// Help and version, and what is wrong with the command line.
fn of_parser(refusal: &clap::Error) -> u8 {
    let talk = output::Talk::new(false, Colour::Auto);
    let text = refusal.render();
    if !refusal.use_stderr() {
        let styled = output::is_coloured(&std::io::stdout());
        let shown = if styled { text.ansi().to_string() } else { text.to_string() };
        return ended(&talk, output::print_styled(&shown));
    }
    // What was typed may hold what a terminal obeys; the parser's own colours need not be kept then.
    let plain = text.to_string();
    match crate::text::visible(&plain) {
        std::borrow::Cow::Borrowed(_) => _ = refusal.print(),
        std::borrow::Cow::Owned(shown) => talk.error(&shown),
    }
    code(Cause::CommandLine)
}

/// A file that grows past its limit is an error to be told, not the end of the process.
#[cfg(unix)]
fn keep_alive() {
    let nobody_asks = std::sync::Arc::new(std::sync::atomic::AtomicBool::new(false));
    let _ = signal_hook::flag::register(signal_hook::consts::SIGXFSZ, nobody_asks);
}

#[cfg(not(unix))]
fn keep_alive() {}
