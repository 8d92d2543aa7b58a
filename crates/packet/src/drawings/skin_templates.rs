//! What a skin is checked against and formed over, at 1:1: checking templates, slices of the buck, hammerforms.

use blank::templates::buck::{Buck, OpenTo, Slice};
use blank::templates::{CheckingTemplate, Hammerform, Points};
use glam::DVec2;
use job::plan::PiecePlan;
use mesh::sections::ArcChain;

use super::bounds_of;
use super::draft::Draft;
use crate::drawing::{Drawing, Layer, Scale, Text, TextHeight};
use crate::drawing::{Polyline, Vertex};
use crate::number::trimmed;

/// Length of the arrows to the front and up, mm.
const ARROW_MM: f64 = 18.0;

/// How the name of a slice of a buck begins.
pub const BUCK: &str = "buck ";

/// Every template of a skin, the boards of a formed ring; none for another piece.
pub fn skin_template_drawings(piece: &PiecePlan) -> Vec<Drawing> {
    let Some(skin) = &piece.skin else { return super::ring::form_drawings(piece) };
    let mut out: Vec<Drawing> = skin.templates.iter().map(checking).collect();
    if let Some(buck) = &skin.buck {
        out.extend(buck.slices.iter().map(|own| slice(piece, buck, own)));
    }
    out.extend(skin.hammerforms.iter().flat_map(|form| [block(form, piece), backing(form, piece)]));
    out
}

/// Their names, for the list of what is in the packet.
pub fn skin_template_names(piece: &PiecePlan) -> Vec<String> {
    let Some(skin) = &piece.skin else { return super::ring::form_names(piece) };
    let mut names: Vec<String> = skin.templates.iter().map(|own| format!("{}, outside face", own.label.name)).collect();
    names.extend(
        skin.buck.iter().map(|buck| format!("{}, buck of {} slices, inside face", piece.name, buck.slices.len())),
    );
    names.extend(skin.hammerforms.iter().map(|form| form.name.clone()));
    names
}

fn chain(chain: &ArcChain) -> Polyline {
    let vertices = chain.vertices.iter().map(|own| Vertex { at: own.at_mm, bulge: own.bulge }).collect();
    Polyline { vertices, closed: chain.closed }
}

fn box_of(outline: &ArcChain) -> crate::drawing::Bounds {
    bounds_of(chain(outline).flattened(0.05))
}

fn checking(template: &CheckingTemplate) -> Drawing {
    let label = &template.label;
    let description = format!("1:1 template, {}, outside face", label.name);
    let mut draft = Draft::new(format!("template {}", label.name), description, Scale::FULL);
    draft.drawing.add(Layer::Template, chain(&template.outline));
    draft.drawing.add_named(Layer::Template, "hand hole", template.hand_hole.as_ref().map(chain).unwrap_or_default());
    draft
        .drawing
        .items
        .retain(|item| !matches!(&item.shape, crate::drawing::Shape::Polyline(line) if line.vertices.is_empty()));
    for mark in &template.marks {
        draft.path(Layer::Mark, &mark.line_mm);
        let [from, to] = mark.line_mm;
        beside(&mut draft, to, (to - from).normalize_or_zero(), &mark.name);
    }
    let box_ = box_of(&template.outline);
    let mut lines = label.lines();
    lines.extend(
        template
            .datums
            .iter()
            .map(|datum| format!("{}: {} mm from the end of the section", datum.name, trimmed(datum.along_mm, 1))),
    );
    words(&mut draft, DVec2::new(box_.low.x, box_.low.y - 8.0), &lines);
    let from = DVec2::new(box_.high.x - 40.0, box_.low.y - 30.0);
    for (points, name) in [(label.front, "front"), (label.up, "up")] {
        if let Points::Along(way) = points {
            draft.arrow(Layer::Note, from, from + way * ARROW_MM);
            draft.centred(from + way * (ARROW_MM + 6.0), TextHeight::Mm2_5, name);
        }
    }
    draft.drawing
}

/// Words at the inner end of a mark, on the card.
fn beside(draft: &mut Draft, at: DVec2, way: DVec2, words: &str) {
    let place = at + way * 4.0;
    draft.drawing.add(
        Layer::Note,
        Text::new(place, TextHeight::Mm2_5, words)
            .anchored(crate::drawing::Horizontal::Middle, crate::drawing::Vertical::Middle),
    );
}

fn words(draft: &mut Draft, at: DVec2, lines: &[String]) {
    for (index, line) in lines.iter().enumerate() {
        let place = at - DVec2::Y * (4.8 * index as f64);
        if index == 0 {
            draft.bold(place, TextHeight::Mm2_5, line.clone());
        } else {
            draft.words(place, TextHeight::Mm2_5, line.clone());
        }
    }
}

fn slice(piece: &PiecePlan, buck: &Buck, slice: &Slice) -> Drawing {
    let name = format!("{BUCK}{} {}", piece.name, slice.name);
    let description = format!("1:1 slice {} of the buck of {}", slice.name, piece.name);
    let mut draft = Draft::new(name, description, Scale::FULL);
    draft.drawing.add(Layer::Template, chain(&slice.outline));
    let box_ = box_of(&slice.outline);
    for slot in &slice.slots {
        let high = match slot.open_to {
            OpenTo::Base => slot.ends_at_mm + 5.0,
            OpenTo::Top => slot.ends_at_mm - 5.0,
        };
        draft.centred(DVec2::new(slot.at_mm, high), TextHeight::Mm2_5, slot.partner.clone());
    }
    let gap = slice.slots.first().map_or(box_.middle().x, |slot| 0.5 * (box_.low.x + slot.at_mm));
    let middle = DVec2::new(gap, box_.low.y + 0.35 * box_.size().y);
    draft.drawing.add(
        Layer::Note,
        Text::new(middle, TextHeight::Mm7, slice.name.clone())
            .anchored(crate::drawing::Horizontal::Middle, crate::drawing::Vertical::Middle)
            .bold(),
    );
    let width = slice.slots.first().map_or(buck.settings.board_mm, |slot| slot.width_mm);
    let lines = [
        format!("{}, slice {} of {} of the buck", piece.name, slice.name, buck.slices.len()),
        piece.placing.hand.clone(),
        format!(
            "board {} mm, slots {} mm wide; measure the board first",
            trimmed(buck.settings.board_mm, 1),
            trimmed(width, 1)
        ),
        "the top touches the inside face of the sheet; the straight foot stands on the bench".to_owned(),
        "at each slot stands the slice that goes in there".to_owned(),
    ];
    words(&mut draft, DVec2::new(box_.low.x, box_.low.y - 8.0), &lines);
    draft.drawing
}

fn block(form: &Hammerform, piece: &PiecePlan) -> Drawing {
    let edge = format!("round its upper edge to {} mm", trimmed(form.edge_radius_mm, 1));
    part(
        form,
        piece,
        "block",
        &form.block,
        &[edge, "cut from hard wood or steel, as thick as the flange is wide or more".to_owned()],
    )
}

fn backing(form: &Hammerform, piece: &PiecePlan) -> Drawing {
    let what = "clamps the sheet on the block; same metal thickness or more".to_owned();
    part(form, piece, "backing plate", &form.backing, &[what])
}

fn part(form: &Hammerform, piece: &PiecePlan, what: &str, outline: &ArcChain, notes: &[String]) -> Drawing {
    let title = format!("{}, {what}", form.name);
    let mut draft = Draft::new(format!("form {title}"), format!("1:1 {title}"), Scale::FULL);
    draft.drawing.add(Layer::Template, chain(outline));
    let box_ = box_of(outline);
    let mut lines = vec![title, piece.placing.hand.clone(), "seen from the outside of the sheet".to_owned()];
    lines.extend(notes.iter().cloned());
    if form.out_of_plane_mm > 0.5 {
        lines.push(format!(
            "the edge leaves this plane by up to {} mm: bend the block or pack it there",
            trimmed(form.out_of_plane_mm, 1)
        ));
    }
    words(&mut draft, DVec2::new(box_.low.x, box_.low.y - 8.0), &lines);
    draft.drawing
}
