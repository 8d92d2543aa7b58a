//! How a piece is placed, in words that stand on piece and drawing.

use super::Placing;
use super::shapes::{Lie, Shapes};
use crate::file::Hand;
use crate::resolve::{ResolvedPiece, ResolvedShape};
use blank::{Blank, FaceUp};
use section::{MakeUp, Makes, Side, StripEdge};

/// Share of its length that a piece runs in a direction before its ends are named by it.
const ALONG: f64 = 0.25;

pub(super) fn of(piece: &ResolvedPiece, hand: Option<Hand>, blank: &Blank, shapes: &Shapes) -> Placing {
    let face_out = match blank.face_up {
        FaceUp::Inside if is_tube(piece) => {
            "the face that is up in this flat is the inside of the tube: roll it towards you"
        }
        FaceUp::Outside if is_tube(piece) => {
            "the face that is up in this flat is the outside of the tube: roll it away from you"
        }
        FaceUp::Outside => "the face that is up in this flat is the outside of the vehicle",
        FaceUp::Inside => "the face that is up in this flat is the inside of the vehicle; its other face goes out",
    };
    Placing {
        hand: hand_words(hand).into(),
        face_out: face_out.into(),
        edge_up: shapes.lie.map_or_else(String::new, |lie| edge_up(piece, &lie)),
        front_end: shapes.lie.map_or_else(|| piece.directions.clone(), |lie| front_end(&piece.end_names, &lie)),
        names_front: shapes.lie.is_some_and(|lie| runs_forward(&lie)),
        curl: curl(piece),
    }
}

fn is_tube(piece: &ResolvedPiece) -> bool {
    matches!(piece.shape, ResolvedShape::Tube(_))
}

/// The hand in full.
pub(crate) fn hand_words(hand: Option<Hand>) -> &'static str {
    match hand {
        Some(Hand::Left) => "left hand (driver's left, sitting and facing forward)",
        Some(Hand::Right) => "right hand (driver's right, sitting and facing forward)",
        None => "on the middle line, no hand",
    }
}

fn finished_edge(piece: &ResolvedPiece) -> &'static str {
    let ResolvedShape::Strip(strip) = &piece.shape else { return "finished edge" };
    if strip.makes != Makes::Body {
        return "free edge";
    }
    match strip.finished_edge.last() {
        Some(MakeUp::Wired { .. }) => "wired edge",
        Some(MakeUp::Hem { .. }) => "hemmed edge",
        Some(MakeUp::Flange { .. }) => "flange",
        _ => "finished edge",
    }
}

fn edge_up(piece: &ResolvedPiece, lie: &Lie) -> String {
    let edge = finished_edge(piece);
    if let ResolvedShape::Strip(strip) = &piece.shape
        && let Makes::SplitFlange { edge } = strip.makes
    {
        let (first, last) = if edge == StripEdge::Finished { ("free edge", "seam") } else { ("seam", "free edge") };
        return lies(first, last, lie.across.normalize_or_zero());
    }
    lies(edge, "cut edge", lie.across.normalize_or_zero())
}

/// How the first and the last edge of a strip lie to one another.
fn lies(edge: &str, last: &str, across: glam::DVec3) -> String {
    const UPRIGHT: f64 = 0.3;
    if across.z > UPRIGHT {
        format!("{last} up, {edge} down")
    } else if across.z < -UPRIGHT {
        format!("{edge} up, {last} down")
    } else if across.x.abs() > UPRIGHT {
        format!("{last} to the {}, {edge} to the {}", fore(across.x), fore(-across.x))
    } else {
        format!("{last} to the driver's {}, {edge} to the driver's {}", side(across.y), side(-across.y))
    }
}

/// Does it run to the front or to the rear, so that one of its ends is the front one?
fn runs_forward(lie: &Lie) -> bool {
    let run = lie.end_mm - lie.start_mm;
    run.x.abs() > ALONG * run.length()
}

fn front_end([start, end]: &[String; 2], lie: &Lie) -> String {
    let run = lie.end_mm - lie.start_mm;
    if runs_forward(lie) {
        let (front, back) = if run.x > 0.0 { (end, start) } else { (start, end) };
        format!("{front} to the front, {back} to the rear")
    } else if run.z.abs() > ALONG * run.length() {
        let (up, down) = if run.z > 0.0 { (end, start) } else { (start, end) };
        format!("{up} up, {down} down")
    } else {
        let (left, right) = if run.y > 0.0 { (end, start) } else { (start, end) };
        format!("{left} to the driver's left, {right} to the driver's right")
    }
}

fn fore(x: f64) -> &'static str {
    if x > 0.0 { "front" } else { "rear" }
}

fn side(y: f64) -> &'static str {
    if y > 0.0 { "left" } else { "right" }
}

fn curl(piece: &ResolvedPiece) -> String {
    let way = |turns: &Side| match turns {
        Side::Inside => "the inside",
        Side::Outside => "the outside",
    };
    piece
        .shape
        .make_ups()
        .find_map(|make_up| match make_up {
            MakeUp::Wired { turns, .. } => Some(format!(
                "the curl turns towards {} of the vehicle; its seam lies on {}, behind the wire",
                way(turns),
                way(turns)
            )),
            MakeUp::Hem { turns, hem, .. } => {
                let open = match hem {
                    section::HemKind::Closed => "closed",
                    section::HemKind::Open => "left open to drain",
                };
                Some(format!(
                    "the hem folds towards {} of the vehicle and is {open}; its edge lies on {}",
                    way(turns),
                    way(turns)
                ))
            }
            _ => None,
        })
        .unwrap_or_default()
}
