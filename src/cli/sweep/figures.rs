//! The figures of a sweep as asked for on the command line.

use clap::Args;

use crate::cli::look::Look;
use crate::files::sweep::FigureRequest;

/// Figures asked for on the command line.
#[derive(Debug, Args)]
pub(super) struct FigureOptions {
    /// Draw this metric over the first axis with numbers (each --axis, then each --pair), a
    /// line per setting of the others
    #[arg(long = "plot", value_name = "METRIC")]
    plots: Vec<String>,
    /// Draw this metric as a map over two axes, one for each scenario
    #[arg(long = "map", value_name = "METRIC")]
    maps: Vec<String>,
    /// A line on maps where a metric meets a value, beyond which cells fade: "METRIC<VALUE" or
    /// "METRIC>VALUE", in a unit of its kind, or bare in that of the metric
    #[arg(long = "limit", value_name = "METRIC<VALUE", requires = "maps")]
    limits: Vec<String>,
    /// Draw two metrics against each other with their front: METRIC,METRIC; less is better,
    /// or more with a > behind the name
    #[arg(long, value_name = "METRIC,METRIC")]
    tradeoff: Option<String>,
    /// Print and draw what decides this metric; with --one-at-a-time or --indices
    #[arg(long = "sensitivity", value_name = "METRIC")]
    sensitivities: Vec<String>,
    /// Draw this series of all cases in one figure, 8 at most
    #[arg(long = "curves", value_name = "COLUMN")]
    curves: Vec<String>,
    /// Draw humidity, drying and the ways of the vapour of all cases side by side, 5 at most, 3
    /// upright
    #[arg(long)]
    side_by_side: bool,
    #[command(flatten)]
    look: Look,
}

impl FigureOptions {
    /// What is asked for.
    pub(super) fn request(&self) -> FigureRequest<'_> {
        FigureRequest {
            plots: &self.plots,
            maps: &self.maps,
            limits: &self.limits,
            tradeoff: self.tradeoff.as_deref(),
            sensitivities: &self.sensitivities,
            curves: &self.curves,
            side_by_side: self.side_by_side,
            style: self.look.style(),
        }
    }
}
