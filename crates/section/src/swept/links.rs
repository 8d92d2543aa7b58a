//! Links of the cross-section at a station: the skin between its stations, the make-ups by their meaning.

use super::{Place, skin_link};
use crate::edge_line::Lean;
use crate::jet::Jet;
use crate::profile::{Part, ProfileLink, Shape, sign};
use crate::{CrossSection, Curl, Link, MakeUp, Strip, StripEdge};
use std::f64::consts::PI;

/// The two cross-sections about a station and the fraction between them, with its rate; one alone outside the stations.
fn between(sections: &[CrossSection], at: Place) -> Option<(&CrossSection, &CrossSection, Jet)> {
    let after = match at.lean {
        Lean::After => sections.partition_point(|section| section.station_mm <= at.station_mm),
        Lean::Before => sections.partition_point(|section| section.station_mm < at.station_mm),
    };
    match (after.checked_sub(1).and_then(|i| sections.get(i)), sections.get(after)) {
        (Some(a), Some(b)) => {
            let span = b.station_mm - a.station_mm;
            Some((a, b, Jet::linear((at.station_mm - a.station_mm) / span, 1.0 / span)))
        }
        (Some(only), None) | (None, Some(only)) => Some((only, only, Jet::default())),
        (None, None) => None,
    }
}

fn mix(a: f64, b: f64, fraction: Jet) -> Jet {
    fraction * (b - a) + a
}

pub(super) fn start_angle(sections: &[CrossSection], at: Place) -> Jet {
    between(sections, at).map_or(Jet::constant(f64::NAN), |(a, b, f)| mix(a.start_angle_rad, b.start_angle_rad, f))
}

pub(super) fn skin(sections: &[CrossSection], at: Place) -> Vec<ProfileLink> {
    let Some((a, b, f)) = between(sections, at) else { return Vec::new() };
    let shape = |pair| match pair {
        (Link::Straight { length_mm: la }, Link::Straight { length_mm: lb }) => Shape::straight(mix(la, lb, f)),
        (
            Link::Arc { inside_radius_mm: ra, bend_angle_rad: pa },
            Link::Arc { inside_radius_mm: rb, bend_angle_rad: pb },
        ) => {
            let mut bend_rad = mix(pa, pb, f);
            // An angle of 0 keeps the side of its neighbour, so that the concave face does not change over.
            if bend_rad.value == 0.0 {
                bend_rad.value = if pa > 0.0 || pb > 0.0 { f64::MIN_POSITIVE } else { -f64::MIN_POSITIVE };
            }
            Shape::Arc { inside_radius_mm: mix(ra, rb, f), bend_rad }
        }
        _ => Shape::straight(Jet::constant(f64::NAN)), // differing kinds never pass the check
    };
    a.links
        .iter()
        .copied()
        .zip(b.links.iter().copied())
        .enumerate()
        .map(|(i, pair)| skin_link(i, shape(pair)))
        .collect()
}

/// Length of the skin along its outside face, as described (no setback taken off).
pub(super) fn outside_length(sections: &[CrossSection], station_mm: f64, thickness_mm: f64) -> f64 {
    skin(sections, Place { station_mm, lean: Lean::After })
        .iter()
        .map(|link| link.shape.outside_length_mm(thickness_mm).value)
        .sum()
}

/// Setback of a bend to its sharp outer corner: (r + t) · tan(bend / 2). Handbook B33.
fn setback(inside_radius_mm: f64, thickness_mm: f64, bend_rad: Jet) -> Jet {
    (bend_rad * 0.5).tan() * (inside_radius_mm + thickness_mm)
}

/// What a make-up takes from the leg before it.
fn taken(make_up: Option<&MakeUp>, thickness_mm: f64, at: Place) -> Jet {
    match make_up {
        Some(MakeUp::Flange { bend_angle_rad, inside_radius_mm, .. }) => {
            setback(*inside_radius_mm, thickness_mm, bend_angle_rad.jet(at.station_mm, at.lean))
        }
        _ => Jet::default(),
    }
}

/// What the skin loses at the edge line: the setback, and the stand-off of a pair divided by the sine of the opening.
pub(super) fn lost_at_finished(strip: &Strip, at: Place) -> Jet {
    let setback = taken(strip.finished_edge.first(), strip.thickness_mm, at);
    match strip.finished_edge.first() {
        Some(MakeUp::Flange { bend_angle_rad, stand_off_mm, .. }) if *stand_off_mm != 0.0 => {
            setback + Jet::constant(*stand_off_mm) / bend_angle_rad.jet(at.station_mm, at.lean).sin()
        }
        _ => setback,
    }
}

pub(super) fn lost_at_cut(strip: &Strip, at: Place) -> Jet {
    taken(strip.cut_edge.first(), strip.thickness_mm, at)
}

/// Takes a length off a link of the skin; an arc keeps its radius and turns less.
pub(super) fn shorten(link: Option<&mut ProfileLink>, lost_mm: Jet, thickness_mm: f64) {
    let Some(link) = link else { return };
    if lost_mm == Jet::default() {
        return;
    }
    link.shape = match link.shape {
        Shape::Straight { length_mm, turn_rad } => Shape::Straight { length_mm: length_mm - lost_mm, turn_rad },
        Shape::Arc { inside_radius_mm, bend_rad } => {
            let less = lost_mm / Shape::outside_radius_mm(inside_radius_mm, bend_rad, thickness_mm);
            let bend_rad = if bend_rad.value > 0.0 { bend_rad - less } else { bend_rad + less };
            Shape::Arc { inside_radius_mm, bend_rad }
        }
    };
}

/// Width of a flange from its apex. With a stand-off it is given in the contact plane from the edge line, and
/// the apex lies stand-off · cot(opening) further on.
pub(super) fn width_from_apex(width_mm: Jet, stand_off_mm: f64, bend_rad: Jet) -> Jet {
    if stand_off_mm == 0.0 {
        return width_mm;
    }
    width_mm + bend_rad.cos() / bend_rad.sin() * stand_off_mm
}

/// Links of a chain of make-ups, walking outward.
pub(super) fn make_ups(edge: StripEdge, chain: &[MakeUp], thickness_mm: f64, at: Place) -> Vec<ProfileLink> {
    let mut out = Vec::new();
    for (index, make_up) in chain.iter().enumerate() {
        let arc = |inside_radius_mm: f64, bend_rad: Jet| ProfileLink {
            part: Part::Bend { edge, index },
            shape: Shape::Arc { inside_radius_mm: Jet::constant(inside_radius_mm), bend_rad },
        };
        let leg = |length_mm: Jet, turn: f64| ProfileLink {
            part: Part::Leg { edge, index },
            shape: Shape::Straight { length_mm, turn_rad: Jet::constant(turn) },
        };
        match make_up {
            MakeUp::Raw { .. } => {}
            MakeUp::Joggle { depth_mm, ramp_mm, lap_mm } => {
                let angle = depth_mm.atan2(*ramp_mm);
                out.push(ProfileLink {
                    part: Part::Ramp { edge, index },
                    shape: Shape::Straight {
                        length_mm: Jet::constant(depth_mm.hypot(*ramp_mm)),
                        turn_rad: Jet::constant(-angle),
                    },
                });
                out.push(leg(Jet::constant(lap_mm - ramp_mm), angle));
            }
            MakeUp::Flange { bend_angle_rad, inside_radius_mm, width_mm, turns, stand_off_mm } => {
                let bend = bend_angle_rad.jet(at.station_mm, at.lean);
                let width = width_from_apex(width_mm.jet(at.station_mm, at.lean), *stand_off_mm, bend);
                let own = setback(*inside_radius_mm, thickness_mm, bend);
                let next = taken(chain.get(index + 1), thickness_mm, at);
                out.push(arc(*inside_radius_mm, bend * sign(*turns)));
                out.push(leg(width - own - next, 0.0));
            }
            MakeUp::Wired { wire_mm, curl, turns } => {
                let (Curl::Geometry { wrap_rad } | Curl::TrialStrip { wrap_rad, .. }) = curl;
                out.push(arc(0.5 * wire_mm, Jet::constant(wrap_rad * sign(*turns))));
            }
            MakeUp::Hem { width_mm, inside_radius_mm, turns, .. } => {
                out.push(arc(*inside_radius_mm, Jet::constant(PI * sign(*turns))));
                out.push(leg(Jet::constant(*width_mm), 0.0));
            }
            MakeUp::Seam { width_mm } => out.push(leg(Jet::constant(*width_mm), 0.0)),
        }
    }
    out
}
