//! Double-curved skins: profiles in millimetres, edges with their make-ups, holes.

use super::make_up::{self, On};
use super::opening::{self, In};
use super::strip;
use super::{Build, JointChoice, Reader, ResolvedPiece, ResolvedShape};
use crate::file::{self, JointKind, Section, Towards};
use blank::flatten::Route;
use glam::{DMat3, DVec2, DVec3};
use handbook::Grade;
use mesh::polygon::signed_area_mm2;
use section::{Along, Face, Hand, MakeUp, Opening, OpeningShape};
use shop::ShopSettings;

/// A skin in plain numbers, datum axes: x along, y across, z from the datum plane away from the vehicle, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct SkinShape {
    /// Name.
    pub name: String,
    /// Hand of the finished piece.
    pub hand: Hand,
    /// Whether the piece has a hand at all.
    pub has_hand: bool,
    /// The finished piece is the reflection of what was surveyed.
    pub mirrored: bool,
    /// Sheet.
    pub thickness_mm: f64,
    /// Material key.
    pub material: String,
    /// Face that was measured.
    pub face: Face,
    /// The mesh file that the profiles come from, and the face that it says it is.
    pub mesh_says: Option<(String, Face)>,
    /// Turns datum axes into vehicle axes.
    pub to_vehicle: DMat3,
    /// How the blank is formed.
    pub route: Route,
    /// Profiles in the order of their stations.
    pub profiles: Vec<Profile>,
    /// Reach of the sizes, where the profiles were computed and not read: what is left on to trim is then in the make-ups.
    pub computed_reach_mm: Option<f64>,
    /// Corners in the datum plane, anticlockwise seen from outside.
    pub outline_mm: Vec<DVec2>,
    /// One per corner of the outline: from it to the next.
    pub edges: Vec<SkinShapeEdge>,
    /// Holes: `along_mm` is x, `from_edge_mm` is y.
    pub openings: Vec<Opening>,
    /// Stations of checking templates.
    pub templates_at_mm: Vec<f64>,
    /// Board for a buck.
    pub buck_board_mm: Option<f64>,
}

impl SkinShape {
    /// Largest ± of what was measured, mm.
    #[must_use]
    pub fn reach_mm(&self) -> f64 {
        let read_mm = || self.profiles.iter().map(|profile| profile.reach_mm).fold(0.0, f64::max);
        self.computed_reach_mm.unwrap_or_else(read_mm)
    }

    /// Length of the outline's edges that take the joint, in the datum plane, mm.
    #[must_use]
    pub fn joined_mm(&self) -> f64 {
        let next = self.outline_mm.iter().cycle().skip(1);
        let sides = self.outline_mm.iter().zip(next).zip(&self.edges);
        sides.filter(|(_, edge)| edge.joins).map(|((a, b), _)| a.distance(*b)).sum()
    }
}

/// A profile: z over y at one x.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// x.
    pub station_mm: f64,
    /// (y, z), y rising.
    pub points_mm: Vec<DVec2>,
    /// ± of z.
    pub reach_mm: f64,
}

impl SkinShape {
    /// Which way x, y and heights run on the finished piece, in words.
    pub fn ways(&self) -> String {
        let runs = |axis: DVec3| {
            let way = self.to_vehicle * axis;
            let way = if self.mirrored { DVec3::new(way.x, -way.y, way.z) } else { way };
            Towards::nearest(way).words()
        };
        format!("x runs {}, y {}, heights {}", runs(DVec3::X), runs(DVec3::Y), runs(DVec3::Z))
    }
}

/// An edge of the outline.
#[derive(Debug, Clone, PartialEq)]
pub struct SkinShapeEdge {
    /// Name.
    pub name: String,
    /// Make-ups outward.
    pub make_ups: Vec<MakeUp>,
    /// Takes the section's joint.
    pub joins: bool,
    /// Keeps its length.
    pub held: bool,
}

pub(super) fn piece(build: &Build<'_>, skin: &file::Skin, reader: &mut Reader) -> Option<ResolvedPiece> {
    let field = format!("{}.piece.{}", build.source.path, skin.name);
    let thickness_mm = strip::sheet(&skin.thickness, &skin.material, &field, build, reader);
    let axes = Axes::of(skin, surveyed_hand(build), &field, reader)?;
    let reach_mm = reader.length(&format!("{field}.reach"), &skin.reach);
    let profiles: Vec<Profile> = skin.profiles.iter().map(|own| profile(own, reach_mm, &field, reader)).collect();
    if let Some(mesh) = skin.mesh.as_ref().filter(|_| profiles.is_empty()) {
        let message =
            format!("{} has not been read; take the job file in with soundmetal import, which reads it", mesh.file);
        reader.fault(format!("{field}.mesh"), message);
        return None;
    }
    let outline_mm = outline(skin, &profiles, &field, reader)?;
    let (edges, wire_stands_out_mm) = edges(build, skin, outline_mm.len(), thickness_mm, &field, reader);
    // turned round, an edge starts where it ended
    let turned = signed_area_mm2(&outline_mm) < 0.0;
    let wire_stands_out_mm = wire_stands_out_mm.map(|[start, end]| if turned { [end, start] } else { [start, end] });
    let (outline_mm, edges) = anticlockwise(outline_mm, edges, &field, reader);
    let openings = opening::all(build, &skin.openings, In::Skin, &field, reader);
    for opening in openings.iter().filter(|own| !matches!(own.shape, OpeningShape::Round { .. })) {
        let message = "is not round; a skin takes round holes: give diameter or bolt";
        reader.fault(format!("{field}.opening.{}", opening.name), message);
    }
    let templates = skin.templates_at.iter().map(|at| reader.signed(&format!("{field}.templates_at"), at)).collect();
    let board = skin.buck_board.as_ref().map(|board| reader.positive(&format!("{field}.buck_board"), board));
    Some(ResolvedPiece {
        shape: ResolvedShape::Skin(Box::new(SkinShape {
            name: skin.name.clone(),
            hand: build.placed.hand,
            has_hand: build.section.hand.is_some()
                || build.source.pattern.is_some_and(|pattern| pattern.hand.is_some()),
            mirrored: build.placed.mirrored != axes.left_handed,
            thickness_mm,
            material: skin.material.clone(),
            face: strip::face(skin.face),
            mesh_says: skin.mesh.as_ref().and_then(|own| Some((own.file.clone(), strip::face(own.says_face?)))),
            to_vehicle: axes.to_vehicle,
            route: route(skin.route, build.shop.skins.route_weight),
            profiles,
            computed_reach_mm: None,
            outline_mm,
            edges,
            openings,
            templates_at_mm: templates,
            buck_board_mm: board,
        })),
        wire_stands_out_mm,
        held_line: None,
        end_names: [String::new(), String::new()],
        mate: None,
        directions: format!(
            "x of the datum runs {}, y {}, heights {}",
            skin.x_runs.words(),
            skin.y_runs.words(),
            axes.heights_run.words()
        ),
    })
}

/// Axes of a datum as a person chose them.
///
/// A left-handed set is that of the reflected vehicle: the piece is made there, right-handed, from the numbers as they stand, and
/// the finished shape is reflected.
struct Axes {
    to_vehicle: DMat3,
    left_handed: bool,
    heights_run: Towards,
}

impl Axes {
    fn of(skin: &file::Skin, hand: Option<file::Hand>, field: &str, reader: &mut Reader) -> Option<Self> {
        let (x, y) = (skin.x_runs.vector(), skin.y_runs.vector());
        if x.dot(y) != 0.0 {
            let message = "is along x_runs; give two directions that are square to each other";
            reader.fault(format!("{field}.y_runs"), message);
            return None;
        }
        let third = x.cross(y);
        let third_runs = Towards::nearest(third);
        let ways = [third_runs.word(), Towards::nearest(-third).word()];
        let Some(heights_run) = skin.heights_run else {
            if !points_inward(third_runs, hand) {
                return Some(Self {
                    to_vehicle: DMat3::from_cols(x, y, third),
                    left_handed: false,
                    heights_run: third_runs,
                });
            }
            let message = format!(
                "is missing: with x {} and y {}, heights would run {}, which is into the vehicle; heights are measured away from \
                 it: write heights_run = \"{}\", or \"{}\" where that is really the outside",
                skin.x_runs.words(),
                skin.y_runs.words(),
                third_runs.words(),
                ways[1],
                ways[0],
            );
            reader.fault(format!("{field}.heights_run"), message);
            return None;
        };
        let along = heights_run.vector().dot(third);
        if along == 0.0 {
            let message =
                format!("lies in the datum; heights are square to x and y: write \"{}\" or \"{}\"", ways[0], ways[1]);
            reader.fault(format!("{field}.heights_run"), message);
            return None;
        }
        let left_handed = along < 0.0;
        if left_handed && skin.mesh.is_some() {
            let message = format!(
                "makes left-handed axes, which no scan has: with x {} and heights {}, y of a scan runs the other way",
                skin.x_runs.words(),
                heights_run.words()
            );
            reader.fault(format!("{field}.y_runs"), message);
            return None;
        }
        let own = |axis: DVec3| if left_handed { DVec3::new(axis.x, -axis.y, axis.z) } else { axis };
        Some(Self { to_vehicle: DMat3::from_cols(own(x), own(y), own(heights_run.vector())), left_handed, heights_run })
    }
}

/// Down, or towards the middle of the vehicle from the side that the hand says.
fn points_inward(way: Towards, hand: Option<file::Hand>) -> bool {
    match way {
        Towards::Down => true,
        Towards::Left => hand == Some(file::Hand::Right),
        Towards::Right => hand == Some(file::Hand::Left),
        Towards::Up | Towards::Front | Towards::Rear => false,
    }
}

/// Hand of what was measured: the pattern's, or that of the piece itself.
fn surveyed_hand(build: &Build<'_>) -> Option<file::Hand> {
    build.source.pattern.and_then(|pattern| pattern.hand).or(build.section.hand)
}

/// Corners and edges in the order in which they are developed; each edge keeps its corners and what was said of it.
fn anticlockwise(
    mut outline_mm: Vec<DVec2>,
    mut edges: Vec<SkinShapeEdge>,
    field: &str,
    reader: &mut Reader,
) -> (Vec<DVec2>, Vec<SkinShapeEdge>) {
    if signed_area_mm2(&outline_mm) >= 0.0 {
        return (outline_mm, edges);
    }
    if let Some(edge) = edges.iter().find(|edge| edge.make_ups.iter().any(varies)) {
        let message = format!(
            "runs clockwise, and {} varies from its start to its end; write the corners the other way round, seen from outside",
            edge.name
        );
        reader.fault(format!("{field}.outline"), message);
    }
    // edge k ran from corner k to the next: turned round, the last edge, back to corner 0, comes last but one
    outline_mm.reverse();
    edges.reverse();
    edges.rotate_left(1);
    (outline_mm, edges)
}

fn varies(make_up: &MakeUp) -> bool {
    match make_up {
        MakeUp::Flange { bend_angle_rad, width_mm, .. } => {
            [bend_angle_rad, width_mm].iter().any(|own| matches!(own, Along::Stations(_)))
        }
        _ => false,
    }
}

fn route(route: file::Route, weight: f64) -> Route {
    match route {
        file::Route::LeastWork => Route::LeastWork,
        file::Route::WheelOut => Route::WheelOut { weight },
        file::Route::GatherIn => Route::GatherIn { weight },
    }
}

fn profile(profile: &file::SkinProfile, reach_mm: f64, field: &str, reader: &mut Reader) -> Profile {
    let field = format!("{field}.profile.{}", profile.station.written());
    let point = |(i, [y, z]): (usize, &[units::Dimension; 2])| {
        let field = format!("{field}.points.{i}");
        DVec2::new(reader.signed(&field, y), reader.signed(&field, z))
    };
    let points_mm = profile.points.iter().enumerate().map(point).collect();
    Profile {
        station_mm: reader.signed(&format!("{field}.station"), &profile.station),
        points_mm,
        reach_mm: profile.reach.as_ref().map_or(reach_mm, |own| reader.length(&format!("{field}.reach"), own)),
    }
}

/// Corners as given, or those of the largest upright rectangle that every profile covers.
fn outline(skin: &file::Skin, profiles: &[Profile], field: &str, reader: &mut Reader) -> Option<Vec<DVec2>> {
    if !skin.outline.is_empty() {
        let corner = |(i, [x, y]): (usize, &[units::Dimension; 2])| {
            let field = format!("{field}.outline.{i}");
            DVec2::new(reader.signed(&field, x), reader.signed(&field, y))
        };
        let corners: Vec<DVec2> = skin.outline.iter().enumerate().map(corner).collect();
        if corners.len() < 3 {
            let message = format!("has {} corners; at least 3 are accepted, or none at all", corners.len());
            reader.fault(format!("{field}.outline"), message);
            return None;
        }
        return Some(corners);
    }
    // a point of a profile is (y, z)
    let ends = |profile: &Profile| Some([profile.points_mm.first()?.x, profile.points_mm.last()?.x]);
    let across = profiles.iter().filter_map(ends).reduce(|[a, b], [c, d]| [a.max(c), b.min(d)]);
    let along = profiles.first().zip(profiles.last()).map(|(a, b)| [a.station_mm, b.station_mm]);
    let (Some([y0, y1]), Some([x0, x1])) = (across, along) else {
        reader.fault(format!("{field}.profile"), "is missing; give at least three profiles with their points");
        return None;
    };
    if y1 <= y0 || x1 <= x0 {
        let message = "do not overlap: no patch is covered by all of them; order the stations and the points of each \
                       profile upwards, or give the outline";
        reader.fault(format!("{field}.profile"), message);
        return None;
    }
    Some(vec![DVec2::new(x0, y0), DVec2::new(x1, y0), DVec2::new(x1, y1), DVec2::new(x0, y1)])
}

fn edges(
    build: &Build<'_>,
    skin: &file::Skin,
    corners: usize,
    thickness_mm: f64,
    field: &str,
    reader: &mut Reader,
) -> (Vec<SkinShapeEdge>, Option<[f64; 2]>) {
    let raw = |i: usize| SkinShapeEdge { name: format!("edge {i}"), make_ups: Vec::new(), joins: false, held: false };
    let mut edges: Vec<SkinShapeEdge> = (0..corners).map(raw).collect();
    let mut wire_stands_out_mm: Option<[f64; 2]> = None;
    for (number, given) in skin.edges.iter().enumerate() {
        let path = format!("{field}.edge.{}", given.edge);
        let make_ups = format!("{path}.make_ups");
        let on = On { field: &make_ups, thickness_mm, leg_width_mm: None };
        let chain = make_up::chain(build, &given.make_ups, on, reader);
        if skin.edges.iter().take(number).any(|before| before.edge == given.edge) {
            reader.fault(
                format!("{path}.edge"),
                format!("{} stands twice; write all of an edge in one place", given.edge),
            );
        }
        if let (Some(known), Some(own)) = (wire_stands_out_mm, chain.wire_stands_out_mm)
            && known != own
        {
            let message = format!(
                "says that the wire stands out {} and {} mm, another edge {} and {}; the wires of a piece stand out alike",
                own[0], own[1], known[0], known[1]
            );
            reader.fault(make_ups.clone(), message);
        }
        wire_stands_out_mm = wire_stands_out_mm.or(chain.wire_stands_out_mm);
        if given.joins && !chain.make_ups.is_empty() {
            reader.fault(format!("{path}.joins"), "an edge that joins takes the joint's lap; leave its make_ups out");
        }
        let (name, joins, held) = (given.name.clone(), given.joins, given.held);
        match edges.get_mut(given.edge) {
            Some(place) => *place = SkinShapeEdge { name, make_ups: chain.make_ups, joins, held },
            None => reader.fault(
                format!("{path}.edge"),
                format!("is {}; the outline has edges 0 to {}", given.edge, corners.saturating_sub(1)),
            ),
        }
    }
    (edges, wire_stands_out_mm)
}

/// Says which edges of a skin that is let in join nothing: a forgotten edge would be left open.
pub(super) fn note_unjoined(
    section: &Section,
    seams: &[super::ResolvedSeam],
    pieces: &[ResolvedPiece],
    reader: &mut Reader,
) {
    if section.joint.kind == JointKind::Bolted {
        return;
    }
    for piece in pieces {
        let ResolvedShape::Skin(skin) = &piece.shape else { continue };
        let free = |edge: &&SkinShapeEdge| {
            !edge.joins && edge.make_ups.is_empty() && !super::is_seamed(seams, &skin.name, &edge.name)
        };
        let names: Vec<&str> = skin.edges.iter().filter(free).map(|edge| edge.name.as_str()).collect();
        if names.is_empty() {
            continue;
        }
        let what = match skin.edges.iter().any(|edge| edge.joins) {
            true => format!("{}: {} joins nothing and has no make-up", skin.name, names.join(" and ")),
            false => format!("{}: no edge takes the joint, and {} has no make-up", skin.name, names.join(" and ")),
        };
        let why = "it is left a raw, free edge, and no weld is counted or drawn there".to_owned();
        let cure = "give each of them joins = true or make_ups in its edge block (an edge that is not named there is raw), or leave it so";
        reader.concerns.push(super::reader::concern(
            "edge-joins-nothing",
            Grade::Note,
            &section.title,
            [what, why, cure.into()],
        ));
    }
}

/// Gives the edges that join the lap of the section's joint. The outline is where the old panel is cut; a lap stands beyond it.
pub(super) fn join(section: &Section, joint: &JointChoice, shop: &ShopSettings, pieces: &mut [ResolvedPiece]) {
    for piece in pieces {
        let ResolvedShape::Skin(skin) = &mut piece.shape else { continue };
        let trim_mm = shop.allowances.least_trim_mm.max(shop.allowances.trim_in_reaches * skin.reach_mm());
        for edge in skin.edges.iter_mut().filter(|edge| edge.joins) {
            edge.make_ups = vec![match section.joint.kind {
                JointKind::SteppedLap => MakeUp::Joggle {
                    depth_mm: joint.old_thickness_mm,
                    ramp_mm: joint.ramp_mm,
                    lap_mm: joint.lap_mm,
                    runs_out_mm: [0.0; 2],
                },
                JointKind::PlainLap | JointKind::BondedLap => MakeUp::Seam { width_mm: joint.lap_mm },
                JointKind::Butt => MakeUp::Raw { trim_mm },
                JointKind::Bolted => continue,
            }];
        }
    }
}
