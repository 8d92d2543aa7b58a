//! Revisions, stale bases, lists and search.

use serde_json::json;
use store::{Edit, Heading, RevisionId, RevisionKind, StoreError, Subject};

use crate::common::{Shop, at, card, edit, heading, open, signed};

#[test]
fn every_commit_is_a_revision_that_reads_back_as_written() {
    let shop = Shop::new();
    let (job, made) = shop.store.create_job(edit("26-014", "70 mm"), signed(0)).unwrap();
    let second = shop.store.commit(job, made.revision, edit("26-014", "72 mm"), signed(1)).unwrap();
    let mut moved = edit("26-014", "72 mm");
    moved.heading.waiting_for = "customer's answer".into();
    let third = shop.store.commit(job, second.revision, moved.clone(), signed(2)).unwrap();

    let now = shop.store.current(job).unwrap();
    assert_eq!((now.body, now.heading), (moved.body, moved.heading));
    let first = shop.store.at_revision(job, made.revision).unwrap();
    assert_eq!((first.body, first.heading), (card("70 mm"), heading("26-014")));

    let history = shop.store.history(job).unwrap();
    let lines: Vec<_> = history.iter().map(|line| (line.sequence, line.kind, line.at, line.what.as_str())).collect();
    assert_eq!(
        lines,
        [
            (1, RevisionKind::Create, at(0), "made"),
            (2, RevisionKind::Edit, at(1), r#"sections[0].height: "70 mm" → "72 mm""#),
            (3, RevisionKind::Edit, at(2), "heading only"),
        ]
    );
    assert_eq!(history[2].id, third.revision);
    assert_eq!(history[2].who, "bench tablet");
}

#[test]
fn data_is_there_again_after_closing() {
    let Shop { store, dir } = Shop::new();
    let folder = store.folder().clone();
    let (job, _) = store.create_job(edit("26-014", "70 mm"), signed(0)).unwrap();
    drop(store);
    assert!(!folder.root().join("shop.db-wal").exists(), "closing tidies the log into the file");
    let again = open(&folder);
    assert_eq!(again.current(job).unwrap().body, card("70 mm"));
    assert_eq!(again.meta("made_by_app_version").unwrap().as_deref(), Some("0.1.0-test"));
    assert_eq!(again.meta("format_version").unwrap(), Some(store::FORMAT_VERSION.to_string()));
    drop(dir);
}

#[test]
fn the_same_content_again_makes_no_revision() {
    let shop = Shop::new();
    let (job, made) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let again = shop.store.commit(job, made.revision, edit("1", "70 mm"), signed(1)).unwrap();
    assert!(!again.changed);
    assert_eq!(again.revision, made.revision);
    assert_eq!(shop.store.history(job).unwrap().len(), 1);
}

#[test]
fn a_stale_base_is_refused_and_the_current_revision_named() {
    let shop = Shop::new();
    let (job, made) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let tablet = shop.store.commit(job, made.revision, edit("1", "72 mm"), signed(1)).unwrap();
    let refused = |result: Result<store::Committed, StoreError>| match result {
        Err(StoreError::Stale { based_on, current, who, .. }) => {
            assert_eq!((based_on, current, who.as_str()), (made.revision, tablet.revision, "bench tablet"));
        }
        other => panic!("{other:?}"),
    };
    refused(shop.store.commit(job, made.revision, edit("1", "74 mm"), signed(2)));
    refused(shop.store.undo(job, made.revision, signed(2)));
    refused(shop.store.redo(job, made.revision, signed(2)));
    refused(shop.store.go_back(job, made.revision, made.revision, signed(2)));
    assert_eq!(shop.store.current(job).unwrap().body, card("72 mm"));
    assert_eq!(shop.store.history(job).unwrap().len(), 2);
}

#[test]
fn of_many_writers_on_one_base_exactly_one_wins() {
    let shop = Shop::new();
    let (job, made) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let won: usize = std::thread::scope(|scope| {
        let writers: Vec<_> = (0..8)
            .map(|n| {
                let store = &shop.store;
                scope.spawn(move || {
                    let won = store.commit(job, made.revision, edit("1", &format!("{n} mm")), signed(n)).is_ok();
                    store.current(job).unwrap();
                    usize::from(won)
                })
            })
            .collect();
        writers.into_iter().map(|writer| writer.join().unwrap()).sum()
    });
    assert_eq!(won, 1);
    assert_eq!(shop.store.history(job).unwrap().len(), 2);
}

#[test]
fn two_processes_on_one_folder_see_each_others_writes() {
    let shop = Shop::new();
    let beside = open(&shop.folder());
    let (job, made) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    beside.commit(job, made.revision, edit("1", "72 mm"), signed(1)).unwrap();
    assert_eq!(shop.store.current(job).unwrap().body, card("72 mm"));
    let stale = shop.store.commit(job, made.revision, edit("1", "74 mm"), signed(2));
    assert!(matches!(stale, Err(StoreError::Stale { .. })), "{stale:?}");
}

#[test]
fn a_job_number_is_given_once() {
    let shop = Shop::new();
    let (first, _) = shop.store.create_job(edit("26-014", "70 mm"), signed(0)).unwrap();
    let twice = shop.store.create_job(edit("26-014", "71 mm"), signed(1));
    assert!(matches!(&twice, Err(StoreError::NumberTaken { number }) if number == "26-014"), "{twice:?}");
    let (other, made) = shop.store.create_job(edit("26-015", "71 mm"), signed(1)).unwrap();
    let renamed = shop.store.commit(other, made.revision, edit("26-014", "71 mm"), signed(2));
    assert!(matches!(renamed, Err(StoreError::NumberTaken { .. })), "{renamed:?}");
    assert_eq!(shop.store.current(other).unwrap().heading.number, "26-015");
    assert_eq!(shop.store.job_with_number("26-014").unwrap(), Some(first));
    assert_eq!(shop.store.job_with_number("").unwrap(), None);
    shop.store.create_job(edit("", "1 mm"), signed(3)).unwrap();
    shop.store.create_job(edit("", "1 mm"), signed(3)).unwrap();
}

#[test]
fn the_database_itself_refuses_to_change_the_past() {
    let shop = Shop::new();
    shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let plain = rusqlite::Connection::open(shop.folder().database()).unwrap();
    for sql in
        ["DELETE FROM revision", "UPDATE revision SET who = 'x'", "DELETE FROM body", "UPDATE body SET json = ''"]
    {
        let refused = plain.execute(sql, []).unwrap_err().to_string();
        assert!(refused.starts_with("revisions are never"), "{sql}: {refused}");
    }
}

#[test]
fn patterns_and_settings_have_revisions_of_their_own() {
    let shop = Shop::new();
    let title = Heading { title: "Wheel-arch edge".into(), vehicle: "Wren 15".into(), ..Heading::default() };
    let pattern = Edit { body: json!({"stations": 5}), heading: title.clone(), what: Some("surveyed".into()) };
    let (id, made) = shop.store.create_pattern(pattern, signed(0)).unwrap();
    let changed = Edit { body: json!({"stations": 6}), heading: title, what: None };
    shop.store.commit(id, made.revision, changed, signed(1)).unwrap();
    assert_eq!(shop.store.history(id).unwrap().len(), 2);
    assert_eq!(shop.store.patterns().unwrap().len(), 1);
    assert!(shop.store.jobs().unwrap().is_empty());

    assert!(matches!(shop.store.current(Subject::Shop), Err(StoreError::NotFound { .. })));
    let rate = |amount: i32| Edit { body: json!({"hourly": amount}), heading: Heading::default(), what: None };
    let first = shop.store.create_shop(rate(50), signed(0)).unwrap();
    let again = shop.store.create_shop(rate(60), signed(1));
    assert!(matches!(again, Err(StoreError::Stale { current, .. }) if current == first.revision), "{again:?}");
    shop.store.commit(Subject::Shop, first.revision, rate(60), signed(1)).unwrap();
    assert_eq!(shop.store.current(Subject::Shop).unwrap().body, json!({"hourly": 60}));
}

#[test]
fn a_revision_is_only_found_under_its_own_record() {
    let shop = Shop::new();
    let (one, first) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let (two, second) = shop.store.create_job(edit("2", "70 mm"), signed(0)).unwrap();
    assert!(matches!(shop.store.at_revision(one, second.revision), Err(StoreError::NotFound { .. })));
    let crossed = shop.store.go_back(two, second.revision, first.revision, signed(1));
    assert!(matches!(crossed, Err(StoreError::NotFound { .. })), "{crossed:?}");
    let none = shop.store.current(store::JobId(99)).unwrap_err().to_string();
    assert_eq!(none, "there is no job card with id 99");
    assert!(matches!(shop.store.history(store::PatternId(one.0)), Err(StoreError::NotFound { .. })));
    assert!(shop.store.at_revision(one, RevisionId(-1)).is_err());
}

#[test]
fn nobody_writes_without_a_name() {
    let shop = Shop::new();
    let unsigned = store::Signed { who: " ".into(), at: at(0) };
    let refused = shop.store.create_job(edit("1", "70 mm"), unsigned);
    assert!(matches!(refused, Err(StoreError::Invalid { field: "who", .. })), "{refused:?}");
    assert!(shop.store.jobs().unwrap().is_empty(), "a refused write leaves nothing");
}

#[test]
fn search_follows_every_change_and_takes_any_text() {
    let shop = Shop::new();
    let mut first = edit("26-014", "70 mm");
    first.body["note"] = json!("Rust behind the café counter");
    let (job, made) = shop.store.create_job(first, signed(0)).unwrap();
    shop.store.create_job(edit("26-015", "70 mm"), signed(1)).unwrap();
    let found = |text: &str| shop.store.find_jobs(text, 10).unwrap().into_iter().map(|hit| hit.id).collect::<Vec<_>>();
    assert_eq!(found("CAFE count"), [job]);
    assert_eq!(found("26-014"), [job]);
    assert_eq!(found("wren").len(), 2);
    assert_eq!(shop.store.find_jobs("wren", 1).unwrap().len(), 1);
    for odd in ["", "\"", "NEAR(", "a AND", "*", "title:", "' OR 1=1 --"] {
        assert!(found(odd).is_empty(), "{odd}");
    }
    let back = shop.store.commit(job, made.revision, edit("26-014", "70 mm"), signed(2)).unwrap();
    assert!(found("cafe").is_empty());
    shop.store.undo(job, back.revision, signed(3)).unwrap();
    assert_eq!(found("cafe"), [job]);
}

#[test]
fn lists_come_last_changed_first() {
    let shop = Shop::new();
    let (one, made) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let (two, _) = shop.store.create_job(edit("2", "70 mm"), signed(1)).unwrap();
    let order = || shop.store.jobs().unwrap().into_iter().map(|listed| listed.id).collect::<Vec<_>>();
    assert_eq!(order(), [two, one]);
    shop.store.commit(one, made.revision, edit("1", "71 mm"), signed(2)).unwrap();
    assert_eq!(order(), [one, two]);
    let listed = shop.store.jobs().unwrap().remove(0);
    assert_eq!((listed.created, listed.updated), (at(0), at(2)));
    assert_eq!(listed.heading, heading("1"));
}
