//! A small dense LU decomposition without allocation.
//!
//! Row-major, right-looking in panels of four columns, partial pivoting. Made for 10 to 100 unknowns, where calling into a
//! general library costs as much as the arithmetic.

/// Columns eliminated together, so that the rows below are read and written once for all of them.
const PANEL: usize = 4;

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
    /// The columns of each row of the factors before and behind which there are only zeros.
    envelope: Vec<(usize, usize)>,
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
            self.envelope.resize(n, (0, 0));
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
        for start in (0..n).step_by(PANEL) {
            let end = n.min(start + PANEL);
            for k in start..end {
                if !self.pivot_column(k, end) {
                    return false;
                }
            }
            update_behind_panel(&mut self.a, n, start, end);
        }
        let rows = self.a.chunks_exact(n.max(1)).enumerate();
        for ((i, row), envelope) in rows.zip(&mut self.envelope) {
            let first = row[..i].iter().position(|x| *x != 0.0).unwrap_or(i);
            let last = row[i + 1..].iter().rposition(|x| *x != 0.0).map_or(i + 1, |j| i + 2 + j);
            *envelope = (first, last);
        }
        true
    }

    /// Chooses the pivot of column `k` and eliminates with it in the columns before `end` only.
    fn pivot_column(&mut self, k: usize, end: usize) -> bool {
        let n = self.n;
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
        let (upper, lower) = self.a.split_at_mut((k + 1) * n);
        let pivot_row = &upper[k * n + k + 1..k * n + end];
        for row in lower.chunks_exact_mut(n) {
            // Many stores never meet: zeros are common.
            if row[k] != 0.0 {
                row[k] *= inverse;
                let (head, tail) = row.split_at_mut(k + 1);
                subtract_scaled(tail, head[k], pivot_row);
            }
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
        let rows = || self.a.chunks_exact(n.max(1)).zip(&self.envelope).enumerate();
        for (i, (row, &(first, _))) in rows() {
            let (known, rest) = b.split_at_mut(i);
            rest[0] -= dot(&row[first..i], &known[first..]);
        }
        for ((i, (row, &(_, last))), inverse) in rows().zip(&self.inverse_diagonal).rev() {
            let (rest, known) = b.split_at_mut(i + 1);
            rest[i] = (rest[i] - dot(&row[i + 1..last], &known[..last - i - 1])) * inverse;
        }
    }
}

/// Catches up behind the columns `start..end` with the eliminations done within them: first the rows
/// of the panel, then, in one pass over each, all rows below it.
fn update_behind_panel(a: &mut [f64], n: usize, start: usize, end: usize) {
    let (panel, below) = a.split_at_mut(end * n);
    let panel = &mut panel[start * n..];
    for i in 1..end - start {
        let (done, rest) = panel.split_at_mut(i * n);
        let (multipliers, tail) = rest[..n].split_at_mut(end);
        for (m, row) in multipliers[start..].iter().zip(done.chunks_exact(n)) {
            subtract_scaled(tail, *m, &row[end..]);
        }
    }
    for row in below.chunks_exact_mut(n) {
        let (multipliers, tail) = row.split_at_mut(end);
        let multipliers = &multipliers[start..];
        match *multipliers {
            [m0, m1, m2, m3] if multipliers.iter().all(|m| *m != 0.0) => {
                let (r0, r1) = (&panel[end..n], &panel[n + end..2 * n]);
                let (r2, r3) = (&panel[2 * n + end..3 * n], &panel[3 * n + end..4 * n]);
                let rows = r0.iter().zip(r1).zip(r2.iter().zip(r3));
                for (x, ((p0, p1), (p2, p3))) in tail.iter_mut().zip(rows) {
                    *x -= (m0 * p0 + m1 * p1) + (m2 * p2 + m3 * p3);
                }
            }
            _ => {
                for (m, row) in multipliers.iter().zip(panel.chunks_exact(n)) {
                    if *m != 0.0 {
                        subtract_scaled(tail, *m, &row[end..]);
                    }
                }
            }
        }
    }
}

/// `target -= factor * v`.
#[inline]
fn subtract_scaled(target: &mut [f64], factor: f64, v: &[f64]) {
    for (t, x) in target.iter_mut().zip(v) {
        *t -= factor * x;
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

    fn solve_every_size(sparse: bool, diagonal: f64) {
        for n in [1, 2, 3, 4, 5, 16, 24, 96] {
            let mut jac = matrix(n);
            if sparse {
                // Three out of four entries nothing, so that every shape of row comes up.
                jac.iter_mut().filter(|x| x.abs() < 0.375).for_each(|x| *x = 0.0);
            }
            let x: Vec<f64> = (0..n).map(|i| 1.0 + i as f64).collect();
            let mut b: Vec<f64> =
                (0..n).map(|i| diagonal * x[i] - dot(&jac[i * n..(i + 1) * n], &x)).collect();
            let mut lu = Lu::default();
            lu.resize((0..n).map(|_| 1.0));
            assert!(lu.factorise(diagonal, &jac));
            lu.solve(&mut b);
            for (found, expected) in b.iter().zip(&x) {
                assert!((found - expected).abs() < 1e-10 * n as f64, "{n}: {found} {expected}");
            }
        }
    }

    #[test]
    fn solves_full_systems_of_every_size() {
        solve_every_size(false, 0.01);
    }

    #[test]
    fn solves_sparse_systems_of_every_size() {
        solve_every_size(true, 0.7);
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
