//! Lines on a map: contours with their numbers, and limits.

use std::collections::VecDeque;

use super::colours::{FADED, on};
use super::contour;
use super::layout::{CONTOUR, LIMIT, Layout};
use crate::report::figure::geometry::{apart, between};
use crate::report::figure::{Dash, Point, Rect, Rgb, Scene, drawable, mix};

/// Length of a line, in widths of its number, below which the number would hide it.
const LEAST_LENGTH: f64 = 2.0;
/// Where along a line its number may stand, the best first.
const ALONG: [f64; 9] = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.12, 0.88];
/// Distance of two points of a line that are looked at for crossings \[reference pixels\].
const LOOK: f64 = 4.0;
/// Room around a number, in em.
const AROUND: f64 = 0.22;

impl Layout<'_> {
    /// Contours, limits over them, and the numbers of the contours on top.
    pub(super) fn lines(&self, scene: &mut Scene) {
        let levels = if self.map.scattered { &[][..] } else { &self.scale.ticks.at[..] };
        let pieces: Vec<Vec<[Point; 2]>> =
            levels.iter().map(|level| contour::pieces(&self.map.cells, *level)).collect();
        for piece in pieces.iter().flatten() {
            let points = piece.map(|p| self.px(p)).to_vec();
            scene.stroke(points, self.page.px(CONTOUR), on(self.ground(piece)));
        }
        let mut limits = Vec::new();
        for (k, limit) in self.map.limits.iter().enumerate() {
            let (width_px, colour) = (self.page.px(LIMIT), self.page.palette.series(1));
            let paths = self.paths(contour::pieces(&limit.values, limit.level));
            paths.iter().for_each(|p| scene.dashes(p, Dash::in_turn(k), width_px, colour));
            limits.extend(paths);
        }
        let paths: Vec<Vec<Vec<Point>>> = pieces.into_iter().map(|p| self.paths(p)).collect();
        self.numbers(scene, &paths, &limits);
    }

    /// The colour under a piece of a contour: that of the cell it lies in.
    fn ground(&self, [from, to]: &[Point; 2]) -> Rgb {
        let cell = |a: f64, b: f64| (0.5 * (a + b)).round().max(0.0) as usize;
        let (i, j) = (cell(from.0, to.0), cell(from.1, to.1));
        let value = self.map.cells.get(j).and_then(|row| row.get(i)).copied();
        let paper = self.page.palette.paper;
        match value.filter(|v| drawable(*v)).map(|v| self.colour(v)) {
            Some(colour) if self.broken(i, j) => mix(paper, colour, FADED),
            Some(colour) => colour,
            None => paper,
        }
    }

    /// Pieces as paths in pixels.
    fn paths(&self, pieces: Vec<[Point; 2]>) -> Vec<Vec<Point>> {
        let to_px = |path: Vec<Point>| path.into_iter().map(|p| self.px(p)).collect();
        joined(pieces).into_iter().map(to_px).collect()
    }

    /// The number of each contour on all of its paths that have room for it.
    fn numbers(&self, scene: &mut Scene, paths: &[Vec<Vec<Point>>], limits: &[Vec<Point>]) {
        let face = self.page.faces.small;
        let mut taken: Vec<Rect> = Vec::new();
        for (k, label) in self.scale.ticks.labels().iter().enumerate().take(paths.len()) {
            let wide = face.width_px(label);
            let half = (0.5 * wide + AROUND * face.em_px, (0.5 + AROUND) * face.em_px);
            let others = paths.iter().enumerate().filter(|other| other.0 != k);
            let others: Vec<&Vec<Point>> = others.flat_map(|o| o.1).chain(limits).collect();
            for path in paths[k].iter().filter(|p| length(p) >= LEAST_LENGTH * wide) {
                let Some(found) = self.room(path, half, &taken, &others) else { continue };
                let ground = self.colour(self.scale.ticks.at[k]);
                scene.fill(found, ground, 1.0);
                scene.beside(&[label], face.centre(on(ground)), found.centre());
                taken.push(found);
            }
        }
    }

    /// Where along a path a box of this half width and height finds room: clear of other lines if
    /// it can be, of other boxes in any case.
    fn room(
        &self,
        path: &[Point],
        half: (f64, f64),
        taken: &[Rect],
        others: &[&Vec<Point>],
    ) -> Option<Rect> {
        let plot = self.plot;
        let inside = |r: &Rect| plot.holds((r.left, r.top)) && plot.holds((r.right, r.bottom));
        let boxes = ALONG.iter().map(|share| Rect::around(at(path, *share), half));
        let free: Vec<Rect> =
            boxes.filter(|r| inside(r) && !taken.iter().any(|t| t.overlaps(r, 0.0))).collect();
        let look = self.page.px(LOOK);
        let clear = |r: &&Rect| others.iter().all(|p| !crosses(p, r, look));
        free.iter().find(clear).or(free.first()).copied()
    }
}

fn length(path: &[Point]) -> f64 {
    path.windows(2).map(|p| apart(p[0], p[1])).sum()
}

/// The point of a path at a share of its length.
fn at(path: &[Point], share: f64) -> Point {
    let mut rest = share * length(path);
    for pair in path.windows(2) {
        let piece = apart(pair[0], pair[1]);
        if rest <= piece && piece > 0.0 {
            return between(pair[0], pair[1], rest / piece);
        }
        rest -= piece;
    }
    path.last().copied().unwrap_or_default()
}

/// Whether a path passes through a box, looked at every `step` pixels.
fn crosses(path: &[Point], r: &Rect, step: f64) -> bool {
    path.windows(2).any(|pair| {
        let parts = (apart(pair[0], pair[1]) / step).ceil().max(1.0) as usize;
        (0..=parts).any(|k| r.holds(between(pair[0], pair[1], k as f64 / parts as f64)))
    })
}

/// Pieces that share their ends as longer paths, so that dashes run on.
fn joined(mut pieces: Vec<[Point; 2]>) -> Vec<Vec<Point>> {
    let same = |a: Point, b: Point| (a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9;
    let mut paths = Vec::new();
    while let Some([from, to]) = pieces.pop() {
        let mut path = VecDeque::from([from, to]);
        loop {
            let (head, tail) = (path[0], path[path.len() - 1]);
            let next =
                pieces.iter().position(|p| p.iter().any(|q| same(*q, tail) || same(*q, head)));
            let Some(piece) = next.map(|at| pieces.swap_remove(at)) else { break };
            match piece {
                [a, b] if same(a, tail) => path.push_back(b),
                [a, b] if same(b, tail) => path.push_back(a),
                [a, b] if same(a, head) => path.push_front(b),
                [a, _] => path.push_front(a),
            }
        }
        paths.push(path.into());
    }
    paths
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_stands_on_its_line() {
        let path = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)];
        assert_eq!((at(&path, 0.25), at(&path, 0.75)), ((5.0, 0.0), (10.0, 5.0)));
        assert_eq!(at(&[], 0.5), (0.0, 0.0));
        let r = Rect { left: 8.0, top: 4.0, right: 12.0, bottom: 6.0 };
        assert!(crosses(&path, &r, 1.0) && !crosses(&path[..2], &r, 1.0));
    }
}
