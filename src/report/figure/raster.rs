//! PNG output: paint enlarged, average down, encode.

use super::canvas::{Canvas, FAMILY, Kind};
use super::font::{BOLD, REGULAR};
use super::{Drawn, FigureError, Rgb, Scene};
use plotters::backend::BitMapBackend;
use plotters::style::{FontStyle, register_font};
use std::sync::LazyLock;

/// Sub-pixels per pixel and direction; fewer in very large pictures, to bound memory.
const SUBPIXELS: u32 = 3;
const SUBPIXELS_LARGE: u32 = 2;
/// Pixels above which a picture counts as very large (twice the usual 1920 × 1080).
const LARGE_PX: u32 = 2 * 1920 * 1080;

/// The font as the drawing library knows it, registered once for the whole process.
static REGISTERED: LazyLock<bool> = LazyLock::new(|| {
    register_font(FAMILY, FontStyle::Normal, REGULAR).is_ok()
        && register_font(FAMILY, FontStyle::Bold, BOLD).is_ok()
});

/// The whole file.
pub(super) fn file(scene: &Scene) -> Drawn<Vec<u8>> {
    if !*REGISTERED {
        return Err(FigureError::Font);
    }
    match scene.background {
        Some(paper) => encode(scene.size_px, &pixels(scene, paper)?, 3),
        None => {
            let on_black = pixels(scene, (0, 0, 0))?;
            let on_white = pixels(scene, (255, 255, 255))?;
            encode(scene.size_px, &uncovered(&on_black, &on_white), 4)
        }
    }
}

/// The picture on a given paper, three bytes per pixel.
fn pixels(scene: &Scene, paper: Rgb) -> Drawn<Vec<u8>> {
    let (width, height) = scene.size_px;
    let factor = if width * height > LARGE_PX { SUBPIXELS_LARGE } else { SUBPIXELS };
    let large = (width * factor, height * factor);
    let mut buffer = vec![0; large.0 as usize * large.1 as usize * 3];
    let backend = BitMapBackend::with_buffer(&mut buffer, large);
    let canvas = Canvas { backend, factor: f64::from(factor), kind: Kind::Raster };
    canvas.paint(scene, Some(paper))?;
    Ok(averaged(&buffer, width as usize, factor as usize))
}

/// Averages squares of `factor` × `factor` sub-pixels.
fn averaged(buffer: &[u8], width: usize, factor: usize) -> Vec<u8> {
    let row_len = width * factor * 3;
    let share = (factor * factor) as u32;
    let mut out = Vec::with_capacity(buffer.len() / (factor * factor));
    let mut sums = vec![0_u32; width * 3];
    for rows in buffer.chunks_exact(row_len * factor) {
        sums.fill(0);
        for row in rows.chunks_exact(row_len) {
            for (sum, square) in sums.chunks_exact_mut(3).zip(row.chunks_exact(3 * factor)) {
                for pixel in square.chunks_exact(3) {
                    sum[0] += u32::from(pixel[0]);
                    sum[1] += u32::from(pixel[1]);
                    sum[2] += u32::from(pixel[2]);
                }
            }
        }
        out.extend(sums.iter().map(|&sum| ((sum + share / 2) / share) as u8));
    }
    out
}

/// Colour and opacity from the same picture on black and on white: on black a pixel shows
/// `alpha c`, on white `alpha c + (1 - alpha) 255`.
fn uncovered(on_black: &[u8], on_white: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(on_black.len() / 3 * 4);
    for (black, white) in on_black.chunks_exact(3).zip(on_white.chunks_exact(3)) {
        let lost: u32 =
            black.iter().zip(white).map(|(&b, &w)| u32::from(w.saturating_sub(b))).sum();
        let alpha = 255 - (lost + 1) / 3;
        let colour = |b: u8| match alpha {
            0 => 0,
            _ => ((u32::from(b) * 255 + alpha / 2) / alpha).min(255) as u8,
        };
        out.extend([colour(black[0]), colour(black[1]), colour(black[2]), alpha as u8]);
    }
    out
}

/// A PNG file of 8-bit pixels with 3 (RGB) or 4 (RGB and opacity) channels.
fn encode((width, height): (u32, u32), pixels: &[u8], channels: u8) -> Drawn<Vec<u8>> {
    let mut out = Vec::new();
    let failed = |e: ::png::EncodingError| FigureError::Draw(e.to_string());
    let mut encoder = ::png::Encoder::new(&mut out, width, height);
    encoder.set_color(if channels == 4 { ::png::ColorType::Rgba } else { ::png::ColorType::Rgb });
    encoder.set_depth(::png::BitDepth::Eight);
    encoder.set_source_srgb(::png::SrgbRenderingIntent::Perceptual);
    let mut writer = encoder.write_header().map_err(failed)?;
    writer.write_image_data(pixels).map_err(failed)?;
    writer.finish().map_err(failed)?;
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn averaging_takes_squares() {
        // Two pixels of 2 × 2 sub-pixels: all 40, and half 0 half 100.
        let row = |b: u8| [[40; 6], [b; 6]].concat();
        let out = averaged(&[row(0), row(100)].concat(), 2, 2);
        assert_eq!(out, [40, 40, 40, 50, 50, 50]);
    }

    #[test]
    fn opacity_is_recovered() {
        // Half covered by (200, 100, 0).
        let out = uncovered(&[100, 50, 0], &[228, 178, 128]);
        assert_eq!(out[3], 127);
        assert!(out[0].abs_diff(200) <= 1 && out[1].abs_diff(100) <= 1 && out[2] == 0);
        assert_eq!(uncovered(&[0, 0, 0], &[255, 255, 255]), [0, 0, 0, 0]);
    }
}
