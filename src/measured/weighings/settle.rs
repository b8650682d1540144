//! The whole of the notes: times on one axis, and whether the masses make sense together.

use super::found::{Weighings, error, grams};
use crate::measured::Moment;
use crate::reader::Issue;

impl Weighings {
    /// Puts times on one axis and judges the whole.
    pub(super) fn settle(&mut self, name: &str, issues: &mut Vec<Issue>) {
        if self.weighings.is_empty() && issues.is_empty() {
            let hint = "a weighing has a time and a mass, such as: 10:30  5.39 g";
            issues.push(error(name, 0, "no-weighing", "has no weighing in it".into(), hint));
        }
        self.place_times(name, issues);
        if let (Some(dry), Some(start)) = (self.dry, self.start)
            && start.kg <= dry.kg
        {
            let what = format!(
                "start mass {} is not above the dry mass {} of line {}",
                grams(start.kg),
                grams(dry.kg),
                dry.line
            );
            issues.push(error(name, start.line, "no-water", what, "correct one of the two lines"));
        }
        self.judge_increase(name, issues);
        if let Some(words) = &self.nominal
            && let Some(added) = self.added_kg()
        {
            self.notes.push(format!(
                "the notes say {words}; the scale says {}, which counts",
                grams(added)
            ));
        }
        self.notes.extend(self.beyond_all());
    }

    fn place_times(&mut self, name: &str, issues: &mut Vec<Issue>) {
        const DAY_S: f64 = 86_400.0;
        let raw = |m: Moment| match m {
            Moment::Clock(s) | Moment::Dated(s) | Moment::Elapsed(s) => s,
        };
        let zero = self.into_box.or_else(|| self.weighings.first().map(|w| w.at));
        let Some(zero) = zero else { return };
        let (mut before, mut days) = (raw(zero), 0.0);
        let mut first_line = 0;
        for w in &mut self.weighings {
            if let Moment::Elapsed(s) = w.at {
                w.time_s = s;
                continue;
            }
            let mut now = raw(w.at) + days;
            // A clock that falls by more than half a day has passed midnight.
            if matches!(w.at, Moment::Clock(_)) && now < before - 0.5 * DAY_S {
                days += DAY_S;
                now += DAY_S;
            }
            if now < before {
                let what = format!("its time lies before that of line {first_line}");
                let hint = "sort the lines by time, or write the date";
                issues.push(error(name, w.line, "times-go-back", what, hint));
            }
            before = now.max(before);
            first_line = w.line;
            w.time_s = now - raw(zero);
        }
    }

    /// A load may gain a little by scatter; one that gains overall is not being dried.
    fn judge_increase(&mut self, name: &str, issues: &mut Vec<Issue>) {
        let scale = self.scale().map_or(0.0, |s| s.standard);
        let margin = 2.0 * 2.0_f64.sqrt() * scale;
        let start = self.start.map(|m| (m.kg, m.line));
        let all: Vec<(f64, usize)> =
            start.into_iter().chain(self.weighings.iter().map(|w| (w.kg, w.line))).collect();
        let (Some(first), Some(last)) = (all.first(), all.last()) else { return };
        if all.len() > 1 && last.0 > first.0 + margin {
            let what = format!(
                "the load gains mass: {} on line {}, {} here",
                grams(first.0),
                first.1,
                grams(last.0)
            );
            let hint = "are the lines in order, and was the same load weighed?";
            issues.push(error(name, last.1, "mass-increases", what, hint));
            return;
        }
        for pair in all.windows(2).filter(|p| p[1].0 > p[0].0 + margin) {
            self.notes.push(format!(
                "line {}: {} is more than the {} of line {} by more than the scale's scatter",
                pair[1].1,
                grams(pair[1].0),
                grams(pair[0].0),
                pair[0].1
            ));
        }
    }
}
