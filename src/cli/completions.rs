//! `drybench completions`: a script that lets a shell complete commands and options.

use clap::{Args, CommandFactory};
use clap_complete::{Shell, generate};

use super::Arguments;
use super::output::print;
use crate::files::Outcome;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    drybench completions bash > ~/.local/share/bash-completion/completions/drybench\n  \
    drybench completions zsh > ~/.zfunc/_drybench\n  \
    drybench completions fish > ~/.config/fish/completions/drybench.fish")]
pub(super) struct Completions {
    /// Shell that the script is for
    #[arg(value_enum)]
    shell: Shell,
}

impl Completions {
    pub(super) fn run(&self) -> Outcome {
        let mut script = Vec::new();
        generate(self.shell, &mut Arguments::command(), "drybench", &mut script);
        print(&String::from_utf8_lossy(&script))
    }
}
