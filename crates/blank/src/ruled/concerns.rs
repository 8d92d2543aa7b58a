//! What to know before cutting a piece bent along rulings.

use super::Development;
use super::layout::{RollLine, RollLineKind, RuledLayout};
use crate::{BlankError, material_of};
use handbook::{Concern, Grade, LiftedBy, min_radius};
use section::SectionError;
use section::ruled::{Element, Ruled, Twist};

/// Twist that is rounding of the pairing: 0.05°.
const NO_TWIST_RAD: f64 = 0.05 * std::f64::consts::PI / 180.0;
/// Twist that a thin sheet takes up by springing: 1°. Common practice, no source.
const SPRINGS_RAD: f64 = std::f64::consts::PI / 180.0;
/// Longest radius that a beam compass on a bench sets out. Common practice, no source.
const COMPASS_MM: f64 = 1000.0;
const COMMON: &str = "common practice, no source";

/// Residual twist of the piece; refuses one whose rulings cross inside the sheet.
pub(super) fn joined(piece: &Ruled) -> Result<Twist, BlankError> {
    let twist = piece.twist();
    if twist.crossing && twist.twist_rad <= SPRINGS_RAD {
        return Err(SectionError::Ruled {
            what: format!("the rulings of {} cross each other between its two edges", piece.name),
            accepted: "edges nearer to each other, or of a wider curve, are accepted; or make it in two pieces".into(),
        }
        .into());
    }
    Ok(twist)
}

pub(super) fn concerns(development: &Development<'_>, layout: &RuledLayout, twist: &Twist) -> Vec<Concern> {
    let mut list = Vec::new();
    not_developable(development, twist, &mut list);
    tight(development, layout, &mut list);
    points(development, &mut list);
    compass(development, layout, &mut list);
    list
}

fn concern(key: &str, grade: Grade, place: &str, what: String, why: &str, what_to_do: &str, source: &str) -> Concern {
    Concern {
        key: key.to_owned(),
        grade,
        place: place.to_owned(),
        what,
        why: why.to_owned(),
        what_to_do: what_to_do.to_owned(),
        lifted_by: (grade == Grade::Stop).then_some(LiftedBy::Shop),
        source: source.to_owned(),
    }
}

fn not_developable(development: &Development<'_>, twist: &Twist, list: &mut Vec<Concern>) {
    if twist.twist_rad <= NO_TWIST_RAD && !twist.crossing {
        return;
    }
    let grade = if twist.twist_rad > SPRINGS_RAD { Grade::Stop } else { Grade::Caution };
    let (a, b) = (twist.at_a_mm, twist.at_b_mm);
    list.push(concern(
        "not-by-bending",
        grade,
        &development.piece.name,
        format!(
            "its two edges cannot be joined by bending only: the sheet would have to twist by {} along the line from ({:.0}, {:.0}, {:.0}) to ({:.0}, {:.0}, {:.0}) mm",
            format_deg(twist.twist_rad, 2),
            a.x, a.y, a.z, b.x, b.y, b.z
        ),
        "a flat sheet bends along straight lines; a twist stretches it, and the flat is then wrong by as much",
        "change one edge so that both run alike there, put a seam or a sharp fold on that line, or make it as a skin that is wheeled",
        "handbook D16",
    ));
}

/// Bends tighter than the sheet takes.
fn tight(development: &Development<'_>, layout: &RuledLayout, list: &mut Vec<Concern>) {
    let piece = development.piece;
    let t = piece.thickness_mm;
    let sharp = piece.edges.iter().any(|edge| edge.curve.corners() > 0);
    let rolled = |line: &&RollLine| line.kind == RollLineKind::Roll;
    // at a corner the cone of rulings runs to a point: its radius there is nothing by design
    let radii = layout.lines.iter().filter(rolled).flat_map(|line| {
        let [a, b] = line.radii_mm;
        if sharp { a.zip(b).map(|(a, b)| a.max(b)) } else { [a, b].into_iter().flatten().reduce(f64::min) }
    });
    let Some(least) = radii.reduce(f64::min) else { return };
    let pointed = piece.edges.iter().any(|edge| matches!(edge.curve.elements.as_slice(), [Element::Point { .. }]));
    if least <= t && !pointed {
        list.push(concern(
            "radius-under-thickness",
            Grade::Stop,
            &piece.name,
            format!("it bends to a radius of {} at the middle of a sheet of {}", format_mm(least, 2), format_mm(t, 2)),
            "the inside of the bend would be a sharp fold along a curved line, which the sheet cannot make",
            "take thinner sheet, or round that edge to a wider curve",
            COMMON,
        ));
        return;
    }
    let by_rule = material_of(&piece.material).and_then(|material| min_radius::for_material(material, t).ok());
    if let Some(rule) = by_rule.filter(|rule| least - 0.5 * t < rule.value && !pointed) {
        list.push(concern(
            "radius-under-least",
            Grade::Caution,
            &piece.name,
            format!(
                "it bends to an inside radius of {}; the least for this sheet is {}",
                format_mm(least - 0.5 * t, 2),
                format_mm(rule.value, 2)
            ),
            "the outside of the bend may crack",
            "try it on an offcut of the same sheet across the grain",
            &rule.source.text,
        ));
    }
}

/// Places where rulings run to one point.
fn points(development: &Development<'_>, list: &mut Vec<Concern>) {
    let piece = development.piece;
    let pointed = piece.edges.iter().any(|edge| matches!(edge.curve.elements.as_slice(), [Element::Point { .. }]));
    if pointed {
        list.push(concern(
            "cone-point",
            Grade::Note,
            &piece.name,
            "all rulings run to one point".to_owned(),
            "rolls do not reach the last of it: the sheet is as thick as the cone is wide there",
            "leave the last 10 to 20 mm to hammer over a stake, or cut the point off and close it with a cap",
            COMMON,
        ));
        return;
    }
    let corners: usize = piece.edges.iter().map(|edge| edge.curve.corners()).sum();
    let rolled = piece.spans.iter().any(|span| !piece.is_fold(span) && corner_span(piece, span));
    if corners > 0 && rolled {
        list.push(concern(
            "corner-point",
            Grade::Note,
            &piece.name,
            "the roll lines of a corner run to one point".to_owned(),
            "all of the corner's bend comes together there",
            "set every line lightly and go over them again; dress the corner over a stake",
            COMMON,
        ));
    }
}

fn corner_span(piece: &Ruled, span: &section::ruled::Span) -> bool {
    let [a, b] = &piece.edges;
    let corner = |element: Option<&Element>| element.is_some_and(Element::is_corner);
    corner(a.curve.elements.get(span.a)) || corner(b.curve.elements.get(span.b))
}

fn compass(development: &Development<'_>, layout: &RuledLayout, list: &mut Vec<Concern>) {
    let Some(sector) = layout.sector.as_ref().filter(|sector| sector.outer_mm > COMPASS_MM) else { return };
    list.push(concern(
        "radius-beyond-compass",
        Grade::Note,
        &development.piece.name,
        format!("the flat's radius is {}", format_mm(sector.outer_mm, 0)),
        "a bench compass does not reach it",
        "set the arcs out by the offsets from their chords, or have the flat cut from its file",
        COMMON,
    ));
}

fn format_mm(mm: f64, decimals: usize) -> String {
    format!("{mm:.decimals$} mm")
}

fn format_deg(angle_rad: f64, decimals: usize) -> String {
    format!("{:.decimals$}°", angle_rad.to_degrees())
}
