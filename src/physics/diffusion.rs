//! Diffusion inside sheets, filaments and granules, divided into shells.

/// Shape of a body; the number of dimensions in which it is bounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// A sheet with both faces open; its size is half its thickness.
    Sheet = 1,
    /// A long cylinder; its size is its radius.
    Cylinder = 2,
    /// A sphere; its size is its radius.
    Sphere = 3,
}

/// Factors of the fluxes between shells of equal volume, per volume of the body.
///
/// ```text
/// dc_j V/V_j = D f_(j-1) (p_(j-1) - p_j) - D f_j (p_j - p_(j+1)),   out = D (s_1 (p_M - p_s) + s_2 (p_(M-1) - p_s))
/// ```
/// with the potential p (the content for a constant diffusivity). The gradient is taken over the
/// square of the radius, from shell means, so a parabolic profile (the late one) is exact for any
/// number of shells. Second order. Source: \[Crank1975\] (the equation); the scheme is ours.
/// Checked in: `tests/published/filament.rs`.
#[derive(Clone, Debug, PartialEq)]
pub struct Shells {
    /// Between each shell and the next outer one \[1/m2\].
    pub between: Vec<f64>,
    /// From the outermost shell, and from the one inside it, to the surface \[1/m2\].
    pub surface: [f64; 2],
}

impl Shells {
    /// `count` shells, at least two, in a body of `size_m` (half thickness or radius).
    pub fn new(shape: Shape, size_m: f64, count: usize) -> Self {
        let n = shape as usize as f64;
        let count = count.max(2);
        let face = |j: usize| (j as f64 / count as f64).powf(1.0 / n);
        // Mean of x^p over shell j.
        let mean = |j: usize, p: f64| {
            let (a, b) = (face(j).powf(n + p), face(j + 1).powf(n + p));
            n / (n + p) * (b - a) * count as f64
        };
        let scale = 2.0 * n / (size_m * size_m);
        let between = (1..count)
            .map(|j| scale * face(j).powf(n) / (mean(j, 2.0) - mean(j - 1, 2.0)))
            .collect();
        // A parabola in x^2 through the surface and the means of the two outermost shells.
        let first = |j: usize| mean(j, 2.0) - 1.0;
        let second = |j: usize| mean(j, 4.0) - 2.0 * mean(j, 2.0) + 1.0;
        let (o, i) = (count - 1, count - 2);
        let det = first(o) * second(i) - first(i) * second(o);
        let surface = [-scale * second(i) / det, scale * second(o) / det];
        Shells { between, surface }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_parabolic_profile_is_exact_for_any_number_of_shells() {
        // c = 1 - x^2: the mean falls at the rate 2 n D/R^2, and every shell alike.
        for shape in [Shape::Sheet, Shape::Cylinder, Shape::Sphere] {
            for count in [2, 3, 7] {
                let s = Shells::new(shape, 1.0, count);
                let n = shape as usize as f64;
                let x = |j: usize| (j as f64 / count as f64).powf(1.0 / n);
                let c: Vec<f64> = (0..count)
                    .map(|j| {
                        1.0 - n / (n + 2.0)
                            * (x(j + 1).powf(n + 2.0) - x(j).powf(n + 2.0))
                            * count as f64
                    })
                    .collect();
                let out = s.surface[0] * c[count - 1] + s.surface[1] * c[count - 2];
                assert!((out - 2.0 * n).abs() < 1e-10, "{shape:?} {count}: {out}");
                let inner = s.between[0] * (c[0] - c[1]) * count as f64;
                assert!((inner - 2.0 * n).abs() < 1e-10, "{shape:?} {count}: {inner}");
            }
        }
    }
}
