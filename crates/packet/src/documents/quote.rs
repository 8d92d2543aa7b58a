//! The quote: every line shown, a range and never a bare number, what is assumed, what stands in the way.

use handbook::Grade;
use job::file::Decision;
use job::plan::{Origin, SectionPlan, promise_from};
use shop::{Price, date_in_words};

use super::block::{Block, concern, heading, strong, table, words};
use super::desk::{Desk, PaperDraft};
use crate::error::PacketError;

/// Sets the quote of the whole job.
///
/// # Errors
/// As [`crate::pdf::typeset`].
pub fn quote(desk: &Desk<'_>) -> Result<Vec<u8>, PacketError> {
    let mut paper = PaperDraft::default();
    let customer = &desk.job.customer;
    paper.put(words(format!("For {} · {}", customer.name, desk.vehicle())));
    if said_on_the_phone(desk) {
        paper.put(Block::Banner {
            title: "Said on the phone, not measured".to_owned(),
            lines: vec!["These figures rest on what was said on the telephone and on photographs. They are a band, not an offer; the measure sheet makes them one.".to_owned()],
        });
    }
    summary(desk, &mut paper);
    for section in &desk.plan.sections {
        of_section(desk, section, &mut paper);
    }
    closing(desk, &mut paper);
    desk.set("Quote", &desk.job.title, paper)
}

/// True when any figure of the job was said and not measured.
pub fn said_on_the_phone(desk: &Desk<'_>) -> bool {
    let priced = desk.plan.price.iter().chain(desk.plan.sections.iter().filter_map(|section| section.price.as_ref()));
    priced.into_iter().any(|price| price.said_on_the_phone)
        || desk
            .plan
            .sections
            .iter()
            .flat_map(|section| &section.measured)
            .any(|figure| figure.origin == Origin::SaidOnThePhone)
}

fn summary(desk: &Desk<'_>, paper: &mut PaperDraft) {
    let mut rows: Vec<Vec<String>> = desk
        .plan
        .sections
        .iter()
        .map(|section| {
            let what = match &section.decision {
                Decision::Make => format!("{} × made", section.quantity),
                Decision::LeaveAndTreat { .. } => "left and treated".to_owned(),
                Decision::Decline { .. } => "declined, see the letter".to_owned(),
            };
            let (middle, range) = price_words(section.price.as_ref());
            vec![section.title.clone(), what, middle, range]
        })
        .collect();
    let mut strong_rows = Vec::new();
    if let Some(price) = &desk.plan.price {
        for line in price.lines.iter().filter(|line| line.class == shop::LineClass::Set) {
            rows.push(vec![line.what.clone(), line.quantity.clone(), line.amount.to_string(), String::new()]);
        }
        strong_rows = vec![rows.len(), rows.len() + 1];
        let money = &desk.shop.money;
        rows.push(vec![
            "Together, net".to_owned(),
            String::new(),
            price.net.middle.to_string(),
            range_words(&price.net),
        ]);
        let tax = format!("Together with {} {} %", money.tax_name, crate::number::trimmed(money.tax_percent, 2));
        rows.push(vec![tax, String::new(), price.gross.middle.to_string(), range_words(&price.gross)]);
    }
    let columns =
        [("What", 3.0, false), ("", 1.6, false), ("Middle, net", 1.4, true), ("Nine in ten lie between", 2.2, true)];
    let Block::Table { head, rows, shares, right, .. } = table(&columns, rows) else { return };
    paper.put(Block::Table { head, rows, shares, right, strong: strong_rows });
    set_working(desk, paper);
    // counted from the day of the paper: a quote never promises a day that is past. A calendar that cannot be read is a fault of
    // the shop's settings, told where they are set; the paper then promises nothing.
    if let Ok(Some(promise)) = promise_from(&desk.iso_day(), desk.plan, desk.shop) {
        paper.put(strong(format!(
            "When: likely {}, at the latest {} (kept nineteen times in twenty), if the order and the measurements are here on {}.",
            date_in_words(&promise.likely),
            date_in_words(&promise.latest),
            desk.date()
        )));
    }
    if !desk.plan.compared.is_empty() {
        paper.put(heading(2, "Compared with"));
        paper.put(Block::List { items: desk.plan.compared.clone() });
    }
}

/// What a set saves, with its working in words: singly, less the minutes that are not spent twice.
fn set_working(desk: &Desk<'_>, paper: &mut PaperDraft) {
    let Some(price) = &desk.plan.price else { return };
    let Some(line) = price.lines.iter().find(|line| line.class == shop::LineClass::Set) else { return };
    let singly = desk.plan.sections.iter().filter_map(|section| section.price.as_ref());
    let currency = price.net.middle.currency;
    let Ok(singly) = units::Money::sum(singly.map(|own| own.net.middle), currency) else { return };
    let given =
        |symbol: &str| line.working.inputs.iter().find(|given| given.symbol == symbol).map_or(0.0, |own| own.value);
    paper.put(words(format!(
        "Singly these pieces come to {singly}; made together {}. Saved: {:.0} min of setting out and templates, {:.0} min of setting machines, at {} {} an hour with its {} % overhead and {} % margin.",
        price.net.middle,
        given("once"),
        given("settings"),
        desk.shop.money.currency.code(),
        desk.shop.money.hour.clone().unwrap_or_default(),
        crate::number::trimmed(given("overhead"), 1),
        crate::number::trimmed(given("margin"), 1)
    )));
}

fn price_words(price: Option<&Price>) -> (String, String) {
    price.map_or_else(
        || ("–".to_owned(), "no price".to_owned()),
        |price| (price.net.middle.to_string(), range_words(&price.net)),
    )
}

fn range_words(range: &shop::PriceRange) -> String {
    format!("{} to {}", range.low, range.high)
}

fn of_section(desk: &Desk<'_>, section: &SectionPlan, paper: &mut PaperDraft) {
    paper.put(heading(2, format!("{}{}", section.title, hand_words(section))));
    match &section.decision {
        Decision::Decline { reason, instead } => {
            paper.put(words(format!("Declined: {reason}")));
            paper.put(words(format!("Instead: {instead}")));
        }
        Decision::LeaveAndTreat { reason } => {
            paper.put(words(format!("Left and treated: {reason}")));
        }
        Decision::Make => {}
    }
    // what is not made has said its reason above; it has no joint
    let joint = if section.decision == Decision::Make { section.joint.sentence.as_str() } else { "" };
    let facts = [section.pattern.as_str(), section.damage.as_str(), joint];
    for fact in facts.into_iter().filter(|fact| !fact.is_empty()) {
        paper.put(words(fact));
    }
    if let Some(own) = &section.assembly {
        let seams = if own.seams.len() == 1 { "1 seam".to_owned() } else { format!("{} seams", own.seams.len()) };
        paper.put(words(format!("One section of {} pieces, joined by {seams} in the shop.", own.pieces.len())));
    }
    if let Some(cut) = &section.cut {
        paper.put(words(cut.sentence.clone()));
        if let Some(second) = cut.second_cut_height_mm {
            let reader = desk.customer();
            paper.put(strong(format!(
                "Rust is seen, not proven. Two heights: cut at {} if cleaning shows no more, at {} if it does.",
                reader.write(cut.cut_height_mm),
                reader.write(second)
            )));
            if let Some(price) = &section.second_price {
                paper.put(words(format!(
                    "At the second height: {} net, nine in ten {}.",
                    price.net.middle,
                    range_words(&price.net)
                )));
            }
        }
    }
    assumed(desk, section, paper);
    if let Some(price) = &section.price {
        lines(price, paper);
    }
    for fault in &section.faults {
        paper.put(strong(format!("Not worked out: {}", fault.message)));
    }
    let grave = section.concerns.iter().filter(|concern| concern.grade != Grade::Note);
    for found in grave {
        paper.put(concern(found));
    }
}

fn hand_words(section: &SectionPlan) -> String {
    section.pieces.first().map(|piece| format!(" · {}", piece.placing.hand)).unwrap_or_default()
}

fn assumed(desk: &Desk<'_>, section: &SectionPlan, paper: &mut PaperDraft) {
    let reader = desk.customer();
    let items: Vec<String> = section
        .measured
        .iter()
        .map(|figure| {
            let origin = match figure.origin {
                Origin::Measured => "measured",
                Origin::SaidOnThePhone => "said on the phone, not measured",
                Origin::PatternNominal => "taken from the pattern, not measured",
            };
            let check = match (figure.agrees, figure.expected_mm) {
                (Some(true), _) => " · check figure, agrees".to_owned(),
                (Some(false), Some(expected)) => {
                    format!(" · check figure, expected {}: does NOT agree", reader.write(expected))
                }
                (Some(false), None) => " · check figure, does NOT agree".to_owned(),
                (None, _) => String::new(),
            };
            format!(
                "{}: {} ± {}, {origin}{check}",
                figure.title,
                reader.write(figure.value_mm),
                units::format_mm(figure.reach_mm, 1)
            )
        })
        .collect();
    if !items.is_empty() {
        paper.put(strong("What it rests on"));
        paper.put(Block::List { items });
    }
}

fn lines(price: &Price, paper: &mut PaperDraft) {
    let mut rows: Vec<Vec<String>> = price
        .lines
        .iter()
        .map(|line| {
            vec![line.what.clone(), line.class.words().to_owned(), line.quantity.clone(), line.amount.to_string()]
        })
        .collect();
    let strong = vec![rows.len()];
    rows.push(vec!["net, middle".to_owned(), String::new(), range_words(&price.net), price.net.middle.to_string()]);
    let columns = [("Line", 3.2, false), ("Class", 1.2, false), ("Quantity", 2.0, true), ("Amount", 1.3, true)];
    let Block::Table { head, rows, shares, right, .. } = table(&columns, rows) else { return };
    paper.put(Block::Table { head, rows, shares, right, strong });
    if let Some(next) = &price.next_one {
        paper.put(Block::Small { text: format!("The same piece again from the kept pattern: {next} net, middle.") });
    }
}

fn closing(desk: &Desk<'_>, paper: &mut PaperDraft) {
    if !desk.plan.concerns.is_empty() {
        paper.put(heading(2, "To know before work starts"));
        for found in &desk.plan.concerns {
            paper.put(concern(found));
        }
    }
    let lifts = desk.lifts();
    if !lifts.is_empty() {
        paper.put(heading(2, "Stops lifted"));
        paper.put(Block::List { items: lifts });
    }
    paper.put(Block::Small {
        text: "Middle: as many jobs like this come out below it as above. Nine in ten: one in twenty comes out below the first figure, one in twenty above the second. Roadworthiness rules differ from country to country: ask the local inspector before the vehicle goes on the road."
            .to_owned(),
    });
}
