//! Means over spans of time: what remains comparable when a thermostat switches at other moments
//! than its model.

use super::data::{Observed, RunData};

/// Averages all readings of sensors in a run (°C, %RH, Pa) and of power over spans of time.
pub fn average(run: &mut RunData, span_s: f64) {
    for o in &mut run.observed {
        if ["°C", "%RH", "Pa", "W"].contains(&o.unit.as_str()) {
            *o = over(o, span_s).0;
        }
    }
}

/// Means of readings over successive spans, with the model's mean over the same moments beside each;
/// and how many readings found too few others. A mean weighs as one reading: what is left in it is
/// the part of a heating cycle at its ends, not the noise of single readings. A span counts if half
/// of its readings, and two at least, are usable.
pub(super) fn over(o: &Observed, span_s: f64) -> (Observed, usize) {
    let mut out = Observed {
        times_s: Vec::new(),
        values: Vec::new(),
        u: Vec::new(),
        moments: Some(Vec::new()),
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
        let mean = |v: &[f64]| good.iter().map(|i| v[*i]).sum::<f64>() / good.len() as f64;
        out.times_s.push(mean(&o.times_s));
        out.values.push(mean(&o.values));
        out.u.push(mean(&o.u));
        let share = 1.0 / good.len() as f64;
        if let Some(moments) = &mut out.moments {
            moments.push(good.iter().map(|i| (o.times_s[*i], share)).collect());
        }
    }
    (out, lost)
}

#[cfg(test)]
mod tests {
    use super::super::data::Target;
    use super::*;

    #[test]
    fn spans_with_few_readings_are_dropped_and_counted() {
        let o = Observed {
            name: "hot".into(),
            target: Target::Column("x".into()),
            unit: "°C".into(),
            times_s: vec![0.0, 10.0, 20.0, 60.0, 70.0, 80.0, 90.0, 120.0],
            values: vec![1.0, 2.0, 6.0, f64::NAN, f64::NAN, f64::NAN, 5.0, 7.0],
            u: vec![0.1; 8],
            correlation_s: None,
            common: 1.0,
            moments: None,
        };
        let (mean, lost) = over(&o, 60.0);
        assert_eq!((mean.values.clone(), lost), (vec![3.0], 2));
        assert_eq!(mean.times_s, [10.0]);
        let moments = mean.moments.expect("moments");
        assert_eq!(moments[0].iter().map(|m| m.0).collect::<Vec<_>>(), [0.0, 10.0, 20.0]);
        assert!((moments[0].iter().map(|m| m.1).sum::<f64>() - 1.0).abs() < 1e-12);
    }
}
