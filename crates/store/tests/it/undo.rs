//! Undo, redo and going back against a plain model: two stacks, as every editor has them.

use proptest::prelude::*;
use serde_json::json;
use store::{Edit, Heading, JobId, RevisionId, RevisionKind, StoreError};

use crate::common::{Shop, edit, signed};

#[test]
fn undo_and_redo_are_revisions_too() {
    let shop = Shop::new();
    let (job, made) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let second = shop.store.commit(job, made.revision, edit("1", "72 mm"), signed(1)).unwrap();
    let undone = shop.store.undo(job, second.revision, signed(2)).unwrap();
    assert_eq!(shop.store.current(job).unwrap().body, shop.store.at_revision(job, made.revision).unwrap().body);
    let nothing = shop.store.undo(job, undone.revision, signed(3));
    assert!(matches!(nothing, Err(StoreError::NothingToUndo)), "{nothing:?}");
    let redone = shop.store.redo(job, undone.revision, signed(3)).unwrap();
    let nothing = shop.store.redo(job, redone.revision, signed(4));
    assert!(matches!(nothing, Err(StoreError::NothingToRedo)), "{nothing:?}");
    let back = shop.store.go_back(job, redone.revision, made.revision, signed(5)).unwrap();
    let kinds: Vec<_> = shop.store.history(job).unwrap().into_iter().map(|line| (line.kind, line.what)).collect();
    let change = r#"sections[0].height: "70 mm" → "72 mm""#;
    assert_eq!(
        kinds,
        [
            (RevisionKind::Create, "made".to_owned()),
            (RevisionKind::Edit, change.to_owned()),
            (RevisionKind::Undo, format!("undo: {change}")),
            (RevisionKind::Redo, format!("redo: {change}")),
            (RevisionKind::Return, "back to revision 1: made".to_owned()),
        ]
    );
    assert_eq!(back.sequence, 5);
}

#[test]
fn the_heading_goes_with_the_content() {
    let shop = Shop::new();
    let (job, made) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let mut renamed = edit("2", "70 mm");
    renamed.heading.waiting_for = "paint".into();
    let second = shop.store.commit(job, made.revision, renamed, signed(1)).unwrap();
    shop.store.undo(job, second.revision, signed(2)).unwrap();
    let listed = shop.store.jobs().unwrap().remove(0);
    assert_eq!((listed.heading.number.as_str(), listed.heading.waiting_for.as_str()), ("1", "measurements"));
    assert_eq!(shop.store.job_with_number("1").unwrap(), Some(job));
}

#[derive(Debug, Clone)]
enum Act {
    Edit(u8),
    Undo,
    Redo,
    GoBack(prop::sample::Index),
}

/// What a person expects: contents in the order they came, where we stand, and what redo would bring.
struct Model {
    contents: Vec<u8>,
    behind: Vec<usize>,
    now: usize,
    ahead: Vec<usize>,
    shown_by: Vec<(RevisionId, usize)>,
}

impl Model {
    fn change(&mut self, content: u8) {
        self.behind.push(self.now);
        self.now = self.contents.len();
        self.contents.push(content);
        self.ahead.clear();
    }

    fn undo(&mut self) -> bool {
        let Some(before) = self.behind.pop() else { return false };
        self.ahead.push(std::mem::replace(&mut self.now, before));
        true
    }

    fn redo(&mut self) -> bool {
        let Some(next) = self.ahead.pop() else { return false };
        self.behind.push(std::mem::replace(&mut self.now, next));
        true
    }
}

fn act(shop: &Shop, job: JobId, model: &mut Model, act: &Act) {
    let base = shop.store.current(job).unwrap().revision.id;
    let content = |value: u8| Edit { body: json!({"value": value}), heading: Heading::default(), what: None };
    let (done, expected) = match act {
        Act::Edit(value) => {
            let changes = model.contents[model.now] != *value;
            if changes {
                model.change(*value);
            }
            (shop.store.commit(job, base, content(*value), signed(1)), changes)
        }
        Act::Undo => (shop.store.undo(job, base, signed(1)), model.undo()),
        Act::Redo => (shop.store.redo(job, base, signed(1)), model.redo()),
        Act::GoBack(index) => {
            let (target, state) = model.shown_by[index.index(model.shown_by.len())];
            let changes = state != model.now;
            if changes {
                model.change(model.contents[state]);
            }
            (shop.store.go_back(job, base, target, signed(1)), changes)
        }
    };
    match done {
        Ok(committed) => {
            assert_eq!(committed.changed, expected);
            if committed.changed {
                model.shown_by.push((committed.revision, model.now));
            }
        }
        Err(StoreError::NothingToUndo | StoreError::NothingToRedo) => assert!(!expected),
        Err(other) => panic!("{other}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn behaves_as_two_stacks_and_loses_nothing(acts in prop::collection::vec(
        prop_oneof![
            2 => (0_u8..4).prop_map(Act::Edit),
            3 => Just(Act::Undo),
            2 => Just(Act::Redo),
            1 => any::<prop::sample::Index>().prop_map(Act::GoBack),
        ],
        1..40,
    )) {
        let shop = Shop::new();
        let start = Edit { body: json!({"value": 0}), heading: Heading::default(), what: None };
        let (job, made) = shop.store.create_job(start, signed(0)).unwrap();
        let mut model =
            Model { contents: vec![0], behind: vec![], now: 0, ahead: vec![], shown_by: vec![(made.revision, 0)] };
        for step in &acts {
            act(&shop, job, &mut model, step);
            let steps = shop.store.steps(job).unwrap();
            prop_assert_eq!(steps.can_undo, !model.behind.is_empty());
            prop_assert_eq!(steps.can_redo, !model.ahead.is_empty());
            prop_assert_eq!(&shop.store.current(job).unwrap().body["value"], &json!(model.contents[model.now]));
        }
        let history = shop.store.history(job).unwrap();
        prop_assert_eq!(history.len(), model.shown_by.len());
        for (line, (revision, state)) in history.iter().zip(&model.shown_by) {
            prop_assert_eq!(line.id, *revision);
            let body = shop.store.at_revision(job, *revision).unwrap().body;
            prop_assert_eq!(&body["value"], &json!(model.contents[*state]));
        }
    }
}
