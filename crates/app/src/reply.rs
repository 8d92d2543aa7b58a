//! The written reply to an enquiry that has been measured: what is made at what price and when, what is not, and why.
//! What was only said on the telephone is answered by [`job::telephone`].

use crate::words::hand_in_full;
use job::file::{Decision, Job};
use job::plan::{Plan, SectionPlan, promise_from};
use shop::{ShopSettings, date_in_words};
use std::fmt::Write as _;

/// Whether any piece stands on what was only said on the telephone.
pub fn is_said_on_the_phone(job: &Job) -> bool {
    job.sections.iter().any(|section| section.said.is_some() && section.measured.is_empty())
}

/// The reply as text, ready to send.
///
/// `day` is the day it goes out (YYYY-MM-DD): the date that it promises counts from it.
pub fn letter(job: &Job, plan: &Plan, settings: &ShopSettings, day: &str) -> String {
    let made: Vec<&SectionPlan> = plan.sections.iter().filter(|section| section.decision == Decision::Make).collect();
    if made.is_empty() {
        return declined_only(plan, settings);
    }
    let name = job.customer.name.trim();
    let mut text = if name.is_empty() { "Dear customer,\n\n".to_owned() } else { format!("Dear {name},\n\n") };
    let vehicle = if job.vehicle.name.is_empty() { String::new() } else { format!(" for the {}", job.vehicle.name) };
    let _ = writeln!(
        text,
        "Thank you for {} about the work{vehicle} (our number {}).\n",
        if job.photos.is_empty() { "your call" } else { "the photographs and your call" },
        job.number
    );
    for section in &made {
        text.push_str(&made_line(section));
    }
    for section in plan.sections.iter().filter(|section| section.decision != Decision::Make) {
        text.push_str(&other_line(section));
    }
    text.push('\n');
    text.push_str(&whole(plan, made.len(), settings, day));
    text.push_str(&closing(settings));
    text
}

fn made_line(section: &SectionPlan) -> String {
    let hand = section.hand.map(|hand| format!(", {}", hand_in_full(hand))).unwrap_or_default();
    let quantity = if section.quantity > 1 { format!("{} × ", section.quantity) } else { String::new() };
    let price = match &section.price {
        Some(price) => {
            format!("between {} and {}, most likely {} (net of tax)", price.net.low, price.net.high, price.net.middle)
        }
        None => "we cannot say a price yet".to_owned(),
    };
    format!("- {quantity}{}{hand}: {price}\n", section.title)
}

fn other_line(section: &SectionPlan) -> String {
    match &section.decision {
        Decision::Decline { reason, instead } => {
            format!(
                "- {}: we would rather not make this one: {}. Instead: {}.\n",
                section.title,
                bare(reason),
                bare(instead)
            )
        }
        Decision::LeaveAndTreat { reason } => {
            format!("- {}: may be left and treated: {}.\n", section.title, bare(reason))
        }
        Decision::Make => String::new(),
    }
}

/// Words of a person without the stop they may end in.
fn bare(text: &str) -> &str {
    text.trim().trim_end_matches('.')
}

fn whole(plan: &Plan, made: usize, settings: &ShopSettings, day: &str) -> String {
    let mut text = String::new();
    if let (Some(price), true) = (&plan.price, made > 1) {
        let _ = writeln!(text, "Together: between {} and {} (net of tax).", price.net.low, price.net.high);
    }
    if let Ok(Some(promise)) = promise_from(day, plan, settings) {
        let _ = writeln!(
            text,
            "If the order and all measurements are here on {}, it could leave here about {}, and by {} at the latest.",
            date_in_words(day),
            date_in_words(&promise.likely),
            date_in_words(&promise.latest)
        );
    }
    text
}

fn closing(settings: &ShopSettings) -> String {
    let contact = settings.contact.join(", ");
    format!(
        "\nPlease do not cut the vehicle before you hold the piece against it.\n\nWith kind regards\n{}\n{contact}",
        settings.name
    )
}

/// The planner has written a letter for every declined piece already.
fn declined_only(plan: &Plan, settings: &ShopSettings) -> String {
    let letters: Vec<&str> =
        plan.sections.iter().map(|section| section.reply.as_str()).filter(|reply| !reply.is_empty()).collect();
    if !letters.is_empty() {
        return letters.join("\n\n");
    }
    let left: String = plan.sections.iter().map(other_line).collect();
    format!("Dear customer,\n\n{left}\nWith kind regards\n{}", settings.name)
}
