//! What a skin is checked against and formed over, at 1:1: checking templates, slices of the buck, hammerforms.

use blank::templates::buck::{Buck, OpenTo, Slice};
use blank::templates::{CheckingTemplate, Hammerform, MarkKind, Points};
use glam::{DVec2, DVec3};
use job::plan::PiecePlan;
use mesh::sections::ArcChain;

use super::blank::NOTES_WIDE_MM;
use super::bounds_of;
use super::draft::Draft;
use super::hand::datum_lines;
use crate::drawing::{Bounds, Drawing, Horizontal, Layer, Polyline, Scale, Text, TextHeight, Vertex, Vertical};
use crate::font::{self, Weight};
use crate::number::trimmed;

/// Length of the arrows to the front and up, mm.
const ARROW_MM: f64 = 18.0;

/// How the name of a slice of a buck begins.
pub const BUCK: &str = "buck ";

/// Every template of a skin, the boards of a formed ring; none for another piece.
pub fn skin_template_drawings(piece: &PiecePlan) -> Vec<Drawing> {
    let Some(skin) = &piece.skin else { return super::ring::form_drawings(piece) };
    let mut out: Vec<Drawing> = skin.templates.iter().map(|own| checking(piece, own)).collect();
    if let Some(buck) = &skin.buck {
        out.extend(buck.slices.iter().enumerate().map(|(index, own)| slice(piece, buck, index, own)));
    }
    out.extend(skin.hammerforms.iter().flat_map(|form| [block(form, piece), backing(form, piece)]));
    out
}

/// Their names, for the list of what is in the packet.
pub fn skin_template_names(piece: &PiecePlan) -> Vec<String> {
    let Some(skin) = &piece.skin else { return super::ring::form_names(piece) };
    let mut names: Vec<String> =
        skin.templates.iter().map(|own| format!("template {}, outside face", own.label.name)).collect();
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

fn checking(piece: &PiecePlan, template: &CheckingTemplate) -> Drawing {
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
        // the card stands at its station; the line through it is the middle of the section
        let name = if mark.kind == MarkKind::Station { "middle" } else { mark.name.as_str() };
        beside(&mut draft, mark.line_mm, name);
    }
    on_card(&mut draft, template);
    let box_ = box_of(&template.outline);
    let mut lines = label.lines();
    lines.extend(datum_lines(piece));
    lines.push("hold it on the dotted line of its name on the outside face, square to the sheet".to_owned());
    lines.extend(marks_words(template));
    words(&mut draft, DVec2::new(box_.low.x, box_.low.y - 8.0), &lines);
    draft.drawing
}

/// How far its marks lie along the straight back, counted from the end where y is least.
fn marks_words(template: &CheckingTemplate) -> Vec<String> {
    let mut datums: Vec<(&str, f64)> =
        template.datums.iter().map(|datum| (datum.name.as_str(), datum.along_mm)).collect();
    let (Some((_, first)), Some((_, last))) = (datums.first().copied(), datums.last().copied()) else {
        return Vec::new();
    };
    if first > last {
        // the section runs against y: count from its other end
        let length_mm = template.back_length_mm();
        datums.iter_mut().for_each(|(_, along)| *along = length_mm - *along);
    }
    let places: Vec<String> =
        datums.iter().map(|(name, along)| format!("{name} at {} mm", trimmed(*along, 1))).collect();
    vec!["along its straight back, from the tick \"edge\" at the end where y is least:".to_owned(), places.join(", ")]
}

/// What the card must say once it is cut out: name, station, which face it touches, hand, arrows; beside the start of its back.
fn on_card(draft: &mut Draft, template: &CheckingTemplate) {
    let label = &template.label;
    let [end, start] = template.back_mm;
    let Some(along) = (end - start).try_normalize() else { return };
    let into = -along.perp();
    // where x and y count from stands below: there is no room for sentences beside the hand hole
    for (index, line) in label.short_lines().into_iter().enumerate() {
        let at = start + along * 14.0 + into * (9.0 + 4.6 * index as f64);
        let height = TextHeight::Mm2_5;
        let text = Text::new(at, height, line).anchored(Horizontal::Left, Vertical::Middle).turned(along.to_angle());
        draft.drawing.add(Layer::Note, if index == 0 { text.bold() } else { text });
    }
    let from = start + along * 36.0 + into * 62.0;
    for (points, name) in [(label.front, "front"), (label.up, "up")] {
        if let Points::Along(way) = points {
            draft.arrow(Layer::Note, from, from + way * ARROW_MM);
            draft.centred(from + way * (ARROW_MM + 5.0), TextHeight::Mm2_5, name);
        }
    }
}

/// Words along a mark near its inner end, on the card.
fn beside(draft: &mut Draft, [from, to]: [DVec2; 2], words: &str) {
    let way = (to - from).normalize_or_zero();
    let at = to - way * 3.0 - way.perp() * 2.2;
    let text = Text::new(at, TextHeight::Mm2_5, words).anchored(Horizontal::Right, Vertical::Middle);
    draft.drawing.add(Layer::Note, text.turned(way.to_angle()));
}

/// The block of words below a template, sentences broken so that a sheet of paper holds them; its title stands bold.
fn words(draft: &mut Draft, at: DVec2, lines: &[String]) {
    draft.drawing.begin_words();
    let height = TextHeight::Mm2_5;
    let broken = lines.iter().enumerate().flat_map(|(index, line)| {
        let weight = if index == 0 { Weight::Bold } else { Weight::Regular };
        font::wrap(line, weight, height.mm(), NOTES_WIDE_MM).into_iter().map(move |part| (weight, part))
    });
    for (index, (weight, line)) in broken.enumerate() {
        let place = at - DVec2::Y * (4.8 * index as f64);
        match weight {
            Weight::Bold => draft.bold(place, height, line),
            Weight::Regular => draft.words(place, height, line),
        }
    }
}

/// What a slice must say once it is cut out, between two slots: its name, its number of how many, where it stands, which end is front.
fn on_slice(draft: &mut Draft, piece: &PiecePlan, slice: &Slice, (index, count): (usize, usize), box_: Bounds) {
    let ends = [box_.low.x, box_.high.x];
    let mut places: Vec<f64> = slice.slots.iter().map(|slot| slot.at_mm).chain(ends).collect();
    places.sort_by(f64::total_cmp);
    let gaps = places.iter().zip(places.iter().skip(1));
    let widest = gaps.max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)));
    let middle_x = widest.map_or(box_.middle().x, |(a, b)| 0.5 * (a + b));
    let station = piece.skin.as_ref().map_or("", |skin| skin.slice_station(index));
    let at = |up_mm: f64| DVec2::new(middle_x, box_.low.y + up_mm);
    let name = Text::new(at(40.0), TextHeight::Mm7, slice.name.clone());
    draft.drawing.add(Layer::Note, name.anchored(Horizontal::Middle, Vertical::Middle).bold());
    draft.centred(at(31.0), TextHeight::Mm2_5, format!("slice {} of {count}", index + 1));
    draft.centred(at(26.5), TextHeight::Mm2_5, format!("middle of the board at {station}"));
    draft.centred(at(22.0), TextHeight::Mm2_5, "top: INSIDE face of the sheet");
    match Points::of(DVec3::X, &slice.plane) {
        Points::Along(way) => {
            let from = at(15.0) - DVec2::new(way.x.signum() * 14.0, 0.0);
            draft.arrow(Layer::Note, from, from + DVec2::new(way.x.signum() * 12.0, 0.0));
            draft.centred(at(15.0) + DVec2::new(way.x.signum() * 7.0, 0.0), TextHeight::Mm2_5, "front");
        }
        Points::LetteredFace => draft.centred(at(15.0), TextHeight::Mm2_5, "this face to the front"),
        Points::OtherFace => draft.centred(at(15.0), TextHeight::Mm2_5, "this face to the rear"),
    }
}

fn slice(piece: &PiecePlan, buck: &Buck, index: usize, slice: &Slice) -> Drawing {
    let name = format!("{BUCK}{}, {}", slice.name, piece.name);
    let station = piece.skin.as_ref().map_or("", |skin| skin.slice_station(index));
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
    on_slice(&mut draft, piece, slice, (index, buck.slices.len()), box_);
    let width = slice.slots.first().map_or(buck.settings.board_mm, |slot| slot.width_mm);
    let lines = [
        format!("{}, {}: slice {} of {} of the buck", piece.name, slice.name, index + 1, buck.slices.len()),
        piece.placing.hand.clone(),
        format!("its {station} is the middle of the board"),
        format!(
            "board {} mm, slots {} mm wide; measure the board first",
            trimmed(buck.settings.board_mm, 1),
            trimmed(width, 1)
        ),
        "the top carries the INSIDE face of the sheet; the straight foot stands on the bench".to_owned(),
        "saw square: the line is the same for both faces of the board, as low as the sheet is anywhere over its thickness".to_owned(),
        "so one edge of the top touches the sheet and the other stands clear of it: check shape with the templates, not here".to_owned(),
        "at each slot stands the slice that goes in there".to_owned(),
    ];
    let mut lines = lines.to_vec();
    lines.extend(datum_lines(piece));
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
