//! The shop's wheel held against a crowned strip or a double-curved skin: is there one, does it take the sheet, does it reach.
//!
//! The frame of a wheel stands its throat away from the wheels, so a place is reached when some edge of the blank is no farther from it than the
//! throat: an opening does not help, the sheet cannot be threaded over the frame. Distances are taken in the flat; a skin that is
//! half formed lies closer. A crowned strip is worked along its middle, a skin wherever its map of raising stretches it.

use super::Found;
use crate::work::bounds_mm;
use crate::{PieceWork, ShopSettings};
use blank::skin::{BandArea, RaiseBand, Work};
use blank::{Blank, CrownVerdict};
use glam::DVec2;
use handbook::Grade;
use mesh::polygon::{contains, distance_to_sides_mm};
use units::format_mm;

/// The farthest place is found to within this, mm.
const WITHIN_MM: f64 = 0.5;

/// Where a piece must be raised farthest from every edge of its blank.
struct Farthest {
    /// What is done there: "the band raise by 2 to 3 %".
    what: String,
    /// Its place, printed after the piece's name; empty for a strip.
    place: String,
    edge_mm: f64,
}

pub(super) fn concerns(found: &mut Found, piece: &PieceWork<'_>, settings: &ShopSettings) {
    let Some(farthest) = of_strip(piece.blank).or_else(|| of_skin(piece)) else { return };
    let kind = if piece.forming.is_some() { "skin" } else { "strip" };
    let Some(wheel) = &settings.machines.wheel else {
        let work = if piece.forming.is_some() { "raised" } else { "wheeled or shrunk" };
        found.add(
            "no-wheel",
            Grade::Caution,
            format!("the {kind} must be {work}, and there is no wheel in the shop's list"),
            "its crown will not come by rolling alone",
            "work it with the shrinker or by hammer over a dolly, or have it wheeled",
        );
        return;
    };
    if farthest.edge_mm > wheel.throat_mm {
        let place = found.place.clone();
        found.place.push_str(&farthest.place);
        let throat = format_mm(wheel.throat_mm, 0);
        found.add(
            "wheel-throat",
            Grade::Caution,
            format!(
                "{} lies {} from the nearest edge of the blank; the throat of the wheel is {throat}",
                farthest.what,
                format_mm(farthest.edge_mm, 0)
            ),
            "the sheet meets the frame before the wheels reach that place",
            &format!(
                "raise that place by hammer over a dolly, have it wheeled on a throat of {} or more, or make the piece in two so that \
                 nothing to be raised lies more than {throat} from an edge",
                format_mm(farthest.edge_mm.ceil(), 0)
            ),
        );
        found.place = place;
    }
    if piece.blank.thickness_mm > wheel.thickest_mm + 1e-9 {
        found.add(
            "too-thick-for-wheel",
            Grade::Caution,
            format!(
                "the sheet is {}; the wheel is made for {}",
                format_mm(piece.blank.thickness_mm, 2),
                format_mm(wheel.thickest_mm, 2)
            ),
            "the frame springs open and the passes raise less than reckoned, unevenly",
            &format!(
                "raise it by hammer over a dolly, have it wheeled on a heavier frame, or take sheet of {} or less",
                format_mm(wheel.thickest_mm, 2)
            ),
        );
    }
}

/// The middle of a crowned strip that does not spring to its shape.
fn of_strip(blank: &Blank) -> Option<Farthest> {
    blank.crown.as_ref().filter(|crown| crown.verdict != CrownVerdict::SpringsToShape)?;
    let [x_mm, y_mm] = bounds_mm(blank);
    Some(Farthest { what: "the middle".into(), place: String::new(), edge_mm: 0.5 * x_mm.min(y_mm) })
}

/// The place of a skin that is raised farthest from every edge.
fn of_skin(piece: &PieceWork<'_>) -> Option<Farthest> {
    let raised = piece.forming?.bands.iter().filter(|band| band.work == Work::Stretch);
    let places = raised.flat_map(|band| band.areas.iter().map(move |area| (band, area)));
    let of = |(band, area): (&RaiseBand, &BandArea)| {
        let (at_mm, edge_mm) = farthest_in(area, &piece.blank.outline_mm);
        let place = format!(", blank at ({:.0}, {:.0}) mm", at_mm.x, at_mm.y);
        Farthest { what: format!("a place to {}", band.label), place, edge_mm }
    };
    places.map(of).max_by(|a, b| a.edge_mm.total_cmp(&b.edge_mm))
}

/// The place of an area that is farthest from an outline, with its distance, mm.
///
/// Squares over the area are divided in four; one is given up when nothing in it can be farther than the best place found, because
/// the distance changes by no more than the way gone.
fn farthest_in(area: &BandArea, outline: &[DVec2]) -> (DVec2, f64) {
    let low = area.outer_mm.iter().copied().fold(DVec2::INFINITY, DVec2::min);
    let high = area.outer_mm.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max);
    let at_corner = |point: &DVec2| (*point, distance_to_sides_mm(outline, *point));
    let farther = |best: (DVec2, f64), next: (DVec2, f64)| if next.1 > best.1 { next } else { best };
    let mut best = area.outer_mm.iter().map(at_corner).fold((low, 0.0), farther);
    let half_mm = 0.5 * (high - low).max_element();
    let mut squares = if half_mm.is_finite() { vec![(0.5 * (low + high), half_mm)] } else { Vec::new() };
    while let Some((middle, half_mm)) = squares.pop() {
        let (reach_mm, edge_mm) = (half_mm * std::f64::consts::SQRT_2, distance_to_sides_mm(outline, middle));
        let inside = contains(&area.outer_mm, middle) && !area.inner_mm.iter().any(|hole| contains(hole, middle));
        if inside {
            best = farther(best, (middle, edge_mm));
        }
        let sides = std::iter::once(&area.outer_mm).chain(&area.inner_mm);
        let near =
            inside || sides.map(|one| distance_to_sides_mm(one, middle)).fold(f64::INFINITY, f64::min) <= reach_mm;
        if reach_mm > WITHIN_MM && near && edge_mm + reach_mm > best.1 + WITHIN_MM {
            let quarter = 0.5 * half_mm;
            let corners = [[-1.0, -1.0], [1.0, -1.0], [-1.0, 1.0], [1.0, 1.0]];
            squares.extend(corners.map(|[x, y]| (middle + quarter * DVec2::new(x, y), quarter)));
        }
    }
    best
}
