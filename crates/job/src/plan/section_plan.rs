//! One section worked out: from what was made to operations, price and fitting sheet.

use super::make::Made;
use super::words::Words;
use super::work::work;
use super::{CutPlan, Fault, JointPlan, SectionPlan, cautions, fitting, joint, let_in, let_in_corner, lift, protect};
use crate::file::{Decision, Job, Section};
use crate::resolve::{Assume, Cut};
use handbook::{Concern, Grade};
use shop::{Operation, Price, SectionWork, ShopSettings};
use std::sync::Arc;
use units::format_mm;

/// Plans one section; `made` gives its shape and flat under an assumption.
pub(super) fn plan(
    job: &Job,
    section: &Section,
    shop: &ShopSettings,
    mut made: impl FnMut(Assume) -> Arc<Made>,
) -> SectionPlan {
    match &section.decision {
        Decision::Make => {
            let first = made(Assume::default());
            let higher = first.resolved.cut.as_ref().is_some_and(|cut| cut.height.second_mm.is_some());
            let second = higher.then(|| made(Assume { second_height: true, ..Assume::default() }));
            make(job, section, shop, &first, second.as_deref())
        }
        Decision::LeaveAndTreat { reason } => {
            let mut plan = empty(job, section);
            plan.joint.sentence = format!("left as it is: {reason}");
            plan.protect = protect::lines(section, None);
            plan
        }
        Decision::Decline { reason, instead } => {
            let mut plan = empty(job, section);
            plan.joint.sentence = format!("declined: {reason}");
            plan.reply = shop::decline_reply(
                &shop::Declined {
                    customer: &job.customer.name,
                    vehicle: &job.vehicle.name,
                    piece: &section.title,
                    reason,
                    instead,
                },
                shop,
            );
            plan
        }
    }
}

fn empty(job: &Job, section: &Section) -> SectionPlan {
    SectionPlan {
        id: section.id.clone(),
        title: section.title.clone(),
        hand: section.hand,
        quantity: section.quantity,
        decision: section.decision.clone(),
        pattern: String::new(),
        damage: damage(job, section),
        cut: None,
        measured: Vec::new(),
        pieces: Vec::new(),
        assembly: None,
        joint: JointPlan::default(),
        protect: Vec::new(),
        fitting: Vec::new(),
        operations: Vec::new(),
        price: None,
        second_price: None,
        reply: String::new(),
        concerns: Vec::new(),
        workings: Vec::new(),
        faults: Vec::new(),
    }
}

fn make(job: &Job, section: &Section, shop: &ShopSettings, made: &Made, second: Option<&Made>) -> SectionPlan {
    let mut plan = empty(job, section);
    let words = Words::of(&job.fitter);
    plan.hand = made.resolved.hand;
    plan.pattern = made.resolved.pattern_words.clone();
    plan.measured = made.resolved.measured.clone();
    plan.faults = made.faults.clone();
    plan.concerns = made.resolved.concerns.clone();
    if !plan.faults.is_empty() {
        plan.faults.extend(lift::lift(job, &mut plan.concerns));
        return plan;
    }
    plan.pieces.clone_from(&made.pieces);
    plan.assembly.clone_from(&made.assembly);
    plan.cut = made.resolved.cut.as_ref().map(|cut| cut_plan(cut, &Words::of_card(job.unit)));
    plan.damage = with_height(plan.damage, made.resolved.cut.as_ref());
    plan.joint = joint::plan(&joint::Asked { job, section, made, words: &words, shop });
    plan.protect = protect::lines(section, Some(made));
    plan.workings = plan.cut.iter().flat_map(|cut| cut.workings.iter().cloned()).collect();
    plan.workings.extend(made.resolved.workings.iter().cloned());
    let sheet = fitting::Sheet {
        job,
        section,
        made,
        cut: plan.cut.as_ref(),
        joint: &plan.joint,
        protect: &plan.protect,
        words: &words,
    };
    plan.fitting = fitting::steps(&sheet);
    let work = work(section, made);
    plan.operations = shop::operations(&work, shop);
    plan.price = priced(&work, &plan.operations, shop, &mut plan.faults);
    if let Some(second) = second.filter(|second| second.faults.is_empty()) {
        let (_, price) = price(section, second, shop);
        plan.second_price = price.ok();
    } else if let Some(second) = second {
        plan.concerns.push(second_height(section, second));
    }
    collect_concerns(job, section, shop, made, &work, &mut plan);
    plan
}

/// Operations and price of a made section.
pub(super) fn price(
    section: &Section,
    made: &Made,
    shop: &ShopSettings,
) -> (Vec<Operation>, Result<Price, shop::ShopError>) {
    let work = work(section, made);
    let operations = shop::operations(&work, shop);
    let price = shop::price(&work, &operations, shop);
    (operations, price)
}

fn priced(
    work: &SectionWork<'_>,
    operations: &[Operation],
    shop: &ShopSettings,
    faults: &mut Vec<Fault>,
) -> Option<Price> {
    match shop::price(work, operations, shop) {
        Ok(price) => Some(price),
        Err(error) => {
            let field = match &error {
                shop::ShopError::NoRate { key, .. } | shop::ShopError::Money { key, .. } => format!("shop.{key}"),
                shop::ShopError::NoSheet { .. } => "shop.sheet".into(),
                shop::ShopError::NoWire { .. } => "shop.wire".into(),
                _ => "shop".into(),
            };
            faults.push(Fault { field, message: error.to_string() });
            None
        }
    }
}

fn second_height(section: &Section, second: &Made) -> Concern {
    let why = second.faults.first().map(|fault| fault.message.clone()).unwrap_or_default();
    crate::resolve::note(
        "second-height",
        Grade::Caution,
        &section.title,
        [
            "a higher piece, should the rust run on, cannot be made from this pattern".into(),
            why,
            "prove the depth before the order, or survey the panel higher up".into(),
        ],
    )
}

fn collect_concerns(
    job: &Job,
    section: &Section,
    shop: &ShopSettings,
    made: &Made,
    work: &SectionWork<'_>,
    plan: &mut SectionPlan,
) {
    if made.resolved.said_on_the_phone {
        plan.concerns.push(crate::resolve::note(
            "said-on-the-phone",
            Grade::Stop,
            &section.title,
            [
                "its size was said on the phone, not measured".into(),
                "a piece made from an answer is a guess".into(),
                "send the measure sheet; the price becomes firm when its numbers come back".into(),
            ],
        ));
    }
    plan.concerns.extend(plan.cut.as_ref().and_then(|cut| unproven(section, cut)));
    plan.concerns.extend(protect::concern(section, made));
    let (corners, reaches) = let_in_corner::check(section, made, shop);
    plan.concerns.extend(corners);
    plan.workings.extend(reaches);
    if job.fitter.kit == crate::file::Kit::None && cautions::is_welded(section) {
        plan.concerns.push(crate::resolve::note(
            "no-welder",
            Grade::Caution,
            &section.title,
            [
                "the joint is welded and the fitter has no welder".into(),
                "it cannot go in as planned".into(),
                "choose a bonded or bolted joint, or let a welder join it".into(),
            ],
        ));
    }
    plan.concerns.extend(joint::concerns(section, made, &plan.joint));
    plan.concerns.extend(let_in::concerns(&made.resolved.plates, &section.title));
    plan.concerns.extend(made.assembly_concerns.iter().cloned());
    for piece in &plan.pieces {
        plan.concerns.extend(piece.blank.concerns.iter().cloned());
    }
    for piece in &work.pieces {
        plan.concerns.extend(shop::machine_concerns(piece, shop));
    }
    if let Some(reply) = section.try_on_reply.as_ref().filter(|reply| !reply.sits) {
        plan.concerns.push(crate::resolve::note(
            "try-on-does-not-sit",
            Grade::Stop,
            &section.title,
            [
                format!("the try-on of {} does not sit: {}", reply.date, reply.note),
                "the piece would not sit either".into(),
                "correct the measurement or the version, and send a new try-on".into(),
            ],
        ));
    }
    plan.concerns.extend(check_bar(section, job));
    plan.concerns.dedup();
    plan.concerns.sort_by_key(|concern| std::cmp::Reverse(concern.grade));
    plan.faults.extend(lift::lift(job, &mut plan.concerns));
    plan.concerns.sort_by_key(|concern| std::cmp::Reverse(concern.grade));
}

/// Rust that is only seen: the quote carries two heights.
fn unproven(section: &Section, cut: &CutPlan) -> Option<Concern> {
    let second_mm = cut.second_cut_height_mm?;
    Some(crate::resolve::note(
        "rust-not-proven",
        Grade::Caution,
        &section.title,
        [
            format!("the rust was seen, not proven; the cut may have to go to {}", format_mm(second_mm, 1)),
            "rust runs on behind paint; proven means cleaned and probed from both sides".into(),
            "ask for it to be cleaned and probed before metal is cut; the quote carries both heights".into(),
        ],
    ))
}

/// A print that was scaled: the check bar of 100 mm came out otherwise.
fn check_bar(section: &Section, job: &Job) -> Option<Concern> {
    const BAR_MM: f64 = 100.0;
    const WITHIN_MM: f64 = 0.5;
    let bar = section.try_on_reply.as_ref()?.check_bar.as_ref()?;
    let reading = units::Reading { bare_unit: job.unit, ..units::Reading::default() };
    let mm = bar.length_mm(&reading).ok()?;
    ((mm - BAR_MM).abs() > WITHIN_MM).then(|| {
        crate::resolve::note(
            "try-on-printed-to-another-scale",
            Grade::Stop,
            &section.title,
            [
                format!("the check bar of the try-on measures {} instead of 100 mm", format_mm(mm, 1)),
                "the printer scaled the page, so the try-on proves nothing".into(),
                "print again at 100 % (actual size) and hold it up again".into(),
            ],
        )
    })
}

fn cut_plan(cut: &Cut, words: &Words) -> CutPlan {
    let height = &cut.height;
    let piece_height_mm = height.cut_mm + cut.lap_mm;
    let cut_shown = words.rounded_mm(height.cut_mm);
    let lap_shown = words.rounded_mm(cut.lap_mm);
    let reach =
        if height.reach_mm > 0.0 { format!(", good to {}", words.length(height.reach_mm)) } else { String::new() };
    let mut sentence = if cut.on_the_bend {
        format!(
            "the old flange comes off just above its bend, {} from its outer face; a lap leg of {} goes under the old skin",
            words.length(cut_shown),
            words.length(lap_shown)
        )
    } else if cut.lap_mm > 0.0 {
        format!(
            "cut at {}{reach}; the piece is {} high, one lap of {} more",
            words.length(cut_shown),
            words.length(cut_shown + lap_shown),
            words.length(lap_shown)
        )
    } else {
        format!("cut at {}{reach}, edge to edge", words.length(cut_shown))
    };
    if let Some(second_mm) = height.second_mm {
        sentence.push_str(&format!("; if the rust runs on, at {}", words.length(second_mm)));
    }
    let mut workings = height.workings.clone();
    workings.push(
        handbook::Working::new(
            "height of the piece",
            piece_height_mm,
            "mm",
            "cut height + lap: the cut lies in sound metal, the lap stands above it",
            handbook::Source::common_practice("H1, H4"),
        )
        .with("h", "cut height", height.cut_mm, "mm")
        .with("l", "lap", cut.lap_mm, "mm"),
    );
    CutPlan {
        cut_height_mm: height.cut_mm,
        piece_height_mm,
        lap_mm: cut.lap_mm,
        second_cut_height_mm: height.second_mm,
        reach_mm: height.reach_mm,
        from_mm: cut.from_mm,
        to_mm: cut.to_mm,
        end_names: cut.end_names.clone(),
        on_the_bend: cut.on_the_bend,
        sentence,
        workings,
    }
}

fn damage(job: &Job, section: &Section) -> String {
    let reading = units::Reading { bare_unit: job.unit, ..units::Reading::default() };
    let depth = section.damage.depth.as_ref().and_then(|depth| depth.length_mm(&reading).ok());
    let notes = section.damage.notes.trim();
    let measured = match (depth, section.damage.proven) {
        (Some(mm), true) => format!("{} proven", format_mm(mm, 1)),
        (Some(mm), false) => format!("rust seen to {}, not proven", format_mm(mm, 1)),
        (None, true) => "proven".to_owned(),
        (None, false) => String::new(),
    };
    match (measured.is_empty(), notes.is_empty()) {
        (true, _) => notes.to_owned(),
        (false, true) => measured,
        (false, false) => format!("{measured}; {notes}"),
    }
}

fn with_height(damage: String, cut: Option<&Cut>) -> String {
    if !damage.is_empty() {
        return damage;
    }
    cut.and_then(|cut| cut.height.depth_mm).map_or(damage, |mm| format!("rust to {}", format_mm(mm, 1)))
}
