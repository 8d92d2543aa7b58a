//! How a section goes in, as papers tell it: the joint and its figures, the map of the welds, settings, the practice strip.

use handbook::joints::TOUGHENED_EPOXY;
use job::plan::{JointPlan, SectionPlan, WeldRow};

use super::block::{Block, heading, strong, table, words};
use super::desk::{Desk, PaperDraft, Reader};
use super::weld_order;
use crate::drawings;
use crate::error::PacketError;
use crate::number::trimmed;

/// The joint in figures, how its edges are made ready, what is kept as a record and what can go wrong.
pub fn joint(reader: Reader, section: &SectionPlan, back_reached: Option<bool>, paper: &mut PaperDraft) {
    let joint = &section.joint;
    let (Some(form), Some(_)) = (joint.form, &joint.design) else { return };
    paper.put(heading(2, "The joint"));
    paper.put(strong(joint.sentence.clone()));
    let rows = figures(reader, joint);
    if !rows.is_empty() {
        paper.put(table(&[("figure", 2.2, false), ("", 1.4, false)], rows));
    }
    let own = form.particulars();
    paper.put(strong("Edges made ready, in this order"));
    paper.put(list(own.preparation));
    paper.put(strong("Parting the old one"));
    paper.put(list(own.parting));
    paper.put(strong("Kept as a record"));
    paper.put(Block::Ticks { items: own.record.iter().map(|item| (*item).to_owned()).collect() });
    paper.put(words(format!("Reach and kit: {}; {}.", own.access, own.kit)));
    if let Some(reached) = back_reached {
        paper.put(words(format!("Protection: {}.", own.sealable.words(reached))));
    }
    paper.put(strong("What can go wrong"));
    paper.put(list(own.can_go_wrong));
}

fn list(items: &[&str]) -> Block {
    Block::List { items: items.iter().map(|item| (*item).to_owned()).collect() }
}

/// Row of the depth of a step.
const STEP: &str = "step, down to";

/// Names and figures of a joint in the reader's unit; what is zero is left out.
fn figures(reader: Reader, joint: &JointPlan) -> Vec<Vec<String>> {
    let Some(design) = &joint.design else { return Vec::new() };
    let form = design.form;
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut put = |name: &str, value: String| rows.push(vec![name.to_owned(), value]);
    let sized = |mm: f64| (mm > 0.0).then(|| reader.write(mm));
    let span = |[low, high]: [f64; 2]| {
        if low > 0.0 {
            format!("{} to {}", reader.write_small(low), reader.write_small(high))
        } else {
            format!("none to {}", reader.write_small(high))
        }
    };
    for (name, mm) in [
        ("lap, from the old edge to the edge of the piece", design.lap_mm),
        ("sheet on sheet", design.overlap_mm),
        (STEP, design.step_mm),
        ("run of its ramp", design.ramp_mm),
    ] {
        if name == STEP && mm > 0.0 {
            put(name, reader.write_small(mm));
        } else if let Some(value) = sized(mm) {
            put(name, value);
        }
    }
    if let Some(hole_mm) = design.figures.hole_mm {
        put(
            if form.is_plugged() { "plug hole, in the sheet nearest the torch" } else { "bolt hole" },
            reader.write(hole_mm),
        );
    }
    if let Some([wanted, least]) = design.figures.nugget_mm {
        put("nugget, wanted and least", format!("{} and {} mm", trimmed(wanted, 1), trimmed(least, 1)));
    }
    if let Some(mm) = design.hole_from_old_edge_mm.filter(|_| form.kind().is_welded()) {
        let name = if form == handbook::joints::JointForm::SheetToTube {
            "from the edge of the piece"
        } else {
            "from the edge of the old sheet"
        };
        put(name, reader.write(mm));
    }
    if let Some(pitch) = joint.workings.iter().find(|working| working.name == job::plan::PITCH) {
        put("from one to the next, about", reader.write(pitch.value));
    }
    if let Some(gap) = design.figures.gap_mm {
        let name = match form.kind() {
            handbook::joints::JointKind::Butt => "gap",
            handbook::joints::JointKind::BondedLap => "bond line",
            _ => "spacer",
        };
        put(name, span(gap));
    }
    if form.is_bonded() {
        let [least, most] = TOUGHENED_EPOXY.clamp_h;
        put(
            "clamped for",
            format!("{} to {} h at about 20 °C; its maker's sheet decides", trimmed(least, 0), trimmed(most, 0)),
        );
    }
    // TIG and gas (ISO 4063) take a rod; a wire machine feeds its own
    if let Some([thin, thick]) = design.rod_mm.filter(|_| matches!(joint.process, Some(141 | 311))) {
        put("filler rod", format!("{} to {} mm, steel", trimmed(thin, 1), trimmed(thick, 1)));
    }
    let [outside, inside] = design.filler_mm;
    if form.kind().is_welded() || form.is_bonded() {
        let depth = |mm: f64| if mm > 0.0 { format!("at most {} mm", trimmed(mm, 1)) } else { "none".to_owned() };
        put("body filler to finish flush, outside / inside", format!("{} / {}", depth(outside), depth(inside)));
    }
    rows
}

/// In place of the map of a joint that is stopped.
pub const STOPPED: &str =
    "No map of the welds: the joint is stopped. Nothing is marked out, cut or welded for it before that is settled.";

/// The welds in their order on the finished piece, and along each edge in words.
///
/// # Errors
/// As [`crate::drawing::Drawing::bounds`].
pub fn welds(
    desk: &Desk<'_>,
    reader: Reader,
    section: &SectionPlan,
    paper: &mut PaperDraft,
) -> Result<(), PacketError> {
    let joint = &section.joint;
    if joint.maps.is_empty() {
        return Ok(());
    }
    if desk.plan.joint_stopped(section) {
        paper.put(words(STOPPED.to_owned()));
        return Ok(());
    }
    paper.put(heading(2, "Welds, in this order"));
    for piece in section.as_fitted() {
        if let Some(view) = drawings::weld_map_view(section, &piece, section.hand, 170.0, 105.0) {
            paper.picture(&view, "", 105.0)?;
        }
    }
    let mut order = drawings::order_words(joint.order_by, &joint.maps).to_owned();
    order.push_str("; the map at 1:1 is in the packet");
    paper.put(words(capital(&order) + "."));
    let (mut told, mut said): (Vec<WeldRow>, Vec<String>) = (Vec::new(), Vec::new());
    for map in &joint.maps {
        let Some(symbol) = drawings::WeldSymbol::of(joint, map) else { continue };
        let words = match map.row {
            WeldRow::LongSeam => format!("along the seam, {}", symbol.words()),
            _ => symbol.words(),
        };
        // edges of one row differ in their count alone: one of them says what the symbol is
        if !told.contains(&map.row) {
            told.push(map.row);
            said.push(words);
        }
    }
    if !said.is_empty() {
        paper.put(words(format!("The symbol (ISO 2553) says: {}.", said.join("; and "))));
    }
    for map in &joint.maps {
        let start = match (&section.cut, map.edge.as_str()) {
            (Some(cut), "cut edge") => format!("from its {}", cut.end_names[0]),
            _ => "from its 0 mark on the 1:1 map".to_owned(),
        };
        let unit = reader.unit();
        let line = drawings::order_line(map, |mm| plain(reader, mm));
        paper.put(Block::Small { text: format!("{}, {line} ({unit}, {start})", map.piece) });
    }
    weld_order::pauses(joint, paper);
    weld_order::shape(reader, section, paper)
}

/// A length without its unit, which stands once at the end of the line.
fn plain(reader: Reader, mm: f64) -> String {
    match reader {
        Reader::Millimetres => trimmed(mm, 0),
        Reader::Inches(finest) => units::format_inch(mm, finest).trim_end_matches('"').to_owned(),
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// Settings of the fitter's machine.
pub fn settings(section: &SectionPlan, paper: &mut PaperDraft) {
    let set = &section.joint.settings;
    if set.is_empty() {
        return;
    }
    paper.put(heading(2, "Settings to start with"));
    let rows = set.iter().map(|one| vec![one.what.clone(), one.to.clone()]).collect();
    paper.put(table(&[("set", 1.0, false), ("to", 4.0, false)], rows));
    let decides = if section.joint.practice.is_some() {
        "The strip below decides"
    } else {
        "A trial on two offcuts of the same sheets decides"
    };
    paper.put(Block::Small {
        text: format!("Starting values and estimates for this sheet and kit. {decides}, then the maker's own table."),
    });
}

/// The practice strip at 1:1, with what a good, a cold and a burnt-through weld look like.
///
/// # Errors
/// As [`crate::drawing::Drawing::bounds`].
pub fn practice(reader: Reader, section: &SectionPlan, paper: &mut PaperDraft) -> Result<(), PacketError> {
    let Some(strip) = section.joint.practice else { return Ok(()) };
    paper.put(Block::NewPage);
    paper.put(heading(2, "Practise on this first"));
    let [upper, lower] = strip.thickness_mm;
    paper.put(words(format!(
        "Two offcuts come in the parcel, {} mm and {} mm, the same sheets as the job. Make the joint on them before the vehicle is touched: the welds in the order of their numbers, cold to the hand between them. Then look at the back, and try to twist them apart.",
        trimmed(upper, 2),
        trimmed(lower, 2)
    )));
    let name = paper.keep(&drawings::practice_strip(&strip, reader.lengths()))?;
    paper.put(Block::Exact { name });
    paper.picture(&drawings::practice_outcomes(strip.form), "", 95.0)?;
    paper.put(Block::Ticks {
        items: vec![
            "three good ones in a row, and the sheets tear before the welds".to_owned(),
            "settings written down: ______________________".to_owned(),
        ],
    });
    Ok(())
}
