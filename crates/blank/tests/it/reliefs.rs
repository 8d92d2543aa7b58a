//! Flanges on curved lines: strain by the real edge curves, reliefs in the outline, split flanges, lap legs.

use crate::strips::arch;
use blank::flatten::shop_terms::GatherLimits;
use blank::strip::{StripSettings, develop, widest_unrelieved_mm};
use blank::{Blank, DevelopSettings, MarkKind};
use glam::{DVec2, DVec3};
use handbook::edges::{BendLine, CurvedFlange};
use handbook::{Concern, Grade};
use mesh::polygon::{check_simple, distance_to_sides_mm, signed_area_mm2};
use section::{
    Along, CrossSection, EdgeLine, Face, FlangeRelief, Hand, Link, MakeUp, Makes, On, Opening, OpeningShape, Outward,
    Runs, Segment, Side, Strip, StripEdge, Swept,
};
use std::f64::consts::PI;

const T: f64 = 0.2;
const R: f64 = 0.05;

fn flange(width_mm: f64, degrees: f64, relief: FlangeRelief) -> MakeUp {
    MakeUp::Flange {
        bend_angle_rad: Along::Constant(degrees.to_radians()),
        inside_radius_mm: R,
        width_mm: Along::Constant(width_mm),
        turns: Side::Inside,
        stand_off_mm: 0.0,
        relief,
    }
}

/// A flat panel of 30 mm whose edge is an arc of `radius` over 90°: the flange stands on its hollow (`inner`) or its bulging side.
fn panel(radius: f64, hollow: bool, make_up: MakeUp) -> Strip {
    let at = |degrees: f64| {
        let (sin, cos) = degrees.to_radians().sin_cos();
        DVec3::new(radius * cos, 0.0, radius * sin)
    };
    // along +x over the top the strip runs up, away from the centre; the flange hangs on the hollow side
    let edge_line = EdgeLine::new(at(135.0), &[Segment::Arc { via_mm: at(90.0), to_mm: at(45.0) }]).unwrap();
    Strip {
        name: "panel edge".into(),
        hand: Hand::Left,
        mirrored: false,
        from_mm: 0.0,
        to_mm: edge_line.length_mm(),
        edge_line,
        outward: Outward::One(DVec3::Y),
        face: Face::Outside,
        runs: if hollow { Runs::Up } else { Runs::Down },
        sections: vec![CrossSection {
            station_mm: 0.0,
            start_angle_rad: 0.0,
            links: vec![Link::Straight { length_mm: 30.0 }],
        }],
        spare_from_mm: 0.0,
        spare_to_mm: 0.0,
        thickness_mm: T,
        material: "dc04".into(),
        finished_edge: vec![make_up],
        cut_edge: vec![],
        openings: vec![],
        reach_mm: 0.0,
        makes: Makes::Body,
        under_mm: 0.0,
    }
}

fn flat(strip: &Strip) -> Blank {
    develop(strip, &DevelopSettings::default()).unwrap()
}

fn found<'a>(blank: &'a Blank, key: &str) -> Option<&'a Concern> {
    blank.concerns.iter().find(|concern| concern.key == key)
}

fn free_edge(blank: &Blank) -> [f64; 2] {
    blank.lengthwise.iter().find(|line| line.name.ends_with("free edge")).unwrap().strain_percent
}

/// Handbook F7 on thin sheet with a tiny radius, where fold and apex fall together: +6.383 % and −5.660 % at 90° on 200 mm, 12 mm wide;
/// +3.191 % and −2.830 % at 60°.
#[test]
fn f7_by_the_true_lengths_of_the_edge() {
    for (degrees, hollow, printed) in
        [(90.0, true, 6.383), (90.0, false, -5.660), (60.0, true, 3.191), (60.0, false, -2.830)]
    {
        let blank = flat(&panel(200.0, hollow, flange(12.0, degrees, FlangeRelief::None)));
        let line = if hollow { BendLine::Concave } else { BendLine::Convex };
        let bend_angle_rad = f64::to_radians(degrees);
        let closed =
            CurvedFlange { width_mm: 12.0, line_radius_mm: 200.0, bend_angle_rad, line }.strain().unwrap().strain;
        assert!((100.0 * closed - printed).abs() < 6e-4, "{closed}");
        for percent in free_edge(&blank) {
            assert!(
                (percent - printed).abs() < 0.03 * printed.abs(),
                "{degrees}° hollow {hollow}: {percent} for {printed}"
            );
        }
    }
}

/// An edge gathered by 16 % is past the shop's 15 %: a stop that names the widest flange, which is F8's to the sheet's thickness.
#[test]
fn a_flange_past_its_limit_without_relief_is_stopped_by_name() {
    // −w/(R + w) = −0.2 at w = 22.5 on 90 mm; 15 % at w = 15.88, 6 % at 5.74
    let blank = flat(&panel(90.0, false, flange(22.5, 90.0, FlangeRelief::None)));
    let stop = found(&blank, "flange-past-its-limit").unwrap();
    assert_eq!(stop.grade, Grade::Stop);
    assert!(stop.what.contains("gathered") && stop.what.contains("no relief"), "{}", stop.what);
    let widest =
        blank.workings.iter().find(|own| own.name.ends_with("widest flange that is not stopped")).unwrap().value;
    let f8 = 0.15 * 90.0 / 0.85;
    assert!((widest - f8).abs() < 0.05 * f8, "{widest} for {f8}");
    assert!(
        stop.what_to_do.contains(&format!("at most {:.1} mm", (10.0 * widest).floor() / 10.0)),
        "{}",
        stop.what_to_do
    );
    // so wide it is not stopped, and a tenth wider it is
    for (width, stopped) in [(widest - 0.01, false), (widest + 0.1, true)] {
        let blank = flat(&panel(90.0, false, flange(width, 90.0, FlangeRelief::None)));
        assert_eq!(found(&blank, "flange-past-its-limit").is_some(), stopped, "{width}");
    }
}

/// Stretched past the forming limit (S30: 0.2 mm of DC04) it is stopped; between the margins it is a caution.
#[test]
fn a_stretched_flange_is_held_against_the_forming_limit() {
    let stretched = |width| flat(&panel(60.0, true, flange(width, 90.0, FlangeRelief::None)));
    // handbook F7: 10 mm on 60 mm is 20 %, 18 mm is 43 %
    assert_eq!(found(&stretched(10.0), "flange-strain").unwrap().grade, Grade::Caution);
    assert!(found(&stretched(18.0), "flange-past-its-limit").is_some());
    assert!(found(&stretched(4.0), "flange-strain").is_none());
}

/// S30 is for low-carbon steel: a flange of stainless steel or aluminium says that its limit is borrowed.
#[test]
fn the_limit_of_a_flange_names_its_source_truly() {
    for (material, sourced) in [("dc04", true), ("stainless18_8", false), ("aluminium1050a_o", false)] {
        let strip = Strip { material: material.into(), ..panel(40.0, true, flange(26.0, 90.0, FlangeRelief::None)) };
        let blank = flat(&strip);
        let concern = found(&blank, "flange-past-its-limit").unwrap();
        assert_eq!(concern.source.contains("no source"), !sourced, "{material}: {}", concern.source);
        assert!(concern.source.contains("S32"), "{material}: {}", concern.source);
    }
}

/// V notches take out together what the free edge is too long by, and the outline is cut by just that.
#[test]
fn notches_take_out_the_surplus() {
    let plain = flat(&panel(90.0, false, flange(18.0, 90.0, FlangeRelief::None)));
    let notched = flat(&panel(90.0, false, flange(18.0, 90.0, FlangeRelief::Notches)));
    assert!(found(&notched, "flange-past-its-limit").is_none());
    let note = found(&notched, "flange-reliefs").unwrap();
    assert!(note.what.contains("V notches"), "{}", note.what);
    assert!(check_simple(&notched.outline_mm).is_ok());
    let line = plain.lengthwise.iter().find(|line| line.name.ends_with("free edge")).unwrap();
    let surplus = line.in_flat_mm - line.in_piece_mm;
    let value = |what: &str| notched.workings.iter().find(|own| own.name.ends_with(what)).unwrap().value;
    let (count, deep) = (value("number of V notches"), value("depth of the V notches"));
    assert!((count - (surplus / 3.0).ceil()).abs() < 0.5, "{count} for {surplus}");
    let cut = signed_area_mm2(&plain.outline_mm) - signed_area_mm2(&notched.outline_mm);
    // each a triangle as high as it is deep; its side runs along an arc, so its width is a chord
    assert!((cut - 0.5 * surplus * deep).abs() < 0.01 * cut, "{cut} for {}", 0.5 * surplus * deep);
    assert!(notched.marks.iter().all(|mark| mark.kind != MarkKind::Relief), "cut, not only proposed");
    assert!(plain.marks.iter().any(|mark| mark.kind == MarkKind::Relief), "proposed where nothing is chosen");
}

/// The strain along the line through the feet is back at the limit: a flange as wide as the feet stand needs no relief.
#[test]
fn feet_stand_where_the_strain_is_back_at_the_limit() {
    let blank = flat(&panel(90.0, false, flange(18.0, 90.0, FlangeRelief::Notches)));
    let value = |what: &str| blank.workings.iter().find(|own| own.name.ends_with(what)).unwrap();
    let foot = value("depth of the V notches").inputs.iter().find(|given| given.symbol == "e′").unwrap().value;
    let deep = value("depth of the V notches").value;
    let narrow = flat(&panel(90.0, false, flange(18.0 - deep, 90.0, FlangeRelief::None)));
    for percent in free_edge(&narrow) {
        assert!((percent - 100.0 * foot).abs() < 1e-6 * percent.abs().max(1.0), "{percent} {foot}");
    }
    assert!(foot.abs() <= 0.06 + 1e-9);
}

/// Scallops are cut where an edge is let out, as wide as a relief hole (F1, F2), and notches do not suit it.
#[test]
fn scallops_open_a_stretched_edge() {
    let strip = |relief| panel(60.0, true, flange(18.0, 90.0, relief));
    let (plain, scalloped) = (flat(&strip(FlangeRelief::None)), flat(&strip(FlangeRelief::Scallops)));
    assert!(check_simple(&scalloped.outline_mm).is_ok());
    let value = |what: &str| scalloped.workings.iter().find(|own| own.name.ends_with(what)).unwrap().value;
    let (count, deep) = (value("number of scallops"), value("depth of the scallops"));
    // F1 on 0.2 mm: 3.2 mm, the least, at the free edge. Its sides run square to the edge, which lies on 60 − 18 mm in the flat: they open
    // inwards in proportion to the radius. A half circle's middle lies 4r/3π beyond its straight side
    let (slot, free_mm, r) = (deep - 1.6, 60.0 - 18.0, 1.6);
    let foot_mm2 = 0.5 * PI * r * r * (1.0 + (slot + 4.0 * r / (3.0 * PI)) / free_mm);
    let each = 3.2 * slot * (1.0 + 0.5 * slot / free_mm) + foot_mm2;
    let cut = signed_area_mm2(&plain.outline_mm) - signed_area_mm2(&scalloped.outline_mm);
    assert!((cut / (count * each) - 1.0).abs() < 0.02, "{cut} for {count} of {each}");
    // every foot as deep as told, but for the first and the last, which lie nearer to the ends of the strip; all equally far apart, at least
    // two widths (common practice, no source)
    let foot = |at: &DVec2| distance_to_sides_mm(&plain.outline_mm, *at) > deep - 0.15;
    let groups: Vec<&[DVec2]> = scalloped.outline_mm.split(|at| !foot(at)).filter(|group| !group.is_empty()).collect();
    assert!((groups.len() as f64 - (count - 2.0)).abs() < 0.5, "{} feet of {count}", groups.len());
    let feet: Vec<DVec2> = groups.iter().map(|group| group.iter().sum::<DVec2>() / group.len() as f64).collect();
    let apart: Vec<f64> = feet.windows(2).map(|pair| pair[0].distance(pair[1])).collect();
    let least = apart.iter().copied().fold(f64::INFINITY, f64::min);
    assert!(apart.iter().all(|own| own / least < 1.02) && least > 2.0 * 3.2 * 0.9, "{apart:?}");
    let text = scalloped.concerns.iter().find(|own| own.what.contains("scallop")).unwrap();
    assert!(text.what.contains("3.2 mm wide") && text.what.contains("R1.6"), "{}", text.what);
    let wrong = flat(&strip(FlangeRelief::Notches));
    assert!(found(&wrong, "flange-relief-does-not-suit").unwrap().grade == Grade::Stop);
}

/// Reliefs stand only where the line is curved: straight ends keep a whole edge.
#[test]
fn reliefs_keep_to_the_curve() {
    let mut strip = panel(90.0, false, flange(18.0, 90.0, FlangeRelief::Notches));
    let at = |degrees: f64| {
        let (sin, cos) = f64::to_radians(degrees).sin_cos();
        DVec3::new(90.0 * cos, 0.0, 90.0 * sin)
    };
    let along = |degrees: f64| DVec3::new(f64::to_radians(degrees).sin(), 0.0, -f64::to_radians(degrees).cos());
    let start = at(135.0) - along(135.0) * 100.0;
    let segments = [
        Segment::Straight { to_mm: at(135.0) },
        Segment::Arc { via_mm: at(90.0), to_mm: at(45.0) },
        Segment::Straight { to_mm: at(45.0) + along(45.0) * 100.0 },
    ];
    strip.edge_line = EdgeLine::new(start, &segments).unwrap();
    strip.to_mm = strip.edge_line.length_mm();
    let blank = flat(&strip);
    let note = found(&blank, "flange-reliefs").unwrap();
    assert!(note.what.contains("stations 100 to 241 mm"), "{}", note.what);
    let order = found(&blank, "flange-tipping").unwrap();
    assert!(order.what_to_do.contains("tab by tab") && order.what_to_do.contains("middle"), "{}", order.what_to_do);
}

/// A split flange: body and ring together are as wide as the whole, share the seam's length, and the ring of a square flange on a flat panel
/// is a straight strip that needs no stretching.
#[test]
fn a_split_flange_is_two_pieces_that_share_a_seam() {
    let whole = panel(90.0, false, flange(18.0, 90.0, FlangeRelief::None));
    let widest = widest_unrelieved_mm(&whole, StripEdge::Finished, &DevelopSettings::default()).unwrap().unwrap();
    let f8 = 0.06 * 90.0 / 0.94;
    assert!((widest - f8).abs() < 0.06 * f8, "{widest} for {f8}");
    let body = panel(90.0, false, flange(18.0, 90.0, FlangeRelief::Split { seam_mm: 5.0 }));
    let ring =
        Strip { makes: Makes::SplitFlange { edge: StripEdge::Finished }, name: "split flange".into(), ..body.clone() };
    let (body_flat, ring_flat) = (flat(&body), flat(&ring));
    assert!(found(&body_flat, "flange-strain").is_none());
    assert!(ring_flat.lengthwise.is_empty(), "a cylinder needs no stretching: {:?}", ring_flat.lengthwise);
    assert!((ring_flat.stations[0].width_mm - 13.0).abs() < 1e-9);
    let width = |blank: &Blank| blank.stations[0].width_mm;
    assert!((width(&body_flat) + width(&ring_flat) - width(&flat(&whole))).abs() < 1e-9);
    // the seam lies on one curve in space, as long on the one as on the other
    let (of_body, of_ring) = (Swept::new(&body).unwrap(), Swept::new(&ring).unwrap());
    let seam = |swept: &Swept<'_>, node: usize, station: f64| {
        let profile = swept.profile(station, section::Lean::After);
        swept.point(&swept.frame_jet(station, section::Lean::After), &profile.nodes[node], 0.5 * T).value
    };
    for station in [0.0, 30.0, 77.0, 141.0] {
        assert!(seam(&of_body, 0, station).distance(seam(&of_ring, 1, station)) < 1e-12);
    }
    assert!(section::tessellate(&ring, 0.05).unwrap().is_closed());
}

/// Holes of a split flange stay where they were measured, on the piece that has metal there.
#[test]
fn holes_of_a_split_flange_keep_their_place() {
    let hole = Opening {
        name: "bolt hole".into(),
        on: On::StripMakeUp { edge: StripEdge::Finished, index: 0 },
        along_mm: 70.0,
        from_edge_mm: 12.0,
        shape: OpeningShape::Round { diameter_mm: 5.0 },
        reach_mm: 0.0,
        half_clearance_mm: None,
    };
    let body = panel(90.0, false, flange(18.0, 90.0, FlangeRelief::Split { seam_mm: 5.0 }));
    let mut ring = Strip { makes: Makes::SplitFlange { edge: StripEdge::Finished }, ..body.clone() };
    ring.openings = vec![hole.clone()];
    let blank = flat(&ring);
    // 18 − 12 = 6 mm from the free edge, which is the bottom of the flat
    let low = blank.outline_mm.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    assert!((blank.openings[0].centre_mm.y - low - 6.0).abs() < 0.02, "{:?}", blank.openings[0]);
    let refused = develop(&Strip { openings: vec![hole], ..body }, &DevelopSettings::default()).unwrap_err();
    assert!(refused.to_string().contains("bolt hole"), "{refused}");
}

/// A lap leg lies under the old skin by its thickness while the flange keeps the place of its outer face.
#[test]
fn a_lap_leg_lies_under_the_old_skin() {
    for degrees in [60.0, 90.0, 120.0] {
        let mut make_up = flange(20.0, degrees, FlangeRelief::None);
        if let MakeUp::Flange { inside_radius_mm, .. } = &mut make_up {
            *inside_radius_mm = 1.5;
        }
        let flush = Strip {
            thickness_mm: 0.9,
            finished_edge: vec![make_up],
            ..panel(400.0, true, MakeUp::Raw { trim_mm: 0.0 })
        };
        let under = Strip { under_mm: 1.0, ..flush.clone() };
        let ends = |strip: &Strip| {
            let swept = Swept::new(strip).unwrap();
            let profile = swept.profile(10.0, section::Lean::After);
            [profile.nodes[0].point(0.0), profile.nodes[1].point(0.0), profile.nodes[3].point(0.0)]
        };
        let ([free, foot, far], [free_under, foot_under, far_under]) = (ends(&flush), ends(&under));
        // the far end of the skin went 1 mm towards the inside, the free edge of the flange stayed, its face in the same plane
        assert!((far.x - far_under.x - 1.0).abs() < 1e-9 && (far.y - far_under.y).abs() < 1e-9);
        assert!(free.distance(free_under) < 1e-9, "{degrees}: {free} {free_under}");
        let face = (free - foot).normalize();
        assert!((foot_under - free).perp_dot(face).abs() < 1e-9);
    }
    let outside = Strip { under_mm: 1.0, ..panel(400.0, true, MakeUp::Raw { trim_mm: 0.0 }) };
    assert!(develop(&outside, &DevelopSettings::default()).unwrap_err().to_string().contains("lap leg"));
}

/// A joggle that runs out is flush at the end and adds there nothing to the flat (F4 at full depth).
#[test]
fn a_joggle_runs_out_to_nothing() {
    let line = EdgeLine::straight(DVec3::ZERO, DVec3::X * 300.0).unwrap();
    let joggle = |runs_out_mm| MakeUp::Joggle { depth_mm: 0.9, ramp_mm: 4.5, lap_mm: 15.0, runs_out_mm };
    let strip = |make_up| Strip {
        to_mm: 300.0,
        edge_line: line.clone(),
        finished_edge: vec![],
        cut_edge: vec![make_up],
        ..panel(400.0, true, MakeUp::Raw { trim_mm: 0.0 })
    };
    let (full, tapered) = (flat(&strip(joggle([0.0; 2]))), flat(&strip(joggle([0.0, 30.0]))));
    let [first, last] = [0, tapered.stations.len() - 1].map(|i| tapered.stations[i].width_mm);
    assert!((first - full.stations[0].width_mm).abs() < 1e-12);
    assert!((first - last - (4.5f64.hypot(0.9) - 4.5)).abs() < 1e-9);
    let swept_strip = strip(joggle([0.0, 30.0]));
    let swept = Swept::new(&swept_strip).unwrap();
    for (station, depth) in [(100.0, 0.9), (270.0, 0.9), (285.0, 0.45), (300.0, 0.0)] {
        let profile = swept.profile(station, section::Lean::Before);
        let nodes = &profile.nodes;
        let step = nodes[nodes.len() - 3].point(0.0).x - nodes[nodes.len() - 1].point(0.0).x;
        assert!((step - depth).abs() < 0.002, "{station}: {step}");
    }
    assert!(section::tessellate(&swept_strip, 0.02).unwrap().is_closed());
    let long = develop(&strip(joggle([200.0, 200.0])), &DevelopSettings::default()).unwrap_err();
    assert!(long.to_string().contains("runs out"), "{long}");
}

#[test]
fn limits_are_the_shops() {
    let strip = panel(90.0, false, flange(12.0, 90.0, FlangeRelief::None));
    let asked = |caution, stop| {
        let own = StripSettings { gather: GatherLimits { caution, stop }, ..StripSettings::default() };
        develop(&strip, &DevelopSettings { strip: own, ..DevelopSettings::default() })
    };
    assert!(found(&asked(0.2, 0.3).unwrap(), "flange-strain").is_none());
    assert!(found(&asked(0.05, 0.1).unwrap(), "flange-past-its-limit").is_some());
    assert!(asked(0.3, 0.2).unwrap_err().to_string().contains("gathering"));
    assert!(PI > 3.0 && arch().thickness_mm > 0.0);
}
