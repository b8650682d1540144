//! Figures of a run as data: what goes into which panel, and the words around it.
//!
//! One file per figure; [`PICTURES`] is the list of them. All are made from saved numbers alone.

mod bands;
mod course;
mod drying;
mod evidence;
mod fit;
mod flows;
mod humidity;
mod moisture;
mod naming;
mod overview;
mod power;
mod sensitivity;
mod side_by_side;
mod sweep;
mod temperatures;
mod together;
mod tradeoff;
mod vapour_paths;

pub use bands::bands;
pub use evidence::{EVIDENCE_PICTURES, EvidencePicture};
pub use fit::{FitPicture, appendices, fit_correlation, fit_profiles};
pub use flows::flows;
pub use moisture::moisture_map;
pub use sensitivity::{sweep_indices, sweep_swings};
pub use side_by_side::{side_by_side, sweep_curves};
pub use sweep::{Bound, sweep_lines, sweep_map};
pub use together::together;
pub use tradeoff::{Goal, sweep_tradeoff, tradeoff_csv};

use super::figure::Figure;
use crate::run::Run;

/// A figure that can be asked for by name.
#[derive(Clone, Copy, Debug)]
pub struct Picture {
    /// Its name, also that of its files.
    pub name: &'static str,
    /// What it shows, in one line.
    pub purpose: &'static str,
    /// Makes it; `None` if the run has nothing to show in it.
    pub draw: fn(&Run) -> Option<Figure>,
}

/// Name of the figure that is drawn unless others are asked for.
pub const FIRST: &str = "overview";

/// Name of the figure of spools, which has a map beside it.
pub const MOISTURE: &str = "moisture";

/// All figures of a run.
pub const PICTURES: [Picture; 7] = [
    Picture {
        name: FIRST,
        purpose: "temperatures, relative humidity with vapour density, and the added water",
        draw: overview::figure,
    },
    Picture {
        name: "temperatures",
        purpose: "air, walls, loads and sensors, and the hotter element in a panel of its own",
        draw: temperatures::figure,
    },
    Picture {
        name: "humidity",
        purpose: "relative humidity, vapour density, and the dew point beside the coldest wall",
        draw: humidity::figure,
    },
    Picture {
        name: "drying",
        purpose: "water remaining in the loads and in the box, and how fast it goes",
        draw: drying::figure,
    },
    Picture {
        name: MOISTURE,
        purpose: "moisture of a spool in its layers, its temperatures, what holds the water back; a map",
        draw: moisture::figure,
    },
    Picture {
        name: "power",
        purpose: "electric power and the energy used so far",
        draw: power::figure,
    },
    Picture {
        name: "vapour_paths",
        purpose: "where all water is or went: loads, air, walls, each way out",
        draw: vapour_paths::figure,
    },
];

/// The figure of this name.
pub fn find(name: &str) -> Option<&'static Picture> {
    PICTURES.iter().find(|p| p.name == name)
}

#[cfg(test)]
mod tests;
