//! The coefficients of Rodas5P.
//!
//! Rosenbrock method of order 5 with 8 stages, stiffly accurate, with an embedded method of order 4
//! and dense output of order 4, in the form for an autonomous system:
//!
//! ```text
//! stage i:  (I / (h gamma) - J) k_i = f(y + sum_j a_ij k_j) + sum_j (c_ij / h) k_j
//! step:     y1 = y + sum_j a_8j k_j + k_8,   error estimate k_8
//! dense:    y(th) = (1 - th) y + th (y1 + (1 - th) (d1 + th (d2 + th d3))),   d_m = sum_j h_mj k_j
//! ```
//!
//! Source: G. Steinebach, "Construction of Rosenbrock-Wanner method Rodas5P and numerical benchmarks
//! within the Julia Differential Equations package", BIT Numerical Mathematics 63 (2023) 27; the
//! values are those of public implementations, the citation is from memory. The orders of the step
//! and of the dense output are measured in `tests/solver_order.rs`.

/// Number of stages.
pub(super) const STAGES: usize = 8;

/// The diagonal coefficient.
pub(super) const GAMMA: f64 = 0.21193756319429014;

/// a_ij for the stages 2 to 6. The rows 7 and 8 repeat row 6 and add one stage each with weight 1.
pub(super) const A: [[f64; 5]; 5] = [
    [3.0, 0.0, 0.0, 0.0, 0.0],
    [2.849394379747939, 0.45842242204463923, 0.0, 0.0, 0.0],
    [-6.954028509809101, 2.489845061869568, -10.358996098473584, 0.0, 0.0],
    [2.8029986275628964, 0.5072464736228206, -0.3988312541770524, -0.04721187230404641, 0.0],
    [
        -7.502846399306121,
        2.561846144803919,
        -11.627539656261098,
        -0.18268767659942256,
        0.030198172008377946,
    ],
];

/// c_ij for the stages 2 to 8.
pub(super) const C: [[f64; 7]; 7] = [
    [-14.155112264123755, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
    [-17.97296035885952, -2.859693295451294, 0.0, 0.0, 0.0, 0.0, 0.0],
    [147.12150275711716, -1.41221402718213, 71.68940251302358, 0.0, 0.0, 0.0, 0.0],
    [165.43517024871676, -0.4592823456491126, 42.90938336958603, -5.961986721573306, 0.0, 0.0, 0.0],
    [
        24.854864614690072,
        -3.0009227002832186,
        47.4931110020768,
        5.5814197821558125,
        -0.6610691825249471,
        0.0,
        0.0,
    ],
    [
        30.91273214028599,
        -3.1208243349937974,
        77.79954646070892,
        34.28646028294783,
        -19.097331116725623,
        -28.087943162872662,
        0.0,
    ],
    [
        37.80277123390563,
        -3.2571969029072276,
        112.26918849496327,
        66.9347231244047,
        -40.06618937091002,
        -54.66780262877968,
        -9.48861652309627,
    ],
];

/// h_mj of the dense output.
pub(super) const H: [[f64; STAGES]; 3] = [
    [
        25.948786856663858,
        -2.5579724845846235,
        10.433815404888879,
        -2.3679251022685204,
        0.524948541321073,
        1.1241088310450404,
        0.4272876194431874,
        -0.17202221070155493,
    ],
    [
        -9.91568850695171,
        -0.9689944594115154,
        3.0438037242978453,
        -24.495224566215796,
        20.176138334709044,
        15.98066361424651,
        -6.789040303419874,
        -6.710236069923372,
    ],
    [
        11.419903575922262,
        2.8879645146136994,
        72.92137995996029,
        80.12511834622643,
        -52.072871366152654,
        -59.78993625266729,
        -0.15582684282751913,
        4.883087185713722,
    ],
];

/// Weights of the right-hand sides of the sinks in `(y1 - y) / h`, `d1 / h`, `d2 / h` and `d3 / h`.
///
/// Nothing reads a sink, so its stage values are a fixed linear map of `g_j = f_j + J_s k_j` (its own
/// right-hand side plus its row of the Jacobian times the core stages):
///
/// ```text
/// k_i = h gamma (g_i + sum_j (c_ij / h) k_j)   =>   sum_i m_i k_i = h sum_j b_j g_j,
/// b_j = gamma (m_j + sum_(i > j) c_ij b_i)
/// ```
///
/// and only the four combinations that a step needs are ever formed.
pub(super) const SINK: [[f64; STAGES]; 4] = {
    let last = A[4];
    [
        sink_weights([last[0], last[1], last[2], last[3], last[4], 1.0, 1.0, 1.0]),
        sink_weights(H[0]),
        sink_weights(H[1]),
        sink_weights(H[2]),
    ]
};

const fn sink_weights(m: [f64; STAGES]) -> [f64; STAGES] {
    let mut b = [0.0; STAGES];
    let mut j = STAGES;
    while j > 0 {
        j -= 1;
        let mut sum = m[j];
        let mut i = j + 1;
        while i < STAGES {
            sum += C[i - 1][j] * b[i];
            i += 1;
        }
        b[j] = GAMMA * sum;
    }
    b
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A constant right-hand side must move a sink by exactly `h f`, on a straight line. The
    /// published coefficients, given to 16 digits, do so to about 1e-13.
    #[test]
    fn sinks_are_consistent() {
        for (m, row) in SINK.iter().enumerate() {
            let sum: f64 = row.iter().sum();
            let expected = if m == 0 { 1.0 } else { 0.0 };
            assert!((sum - expected).abs() < 2e-13, "combination {m}: {sum}");
        }
    }
}
