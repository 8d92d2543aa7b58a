//! What must be true of a strip before anything is computed from it.

use super::{Place, Swept, links, same_kind};
use crate::edge_line::Lean;
use crate::error::{none, rising, within};
use crate::profile::{Part, Profile};
use crate::{
    Along, CrossSection, Curl, FlangeRelief, Link, MakeUp, Makes, On, OpeningShape, SectionError, Side, Strip,
    StripEdge,
};
use glam::DVec2;
use std::f64::consts::PI;

/// Ranges that a sheet-metal piece can have at all.
const THICKNESS_MM: std::ops::RangeInclusive<f64> = 0.1..=6.0;
const LENGTH_MM: std::ops::RangeInclusive<f64> = 0.0..=20_000.0;
const RADIUS_MM: std::ops::RangeInclusive<f64> = 0.0..=100_000.0;
const FLANGE_BEND_RAD: std::ops::RangeInclusive<f64> = 0.01..=170.0 * PI / 180.0;

/// Numbers, order and kinds, before any geometry is built.
pub(super) fn plain_values(strip: &Strip) -> Result<(), SectionError> {
    within("the sheet's thickness", strip.thickness_mm, THICKNESS_MM, "mm")?;
    within("the reach of the height", strip.reach_mm, 0.0..=100.0, "mm")?;
    within("the spare length at the start", strip.spare_from_mm, 0.0..=500.0, "mm")?;
    within("the spare length at the end", strip.spare_to_mm, 0.0..=500.0, "mm")?;
    let length = strip.edge_line.length_mm();
    within("the start of the piece", strip.from_mm, -1e-6..=length, "mm")?;
    within("the end of the piece", strip.to_mm, strip.from_mm + 1.0..=length + 1e-6, "mm")?;
    sections(&strip.sections)?;
    chain(StripEdge::Finished, &strip.finished_edge, strip.thickness_mm)?;
    chain(StripEdge::Cut, &strip.cut_edge, strip.thickness_mm)?;
    within("the thickness of the old skin over the piece", strip.under_mm, 0.0..=6.0, "mm")?;
    parts(strip)
}

/// What is split, what lies under an old skin, and how far a joggle runs out.
fn parts(strip: &Strip) -> Result<(), SectionError> {
    let length = strip.to_mm + strip.spare_to_mm - strip.from_mm + strip.spare_from_mm;
    for edge in [StripEdge::Finished, StripEdge::Cut] {
        let chain = strip.make_ups(edge);
        let mut split = false;
        for (index, make_up) in chain.iter().enumerate() {
            let place = || strip.make_up_name(edge, index);
            if let MakeUp::Joggle { runs_out_mm: [first, last], .. } = make_up
                && first + last > length + 1e-9
            {
                let what = format!(
                    "the step runs out over {first:.1} and {last:.1} mm of a piece {length:.1} mm long; together they may be \
                     as long as the piece"
                );
                return Err(SectionError::Rule { place: place(), what });
            }
            let MakeUp::Flange { relief: FlangeRelief::Split { seam_mm }, .. } = make_up else { continue };
            within(format!("the seam of the split {}", place()), *seam_mm, 0.1..=2000.0, "mm")?;
            if chain.iter().skip(index + 1).any(|later| !matches!(later, MakeUp::Raw { .. })) {
                let what =
                    "only the outermost flange of an edge is split; fold the make-up beyond it on a piece of its own";
                return Err(SectionError::Rule { place: place(), what: what.to_owned() });
            }
            split = true;
        }
        if strip.makes == (Makes::SplitFlange { edge }) && !split {
            let what = format!("no flange of the {} is split, so nothing lies beyond its seam", edge.name());
            return Err(SectionError::Rule { place: strip.name.clone(), what });
        }
    }
    let flange_inside = matches!(strip.finished_edge.first(), Some(MakeUp::Flange { turns: Side::Inside, stand_off_mm, .. }) if *stand_off_mm == 0.0);
    if strip.under_mm > 0.0 && !flange_inside {
        let what = "a lap leg lies under the old skin, so the finished edge is a flange that turns to the inside, without a spacer";
        return Err(SectionError::Rule { place: strip.name.clone(), what: what.to_owned() });
    }
    Ok(())
}

fn sections(sections: &[CrossSection]) -> Result<(), SectionError> {
    let first = sections.first().ok_or_else(|| none("cross-sections"))?;
    within("the number of links of the cross-section", first.links.len() as f64, 1.0..=200.0, "")?;
    rising("cross-section", sections.iter().map(|section| section.station_mm))?;
    for (i, section) in sections.iter().enumerate() {
        let same = section.links.len() == first.links.len()
            && section.links.iter().zip(&first.links).all(|(a, b)| same_kind(a, b));
        if !same {
            let got = section.links.len();
            return Err(SectionError::ChainsDiffer { index: i + 1, got, need: first.links.len() });
        }
        let place = |what: &str| format!("{what} of cross-section {}", i + 1);
        within(place("the start angle"), section.start_angle_rad, -PI..=PI, "rad")?;
        for link in &section.links {
            match link {
                Link::Straight { length_mm } => within(place("a length"), *length_mm, LENGTH_MM, "mm")?,
                Link::Arc { inside_radius_mm, bend_angle_rad } => {
                    within(place("an inside radius"), *inside_radius_mm, RADIUS_MM, "mm")?;
                    within(place("a bend angle"), *bend_angle_rad, -1.5 * PI..=1.5 * PI, "rad")?
                }
            };
        }
    }
    for pair in sections.windows(2) {
        for (i, (a, b)) in pair[0].links.iter().zip(&pair[1].links).enumerate() {
            if let (Link::Arc { bend_angle_rad: a, .. }, Link::Arc { bend_angle_rad: b, .. }) = (a, b)
                && a * b < 0.0
            {
                let (from_mm, to_mm) = (pair[0].station_mm, pair[1].station_mm);
                return Err(SectionError::BendChangesSide { link: i + 1, from_mm, to_mm });
            }
        }
    }
    Ok(())
}

fn along_values(
    name: &str,
    along: &Along,
    range: std::ops::RangeInclusive<f64>,
    unit: &'static str,
) -> Result<(), SectionError> {
    match along {
        Along::Constant(value) => within(name, *value, range, unit).map(drop),
        Along::Stations(list) => {
            if list.is_empty() {
                return Err(none("stations of a flange's values"));
            }
            rising("flange value", list.iter().map(|(station, _)| *station))?;
            list.iter().try_for_each(|(station, value)| {
                within(format!("{name} at station {station:.1} mm"), *value, range.clone(), unit).map(drop)
            })
        }
    }
}

fn chain(edge: StripEdge, chain: &[MakeUp], thickness_mm: f64) -> Result<(), SectionError> {
    for (i, make_up) in chain.iter().enumerate() {
        match make_up {
            MakeUp::Raw { trim_mm } => {
                within("the trim of a raw edge", *trim_mm, 0.0..=100.0, "mm")?;
            }
            MakeUp::Joggle { depth_mm, ramp_mm, lap_mm, runs_out_mm } => {
                for out_mm in runs_out_mm {
                    within("the length over which the joggle runs out", *out_mm, 0.0..=500.0, "mm")?;
                }
                within("the depth of the joggle", *depth_mm, 0.05..=20.0, "mm")?;
                within("the ramp of the joggle", *ramp_mm, 0.05..=100.0, "mm")?;
                within("the lap, ramp included,", *lap_mm, *ramp_mm..=1000.0, "mm")?;
            }
            MakeUp::Flange { bend_angle_rad, inside_radius_mm, width_mm, stand_off_mm, .. } => {
                along_values("the bend angle of the flange", bend_angle_rad, FLANGE_BEND_RAD, "rad")?;
                within("the inside radius of the flange", *inside_radius_mm, 0.0..=1000.0, "mm")?;
                along_values("the width of the flange", width_mm, 0.1..=2000.0, "mm")?;
                let most = if edge == StripEdge::Finished && i == 0 { 50.0 } else { 0.0 };
                within("the stand-off of the flange", *stand_off_mm, 0.0..=most, "mm")?;
            }
            MakeUp::Wired { wire_mm, curl, .. } => {
                within("the wire's diameter", *wire_mm, 0.0..=50.0, "mm")?;
                if *wire_mm < thickness_mm {
                    return Err(SectionError::WireThinnerThanSheet { wire_mm: *wire_mm, thickness_mm });
                }
                let (Curl::Geometry { wrap_rad } | Curl::TrialStrip { wrap_rad, .. }) = curl;
                within("the wrap of the curl", *wrap_rad, PI / 6.0..=350.0 * PI / 180.0, "rad")?;
                if let Curl::TrialStrip { allowance_mm, .. } = curl {
                    within("the trial strip's allowance", *allowance_mm, 0.5 * wire_mm..=10.0 * wire_mm, "mm")?;
                }
            }
            MakeUp::Hem { width_mm, inside_radius_mm, .. } => {
                within("the width of the hem", *width_mm, 0.1..=200.0, "mm")?;
                within("the inside radius of the hem", *inside_radius_mm, 0.0..=20.0, "mm")?;
            }
            MakeUp::Seam { width_mm } => {
                within("the width of the seam", *width_mm, 0.1..=500.0, "mm")?;
            }
        }
        if i + 1 < chain.len() && !matches!(make_up, MakeUp::Flange { .. }) {
            return Err(SectionError::MakeUpOrder {
                edge: if edge == StripEdge::Finished { "finished" } else { "cut" },
                index: i + 1,
                what: make_up.kind_name(),
                accepted: "only a flange can be followed by another make-up",
            });
        }
    }
    Ok(())
}

/// Geometry at the breaks and between them.
pub(super) fn along(swept: &Swept<'_>) -> Result<(), SectionError> {
    let stations = stations_to_check(swept);
    swept.strip().outward.check(&swept.strip().edge_line, &stations)?;
    for &station_mm in &stations {
        let profile = swept.profile(station_mm, Lean::After);
        lengths(swept, &profile, station_mm)?;
        heights(swept, station_mm)?;
        if crosses_itself(&profile.polyline(0.5 * profile.thickness_mm)) {
            return Err(SectionError::CrossesItself { station_mm });
        }
        runs_on(swept, &profile, station_mm)?;
    }
    Ok(())
}

fn stations_to_check(swept: &Swept<'_>) -> Vec<f64> {
    const BETWEEN: usize = 4;
    let breaks = swept.breaks_mm();
    let inner = breaks
        .windows(2)
        .flat_map(|pair| (0..BETWEEN).map(move |i| pair[0] + (pair[1] - pair[0]) * i as f64 / BETWEEN as f64));
    inner.chain(breaks.last().copied()).collect()
}

fn lengths(swept: &Swept<'_>, profile: &Profile, station_mm: f64) -> Result<(), SectionError> {
    let strip = swept.strip();
    let at = Place { station_mm, lean: Lean::After };
    for link in &profile.links {
        let length = link.shape.outside_length_mm(profile.thickness_mm).value;
        let bend_over = matches!(link.shape, crate::Shape::Arc { bend_rad, .. } if bend_rad.value.abs() > 1.6 * PI);
        if !length.is_finite() || bend_over {
            return Err(SectionError::CrossesItself { station_mm });
        }
        if length >= -1e-9 && !arc_turned_over(strip, link, at) {
            continue;
        }
        let (place, got_mm) = match link.part {
            Part::Leg { edge, index } => match strip.make_ups(edge).get(index) {
                Some(MakeUp::Flange { relief, .. }) => {
                    let width = match relief {
                        FlangeRelief::Split { seam_mm } if strip.makes == Makes::Body => *seam_mm,
                        _ => links::width_from_apex(strip, edge, index, at).value,
                    };
                    (format!("{} at station {station_mm:.1} mm", strip.make_up_name(edge, index)), width)
                }
                _ => (strip.make_up_name(edge, index), length),
            },
            _ => {
                let plain = links::skin(&strip.sections, at);
                let own = plain.iter().find(|other| other.part == link.part);
                let own = own.map_or(0.0, |own| own.shape.outside_length_mm(strip.thickness_mm).value);
                (format!("the skin beside the fold at station {station_mm:.1} mm"), own)
            }
        };
        let need_mm = match link.part {
            Part::Skin { .. } => links::lost_at_finished(strip, at).value + links::lost_at_cut(strip, at).value,
            _ => got_mm - length,
        };
        return Err(SectionError::ShorterThanBend { place, got_mm, need_mm });
    }
    Ok(())
}

/// True when a setback has taken more than an arc of the skin has.
fn arc_turned_over(strip: &Strip, link: &crate::ProfileLink, at: Place) -> bool {
    let bend_of = |shape: &crate::Shape| match shape {
        crate::Shape::Arc { bend_rad, .. } => bend_rad.value,
        crate::Shape::Straight { .. } => 0.0,
    };
    let plain = links::skin(&strip.sections, at);
    let own = plain.iter().find(|other| other.part == link.part);
    own.is_some_and(|own| bend_of(&own.shape) * bend_of(&link.shape) < -1e-12)
}

/// The finished edge's own height and the lap against the height of the strip.
fn heights(swept: &Swept<'_>, station_mm: f64) -> Result<(), SectionError> {
    let strip = swept.strip();
    let height_mm = swept.skin_height_mm(station_mm);
    let taller = match strip.finished_edge.first() {
        Some(MakeUp::Wired { wire_mm, .. }) => Some(("the curl", wire_mm + 2.0 * strip.thickness_mm)),
        Some(MakeUp::Hem { width_mm, inside_radius_mm, .. }) => {
            Some(("the hem", width_mm + inside_radius_mm + strip.thickness_mm))
        }
        _ => None,
    };
    if let Some((what, need_mm)) = taller
        && need_mm > height_mm
    {
        return Err(SectionError::TallerThanStrip { what, need_mm, height_mm });
    }
    if let Some(MakeUp::Joggle { lap_mm, .. }) = strip.cut_edge.first()
        && *lap_mm > height_mm
    {
        return Err(SectionError::LapWiderThanPiece { lap_mm: *lap_mm, height_mm });
    }
    Ok(())
}

/// Every lengthwise line must run the way the edge line runs.
fn runs_on(swept: &Swept<'_>, profile: &Profile, station_mm: f64) -> Result<(), SectionError> {
    let frame = swept.frame_jet(station_mm, Lean::After);
    let forward =
        |depth: f64| profile.nodes.iter().all(|node| swept.point(&frame, node, depth).first.dot(frame.t.value) > 0.05);
    if forward(0.0) && forward(profile.thickness_mm) {
        return Ok(());
    }
    Err(SectionError::TooTight { station_mm })
}

fn crosses_itself(line: &[DVec2]) -> bool {
    let side = |a: DVec2, b: DVec2, p: DVec2| (b - a).perp_dot(p - a);
    let crosses = |a: DVec2, b: DVec2, c: DVec2, d: DVec2| {
        side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
    };
    let segments: Vec<_> = line.windows(2).map(|pair| (pair[0], pair[1])).collect();
    segments.iter().enumerate().any(|(i, &(a, b))| segments.iter().skip(i + 2).any(|&(c, d)| crosses(a, b, c, d)))
}

/// Every opening lies on the flat of its leg and between the ends of the piece.
pub(super) fn openings(swept: &Swept<'_>) -> Result<(), SectionError> {
    for opening in &swept.strip().openings {
        let name = &opening.name;
        within(format!("the station of {name}"), opening.along_mm, -1e6..=1e6, "mm")?;
        within(format!("the distance of {name}"), opening.from_edge_mm, -1e6..=1e6, "mm")?;
        within(format!("the reach of {name}"), opening.reach_mm, 0.0..=100.0, "mm")?;
        opening.shape.check(name)?;
        on_the_metal(swept, opening)?;
    }
    Ok(())
}

impl OpeningShape {
    /// Checks the numbers of an opening's shape.
    pub(crate) fn check(&self, name: &str) -> Result<(), SectionError> {
        match self {
            Self::Round { diameter_mm } => within(format!("the diameter of {name}"), *diameter_mm, 0.1..=2000.0, "mm")?,
            Self::Slot { length_mm, width_mm, angle_rad } => {
                within(format!("the angle of {name}"), *angle_rad, -PI..=PI, "rad")?;
                within(format!("the width of {name}"), *width_mm, 0.1..=2000.0, "mm")?;
                within(format!("the length of {name}"), *length_mm, *width_mm..=5000.0, "mm")?
            }
            Self::CutOut { corners_mm } => {
                for corner in corners_mm {
                    within(format!("a corner of {name}"), corner.x, -1e6..=1e6, "mm")?;
                    within(format!("a corner of {name}"), corner.y, -1e6..=1e6, "mm")?;
                }
                within(format!("the number of corners of {name}"), corners_mm.len() as f64, 3.0..=10_000.0, "")?
            }
        };
        Ok(())
    }
}

fn on_the_metal(swept: &Swept<'_>, opening: &crate::Opening) -> Result<(), SectionError> {
    let off = |accepted: String| SectionError::OffTheMetal {
        name: opening.name.clone(),
        station_mm: opening.along_mm,
        distance_mm: opening.from_edge_mm,
        accepted,
    };
    let [low, high] = opening.shape.bounds_mm();
    let (start, end) = (swept.start_mm(), swept.end_mm());
    if opening.along_mm + low.x < start || opening.along_mm + high.x > end {
        return Err(off(format!("it must lie between the ends of the piece, stations {start:.1} and {end:.1} mm")));
    }
    for station_mm in [low.x, 0.0, high.x].map(|x| opening.along_mm + x) {
        let Some([first, last]) = swept.leg_range_mm(opening.on, station_mm) else {
            let accepted = match opening.on {
                On::Fold { .. } => "a strip has its openings on the skin or on the leg of a make-up",
                _ => "the make-up it is said to be on has no flat leg",
            };
            return Err(off(accepted.into()));
        };
        if opening.from_edge_mm + low.y < first - 1e-9 || opening.from_edge_mm + high.y > last + 1e-9 {
            return Err(off(format!(
                "all of it must lie on the flat of its leg, {first:.1} to {last:.1} mm from the edge line there"
            )));
        }
    }
    Ok(())
}
