//! A small dense LU decomposition without allocation.
//!
//! Row-major, right-looking, partial pivoting. Made for 10 to 100 unknowns, where calling into a
//! general library costs as much as the arithmetic.

/// Work space and factors of one square matrix.
#[derive(Clone, Debug, Default)]
pub(super) struct Lu {
    n: usize,
    /// The matrix, then its factors: the multipliers of L below the diagonal, U on and above it.
    a: Vec<f64>,
    inverse_diagonal: Vec<f64>,
    pivot: Vec<usize>,
    /// Weight of each row in the choice of a pivot.
    weight: Vec<f64>,
    /// The weights in the order of the rows after swaps.
    row_weight: Vec<f64>,
}

impl Lu {
    /// Makes room for `n` unknowns and sets the row weights by which pivots are compared.
    ///
    /// The rows of a balance model are in joules and in kilograms, so their sizes say nothing; one
    /// over the tolerance of a row's state makes them comparable.
    pub(super) fn resize(&mut self, weights: impl Iterator<Item = f64>) {
        self.weight.clear();
        self.weight.extend(weights);
        let n = self.weight.len();
        if n != self.n {
            self.n = n;
            self.a.resize(n * n, 0.0);
            self.inverse_diagonal.resize(n, 0.0);
            self.pivot.resize(n, 0);
            self.row_weight.resize(n, 0.0);
        }
    }

    /// Factorises `diagonal * I - jac`; false if that is singular or not finite.
    pub(super) fn factorise(&mut self, diagonal: f64, jac: &[f64]) -> bool {
        let n = self.n;
        for (w, j) in self.a.iter_mut().zip(jac) {
            *w = -j;
        }
        self.a.iter_mut().step_by(n + 1).for_each(|w| *w += diagonal);
        self.row_weight.copy_from_slice(&self.weight);
        for k in 0..n {
            let p = self.choose_pivot(k);
            self.pivot[k] = p;
            if p != k {
                let (upper, lower) = self.a.split_at_mut(p * n);
                upper[k * n..(k + 1) * n].swap_with_slice(&mut lower[..n]);
                self.row_weight.swap(k, p);
            }
            let inverse = 1.0 / self.a[k * n + k];
            if !(inverse.is_finite() && inverse != 0.0) {
                return false;
            }
            self.inverse_diagonal[k] = inverse;
            eliminate(&mut self.a, n, k, inverse);
        }
        true
    }

    fn choose_pivot(&self, k: usize) -> usize {
        let mut best = k;
        let mut largest = -1.0;
        let column = self.a[k * self.n + k..].iter().step_by(self.n);
        for (i, (value, weight)) in column.zip(&self.row_weight[k..]).enumerate() {
            let size = value.abs() * weight;
            if size > largest {
                largest = size;
                best = k + i;
            }
        }
        best
    }

    /// Replaces the right-hand side `b` by the solution.
    pub(super) fn solve(&self, b: &mut [f64]) {
        let n = self.n;
        for (k, &p) in self.pivot.iter().enumerate() {
            b.swap(k, p);
        }
        for (i, row) in self.a.chunks_exact(n).enumerate() {
            let (known, rest) = b.split_at_mut(i);
            rest[0] -= dot(&row[..i], known);
        }
        let rows = self.a.chunks_exact(n).zip(&self.inverse_diagonal);
        for (i, (row, inverse)) in rows.enumerate().rev() {
            let (rest, known) = b.split_at_mut(i + 1);
            rest[i] = (rest[i] - dot(&row[i + 1..], known)) * inverse;
        }
    }
}

/// Takes row `k` times a multiplier from every later row and leaves the multipliers in column `k`.
#[inline]
fn eliminate(a: &mut [f64], n: usize, k: usize, inverse: f64) {
    let (upper, lower) = a.split_at_mut((k + 1) * n);
    let pivot_row = &upper[k * n + k + 1..];
    for row in lower.chunks_exact_mut(n) {
        let (head, tail) = row[k..].split_at_mut(1);
        // Many stores never meet: a zero here is common and saves the whole row.
        if head[0] != 0.0 {
            head[0] *= inverse;
            let multiplier = head[0];
            for (x, p) in tail.iter_mut().zip(pivot_row) {
                *x -= multiplier * p;
            }
        }
    }
}

/// Sum of products, in four interleaved partial sums so that additions need not wait for each other.
#[inline]
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let (a4, b4) = (a.chunks_exact(4), b.chunks_exact(4));
    let tail: f64 = a4.remainder().iter().zip(b4.remainder()).map(|(x, y)| x * y).sum();
    let mut s = [0.0; 4];
    for (x, y) in a4.zip(b4) {
        for ((s, x), y) in s.iter_mut().zip(x).zip(y) {
            *s += x * y;
        }
    }
    (s[0] + s[2]) + (s[1] + s[3]) + tail
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A full, well-conditioned matrix from a linear congruence, of no structure.
    fn matrix(n: usize) -> Vec<f64> {
        let mut seed = 12345_u64;
        (0..n * n)
            .map(|_| {
                seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
                (seed >> 11) as f64 / (1_u64 << 53) as f64 - 0.5
            })
            .collect()
    }

    #[test]
    fn solves_systems_of_every_size() {
        for n in [1, 2, 3, 4, 5, 16, 24, 96] {
            let jac = matrix(n);
            let x: Vec<f64> = (0..n).map(|i| 1.0 + i as f64).collect();
            let mut b: Vec<f64> =
                (0..n).map(|i| 0.01 * x[i] - dot(&jac[i * n..(i + 1) * n], &x)).collect();
            let mut lu = Lu::default();
            lu.resize((0..n).map(|_| 1.0));
            assert!(lu.factorise(0.01, &jac));
            lu.solve(&mut b);
            for (found, expected) in b.iter().zip(&x) {
                assert!((found - expected).abs() < 1e-10 * n as f64, "{n}: {found} {expected}");
            }
        }
    }

    #[test]
    fn swaps_rows_where_the_diagonal_is_zero() {
        let mut lu = Lu::default();
        lu.resize([1.0, 1.0].into_iter());
        // diagonal 1 - jac = [[0, 2], [3, 0]]
        assert!(lu.factorise(1.0, &[1.0, -2.0, -3.0, 1.0]));
        let mut b = [4.0, 9.0];
        lu.solve(&mut b);
        assert_eq!(b, [3.0, 2.0]);
    }

    #[test]
    fn refuses_singular_and_not_finite() {
        let mut lu = Lu::default();
        lu.resize([1.0, 1.0].into_iter());
        assert!(!lu.factorise(0.0, &[1.0, 2.0, 2.0, 4.0]));
        assert!(!lu.factorise(0.0, &[f64::NAN, 2.0, 2.0, 4.0]));
        assert!(!lu.factorise(0.0, &[f64::INFINITY, 2.0, 2.0, 4.0]));
    }
}
