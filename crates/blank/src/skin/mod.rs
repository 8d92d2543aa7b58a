//! Development of a double-curved skin with its make-ups: the flat to cut, and how it is formed.
//!
//! Model: the skin is flattened by least plastic work ([`crate::flatten`]) on the middle of the sheet. Its outer boundary is split at
//! corners into named edges; each edge is smoothed within a stated tolerance and its make-ups are laid off square to it in the flat, at
//! the widths that [`crate::strip`] gives. Corners are mitred, or notched with a relief hole (handbook F1–F3), so that strips do not overlap.
//! Holds: a flat skin with one flange gives the strip's flat to rounding; outlines are checked to be simple polygons, and one that is not
//! carries a `stop` concern that names the parts that clash; the same input gives the same bits.
//! Does not hold for: the make-ups' own effect on the flattening (they are laid off afterwards, their strain is reported); corners
//! whose edges curve within the width of a strip are exact in the flat only.
//! Units: mm, rad. Flat: outside face up, longest way along x, lower left corner of the outline's box at 0.

pub mod seams;
pub mod wheel;

mod bands;
mod boundary;
mod corner;
mod curve;
mod cut;
mod edge;
mod error;
mod forming;
mod holes;
mod lines;
mod outline;
mod piece;
mod relief;
mod relief_lines;
mod sharp;
mod smooth;
mod station;
mod upright;
mod wires;

pub use bands::{BandArea, RaiseBand, Work};
pub use error::SkinError;
pub use forming::{HeldEdge, LimitAt, SkinForming, ThicknessAt};
pub use piece::{SkinEdge, SkinHole, SkinPiece, SkinSettings};
pub use relief_lines::ReliefLine;
pub use station::{StationError, station_lines};
pub use wheel::{WheelCalibration, WheelTrial};

use crate::flatten::shop_terms;
use crate::flatten::{FlatSkin, FlattenError, FlattenSettings, flatten};
use crate::{Blank, BlankError, DevelopSettings, FaceUp, reliefs};
use boundary::Edge;
use curve::FlatCurve;
use edge::FlatEdge;
use glam::{DVec2, DVec3};
use handbook::{Concern, Grade, Source, Working};
use mesh::Skin;
use numerics::newton::Ending;
use numerics::{Cancel, Progress};
use outline::Outline;
use relief::WorkedEdge;
use section::{Strip, Swept};

/// A developed skin.
#[derive(Debug, Clone, PartialEq)]
pub struct DevelopedSkin {
    /// The flat as every other piece has it.
    pub blank: Blank,
    /// How it is formed.
    pub forming: SkinForming,
    /// The flat skin without its make-ups, in the frame of the blank.
    pub flat: FlatSkin,
    /// The finished surface in the middle of the sheet.
    pub middle: Skin,
    /// Points of the skin along every named edge, in order.
    pub edge_points: Vec<Vec<u32>>,
    /// Corner holes, notches and scallops on the finished piece.
    pub reliefs: Vec<ReliefLine>,
    /// True when the one named edge runs round the whole skin without a corner.
    pub closed_rim: bool,
    /// How far smoothing moved the cut line at most, mm.
    pub smoothed_mm: f64,
}

impl DevelopedSkin {
    /// True when one blank cannot do it: the metal, the gathering or the outline stops it. Then see [`seams::propose`].
    #[must_use]
    pub fn needs_seam(&self) -> bool {
        const BY_A_SEAM: [&str; 5] = [
            "skin-beyond-any-sheet",
            "skin-edge-gathering",
            "skin-flat-overlaps",
            "skin-forming-limit",
            "skin-gathering",
        ];
        let stops = self.blank.concerns.iter().filter(|concern| concern.grade == Grade::Stop);
        stops.into_iter().any(|concern| BY_A_SEAM.contains(&concern.key.as_str()))
    }

    /// Gravest of its concerns; none without any.
    #[must_use]
    pub fn gravest(&self) -> Option<Grade> {
        self.blank.concerns.iter().map(|concern| concern.grade).max()
    }
}

/// Develops a skin.
///
/// # Errors
/// [`SkinError`]: a faulty surface, edge, make-up or setting, each named; [`SkinError::Cancelled`].
pub fn develop(
    piece: &SkinPiece,
    develop: &DevelopSettings,
    settings: &SkinSettings,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<DevelopedSkin, SkinError> {
    settings.check(develop)?;
    piece.check()?;
    let topology = piece.skin.topology()?;
    let edges = boundary::split(piece, &topology.boundaries[0])?;
    let middle = piece.middle();
    let mut asked = FlattenSettings::least_work(piece.flow()?, piece.route, piece.thickness_mm);
    for (edge, _) in edges.iter().zip(&piece.edges).filter(|(_, given)| given.held) {
        asked.held_edges.extend(edge.chain.windows(2).map(|pair| [pair[0], pair[1]]));
    }
    let flat = match flatten(&middle, &asked, &progress.part(0.0, 0.95), cancel) {
        Err(FlattenError::Cancelled) => return Err(SkinError::Cancelled),
        other => other?,
    };
    if flat.ending == Ending::Cancelled {
        return Err(SkinError::Cancelled);
    }
    progress.report(0.95, "outline");
    let developed = report(piece, &middle, flat, &edges, develop, settings)?;
    progress.report(1.0, "developed");
    Ok(developed)
}

/// Name of the corner in which one edge ends and the next begins.
#[must_use]
pub fn corner_of(before: &str, after: &str) -> String {
    format!("corner of {before} and {after}")
}

/// The straight strips that carry the make-ups of all edges.
fn straight_strips(piece: &SkinPiece, middle: &Skin, edges: &[Edge]) -> Result<Vec<Strip>, SkinError> {
    let length = |edge: &Edge| -> f64 {
        edge.chain.windows(2).map(|p| middle.points_mm[p[0] as usize].distance(middle.points_mm[p[1] as usize])).sum()
    };
    edges.iter().zip(&piece.edges).map(|(edge, given)| edge::straight_strip(piece, given, length(edge))).collect()
}

fn flat_edges<'a>(
    piece: &'a SkinPiece,
    middle: &Skin,
    flat: &FlatSkin,
    edges: &[Edge],
    swept: &'a [Swept<'a>],
    develop: &'a DevelopSettings,
    tolerance_mm: f64,
) -> Result<Vec<FlatEdge<'a>>, SkinError> {
    let normals = middle.point_normals();
    let mut out = Vec::with_capacity(edges.len());
    for ((edge, given), swept) in edges.iter().zip(&piece.edges).zip(swept) {
        let flat_mm: Vec<DVec2> = edge.chain.iter().map(|i| flat.points_mm[*i as usize]).collect();
        let finished_mm: Vec<DVec3> = edge.chain.iter().map(|i| middle.points_mm[*i as usize]).collect();
        let curve = FlatCurve::new(&flat_mm, &finished_mm, edge.closed, tolerance_mm);
        let frames = section::skin::edge_frames(middle, &normals, &edge.chain);
        let mut edge = FlatEdge::new(piece, given, swept, develop, curve, frames)?;
        edge.worked = WorkedEdge::of(&edge, &develop.strip, &piece.material)?;
        out.push(edge);
    }
    Ok(out)
}

fn report(
    piece: &SkinPiece,
    middle: &Skin,
    mut flat: FlatSkin,
    edges: &[Edge],
    develop: &DevelopSettings,
    settings: &SkinSettings,
) -> Result<DevelopedSkin, SkinError> {
    let strips = straight_strips(piece, middle, edges)?;
    let mut swept = Vec::with_capacity(strips.len());
    for (strip, given) in strips.iter().zip(&piece.edges) {
        let faulty = |fault| SkinError::Edge { edge: given.name.clone(), fault: BlankError::Section(fault) };
        swept.push(Swept::new(strip).map_err(faulty)?);
    }
    let own = edge::strip_settings(develop);
    let chord_mm = develop.sampling_tolerance_mm;
    let join = |flat: &FlatSkin| -> Result<(Vec<FlatEdge<'_>>, Outline), SkinError> {
        let flat_edges = flat_edges(piece, middle, flat, edges, &swept, &own, settings.outline_tolerance_mm)?;
        let outline = outline::join(&flat_edges, settings.corner_gap_mm, piece.thickness_mm, chord_mm);
        Ok((flat_edges, outline))
    };
    // once to learn how it lies, again upright to learn the box, and with its corner at the origin
    let along = upright::long_side(&join(&flat)?.1.points_mm);
    upright::turn(&mut flat, along);
    let (_, outline) = join(&flat)?;
    let low = outline.points_mm.iter().copied().fold(DVec2::INFINITY, DVec2::min);
    flat.points_mm.iter_mut().for_each(|point| *point -= low);
    let (flat_edges, outline) = join(&flat)?;
    let openings = holes::all(piece, middle, &flat, develop, settings.outline_tolerance_mm)?;
    let forming = forming::forming(piece, middle, &flat, edges, settings)?;
    let lengthwise = lines::lengthwise(&flat_edges);
    let corners_mm: Vec<DVec2> = flat_edges.iter().map(|edge| edge.curve.at(0.0).at_mm).collect();
    let (running_x, running_y) = lines::running(&flat_edges, &corners_mm, &outline.points_mm, &openings);
    let smoothed_mm = flat_edges.iter().map(|edge| edge.curve.moved_mm).fold(0.0, f64::max);
    let mut concerns = shop_terms::concerns(&flat, &forming.limit, settings.gather);
    concerns.extend(forming::edge_concerns(&forming.edges, settings));
    concerns.extend(forming::held_concerns(&forming.held));
    concerns.extend(beyond_any_sheet(&flat));
    concerns.extend(flat_edges.iter().flat_map(|edge| &edge.worked).flat_map(|own| reliefs::concerns(&own.worked)));
    concerns.extend(of_make_ups(&flat_edges));
    let chains: Vec<&[u32]> = edges.iter().map(|edge| edge.chain.as_slice()).collect();
    let in_space = wires::in_space(piece, middle, &chains)?;
    concerns.extend(wires::clashes(&in_space, &flat_edges));
    concerns.extend(outline.concerns.iter().cloned());
    let area_mm2 =
        mesh::polygon::signed_area_mm2(&outline.points_mm) - openings.iter().map(holes::area_mm2).sum::<f64>();
    let blank = Blank {
        piece: piece.name.clone(),
        material: piece.material.clone(),
        thickness_mm: piece.thickness_mm,
        face_up: FaceUp::Outside,
        folds: lines::folds(&flat_edges, &outline.points_mm, chord_mm),
        marks: lines::marks(&flat_edges, &outline.points_mm, &corners_mm, chord_mm),
        area_mm2,
        stations: Vec::new(),
        lengthwise: lines::worth_showing(lengthwise),
        crown: None,
        wires: wires::parts(&in_space, &flat_edges, &develop.strip)?,
        check_dimensions: lines::check_dimensions(&flat_edges, develop, piece.thickness_mm, piece.reach_mm),
        running_x,
        running_y,
        trim_mm: flat_edges.iter().map(|edge| edge.trim_mm).fold(0.0, f64::max),
        workings: {
            let mut all = workings(&flat_edges, &outline, &forming, area_mm2, &flat, settings.outline_tolerance_mm);
            all.extend(wires::workings(&in_space));
            all
        },
        concerns,
        outline_mm: outline.points_mm,
        openings,
    };
    let reliefs = relief_lines::all(&flat_edges, &outline.corners, chord_mm);
    let edge_points = edges.iter().map(|edge| edge.chain.clone()).collect();
    let closed_rim = edges.iter().any(|edge| edge.closed);
    drop(flat_edges);
    Ok(DevelopedSkin { blank, forming, middle: middle.clone(), edge_points, reliefs, closed_rim, smoothed_mm, flat })
}

fn workings(
    edges: &[FlatEdge<'_>],
    outline: &Outline,
    forming: &SkinForming,
    area_mm2: f64,
    flat: &FlatSkin,
    tolerance_mm: f64,
) -> Vec<Working> {
    let mut out = vec![
        Working::new("area of the flat", area_mm2, "mm²", "polygon of the outline less openings", Source::geometry(""))
            .with("", "flattened skin without make-ups", flat.flat_area_mm2, "mm²")
            .with("", "finished skin, middle of the sheet", flat.panel_area_mm2, "mm²"),
    ];
    let moved = edges.iter().map(|edge| edge.curve.moved_mm).fold(0.0, f64::max);
    out.push(
        Working::new(
            "largest move of the cut line by smoothing",
            moved,
            "mm",
            "largest distance of a point",
            Source::geometry(""),
        )
        .with("", "tolerance of the cut line", tolerance_mm, "mm"),
    );
    out.extend(forming.workings.iter().cloned());
    let before = edges.iter().cycle().skip(edges.len().saturating_sub(1));
    for ((corner, edge), before) in outline.corners.iter().zip(edges).zip(before) {
        let named = |w: Working| {
            let corner = corner_of(&before.given.name, &edge.given.name);
            Working { name: format!("{corner}: {}", w.name).into(), ..w }
        };
        out.extend(corner.working.clone().map(named));
    }
    for edge in edges {
        out.extend(edge.worked.iter().flat_map(|own| reliefs::workings(&own.worked)));
        let named = |w: &Working| Working { name: format!("{}: {}", edge.given.name, w.name).into(), ..w.clone() };
        // the straight strip's skin is no figure of the piece
        out.extend(edge.straight.workings.iter().filter(|w| !w.name.starts_with("developed width")).map(named));
    }
    out
}

/// Concerns of the make-ups themselves: tight radii, wire ends.
fn of_make_ups(edges: &[FlatEdge<'_>]) -> Vec<Concern> {
    edges.iter().flat_map(|edge| edge.straight.concerns.iter().cloned()).collect()
}

fn beyond_any_sheet(flat: &FlatSkin) -> Option<Concern> {
    let strain = |t: &u32| flat.strains.get(*t as usize).map_or(0.0, |own| own.effective);
    let worst = *flat.beyond_any_sheet.iter().max_by(|a, b| strain(a).total_cmp(&strain(b)))?;
    let at = flat.triangle_centre_mm(worst as usize);
    let area: f64 = flat.beyond_any_sheet.iter().map(|t| triangle_area(flat, *t)).sum();
    Some(Concern {
        key: "skin-beyond-any-sheet".into(),
        grade: Grade::Stop,
        place: format!("blank at ({:.0}, {:.0}) mm", at.x, at.y),
        what: format!("{} are strained by more than any sheet can take in one piece", in_cm2(area)),
        why: "an effective strain above 0.5 tears or wrinkles every sheet without annealing".into(),
        what_to_do: "split the piece by a seam; see the seams proposed".into(),
        lifted_by: Some(handbook::LiftedBy::Shop),
        source: "shop setting, no source".into(),
    })
}

/// An area in cm², never told as none.
fn in_cm2(area_mm2: f64) -> String {
    let cm2 = area_mm2 / 100.0;
    if cm2 < 0.1 { "less than 0.1 cm²".into() } else { format!("{cm2:.1} cm²") }
}

fn triangle_area(flat: &FlatSkin, t: u32) -> f64 {
    let [a, b, c] = flat.triangles[t as usize].map(|i| flat.points_mm[i as usize]);
    0.5 * (b - a).perp_dot(c - a)
}
