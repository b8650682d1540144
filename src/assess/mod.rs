//! The figures of one run, measured or simulated, each with its uncertainty and definition.
//!
//! A run of either kind becomes [`Evidence`]; [`assess`] turns that into a list of [`Finding`]s. No
//! figure is made up where the data do not allow it: it then says what is missing.
//!
//! ```
//! use drybench::assess::{assess, evidence_of_run};
//! # let text = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/sealed.toml"));
//! # let mut source = drybench::reader::Source::from_bytes("sealed.toml", text.as_bytes()).expect("TOML");
//! # source.set("run.duration=5 min").expect("a value");
//! # let (scenario, _) = drybench::scenario::Scenario::read(&source).expect("a sound scenario");
//! let run = drybench::run::simulate(&scenario, drybench::run::Method::Rodas5p).expect("a solution");
//! let assessment = assess(&evidence_of_run(&run));
//! assert!(assessment.findings.iter().any(|f| f.key == "ripple_K"));
//! ```

mod air;
mod balance;
mod drying;
mod energy;
mod evidence;
mod exchange;
mod exponential;
mod finding;
mod heater;
mod heating;
mod measured;
mod sensors;
mod simulated;
mod steady;
mod surface;
mod water;

pub use evidence::{Evidence, ExchangeDoubt, LidOpening, Probe, Room, SensorPlace, Spot, Weighed};
pub use finding::{Chapter, Finding, Value};
pub use measured::{Gathered, LogText, gather};
pub use simulated::evidence as evidence_of_run;
pub use surface::surface_k;
pub use water::EXCHANGE;

use serde::Serialize;

/// The whole table of one run.
#[derive(Clone, Debug, Serialize)]
pub struct Assessment {
    /// Version of this layout.
    pub schema_version: u32,
    /// Headline.
    pub title: String,
    /// Whether the run was simulated.
    pub simulated: bool,
    /// What "dry" means in this table.
    pub dry: String,
    /// Figures in order.
    pub findings: Vec<Finding>,
    /// Things a reader should know.
    pub warnings: Vec<String>,
}

/// All figures of a run.
#[must_use]
pub fn assess(run: &Evidence) -> Assessment {
    let parts = [
        heating::findings(run),
        heater::findings(run),
        air::findings(run),
        exchange::findings(run),
        drying::findings(run),
        balance::findings(run),
        energy::findings(run),
        surface::findings(run),
        sensors::findings(run),
    ];
    let quoted = run.quoted.iter().map(Finding::quoted);
    Assessment {
        schema_version: crate::run::SCHEMA_VERSION,
        title: run.title.clone(),
        simulated: run.simulated,
        dry: "dry: back to the mass in room air before wetting; water that fibre binds there is still \
              in it, and a dense material such as a filament gives up its own far more slowly"
            .into(),
        findings: quoted
            .chain(parts.into_iter().flatten().filter(|f| !run.quoted.iter().any(|m| m.key == f.key)))
            .collect(),
        warnings: warnings(run),
    }
}

fn warnings(run: &Evidence) -> Vec<String> {
    let flags = run.flags.iter();
    let flags = flags.map(|f| format!("{} at {:.1} min: {}", f.probe, f.from_s / 60.0, f.what));
    let mut out: Vec<String> = run.ended.iter().cloned().chain(flags).collect();
    for lid in &run.lids {
        let at = lid.from_s / 60.0;
        if !lid.noted {
            out.push(format!(
                "a lid opening at {at:.1} min shows in the log but is not noted (or an exhaust ran)"
            ));
        }
    }
    let unseen = run.lids.iter().filter(|l| l.noted && !l.seen && !run.simulated).count();
    if unseen > 0 {
        out.push(format!("{unseen} noted lid openings do not show in the log (air of box and room alike, or a slow sensor)"));
    }
    out
}
