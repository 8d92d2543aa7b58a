//! Moving labels apart along a line: least total movement (squares) that leaves a pitch between neighbours.

/// Returns places, in the order of `wanted`, that lie at least `pitch` apart and move the labels as little as possible.
///
/// `wanted` must be sorted. Pools neighbours that collide and sets each pool around its mean wish (isotonic regression).
pub fn spread(wanted: &[f64], pitch: f64) -> Vec<f64> {
    struct Pool {
        sum: f64,
        count: usize,
    }
    let mean = |pool: &Pool| pool.sum / pool.count as f64;
    let mut pools: Vec<Pool> = Vec::new();
    for (index, place) in wanted.iter().enumerate() {
        let mut pool = Pool { sum: place - index as f64 * pitch, count: 1 };
        while let Some(last) = pools.pop_if(|last| mean(last) > mean(&pool)) {
            pool = Pool { sum: last.sum + pool.sum, count: last.count + pool.count };
        }
        pools.push(pool);
    }
    let free = pools.iter().flat_map(|pool| std::iter::repeat_n(mean(pool), pool.count));
    free.enumerate().map(|(index, place)| place + index as f64 * pitch).collect()
}

#[cfg(test)]
mod tests {
    use super::spread;

    #[test]
    fn labels_far_apart_stay_and_close_ones_part_evenly() {
        assert_eq!(spread(&[0.0, 10.0], 4.0), vec![0.0, 10.0]);
        assert_eq!(spread(&[0.0, 2.0], 4.0), vec![-1.0, 3.0]);
        let places = spread(&[0.0, 1.0, 1.5, 1.6, 20.0, 21.0], 4.0);
        assert!(places.windows(2).all(|pair| pair[1] - pair[0] >= 4.0 - 1e-12), "{places:?}");
    }
}
