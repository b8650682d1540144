//! The guide for users, chapter by chapter, as `drybench guide` shows it.
//!
//! Its pictures lie in the folder `scenarios` of the repository.
//!
//! ```
//! let fitting = drybench::guide::chapter("fitting").expect("a chapter");
//! assert!(fitting.text.starts_with("# "));
//! ```

/// A chapter of the guide.
#[derive(Clone, Copy, Debug)]
pub struct Chapter {
    /// What it is asked by.
    pub name: &'static str,
    /// What it is for, in one line.
    pub line: &'static str,
    /// Its text, in Markdown.
    pub text: &'static str,
}

/// Makes the modules of the chapters and the list of them. Links between chapters are references, whose first
/// definition counts: here the pages of this documentation, at the end of each file the files beside it.
macro_rules! chapters {
    ($($name:ident $file:literal: $line:literal,)*) => {
        $(
            #[doc = concat!("[first_box]: crate::guide::first_box\n[vents]: crate::guide::vents\n[sweeps]: crate::guide::sweeps\n",
                "[measured_run]: crate::guide::measured_run\n[fitting]: crate::guide::fitting\n[fit_report]: crate::guide::fit_report\n",
                "[spools]: crate::guide::spools\n[keys]: crate::guide::keys\n[model]: crate::guide::model\n",
                "[validation]: crate::guide::validation\n[files]: crate::guide::files\n[rust]: crate::guide::rust\n\n")]
            #[doc = include_str!($file)]
            pub mod $name {}
        )*
        /// All chapters, in the order in which they are best read.
        pub const CHAPTERS: &[Chapter] = &[
            $(Chapter { name: stringify!($name), line: $line, text: include_str!($file) },)*
        ];
    };
}

chapters! {
    first_box "first_box.md": "from a starter to a picture of your own box; supply and return",
    vents "vents.md": "one box with five kinds of opening; all bundled scenarios",
    sweeps "sweeps.md": "what a hole, a heater or a timer changes; what decides a result",
    measured_run "measured_run.md": "from a log and weighings to a report with uncertainties",
    fitting "fitting.md": "find wall loss, seams and coefficients from measured runs; predict",
    fit_report "fit_report.md": "what the report of a fit says, and what cannot be known",
    spools "spools.md": "filament on spools: drying times, bands, turning, weighing, storage",
    keys "keys.md": "every key of the scenario file with its default",
    model "model.md": "the equations with their sources, and what is left out",
    validation "validation.md": "agreement with published values",
    files "files.md": "what commands write, exit codes, the layout of run.json",
    rust "rust.md": "the library behind the program",
}

/// The chapter of this name; capitals, `-` and spaces do not matter.
pub fn chapter(name: &str) -> Option<&'static Chapter> {
    let plain = name.trim().to_lowercase().replace(['-', ' '], "_");
    CHAPTERS.iter().find(|c| c.name == plain)
}
