//! The telephone end of the quick path: from at most four answers a piece to a price band, a date and a written reply.

use crate::file::{Decision, Hand, Job, Section};
use crate::plan::{Fault, Planner, Promise, section_price};
use crate::resolve::{Assume, Corner, HAND_NOT_SAID};
use shop::{Declined, PriceRange, ShopSettings, date_in_words, decline_reply};
use units::Money;

/// One piece as it was said on the telephone.
#[derive(Debug, Clone, PartialEq)]
pub struct PhonePiece {
    /// Section id.
    pub id: String,
    /// Title.
    pub title: String,
    /// Hand, where it was said.
    pub hand: Option<Hand>,
    /// Band over the low and the high corner of the answers, net of tax; `None` when declined or faulty.
    pub band: Option<PriceRange>,
    /// Why the shop declines, and what to do instead.
    pub declined: Option<[String; 2]>,
    /// What to measure next, with how the tape goes.
    pub measure_next: Vec<String>,
    /// What keeps it from being priced.
    pub faults: Vec<Fault>,
}

/// The answer to an enquiry.
#[derive(Debug, Clone, PartialEq)]
pub struct PhoneAnswer {
    /// Pieces in the order of the job.
    pub pieces: Vec<PhonePiece>,
    /// Everything priced together, net of tax.
    pub band: Option<PriceRange>,
    /// The same with tax.
    pub band_with_tax: Option<PriceRange>,
    /// When it could leave the shop.
    pub promise: Option<Promise>,
    /// The written reply, ready to send.
    pub reply: String,
    /// Faults that belong to no piece.
    pub faults: Vec<Fault>,
}

/// Answers an enquiry: every section that has answers and no measurement.
#[must_use]
pub fn telephone(job: &Job, shop: &ShopSettings) -> PhoneAnswer {
    telephone_with(&mut Planner::default(), job, shop)
}

/// The same, with results kept from before.
pub fn telephone_with(planner: &mut Planner, job: &Job, shop: &ShopSettings) -> PhoneAnswer {
    let asked: Vec<&Section> =
        job.sections.iter().filter(|section| section.said.is_some() && section.measured.is_empty()).collect();
    let mut faults = Vec::new();
    let mut minutes = (0.0, 0.0);
    let mut pieces = Vec::new();
    for section in asked {
        let (piece, time) = one(planner, job, section, shop);
        minutes.0 += time.0;
        minutes.1 += time.1;
        pieces.push(piece);
    }
    let band = sum(pieces.iter().filter_map(|piece| piece.band.as_ref()), shop, &mut faults);
    let band_with_tax = band.as_ref().and_then(|band| {
        let taxed = |money: Money| shop::price::with_tax(money, shop).ok();
        Some(PriceRange { low: taxed(band.low)?, middle: taxed(band.middle)?, high: taxed(band.high)? })
    });
    let promise = match (&band, job.opened.trim()) {
        (None, _) | (_, "") => None,
        (Some(_), opened) => match shop::promise(opened, minutes.0, minutes.1, shop) {
            Ok(dates) => Some(Promise {
                counted_from: opened.into(),
                likely: dates.likely,
                latest: dates.latest,
                working: dates.working,
            }),
            Err(error) => {
                faults.push(Fault { field: "opened".into(), message: error.to_string() });
                None
            }
        },
    };
    let mut answer = PhoneAnswer { pieces, band, band_with_tax, promise, reply: String::new(), faults };
    answer.reply = reply(job, &answer, shop);
    answer
}

fn one(planner: &mut Planner, job: &Job, section: &Section, shop: &ShopSettings) -> (PhonePiece, (f64, f64)) {
    let mut piece = PhonePiece {
        id: section.id.clone(),
        title: section.title.clone(),
        hand: section.hand,
        band: None,
        declined: declined(job, section),
        measure_next: measure_next(job, section),
        faults: Vec::new(),
    };
    if piece.declined.is_some() || section.decision != Decision::Make {
        return (piece, (0.0, 0.0));
    }
    let mut prices = Vec::new();
    let mut spread: Vec<f64> = Vec::new();
    for corner in [Corner::Low, Corner::High] {
        let made = planner.make(job, section, shop, Assume { corner, second_height: false });
        let said = !made.resolved.concerns.iter().any(|concern| concern.key == HAND_NOT_SAID);
        piece.hand = made.resolved.hand.filter(|_| said);
        if !made.faults.is_empty() {
            for fault in &made.faults {
                if !piece.faults.contains(fault) {
                    piece.faults.push(fault.clone());
                }
            }
            continue;
        }
        match section_price(section, &made, shop) {
            Ok(price) => {
                spread.push(price.minutes);
                prices.push(price);
            }
            Err(error) => piece.faults.push(Fault { field: "shop.money".into(), message: error.to_string() }),
        }
    }
    if piece.faults.is_empty() {
        match shop::band(&prices) {
            Ok(band) => piece.band = band,
            Err(error) => piece.faults.push(Fault { field: "shop.money".into(), message: error.to_string() }),
        }
    }
    let mean = spread.iter().sum::<f64>() / spread.len().max(1) as f64;
    let half = spread.iter().map(|minutes| (minutes - mean).abs()).fold(0.0, f64::max);
    let shared = mean * shop.money.shared_reach_percent / 200.0;
    (piece, (mean, half + shared))
}

fn declined(job: &Job, section: &Section) -> Option<[String; 2]> {
    if let Decision::Decline { reason, instead } = &section.decision {
        return Some([reason.clone(), instead.clone()]);
    }
    let said = section.said.as_ref()?;
    let from = section.from_pattern.as_ref()?;
    let pattern = job.patterns.iter().find(|pattern| pattern.id == from.id)?;
    pattern.questions.iter().find_map(|question| {
        let id = said.answers.get(&question.id)?;
        question.answers.iter().find(|answer| answer.id == *id)?.decline.clone()
    })
}

fn measure_next(job: &Job, section: &Section) -> Vec<String> {
    let pattern =
        section.from_pattern.as_ref().and_then(|from| job.patterns.iter().find(|pattern| pattern.id == from.id));
    let measurements = pattern.map(|pattern| pattern.measurements.as_slice()).unwrap_or_default();
    measurements.iter().map(|measurement| format!("{}: {}", measurement.title, measurement.how)).collect()
}

fn sum<'a>(
    bands: impl Iterator<Item = &'a PriceRange>,
    shop: &ShopSettings,
    faults: &mut Vec<Fault>,
) -> Option<PriceRange> {
    let bands: Vec<&PriceRange> = bands.collect();
    if bands.is_empty() {
        return None;
    }
    let add = |pick: fn(&PriceRange) -> Money| Money::sum(bands.iter().map(|band| pick(band)), shop.money.currency);
    match (add(|band| band.low), add(|band| band.middle), add(|band| band.high)) {
        (Ok(low), Ok(middle), Ok(high)) => Some(PriceRange { low, middle, high }),
        (Err(error), ..) | (_, Err(error), _) | (.., Err(error)) => {
            faults.push(Fault { field: "shop.money".into(), message: error.to_string() });
            None
        }
    }
}

fn reply(job: &Job, answer: &PhoneAnswer, shop: &ShopSettings) -> String {
    let priced: Vec<&PhonePiece> = answer.pieces.iter().filter(|piece| piece.band.is_some()).collect();
    let declined: Vec<&PhonePiece> = answer.pieces.iter().filter(|piece| piece.declined.is_some()).collect();
    if let ([], [only]) = (priced.as_slice(), declined.as_slice())
        && let Some([reason, instead]) = &only.declined
    {
        let declined =
            Declined { customer: &job.customer.name, vehicle: &job.vehicle.name, piece: &only.title, reason, instead };
        return decline_reply(&declined, shop);
    }
    let mut lines = vec![greeting(&job.customer.name), String::new(), opening(job), String::new()];
    for piece in &priced {
        if let Some(band) = &piece.band {
            lines.push(format!("- {}: {} to {}, most likely {}", titled(piece), band.low, band.high, band.middle));
        }
    }
    if let (Some(band), Some(gross)) = (&answer.band, &answer.band_with_tax) {
        lines.push(format!(
            "Together {} to {} net, {} to {} with {}.",
            band.low, band.high, gross.low, gross.high, shop.money.tax_name
        ));
        lines.push("This was said on the phone, not measured: it is a band, not an offer. It becomes firm when the measurements come back.".into());
    }
    if let Some(promise) = &answer.promise {
        lines.push(format!(
            "It could leave us about {}, at the latest {}, if the order comes by {}.",
            date_in_words(&promise.likely),
            date_in_words(&promise.latest),
            date_in_words(&promise.counted_from)
        ));
    }
    for piece in &declined {
        if let Some([reason, instead]) = &piece.declined {
            lines.push(format!(
                "- {}: we would rather not take this on: {}. What we suggest instead: {}.",
                titled(piece),
                bare(reason),
                bare(instead)
            ));
        }
    }
    lines.extend(next_lines(&priced));
    let faulty = answer.pieces.iter().filter(|piece| !piece.faults.is_empty());
    lines.extend(
        faulty.map(|piece| format!("- {}: we cannot price this yet and will come back to you.", titled(piece))),
    );
    lines.extend(caution_lines(job));
    lines.extend([String::new(), "With kind regards".into(), shop.name.clone()]);
    lines.join("\n")
}

fn greeting(customer: &str) -> String {
    if customer.trim().is_empty() { "Dear customer,".into() } else { format!("Dear {},", customer.trim()) }
}

fn opening(job: &Job) -> String {
    let (sent, of) = if job.photos.is_empty() { ("your call", "about") } else { ("the photographs", "of") };
    let vehicle = job.vehicle.name.trim();
    let about = if vehicle.is_empty() { String::new() } else { format!(" {of} your {vehicle}") };
    format!("Thank you for {sent}{about}. From what you told us:")
}

fn titled(piece: &PhonePiece) -> String {
    match piece.hand {
        Some(Hand::Left) => format!("{}, left hand (driver's left)", piece.title),
        Some(Hand::Right) => format!("{}, right hand (driver's right)", piece.title),
        None => piece.title.clone(),
    }
}

fn bare(text: &str) -> &str {
    text.trim().trim_end_matches('.')
}

fn next_lines(priced: &[&PhonePiece]) -> Vec<String> {
    let mut lines = Vec::new();
    if priced.is_empty() {
        return lines;
    }
    lines.push(String::new());
    lines.push("What to measure next (a measure sheet comes with this):".into());
    for piece in priced {
        lines.extend(piece.measure_next.iter().map(|what| format!("- {}: {what}", piece.title)));
    }
    lines
}

fn caution_lines(job: &Job) -> Vec<String> {
    let mut lines = vec![
        String::new(),
        "Please do not cut anything on the vehicle before the piece is in your hands and has been held against it."
            .to_owned(),
    ];
    let near = &job.near;
    let rows = [
        (near.fuel, "Fuel is near the work: a competent person has to make tank and lines safe first."),
        (
            near.safety_mounting,
            "The work is near a mounting of steering, brakes, suspension, seat or belt: a competent person has to look at it first.",
        ),
        (near.bonded_glass, "Glass is bonded near the weld: a competent person has to take it out first."),
        (near.battery, "The battery has to come out before any weld."),
    ];
    lines.extend(rows.into_iter().filter(|(holds, _)| *holds).map(|(_, text)| text.to_owned()));
    lines
}
