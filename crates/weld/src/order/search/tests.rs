use super::*;
use crate::order::walk::tests::sheet;
use proptest::prelude::*;

fn settings() -> SearchSettings {
    SearchSettings { most_orders: 4000, ..SearchSettings::default() }
}

fn found(model: &Condensed, starts: &[Vec<u32>], settings: &SearchSettings) -> Found {
    search(model, starts, settings, &Progress::silent(), &Cancel::new()).unwrap()
}

/// Every order by Heap's rule, scored from the start each time.
fn by_hand(model: &Condensed, count: usize) -> Score {
    let (mut order, mut counter, mut i) = ((0..count as u32).collect::<Vec<_>>(), vec![0; count], 1);
    let mut best = model.score(&order).unwrap();
    while i < count {
        if counter[i] < i {
            order.swap(if i % 2 == 0 { 0 } else { counter[i] }, i);
            let score = model.score(&order).unwrap();
            if score.beats(&best) {
                best = score;
            }
            counter[i] += 1;
            i = 1;
        } else {
            counter[i] = 0;
            i += 1;
        }
    }
    best
}

#[test]
fn up_to_seven_events_the_search_is_exhaustive_and_local_search_finds_the_same() {
    for (events, seed) in [(4, 11), (6, 12), (7, 13)] {
        let model = sheet(30, events, 2, seed).condensed(true);
        let all = found(&model, &[], &settings());
        let count = (1..=events).product::<usize>();
        assert!(all.exhaustive && all.tried == count, "{events}: {}", all.tried);
        assert_eq!(all.best[0].score, by_hand(&model, events));
        let local = found(&model, &[], &SearchSettings { exhaustive_up_to: 0, ..settings() });
        assert!(!local.exhaustive);
        assert_eq!(local.best[0].score, all.best[0].score, "{events} events");
    }
}

#[test]
fn phases_are_kept_and_the_same_seed_gives_the_same_answer() {
    let mut model = sheet(40, 9, 2, 21).condensed(true);
    model.events.iter_mut().skip(5).for_each(|event| event.phase = 1);
    let few = SearchSettings { most_orders: 300, exhaustive_up_to: 0, ..settings() };
    let (one, other) = (found(&model, &[], &few), found(&model, &[], &few));
    assert_eq!(one, other);
    for ranked in &one.best {
        assert_eq!(model.score(&ranked.order).unwrap(), ranked.score);
    }
    assert!(one.best.windows(2).all(|pair| !pair[1].score.beats(&pair[0].score)));
}

#[test]
fn a_search_can_be_stopped() {
    let model = sheet(30, 9, 2, 4).condensed(true);
    let cancel = Cancel::new();
    cancel.cancel();
    let stopped = search(&model, &[], &settings(), &Progress::silent(), &cancel);
    assert!(matches!(stopped, Err(OrderError::Cancelled(_))));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn the_answer_is_never_worse_than_any_start(seed in 0u64..1000, shuffles in 1usize..4, most in 1usize..60) {
        let model = sheet(30, 10, 2, seed).condensed(true);
        let mut random = fastrand::Rng::with_seed(seed);
        let starts: Vec<Vec<u32>> = (0..shuffles).map(|_| {
            let mut order: Vec<u32> = (0..10).collect();
            random.shuffle(&mut order);
            order
        }).collect();
        let few = SearchSettings { most_orders: most, beam: 0, restarts: 0, keep: 1, ..settings() };
        let best = found(&model, &starts, &few).best.remove(0).score;
        for start in &starts {
            prop_assert!(!model.score(start).unwrap().beats(&best));
        }
    }
}
