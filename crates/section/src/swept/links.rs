//! Links of the cross-section at a station: the skin between its stations, the make-ups by their meaning.

use super::{Place, skin_link};
use crate::edge_line::Lean;
use crate::jet::Jet;
use crate::profile::{Part, ProfileLink, Shape, sign};
use crate::{CrossSection, Curl, FlangeRelief, Link, MakeUp, Makes, Strip, StripEdge};
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
/// Under an old skin the apex lies under · cot(bend) nearer, because the flange keeps the place of its outer face.
pub(super) fn lost_at_finished(strip: &Strip, at: Place) -> Jet {
    let setback = taken(strip.finished_edge.first(), strip.thickness_mm, at);
    let Some(MakeUp::Flange { bend_angle_rad, stand_off_mm, .. }) = strip.finished_edge.first() else { return setback };
    let bend = bend_angle_rad.jet(at.station_mm, at.lean);
    let mut lost = setback;
    if *stand_off_mm != 0.0 {
        lost = lost + Jet::constant(*stand_off_mm) / bend.sin();
    }
    if strip.under_mm != 0.0 {
        lost = lost - bend.cos() / bend.sin() * strip.under_mm;
    }
    lost
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

/// Width of a flange from its own apex. With a stand-off it is given in the contact plane from the edge line, and the apex lies
/// stand-off · cot(opening) further on; under an old skin the apex lies under / sin(bend) further on.
pub(super) fn width_from_apex(strip: &Strip, edge: StripEdge, index: usize, at: Place) -> Jet {
    let Some(MakeUp::Flange { bend_angle_rad, width_mm, stand_off_mm, .. }) = strip.make_ups(edge).get(index) else {
        return Jet::constant(f64::NAN);
    };
    let bend = bend_angle_rad.jet(at.station_mm, at.lean);
    let mut width = width_mm.jet(at.station_mm, at.lean);
    if *stand_off_mm != 0.0 {
        width = width + bend.cos() / bend.sin() * *stand_off_mm;
    }
    if edge == StripEdge::Finished && index == 0 && strip.under_mm != 0.0 {
        width = width - Jet::constant(strip.under_mm) / bend.sin();
    }
    width
}

/// Depth of a joggle at a station with its rate: running out to nothing towards the ends where it is to.
pub(super) fn joggle_depth(strip: &Strip, depth_mm: f64, runs_out_mm: [f64; 2], at: Place) -> Jet {
    let (start, end) = (strip.from_mm - strip.spare_from_mm, strip.to_mm + strip.spare_to_mm);
    let from_end = [at.station_mm - start, end - at.station_mm];
    for ((out_mm, from_mm), way) in runs_out_mm.into_iter().zip(from_end).zip([1.0, -1.0]) {
        let inside = match at.lean {
            Lean::After if way > 0.0 => from_mm < out_mm,
            Lean::Before if way < 0.0 => from_mm < out_mm,
            _ => from_mm <= out_mm,
        };
        if out_mm > 0.0 && inside {
            return Jet::linear(depth_mm * (from_mm / out_mm).clamp(0.0, 1.0), way * depth_mm / out_mm);
        }
    }
    Jet::constant(depth_mm)
}

/// Links of a chain of make-ups, walking outward.
pub(super) fn make_ups(edge: StripEdge, strip: &Strip, at: Place) -> Vec<ProfileLink> {
    let (chain, thickness_mm) = (strip.make_ups(edge), strip.thickness_mm);
    let mut out = Vec::new();
    for (index, make_up) in chain.iter().enumerate() {
        let arc = |inside_radius_mm: f64, bend_rad: Jet| ProfileLink {
            part: Part::Bend { edge, index },
            shape: Shape::Arc { inside_radius_mm: Jet::constant(inside_radius_mm), bend_rad },
        };
        let leg = |length_mm: Jet, turn_rad: Jet| ProfileLink {
            part: Part::Leg { edge, index },
            shape: Shape::Straight { length_mm, turn_rad },
        };
        match make_up {
            MakeUp::Raw { .. } => {}
            MakeUp::Joggle { depth_mm, ramp_mm, lap_mm, runs_out_mm } => {
                let slope = joggle_depth(strip, *depth_mm, *runs_out_mm, at) * (1.0 / ramp_mm);
                let square = 1.0 + slope.value * slope.value;
                let angle = slope.apply(slope.value.atan(), 1.0 / square, -2.0 * slope.value / (square * square));
                out.push(ProfileLink {
                    part: Part::Ramp { edge, index },
                    shape: Shape::Straight {
                        length_mm: (slope * slope + 1.0).sqrt() * *ramp_mm,
                        turn_rad: angle * -1.0,
                    },
                });
                out.push(leg(Jet::constant(lap_mm - ramp_mm), angle));
            }
            MakeUp::Flange { bend_angle_rad, inside_radius_mm, turns, relief, .. } => {
                let bend = bend_angle_rad.jet(at.station_mm, at.lean);
                let width = width_from_apex(strip, edge, index, at);
                let own = setback(*inside_radius_mm, thickness_mm, bend);
                let next = taken(chain.get(index + 1), thickness_mm, at);
                out.push(arc(*inside_radius_mm, bend * sign(*turns)));
                match relief {
                    FlangeRelief::Split { seam_mm } => {
                        out.push(leg(Jet::constant(*seam_mm) - own, Jet::default()));
                        if strip.makes == (Makes::SplitFlange { edge }) {
                            out.push(leg(width - *seam_mm - next, Jet::default()));
                        }
                    }
                    _ => out.push(leg(width - own - next, Jet::default())),
                }
            }
            MakeUp::Wired { wire_mm, curl, turns } => {
                let (Curl::Geometry { wrap_rad } | Curl::TrialStrip { wrap_rad, .. }) = curl;
                out.push(arc(0.5 * wire_mm, Jet::constant(wrap_rad * sign(*turns))));
            }
            MakeUp::Hem { width_mm, inside_radius_mm, turns, .. } => {
                out.push(arc(*inside_radius_mm, Jet::constant(PI * sign(*turns))));
                out.push(leg(Jet::constant(*width_mm), Jet::default()));
            }
            MakeUp::Seam { width_mm } => out.push(leg(Jet::constant(*width_mm), Jet::default())),
        }
    }
    out
}
