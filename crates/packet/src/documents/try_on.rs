//! Papers at 1:1: the try-on that goes out before metal is cut, and the checking templates of the finished piece.

use glam::DVec2;
use job::plan::{PiecePlan, SectionPlan};

use super::block::{Block, heading, strong, words};
use super::desk::{Desk, PaperDraft};
use crate::drawing::Drawing;
use crate::drawings;
use crate::error::PacketError;

/// Longest edge template that fits the width of a page.
const EDGE_MM: f64 = 150.0;
/// Space for a drawing at 1:1 on the page of either paper, mm.
const SPACE_MM: DVec2 = DVec2::new(176.0, 200.0);

/// Sets the try-on of a section: check bar first, then templates. `None` when no piece has a cross-section.
///
/// # Errors
/// As [`crate::pdf::typeset`].
pub fn try_on(desk: &Desk<'_>, section: &SectionPlan) -> Result<Option<Vec<u8>>, PacketError> {
    let mut paper = PaperDraft::default();
    paper.put(Block::Banner {
        title: "First measure the check bar".to_owned(),
        lines: vec!["Print at 100 %, not \"fit to page\". Lay a steel rule on the bar. If it is not exactly 100 mm (or 4 in), stop: print again.".to_owned()],
    });
    paper.put(words("check bar:"));
    paper.put(Block::CheckBars);
    paper.put(words("Stick each sheet on card, cut along the heavy line, and hold it against the panel as its words say. No metal is cut before you have replied."));
    paper.put(strong("Reply to the shop"));
    paper.put(Block::Ticks {
        items: vec![
            "the check bar measures ______ (100 mm is right)".to_owned(),
            "each template sits: yes / no; name the ones that do not".to_owned(),
            "widest gap ______ , and where: at the edge / in the middle / at the top".to_owned(),
            "a photo of each template held in place, from the side".to_owned(),
            "date and name".to_owned(),
        ],
    });
    let count = pieces(section, &mut paper, true)?;
    if count == 0 {
        return Ok(None);
    }
    desk.set("Try-on", &section.title, paper).map(Some)
}

/// Sets every checking template of a section at 1:1. `None` when there is none.
///
/// # Errors
/// As [`crate::pdf::typeset`].
pub fn templates(desk: &Desk<'_>, section: &SectionPlan) -> Result<Option<Vec<u8>>, PacketError> {
    let mut paper = PaperDraft::default();
    paper.put(words("1:1. Measure the check bar before a template is cut from this print."));
    paper.put(words("check bar:"));
    paper.put(Block::CheckBars);
    let count = pieces(section, &mut paper, false)?;
    if count == 0 {
        return Ok(None);
    }
    desk.set("Templates", &section.title, paper).map(Some)
}

fn pieces(section: &SectionPlan, paper: &mut PaperDraft, few: bool) -> Result<usize, PacketError> {
    let mut count = 0;
    for piece in &section.pieces {
        let drawings = template_drawings(section, piece, few);
        if drawings.is_empty() {
            continue;
        }
        paper.put(Block::NewPage);
        paper.put(heading(2, format!("{}: {}", piece.name, piece.placing.hand)));
        for drawing in drawings {
            let size = drawing.bounds()?.size();
            if size.x > SPACE_MM.x || size.y > SPACE_MM.y {
                paper.put(words(format!("{} is larger than this page; it is in the packet as DXF.", drawing.name)));
                continue;
            }
            let name = paper.keep(&drawing)?;
            paper.put(Block::Exact { name });
            count += 1;
        }
    }
    Ok(count)
}

/// Templates of a piece; for a try-on the middle cross-section, one end and the edge.
pub fn template_drawings(section: &SectionPlan, piece: &PiecePlan, few: bool) -> Vec<Drawing> {
    let shapes = &piece.cross_sections;
    let middle = shapes.len() / 2;
    let chosen =
        shapes.iter().enumerate().filter(|(index, _)| !few || *index == middle || *index == 0).map(|(_, shape)| shape);
    let mut out: Vec<Drawing> =
        chosen.map(|shape| drawings::cross_section_template(piece, shape, section.hand)).collect();
    out.extend(drawings::edge_template(piece, Some(EDGE_MM)));
    out.retain(|drawing| !drawing.items.is_empty());
    out
}
