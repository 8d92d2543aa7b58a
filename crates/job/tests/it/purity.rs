//! The same job and shop give the same plan, bit for bit.

use crate::{ENQUIRY, WREN15, read, shop, wren15};
use job::Planner;

fn bytes(plan: &job::Plan) -> Vec<u8> {
    serde_json::to_vec(plan).unwrap()
}

#[test]
fn the_same_plan_comes_twice_and_on_four_threads() {
    let first = bytes(&job::plan(&wren15(), &shop()));
    let threads: Vec<_> = (0..4).map(|_| std::thread::spawn(|| bytes(&job::plan(&wren15(), &shop())))).collect();
    for thread in threads {
        assert!(thread.join().unwrap() == first);
    }
}

#[test]
fn the_cache_changes_nothing_and_reuses_what_stayed() {
    let mut planner = Planner::default();
    let job = wren15();
    let fresh = bytes(&job::plan(&job, &shop()));
    assert!(bytes(&planner.plan(&job, &shop())) == fresh);
    let kept = planner.kept();
    assert!(bytes(&planner.plan(&job, &shop())) == fresh);
    assert_eq!(planner.kept(), kept);
    let mut edited = job.clone();
    edited.fitter.name = "somebody else".into(); // words change, shapes do not
    let again = planner.plan(&edited, &shop());
    assert_eq!(planner.kept()[0], kept[0]);
    assert!(bytes(&again) == bytes(&job::plan(&edited, &shop())));
    let mut small = Planner::keeping(1);
    assert!(bytes(&small.plan(&job, &shop())) == fresh);
    assert_eq!(small.kept(), [1, 1]);
}

#[test]
fn the_telephone_answer_is_the_same_with_and_without_a_cache() {
    let job = read(ENQUIRY);
    let mut planner = Planner::default();
    let first = job::telephone_with(&mut planner, &job, &shop());
    assert_eq!(first, job::telephone(&job, &shop()));
    assert_eq!(first, job::telephone_with(&mut planner, &job, &shop()));
}

#[test]
fn a_plan_is_the_same_after_a_trip_through_json() {
    let plan = crate::planned(WREN15);
    let back: job::Plan = serde_json::from_slice(&bytes(&plan)).unwrap();
    assert!(bytes(&back) == bytes(&plan));
}
