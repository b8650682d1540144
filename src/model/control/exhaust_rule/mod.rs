//! When the exhaust runs: by the clock, or by what sensors say.

mod decide;

pub use decide::ExhaustRule;

use crate::model::site::{Context, SENSOR, Site};
use crate::physics::moist_air::saturation_in_air_pa;
use crate::reader::{Key, Keys, Section, key};
use crate::units::{Kind, format};
use decide::{Measure, Rule};

const RULE: Key = key::word("rule", RuleSpec::RULES).help("when the fan runs");
const PERIOD: Key = key::quantity("period", Kind::Time, 2.0..=1e6)
    .help("time from the start of one turn to the next");
const ON_TIME: Key = key::quantity("on_time", Kind::Time, 1.0..=1e6)
    .help("how long it runs, at the end of each period");
const WAITS_FOR: Key = key::quantity("above", Kind::TemperatureDifference, 0.1..=60.0)
    .optional()
    .help("a turn waits until the dew point inside is so far above the room's");
const ABOVE_HUMIDITY: Key = key::quantity("above", Kind::RelativeHumidity, 0.0..=1.0)
    .help("relative humidity at which it starts");
const ABOVE_DEW_POINT: Key = key::quantity("above", Kind::TemperatureDifference, 0.1..=60.0)
    .help("difference of the dew points, inside less room, at which it starts");
const ABOVE_RATIO: Key = key::quantity("above", Kind::HumidityRatio, 1e-4..=0.5)
    .help("difference of the humidity ratios, inside less room, at which it starts");
const WIDTH_OF_HUMIDITY: Key = key::quantity("hysteresis", Kind::HumidityDifference, 0.001..=0.5)
    .or(0.04, "3 to 5 %RH (common practice)")
    .help("it stops so far below `above`");
const WIDTH_OF_DEW_POINT: Key =
    key::quantity("hysteresis", Kind::TemperatureDifference, 0.05..=30.0)
        .follows("2 K (common practice), at most half of `above`")
        .help("it stops so far below `above`");
const WIDTH_OF_RATIO: Key = key::quantity("hysteresis", Kind::HumidityRatio, 1e-5..=0.2)
    .follows("1 g/kg, at most half of `above`")
    .help("it stops so far below `above`");
const ROOM_SENSOR: Key =
    key::text("room_sensor").help("name of the sensor in the room that it compares with");
const LOCK_OUT: Key = key::switch("lock_out")
    .or_switch(false, "may run while the box heats up")
    .help("stays off until the set point was reached for the first time");
const MINIMUM_ON: Key = key::quantity("minimum_on", Kind::Time, 0.0..=3_600.0)
    .or(5.0, "relay contacts")
    .help("shortest time that it runs");
const MINIMUM_OFF: Key = key::quantity("minimum_off", Kind::Time, 0.0..=3_600.0)
    .or(5.0, "relay contacts")
    .help("shortest time that it stands still");

/// The rule of `[exhaust]`.
#[derive(Clone, Debug)]
pub struct RuleSpec {
    kind: KindSpec,
    lock_out: bool,
    shortest_on_s: f64,
    shortest_off_s: f64,
}

#[derive(Clone, Debug)]
enum KindSpec {
    Always,
    /// With a difference of dew points that it waits for.
    Timer {
        period_s: f64,
        on_s: f64,
        waits_for: Option<(MeasureSpec, f64)>,
    },
    Level {
        measure: MeasureSpec,
        above: f64,
        hysteresis: f64,
    },
}

#[derive(Clone, Copy, Debug)]
enum MeasureSpec {
    Humidity(usize),
    DewPoint(usize, usize),
    Ratio(usize, usize),
}

impl RuleSpec {
    /// Its keys.
    pub const KEYS: &'static [Keys] = &[
        Keys::always("exhaust", "", &[&RULE, &LOCK_OUT, &MINIMUM_ON, &MINIMUM_OFF]),
        Keys::when(
            "exhaust",
            ("rule", "timer"),
            "by the clock",
            &[&PERIOD, &ON_TIME, &WAITS_FOR, &SENSOR, &ROOM_SENSOR],
        ),
        Keys::when(
            "exhaust",
            ("rule", "relative_humidity"),
            "above a humidity",
            &[&SENSOR, &ABOVE_HUMIDITY, &WIDTH_OF_HUMIDITY],
        ),
        Keys::when(
            "exhaust",
            ("rule", "dew_point_difference"),
            "above a difference of dew points",
            &[&SENSOR, &ROOM_SENSOR, &ABOVE_DEW_POINT, &WIDTH_OF_DEW_POINT],
        ),
        Keys::when(
            "exhaust",
            ("rule", "humidity_ratio_difference"),
            "above a difference of humidity ratios",
            &[&SENSOR, &ROOM_SENSOR, &ABOVE_RATIO, &WIDTH_OF_RATIO],
        ),
    ];

    /// Words that `rule` may have.
    pub const RULES: &'static [&'static str] = &[
        "always",
        "timer",
        "relative_humidity",
        "dew_point_difference",
        "humidity_ratio_difference",
    ];

    /// Reads its keys. `set_point_k` is the lowest set point: there the room's air is at its dampest.
    pub fn read(s: &Section, cx: &Context, set_point_k: Option<f64>) -> Self {
        let kind = match s.choice(&RULE) {
            "timer" => read_timer(s, cx),
            "relative_humidity" => read_humidity(s, cx, set_point_k),
            "dew_point_difference" => {
                let above = s.quantity(&ABOVE_DEW_POINT);
                let hysteresis = s.quantity_from(&WIDTH_OF_DEW_POINT, f64::min(2.0, 0.5 * above));
                check_width(s, above, hysteresis);
                let measure = read_pair(s, cx, MeasureSpec::DewPoint);
                KindSpec::Level { measure, above, hysteresis }
            }
            "humidity_ratio_difference" => {
                let above = s.quantity(&ABOVE_RATIO);
                let hysteresis = s.quantity_from(&WIDTH_OF_RATIO, f64::min(1e-3, 0.5 * above));
                check_width(s, above, hysteresis);
                let measure = read_pair(s, cx, MeasureSpec::Ratio);
                KindSpec::Level { measure, above, hysteresis }
            }
            _ => KindSpec::Always,
        };
        RuleSpec {
            kind,
            lock_out: s.switch(&LOCK_OUT),
            shortest_on_s: s.quantity(&MINIMUM_ON),
            shortest_off_s: s.quantity(&MINIMUM_OFF),
        }
    }

    /// Whether the exhaust waits until the box is warm.
    pub fn waits(&self) -> bool {
        self.lock_out
    }

    /// The sensor in the room that it compares with, by its number.
    pub fn room_sensor(&self) -> Option<usize> {
        match self.kind {
            KindSpec::Level {
                measure: MeasureSpec::DewPoint(_, room) | MeasureSpec::Ratio(_, room),
                ..
            }
            | KindSpec::Timer { waits_for: Some((MeasureSpec::DewPoint(_, room), _)), .. } => {
                Some(room)
            }
            _ => None,
        }
    }

    /// Makes the decider.
    pub fn build(&self, total_pa: f64, site: &Site) -> ExhaustRule {
        let sensors = &site.sensors;
        let measure = |spec| match spec {
            MeasureSpec::Humidity(i) => Measure::Humidity(sensors[i].humidity),
            MeasureSpec::DewPoint(i, room) => {
                Measure::DewPoint(sensors[i], sensors[room], total_pa)
            }
            MeasureSpec::Ratio(i, room) => Measure::Ratio(sensors[i], sensors[room], total_pa),
        };
        let rule = match self.kind {
            KindSpec::Always => Rule::Always,
            KindSpec::Timer { period_s, on_s, waits_for } => {
                let waits_for = waits_for.map(|(spec, above)| (measure(spec), above));
                Rule::Timer { off_s: period_s - on_s, on_s, waits_for }
            }
            KindSpec::Level { measure: spec, above, hysteresis } => {
                Rule::Level { measure: measure(spec), above, below: above - hysteresis }
            }
        };
        ExhaustRule {
            rule,
            lock_out: self.lock_out,
            shortest_on_s: self.shortest_on_s,
            shortest_off_s: self.shortest_off_s,
        }
    }
}

fn read_timer(s: &Section, cx: &Context) -> KindSpec {
    let period_s = s.quantity(&PERIOD);
    let on_s = s.quantity(&ON_TIME);
    if on_s >= period_s && s.has(&PERIOD) && s.has(&ON_TIME) {
        let hint = "write `rule = \"always\"` for a fan that never stops".to_owned();
        s.fail("on_time", "on-time-too-long", "fills the whole period", None, Some(hint));
    }
    let waits_for = s.has(&WAITS_FOR).then(|| {
        let above = s.quantity(&WAITS_FOR);
        (read_pair(s, cx, MeasureSpec::DewPoint), above)
    });
    let on_s = on_s.min(0.999 * period_s);
    let how = "the pulse comes at the end of each period";
    s.derived("first_pulse", Kind::Time, period_s - on_s, how);
    KindSpec::Timer { period_s, on_s, waits_for }
}

fn read_humidity(s: &Section, cx: &Context, set_point_k: Option<f64>) -> KindSpec {
    let above = s.quantity(&ABOVE_HUMIDITY);
    let hysteresis = s.quantity(&WIDTH_OF_HUMIDITY);
    if let Some(set_k) = set_point_k {
        let vapour_pa = cx.room_rh * saturation_in_air_pa(cx.room_temp_k, cx.total_pa);
        let floor = vapour_pa / saturation_in_air_pa(set_k, cx.total_pa);
        let text = format(Kind::RelativeHumidity, floor);
        if above <= floor && s.has(&ABOVE_HUMIDITY) {
            s.fail(
                "above",
                "humidity-below-floor",
                &format!("lies under the floor of this room ({text} at the set point)"),
                Some("room air heated to the set point is no drier: the exhaust would never stop"),
                Some("raise it, or use `rule = \"dew_point_difference\"`".into()),
            );
        } else if above - hysteresis <= floor && s.has(&ABOVE_HUMIDITY) {
            let what = format!("less its hysteresis lies under the floor of this room ({text})");
            let hint = "once on, the exhaust will not stop".to_owned();
            s.warn("above", "humidity-near-floor", &what, Some(hint));
        }
    }
    KindSpec::Level { measure: MeasureSpec::Humidity(cx.sensor(s, &SENSOR)), above, hysteresis }
}

/// A difference must be left when the exhaust stops, or it would blow the room's vapour in.
fn check_width(s: &Section, above: f64, hysteresis: f64) {
    if hysteresis > above && s.is_valid("above") && s.has("hysteresis") {
        let why = "once on, the exhaust would go on while the room is damper than the box";
        let hint = "write half of `above` or less".to_owned();
        s.fail("hysteresis", "hysteresis-too-wide", "exceeds `above`", Some(why), Some(hint));
    }
}

/// Reads the sensor inside and the one in the room that a difference needs.
fn read_pair(s: &Section, cx: &Context, make: fn(usize, usize) -> MeasureSpec) -> MeasureSpec {
    if !s.has(&ROOM_SENSOR) {
        s.fail(
            "room_sensor",
            "no-room-sensor",
            "is missing",
            Some("a difference to the room needs a sensor there"),
            Some("add [sensor.room] with zone = \"room\" and write room_sensor = \"room\"".into()),
        );
        return make(cx.sensor(s, &SENSOR), 0);
    }
    make(cx.sensor(s, &SENSOR), cx.sensor(s, &ROOM_SENSOR))
}
