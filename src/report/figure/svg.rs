//! SVG output.

use super::canvas::{Canvas, Kind};
use super::font::clean;
use super::{Drawn, Scene};
use plotters::backend::SVGBackend;

/// View-box units per pixel: coordinates are whole units, so lines keep a quarter pixel.
const UNITS_PER_PX: u32 = 4;

/// The whole document, with a title and a description.
pub(super) fn document(scene: &Scene, title: &str, alt_text: &str) -> Drawn<String> {
    let (width, height) = scene.size_px;
    let (wide, high) = (width * UNITS_PER_PX, height * UNITS_PER_PX);
    let mut drawn = String::new();
    let backend = SVGBackend::with_string(&mut drawn, (wide, high));
    let (factor, kind) = (f64::from(UNITS_PER_PX), Kind::Vector);
    Canvas { backend, factor, kind }.paint(scene, scene.background)?;
    // The backend's own root element has neither title nor role, so it is replaced.
    let shapes = drawn.split_once(">\n").map_or("", |(_, rest)| rest);
    Ok(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"{width}\" \
         height=\"{height}\" viewBox=\"0 0 {wide} {high}\" stroke-linejoin=\"round\">\n\
         <title>{}</title>\n<desc>{}</desc>\n{shapes}",
        escaped(title),
        escaped(alt_text),
    ))
}

/// Text as XML character data.
fn escaped(text: &str) -> String {
    clean(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
