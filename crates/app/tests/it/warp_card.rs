//! Warp on the card: what was found stands under question 6, its order is taken, it counts in the advice; work under way is stopped.

use crate::browser::Shop;
use crate::joints_card::question_6;
use axum::http::StatusCode;
use job::file::{Fixing, Job, JointKind, Section};
use job::plan::{OrderBy, SectionPlan, WarpOfSection, warp_of_section};
use numerics::{Cancel, Progress};
use std::sync::LazyLock;
use std::time::{Duration, Instant};
use store::JobId;
use weld::warp::WarpSettings;

const SECTION: &str = "arch";

/// A section of a card as it stands.
fn now(shop: &Shop, id: i64) -> (Job, Section, SectionPlan) {
    let job = shop.app.data.card(JobId(id)).unwrap().job;
    let plan = shop.app.planning.compute(&job);
    let section = job.sections.iter().find(|own| own.id == SECTION).unwrap().clone();
    let plan = plan.sections.into_iter().find(|own| own.id == SECTION).unwrap();
    (job, section, plan)
}

/// The warp of the demo's wheel arch, coarse and quick: a real order, its figures are not those that the card works out.
static FOUND: LazyLock<WarpOfSection> = LazyLock::new(|| {
    let shop = Shop::open();
    let (id, _) = shop.card_with_section(SECTION);
    let (job, section, _) = now(&shop, id);
    let settings = WarpSettings::coarse(12);
    let shop = shop.app.planning.settings();
    warp_of_section(&job, &section, &shop, &settings, &Progress::silent(), &Cancel::new()).unwrap().unwrap()
});

/// A shop with that warp kept for the arch, as the work of the card keeps it.
fn with_warp() -> (Shop, i64) {
    let shop = Shop::open();
    let (id, _) = shop.card_with_section(SECTION);
    let (job, section, plan) = now(&shop, id);
    shop.app.planning.keep_warp(JobId(id), &job, &section, &plan, Ok(FOUND.clone()));
    (shop, id)
}

#[test]
fn a_warp_that_was_found_stands_on_the_card_and_its_order_is_taken() {
    let (shop, id) = with_warp();
    let html = question_6(&shop, id, SECTION);
    let found = &*FOUND;
    for figure in [
        found.result.warp_height_mm.words(1),
        found.result.oil_canning.clone(),
        format!("{} tried", found.result.orders_tried),
        format!("{:.1} kJ of heat", found.compared.butt_heat_j / 1000.0),
    ] {
        assert!(html.contains(&figure), "{figure} is missing");
    }
    assert!(html.contains("Weld in this order"));
    // two habits, divided differently: both places say so
    assert!(html.contains("habit of the trade, divided anew") && html.contains("not the list of welds above"));
    let (_, _, before) = now(&shop, id);
    assert_eq!(before.joint.order_by, OrderBy::TradeHabit);

    let taken = shop.post_form(&format!("/card/{id}/section/{SECTION}/warp/order"), &[]);
    assert_eq!(taken.status, StatusCode::SEE_OTHER, "{}", taken.text());
    let (_, section, plan) = now(&shop, id);
    assert_eq!(section.joint.accepted.as_ref(), Some(&found.order));
    // what the papers are set from follows: map, steps, pauses, figures
    let joint = &plan.joint;
    assert!(joint.order_by.is_computed());
    let mut events: Vec<_> = joint.maps.iter().flat_map(|map| &map.events).collect();
    events.sort_by_key(|event| event.number);
    assert_eq!(events.len(), found.order.weld.len());
    assert!(events.iter().zip(&found.order.weld).all(|(event, weld)| event.from_mm == weld.from_mm));
    let pauses: Vec<f64> = joint.pauses.iter().map(|own| own.seconds).collect();
    assert_eq!(pauses, found.result.found.table.steps.iter().map(|step| step.pause_s).collect::<Vec<_>>());
    let effect = joint.effect.as_ref().unwrap();
    assert_eq!(effect.height.high_mm, found.result.warp_height_mm.high);
    assert_eq!(effect.margin.map(|own| own[0]), found.result.found.margin.map(|own| own.low));
    let tack = plan.fitting.iter().find(|step| step.kind == "tack").unwrap();
    assert!(tack.text.iter().any(|text| text.contains("order of the numbers on the map")), "{tack:?}");
    // the figures still stand beside the order that was taken
    let html = question_6(&shop, id, SECTION);
    let picture = "how it lies once it is welded in the order found";
    assert!(
        effect.shape.is_some()
            && html.matches(picture).count() >= 1
            && (html.contains("class=\"layer in") || html.contains("class=\"layer out"))
    );
    // what is kept of the work goes when the shop's settings change; the picture of what was accepted stays
    let settings = shop.app.planning.settings();
    shop.app.planning.set_settings((*settings).clone());
    let anew = question_6(&shop, id, SECTION);
    assert!(anew.contains("how it lies once it is welded in the order that was accepted") && !anew.contains(picture));
    let is_habit = found.result.found.table == found.result.habit.table;
    assert_eq!(joint.order_by, if is_habit { OrderBy::ComputedHabit } else { OrderBy::Computed });
    assert!(
        html.contains(packet::drawings::order_words(joint.order_by, &joint.maps))
            && html.contains(&found.result.warp_height_mm.words(1))
    );
}

/// The warp counts in the advice as soon as it is worked out, and when another joint is taken it still does; the card says which it is.
#[test]
fn the_advice_weighs_the_warp_that_was_worked_out_last() {
    let shop = Shop::open();
    let (id, revision) = shop.card_with_section(SECTION);
    assert!(!question_6(&shop, id, SECTION).contains("Weighed with"));
    let (job, section, plan) = now(&shop, id);
    shop.app.planning.keep_warp(JobId(id), &job, &section, &plan, Ok(FOUND.clone()));
    let lap = FOUND.order.warp[0];
    let height = format!("{:.1} ± {:.1} mm", lap.height_mm.unwrap(), lap.reach_mm.unwrap());
    let html = question_6(&shop, id, SECTION);
    assert!(html.contains("Weighed with the warp worked out last: ") && html.contains(&height), "{height}");
    let computed = if lap.buckles { "computed: the panel buckles" } else { "computed: the panel holds" };
    assert!(html.contains(computed), "the reason stands in the list: {computed}");

    let (kind, fixing) = (format!("section.{SECTION}.joint.kind"), format!("section.{SECTION}.joint.fixing"));
    let pairs = [("base", revision.to_string()), (&kind, "butt".to_owned()), (&fixing, "plug".to_owned())];
    let pairs = pairs.each_ref().map(|(name, value)| (*name, value.as_str()));
    let kept = shop.post_form(&format!("/card/{id}/section/{SECTION}/fields"), &pairs);
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
    let (_, section, _) = now(&shop, id);
    assert_eq!((section.joint.kind, section.joint.fixing), (JointKind::Butt, Fixing::Plug));
    let html = question_6(&shop, id, SECTION);
    assert!(html.contains("Weighed with the warp worked out last, while the joint here was stepped lap"));
    assert!(html.contains(&height) && html.contains(computed));

    // another panel: what was worked out holds no more
    let base = shop.app.data.card(JobId(id)).unwrap().revision.id.0.to_string();
    let beyond = format!("section.{SECTION}.joint.panel_beyond");
    let kept = shop.post_form(&format!("/card/{id}/section/{SECTION}/fields"), &[("base", &base), (&beyond, "90 mm")]);
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
    assert!(!question_6(&shop, id, SECTION).contains("Weighed with"));
}

/// Stopped under way: every page hears "stopped", nothing is kept, and the card offers the work again.
#[test]
fn a_warp_that_is_stopped_under_way_leaves_nothing() {
    let shop = Shop::open();
    let (id, _) = shop.card_with_section(SECTION);
    let (job, section, plan) = now(&shop, id);
    // the heat comes first where it is not known; this is about the warp
    shop.app.planning.keep_heat(JobId(id), &job, &section, &plan, Err("not asked here".into()));
    let address = format!("/card/{id}/section/{SECTION}");
    let begun = shop.post_form(&format!("{address}/warp"), &[]);
    assert_eq!(begun.status, StatusCode::SEE_OTHER, "{}", begun.text());
    let place = begun.header("location");
    let work = place.split_once("?work=").and_then(|(_, rest)| rest.split_once('#')).unwrap().0;
    assert!(question_6(&shop, id, SECTION).contains("The warp is being worked out"));
    let (heard, news) = std::sync::mpsc::channel();
    let (told, took) = std::thread::scope(|threads| {
        let shop = &shop;
        let listening =
            threads.spawn(move || shop.listen("/work/events", &["working out the warp", "stopped"], &heard));
        news.recv().unwrap();
        let asked = Instant::now();
        let stopped = shop.post_form(&format!("/work/{work}/cancel"), &[]);
        assert_eq!(stopped.status, StatusCode::OK, "{}", stopped.text());
        (listening.join().unwrap(), asked.elapsed())
    });
    assert!(told.contains("\"state\":\"stopped\"") && told.contains(&format!("\"id\":{work}")), "{told}");
    println!("the warp ended {:.2} s after it was asked to stop", took.as_secs_f64());
    assert!(took < Duration::from_secs(60), "it ended {took:?} after it was asked to stop");
    assert_eq!(shop.app.planning.warp(JobId(id), &job, &section, &plan), None);
    let html = question_6(&shop, id, SECTION);
    assert!(html.contains("nothing has been worked out yet") && html.contains("Work out the warp"));
    assert!(!html.contains("Weld in this order"));
}
