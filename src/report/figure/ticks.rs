//! Where ticks stand and how their numbers are written.

/// Ticks of one axis.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Ticks {
    /// Distance of two ticks; on a logarithmic axis of the two lowest.
    pub(super) step: f64,
    /// Parts a step is divided into by the minor grid; 1 on a logarithmic axis, which has its own.
    pub(super) parts: u32,
    /// Whether equal ratios are equally far apart.
    pub(super) log: bool,
    /// Where they stand, ascending.
    pub(super) at: Vec<f64>,
}

/// Steps that are easy to read: these times a power of ten, with the parts of the minor grid.
const NICE: [(f64, u32); 4] = [(1.0, 5), (2.0, 4), (2.5, 5), (5.0, 5)];
/// Powers of ten tried above the finest one; one is enough for a sane span.
const DECADES: i32 = 4;

/// At most `most` (at least 3) ticks at multiples of 1, 2, 2.5 or 5 times a power of ten.
pub(super) fn nice(lo: f64, hi: f64, most: usize) -> Ticks {
    let most = most.max(3);
    // Clamped to where powers of ten are ordinary doubles; senseless ranges come here too.
    let finest = (((hi - lo) / most as f64).log10().floor() as i32).clamp(-300, 300);
    let (step, parts) = (finest..finest + DECADES)
        .flat_map(|decade| NICE.map(|(factor, parts)| (factor * power_of_ten(decade), parts)))
        .find(|&(step, _)| count(lo, hi, step) <= most)
        .unwrap_or((hi - lo, 1));
    multiples(lo, hi, step, parts)
}

/// Ticks along time in steps people count in; anything else falls back to [`nice`].
pub(super) fn along(lo: f64, hi: f64, unit: &str, most: usize) -> Ticks {
    let steps: &[f64] = match unit.trim() {
        "s" => &[
            1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0, 900.0, 1800.0, 3600.0,
            7200.0,
        ],
        "min" => &[1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 180.0, 360.0, 720.0, 1440.0],
        "h" => &[0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 48.0, 72.0, 96.0, 168.0, 336.0],
        "d" => &[0.5, 1.0, 2.0, 3.0, 7.0, 14.0, 28.0],
        _ => &[],
    };
    let fits = |&&step: &&f64| count(lo, hi, step) <= most;
    match steps.iter().find(fits) {
        // Too coarse when the whole span is shorter than a few of the shortest steps.
        Some(&step) if step > steps[0] || count(lo, hi, step) >= 4 => {
            multiples(lo, hi, step, parts(steps, step))
        }
        _ => nice(lo, hi, most),
    }
}

/// Numbers within a power of ten that stand on a logarithmic axis, the closest first.
const RATIOS: [&[f64]; 5] = [
    &[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0],
    &[1.0, 2.0, 3.0, 5.0, 7.0],
    &[1.0, 2.0, 5.0],
    &[1.0, 3.0],
    &[1.0],
];
/// Fewest ticks of a logarithmic axis, below which even steps tell more.
const FEWEST: usize = 3;

/// Ratio of the ends below which even steps tell more, too: of 80 to 200 the numbers of a decade are 80,
/// 90, 100 and 200.
const SHORT: f64 = 4.0;

/// At most `most` (at least 3) ticks of a logarithmic axis between two numbers above zero.
pub(super) fn ratios(lo: f64, hi: f64, most: usize) -> Ticks {
    let most = most.max(FEWEST);
    let fits = |at: &Vec<f64>| hi / lo >= SHORT && (FEWEST..=most).contains(&at.len());
    let found = RATIOS.iter().map(|within| in_decades(lo, hi, within, 1)).find(fits);
    // Many powers of ten: every second of them, every third, ...
    let sparse =
        || (2..).map(|every| in_decades(lo, hi, &[1.0], every)).find(|at| at.len() <= most);
    let wide = (hi / lo).log10() >= FEWEST as f64;
    match found.or_else(|| wide.then(sparse).flatten()) {
        Some(at) if at.len() > 1 => Ticks { step: at[1] - at[0], parts: 1, log: true, at },
        _ => Ticks { parts: 1, log: true, ..nice(lo, hi, most) },
    }
}

/// These numbers in every decade, or in every n-th, between two bounds with a little slack.
fn in_decades(lo: f64, hi: f64, within: &[f64], every: i32) -> Vec<f64> {
    let first = (lo.log10().floor() as i32).clamp(-300, 300);
    let last = (hi.log10().ceil() as i32).clamp(-300, 300);
    (first..=last)
        .filter(|decade| decade.rem_euclid(every) == 0)
        .flat_map(|decade| within.iter().map(move |m| decimal(*m, decade)))
        .filter(|v| (lo * (1.0 - 1e-9)..=hi * (1.0 + 1e-9)).contains(v))
        .collect()
}

/// Parts that lead to the next shorter human step which divides this one.
fn parts(steps: &[f64], step: f64) -> u32 {
    let divides = |shorter: &&f64| **shorter < step && step % **shorter == 0.0;
    steps.iter().rfind(divides).map_or(1, |shorter| (step / shorter) as u32)
}

/// Some number of tens, hundreds, tenths, ...: divided, so that 0.1, 0.3 are the nearest doubles to them
/// and labels come out clean.
fn decimal(v: f64, exponent: i32) -> f64 {
    if exponent < 0 { v / 10_f64.powi(-exponent) } else { v * 10_f64.powi(exponent) }
}

fn power_of_ten(exponent: i32) -> f64 {
    decimal(1.0, exponent)
}

/// Index of the first and last multiple of the step inside, with a little slack for round-off.
fn bounds(lo: f64, hi: f64, step: f64) -> (f64, f64) {
    let slack = 1e-6;
    ((lo / step - slack).ceil(), (hi / step + slack).floor())
}

fn count(lo: f64, hi: f64, step: f64) -> usize {
    let (first, last) = bounds(lo, hi, step);
    // The conversion saturates; NaN becomes 0 and is caught by `multiples`.
    (last - first + 1.0).max(0.0) as usize
}

fn multiples(lo: f64, hi: f64, step: f64, parts: u32) -> Ticks {
    // No picture has room for more; also keeps a bad step from filling the memory.
    const MOST: usize = 100;
    let (first, _) = bounds(lo, hi, step);
    let at = (0..count(lo, hi, step).min(MOST))
        .map(|i| (first + i as f64) * step)
        // Turns -0 into 0.
        .map(|v| v + 0.0)
        .filter(|v| v.is_finite())
        .collect();
    Ticks { step, parts, log: false, at }
}

impl Ticks {
    /// Places of the minor grid between `lo` and `hi`, those of the ticks left out.
    pub(super) fn minor(&self, lo: f64, hi: f64) -> Vec<f64> {
        if self.log {
            let apart = |v: &f64| self.at.iter().all(|t| (t / v - 1.0).abs() > 1e-9);
            return in_decades(lo, hi, RATIOS[0], 1).into_iter().filter(apart).collect();
        }
        if self.parts < 2 || self.at.is_empty() {
            return Vec::new();
        }
        let fine = multiples(lo, hi, self.step / f64::from(self.parts), 1);
        let near = |v: f64| self.at.iter().any(|tick| (tick - v).abs() < 1e-3 * self.step);
        fine.at.into_iter().filter(|&v| !near(v)).collect()
    }

    /// The numbers at the ticks, all with the same digits after the point; each with its own on a
    /// logarithmic axis.
    pub(super) fn labels(&self) -> Vec<String> {
        let even = |pair: &[f64]| ((pair[1] - pair[0]) / self.step - 1.0).abs() < 1e-6;
        if self.log && !self.at.windows(2).all(even) {
            return self.at.iter().map(|v| alone(*v)).collect();
        }
        let largest = self.at.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        // Beyond these bounds a power of ten is shorter than the zeros.
        let plain = largest == 0.0 || (1e-3..1e6).contains(&largest);
        let decade = if plain { 0 } else { largest.log10().floor() as i32 };
        let scale = power_of_ten(decade);
        let digits = decimals(self.step / scale);
        let write = |&v: &f64| {
            let plain = format!("{:.digits$}", v / scale).replace('-', "−");
            match decade {
                0 => plain,
                _ if v == 0.0 => "0".into(),
                _ => format!("{plain}·10{}", superscript(decade)),
            }
        };
        self.at.iter().map(write).collect()
    }
}

/// A number without regard to its neighbours.
fn alone(v: f64) -> String {
    let decade = v.log10().floor() as i32;
    if (-3..6).contains(&decade) {
        return format!("{:.*}", decimals(v), v);
    }
    let mantissa = v / 10_f64.powi(decade);
    format!("{:.*}·10{}", decimals(mantissa), mantissa, superscript(decade))
}

/// Digits after the point needed to write multiples of a step exactly.
fn decimals(step: f64) -> usize {
    // More digits than this say nothing on an axis.
    const MOST: usize = 9;
    (0..MOST)
        .find(|&digits| {
            let scaled = step * power_of_ten(digits as i32);
            (scaled - scaled.round()).abs() < 1e-6 * scaled.max(1.0) && scaled > 0.5
        })
        .unwrap_or(MOST)
}

fn superscript(exponent: i32) -> String {
    const RAISED: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    let raised = |c: char| c.to_digit(10).map_or('⁻', |digit| RAISED[digit as usize]);
    exponent.to_string().chars().map(raised).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_1_2_2_5_or_5_and_never_too_many() {
        for exponent in [-12, -3, 0, 2, 7, 100] {
            for span in [1.0, 1.3, 1.7, 2.2, 3.1, 4.4, 6.0, 9.9] {
                let span = span * 10_f64.powi(exponent);
                for lo in [0.0, -0.37 * span, 5.23 * span] {
                    let ticks = nice(lo, lo + span, 5);
                    let mantissa = ticks.step / 10_f64.powf(ticks.step.log10().floor());
                    let known = NICE.iter().any(|n| (n.0 - mantissa).abs() < 1e-9)
                        || (mantissa - 10.0).abs() < 1e-9;
                    assert!(known, "step {}", ticks.step);
                    let n = ticks.at.len();
                    assert!((2..=5).contains(&n), "{n} ticks over {lo} + {span}");
                    let slack = 1e-5 * ticks.step;
                    assert!(ticks.at[0] >= lo - slack && ticks.at[n - 1] <= lo + span + slack);
                }
            }
        }
    }

    #[test]
    fn time_steps_are_human() {
        assert_eq!(along(0.0, 90.0, "min", 8).step, 15.0);
        assert_eq!(along(0.0, 240.0, "min", 6).step, 60.0);
        assert_eq!(along(0.0, 36.0, "h", 8).step, 6.0);
        assert_eq!(along(0.0, 100.0, "h", 8).step, 24.0);
        assert_eq!(along(0.0, 3.5, "h", 10).step, 0.5);
        assert_eq!(along(0.0, 240.0, "min", 6).parts, 2);
        // Shorter than the shortest steps, longer than the longest, and no time at all.
        assert_eq!(along(0.0, 0.5, "min", 6).step, 0.1);
        assert_eq!(along(0.0, 1e6, "h", 6).step, 2e5);
        assert_eq!(along(0.0, 90.0, "W", 8).step, 20.0);
    }

    #[test]
    fn numbers_are_written_shortly() {
        let labels = |lo: f64, hi: f64| nice(lo, hi, 5).labels();
        assert_eq!(labels(0.0, 1.0), ["0.00", "0.25", "0.50", "0.75", "1.00"]);
        assert_eq!(labels(-10.0, 10.0), ["−10", "−5", "0", "5", "10"]);
        assert_eq!(labels(0.0, 2e7), ["0", "0.5·10⁷", "1.0·10⁷", "1.5·10⁷", "2.0·10⁷"]);
        assert_eq!(labels(0.0, 3e-5), ["0", "1·10⁻⁵", "2·10⁻⁵", "3·10⁻⁵"]);
        assert_eq!(labels(49.9, 50.1), ["49.90", "49.95", "50.00", "50.05", "50.10"]);
    }

    #[test]
    fn a_logarithmic_axis_counts_in_ratios() {
        let labels = |lo: f64, hi: f64, most| ratios(lo, hi, most).labels();
        assert_eq!(labels(0.5, 10.0, 6), ["0.5", "1", "2", "5", "10"]);
        assert_eq!(labels(0.02, 0.9, 12).join(" "), "0.02 0.03 0.05 0.07 0.1 0.2 0.3 0.5 0.7");
        assert_eq!(labels(1.0, 1e4, 6), ["1", "10", "100", "1000", "10000"]);
        assert_eq!(labels(1e-7, 1e-5, 4), ["1·10⁻⁷", "1·10⁻⁶", "1·10⁻⁵"]);
        assert_eq!(labels(1.0, 1e12, 5).len(), 5);
        // A span too short for ratios has even steps.
        assert_eq!(labels(80.0, 200.0, 7).join(" "), "80 100 120 140 160 180 200");
        assert_eq!(labels(5.0, 5.5, 6), ["5.0", "5.1", "5.2", "5.3", "5.4", "5.5"]);
        assert_eq!(ratios(1.0, 10.0, 4).minor(1.0, 10.0), [3.0, 4.0, 6.0, 7.0, 8.0, 9.0]);
        for (lo, hi) in [(1e-300, 1e300), (1.0, 1.0 + 1e-9), (3.0, 3.0)] {
            assert!(ratios(lo, hi, 5).at.len() <= 100, "{lo} {hi}");
        }
    }

    #[test]
    fn minor_places_fill_the_steps() {
        let ticks = nice(0.0, 10.0, 3);
        assert_eq!(ticks.step, 5.0);
        let minor = ticks.minor(0.0, 10.0);
        assert_eq!(minor, [1.0, 2.0, 3.0, 4.0, 6.0, 7.0, 8.0, 9.0]);
    }

    #[test]
    fn senseless_ranges_give_few_ticks() {
        for (lo, hi) in [(f64::NAN, 1.0), (0.0, 0.0), (1.0, 0.0), (0.0, f64::INFINITY)] {
            assert!(nice(lo, hi, 5).at.len() <= 100);
            assert!(along(lo, hi, "h", 5).at.len() <= 100);
        }
    }
}
