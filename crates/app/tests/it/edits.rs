//! An edit is a revision: kept, answered with what has changed, taken back, or refused without a trace.

use crate::browser::{Answer, Shop};
use axum::http::StatusCode;
use serde_json::json;
use soundmetal::shop_data::Change;

fn edit(shop: &Shop, card: &(i64, String, i64), base: i64, path: &str, value: &str) -> Answer {
    let (id, section, _) = card;
    let body = json!({ "base": base, "changes": [{ "path": path, "value": value }] });
    shop.post_json(&format!("/card/{id}/section/{section}/fields"), &body)
}

fn revisions(shop: &Shop, id: i64) -> usize {
    shop.app.data.store.history(store::JobId(id)).unwrap().len()
}

#[test]
fn an_edit_is_a_revision_and_answers_with_the_parts_that_follow_from_it() {
    let shop = Shop::open();
    let card = shop.card_with_pattern();
    shop.get(&format!("/card/{}/section/{}", card.0, card.1));
    let before = revisions(&shop, card.0);
    let answer = edit(&shop, &card, card.2, &format!("section.{}.quantity", card.1), "3");
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    assert_eq!(revisions(&shop, card.0), before + 1);
    let answer = answer.json();
    assert!(answer["revision"].as_i64().unwrap() > card.2);
    let parts = answer["parts"].as_object().unwrap();
    assert!(parts.contains_key("q8-answer"), "the price follows: {:?}", parts.keys());
    assert!(!parts.contains_key("q5-drawing"), "what has not changed is not sent again: {:?}", parts.keys());
}

#[test]
fn a_change_is_taken_back_and_made_again_through_revisions() {
    let shop = Shop::open();
    let card = shop.card_with_pattern();
    let path = format!("section.{}.quantity", card.1);
    let first = edit(&shop, &card, card.2, &path, "4").json()["revision"].as_i64().unwrap();
    let quantity = || {
        let job = shop.app.data.card(store::JobId(card.0)).unwrap().job;
        job.sections.iter().find(|section| section.id == card.1).unwrap().quantity
    };
    assert_eq!(quantity(), 4);
    let base = first.to_string();
    let undone = shop.post_form(&format!("/card/{}/undo", card.0), &[("base", &base), ("section", &card.1)]);
    assert_eq!(undone.status, StatusCode::SEE_OTHER, "{}", undone.text());
    assert_eq!(quantity(), 1);
    let base = shop.app.data.card(store::JobId(card.0)).unwrap().revision.id.to_string();
    shop.post_form(&format!("/card/{}/redo", card.0), &[("base", &base), ("section", &card.1)]);
    assert_eq!(quantity(), 4);
    assert!(shop.get(&format!("/card/{}/history", card.0)).text().contains("undo"));
}

#[test]
fn a_stale_edit_is_refused_and_nothing_is_written() {
    let shop = Shop::open();
    let card = shop.card_with_pattern();
    let path = format!("section.{}.quantity", card.1);
    edit(&shop, &card, card.2, &path, "2");
    let before = revisions(&shop, card.0);
    let late = edit(&shop, &card, card.2, &path, "5");
    assert_eq!(late.status, StatusCode::CONFLICT);
    assert_eq!(late.json()["kind"], "stale");
    assert_eq!(revisions(&shop, card.0), before);
}

#[test]
fn what_cannot_be_read_is_refused_at_its_field_and_nothing_is_written() {
    let shop = Shop::open();
    let card = shop.card_with_pattern();
    let before = revisions(&shop, card.0);
    for (field, text) in [
        ("damage.depth", "a hand"),
        ("joint.lap", "NaN"),
        ("joint.old_thickness", "1e999"),
        ("quantity", "-1"),
        ("nothing.here", "1"),
    ] {
        let path = format!("section.{}.{field}", card.1);
        let answer = edit(&shop, &card, card.2, &path, text);
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{field}: {}", answer.text());
        let answer = answer.json();
        assert!(answer["field"].as_str().unwrap().starts_with("f-section-"), "{answer}");
        assert!(answer["message"].as_str().unwrap().len() > 8, "{answer}");
    }
    assert_eq!(revisions(&shop, card.0), before);
}

#[test]
fn without_a_script_the_form_keeps_what_was_written_and_says_what_is_wrong() {
    let shop = Shop::open();
    let (id, section, revision) = shop.card_with_pattern();
    let path = format!("section.{section}.joint.lap");
    let address = format!("/card/{id}/section/{section}/fields");
    let base = revision.to_string();
    let refused = shop.post_form(&address, &[("base", &base), (&path, "twelve or so")]);
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let html = refused.text();
    assert!(
        html.contains("value=\"twelve or so\"")
            && html.contains("aria-invalid=\"true\"")
            && html.contains("role=\"alert\"")
    );
    let kept = shop.post_form(&address, &[("base", &base), (&path, "12 mm")]);
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
    let job = shop.app.data.card(store::JobId(id)).unwrap().job;
    let own = job.sections.iter().find(|own| own.id == section).unwrap();
    assert_eq!(own.joint.lap.as_ref().unwrap().written(), "12 mm");
}

#[test]
fn a_value_that_can_be_read_but_not_made_is_named_at_its_field() {
    let shop = Shop::open();
    let card = shop.card_with_pattern();
    let answer = edit(&shop, &card, card.2, &format!("section.{}.joint.lap", card.1), "5000 mm");
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    let page = shop.get(&format!("/card/{}/section/{}", card.0, card.1)).text();
    assert!(page.contains("role=\"alert\"") && page.contains("to put right"), "a lap wider than the piece is a fault");
    assert!(shop.get(&format!("/card/{}/packet/all.zip", card.0)).status.is_client_error());
}

#[test]
fn a_move_on_the_rack_stands_and_a_false_one_is_refused() {
    let shop = Shop::open();
    let (id, _, revision) = shop.card_with_pattern();
    let base = revision.to_string();
    let address = format!("/card/{id}/waits");
    assert!(shop.post_form(&address, &[("base", &base), ("waits", "lost")]).status.is_client_error());
    let card = shop.app.data.card(store::JobId(id)).unwrap();
    let wanted = soundmetal::waiting::Waits::OnTheBench;
    let possible = soundmetal::waiting::Waits::of(&card.job, Some(wanted)) == wanted;
    let moved = shop.post_form(&address, &[("base", &base), ("waits", wanted.words())]);
    assert_eq!(moved.status == StatusCode::SEE_OTHER, possible, "{}", moved.text());
    if possible {
        assert!(shop.get("/").text().contains("on the bench"));
    }
}

#[test]
fn minutes_taken_are_written_down_and_the_shop_learns_from_them() {
    let shop = Shop::open();
    let (id, section, _) = shop.card_with_pattern();
    let card = shop.app.data.card(store::JobId(id)).unwrap();
    let plan = shop.app.planning.plan(&card);
    let operation = plan.sections.iter().find(|own| own.id == section).unwrap().operations.first().unwrap().clone();
    let minutes = operation.minutes.mean() * 2.0;
    let chosen = format!("{}|{}", operation.kind, operation.piece);
    let address = format!("/card/{id}/times");
    let bad = shop.post_form(&address, &[("section", &section), ("operation", &chosen), ("minutes", "long")]);
    assert_eq!(bad.status, StatusCode::UNPROCESSABLE_ENTITY);
    let kept =
        shop.post_form(&address, &[("section", &section), ("operation", &chosen), ("minutes", &minutes.to_string())]);
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
    let learned = shop.app.data.settings().unwrap().learned;
    assert!(learned.get(&operation.kind).is_some_and(|factor| *factor > 1.0), "{learned:?}");
}

#[test]
fn several_fields_are_set_together_or_not_at_all() {
    let shop = Shop::open();
    let (id, section, revision) = shop.card_with_pattern();
    let change = |path: String, value: &str| Change { path, value: value.to_owned() };
    let changes =
        [change(format!("section.{section}.quantity"), "7"), change(format!("section.{section}.joint.lap"), "wide")];
    let refused = shop.app.data.change(store::JobId(id), store::RevisionId(revision), &changes, "test").unwrap_err();
    assert_eq!(refused.field.as_deref(), Some(format!("section.{section}.joint.lap").as_str()));
    assert_eq!(shop.app.data.card(store::JobId(id)).unwrap().revision.id.0, revision);
}

/// A double-curved skin is begun from the shelf and typed over; a point that cannot be read is refused with its profile and its number.
#[test]
fn a_skin_is_begun_from_the_shelf_and_typed_over() {
    let shop = Shop::open();
    let (id, _, base) = shop.card_with_pattern();
    let pattern = "wren15-mudguard-crown";
    let put = shop.post_form(&format!("/card/{id}/pieces"), &[("base", &base.to_string()), ("pattern", pattern)]);
    assert_eq!(put.status, StatusCode::SEE_OTHER, "{}", put.text());
    let page = shop.get(&format!("/card/{id}/section/{pattern}")).text();
    for label in
        ["Profiles of mudguard crown, one a line", "Board of the buck", "Corners of mudguard crown", "Stations count"]
    {
        assert!(page.contains(label), "{label}");
    }
    let skin = || {
        let job = shop.app.data.card(store::JobId(id)).unwrap().job;
        let own = job.patterns.into_iter().find(|own| own.id == pattern).unwrap();
        match own.pieces.into_iter().next() {
            Some(job::file::Piece::Skin(skin)) => skin,
            _ => panic!("the crown is a skin"),
        }
    };
    let card = (id, pattern.to_owned(), shop.app.data.card(store::JobId(id)).unwrap().revision.id.0);
    let path = |field: &str| format!("pattern.{pattern}.piece.mudguard crown.{field}");
    let written = soundmetal::field::skin::profiles_written(&skin());
    let refused = edit(&shop, &card, card.2, &path("profile"), &format!("{written}\n320: 0 20, 40"));
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text().contains("the profile at 320, point 2"), "{}", refused.text());
    let more = format!("{written}\n320: 0 20, 85 30, 160 1 3/8\"");
    let answer = edit(&shop, &card, card.2, &path("profile"), &more).json();
    assert_eq!(skin().profiles.len(), 8);
    assert_eq!(skin().profiles[7].points[2][1].written(), "1 3/8\"");
    let base = answer["revision"].as_i64().unwrap();
    let answer = edit(&shop, &card, base, &path("templates_at"), "40, 260").json();
    assert_eq!(skin().templates_at.len(), 2);
    let answer = edit(&shop, &card, answer["revision"].as_i64().unwrap(), &path("edge.1.joins"), "no").json();
    assert!(!skin().edges[1].joins);
    // an edge is made up in words, taken away by its name, and added again
    let refused =
        edit(&shop, &card, answer["revision"].as_i64().unwrap(), &path("edge.1.make_ups"), "hem wide, inside");
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text().contains("wide"), "{}", refused.text());
    let text = "flange 95°, radius 1.5, width 1/2\", inside";
    let answer = edit(&shop, &card, answer["revision"].as_i64().unwrap(), &path("edge.1.make_ups"), text).json();
    assert_eq!(soundmetal::field::make_up::written(&skin().edges[1].make_ups), text);
    let answer = edit(&shop, &card, answer["revision"].as_i64().unwrap(), &path("edge.3.name"), "").json();
    assert_eq!(skin().edges.iter().map(|edge| edge.edge).collect::<Vec<_>>(), [0, 1, 2]);
    let answer = edit(&shop, &card, answer["revision"].as_i64().unwrap(), &path("edge.3.name"), "rear edge").json();
    assert_eq!(skin().edges[3].name, "rear edge");
    let answer = edit(&shop, &card, answer["revision"].as_i64().unwrap(), &path("buck_board"), "").json();
    assert!(skin().buck_board.is_none(), "{answer}");
}
