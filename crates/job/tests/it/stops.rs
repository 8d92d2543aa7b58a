//! Stops, who may lift them, and cautions.

use crate::{changed, planned, section, shop, wren15};
use handbook::{Grade, LiftedBy};
use job::file::LiftedStop;

fn lifted(concern: &str, place: &str, name: &str, trade: &str) -> LiftedStop {
    LiftedStop {
        concern: concern.into(),
        place: place.into(),
        name: name.into(),
        trade: trade.into(),
        date: "2026-11-03".into(),
        reason: "seen and measured again".into(),
    }
}

#[test]
fn fuel_near_is_a_stop_that_only_a_competent_person_lifts() {
    let mut job = wren15();
    job.near.fuel = true;
    let plan = job::plan(&job, &shop());
    let stop = plan.concerns.iter().find(|concern| concern.key.starts_with("C14")).unwrap().clone();
    assert_eq!((stop.grade, stop.lifted_by), (Grade::Stop, Some(LiftedBy::CompetentPerson)));
    assert!(plan.open_stops(&plan.sections[0]).count() == 1);

    job.lifted = vec![lifted(&stop.key, &stop.place, "A. Bench", "")];
    let plan = job::plan(&job, &shop());
    assert!(plan.faults.iter().any(|fault| fault.field == "lifted.0.trade"), "{:?}", plan.faults);
    assert!(plan.open_stops(&plan.sections[0]).count() == 1);

    job.lifted = vec![lifted(&stop.key, &stop.place, "A. Bench", "tank engineer")];
    let plan = job::plan(&job, &shop());
    assert!(plan.faults.is_empty(), "{:?}", plan.faults);
    let caution = plan.concerns.iter().find(|concern| concern.key == stop.key).unwrap();
    assert_eq!(caution.grade, Grade::Caution);
    assert!(caution.what_to_do.contains("Lifted by A. Bench, tank engineer, on 2026-11-03"));
}

#[test]
fn a_stop_lifted_without_the_name_it_needs_is_a_fault() {
    let text =
        changed(&[("foot_to_foot = { readings = [\"34 3/4 in\"]", "foot_to_foot = { readings = [\"34 1/4 in\"]")]);
    let mut job = crate::read(&text);
    let place = job.sections[0].title.clone();
    job.lifted = vec![lifted("check-figure-foot_to_foot", &place, " ", "")];
    let plan = job::plan(&job, &shop());
    let arch = section(&plan, "arch");
    let fault = arch.faults.iter().find(|fault| fault.field == "lifted.0.name").unwrap();
    assert!(fault.message.contains("without the name it needs"), "{}", fault.message);
    assert!(plan.open_stops(arch).count() == 1);
    job.lifted[0].name = "M. Lane".into();
    let plan = job::plan(&job, &shop());
    assert!(plan.all_faults().next().is_none() && plan.open_stops(section(&plan, "arch")).count() == 0);
}

#[test]
fn a_lifted_stop_that_stands_nowhere_is_named() {
    let mut job = wren15();
    job.lifted = vec![lifted("check-figur", "nowhere", "M. Lane", "")];
    assert!(job::plan(&job, &shop()).faults[0].message.contains("check-figur"));
}

#[test]
fn what_stands_near_sets_the_cautions() {
    let mut job = wren15();
    let keys =
        |job: &job::Job| -> Vec<String> { job::plan(job, &shop()).concerns.into_iter().map(|c| c.key).collect() };
    let usual = keys(&job);
    for key in ["C11", "C12", "C15", "C17", "C19", "C20", "C26"] {
        assert!(usual.iter().any(|known| known == key), "{key} in {usual:?}");
    }
    job.near.safety_mounting = true;
    job.near.bonded_glass = true;
    job.near.carries_load = true;
    job.near.closed_section = true;
    let more = keys(&job);
    for key in ["C5", "C6", "C21", "C24", "bonded-glass"] {
        assert!(more.iter().any(|known| known == key) && !usual.iter().any(|known| known == key), "{key} in {more:?}");
    }
}

#[test]
fn a_try_on_that_does_not_sit_or_was_printed_small_is_a_stop() {
    let reply = "[section.try_on_reply]\ndate = \"2026-11-09\"\ncheck_bar = \"96 mm\"\nsits = false\nnote = \"3 mm gap at the front\"\n\n[section.joint]\nkind = \"stepped_lap\"\nold_thickness = \"20 swg\"";
    let plan = planned(&changed(&[("[section.joint]\nkind = \"stepped_lap\"\nold_thickness = \"20 swg\"", reply)]));
    let keys: Vec<&str> = plan.open_stops(section(&plan, "arch")).map(|stop| stop.key.as_str()).collect();
    assert!(keys.contains(&"try-on-does-not-sit") && keys.contains(&"try-on-printed-to-another-scale"), "{keys:?}");
}
