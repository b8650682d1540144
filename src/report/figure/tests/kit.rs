//! What is asked of every picture.

use crate::report::figure::scene::{Scene, Shape, Text};

/// All words of a picture.
pub(super) fn texts(scene: &Scene) -> Vec<&Text> {
    let shapes = scene.shapes.iter();
    shapes.filter_map(|s| if let Shape::Text(text) = s { Some(text) } else { None }).collect()
}

/// How many lines of words a picture has that are as wanted.
pub(super) fn count_texts(scene: &Scene, wanted: impl Fn(&str) -> bool) -> usize {
    texts(scene).iter().filter(|t| wanted(&t.text)).count()
}

/// How many areas a picture has that are as opaque as wanted.
pub(super) fn count_areas(scene: &Scene, wanted: impl Fn(f64) -> bool) -> usize {
    let is = |s: &&Shape| matches!(s, Shape::Area { alpha, .. } if wanted(*alpha));
    scene.shapes.iter().filter(is).count()
}

/// No words collide or leave the picture; no line leaves it.
pub(super) fn check(scene: &Scene, case: &str) {
    let (width, height) = (f64::from(scene.size_px.0), f64::from(scene.size_px.1));
    let inside = |x: f64, y: f64| (0.0..=width).contains(&x) && (0.0..=height).contains(&y);
    let boxes: Vec<_> = texts(scene).into_iter().map(|t| (&t.text, t.bounds())).collect();
    for (i, (words, a)) in boxes.iter().enumerate() {
        let whole = inside(a.left, a.top) && inside(a.right, a.bottom);
        assert!(whole, "{case}: {words:?} outside: {a:?}");
        for (others, b) in &boxes[..i] {
            // A hair's breadth of slack for round-off where boxes touch.
            assert!(!a.overlaps(b, 0.01), "{case}: {words:?} {a:?} on {others:?} {b:?}");
        }
    }
    for shape in &scene.shapes {
        let points = match shape {
            Shape::Stroke { points, .. } => points.as_slice(),
            Shape::Area { outline, .. } => outline.as_slice(),
            Shape::Dot { centre, .. } => std::slice::from_ref(centre),
            Shape::Text(_) => &[],
        };
        for &(x, y) in points {
            assert!(inside(x, y), "{case}: ({x}, {y}) outside");
        }
    }
}

/// No words are smaller than 28 reference pixels, those of the footer than 22.
pub(super) fn check_letters(scene: &Scene, case: &str) {
    let height = f64::from(scene.size_px.1);
    let unit = f64::from(scene.size_px.0.min(scene.size_px.1)) / 1080.0;
    for text in texts(scene) {
        let least = if text.baseline > height - 150.0 * unit { 22.0 } else { 28.0 };
        assert!(text.letters.face.em_px >= least * unit - 1e-9, "{case}: {text:?} too small");
    }
}
