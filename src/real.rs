//! The number trait of the physics, and the dual number that yields exact derivatives.
//!
//! Physics and parts are written once, generic over [`Real`]. Evaluated on `f64` they give the
//! right-hand side; evaluated on [`Dual`] they also give its derivatives, so the Jacobian needs no
//! step-size guess and its columns sum to zero over every conserved amount exactly as the
//! right-hand side does. Geometry and parameters stay plain `f64`.
//!
//! ```
//! use drybench::real::{Dual, Real};
//!
//! // x² at 3, with its slope
//! let x = Dual::<1>::seeded(3.0, 0);
//! let y = x * x;
//! assert_eq!((y.val(), y.d[0]), (9.0, 6.0));
//! ```

use std::ops::{Add, AddAssign, Div, DivAssign, Mul, MulAssign, Neg, Sub, SubAssign};

/// A real number that may carry derivatives along.
///
/// Branch on [`Real::val`] only, and keep the two sides of a branch continuous: a jump belongs in
/// the modes of a model, not in its right-hand side.
pub trait Real:
    Copy
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + AddAssign
    + SubAssign
    + Add<f64, Output = Self>
    + Sub<f64, Output = Self>
    + Mul<f64, Output = Self>
    + Div<f64, Output = Self>
    + AddAssign<f64>
    + SubAssign<f64>
    + MulAssign<f64>
    + DivAssign<f64>
{
    /// A constant: no derivative.
    fn c(value: f64) -> Self;

    /// The plain value.
    fn val(self) -> f64;

    /// The chain rule: `f` is the value of a function at `self`, `df` its derivative there.
    fn chain(self, f: f64, df: f64) -> Self;

    /// e to the power of `self`.
    #[inline(always)]
    fn exp(self) -> Self {
        let e = self.val().exp();
        self.chain(e, e)
    }

    /// Natural logarithm.
    #[inline(always)]
    fn ln(self) -> Self {
        let v = self.val();
        self.chain(v.ln(), 1.0 / v)
    }

    /// Square root. The derivative is infinite at zero: keep the argument positive.
    #[inline(always)]
    fn sqrt(self) -> Self {
        let r = self.val().sqrt();
        self.chain(r, 0.5 / r)
    }

    /// Cube root of a positive number: as a power, which is twice as fast as the library's `cbrt`.
    #[inline(always)]
    fn cbrt(self) -> Self {
        self.powf(1.0 / 3.0)
    }

    /// A constant power of a positive number.
    #[inline(always)]
    fn powf(self, exponent: f64) -> Self {
        let v = self.val();
        let f = v.powf(exponent);
        self.chain(f, exponent * f / v)
    }

    /// The square.
    #[inline(always)]
    fn sq(self) -> Self {
        self * self
    }

    /// The third power.
    #[inline(always)]
    fn cube(self) -> Self {
        let v = self.val();
        self.chain(v * v * v, 3.0 * v * v)
    }

    /// `c / self` for a constant `c`.
    #[inline(always)]
    fn recip_of(self, c: f64) -> Self {
        let f = c / self.val();
        self.chain(f, -f / self.val())
    }

    /// `c - self` for a constant `c`.
    #[inline(always)]
    fn from_sub(c: f64, x: Self) -> Self {
        -x + c
    }

    /// A smooth `max(self, 0)`: `(x + sqrt(x^2 + width^2)) / 2`.
    ///
    /// Exceeds the sharp corner by `width / 2` at zero and by about `width^2 / (4 |x|)` far from it.
    #[inline(always)]
    fn soft_positive(self, width: f64) -> Self {
        (self + (self * self + width * width).sqrt()) * 0.5
    }

    /// `max(self, 0)` with a parabola in place of the corner: exact outside `-width..width`, so that
    /// nothing leaks far below it; its slope is continuous.
    #[inline(always)]
    fn rounded_positive(self, width: f64) -> Self {
        if self.val() <= -width {
            Self::c(0.0)
        } else if self.val() >= width {
            self
        } else {
            (self + width).sq() / (4.0 * width)
        }
    }

    /// The absolute value, taken by the sign of the plain value.
    #[inline(always)]
    fn abs(self) -> Self {
        if self.val() < 0.0 { -self } else { self }
    }
}

impl Real for f64 {
    #[inline(always)]
    fn c(value: f64) -> Self {
        value
    }
    #[inline(always)]
    fn val(self) -> f64 {
        self
    }
    #[inline(always)]
    fn chain(self, f: f64, _df: f64) -> Self {
        f
    }
}

/// A number with `N` directional derivatives (forward-mode differentiation).
#[derive(Clone, Copy, Debug)]
pub struct Dual<const N: usize> {
    /// The value.
    pub v: f64,
    /// The derivatives, one for each seeded direction.
    pub d: [f64; N],
}

impl<const N: usize> Dual<N> {
    /// The variable with value `v` whose derivative in direction `i` is one.
    #[inline]
    pub fn seeded(v: f64, i: usize) -> Self {
        let mut d = [0.0; N];
        d[i] = 1.0;
        Dual { v, d }
    }

    #[inline(always)]
    fn map(self, v: f64, f: impl Fn(f64) -> f64) -> Self {
        let mut d = self.d;
        for x in &mut d {
            *x = f(*x);
        }
        Dual { v, d }
    }

    #[inline(always)]
    fn zip(self, o: Self, v: f64, f: impl Fn(f64, f64) -> f64) -> Self {
        let mut d = self.d;
        for (x, y) in d.iter_mut().zip(o.d) {
            *x = f(*x, y);
        }
        Dual { v, d }
    }
}

impl<const N: usize> Real for Dual<N> {
    #[inline(always)]
    fn c(value: f64) -> Self {
        Dual { v: value, d: [0.0; N] }
    }
    #[inline(always)]
    fn val(self) -> f64 {
        self.v
    }
    #[inline(always)]
    fn chain(self, f: f64, df: f64) -> Self {
        self.map(f, |x| x * df)
    }
}

impl<const N: usize> Add for Dual<N> {
    type Output = Self;
    #[inline(always)]
    fn add(self, o: Self) -> Self {
        self.zip(o, self.v + o.v, |x, y| x + y)
    }
}

impl<const N: usize> Sub for Dual<N> {
    type Output = Self;
    #[inline(always)]
    fn sub(self, o: Self) -> Self {
        self.zip(o, self.v - o.v, |x, y| x - y)
    }
}

impl<const N: usize> Mul for Dual<N> {
    type Output = Self;
    // The product rule has a sum in it.
    #[allow(clippy::suspicious_arithmetic_impl)]
    #[inline(always)]
    fn mul(self, o: Self) -> Self {
        self.zip(o, self.v * o.v, |x, y| x * o.v + y * self.v)
    }
}

impl<const N: usize> Div for Dual<N> {
    type Output = Self;
    #[inline(always)]
    fn div(self, o: Self) -> Self {
        let v = self.v / o.v;
        let inverse = 1.0 / o.v;
        self.zip(o, v, |x, y| (x - y * v) * inverse)
    }
}

impl<const N: usize> Neg for Dual<N> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        self.map(-self.v, |x| -x)
    }
}

impl<const N: usize> Add<f64> for Dual<N> {
    type Output = Self;
    #[inline(always)]
    fn add(self, o: f64) -> Self {
        Dual { v: self.v + o, d: self.d }
    }
}

impl<const N: usize> Sub<f64> for Dual<N> {
    type Output = Self;
    #[inline(always)]
    fn sub(self, o: f64) -> Self {
        Dual { v: self.v - o, d: self.d }
    }
}

impl<const N: usize> Mul<f64> for Dual<N> {
    type Output = Self;
    #[inline(always)]
    fn mul(self, o: f64) -> Self {
        self.map(self.v * o, |x| x * o)
    }
}

impl<const N: usize> Div<f64> for Dual<N> {
    type Output = Self;
    #[inline(always)]
    fn div(self, o: f64) -> Self {
        self.map(self.v / o, |x| x / o)
    }
}

macro_rules! assign_ops {
    ($($rhs:ty),*) => {$(
        impl<const N: usize> AddAssign<$rhs> for Dual<N> {
            #[inline(always)]
            fn add_assign(&mut self, o: $rhs) {
                *self = *self + o;
            }
        }
        impl<const N: usize> SubAssign<$rhs> for Dual<N> {
            #[inline(always)]
            fn sub_assign(&mut self, o: $rhs) {
                *self = *self - o;
            }
        }
    )*};
}
assign_ops!(Dual<N>, f64);

impl<const N: usize> MulAssign<f64> for Dual<N> {
    #[inline(always)]
    fn mul_assign(&mut self, o: f64) {
        *self = *self * o;
    }
}

impl<const N: usize> DivAssign<f64> for Dual<N> {
    #[inline(always)]
    fn div_assign(&mut self, o: f64) {
        *self = *self / o;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A function that uses every operation of the trait.
    fn tangle<R: Real>(x: R, y: R) -> R {
        let a = (x * y + 2.0).ln() / (y - 0.3).sqrt();
        let b = (-x / 3.0).exp() - x.powf(1.7) * y.cbrt();
        let c = (x - y).soft_positive(0.1) + y.recip_of(2.0) + R::from_sub(1.0, x).abs().sq();
        a * b + c * 0.5 - R::c(4.0) * x
    }

    #[test]
    fn dual_derivatives_match_central_differences() {
        for (x, y) in [(0.7, 1.9), (2.3, 0.8), (1.4, 5.0)] {
            let f = tangle(Dual::<2>::seeded(x, 0), Dual::<2>::seeded(y, 1));
            assert_eq!(f.v, tangle(x, y), "the value must not depend on the number type");
            let h = 1e-5;
            let fx = (tangle(x + h, y) - tangle(x - h, y)) / (2.0 * h);
            let fy = (tangle(x, y + h) - tangle(x, y - h)) / (2.0 * h);
            assert!((f.d[0] - fx).abs() < 1e-8 * (1.0 + fx.abs()), "{} {fx}", f.d[0]);
            assert!((f.d[1] - fy).abs() < 1e-8 * (1.0 + fy.abs()), "{} {fy}", f.d[1]);
        }
    }

    #[test]
    fn soft_positive_tends_to_the_corner() {
        assert!((5.0_f64.soft_positive(0.01) - 5.0).abs() < 1e-5);
        assert!((-5.0_f64).soft_positive(0.01) < 1e-5);
        assert_eq!(0.0_f64.soft_positive(0.5), 0.25);
    }

    #[test]
    fn rounded_positive_is_exact_off_its_corner_and_smooth_on_it() {
        assert_eq!((-0.2_f64).rounded_positive(0.1), 0.0);
        assert_eq!(0.2_f64.rounded_positive(0.1), 0.2);
        for (edge, slope) in [(-0.1, 0.0), (0.1, 1.0)] {
            for side in [-1e-9, 1e-9] {
                let f = Dual::<1>::seeded(edge + side, 0).rounded_positive(0.1);
                assert!((f.v - edge.max(0.0)).abs() < 2e-9 && (f.d[0] - slope).abs() < 1e-7);
            }
        }
    }
}
