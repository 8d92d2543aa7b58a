//! Openings of a skin in its flat: those the surface has, and round holes at measured places.

use super::curve::FlatCurve;
use super::error::SkinError;
use super::piece::{SkinHole, SkinPiece};
use crate::flatten::FlatSkin;
use crate::{DevelopSettings, FlatOpening, HoleFinish, Loop, hole_finish};
use glam::{DVec2, DVec3};
use mesh::Skin;
use mesh::nearest::Nearest;
use mesh::polygon::signed_area_mm2;

/// How far a hole's middle may be given off the skin, as a share of its size.
const OFF_SKIN_SHARE: f64 = 0.02;
/// Growth of a hole while the skin is formed from which it is piloted, mm.
const GROWS_MM: f64 = 0.2;

/// All openings of the flat.
pub(super) fn all(
    piece: &SkinPiece,
    middle: &Skin,
    flat: &FlatSkin,
    settings: &DevelopSettings,
    tolerance_mm: f64,
) -> Result<Vec<FlatOpening>, SkinError> {
    let mut out: Vec<FlatOpening> = flat
        .boundaries
        .iter()
        .skip(1)
        .enumerate()
        .map(|(i, chain)| of_surface(piece, middle, flat, settings, tolerance_mm, i, chain))
        .collect();
    if !piece.holes.is_empty() {
        let nearest = Nearest::new(&piece.skin)?;
        for hole in &piece.holes {
            out.push(round(piece, &nearest, flat, settings, hole)?);
        }
    }
    Ok(out)
}

fn of_surface(
    piece: &SkinPiece,
    middle: &Skin,
    flat: &FlatSkin,
    settings: &DevelopSettings,
    tolerance_mm: f64,
    i: usize,
    chain: &[u32],
) -> FlatOpening {
    let round = chain.iter().chain(chain.first());
    let (flat_mm, finished_mm): (Vec<DVec2>, Vec<DVec3>) =
        round.map(|p| (flat.points_mm[*p as usize], middle.points_mm[*p as usize])).unzip();
    let curve = FlatCurve::new(&flat_mm, &finished_mm, true, tolerance_mm);
    let mut outline = curve.polyline(0.0, curve.length_mm(), &|_| 0.0, settings.sampling_tolerance_mm);
    outline.pop();
    // the boundary runs with the sheet to its left: clockwise round a hole
    outline.reverse();
    let change = 100.0 * (curve.length_mm() / curve.flat_length_mm() - 1.0);
    let centre_mm = outline.iter().sum::<DVec2>() / outline.len().max(1) as f64;
    FlatOpening {
        name: name(piece, flat, i),
        centre_mm,
        diameter_mm: None,
        cut_diameter_mm: None,
        outline_mm: Some(outline),
        finish: HoleFinish::FullSize,
        why: format!(
            "an opening of the surface; its edge changes by {change:.1} % while the skin is formed, which the flat allows for"
        ),
        along_mm: centre_mm.x,
        from_edge_mm: centre_mm.y,
    }
}

/// The given name whose point is nearest to this hole and to no other; numbered otherwise.
fn name(piece: &SkinPiece, flat: &FlatSkin, hole: usize) -> String {
    let distance = |at: DVec3, chain: &[u32]| {
        chain.iter().map(|p| piece.skin.points_mm[*p as usize].distance(at)).fold(f64::INFINITY, f64::min)
    };
    let own = |at: DVec3| {
        let far: Vec<f64> = flat.boundaries.iter().skip(1).map(|chain| distance(at, chain)).collect();
        let nearest = far.iter().copied().enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
        nearest.is_some_and(|(i, _)| i == hole)
    };
    let found = piece.hole_names.iter().find(|(_, at)| own(*at));
    found.map_or_else(|| format!("opening {}", hole + 1), |(name, _)| name.clone())
}

fn round(
    piece: &SkinPiece,
    nearest: &Nearest,
    flat: &FlatSkin,
    settings: &DevelopSettings,
    hole: &SkinHole,
) -> Result<FlatOpening, SkinError> {
    let allowed_mm = OFF_SKIN_SHARE * piece.skin.size_mm() + hole.reach_mm;
    let place = nearest.closest(hole.at_mm)?;
    let distance_mm = place.signed_distance_mm.abs();
    if distance_mm.is_nan() || distance_mm > allowed_mm {
        return Err(SkinError::OffSkin { name: hole.name.clone(), distance_mm, allowed_mm });
    }
    let (t, share) = (place.triangle, place.weights);
    let centre_mm: DVec2 = flat.triangles[t].iter().zip(share).map(|(p, w)| flat.points_mm[*p as usize] * w).sum();
    let strain = flat.strains[t];
    let stretch = [strain.major, strain.minor].map(|e| e.exp_m1());
    let grows = stretch.map(|e| (e * hole.diameter_mm).abs()).into_iter().fold(0.0, f64::max);
    let pilot = settings.pilot_hole_mm;
    let (finish, why) = if grows > GROWS_MM && hole.diameter_mm > pilot {
        let why = format!(
            "it would change by {grows:.1} mm while the skin is formed: {pilot} mm pilot, opened after forming"
        );
        (HoleFinish::Pilot, why)
    } else {
        hole_finish(hole.reach_mm, hole.half_clearance_mm, Some(hole.diameter_mm), pilot)
    };
    Ok(FlatOpening {
        name: hole.name.clone(),
        centre_mm,
        diameter_mm: Some(hole.diameter_mm),
        cut_diameter_mm: finish.cut_diameter_mm(Some(hole.diameter_mm), pilot),
        outline_mm: None,
        finish,
        why,
        along_mm: centre_mm.x,
        from_edge_mm: centre_mm.y,
    })
}

/// What an opening takes from the area of the flat as it is cut, mm².
pub(super) fn area_mm2(opening: &FlatOpening) -> f64 {
    if opening.finish == HoleFinish::ThroughMate {
        return 0.0;
    }
    let round = opening.cut_diameter_mm.map_or(0.0, |d| 0.25 * std::f64::consts::PI * d * d);
    let outline: Option<&Loop> = opening.outline_mm.as_ref();
    round + outline.map_or(0.0, |outline| signed_area_mm2(outline).abs())
}
