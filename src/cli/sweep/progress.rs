//! How far a sweep is.

use std::io::IsTerminal;

use indicatif::{ProgressBar, ProgressStyle};

use crate::cli::output::Talk;
use crate::files::Listener;

/// A bar on a terminal, else a line for every tenth.
pub(super) struct Progress<'t> {
    talk: &'t Talk,
    bar: Option<ProgressBar>,
    all: usize,
    tenths: usize,
}

impl<'t> Progress<'t> {
    pub(super) fn new(talk: &'t Talk, all: usize, done: usize) -> Self {
        let bar = (std::io::stderr().is_terminal() && !talk.is_quiet()).then(|| {
            let bar = ProgressBar::new(all as u64).with_position(done as u64);
            let look =
                ProgressStyle::with_template("{wide_bar} {pos} of {len}, {per_sec}, {eta} left");
            if let Ok(look) = look {
                bar.set_style(look);
            }
            bar.reset_eta();
            bar
        });
        Progress { talk, bar, all, tenths: 10 * done / all.max(1) }
    }

    pub(super) fn at(&mut self, done: usize) {
        let tenths = 10 * done / self.all.max(1);
        match &self.bar {
            Some(bar) if done == self.all => bar.finish_and_clear(),
            Some(bar) => bar.set_position(done as u64),
            None if tenths > self.tenths => {
                self.talk.note(&format!("{} % ({done} of {} cases)", 10 * tenths, self.all));
            }
            None => {}
        }
        self.tenths = tenths;
    }
}
