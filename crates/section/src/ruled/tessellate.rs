//! A ruled piece as triangles for pictures and views: both faces, cut edges and ends, rulings as straight lines.

use super::{Ruled, Ruling};
use crate::SectionError;
use glam::DVec3;
use mesh::{FeatureLine, PointId, SheetFace, Surface, Tag};

/// Largest turn between neighbouring rulings of the picture, rad: 5°.
const MOST_TURN_RAD: f64 = std::f64::consts::PI / 36.0;

/// Turns a ruled piece into the surface of the finished piece; chords stay within `tolerance_mm` of it.
///
/// Tags: part "sheet"; face outside, inside or edge. Feature lines: "outline" for both edges on the outside face and "seam" for the ends.
///
/// # Errors
/// [`SectionError`] when the piece has no pairing.
pub fn tessellate(piece: &Ruled, tolerance_mm: f64) -> Result<Surface, SectionError> {
    let rulings = rulings(piece, tolerance_mm);
    if rulings.len() < 2 {
        return Err(super::fault(
            format!("{} has no rulings", piece.name),
            "two edges apart from each other are accepted",
        ));
    }
    let mut surface = Surface::default();
    let [outside, inside, edge] = [SheetFace::Outside, SheetFace::Inside, SheetFace::Edge]
        .map(|face| surface.tag(Tag { part: "sheet".into(), face }));
    let (half, to_middle) = (0.5 * piece.thickness_mm, piece.to_middle_mm());
    let normals = [0, 1].map(|edge| mitred(&rulings, edge));
    let face = |normal: DVec3, out: f64| normal * (to_middle + piece.outside * out);
    let [normals_a, normals_b] = normals;
    let mut rows: Vec<[PointId; 4]> = Vec::with_capacity(rulings.len());
    for (ruling, (at_a, at_b)) in rulings.iter().zip(normals_a.into_iter().zip(normals_b)) {
        let places = [
            ruling.a_mm + face(at_a, half),
            ruling.b_mm + face(at_b, half),
            ruling.b_mm + face(at_b, -half),
            ruling.a_mm + face(at_a, -half),
        ];
        // rulings that run from one corner share its points
        let before = rows.last().copied();
        let mut row = [PointId(0); 4];
        for (corner, place) in places.into_iter().enumerate() {
            let shared = before.and_then(|own| own.get(corner).copied());
            let shared =
                shared.filter(|id| surface.points_mm.get(id.0 as usize).is_some_and(|own| own.distance(place) < 1e-9));
            let id = shared.unwrap_or_else(|| surface.push_point(place));
            if let Some(slot) = row.get_mut(corner) {
                *slot = id;
            }
        }
        rows.push(row);
    }
    let outward = piece.outside > 0.0;
    let mut quad = |[a, b, c, d]: [PointId; 4], tag: u16| {
        let corners = if outward { [a, b, c, d] } else { [a, d, c, b] };
        for [p, q, r] in [[corners[0], corners[1], corners[2]], [corners[0], corners[2], corners[3]]] {
            if p != q && q != r && r != p {
                surface.push_triangle([p, q, r], tag);
            }
        }
    };
    for pair in rows.windows(2) {
        let ([a, b, under_b, under_a], [next_a, next_b, next_under_b, next_under_a]) = (pair[0], pair[1]);
        // seen from e × m: A, B, next B, next A run anticlockwise
        quad([a, b, next_b, next_a], outside);
        quad([under_a, next_under_a, next_under_b, under_b], inside);
        quad([a, next_a, next_under_a, under_a], edge);
        quad([b, under_b, next_under_b, next_b], edge);
    }
    if let (Some([a, b, under_b, under_a]), Some([last_a, last_b, last_under_b, last_under_a])) =
        (rows.first(), rows.last())
    {
        quad([*a, *under_a, *under_b, *b], edge);
        quad([*last_a, *last_b, *last_under_b, *last_under_a], edge);
    }
    let line = |name: &str, points_mm: Vec<DVec3>| FeatureLine { name: name.into(), points_mm, closed: false };
    let at = |ids: Vec<PointId>, surface: &Surface| -> Vec<DVec3> {
        ids.iter().filter_map(|id| surface.points_mm.get(id.0 as usize).copied()).collect()
    };
    for corner in [0, 1] {
        let ids = rows.iter().filter_map(|row| row.get(corner).copied()).collect();
        let points = at(ids, &surface);
        surface.lines.push(line("outline", points));
    }
    let ends = if piece.own_seam {
        vec![("seam", rows.first())]
    } else {
        vec![("outline", rows.first()), ("outline", rows.last())]
    };
    for (name, row) in ends {
        if let Some([a, b, ..]) = row {
            let points = at(vec![*a, *b], &surface);
            surface.lines.push(line(name, points));
        }
    }
    for ruling in sharp_folds(piece) {
        let out = face(ruling.normal, half);
        surface.lines.push(line("fold", vec![ruling.a_mm + out, ruling.b_mm + out]));
    }
    Ok(if piece.mirrored { surface.reflected_y() } else { surface })
}

/// Rulings so close together that chords stay within `tolerance_mm` of the edges, none doubled.
#[must_use]
pub fn rulings(piece: &Ruled, tolerance_mm: f64) -> Vec<Ruling> {
    let mut list: Vec<Ruling> = Vec::new();
    for span in &piece.spans {
        let (first, last) = (piece.ruling(span, 0.0), piece.ruling(span, 1.0));
        let turn = first.normal.angle_between(last.normal);
        let chord = first.a_mm.distance(last.a_mm).max(first.b_mm.distance(last.b_mm));
        let by_chord = (chord * turn / (8.0 * tolerance_mm.max(1e-3))).sqrt();
        let steps = by_chord.max(turn / MOST_TURN_RAD).ceil().clamp(1.0, 200.0) as u32;
        for i in 0..=steps {
            let ruling = piece.ruling(span, f64::from(i) / f64::from(steps));
            let apart = |before: &Ruling| {
                before.a_mm.distance(ruling.a_mm) + before.b_mm.distance(ruling.b_mm) > 1e-9
                    || before.normal.distance(ruling.normal) > 1e-9
            };
            if list.last().is_none_or(apart) {
                list.push(ruling);
            }
        }
    }
    list
}

/// Way from the ends of the rulings on an edge to the sheet's faces, per mm of distance: the normal; where several rulings run from one
/// corner, the mitre between the first one's sheet and the last one's, so that both faces come to one point there.
fn mitred(rulings: &[Ruling], edge: usize) -> Vec<DVec3> {
    let place = |ruling: &Ruling| if edge == 0 { ruling.a_mm } else { ruling.b_mm };
    let mut out: Vec<DVec3> = Vec::with_capacity(rulings.len());
    let mut from = 0;
    while let Some(first) = rulings.get(from) {
        let run = rulings.iter().skip(from).take_while(|own| place(own).distance(place(first)) < 1e-9).count().max(1);
        let last = rulings.get(from + run - 1).unwrap_or(first);
        let cosine = first.normal.dot(last.normal);
        // all of a cone's rulings run from its point, which has no mitre
        if run > 1 && run < rulings.len() && cosine > -0.7 {
            let mitre = (first.normal + last.normal) / (1.0 + cosine);
            out.extend(std::iter::repeat_n(mitre, run));
        } else {
            out.extend(rulings.iter().skip(from).take(run).map(|own| own.normal));
        }
        from += run;
    }
    out
}

/// The middle ruling of every sharp fold.
fn sharp_folds(piece: &Ruled) -> Vec<Ruling> {
    piece.spans.iter().filter(|span| piece.is_fold(span)).map(|span| piece.ruling(span, 0.5)).collect()
}
