//! Strips of the invented Wren 15 (design, section 9).

use glam::DVec3;
use section::{
    Along, CrossSection, Curl, EdgeLine, Face, FlangePair, Hand, Link, MakeUp, Outward, PairHole, PairMember, Runs,
    Segment, Side, Strip,
};
use std::f64::consts::PI;

/// Wheel arch, right hand, surveyed on the left: arc of radius 400 in the x–z plane, outward +y.
pub fn arch_line() -> EdgeLine {
    let at = |degrees: f64| {
        let (sin, cos) = degrees.to_radians().sin_cos();
        DVec3::new(400.0 * cos, 0.0, 400.0 * sin)
    };
    EdgeLine::new(at(150.0), &[Segment::Arc { via_mm: at(90.0), to_mm: at(30.0) }]).unwrap()
}

/// Plain strip on a line: flat cross-section, no make-ups, 0.9 mm.
pub fn plain(edge_line: EdgeLine, outward: DVec3, start_angle_rad: f64, width_mm: f64) -> Strip {
    let to_mm = edge_line.length_mm();
    Strip {
        name: "strip".into(),
        hand: Hand::Left,
        mirrored: false,
        edge_line,
        outward: Outward::One(outward),
        face: Face::Outside,
        runs: Runs::Up,
        sections: vec![CrossSection {
            station_mm: 0.0,
            start_angle_rad,
            links: vec![Link::Straight { length_mm: width_mm }],
        }],
        from_mm: 0.0,
        to_mm,
        spare_from_mm: 0.0,
        spare_to_mm: 0.0,
        thickness_mm: 0.9,
        material: "dc01".into(),
        finished_edge: vec![],
        cut_edge: vec![],
        openings: vec![],
        reach_mm: 0.0,
        makes: section::Makes::Body,
        under_mm: 0.0,
    }
}

pub fn wired(wire_mm: f64) -> MakeUp {
    MakeUp::Wired { wire_mm, curl: Curl::Geometry { wrap_rad: 1.5 * PI }, turns: Side::Inside }
}

pub fn flange(bend_degrees: f64, width_mm: f64) -> MakeUp {
    MakeUp::Flange {
        bend_angle_rad: Along::Constant(bend_degrees.to_radians()),
        inside_radius_mm: 1.5,
        width_mm: Along::Constant(width_mm),
        turns: Side::Inside,
        stand_off_mm: 0.0,
        relief: section::FlangeRelief::None,
    }
}

pub const LAP: MakeUp = MakeUp::Joggle { depth_mm: 0.9, ramp_mm: 4.5, lap_mm: 15.0, runs_out_mm: [0.0; 2] };

/// Wired arch strip with a crowned cross-section, as a pattern 120 mm high.
pub fn arch_pattern() -> Strip {
    let crowned = |station_mm: f64, radius: f64| CrossSection {
        station_mm,
        start_angle_rad: 0.0,
        links: vec![
            Link::Straight { length_mm: 20.0 },
            Link::Arc { inside_radius_mm: radius, bend_angle_rad: -100.0 / radius },
        ],
    };
    let line = arch_line();
    let length = line.length_mm();
    Strip {
        name: "wheel-arch edge".into(),
        sections: vec![crowned(0.0, 900.0), crowned(0.5 * length, 700.0), crowned(length, 900.0)],
        from_mm: 100.0,
        to_mm: 700.0,
        spare_from_mm: 25.0,
        spare_to_mm: 25.0,
        finished_edge: vec![wired(6.4)],
        ..plain(line, DVec3::Y, 0.0, 1.0)
    }
}

/// Roof-gutter flanges: one acute, one obtuse, angle changing along a line curved in space.
pub fn gutter_pair() -> FlangePair {
    let edge_line = EdgeLine::new(
        DVec3::ZERO,
        &[Segment::Through {
            points_mm: vec![
                DVec3::new(150.0, 6.0, 4.0),
                DVec3::new(300.0, 20.0, 2.0),
                DVec3::new(450.0, 40.0, -8.0),
                DVec3::new(600.0, 62.0, -30.0),
            ],
        }],
    )
    .unwrap();
    let opening = |a: f64, b: f64| Along::Stations(vec![(0.0, a.to_radians()), (610.0, b.to_radians())]);
    let skin = vec![Link::Straight { length_mm: 30.0 }];
    let member = |name: &str, runs, opening_angle_rad| PairMember {
        name: name.into(),
        runs,
        opening_angle_rad,
        inside_radius_mm: 1.6,
        flange_width_mm: Along::Constant(18.0),
        skin: skin.clone(),
        thickness_mm: 1.2,
        material: "dc01".into(),
    };
    let holes = [40.0, 160.0, 300.0, 440.0, 570.0].into_iter().enumerate().map(|(i, station_mm)| PairHole {
        name: format!("bolt hole {}", i + 1),
        station_mm,
        distance_mm: 10.0,
        diameter_mm: 6.6,
        reach_mm: 0.2,
        half_clearance_mm: 0.3,
    });
    FlangePair {
        edge_line,
        outward: Outward::One(DVec3::new(0.0, 1.0, 0.3)),
        contact_angle_rad: Along::Stations(vec![(0.0, 0.05), (610.0, 0.2)]),
        spacer_mm: 1.8,
        holes: holes.collect(),
        members: [
            member("upper flange", Runs::Up, opening(72.0, 84.0)),
            member("lower flange", Runs::Down, opening(108.0, 96.0)),
        ],
    }
}
