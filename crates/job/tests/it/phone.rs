//! The telephone end: three pieces named, answers, a written reply.

use crate::{ENQUIRY, read, shop};

#[test]
fn an_enquiry_gets_a_band_a_date_and_a_written_reply() {
    let job = read(ENQUIRY);
    let answer = job::telephone(&job, &shop());
    assert!(answer.pieces.iter().all(|piece| piece.faults.is_empty()), "{:?}", answer.pieces);
    let band = answer.band.as_ref().unwrap();
    assert!(band.low.minor < band.middle.minor && band.middle.minor < band.high.minor);
    let promise = answer.promise.as_ref().unwrap();
    for words in [
        "said on the phone, not measured",
        "right hand (driver's right)",
        &shop::date_in_words(&promise.likely),
        "What to measure next",
        "Do not cut",
    ] {
        let found = answer.reply.to_lowercase().contains(&words.to_lowercase())
            || words == "Do not cut" && answer.reply.contains("do not cut");
        assert!(found, "{words}: {}", answer.reply);
    }
    assert!(answer.reply.contains("would rather not take this on"), "{}", answer.reply);
}

#[test]
fn the_band_holds_both_corners_of_the_answers() {
    let job = read(ENQUIRY);
    let answer = job::telephone(&job, &shop());
    let band = answer.pieces[1].band.as_ref().unwrap();
    for length in ["500 mm", "750 mm"] {
        let mut measured = job.clone();
        let section = measured.sections.iter_mut().find(|section| section.id == "gutter").unwrap();
        section.said = None;
        section.hand = Some(job::file::Hand::Left);
        let reading = |text: &str| job::file::Measured { readings: vec![text.parse().unwrap()], by: String::new() };
        section.measured.insert("run_start".into(), reading("100 mm"));
        section.measured.insert("run_length".into(), reading(length));
        let plan = job::plan(&measured, &shop());
        let price = plan.sections[1].price.as_ref().unwrap();
        assert!(band.low.minor <= price.net.low.minor && price.net.high.minor <= band.high.minor, "{length}");
    }
}

#[test]
fn a_plan_of_answers_is_marked_and_stopped() {
    let plan = crate::planned(ENQUIRY);
    let arch = crate::section(&plan, "arch");
    assert!(arch.price.as_ref().unwrap().said_on_the_phone);
    assert!(plan.open_stops(arch).any(|stop| stop.key == "said-on-the-phone"));
}

#[test]
fn an_answer_that_is_declined_alone_gets_a_courteous_letter() {
    let mut job = read(ENQUIRY);
    job.sections.retain(|section| section.id == "step_well");
    let answer = job::telephone(&job, &shop());
    assert!(answer.band.is_none() && answer.reply.contains("There is nothing to pay"), "{}", answer.reply);
}

/// Left and right cost the same, so the band stands; but no hand is put into the customer's mouth, and nothing is cut.
#[test]
fn a_hand_that_was_not_said_is_asked_for() {
    let mut job = read(ENQUIRY);
    let section = job.sections.iter_mut().find(|section| section.id == "gutter").unwrap();
    section.hand = None;
    section.said.as_mut().unwrap().answers.remove("hand");
    let answer = job::telephone(&job, &shop());
    let piece = answer.pieces.iter().find(|piece| piece.id == "gutter").unwrap();
    assert!(piece.band.is_some() && piece.hand.is_none(), "{piece:?}");
    let plan = job::plan(&job, &shop());
    let gutter = crate::section(&plan, "gutter");
    assert!(plan.open_stops(gutter).any(|stop| stop.key == "hand-not-said"));
}

/// A paper that goes out later promises a later day, never one that is past.
#[test]
fn a_promise_counts_from_the_day_of_the_paper() {
    let job = crate::wren15();
    let plan = job::plan(&job, &shop());
    let opened = plan.promise.as_ref().unwrap();
    assert_eq!(opened.counted_from, job.opened);
    let later = job::plan::promise_from("2027-03-01", &plan, &shop()).unwrap().unwrap();
    assert!(later.likely.as_str() > "2027-03-01" && later.latest >= later.likely);
    assert_eq!(shop::date_in_words("2027-03-01"), "1 March 2027");
    assert!(job::plan::promise_from("soon", &plan, &shop()).is_err());
}
