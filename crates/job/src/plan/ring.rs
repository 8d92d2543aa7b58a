//! A ring worked out: developed as one blank and built up, both judged and priced, the better way taken.

use super::{PiecePlan, Placing, RingPlan, RingWay, RingWayPlan, placing, shapes};
use crate::file::{RingMake, Section};
use crate::resolve::{Resolved, ResolvedPiece, RingShape};
use blank::Blank;
use blank::ring::{DevelopedRing, RingPartFlat};
use glam::{DMat3, DVec2, DVec3};
use handbook::{Concern, Grade};
use mesh::Surface;
use section::ring::{LegKind, Meridian};
use section::{Face, Ring, RingCorner};
use shop::{PieceShape, PieceWork, RingWork, SectionWork, ShopSettings};
use units::format_mm;

/// Chords of the finished shape stay this near to it.
const SHAPE_TOLERANCE_MM: f64 = 0.1;
/// Chords of the drawn section stay this near to it.
const SECTION_TOLERANCE_MM: f64 = 0.02;

/// Makes a ring: one plan for one formed blank, one for each part of a ring that is built up.
pub(super) fn make(
    shape: &RingShape,
    piece: &ResolvedPiece,
    resolved: &Resolved,
    section: &Section,
    shop: &ShopSettings,
) -> Result<Vec<PiecePlan>, String> {
    let words = |error: &dyn std::fmt::Display| error.to_string();
    let develop = super::make::develop_settings(piece, shop);
    let developed = blank::ring::develop(&shape.ring, &develop, &shape.settings).map_err(|error| words(&error))?;
    let one = ready(vec![developed.one_blank.blank.clone()], shape);
    let built = ready(developed.built_up.parts.iter().map(|part| part.blank.clone()).collect(), shape);
    let mut plan = plan_of(shape, &developed).map_err(|error| words(&error))?;
    let ways = [RingWay::OneBlank, RingWay::BuiltUp].map(|way| {
        let trial = RingPlan { way, ..plan.clone() };
        let flats = if way == RingWay::OneBlank { &one } else { &built };
        judged(way, flats, &trial, resolved, section, shop)
    });
    let (way, because) = chosen(shape.make, &ways);
    (plan.way, plan.because, plan.ways) = (way, because, ways.to_vec());
    let mut pieces = match way {
        RingWay::OneBlank => {
            let surface = section::ring::tessellate(&shape.ring, SHAPE_TOLERANCE_MM).map_err(|error| words(&error))?;
            plan.seams.clear();
            vec![piece_plan(piece, resolved, shape, one.into_iter().next(), surface)?]
        }
        RingWay::BuiltUp => {
            plan.forms.clear();
            plan.circles.clear();
            plan.formed_words.clear();
            plan.thickness_mm = [shape.ring.thickness_mm; 2];
            let mut sharp = shape.ring.clone();
            sharp.corners.iter_mut().for_each(|corner| corner.inside_radius_mm = 0.0);
            let whole = section::ring::tessellate(&sharp, SHAPE_TOLERANCE_MM).map_err(|error| words(&error))?;
            plan.whole = Some(of_vehicle(whole, shape));
            let parts = developed.built_up.parts.iter().zip(built);
            let made = parts.map(|(part, blank)| {
                let surface = part_surface(&shape.ring, part).map_err(|error| words(&error))?;
                let mut made = piece_plan(piece, resolved, shape, Some(blank), surface)?;
                made.part_of.clone_from(&shape.ring.name);
                Ok(made)
            });
            made.collect::<Result<Vec<_>, String>>()?
        }
    };
    (plan.outside_mm, plan.inside_mm) = faces(&shape.ring, way).map_err(|error| words(&error))?;
    if let Some(first) = pieces.first_mut() {
        first.edges = super::edges::of_ring(shape)?;
        first.blank.concerns.extend(other_way(shape, &plan));
        first.ring = Some(Box::new(plan));
    }
    Ok(pieces)
}

/// Flats with the right face up; the dimensions to check stand on the last, when all parts are together.
fn ready(mut blanks: Vec<Blank>, shape: &RingShape) -> Vec<Blank> {
    let last = blanks.len().saturating_sub(1);
    for (i, blank) in blanks.iter_mut().enumerate() {
        if shape.mirrored {
            blank.turn_over();
        }
        if i != last {
            blank.check_dimensions.clear();
        }
    }
    blanks
}

fn plan_of(shape: &RingShape, developed: &DevelopedRing) -> Result<RingPlan, section::SectionError> {
    let one = &developed.one_blank;
    let rolled = |part: &RingPartFlat| {
        let mean = 0.5 * (part.radii_mm[0] + part.radii_mm[1]);
        (part.kind != LegKind::Flat).then_some(mean)
    };
    let (outside_mm, inside_mm) = faces(&shape.ring, RingWay::OneBlank)?;
    Ok(RingPlan {
        way: RingWay::OneBlank,
        because: String::new(),
        ways: Vec::new(),
        ring: shape.ring.clone(),
        outside_mm,
        inside_mm,
        seams: developed.built_up.seams.clone(),
        forms: one.forms.clone(),
        circles: one.circles.clone(),
        formed_words: format!("{}; {}", one.held_words, one.law.words()),
        thickness_mm: one.thickness_mm(),
        whole: None,
        rolled_mm: developed.built_up.parts.iter().map(rolled).collect(),
    })
}

/// Both faces of the section; the corners of a built-up ring are sharp.
fn faces(ring: &Ring, way: RingWay) -> Result<(Vec<DVec2>, Vec<DVec2>), section::SectionError> {
    let mut ring = ring.clone();
    if way == RingWay::BuiltUp {
        ring.corners.iter_mut().for_each(|corner| corner.inside_radius_mm = 0.0);
    }
    let meridian = Meridian::of(&ring)?;
    let half = 0.5 * ring.thickness_mm;
    Ok((meridian.polyline(half, SECTION_TOLERANCE_MM), meridian.polyline(-half, SECTION_TOLERANCE_MM)))
}

/// Stops and price of one way.
fn judged(
    way: RingWay,
    flats: &[Blank],
    plan: &RingPlan,
    resolved: &Resolved,
    section: &Section,
    shop: &ShopSettings,
) -> RingWayPlan {
    let stops: Vec<&Concern> =
        flats.iter().flat_map(|flat| &flat.concerns).filter(|concern| concern.grade == Grade::Stop).collect();
    let work = SectionWork {
        title: section.title.clone(),
        pieces: flats.iter().enumerate().map(|(i, flat)| piece_work(flat, i, flats.len(), plan)).collect(),
        sub_assemblies: Vec::new(),
        quantity: section.quantity,
        kept_pattern: section.from_pattern.is_some(),
        said_on_the_phone: resolved.said_on_the_phone,
    };
    let price = shop::price(&work, &shop::operations(&work, shop), shop).ok();
    RingWayPlan {
        way,
        feasible: stops.is_empty(),
        stopped_by: stops.iter().map(|stop| format!("{}: {}; {}", stop.place, stop.what, stop.what_to_do)).collect(),
        minutes: price.as_ref().map(|price| price.minutes),
        net: price.map(|price| price.net.middle),
    }
}

fn piece_work<'a>(flat: &'a Blank, index: usize, parts: usize, plan: &'a RingPlan) -> PieceWork<'a> {
    PieceWork {
        blank: flat,
        shape: PieceShape::Ring,
        ring: Some(ring_work(index, parts, plan)),
        tube: None,
        ruled: None,
        hand: String::new(),
        forming: None,
        buck_slices: 0,
        steps: Vec::new(),
        welded_corners_mm: Vec::new(),
        legs: Vec::new(),
        mate: None,
        templates: 0,
    }
}

fn ring_work(index: usize, parts: usize, plan: &RingPlan) -> RingWork<'_> {
    match plan.way {
        RingWay::OneBlank => RingWork::Formed {
            forms: &plan.forms,
            circles: &plan.circles,
            words: &plan.formed_words,
            thickness_mm: plan.thickness_mm,
        },
        RingWay::BuiltUp => RingWork::Part {
            rolled_mm: plan.rolled_mm.get(index).copied().flatten(),
            // all parts must be there before the first corner is tacked
            seams: if index + 1 == parts { &plan.seams } else { &[] },
        },
    }
}

/// What the shop is asked to do for a planned piece, where it is a ring or a part of one.
pub(super) fn work<'a>(piece: &'a PiecePlan, all: &'a [PiecePlan]) -> Option<RingWork<'a>> {
    if piece.kind != "ring" {
        return None;
    }
    let parts: Vec<&PiecePlan> = all.iter().filter(|other| other.name_in_job() == piece.name_in_job()).collect();
    let plan = parts.iter().find_map(|part| part.ring.as_deref())?;
    let index = parts.iter().position(|part| part.name == piece.name)?;
    Some(ring_work(index, parts.len(), plan))
}

/// The way that is asked for, or the feasible one, or of two feasible ones the cheaper.
fn chosen(make: RingMake, [one, built]: &[RingWayPlan; 2]) -> (RingWay, String) {
    let price = |way: &RingWayPlan| way.net.map_or_else(|| "no price".to_owned(), |net| net.to_string());
    let both = format!("one formed blank {}, built up {}, before tax", price(one), price(built));
    match make {
        RingMake::OneBlank => (RingWay::OneBlank, format!("one formed blank, as asked for ({both})")),
        RingMake::BuiltUp => (RingWay::BuiltUp, format!("built up with seams, as asked for ({both})")),
        RingMake::Either => match (one.feasible, built.feasible) {
            (true, false) => (RingWay::OneBlank, format!("one formed blank: the other way is stopped ({both})")),
            (false, true) => (RingWay::BuiltUp, format!("built up with seams: one blank would not stand it ({both})")),
            (false, false) => (RingWay::OneBlank, format!("neither way can be made as drawn ({both})")),
            (true, true) => match (one.net, built.net) {
                (Some(formed), Some(welded)) if welded.minor < formed.minor => (
                    RingWay::BuiltUp,
                    format!("built up with seams: both ways can be made and this is the cheaper ({both})"),
                ),
                _ => (
                    RingWay::OneBlank,
                    format!("one formed blank: both ways can be made and this is the cheaper ({both})"),
                ),
            },
        },
    }
}

/// A note that says what the other way would take, or why it was refused.
fn other_way(shape: &RingShape, plan: &RingPlan) -> Option<Concern> {
    let other = plan.ways.iter().find(|own| own.way != plan.way)?;
    let why = if other.stopped_by.is_empty() {
        format!("{} could be made as well", other.way.words())
    } else {
        format!("{}: {}", other.way.words(), other.stopped_by.join(". "))
    };
    let what_to_do = "nothing, unless the other way suits the shop better: then say so in `make`".to_owned();
    let what = format!("the way it is made: {}", plan.because);
    Some(crate::resolve::note("ring-way", Grade::Note, &shape.ring.name, [what, why, what_to_do]))
}

/// The finished part of a leg, in the axes of the ring.
fn part_surface(ring: &Ring, part: &RingPartFlat) -> Result<Surface, section::SectionError> {
    let mut sharp = ring.clone();
    sharp.corners.iter_mut().for_each(|corner| corner.inside_radius_mm = 0.0);
    let middle = section::ring::middle_corners(&sharp)?;
    let ends = middle.get(part.leg).zip(middle.get(part.leg + 1));
    // the ends of the part lie on its leg at their own distances from the axis
    let (a, b) = ends.map_or((DVec2::ZERO, DVec2::X), |(a, b)| (*a, *b));
    let along = (b - a).normalize_or_zero();
    let spare = 0.5 * (a.distance(b) - part.width_mm);
    let [from, to] = if part.kind == LegKind::Wall {
        // both ends are cut back alike or not at all; which shows in the height only
        [a + along * spare, b - along * spare]
    } else {
        [part.radii_mm[0], part.radii_mm[1]].map(|radius| a + along * ((radius - a.x) / along.x))
    };
    let corner = |at: DVec2| RingCorner { radius_mm: at.x, height_mm: at.y, inside_radius_mm: 0.0 };
    let holes =
        ring.holes.iter().filter(|hole| ring.flat_leg_at(hole.along_mm.hypot(hole.from_edge_mm)) == Some(part.leg));
    let own = Ring {
        face: Face::Middle,
        corners: vec![corner(from), corner(to)],
        leg_names: vec![part.name.clone()],
        holes: holes.cloned().collect(),
        ..ring.clone()
    };
    section::ring::tessellate(&own, SHAPE_TOLERANCE_MM)
}

fn piece_plan(
    piece: &ResolvedPiece,
    resolved: &Resolved,
    shape: &RingShape,
    blank: Option<Blank>,
    surface: Surface,
) -> Result<PiecePlan, String> {
    let blank = blank.ok_or_else(|| format!("{} has no flat", shape.ring.name))?;
    let surface = of_vehicle(surface, shape);
    let shapes = shapes::of(piece)?;
    let placing = Placing { edge_up: faces_out(shape), ..placing::of(piece, resolved.hand, &blank, &shapes) };
    Ok(PiecePlan::new("ring", placing, shape.ring.reach_mm, surface, blank))
}

/// Which part stands highest, in words: a stepped ring can be put in the wrong way up.
fn faces_out(shape: &RingShape) -> String {
    let ring = &shape.ring;
    let height = |leg: &usize| {
        let ends = ring.corners.get(*leg).zip(ring.corners.get(leg + 1));
        ends.map_or(0.0, |(a, b)| 0.5 * (a.height_mm + b.height_mm))
    };
    let flat = || (0..ring.legs()).filter(|leg| ring.leg_kind(*leg) == Some(LegKind::Flat));
    let most = flat().max_by(|a, b| height(a).total_cmp(&height(b)));
    let least = flat().min_by(|a, b| height(a).total_cmp(&height(b)));
    match (most, least) {
        (Some(most), Some(least)) if height(&most) - height(&least) > 1e-6 => format!(
            "{} lies {} further out than {}",
            ring.leg_name(most),
            format_mm(height(&most) - height(&least), 1),
            ring.leg_name(least)
        ),
        _ => String::new(),
    }
}

/// In vehicle axes, of the finished hand.
fn of_vehicle(surface: Surface, shape: &RingShape) -> Surface {
    let turned = turned(surface, shape.to_vehicle);
    if shape.mirrored { turned.reflected_y() } else { turned }
}

fn turned(mut surface: Surface, by: DMat3) -> Surface {
    let turn = |point: &mut DVec3| *point = by * *point;
    surface.points_mm.iter_mut().for_each(turn);
    surface.lines.iter_mut().flat_map(|line| &mut line.points_mm).for_each(turn);
    surface
}
