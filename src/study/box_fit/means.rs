//! Means over spans of time: what remains comparable when a thermostat switches at other moments
//! than its model.

use super::data::{Common, Observed, RunData};
use crate::reader::Issue;
use crate::units::{self, Kind};

/// Averages all readings of sensors in a run (°C, %RH, Pa) and of power over spans of time.
///
/// # Errors
/// That the span is too short or too long for them.
pub fn average(run: &mut RunData, span_s: f64) -> Result<(), Issue> {
    if let Some(issue) = unfit(&run.name, &run.observed, span_s) {
        return Err(issue);
    }
    run.observed.iter_mut().filter(|o| is_averaged(o)).for_each(|o| *o = over(o, span_s).0);
    Ok(())
}

fn is_averaged(o: &Observed) -> bool {
    ["°C", "%RH", "Pa", "W"].contains(&o.unit.as_str())
}

/// A span that is proposed \[s\]: a few cycles of a usual thermostat (common practice), and no fewer
/// readings, nor means, than a handful.
fn proposed(step_s: f64, length_s: f64) -> f64 {
    600.0_f64.min(length_s / 5.0).max(5.0 * step_s)
}

/// Why means over this span say nothing of these readings, if so.
pub(super) fn unfit(name: &str, observed: &[Observed], span_s: f64) -> Option<Issue> {
    let spans = observed.iter().filter(|o| is_averaged(o)).filter_map(|o| {
        let good = o.times_s.iter().zip(&o.values).filter(|(_, v)| v.is_finite());
        let times: Vec<f64> = good.map(|(t, _)| *t).collect();
        let length = times.last()? - times.first()?;
        // The usual step: gaps, as of an open lid, do not count.
        let mut steps: Vec<f64> = times.windows(2).map(|w| w[1] - w[0]).collect();
        steps.sort_by(f64::total_cmp);
        Some((*steps.get(steps.len() / 2)?, length))
    });
    let all: Vec<(f64, f64)> = spans.collect();
    let step_s = all.iter().map(|s| s.0).reduce(f64::min)?;
    let length_s = all.iter().map(|s| s.1).fold(0.0, f64::max);
    let time = |s: f64| units::format_digits(Kind::Time, s, 2);
    let typed = units::format(Kind::Time, span_s);
    let what = if span_s < 2.0 * step_s {
        format!("no {typed} hold two readings of a sensor: they come every {}", time(step_s))
    } else if span_s > length_s {
        format!("{typed} are longer than its readings, which take {}", time(length_s))
    } else {
        return None;
    };
    let hint = format!(
        "average over a few heating cycles: --cycle-means \"{}\"",
        time(proposed(step_s, length_s))
    );
    Some(Issue::of_file("bad-means", name, what, &hint))
}

/// Moments of the model for each reading of a mean, evenly over the time to the next: the model's
/// mean must not depend on how its own cycle falls among the moments of the readings.
const PER_READING: usize = 6;

/// Means of readings over successive spans, with the model's mean over the same time beside each; and
/// how many readings found too few others. Weights fall evenly from the middle of a span to nothing
/// at its ends, so that a heating cycle cut by an end hardly counts. A mean weighs as one reading:
/// what is left in it is error of the model, not noise of single readings. A span counts if half of
/// its readings, and two at least, are usable.
pub(super) fn over(o: &Observed, span_s: f64) -> (Observed, usize) {
    let mut out = Observed {
        times_s: Vec::new(),
        values: Vec::new(),
        u: Vec::new(),
        moments: Some(Vec::new()),
        common: o.common.iter().map(|c| Common { by: Vec::new(), ..c.clone() }).collect(),
        ..o.clone()
    };
    let mut lost = 0;
    let span = |i: usize| (o.times_s[i] / span_s).floor();
    let all: Vec<usize> = (0..o.values.len()).collect();
    for group in all.chunk_by(|a, b| span(*a) == span(*b)) {
        let good: Vec<usize> = group.iter().copied().filter(|i| o.values[*i].is_finite()).collect();
        if good.len() < 2 || 2 * good.len() < group.len() {
            lost += good.len();
            continue;
        }
        let shares = shares(o, &good, span_s);
        let mean = |v: &[f64]| good.iter().zip(&shares).map(|(i, s)| s * v[*i]).sum::<f64>();
        out.times_s.push(mean(&o.times_s));
        out.values.push(mean(&o.values));
        out.u.push(mean(&o.u));
        for (to, from) in out.common.iter_mut().zip(&o.common) {
            to.by.push(mean(&from.by));
        }
        if let Some(moments) = &mut out.moments {
            moments.push(spread(o, &good, &shares));
        }
    }
    (out, lost)
}

/// Shares of readings in the mean of their span; they add up to one.
fn shares(o: &Observed, good: &[usize], span_s: f64) -> Vec<f64> {
    let weight = |i: &usize| {
        let part = (o.times_s[*i] / span_s).fract();
        // A reading at the very end still counts a little, so that two of them always have a mean.
        (1.0 - (2.0 * part - 1.0).abs()).max(1e-6)
    };
    let weights: Vec<f64> = good.iter().map(weight).collect();
    let sum: f64 = weights.iter().sum();
    weights.iter().map(|w| w / sum).collect()
}

/// Moments of the model around each reading, with their shares.
fn spread(o: &Observed, good: &[usize], shares: &[f64]) -> Vec<(f64, f64)> {
    let step_s =
        good.windows(2).map(|w| o.times_s[w[1]] - o.times_s[w[0]]).fold(f64::INFINITY, f64::min);
    let end_s = o.times_s.last().copied().unwrap_or(0.0);
    let around = |(i, share): (&usize, &f64)| {
        let (t, share) = (o.times_s[*i], share / PER_READING as f64);
        (0..PER_READING).map(move |k| {
            let off = (k as f64 + 0.5) / PER_READING as f64 - 0.5;
            ((t + off * step_s).clamp(0.0, end_s), share)
        })
    };
    good.iter().zip(shares).flat_map(around).collect()
}

#[cfg(test)]
mod tests {
    use super::super::data::Compared;
    use super::*;
    use crate::address::{Address, Place, Quantity};

    #[test]
    fn spans_with_few_readings_are_dropped_and_counted() {
        let o = Observed {
            name: "hot".into(),
            target: Compared::Column(Address::new(Place::Element, Quantity::Temperature)),
            unit: "°C".into(),
            times_s: vec![0.0, 10.0, 20.0, 60.0, 70.0, 80.0, 90.0, 120.0],
            values: vec![1.0, 2.0, 6.0, f64::NAN, f64::NAN, f64::NAN, 5.0, 7.0],
            u: vec![0.1; 8],
            clock_s: 0.0,
            correlation_s: None,
            common: Vec::new(),
            moments: None,
        };
        let (mean, lost) = over(&o, 60.0);
        // Weights 1e-6, 1/3 and 2/3: the first is as good as none.
        assert_eq!((mean.values.len(), lost), (1, 2));
        assert!((mean.values[0] - 14.0 / 3.0).abs() < 1e-4, "{:?}", mean.values);
        let moments = &mean.moments.expect("moments")[0];
        assert_eq!(moments.len(), 3 * PER_READING);
        assert!((moments.iter().map(|m| m.1).sum::<f64>() - 1.0).abs() < 1e-12);
        // Its own mean time is that of the readings.
        let mid: f64 = moments.iter().map(|m| m.0 * m.1).sum();
        assert!((mid - mean.times_s[0]).abs() < 1e-4, "{mid} {:?}", mean.times_s);
    }
}
