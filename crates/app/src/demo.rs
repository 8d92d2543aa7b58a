//! The demo: an invented shop and invented jobs, built into the program from `examples/`.

use crate::failure::Failure;
use crate::waiting::Waits;
use job::file::{Job, Pattern};
use rust_embed::RustEmbed;
use shop::ShopSettings;

#[derive(RustEmbed)]
#[folder = "../../examples/"]
struct Examples;

/// The shop's settings among the examples.
const SHOP: &str = "shop.toml";
/// The whole job.
const JOB: &str = "wren15.toml";
/// The same van as it was asked for on the telephone.
const ENQUIRY: &str = "wren15-enquiry.toml";
/// A double-curved skin of it.
const DOME: &str = "dome-corner.toml";
/// A tube of its ladder, with the pattern it is made from.
const LADDER: &str = "ladder-tube.toml";
/// Its air duct and rain funnel: a transition and a leaning frustum.
const FUNNEL: &str = "roof-funnel.toml";
/// Two rings of its roof, with the pattern of one.
const RINGS: &str = "ventilator-ring.toml";
/// A section of it made of three folded pieces; its pattern stands on the shelf.
const BOXED_END: &str = "boxed-end.toml";
/// A section of it made of a skin and a strip with a wired edge.
const GUTTER_END: &str = "gutter-end.toml";
/// The foot of its ladder: a tube on a plate, with a gusset.
const LADDER_FOOT: &str = "ladder-foot.toml";
/// A panel of it with a plate that the fitter opens for the lamp.
const LAMP_PANEL: &str = "lamp-panel.toml";
/// Skins that curve both ways, to begin one with.
const SKINS: &str = "skin-patterns.toml";
/// Jobs whose patterns stand on the shelf.
const PATTERNS: [&str; 11] = [
    JOB,
    LADDER,
    FUNNEL,
    RINGS,
    BOXED_END,
    LADDER_FOOT,
    LAMP_PANEL,
    "door-corner.toml",
    "arch-lip.toml",
    "panel-corner.toml",
    SKINS,
];

/// The demo's shop.
///
/// # Errors
/// An example that cannot be read: a fault of the build.
pub fn shop() -> Result<ShopSettings, Failure> {
    ShopSettings::read_toml(&text(SHOP)?).map_err(|error| Failure::machine(format!("{SHOP}: {error}")))
}

/// A card of the demo and what a person has said about it beyond its job file.
#[derive(Debug, Clone)]
pub struct DemoCard {
    /// The job.
    pub job: Job,
    /// What was said about where it stands on the rack.
    pub said: Option<Waits>,
}

/// The demo's cards: the job and the enquiry of `examples/`, and around them an ordinary day's rack of the same pieces.
///
/// # Errors
/// As [`shop()`].
pub fn cards() -> Result<Vec<DemoCard>, Failure> {
    let (job, enquiry) = (read(JOB)?, read(ENQUIRY)?);
    let kinds = [DOME, LADDER, FUNNEL, RINGS, BOXED_END, GUTTER_END, LADDER_FOOT, LAMP_PANEL];
    let kinds = kinds.map(read).into_iter().collect::<Result<Vec<_>, _>>()?;
    let own = [enquiry, job.clone()].into_iter().chain(kinds).map(|job| DemoCard { job, said: None });
    Ok(ordinary_day(&job).into_iter().chain(own).collect())
}

/// The patterns on the demo's shelf.
///
/// # Errors
/// As [`shop()`].
pub fn patterns() -> Result<Vec<Pattern>, Failure> {
    let mut patterns = Vec::new();
    for name in PATTERNS {
        patterns.extend(read(name)?.patterns);
    }
    Ok(patterns)
}

fn read(name: &str) -> Result<Job, Failure> {
    job::read_toml(&text(name)?).map_err(|errors| Failure::machine(format!("{name}: {errors}")))
}

/// Cards before and after the example, each with one of its pieces.
fn ordinary_day(job: &Job) -> Vec<DemoCard> {
    let card = |number: &str, title: &str, customer: &str, section: &str, said: Option<Waits>| {
        let mut part = job.clone();
        part.sections.retain(|own| own.id == section);
        let own = part.sections.first()?;
        let pattern = own.from_pattern.as_ref().map(|from| from.id.clone());
        part.patterns.retain(|own| Some(&own.id) == pattern.as_ref());
        part.alternatives.clear();
        (part.number, part.title) = (number.to_owned(), title.to_owned());
        part.customer.name = format!("{customer} (invented)");
        Some(DemoCard { job: part, said })
    };
    let mut cards = vec![
        card("26-010", "Spring hanger of a Wren 15", "Fenwater Film Vans", "spring_bracket", None),
        card(
            "26-011",
            "Step-well tray for the second library van",
            "Lower Heddle Library Van Trust",
            "step_well",
            Some(Waits::Sent),
        ),
        card("26-012", "Locker-door edge, a spare", "Market Hall Museum", "locker", Some(Waits::ForTryOnReply)),
        card(
            "26-013",
            "Wheel-arch edge, right rear, once more",
            "Tolland Road Garage",
            "arch",
            Some(Waits::OnTheBench),
        ),
        card("26-015", "Gutter flanges, asked for on the telephone", "Tolland Road Garage", "gutter", None),
    ];
    if let Some(asked) = cards.last_mut().and_then(Option::as_mut) {
        said_only(&mut asked.job);
    }
    cards.into_iter().flatten().collect()
}

/// What a call leaves on the card: answers, and nothing measured.
fn said_only(job: &mut Job) {
    for section in &mut job.sections {
        section.measured.clear();
        section.damage = job::file::Damage::default();
        section.said = Some(job::file::Said::default());
    }
}

fn text(name: &str) -> Result<String, Failure> {
    let missing = || Failure::machine(format!("example {name} is not in this program"));
    let file = Examples::get(name).ok_or_else(missing)?;
    String::from_utf8(file.data.into_owned()).map_err(|error| Failure::machine(format!("{name}: {error}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_example_can_be_read() {
        assert!(!shop().unwrap().name.is_empty());
        let cards = cards().unwrap();
        for card in &cards {
            assert!(!card.job.sections.is_empty(), "{} has no section", card.job.number);
        }
        let numbers: std::collections::BTreeSet<_> = cards.iter().map(|card| &card.job.number).collect();
        assert_eq!(numbers.len(), cards.len());
    }

    /// Every kind of piece has a picture on the shelf to start from and a card on the rack.
    #[test]
    fn every_kind_is_on_the_shelf_and_on_the_rack() {
        use job::file::Piece;
        let kind = |piece: &Piece| match piece {
            Piece::Strip(_) => "strip",
            Piece::Folded(_) => "folded",
            Piece::Skin(_) => "skin",
            Piece::Tube(_) => "tube",
            Piece::Cone(_) => "cone",
            Piece::Transition(_) => "transition",
            Piece::Ring(_) => "ring",
        };
        let all = ["strip", "folded", "skin", "tube", "cone", "transition", "ring"];
        let shelf = patterns().unwrap();
        let on_the_shelf: std::collections::BTreeSet<_> = shelf.iter().flat_map(|own| &own.pieces).map(kind).collect();
        let cards = cards().unwrap();
        let jobs = || cards.iter().map(|card| &card.job);
        let of_patterns = jobs().flat_map(|job| &job.patterns).flat_map(|own| &own.pieces);
        let on_the_rack: std::collections::BTreeSet<_> =
            jobs().flat_map(|job| &job.sections).flat_map(|own| &own.pieces).chain(of_patterns).map(kind).collect();
        for wanted in all {
            assert!(on_the_shelf.contains(wanted), "no {wanted} on the shelf");
            assert!(on_the_rack.contains(wanted), "no {wanted} on the rack");
        }
        assert!(shelf.iter().any(|own| !own.seams.is_empty()), "several pieces as one");
        for own in &shelf {
            assert!(!own.plain_words.is_empty() && !own.questions.is_empty(), "{} has no start in plain words", own.id);
        }
    }
}
