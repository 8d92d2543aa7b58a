//! A double-curved skin worked out: surface from its profiles, flat, shape in space, templates, buck, hammerforms.

use super::{PieceEdge, SkinPlan, edges, skin_stations};
use crate::resolve::SkinShape;
use blank::skin::{DevelopedSkin, SkinEdge, SkinHole, SkinPiece, SkinSettings};
use blank::templates::buck::{self, Buck, BuckOrder, BuckSettings, Family, Slice, Spacing};
use blank::templates::{
    CardSettings, CheckingTemplate, Datum, EdgeRuns, FacedSkin, FormPlane, Hammerform, HammerformOrder, StationOrder,
    checking_template, hammerform,
};
use blank::{Blank, DevelopSettings};
use glam::{DMat3, DVec2, DVec3};
use handbook::{Concern, Grade};
use mesh::sections::SectionPlane;
use mesh::{FeatureLine, Skin, Surface};
use numerics::{Cancel, Progress};
use section::{Face, MakeUp, OpeningShape, Side};
use std::f64::consts::FRAC_PI_2;
use survey::stations::Profile;
use survey::{FitSettings, SurfaceFit, SurfaceSkin};
use units::format_mm;

/// Chords of the surface's triangles stay this near to it, mm.
const CHORD_MM: f64 = 0.05;
/// Furthest an edge may leave its plane and still get a hammerform, mm (a shop setting, no source).
const FORM_OUT_OF_PLANE_MM: f64 = 6.0;
/// Furthest a flange may be off square and still get a hammerform: 1°, which moves the backing plate by less than 0.1 mm.
const FORM_OFF_SQUARE_RAD: f64 = 0.0175;
/// Slices of a buck stand so far apart, mm (a shop setting, no source).
const BUCK_PITCH_MM: f64 = 90.0;
/// The base of a buck lies so far under the lowest point of the skin, mm.
const BUCK_FOOT_MM: f64 = 60.0;

/// A skin with everything that is made of it.
pub(super) struct MadeSkin {
    pub(super) blank: Blank,
    pub(super) shape: Surface,
    pub(super) reach_mm: f64,
    pub(super) plan: SkinPlan,
    pub(super) edges: Vec<PieceEdge>,
    /// Which edge is up and down, which to the front and to the rear, in words.
    pub(super) places: [String; 2],
}

/// Works a skin out.
pub(super) fn make(shape: &SkinShape, develop: &DevelopSettings, settings: &SkinSettings) -> Result<MadeSkin, String> {
    let (progress, cancel) = (Progress::silent(), Cancel::new());
    let surveyed = survey(shape, &progress, &cancel)?;
    let piece = surveyed.piece(shape);
    let developed =
        blank::skin::develop(&piece, develop, settings, &progress, &cancel).map_err(|error| error.to_string())?;
    surveyed.made(shape, &piece, developed)
}

/// The piece that `blank::skin` develops: for work that goes beyond one plan (seams).
///
/// # Errors
/// What is wrong with the survey, in words.
pub fn skin_piece(shape: &SkinShape, progress: &Progress, cancel: &Cancel) -> Result<SkinPiece, String> {
    Ok(survey(shape, progress, cancel)?.piece(shape))
}

/// What was measured as a surface, in vehicle axes.
struct Surveyed {
    fit: SurfaceFit,
    skin: SurfaceSkin,
    to_vehicle: DMat3,
}

fn survey(shape: &SkinShape, progress: &Progress, cancel: &Cancel) -> Result<Surveyed, String> {
    let profiles: Vec<Profile> = shape
        .profiles
        .iter()
        .map(|own| Profile { station_mm: own.station_mm, points_mm: own.points_mm.clone(), reach_mm: own.reach_mm })
        .collect();
    let face = match shape.face {
        Face::Outside => survey::Face::Outside,
        Face::Middle => survey::Face::Middle,
        Face::Inside => survey::Face::Inside,
    };
    let measured = survey::stations::measured(&profiles, face, &shape.outline_mm).map_err(|error| error.to_string())?;
    let words = |error: survey::SurveyError| error.to_string();
    let fit = survey::fit(measured, &FitSettings::default(), &progress.part(0.0, 0.5), cancel).map_err(words)?;
    let mut skin = fit
        .skin(
            &survey::SkinSettings { tolerance_mm: CHORD_MM, ..fit.default_skin_settings() },
            &progress.part(0.5, 1.0),
            cancel,
        )
        .map_err(words)?;
    skin.skin.points_mm.iter_mut().for_each(|point| *point = shape.to_vehicle * *point);
    Ok(Surveyed { fit, skin, to_vehicle: shape.to_vehicle })
}

impl Surveyed {
    /// The surface at a place of the datum, as surveyed.
    fn at(&self, place: DVec2) -> DVec3 {
        self.to_vehicle * self.fit.evaluate(place.x, place.y).at_mm
    }

    /// The same on the finished piece.
    fn finished_at(&self, shape: &SkinShape, place: DVec2) -> DVec3 {
        of_hand(shape, self.at(place))
    }

    /// The surface of the finished piece.
    fn finished(&self, shape: &SkinShape) -> Skin {
        if shape.mirrored { self.skin.skin.reflected_y() } else { self.skin.skin.clone() }
    }

    /// Reach of the sizes: that of what the profiles were computed from, or else the largest of the fitted surface.
    fn reach_mm(&self, shape: &SkinShape) -> f64 {
        let fitted_mm = || self.skin.reach_mm.iter().copied().fold(0.0, f64::max);
        shape.computed_reach_mm.unwrap_or_else(fitted_mm)
    }

    fn piece(&self, shape: &SkinShape) -> SkinPiece {
        let edge = |(own, corner): (&crate::resolve::SkinShapeEdge, &DVec2)| SkinEdge {
            name: own.name.clone(),
            from_mm: self.at(*corner),
            make_ups: own.make_ups.clone(),
            held: own.held,
        };
        let hole = |opening: &section::Opening| match opening.shape {
            OpeningShape::Round { diameter_mm } => Some(SkinHole {
                name: opening.name.clone(),
                at_mm: self.at(DVec2::new(opening.along_mm, opening.from_edge_mm)),
                diameter_mm,
                reach_mm: opening.reach_mm,
                half_clearance_mm: opening.half_clearance_mm,
            }),
            _ => None,
        };
        SkinPiece {
            name: shape.name.clone(),
            skin: self.skin.skin.clone(),
            face: shape.face,
            thickness_mm: shape.thickness_mm,
            material: shape.material.clone(),
            flow: None,
            route: shape.route,
            edges: shape.edges.iter().zip(&shape.outline_mm).map(edge).collect(),
            hole_names: Vec::new(),
            holes: shape.openings.iter().filter_map(hole).collect(),
            reach_mm: self.reach_mm(shape),
        }
    }

    fn made(&self, shape: &SkinShape, piece: &SkinPiece, developed: DevelopedSkin) -> Result<MadeSkin, String> {
        let mut blank = developed.blank;
        if shape.mirrored {
            // the other hand has the same flat with the other face up
            blank.turn_over();
        }
        blank.concerns.extend(self.fit.concerns.iter().chain(&self.skin.concerns).cloned());
        blank.concerns.extend(face_contradicted(shape));
        let templates = self.templates(shape, &mut blank.concerns);
        let made: Vec<f64> = templates.iter().map(|(station_mm, _)| *station_mm).collect();
        let templates = templates.into_iter().map(|(_, template)| template).collect();
        let outside = developed.middle.offset(0.5 * shape.thickness_mm);
        let marks = skin_stations::marks(shape, &outside, &developed.flat, &made, &mut blank.concerns);
        blank.marks.extend(marks);
        let buck = shape.buck_board_mm.and_then(|board_mm| self.buck(shape, board_mm, &mut blank.concerns));
        let middle = if shape.mirrored { developed.middle.reflected_y() } else { developed.middle.clone() };
        let hammerforms = hammerforms(piece, &middle, &developed.edge_points, &mut blank.concerns);
        let plan = SkinPlan {
            forming: developed.forming,
            largest_residual_mm: self.fit.residuals_mm().iter().fold(0.0, |most, own| own.abs().max(most)),
            rms_residual_mm: self.fit.rms_mm(),
            joined_edges: shape.edges.iter().filter(|edge| edge.joins).map(|edge| edge.name.clone()).collect(),
            datum: skin_stations::datum_words(shape),
            templates,
            slice_stations: buck.iter().flat_map(|buck| &buck.slices).map(|slice| station_of(shape, slice)).collect(),
            buck,
            hammerforms,
        };
        let (surface, edges) = in_space(shape, piece, &developed.middle, &developed.edge_points, &developed.reliefs)?;
        let places = places(piece, &middle, &developed.edge_points);
        Ok(MadeSkin { blank, shape: surface, reach_mm: piece.reach_mm, plan, edges, places })
    }

    /// Checking templates with their stations, across the piece.
    fn templates(&self, shape: &SkinShape, concerns: &mut Vec<Concern>) -> Vec<(f64, CheckingTemplate)> {
        let [low, high] = box_of(&shape.outline_mm);
        let stations = match shape.templates_at_mm.as_slice() {
            // an end itself is the edge of the sheet: a little inside it there is a section
            [] => vec![low.x + 0.05 * (high.x - low.x), 0.5 * (low.x + high.x), high.x - 0.05 * (high.x - low.x)],
            given => given.to_vec(),
        };
        let faced = match FacedSkin::new(&self.finished(shape), shape.face, shape.thickness_mm, Face::Outside, 0.0) {
            Ok(faced) => faced,
            Err(error) => {
                concerns.push(no_template(&shape.name, "templates", error.to_string()));
                return Vec::new();
            }
        };
        let one = |station_mm: f64| {
            // what tells them apart stands first, so that no narrow place cuts it off
            let name = format!("x = {}, {}", format_mm(station_mm, 0), shape.name);
            let middle = self.finished_at(shape, DVec2::new(station_mm, 0.5 * (low.y + high.y)));
            let datum = |name: &str, y: f64| Datum {
                name: name.into(),
                at_mm: self.finished_at(shape, DVec2::new(station_mm, y)),
            };
            let [across, out] = [DVec3::Y, DVec3::Z].map(|axis| of_hand(shape, shape.to_vehicle * axis));
            let quarter = 0.25 * (high.y - low.y);
            let order = StationOrder {
                name: name.clone(),
                station: format!("x = {}", format_mm(station_mm, 1)),
                plane: SectionPlane::new(middle, across, out)
                    .map_err(|error| (format!("template {name}"), error.to_string()))?,
                datums: [
                    datum(&format!("y = {}", format_mm(low.y + quarter, 0)), low.y + quarter),
                    datum(&format!("y = {}", format_mm(high.y - quarter, 0)), high.y - quarter),
                ],
                hand: shape.has_hand.then_some(shape.hand),
            };
            let made = checking_template(&faced, &order, &cards());
            made.map(|template| (station_mm, template)).map_err(|error| (format!("template {name}"), error.to_string()))
        };
        let mut out = Vec::new();
        for made in stations.into_iter().map(one) {
            match made {
                Ok(template) => out.push(template),
                Err((name, why)) => concerns.push(no_template(&shape.name, &name, why)),
            }
        }
        out
    }

    /// A buck under the inside face, standing on the datum plane's direction.
    fn buck(&self, shape: &SkinShape, board_mm: f64, concerns: &mut Vec<Concern>) -> Option<Buck> {
        let made = || {
            let faced = FacedSkin::new(&self.finished(shape), shape.face, shape.thickness_mm, Face::Inside, 0.0)?;
            let [x, y, z] = [DVec3::X, DVec3::Y, DVec3::Z].map(|axis| of_hand(shape, shape.to_vehicle * axis));
            let lowest = faced.skin().points_mm.iter().map(|point| point.dot(z)).fold(f64::INFINITY, f64::min);
            let foot = z * (lowest - BUCK_FOOT_MM);
            // x × y of the base must point to the skin; the reflection turns that round
            let up = if shape.mirrored { -y } else { y };
            let base = SectionPlane::new(foot, x, up)
                .map_err(|fault| blank::templates::TemplateError::Section { place: "the base".into(), fault })?;
            let order = BuckOrder { base, across: Spacing::Pitch(BUCK_PITCH_MM), along: Spacing::Pitch(BUCK_PITCH_MM) };
            let settings = BuckSettings { board_mm, ..BuckSettings::default() };
            buck::buck(&faced, &order, &settings, &cards())
        };
        match made() {
            Ok(buck) => Some(buck),
            Err(error) => {
                concerns.push(no_template(&shape.name, "buck", error.to_string()));
                None
            }
        }
    }
}

/// Where a slice stands in the datum.
fn station_of(shape: &SkinShape, slice: &Slice) -> String {
    match slice.family {
        Family::Across => format!("x = {}", format_mm(slice.at_mm, 1)),
        // the base of a reflected piece runs against y
        Family::Along => format!("y = {}", format_mm(if shape.mirrored { -slice.at_mm } else { slice.at_mm }, 1)),
    }
}

/// A point or direction of what was surveyed, on the finished piece.
fn of_hand(shape: &SkinShape, point: DVec3) -> DVec3 {
    if shape.mirrored { DVec3::new(point.x, -point.y, point.z) } else { point }
}

/// Which edge is up, and which end is front, from where the edges lie on the finished piece.
fn places(piece: &SkinPiece, middle: &Skin, chains: &[Vec<u32>]) -> [String; 2] {
    let middles: Vec<(&str, DVec3)> = piece
        .edges
        .iter()
        .zip(chains)
        .filter_map(|(edge, chain)| {
            let points = chain.iter().filter_map(|i| middle.points_mm.get(*i as usize));
            Some((edge.name.as_str(), points.sum::<DVec3>() / f64::from(u32::try_from(chain.len()).ok()?.max(1))))
        })
        .collect();
    let between = |way: DVec3, most: &str, least: &str| {
        let order = |a: &&(&str, DVec3), b: &&(&str, DVec3)| a.1.dot(way).total_cmp(&b.1.dot(way));
        match (middles.iter().max_by(order), middles.iter().min_by(order)) {
            (Some((high, top)), Some((low, foot))) if high != low => {
                // a symmetrical piece has no highest edge: none is named that lies no higher than its measurements are good
                let differs = (*top - *foot).dot(way) > piece.reach_mm.max(1.0);
                if differs { format!("{high} {most}, {low} {least}") } else { String::new() }
            }
            _ => String::new(),
        }
    };
    [between(DVec3::Z, "highest", "lowest"), between(DVec3::X, "to the front", "to the rear")]
}

/// Forms for the edges that are folded and lie nearly in a plane.
fn hammerforms(piece: &SkinPiece, middle: &Skin, chains: &[Vec<u32>], concerns: &mut Vec<Concern>) -> Vec<Hammerform> {
    let mut out = Vec::new();
    for (edge, chain) in piece.edges.iter().zip(chains) {
        let Some(MakeUp::Flange { inside_radius_mm, bend_angle_rad, turns, .. }) = edge.make_ups.first() else {
            continue;
        };
        let name = format!("{}, form for the {}", piece.name, edge.name);
        let ends = [bend_angle_rad.at(0.0), bend_angle_rad.at(f64::MAX)];
        if *turns != Side::Inside || ends.iter().any(|bend| (bend - FRAC_PI_2).abs() > FORM_OFF_SQUARE_RAD) {
            let why = "a form is drawn for a flange that stands square and turns to the inside".to_owned();
            concerns.push(no_template(&piece.name, &name, why));
            continue;
        }
        let order = HammerformOrder {
            name: name.clone(),
            edge: chain.clone(),
            edge_runs: EdgeRuns::OutsideOfFlange,
            // the sheet is clamped flat on the block: its plane is that of the skin beside the edge
            plane: FormPlane::BesideEdge,
            inside_radius_mm: inside_radius_mm.max(0.5),
            thickness_mm: piece.thickness_mm,
            out_of_plane_mm: FORM_OUT_OF_PLANE_MM,
        };
        match hammerform(middle, &order, &cards()) {
            Ok(form) => out.push(form),
            Err(error) => concerns.push(no_template(&piece.name, &name, error.to_string())),
        }
    }
    out
}

/// Cards whose curves need not follow the facets of the surface's triangles.
fn cards() -> CardSettings {
    let mut settings = CardSettings::default();
    settings.curve.chord_error_mm = CHORD_MM;
    settings
}

/// A mesh file that says another face of the sheet than the job does.
fn face_contradicted(shape: &SkinShape) -> Option<Concern> {
    let (file, said) = shape.mesh_says.as_ref().filter(|(_, said)| *said != shape.face)?;
    let word = |face: Face| match face {
        Face::Outside => "outside",
        Face::Middle => "middle",
        Face::Inside => "inside",
    };
    // how far apart both surfaces lie along their normal
    let out = |face: Face| match face {
        Face::Outside => 0.5,
        Face::Middle => 0.0,
        Face::Inside => -0.5,
    };
    let apart_mm = shape.thickness_mm * f64::abs(out(*said) - out(shape.face));
    let (own, said) = (word(shape.face), word(*said));
    Some(crate::resolve::note(
        "mesh-face",
        Grade::Caution,
        &shape.name,
        [
            format!("the job says that the {own} face was measured; {file} says of itself that it is the {said} face"),
            format!(
                "they lie {} apart: of the wrong one the flat is too large or too small, and templates touch the wrong face",
                format_mm(apart_mm, 2)
            ),
            format!(
                "ask which face was scanned; where the file is right, write face = \"{said}\" at the piece; where the job is right, take \
                 says_face out of its mesh"
            ),
        ],
    ))
}

fn no_template(place: &str, what: &str, why: String) -> Concern {
    crate::resolve::note(
        "no-template",
        Grade::Note,
        place,
        [format!("{what}: none is drawn"), why, "check that place with a card cut by hand on the vehicle".into()],
    )
}

/// The finished piece in space: sheet, made-up edges, holes as lines; and its named edges.
fn in_space(
    shape: &SkinShape,
    piece: &SkinPiece,
    middle: &Skin,
    chains: &[Vec<u32>],
    reliefs: &[blank::skin::ReliefLine],
) -> Result<(Surface, Vec<PieceEdge>), String> {
    let words = |error: section::SectionError| error.to_string();
    let edges: Vec<section::skin::SkinEdge<'_>> = piece
        .edges
        .iter()
        .zip(chains)
        .map(|(edge, chain)| section::skin::SkinEdge { name: &edge.name, chain, make_ups: &edge.make_ups })
        .collect();
    let mut surface = section::skin::tessellate(middle, piece.thickness_mm, &edges).map_err(words)?;
    let named = edges::of_skin(middle, piece.thickness_mm, &edges, shape.mirrored).map_err(words)?;
    let normals = middle.point_normals();
    surface.lines.extend(piece.holes.iter().map(|hole| FeatureLine {
        name: hole.name.clone(),
        points_mm: rim(middle, &normals, hole),
        closed: true,
    }));
    for relief in reliefs {
        let Some(edge) = edges.get(relief.edge) else { continue };
        let points_mm = section::skin::on_edge(middle, &normals, piece.thickness_mm, edge, &relief.places);
        let points_mm = points_mm.map_err(words)?;
        surface.lines.push(FeatureLine { name: "relief".into(), points_mm, closed: false });
    }
    Ok((if shape.mirrored { surface.reflected_y() } else { surface }, named))
}

/// The rim of a hole, square to the normal of the skin's nearest point.
fn rim(middle: &Skin, normals: &[DVec3], hole: &SkinHole) -> Vec<DVec3> {
    let off = |point: &DVec3| point.distance_squared(hole.at_mm);
    let nearest = middle.points_mm.iter().zip(normals).min_by(|a, b| off(a.0).total_cmp(&off(b.0)));
    let (across, up) = nearest.map_or(DVec3::Z, |(_, normal)| *normal).any_orthonormal_pair();
    let at = |i: u32| {
        let angle = std::f64::consts::TAU * f64::from(i) / 48.0;
        hole.at_mm + (across * angle.cos() + up * angle.sin()) * (0.5 * hole.diameter_mm)
    };
    (0..48).map(at).collect()
}

fn box_of(outline: &[DVec2]) -> [DVec2; 2] {
    let empty = [DVec2::INFINITY, DVec2::NEG_INFINITY];
    outline.iter().fold(empty, |[low, high], point| [low.min(*point), high.max(*point)])
}
