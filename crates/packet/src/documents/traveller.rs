//! The traveller: what goes round the shop with the metal.

use blank::material_name;
use job::plan::{PiecePlan, SectionPlan};

use super::block::{Block, concern, heading, strong, table, words};
use super::desk::{Desk, PaperDraft};
use super::fitting_sheet::{cautions, protection};
use super::{ring, weld_order, welding};
use crate::drawings;
use crate::error::PacketError;
use crate::number::trimmed;

/// Sets the traveller of a section, in millimetres: the shop's own paper.
///
/// # Errors
/// As [`crate::pdf::typeset`].
pub fn traveller(desk: &Desk<'_>, section: &SectionPlan) -> Result<Vec<u8>, PacketError> {
    let mut paper = PaperDraft::default();
    paper.put(words(format!("{} · {} off · {}", desk.vehicle(), section.quantity, section.pattern)));
    for stop in desk.plan.open_stops(section) {
        paper.put(concern(stop));
    }
    for lift in desk.lifts() {
        paper.put(strong(lift));
    }
    for piece in &section.pieces {
        of_piece(section, piece, &mut paper)?;
    }
    super::assembly::for_the_shop(section, &mut paper)?;
    operations(section, &mut paper);
    checks(section, &mut paper);
    pair_check(section, &mut paper);
    packing(section, &mut paper);
    goes_in(desk, section, &mut paper);
    protection(section, &mut paper);
    cautions(desk, section, &mut paper);
    desk.set("Traveller", &section.title, paper)
}

/// What is left on to trim, and where.
fn left_on(piece: &PiecePlan) -> String {
    let mm = trimmed(piece.blank.trim_mm, 1);
    if piece.blank.trim_mm <= 0.0 {
        ", nothing left on".to_owned()
    } else if piece.tube.is_some() {
        format!(", the folds of a flattened end stand out {mm} mm and are trimmed off")
    } else if piece.ring.is_some() {
        format!(", up to {mm} mm left on at an edge, on the radius")
    } else {
        format!(", up to {mm} mm left on at an edge to trim")
    }
}

fn of_piece(section: &SectionPlan, piece: &PiecePlan, paper: &mut PaperDraft) -> Result<(), PacketError> {
    paper.put(heading(2, format!("{}: {}", piece.name, piece.placing.hand)));
    let blank = &piece.blank;
    let size = super::box_of(&blank.outline_mm);
    // a size that comes from no measurement of this job has no reach of its own to print
    let reach = if piece.reach_mm > 0.0 {
        format!(", reach of its sizes ± {} mm", trimmed(piece.reach_mm, 1))
    } else {
        String::new()
    };
    paper.put(words(format!(
        "{} mm {}, blank {} × {} mm{}{reach}",
        trimmed(blank.thickness_mm, 3),
        material_name(&blank.material),
        trimmed(size[0], 1),
        trimmed(size[1], 1),
        left_on(piece)
    )));
    let mut lines = drawings::placing_lines(&piece.placing);
    lines.extend(drawings::datum_lines(piece));
    paper.put(Block::List { items: lines });
    let high_mm = if piece.skin.is_some() { 120.0 } else { 70.0 };
    paper.picture(&drawings::isometric(piece, section.hand, 170.0, high_mm), "", high_mm)?;
    ring::of_ring(piece, paper)?;
    for shape in middle_and_ends(piece) {
        let scale = crate::drawing::Scale::FULL;
        paper.picture(&drawings::working_section(section, piece, shape, scale), "", 80.0)?;
    }
    let scale = drawings::flat_scale(piece, 165.0, 140.0);
    let flat = drawings::flat_drawing(piece, section.hand, scale);
    paper.picture(&flat, format!("Flat at {}; the 1:1 print and the DXF are in the packet.", scale.title()), 235.0)?;
    for listed in drawings::flat_lists(piece) {
        let columns: Vec<(&str, f64, bool)> =
            listed.head.iter().zip(listed.shares).map(|(title, share)| (*title, *share, false)).collect();
        paper.put(table(&columns, listed.rows));
    }
    for note in drawings::flat_notes(piece) {
        paper.put(words(note.text));
    }
    if !blank.wires.is_empty() {
        paper.put(strong("Wire to cut"));
        let rows = blank.wires.iter().map(wire_row).collect();
        let columns = [
            ("Wire", 1.6, false),
            ("⌀", 0.8, true),
            ("cut length", 1.0, true),
            ("stands out, start / end", 1.5, false),
            ("pre-bend radius of its centre line", 2.6, false),
        ];
        paper.put(table(&columns, rows));
    }
    let grave = blank.concerns.iter().filter(|found| !section.concerns.contains(found));
    for found in grave {
        paper.put(concern(found));
    }
    Ok(())
}

fn middle_and_ends(piece: &PiecePlan) -> impl Iterator<Item = &job::plan::SectionShape> {
    let middle = piece.cross_sections.len() / 2;
    piece.cross_sections.iter().enumerate().filter(move |(index, _)| *index == middle).map(|(_, shape)| shape)
}

fn wire_row(wire: &blank::WirePart) -> Vec<String> {
    let [start, end] = wire.stands_out_mm.map(|out| trimmed(out, 1));
    let radii = wire
        .bend_radius_mm
        .iter()
        .zip(["at the start", "in the middle", "at the end"])
        .map(|((_, radius), place)| {
            let radius = radius.map_or_else(|| "straight".to_owned(), |radius| format!("R{} mm", trimmed(radius, 0)));
            format!("{radius} {place}")
        })
        .collect::<Vec<_>>()
        .join(", ");
    vec![
        wire.name.clone(),
        format!("{} mm", trimmed(wire.diameter_mm, 2)),
        format!("{} mm", trimmed(wire.cut_length_mm, 1)),
        format!("{start} / {end} mm"),
        radii,
    ]
}

fn operations(section: &SectionPlan, paper: &mut PaperDraft) {
    if section.operations.is_empty() {
        return;
    }
    paper.put(heading(2, "Operations"));
    let rows = section
        .operations
        .iter()
        .map(|operation| {
            let mut what = operation.what.clone();
            if !operation.piece.is_empty() && section.pieces.len() > 1 {
                what = format!("{}: {what}", operation.piece);
            }
            let minutes = &operation.minutes;
            vec![
                operation.number.to_string(),
                what,
                operation.settings.join("\n"),
                checks_words(&operation.checks),
                format!("{} ({} to {})", trimmed(minutes.mean(), 0), trimmed(minutes.low, 0), trimmed(minutes.high, 0)),
                String::new(),
            ]
        })
        .collect();
    let columns = [
        ("", 0.0, true),
        ("What", 2.5, false),
        ("Settings", 2.7, false),
        ("Check with", 2.2, false),
        ("Minutes", 1.0, true),
        ("taken", 0.7, true),
    ];
    paper.put(table(&columns, rows));
}

/// The checks of an operation; a long list stands in its own table below.
fn checks_words(checks: &[String]) -> String {
    const SHOWN: usize = 3;
    if checks.len() <= SHOWN {
        return checks.join("\n");
    }
    "the sizes of “Check before it leaves”, below".to_owned()
}

fn checks(section: &SectionPlan, paper: &mut PaperDraft) {
    for piece in section.pieces.iter().filter(|piece| !piece.blank.check_dimensions.is_empty()) {
        paper.put(heading(2, format!("Check before it leaves: {}", piece.name)));
        let rows = piece
            .blank
            .check_dimensions
            .iter()
            .map(|check| {
                vec![
                    check.name.clone(),
                    format!("{} {}", trimmed(check.nominal, 1), check.unit),
                    format!("± {} {}", trimmed(check.tolerance, 2), check.unit),
                    check.rule.clone(),
                    check
                        .reach
                        .map_or_else(|| "–".to_owned(), |reach| format!("± {} {}", trimmed(reach, 1), check.unit)),
                    String::new(),
                ]
            })
            .collect();
        let columns = [
            ("Dimension", 3.4, false),
            ("Nominal", 1.1, true),
            ("Tolerance", 1.1, true),
            ("Rule", 1.5, false),
            ("Reach", 0.8, true),
            ("found", 0.9, true),
        ];
        paper.put(table(&columns, rows));
    }
    let templates: Vec<String> = section
        .pieces
        .iter()
        .flat_map(|piece| {
            let strips =
                piece.cross_sections.iter().map(|shape| format!("{}, {}, outside face", piece.name, shape.name));
            let wraps = piece.tube.iter().flat_map(|tube| &tube.wraps).map(|wrap| format!("to wrap: {}", wrap.name));
            let radius = drawings::radius_template_names(piece);
            let ends = drawings::end_template_names(piece);
            strips.chain(drawings::skin_template_names(piece)).chain(wraps).chain(ends).chain(radius)
        })
        .collect();
    if !templates.is_empty() {
        paper.put(strong("Templates (1:1, in the packet)"));
        paper.put(Block::Ticks { items: templates });
    }
}

fn pair_check(section: &SectionPlan, paper: &mut PaperDraft) {
    let mated: Vec<&PiecePlan> = section.pieces.iter().filter(|piece| piece.mates_with.is_some()).collect();
    let Some(first) = mated.first() else { return };
    let mate = first.mates_with.clone().unwrap_or_default();
    paper.put(heading(2, "Pair check"));
    paper.put(Block::Ticks {
        items: vec![
            format!("Bolt {} to {mate} on the bench with the spacer between: every bolt goes in by hand.", first.name),
            "The outside skins run on into one another; no step at the line where they meet.".to_owned(),
            "The gap between the faces is the same all along.".to_owned(),
            "Mark both as one pair before they come apart.".to_owned(),
        ],
    });
}

/// How the fitter will join it: what the shop's own step, holes and offcuts must agree with.
fn goes_in(desk: &Desk<'_>, section: &SectionPlan, paper: &mut PaperDraft) {
    let joint = &section.joint;
    if joint.form.is_none() || joint.sentence.is_empty() {
        return;
    }
    paper.put(heading(2, "How it goes in"));
    paper.put(words(joint.sentence.clone()));
    if let Some(symbol) =
        joint.maps.iter().find(|map| map.row.is_own()).and_then(|map| drawings::WeldSymbol::of(joint, map))
    {
        paper.put(words(format!("The symbol on the working drawing (ISO 2553): {}.", symbol.words())));
    }
    if desk.plan.joint_stopped(section) {
        paper.put(words(welding::STOPPED.to_owned()));
    } else if !joint.maps.is_empty() {
        let order = drawings::order_words(joint.order_by, &joint.maps);
        paper.put(words(format!("Welds in their {order}; numbered on the map at 1:1 in the packet.")));
        weld_order::pauses(joint, paper);
    }
    weld_order::effect(joint, paper);
    if let Some(strip) = joint.practice {
        let [long, wide] = strip.size_mm;
        paper.put(Block::Ticks {
            items: vec![format!(
                "Practice strip into the parcel: two offcuts {} × {} mm, {} and {} mm, three places each; drawn on the fitting sheet",
                trimmed(long, 0),
                trimmed(wide, 1),
                trimmed(strip.thickness_mm[0], 2),
                trimmed(strip.thickness_mm[1], 2)
            )],
        });
    }
}

fn packing(section: &SectionPlan, paper: &mut PaperDraft) {
    paper.put(heading(2, "Packing"));
    let names = section.pieces.iter().map(|piece| piece.name.clone()).collect::<Vec<_>>().join(", ");
    paper.put(Block::Ticks {
        items: vec![
            format!("{} × {names}: hand, this face out and front are marked on the metal", section.quantity),
            if section.pieces.iter().all(|piece| piece.tube.is_some()) {
                "Edges deburred inside and out, both ends taped, primer dry".to_owned()
            } else {
                "Edges deburred, wire ends and corners taped, primer dry".to_owned()
            },
            "Fitting sheet and templates in the parcel; on top, not inside the piece".to_owned(),
        ],
    });
}
