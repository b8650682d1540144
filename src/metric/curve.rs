//! The course of a number within a step: values at five instants, and what turns between them.

/// Instants of a step at which every number is looked at.
pub const NODES: usize = 5;

/// A time \[s\] and the value then.
pub type Point = (f64, f64);

/// The course of a number between the points that are known of it.
pub trait Course {
    /// The number at a time.
    fn at(&mut self, time_s: f64) -> f64;

    /// When it is at a level between two points on either side of that.
    fn crossing(&mut self, a: Point, b: Point, level: f64) -> f64;
}

/// A place at which a number turns between two instants, as its slopes foretell it.
#[derive(Clone, Copy, Debug)]
pub struct Turn {
    /// Whether it is a highest value.
    pub top: bool,
    /// The value foretold.
    pub value: f64,
    /// The values beside it.
    pub ends: (f64, f64),
}

/// Times and values in order, between which the number rises or falls all the way.
#[derive(Debug)]
pub struct Points {
    list: [Point; 2 * NODES - 1],
    len: usize,
}

impl Points {
    fn push(&mut self, point: Point) {
        self.list[self.len] = point;
        self.len += 1;
    }

    /// All of them.
    #[must_use]
    pub fn all(&self) -> &[Point] {
        &self.list[..self.len]
    }
}

/// Derivatives at five equidistant points of the quartic through them, per interval and times 12.
const SLOPES: [[f64; NODES]; NODES] = [
    [-25.0, 48.0, -36.0, 16.0, -3.0],
    [-3.0, -10.0, 18.0, -6.0, 1.0],
    [1.0, -8.0, 0.0, 8.0, -1.0],
    [-1.0, 6.0, -18.0, 10.0, 3.0],
    [3.0, -16.0, 36.0, -48.0, 25.0],
];

/// Looks after which a turn is located as well as it gets.
const MOST_LOOKS: usize = 6;
/// How finely a turn is located, as a share of its interval. A value errs with the square of that.
const LOCATION: f64 = 1e-5;

/// The course through these values, with the turns that are wanted looked up.
pub fn points(
    times: &[f64; NODES],
    values: &[f64; NODES],
    wanted: impl Fn(Turn) -> bool,
    course: &mut impl Course,
) -> Points {
    let mut out = Points { list: [(0.0, 0.0); 2 * NODES - 1], len: 0 };
    let slopes = SLOPES.map(|row| row.iter().zip(values).map(|(c, v)| c * v).sum::<f64>() / 12.0);
    for k in 0..NODES {
        out.push((times[k], values[k]));
        let Some(next) = values.get(k + 1) else { break };
        let (a, b) = (slopes[k], slopes[k + 1]);
        if a * b >= 0.0 {
            continue;
        }
        let Some((at, value)) = turn((values[k], a), (*next, b)) else { continue };
        let turn = Turn { top: a > 0.0, value, ends: (values[k], *next) };
        if wanted(turn) {
            let ends = [(times[k], values[k]), (times[k + 1], *next)];
            let first = times[k] + at * (times[k + 1] - times[k]);
            if let Some(found) = located(ends, first, turn.top, course) {
                out.push(found);
            }
        }
    }
    out
}

/// Place (0..1) and value at which the cubic with these values and slopes at its ends turns.
fn turn((v0, d0): (f64, f64), (v1, d1): (f64, f64)) -> Option<(f64, f64)> {
    let (c2, c3) = (3.0 * (v1 - v0) - 2.0 * d0 - d1, d0 + d1 - 2.0 * (v1 - v0));
    let root = (c2 * c2 - 3.0 * c3 * d0).max(0.0).sqrt();
    let places = [-d0 / (c2 + root), -d0 / (c2 - root)];
    let s = places.into_iter().find(|s| *s > 0.0 && *s < 1.0)?;
    Some((s, v0 + s * (d0 + s * (c2 + s * c3))))
}

/// The turn itself, from a first guess by parabolas; none if the guess is not beyond both ends.
fn located(
    [mut a, mut b]: [Point; 2],
    first: f64,
    top: bool,
    course: &mut impl Course,
) -> Option<Point> {
    let beyond = |v: f64, w: f64| if top { v > w } else { v < w };
    let width = b.0 - a.0;
    let mut best = (first, course.at(first));
    if !beyond(best.1, a.1) || !beyond(best.1, b.1) {
        return None;
    }
    for _ in 1..MOST_LOOKS {
        let (left, right) = (best.0 - a.0, best.0 - b.0);
        let (p, q) = (left * (best.1 - b.1), right * (best.1 - a.1));
        let at = best.0 - 0.5 * (left * p - right * q) / (p - q);
        let inside = at > a.0 && at < b.0;
        if !inside || (at - best.0).abs() <= LOCATION * width {
            break;
        }
        let found = (at, course.at(at));
        let (outer, inner) = if beyond(found.1, best.1) { (best, found) } else { (found, best) };
        if outer.0 < inner.0 {
            a = outer;
        } else {
            b = outer;
        }
        best = inner;
    }
    Some(best)
}

#[cfg(test)]
mod tests {
    use super::turn;

    #[test]
    fn a_cubic_turns_where_it_should() {
        // v = s (1 - s)^2 turns at 1/3, with 4/27.
        let (at, value) = turn((0.0, 1.0), (0.0, -1e-12)).expect("a turn");
        assert!((at - 1.0 / 3.0).abs() < 1e-9 && (value - 4.0 / 27.0).abs() < 1e-9);
        // A parabola has no cubic term.
        let (at, value) = turn((0.0, 1.0), (0.0, -1.0)).expect("a turn");
        assert_eq!((at, value), (0.5, 0.25));
    }
}
