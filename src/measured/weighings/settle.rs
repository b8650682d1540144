//! The whole of the notes: times on one axis, and whether the masses make sense together.

use super::found::{EnergyReading, Mass, REPEATS_APART, Repeat, Weighing, Weighings, error, grams};
use super::lines::LineClass;
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
        self.begin_at_zero();
        self.join_repeats(name, issues);
        self.used_energy();
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
            if now < before && first_line == 0 {
                let what = "its time lies before the load went into the box".to_owned();
                let hint = "strike the line, or write its mass as \"wet 6.04 g\" without a time";
                issues.push(error(name, w.line, "before-start", what, hint));
            } else if now < before {
                let what = format!("its time lies before that of line {first_line}");
                let hint = "sort the lines by time, or write the date";
                issues.push(error(name, w.line, "times-go-back", what, hint));
            }
            before = now.max(before);
            first_line = w.line;
            w.time_s = now - raw(zero);
        }
    }

    /// The mass at time 0 is that at the start, where no other is.
    fn begin_at_zero(&mut self) {
        let known = self.into_box.is_some()
            || matches!(self.weighings.first().map(|w| w.at), Some(Moment::Elapsed(_)));
        let first = self
            .weighings
            .first()
            .filter(|w| known && self.start.is_none() && w.time_s.abs() < 1.0);
        if let Some(first) = first.cloned() {
            self.weighings.remove(0);
            self.start = Some(Mass { kg: first.kg, line: first.line });
            self.into_box.get_or_insert(first.at);
            if let Some(class) = self.ledger.lines.get_mut(first.line.saturating_sub(1)) {
                *class = LineClass::StartMass;
            }
            self.notes.push(format!("line {}: taken as the mass at the start", first.line));
        }
    }

    /// Weighings at one time are repeats of one: their mean counts, and they tell the scale's scatter.
    fn join_repeats(&mut self, name: &str, issues: &mut Vec<Issue>) {
        let all = std::mem::take(&mut self.weighings);
        for same in all.chunk_by(|a, b| a.time_s == b.time_s) {
            let (first, kg): (_, Vec<f64>) = (&same[0], same.iter().map(|w| w.kg).collect());
            let mean = kg.iter().sum::<f64>() / kg.len() as f64;
            if let Some(other) =
                same.iter().find(|w| (w.kg - first.kg).abs() > REPEATS_APART * first.kg)
            {
                let what = format!(
                    "{} and {} of line {} have one time",
                    grams(other.kg),
                    grams(first.kg),
                    first.line
                );
                issues.push(error(
                    name,
                    other.line,
                    "two-masses",
                    what,
                    "strike one of them, or correct its time",
                ));
            }
            if kg.len() > 1 {
                let count = kg.len();
                self.notes.push(format!(
                    "line {}: {count} masses at one time are repeats; their mean counts",
                    first.line
                ));
                self.repeats.push(Repeat { kg, line: first.line });
            }
            self.weighings.push(Weighing { kg: mean, ..first.clone() });
        }
    }

    /// What was used since the start becomes two readings, unless a meter was read.
    fn used_energy(&mut self) {
        let Some(used) = self.energy.iter().copied().find(|e| e.used) else { return };
        let Some(last) = self.weighings.last() else { return };
        if self.energy.iter().any(|e| !e.used) {
            self.energy.retain(|e| !e.used);
            self.notes
                .push(format!("line {}: the readings of the meter count, not this", used.line));
            return;
        }
        let until = if used.at.is_some() { "that time" } else { "the last weighing" };
        self.notes
            .push(format!("line {}: taken as the energy from the start to {until}", used.line));
        let at = used.at.unwrap_or(Moment::Elapsed(last.time_s));
        let zero = EnergyReading { at: Some(Moment::Elapsed(0.0)), joule: 0.0, ..used };
        self.energy = vec![zero, EnergyReading { at: Some(at), ..used }];
    }

    /// A load may gain a little by scatter; one that gains overall is not being dried.
    fn judge_increase(&mut self, name: &str, issues: &mut Vec<Issue>) {
        let scale = self.scale().map_or(0.0, |s| s.standard);
        // The last digit of a display is off by one at times (common practice).
        let digit = 1.5 * self.resolution_kg.unwrap_or(0.0);
        let margin = (2.0 * 2.0_f64.sqrt() * scale).max(digit);
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
