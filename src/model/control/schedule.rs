//! A table of times and shares of the full power: a logged heater replayed, or a test signal.

use crate::model::events::{Action, ScheduledEvent};
use crate::reader::{Key, Section, key};
use crate::units::Kind;

pub(super) const TIMES: Key = key::quantities("times", Kind::Time, 0.0..=3.2e7)
    .help("times at which the power changes; before the first one the heater is off");
pub(super) const SHARES: Key = key::quantities("shares", Kind::Share, 0.0..=1.0)
    .help("share of the full power from each time on");
pub(super) const REPLAY_OF: Key = key::text("replay_of")
    .optional()
    .help("measured run whose heater this was, as a fit writes it");
pub(super) const REPLAY_MARK: Key = key::text("replay_mark")
    .optional()
    .help("mark of the box, load and room that the replay was made for, as a fit writes it");

/// `[control]` with `kind = "schedule"`.
#[derive(Clone, Debug)]
pub struct ScheduleSpec {
    /// Times \[s\] with the share of the full power from then on.
    steps: Vec<(f64, f64)>,
    /// The run whose heater this was, if it is a replay.
    pub replay: Option<Replay>,
}

/// Whose heater a schedule replays.
#[derive(Clone, Debug)]
pub struct Replay {
    /// Name of the measured run.
    pub run: String,
    /// Mark of the box, load and room that it was made for.
    pub mark: Option<String>,
}

impl ScheduleSpec {
    /// Reads `times` and `shares`: a share holds from its time to the next; before the first time
    /// the element is off.
    pub fn read(s: &Section) -> Self {
        let times = s.quantities(&TIMES, None);
        let shares = s.quantities(&SHARES, Some(times.len()));
        if let Some(i) = times.windows(2).position(|w| w[1] <= w[0]) {
            let what = format!("does not rise at entry {}", i + 2);
            s.fail("times", "schedule-order", &what, None, Some("sort them".into()));
        }
        let mut steps: Vec<(f64, f64)> = times.into_iter().zip(shares).collect();
        // What changes nothing needs no stop.
        steps.dedup_by(|later, earlier| later.1 == earlier.1);
        let mark = s.text_opt(&REPLAY_MARK);
        let replay = s.text_opt(&REPLAY_OF).map(|run| Replay { run, mark });
        ScheduleSpec { steps, replay }
    }

    /// The steps as events, at which the solver stops exactly.
    pub fn events(&self) -> impl Iterator<Item = ScheduledEvent> {
        let event = |&(at_s, share)| {
            let action = Action::Heater(share);
            ScheduledEvent { name: "control".into(), at_s, action }
        };
        self.steps.iter().map(event)
    }
}
