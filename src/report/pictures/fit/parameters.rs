//! How well the parameters of a fit are known: profiles and correlations.

use super::super::course::colour;
use super::spaced;
use crate::report::figure::{Dash, Figure, Map, Panel, Series, Steps};
use crate::study::box_fit::{Outcome, ParameterRow};

/// Most bent profiles in one figure.
const MOST_PROFILES: usize = 6;

/// How far the line for straight models goes \[standard errors\].
const DIAGONAL: f64 = 2.0;

/// Where the curves are cut off: twice as far as a 95 % interval goes.
const CUT: f64 = 4.0;

/// How far off the straight line a curve may be to count as lying on it: a hundredth of the axis.
const ON_IT: f64 = 0.08;

/// Colours of series in turn.
const COLOURS: [usize; 5] =
    [colour::VERMILLION, colour::SKY, colour::GREEN, colour::PURPLE, colour::YELLOW];

/// A parameter with its profile in standard errors.
type Profile<'a> = (&'a ParameterRow, Vec<(f64, f64)>);

/// How chi-square rises as each parameter leaves its best value while the others make up for it, as
/// its root with the sign of the way, which is a straight line where the model is; `None` without
/// profiles.
#[must_use]
pub fn fit_profiles(title: &str, outcome: &Outcome) -> Option<Figure> {
    let (curves, without): (Vec<Profile>, Vec<Profile>) =
        outcome.parameters.iter().map(|p| (p, curve(p))).partition(|(_, c)| c.len() > 1);
    if curves.is_empty() {
        return None;
    }
    let (straight, mut bent): (Vec<_>, Vec<_>) =
        curves.into_iter().partition(|(_, c)| is_straight(c));
    let more = bent.len().saturating_sub(MOST_PROFILES);
    bent.truncate(MOST_PROFILES);
    let title = format!("Profiles: {title}");
    let subtitle = profile_words(&straight, &without, more);
    Some(Figure {
        alt_text: format!("{title}. {subtitle}."),
        title,
        subtitle,
        x_label: "Distance from the best value, in standard errors".into(),
        panels: vec![Panel {
            label: format!(
                "Root of the rise of chi-square, the others fitted anew, cut off at ± {CUT} both ways"
            ),
            series: profile_lines(&straight, &bent),
            reach: Some((-CUT, CUT)),
            ..Panel::default()
        }],
        source_line: format!("drybench {} · fitted", env!("CARGO_PKG_VERSION")),
        ..Figure::default()
    })
}

/// Bent profiles each by itself, straight ones on the one thin line that says how many they are.
fn profile_lines(straight: &[Profile<'_>], bent: &[Profile<'_>]) -> Vec<Series> {
    let reach = |c: &[(f64, f64)]| c.iter().map(|p| p.0.abs()).fold(DIAGONAL, f64::max);
    let end = bent.iter().map(|(_, c)| reach(c)).fold(DIAGONAL, f64::max);
    let thin = |name: String, y: [f64; 2], quiet| Series {
        name,
        points: vec![(-end, y[0]), (end, y[1])],
        colour: colour::INK,
        width: 0.4,
        quiet,
        ..Series::default()
    };
    let styled = |k: usize, (p, points): &Profile<'_>| Series {
        name: spaced(&p.name),
        points: points.clone(),
        colour: COLOURS[k % COLOURS.len()],
        dash: Dash::in_turn(k),
        ..Series::default()
    };
    let hidden = straight.iter().map(|s| Series {
        colour: colour::INK,
        width: 0.5,
        dash: Dash::Solid,
        quiet: true,
        ..styled(0, s)
    });
    let mut series: Vec<Series> = hidden.collect();
    series.extend(bent.iter().enumerate().map(|(k, b)| styled(k, b)));
    let name = match straight.len() {
        0 => "straight".to_owned(),
        n => format!("straight ({n} on it)"),
    };
    series.push(Series { points: vec![(-end, -end), (end, end)], ..thin(name, [0.0; 2], false) });
    series.extend([-DIAGONAL, DIAGONAL].map(|y| thin("limit of 95 %".into(), [y, y], true)));
    series
}

/// What is to be known of the profiles.
fn profile_words(straight: &[Profile<'_>], without: &[Profile<'_>], more: usize) -> String {
    let names = |some: &[Profile<'_>]| {
        some.iter().map(|(p, _)| spaced(&p.name)).collect::<Vec<_>>().join(", ")
    };
    let mut words = vec![
        "A 95 % interval ends about 2 below and above zero; where a line leaves the thin slanting one, \
         value ± standard error is not enough"
            .to_owned(),
    ];
    if !straight.is_empty() {
        words.push(format!("On the thin line: {}", names(straight)));
    }
    if !without.is_empty() {
        words.push(format!(
            "Not drawn, for want of a standard error or a profile: {}",
            names(without)
        ));
    }
    if more > 0 {
        words.push(format!("The first {MOST_PROFILES} bent lines, {more} more are in fit.json"));
    }
    words.join(". ")
}

/// The profile of one parameter in standard errors, as far as it is drawn; empty without them.
fn curve(p: &ParameterRow) -> Vec<(f64, f64)> {
    let Some(se) = p.standard_error.filter(|s| *s > 0.0) else { return Vec::new() };
    let point =
        |(at, rise): &(f64, f64)| ((at - p.value) / se, (at - p.value).signum() * rise.sqrt());
    cut(&p.profile.iter().map(point).collect::<Vec<_>>())
}

/// A curve as far as neither distance nor rise passes the cut.
fn cut(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let inside = |p: &(f64, f64)| p.0.abs() <= CUT && p.1.abs() <= CUT;
    // The share of the way from inside at which one coordinate meets the cut.
    let share = |from: f64, to: f64| match to.abs() > CUT {
        true => (CUT * to.signum() - from) / (to - from),
        false => 1.0,
    };
    let mut out = Vec::new();
    for (k, p) in points.iter().enumerate() {
        if inside(p) {
            out.push(*p);
            continue;
        }
        let beside = [k.checked_sub(1), Some(k + 1)].into_iter().flatten();
        let inner = beside.filter_map(|i| points.get(i)).find(|q| inside(q));
        out.extend(inner.map(|q| {
            let t = share(q.0, p.0).min(share(q.1, p.1));
            (q.0 + t * (p.0 - q.0), q.1 + t * (p.1 - q.1))
        }));
    }
    out
}

/// Whether a curve lies on the straight line and can be judged: it goes some way to both sides.
fn is_straight(points: &[(f64, f64)]) -> bool {
    let far = |sign: f64| points.iter().any(|p| sign * p.0 > 1.0);
    far(1.0) && far(-1.0) && points.iter().all(|(x, y)| (y - x).abs() <= ON_IT)
}

/// The correlations of the parameters as a map; `None` for fewer than two.
#[must_use]
pub fn fit_correlation(title: &str, outcome: &Outcome) -> Option<Map> {
    let count = outcome.parameters.len();
    if count < 2 {
        return None;
    }
    let number = |r: &Option<f64>| r.unwrap_or(f64::NAN);
    let axis = |names: Vec<String>| Steps { label: "parameter".into(), names, ..Steps::default() };
    let named = outcome.parameters.iter().enumerate();
    let named = named.map(|(k, p)| format!("{} {}", spaced(&p.name), k + 1)).collect();
    let title = format!("Correlations: {title}");
    let mut subtitle = "Near 1 or −1, two parameters are known only together".to_owned();
    let alone = outcome.parameters.iter().filter(|p| p.standard_error.is_none());
    let alone: Vec<String> = alone.map(|p| spaced(&p.name)).collect();
    if outcome.correlation.iter().flatten().any(Option::is_none) {
        subtitle += "; – where there is none to be had";
    }
    if !alone.is_empty() {
        subtitle += &format!(" (no standard error: {})", alone.join(", "));
    }
    Some(Map {
        alt_text: format!("{title}. {subtitle}."),
        title,
        subtitle,
        x: axis((1..=count).map(|k| k.to_string()).collect()),
        y: axis(named),
        label: "correlation".into(),
        cells: outcome.correlation.iter().map(|row| row.iter().map(number).collect()).collect(),
        range: Some((-1.0, 1.0)),
        scattered: true,
        pairs: true,
        source_line: format!("drybench {} · fitted", env!("CARGO_PKG_VERSION")),
        ..Map::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn curves_end_at_the_cut() {
        let steep = [(-2.0, -8.0), (-1.0, -2.0), (0.0, 0.0), (1.0, 2.0), (2.0, 6.0), (3.0, 50.0)];
        let found = cut(&steep);
        assert_eq!(found.len(), 5);
        assert!((found[0].0 + 4.0 / 3.0).abs() < 1e-12 && found[0].1 == -CUT, "{found:?}");
        assert_eq!(found[4], (1.5, CUT));
        // From inside to outside on both sides at once.
        assert_eq!(cut(&[(-8.0, -2.0), (0.0, 0.0)]), [(-CUT, -1.0), (0.0, 0.0)]);
        assert_eq!(cut(&[(-1.0, -8.0), (0.0, 0.0), (1.0, 8.0)]).len(), 3);
    }

    #[test]
    fn only_what_goes_both_ways_along_the_line_is_straight() {
        assert!(is_straight(&[(-2.0, -1.95), (0.0, 0.0), (2.0, 2.0)]));
        assert!(!is_straight(&[(-2.0, -1.8), (0.0, 0.0), (2.0, 2.0)]));
        assert!(!is_straight(&[(0.0, 0.0), (2.0, 2.0)]));
    }
}
