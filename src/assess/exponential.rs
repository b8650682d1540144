//! An exponential approach to a base that is known more or less, fitted to readings.

use crate::uncertainty::Estimate;

/// Rates tried, in 1 over the length of the readings, and how many of them.
const RATES: (f64, f64) = (0.02, 60.0);
const TRIED: usize = 48;
/// Most that readings which are alike are taken to be so: more would be a drift, no scatter.
const MOST_ALIKE: f64 = 0.98;
/// As a share of the rate: the steps by which the bend of the misfit is found.
const STEP: f64 = 0.01;

/// Part of the way that the shorter window has.
const SHORTER: f64 = 0.6;

/// As [`fit`], and as uncertain as the choice of the window makes it: what the fall over the first part of
/// the way says otherwise, beyond its own uncertainty, is added.
pub(super) fn fit_windows(points: &[(f64, f64)], base: Estimate) -> Option<Estimate> {
    let whole = fit(points, base)?;
    let (first, last) = (points.first()?.1, points.last()?.1);
    let level = first + SHORTER * (last - first);
    let end = points.iter().position(|p| (p.1 - level) * (first - level) <= 0.0)?;
    let other = fit(&points[..end], base).unwrap_or(whole);
    let apart = (other.value - whole.value).abs();
    let beyond = (apart - other.standard.hypot(whole.standard)).max(0.0);
    Some(whole.widened(beyond))
}

/// Misfit and what goes with it, for one rate.
struct Trial {
    cost: f64,
    base: f64,
    height: f64,
}

/// The rate \[1/s\] of `y = base + height exp(-rate t)`, fitted with base and height to times \[s\] and values; the base is known as stated (an infinite
/// uncertainty: not at all). The scatter is that of the residuals, enlarged by how alike neighbours
/// are (an autoregressive series: by `(1 + r)/(1 - r)`), so that the known base counts for more
/// where readings tell less. `None` without a least misfit inside the rates that so many readings can show.
pub(super) fn fit(points: &[(f64, f64)], base: Estimate) -> Option<Estimate> {
    let (first, last) = (points.first()?, points.last()?);
    let long_s = last.0 - first.0;
    if points.len() < 5 || long_s <= 0.0 {
        return None;
    }
    let scale = points.iter().map(|p| (p.1 - base.value).abs()).fold(0.0, f64::max);
    // Only shapes count at first: a base that is known has the weight of one reading in a hundred of the range.
    let mut variance = (0.01 * scale).powi(2);
    let mut best = None;
    for _ in 0..3 {
        let trial = |ln_rate: f64| cost(points, ln_rate.exp(), base, variance);
        let ln_rate = least(&trial, (RATES.0 / long_s).ln(), (RATES.1 / long_s).ln())?;
        let found = trial(ln_rate);
        let rate = ln_rate.exp();
        let rest: Vec<f64> = points
            .iter()
            .map(|p| p.1 - found.base - found.height * (-rate * (p.0 - first.0)).exp())
            .collect();
        let square: f64 = rest.iter().map(|r| r * r).sum();
        let alike = rest.windows(2).map(|w| w[0] * w[1]).sum::<f64>() / square;
        let alike = if alike.is_finite() { alike.clamp(0.0, MOST_ALIKE) } else { 0.0 };
        variance = (square / (points.len() as f64 - 3.0) * (1.0 + alike) / (1.0 - alike))
            .max((1e-9 * scale).powi(2));
        best = Some(ln_rate);
    }
    let ln_rate = best?;
    let [below, at, above] =
        [-STEP, 0.0, STEP].map(|d| cost(points, (ln_rate + d).exp(), base, variance).cost);
    let bend = (below - 2.0 * at + above) / (STEP * STEP);
    let rate = ln_rate.exp();
    (bend > 0.0).then(|| Estimate::new(rate, rate * (2.0 / bend).sqrt()))
}

/// Least squares for one rate: base and height enter linearly.
fn cost(points: &[(f64, f64)], rate: f64, base: Estimate, variance: f64) -> Trial {
    let t0 = points[0].0;
    let prior = if base.standard.is_finite() {
        variance / base.standard.powi(2).max(1e-12 * variance)
    } else {
        0.0
    };
    let (mut n, mut e1, mut e2, mut y1, mut ye) = (prior, 0.0, 0.0, 0.0, 0.0);
    for (t, y) in points {
        let (e, y) = ((-rate * (t - t0)).exp(), y - base.value);
        n += 1.0;
        e1 += e;
        e2 += e * e;
        y1 += y;
        ye += y * e;
    }
    let under = n * e2 - e1 * e1;
    let off = (y1 * e2 - ye * e1) / under;
    let height = (n * ye - e1 * y1) / under;
    let rest = |p: &(f64, f64)| p.1 - base.value - off - height * (-rate * (p.0 - t0)).exp();
    let square: f64 = points.iter().map(|p| rest(p).powi(2)).sum();
    Trial { cost: (square + prior * off * off) / variance, base: base.value + off, height }
}

/// Place of the least cost between two ends, none if it is at one of them.
fn least(trial: &impl Fn(f64) -> Trial, from: f64, to: f64) -> Option<f64> {
    let at = |k: usize| from + (to - from) * k as f64 / TRIED as f64;
    let costs: Vec<f64> = (0..=TRIED).map(|k| trial(at(k)).cost).collect();
    let best = (0..=TRIED).min_by(|a, b| costs[*a].total_cmp(&costs[*b]))?;
    if best == 0 || best == TRIED {
        return None;
    }
    let (mut a, mut b) = (at(best - 1), at(best + 1));
    for _ in 0..40 {
        let (x, y) = (a + 0.382 * (b - a), a + 0.618 * (b - a));
        if trial(x).cost < trial(y).cost {
            b = y;
        } else {
            a = x;
        }
    }
    Some(0.5 * (a + b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rate_and_base_of_an_exact_approach() {
        let points: Vec<(f64, f64)> = (0..200)
            .map(|i| f64::from(i) * 10.0)
            .map(|t| (t, 3.0 + 5.0 * (-t / 700.0).exp()))
            .collect();
        // Not known, known wrongly within its uncertainty, known well.
        for base in
            [Estimate::new(0.0, f64::INFINITY), Estimate::new(2.8, 0.2), Estimate::exact(3.0)]
        {
            let found = fit(&points, base).expect("a fit");
            assert!((700.0 * found.value - 1.0).abs() < 1e-3, "{found:?}");
        }
        let straight: Vec<(f64, f64)> = (0..50).map(|i| (f64::from(i), f64::from(i))).collect();
        assert!(fit(&straight, Estimate::new(0.0, f64::INFINITY)).is_none());
    }

    /// Noise hides the bend of a short fall: then what is known of the base decides how well the rate is.
    #[test]
    fn a_short_fall_is_as_uncertain_as_its_base() {
        let noise = |i: i32| 0.2 * (f64::from(i * 7919 % 101) / 50.0 - 1.0);
        let points: Vec<(f64, f64)> = (0..60)
            .map(|i| (10.0 * f64::from(i), 5.0 * (-f64::from(i) / 100.0).exp() + noise(i)))
            .collect();
        let of = |u: f64| {
            let rate = fit(&points, Estimate::new(0.0, u)).expect("a fit");
            (rate.value, rate.standard / rate.value)
        };
        assert!(of(0.1).1 < 0.5 * of(1.0).1, "{:?} {:?}", of(0.1), of(1.0));
        assert!((1000.0 * of(0.1).0 - 1.0).abs() < 2.0 * of(0.1).1, "{:?}", of(0.1));
    }
}
