//! Puts labels that want the same place one below the other, moving each as little as possible.

/// A label that wants to stand at a height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct LabelSpan {
    /// Where its centre wants to be.
    pub(super) centre: f64,
    /// Its height, gap to the next one included.
    pub(super) height: f64,
}

/// Centres of the labels between `top` and `bottom`; beyond it if there is no room for all.
///
/// The order of the wishes from top to bottom is kept, so straight leader lines never cross; wishes
/// closer to each other than `tie` stand in the order of the list, as a reader expects.
/// The sum of the squared moves is the least possible: an isotonic regression, solved by
/// pooling neighbours that press on each other; the bounds are then met by clamping, which
/// keeps it the least.
pub(super) fn place(wishes: &[LabelSpan], top: f64, bottom: f64, tie: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wishes.len()).collect();
    order.sort_by(|&a, &b| wishes[a].centre.total_cmp(&wishes[b].centre));
    let mut from = 0;
    while from < order.len() {
        let end = wishes[order[from]].centre + tie;
        let tied = order[from..].iter().take_while(|i| wishes[**i].centre < end).count().max(1);
        order[from..from + tied].sort_unstable();
        from += tied;
    }

    // Subtracting the room taken by those above turns "no overlap" into "not descending".
    let mut above = 0.0;
    let mut offsets = Vec::with_capacity(order.len());
    for &i in &order {
        offsets.push(above + wishes[i].height / 2.0);
        above += wishes[i].height;
    }
    let free: Vec<f64> =
        order.iter().zip(&offsets).map(|(&i, offset)| wishes[i].centre - offset).collect();
    let mut out = vec![0.0; wishes.len()];
    for ((&i, offset), base) in order.iter().zip(&offsets).zip(not_descending(&free)) {
        out[i] = base.clamp(top, (bottom - above).max(top)) + offset;
    }
    out
}

/// The non-descending sequence closest to the given one.
fn not_descending(values: &[f64]) -> Vec<f64> {
    // (mean, number of members) per pool.
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for &value in values {
        let mut pool = (value, 1);
        while let Some(&(mean, members)) = pools.last() {
            if mean <= pool.0 {
                break;
            }
            pools.pop();
            let all = members + pool.1;
            pool = ((mean * members as f64 + pool.0 * pool.1 as f64) / all as f64, all);
        }
        pools.push(pool);
    }
    pools.into_iter().flat_map(|(mean, members)| std::iter::repeat_n(mean, members)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wish(centre: f64, height: f64) -> LabelSpan {
        LabelSpan { centre, height }
    }

    #[test]
    fn labels_with_room_stay_where_they_are() {
        let wishes = [wish(80.0, 20.0), wish(20.0, 20.0), wish(50.0, 20.0)];
        let places = place(&wishes, 0.0, 100.0, 0.0);
        assert_eq!(places, [80.0, 20.0, 50.0]);
    }

    #[test]
    fn lines_that_end_together_are_named_in_their_order() {
        let wishes = [wish(51.0, 20.0), wish(50.0, 20.0), wish(50.4, 20.0), wish(10.0, 20.0)];
        let order = |tie: f64| {
            let places = place(&wishes, 0.0, 100.0, tie);
            let mut order: Vec<usize> = (0..4).collect();
            order.sort_by(|a, b| places[*a].total_cmp(&places[*b]));
            order
        };
        assert_eq!(order(0.0), [3, 1, 2, 0]);
        assert_eq!(order(2.0), [3, 0, 1, 2]);
    }

    #[test]
    fn crowded_labels_keep_distance_order_and_bounds() {
        // A simple generator; the seed is the outer index.
        for seed in 1..200_u64 {
            let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15);
            let mut next = || {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                (state >> 33) as f64 / (1_u64 << 31) as f64
            };
            let wishes: Vec<_> =
                (0..8).map(|_| wish(next() * 300.0 - 50.0, 10.0 + 14.0 * next())).collect();
            let places = place(&wishes, 0.0, 200.0, 0.0);
            let mut spans: Vec<_> =
                wishes.iter().zip(&places).map(|(w, p)| (*p, w.height, w.centre)).collect();
            spans.sort_by(|a, b| a.0.total_cmp(&b.0));
            for pair in spans.windows(2) {
                let gap = (pair[1].0 - pair[1].1 / 2.0) - (pair[0].0 + pair[0].1 / 2.0);
                assert!(gap > -1e-9, "seed {seed}: {pair:?}");
                assert!(pair[0].2 <= pair[1].2, "seed {seed}: order");
            }
            assert!(spans[0].0 - spans[0].1 / 2.0 > -1e-9, "seed {seed}");
            let last = spans[spans.len() - 1];
            assert!(last.0 + last.1 / 2.0 < 200.0 + 1e-9, "seed {seed}");
        }
    }

    #[test]
    fn two_equal_wishes_share_the_move() {
        let places = place(&[wish(50.0, 20.0), wish(50.0, 20.0)], 0.0, 100.0, 0.0);
        assert_eq!(places, [40.0, 60.0]);
    }
}
