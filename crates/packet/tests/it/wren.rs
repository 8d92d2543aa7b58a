//! A plan of the invented Wren 15 (design, section 9) made by the real section and blank crates.

use blank::DevelopSettings;
use glam::{DVec2, DVec3};
use handbook::{Concern, Grade, LiftedBy, Source, Working};
use job::file::{Decision, Hand as FileHand, Job, Paper};
use job::plan::*;
use section::*;
use std::f64::consts::PI;

const LAP_MM: f64 = 15.0;

fn arch_line() -> EdgeLine {
    let at = |degrees: f64| {
        let (sin, cos) = degrees.to_radians().sin_cos();
        DVec3::new(400.0 * cos, 0.0, 400.0 * sin)
    };
    EdgeLine::new(at(150.0), &[Segment::Arc { via_mm: at(90.0), to_mm: at(30.0) }]).unwrap()
}

fn arch_pattern() -> Strip {
    let crowned = |station_mm: f64, radius: f64| CrossSection {
        station_mm,
        start_angle_rad: 0.0,
        links: vec![
            Link::Straight { length_mm: 20.0 },
            Link::Arc { inside_radius_mm: radius, bend_angle_rad: -100.0 / radius },
        ],
    };
    let edge_line = arch_line();
    let length = edge_line.length_mm();
    Strip {
        name: "wheel-arch edge".into(),
        hand: Hand::Right,
        mirrored: true,
        edge_line,
        outward: Outward::One(DVec3::Y),
        face: Face::Outside,
        runs: Runs::Up,
        sections: vec![crowned(0.0, 900.0), crowned(0.5 * length, 700.0), crowned(length, 900.0)],
        from_mm: 100.0,
        to_mm: 700.0,
        spare_from_mm: 25.0,
        spare_to_mm: 25.0,
        thickness_mm: 0.9,
        material: "dc04".into(),
        finished_edge: vec![MakeUp::Wired { wire_mm: 6.35, curl: Curl::Geometry { wrap_rad: 1.5 * PI }, turns: Side::Inside }],
        cut_edge: vec![],
        openings: vec![],
        reach_mm: 1.0,
    }
}

fn tray() -> Folded {
    let flange = |degrees: f64, width_mm: f64| MakeUp::Flange {
        bend_angle_rad: Along::Constant(degrees.to_radians()),
        inside_radius_mm: 1.5,
        width_mm: Along::Constant(width_mm),
        turns: Side::Inside,
        stand_off_mm: 0.0,
    };
    let corners = [(0.0, 0.0), (420.0, 0.0), (420.0, 260.0), (0.0, 260.0)];
    Folded {
        name: "step-well tray".into(),
        hand: Hand::Left,
        mirrored: false,
        face_up_is: Side::Inside,
        base: Base { corners_mm: corners.map(DVec2::from).to_vec() },
        corners: vec![CornerKind::Welded { relief_mm: None }; 4],
        edges: [55.0, 55.0, 55.0, 40.0]
            .map(|width| EdgeFolds {
                make_ups: vec![flange(90.0, width)],
                start_cut: EndCut::Meet { gap_mm: 0.3 },
                end_cut: EndCut::Meet { gap_mm: 0.3 },
            })
            .to_vec(),
        thickness_mm: 1.2,
        material: "dc01".into(),
        openings: vec![
            Opening {
                name: "drain".into(),
                on: On::Skin,
                along_mm: 210.0,
                from_edge_mm: 40.0,
                shape: OpeningShape::Round { diameter_mm: 18.0 },
                reach_mm: 0.5,
                half_clearance_mm: None,
            },
            Opening {
                name: "bolt 1".into(),
                on: On::Fold { edge: 0, index: 0 },
                along_mm: 60.0,
                from_edge_mm: 25.0,
                shape: OpeningShape::Round { diameter_mm: 6.6 },
                reach_mm: 0.5,
                half_clearance_mm: Some(0.3),
            },
        ],
        reach_mm: 0.5,
    }
}

fn profile_shape(swept: &Swept<'_>, station_mm: f64) -> SectionShape {
    let profile = swept.profile(station_mm, edge_line::Lean::After);
    let wire = swept.wired().next().and_then(|(edge, index)| {
        let frame = swept.frame(station_mm);
        let centre = swept.wire_centre(edge, index, station_mm, edge_line::Lean::After)?.value;
        let off = centre - frame.origin_mm;
        Some((DVec2::new(off.dot(frame.o), off.dot(frame.u)), 6.35))
    });
    SectionShape {
        name: format!("cross-section at {station_mm:.0} mm"),
        station_mm,
        outside_mm: profile.polyline(0.0),
        inside_mm: profile.polyline(profile.thickness_mm),
        wire,
    }
}

fn placing(hand: &str, curl: &str) -> Placing {
    Placing {
        hand: hand.into(),
        face_out: "the face marked \"this face out\"".into(),
        edge_up: "the stepped edge is up, the wired edge down".into(),
        front_end: "the end with the arrow points to the front".into(),
        curl: curl.into(),
    }
}

/// The wheel-arch edge as a piece, with its heights.
pub fn arch_piece(hand: FileHand) -> (PiecePlan, CutPlan) {
    let joggle = MakeUp::Joggle { depth_mm: 0.9, ramp_mm: 4.5, lap_mm: LAP_MM };
    let mut strip = cut_to_height(&arch_pattern(), 44.35, vec![joggle]).unwrap();
    strip.mirrored = hand == FileHand::Right;
    strip.hand = if strip.mirrored { Hand::Right } else { Hand::Left };
    let swept = Swept::new(&strip).unwrap();
    let words = match hand {
        FileHand::Right => "right hand (driver's right, facing forward)",
        FileHand::Left => "left hand (driver's left, facing forward)",
    };
    let piece = PiecePlan {
        name: strip.name.clone(),
        kind: "strip".into(),
        placing: placing(words, "the curl turns inward round the wire, its seam lies inside"),
        reach_mm: 1.0,
        shape: tessellate(&strip, 0.2).unwrap(),
        blank: blank::strip::develop(&strip, &DevelopSettings::default()).unwrap(),
        cross_sections: [100.0, 400.0, 700.0].map(|station| profile_shape(&swept, station)).to_vec(),
        edge_template_mm: (0..=60)
            .map(|i| strip.from_mm + (strip.to_mm - strip.from_mm) * f64::from(i) / 60.0)
            .map(|station| swept.frame(station).origin_mm)
            .map(|point| DVec2::new(point.x, point.z))
            .collect(),
        mates_with: None,
    };
    let cut = CutPlan {
        cut_height_mm: 44.35,
        piece_height_mm: 44.35 + LAP_MM,
        lap_mm: LAP_MM,
        second_cut_height_mm: None,
        reach_mm: 1.0,
        from_mm: 100.0,
        to_mm: 700.0,
        end_names: ["rear end".into(), "front end".into()],
        sentence: "Cut at 44.4 mm along the outside face, from 100 to 700 mm.".into(),
        workings: vec![],
    };
    (piece, cut)
}

/// The step-well tray as a piece.
pub fn tray_piece() -> PiecePlan {
    let folded = tray();
    PiecePlan {
        name: folded.name.clone(),
        kind: "folded".into(),
        placing: Placing { curl: String::new(), edge_up: "the rim is up".into(), ..placing("on the middle line", "") },
        reach_mm: 0.5,
        shape: section::folded::tessellate(&folded, 0.2).unwrap(),
        blank: blank::folded::develop(&folded, &DevelopSettings::default()).unwrap(),
        cross_sections: vec![],
        edge_template_mm: vec![],
        mates_with: None,
    }
}
