//! A stepped programme: set point, fan and exhaust stage by stage.

use super::decider::Decider;
use crate::address::Change;
use crate::model::fan::FanSpec;
use crate::model::part::{Modes, SetPointRamp};
use crate::model::reading::{Reading, See};
use crate::model::site::{Context, SENSOR, Site};
use crate::reader::{Key, Section, key};
use crate::units::{Kind, ZERO_CELSIUS_K, format};

/// `stage` of a controller.
pub(super) const STAGE: Key =
    key::tables("stage").help("stages of a programme, in place of `set_point`");
/// `set_point` of a controller or a stage.
pub(super) const SET_POINT: Key =
    key::quantity("set_point", Kind::Temperature, ZERO_CELSIUS_K..=ZERO_CELSIUS_K + 150.0)
        .help("what the sensor is to read");
pub(super) const FAN: Key = key::quantity("fan", Kind::Share, 0.0..=1.0)
    .or(1.0, "full speed")
    .help("share of the speed of the stirring fan");
pub(super) const EXHAUST: Key = key::switch("exhaust")
    .or_switch(true, "as its rule says")
    .help("whether the exhaust fan may run");
pub(super) const UNTIL_BELOW: Key = key::quantity("until_below", Kind::RelativeHumidity, 0.0..=1.0)
    .optional()
    .help("the stage ends when `sensor` reads less");
pub(super) const DURATION: Key = key::quantity("duration", Kind::Time, 0.0..=1e7)
    .optional()
    .help("the stage ends after so long; the last one may go on");

/// One stage as the scenario writes it.
#[derive(Clone, Debug)]
pub struct StageSpec {
    set_point_k: f64,
    fan: f64,
    exhaust: bool,
    end: EndSpec,
}

#[derive(Clone, Debug)]
enum EndSpec {
    Never,
    After(f64),
    Below { sensor: usize, humidity: f64 },
}

/// `[[control.stage]]`.
#[derive(Clone, Debug, Default)]
pub struct ProgrammeSpec {
    /// Stages in their order.
    pub stages: Vec<StageSpec>,
}

impl ProgrammeSpec {
    /// Reads the stages: `set_point`, `fan`, `exhaust`, and `duration` or `until_below` with
    /// `sensor`; the last one may have no end.
    pub fn read(s: &Section, cx: &Context) -> Self {
        let sections = s.tables(&STAGE);
        let count = sections.len();
        let read = |(i, s): (usize, &Section)| {
            let end = read_end(s, cx);
            if matches!(end, EndSpec::Never) && i + 1 < count {
                let why = "only the last stage may go on for ever";
                let hint = "add `duration = \"1 h\"` or `until_below = \"15 %RH\"`".to_owned();
                s.fail("duration", "stage-without-end", "is not given", Some(why), Some(hint));
            }
            StageSpec {
                set_point_k: read_set_point(s, cx),
                fan: s.quantity(&FAN),
                exhaust: s.switch(&EXHAUST),
                end,
            }
        };
        ProgrammeSpec { stages: sections.iter().enumerate().map(read).collect() }
    }

    /// Set point of the first stage \[K\].
    pub fn first_k(&self) -> Option<f64> {
        self.stages.first().map(|s| s.set_point_k)
    }

    /// Lowest set point \[K\].
    pub fn lowest_k(&self) -> Option<f64> {
        self.stages.iter().map(|s| s.set_point_k).reduce(f64::min)
    }

    /// Highest set point \[K\].
    pub fn highest_k(&self) -> Option<f64> {
        self.stages.iter().map(|s| s.set_point_k).reduce(f64::max)
    }

    /// Makes the decider.
    pub fn build(&self, ramp_k_s: f64, fan: &FanSpec, exponent: f64, site: &Site) -> Programme {
        let end = |end: &EndSpec| match *end {
            EndSpec::Never => End::Never,
            EndSpec::After(s) => End::After(s),
            EndSpec::Below { sensor, humidity } => {
                End::Below(site.sensors[sensor].humidity, humidity)
            }
        };
        let stage = |s: &StageSpec| Stage {
            goal_k: s.set_point_k,
            fan: s.fan,
            exhaust: s.exhaust,
            end: end(&s.end),
        };
        Programme {
            stages: self.stages.iter().map(stage).collect(),
            ramp_k_s,
            fan: fan.clone(),
            exponent,
        }
    }
}

fn read_end(s: &Section, cx: &Context) -> EndSpec {
    if s.has(&UNTIL_BELOW) {
        let humidity = s.quantity(&UNTIL_BELOW);
        return EndSpec::Below { sensor: cx.sensor(s, &SENSOR), humidity };
    }
    match s.quantity_opt(&DURATION) {
        Some(duration) if duration < 1.0 => {
            let hint = "write at least \"1 min\", or leave the stage out".to_owned();
            s.fail("duration", "stage-empty", "makes a stage of no length", None, Some(hint));
            EndSpec::After(1.0)
        }
        Some(duration) => EndSpec::After(duration),
        None => EndSpec::Never,
    }
}

#[derive(Clone, Debug)]
enum End {
    Never,
    After(f64),
    Below(Reading, f64),
}

#[derive(Clone, Debug)]
struct Stage {
    goal_k: f64,
    fan: f64,
    exhaust: bool,
    end: End,
}

/// Walks from stage to stage. The first stage is in force from the start.
#[derive(Clone, Debug)]
pub struct Programme {
    stages: Vec<Stage>,
    ramp_k_s: f64,
    fan: FanSpec,
    exponent: f64,
}

impl Programme {
    /// Sets the modes of stage `i`, coming from a set point of `from_k`.
    pub(crate) fn enter(&self, i: usize, from_k: f64, time_s: f64, modes: &mut Modes) {
        let stage = &self.stages[i];
        modes.stage = (i, time_s);
        modes.stage_exhaust = stage.exhaust;
        modes.fan = self.fan.state(stage.fan, modes.fan_share, modes.powered, self.exponent);
        let from_k = if self.ramp_k_s.is_finite() { from_k } else { stage.goal_k };
        modes.target =
            SetPointRamp { from_k, since_s: time_s, goal_k: stage.goal_k, per_s: self.ramp_k_s };
    }

    /// How far stage `i` is past its end, negative before.
    fn past_end(&self, see: &See<'_>, modes: &Modes) -> f64 {
        let (i, since_s) = modes.stage;
        match self.stages[i].end {
            End::Never => -1.0,
            End::After(duration) => see.time_s - since_s - duration,
            End::Below(reading, humidity) => humidity - reading.value(see),
        }
    }
}

impl Decider for Programme {
    fn guards(&self) -> usize {
        1
    }

    fn values(&self, see: &See<'_>, modes: &Modes, out: &mut [f64]) {
        let last = modes.stage.0 + 1 >= self.stages.len();
        out[0] = if last { -1.0 } else { self.past_end(see, modes) };
    }

    fn decide(&self, see: &See<'_>, modes: &mut Modes) -> Option<Change> {
        let (i, since_s) = modes.stage;
        let over = match self.stages[i].end {
            End::After(duration) => see.is_due(since_s + duration),
            _ => self.past_end(see, modes) >= 0.0,
        };
        if i + 1 >= self.stages.len() || !over {
            return None;
        }
        let from_k = modes.target.at(see.time_s);
        self.enter(i + 1, from_k, see.time_s, modes);
        Some(Change::NextStage)
    }
}

/// Reads a set point and checks it against the room.
pub(super) fn read_set_point(s: &Section, cx: &Context) -> f64 {
    let set_point = s.quantity(&SET_POINT);
    if set_point <= cx.room_temp_k && s.has(&SET_POINT) {
        let room = format(Kind::Temperature, cx.room_temp_k);
        s.fail(
            &SET_POINT,
            "set-point-below-room",
            &format!("is not above the room ({room})"),
            Some("a heated box can only be warmer than its room"),
            Some("raise the set point or check room.temperature".into()),
        );
    }
    set_point
}
