//! The courteous reply when the shop does not take a piece on.

use crate::ShopSettings;

/// What is declined.
#[derive(Debug, Clone, Copy)]
pub struct Declined<'a> {
    /// Who asked.
    pub customer: &'a str,
    /// The vehicle.
    pub vehicle: &'a str,
    /// The piece.
    pub piece: &'a str,
    /// Why.
    pub reason: &'a str,
    /// What to do instead.
    pub instead: &'a str,
}

/// The reply as text, ready to send: thanks, the reason, what to do instead, an open door.
#[must_use]
pub fn decline_reply(declined: &Declined<'_>, settings: &ShopSettings) -> String {
    let greeting = if declined.customer.trim().is_empty() {
        "Dear customer,".into()
    } else {
        format!("Dear {},", declined.customer.trim())
    };
    let vehicle = declined.vehicle.trim();
    let about = if vehicle.is_empty() { String::new() } else { format!(" of your {vehicle}") };
    format!(
        "{greeting}\n\nThank you for the photographs and for thinking of us. We have looked at the {}{about} and would rather not take it on: {}\n\n\
         What we suggest instead: {}\n\n\
         There is nothing to pay. If any of this is unclear, or the rest of the work goes another way than you expect, please ring us and we will talk it through.\n\n\
         With kind regards\n{}",
        declined.piece.trim(),
        sentence(declined.reason),
        sentence(declined.instead),
        settings.name
    )
}

/// The text with a full stop at its end.
fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.ends_with(['.', '!', '?']) { text.to_owned() } else { format!("{text}.") }
}
