//! Flats of swept strips against routes that share nothing with the development.
//!
//! Sources: cone and annulus sectors by geometry (handbook D2, D5, D16); strips on a straight line by adding lengths; the pair of
//! flanges folded up again from its two flats, reading only outline, folds and openings of the blank.

use blank::{Blank, DevelopSettings, FoldKind, MarkKind, strip::Held, strip::develop};
use glam::{DVec2, DVec3};
use section::{
    Along, CrossSection, EdgeLine, Face, FlangePair, Hand, Lean, Link, MakeUp, Outward, PairHole, PairMember, Runs,
    Segment, Side, Strip, Swept,
};
use std::f64::consts::PI;

const T: f64 = 0.9;

/// Arc of a radius in the x–z plane, turning over the crown from the front to the back or back to front.
fn arc_line(radius: f64, sweep: f64) -> EdgeLine {
    let at = |f: f64| {
        let angle = 0.5 * PI + sweep * (0.5 - f);
        DVec3::new(radius * angle.cos(), 0.0, radius * angle.sin())
    };
    EdgeLine::new(at(0.0), &[Segment::Arc { via_mm: at(0.4), to_mm: at(1.0) }]).unwrap()
}

fn plain(edge_line: EdgeLine, start_angle_rad: f64, width_mm: f64) -> Strip {
    Strip {
        name: "strip".into(),
        hand: Hand::Left,
        mirrored: false,
        from_mm: 0.0,
        to_mm: edge_line.length_mm(),
        edge_line,
        outward: Outward::One(DVec3::Y),
        face: Face::Outside,
        runs: Runs::Up,
        sections: vec![CrossSection {
            station_mm: 0.0,
            start_angle_rad,
            links: vec![Link::Straight { length_mm: width_mm }],
        }],
        spare_from_mm: 0.0,
        spare_to_mm: 0.0,
        thickness_mm: T,
        material: "dc04".into(),
        finished_edge: vec![],
        cut_edge: vec![],
        openings: vec![],
        reach_mm: 0.0,
        makes: section::Makes::Body,
        under_mm: 0.0,
    }
}

fn flat(strip: &Strip) -> Blank {
    develop(strip, &DevelopSettings::default()).unwrap()
}

fn close(got: f64, want: f64, relative: f64) {
    assert!((got - want).abs() <= relative * want.abs().max(1.0), "{got} for {want}");
}

/// Circle through the first, middle and last point; all points must lie on it.
fn circle(points: &[DVec2], relative: f64) -> (DVec2, f64) {
    let (a, b, c) = (points[0], points[points.len() / 2], points[points.len() - 1]);
    let (u, v) = (b - a, c - a);
    let d = 2.0 * u.perp_dot(v);
    let centre = a + DVec2::new(
        v.y * u.length_squared() - u.y * v.length_squared(),
        u.x * v.length_squared() - v.x * u.length_squared(),
    ) / d;
    let radius = centre.distance(a);
    for p in points {
        close(p.distance(centre), radius, relative);
    }
    (centre, radius)
}

/// Outline split into the line at the finished edge and the line at the cut edge (both start to end).
fn long_edges(blank: &Blank) -> [Vec<DVec2>; 2] {
    let half = blank.outline_mm.len() / 2;
    let (bottom, top) = blank.outline_mm.split_at(half);
    [bottom.to_vec(), top.iter().rev().copied().collect()]
}

/// A circular-arc edge line with a straight cross-section is a cone (an annulus where it lies in the plane of the arc): the flat is a
/// sector with the slant lengths as radii, angle = arc over slant, measured on the middle of the sheet.
#[test]
fn cones_and_annuli_come_out_as_their_sectors() {
    for (radius, sweep_degrees, lean_degrees, width) in
        [(400.0, 120.0, 0.0, 60.0), (400.0, 90.0, 25.0, 80.0), (350.0, 150.0, -40.0, 50.0), (900.0, 40.0, 70.0, 120.0)]
    {
        let (sweep, lean) = (f64::to_radians(sweep_degrees), f64::to_radians(lean_degrees));
        let strip = plain(arc_line(radius, sweep), lean, width);
        let blank = flat(&strip);
        // Running forward over the crown with outward to the left, up is away from the centre: the cross-section rises from the
        // circle's plane by cos(lean) outward in radius. The middle of the sheet lies t/2 inside, which is −y (cos) and +radius (sin).
        let first = radius + 0.5 * T * lean.sin();
        let last = first + width * lean.cos();
        let [bottom, top] = long_edges(&blank);
        let slant = [first, last].map(|r| r / lean.cos());
        let angle = sweep * lean.cos();
        let (low_centre, low) = circle(&bottom, 1e-6);
        let (top_centre, high) = circle(&top, 1e-6);
        close(low, slant[0], 1e-6);
        close(high, slant[1], 1e-6);
        assert!(low_centre.distance(top_centre) < 1e-6 * high);
        let between = |line: &[DVec2], centre: DVec2| (line[0] - centre).angle_to(line[line.len() - 1] - centre).abs();
        close(between(&bottom, low_centre), angle, 1e-6);
        close(between(&top, top_centre), angle, 1e-6);
        assert!(blank.lengthwise.is_empty(), "a cone needs no stretching: {:?}", blank.lengthwise);
        assert!(blank.crown.is_none());
    }
}

/// Handbook D16: the flat of a developable strip has the area of its middle surface.
#[test]
fn area_of_a_cone_strip_is_the_area_of_its_sector() {
    let (radius, sweep, lean, width) = (400.0, 1.9, 0.4f64, 70.0);
    let settings = DevelopSettings { sampling_tolerance_mm: 1e-5, ..DevelopSettings::default() };
    let blank = develop(&plain(arc_line(radius, sweep), lean, width), &settings).unwrap();
    let mean_radius = radius + 0.5 * T * lean.sin() + 0.5 * width * lean.cos();
    close(blank.area_mm2, sweep * mean_radius * width, 1e-6);
}

/// On a straight edge line every width and length is a sum: legs less setbacks, DIN 6935 allowance, wire, ramp.
#[test]
fn straight_strips_are_exact() {
    let line = EdgeLine::straight(DVec3::new(3.0, 4.0, 5.0), DVec3::new(603.0, 4.0, 5.0)).unwrap();
    let mut strip = plain(line, 0.1, 80.0);
    strip.finished_edge = vec![MakeUp::Flange {
        bend_angle_rad: Along::Constant(60f64.to_radians()),
        inside_radius_mm: 1.5,
        width_mm: Along::Constant(20.0),
        turns: Side::Inside,
        stand_off_mm: 0.0,
        relief: section::FlangeRelief::None,
    }];
    strip.cut_edge = vec![MakeUp::Joggle { depth_mm: 0.9, ramp_mm: 5.4, lap_mm: 15.0, runs_out_mm: [0.0; 2] }];
    let blank = flat(&strip);
    let setback = 2.4 * 30f64.to_radians().tan();
    let k = 0.65 + 0.5 * (1.5f64 / 0.9).log10();
    let allowance = 60f64.to_radians() * (1.5 + k * 0.45);
    // Handbook F4: j 0.9 over 5.4 adds 0.0745.
    let lap = 15.0 + (5.4f64.hypot(0.9) - 5.4);
    close(lap - 15.0, 0.0745, 1e-4);
    let width = 20.0 - setback + allowance + 80.0 - setback + lap;
    close(blank.stations[0].width_mm, width, 1e-9);
    close(blank.area_mm2, 600.0 * width, 1e-9);
    assert_eq!(blank.outline_mm.len(), 4);
    let corners = [(0.0, 0.0), (600.0, 0.0), (600.0, width), (0.0, width)];
    for (got, want) in blank.outline_mm.iter().zip(corners) {
        assert!(got.distance(DVec2::from(want)) < 1e-9, "{got} for {want:?}");
    }
    assert!(blank.lengthwise.is_empty());
    let lap_line = blank.marks.iter().find(|mark| mark.kind == MarkKind::LapLine).unwrap();
    close(lap_line.line_mm[0].y, width - lap, 1e-9);
    let kinds: Vec<FoldKind> = blank.folds.iter().map(|fold| fold.kind).collect();
    assert_eq!(kinds, [FoldKind::Fold, FoldKind::Joggle, FoldKind::Joggle]);
}

/// Handbook F7: a flange at 90° on a bend line of radius Rb stretches by w/(Rb − w) or shrinks by w/(Rb + w) at its free edge. The development
/// holds the middle of the sheet at the fold's tangent, so the radii are taken there.
#[test]
fn free_edge_of_a_flange_on_a_curved_line_strains_as_its_radii_say() {
    let (radius, width) = (200.0, 12.0);
    for turns in [Side::Inside, Side::Outside] {
        // Skin lies square to the plane of the arc (a cylinder), the flange in that plane.
        let mut strip = plain(arc_line(radius, 1.2), 0.5 * PI, 60.0);
        strip.finished_edge = vec![MakeUp::Flange {
            bend_angle_rad: Along::Constant(0.5 * PI),
            inside_radius_mm: 1.5,
            width_mm: Along::Constant(width),
            turns,
            stand_off_mm: 0.0,
            relief: section::FlangeRelief::None,
        }];
        let blank = flat(&strip);
        let free = blank.lengthwise.iter().find(|line| line.name == "flange: free edge").unwrap();
        let swept = Swept::new(&strip).unwrap();
        let radius_of = |node: usize| {
            let profile = swept.profile(50.0, Lean::After);
            let point = swept.point(&swept.frame_jet(50.0, Lean::After), &profile.nodes[node], 0.5 * T).value;
            point.x.hypot(point.z)
        };
        // The flat of a cylinder is a rectangle: every line in it is as long as the held one.
        let strain = radius_of(0) / radius_of(2) - 1.0;
        close(free.strain_percent[0] / 100.0, strain, 1e-9);
        close(free.mm_per_100_mm / 100.0, strain, 1e-9);
        // F7 with its sharp fold, within what the fold's own radius makes (r + t over Rb).
        let f7 = if strain > 0.0 { width / (radius - width) } else { -width / (radius + width) };
        let sign_known = if strain > 0.0 { width / radius } else { -width / radius };
        assert!((strain - sign_known).abs() < 3.0 * 2.4 / radius + (f7 - sign_known).abs(), "{strain} for {f7}");
    }
}

/// Handbook H3, S24: R1 3000, R2 600; 100 mm high 0.069 %, 200 mm high 0.278 %.
#[test]
fn crown_strain_is_that_of_its_two_radii() {
    for (height, percent, verdict) in
        [(100.0, 0.069, blank::CrownVerdict::SpringsToShape), (200.0, 0.278, blank::CrownVerdict::Wheel)]
    {
        // Skin standing square to the arc's plane in its middle, crowned about it.
        let mut strip = plain(arc_line(3000.0, 0.3), 0.5 * PI + 0.5 * height / 600.0, 1.0);
        strip.sections[0].links = vec![Link::Arc { inside_radius_mm: 600.0, bend_angle_rad: -height / 600.0 }];
        let blank = flat(&strip);
        let crown = blank.crown.unwrap();
        assert!((crown.strain_percent - percent).abs() < 0.001, "{} for {percent}", crown.strain_percent);
        assert_eq!(crown.verdict, verdict);
        // 1 % is reached at b = √(2·R1·R2·0.01).
        close(crown.highest_strip_mm.unwrap(), 2.0 * (2.0 * 3000.0 * 600.0 * 0.01f64).sqrt(), 0.005);
    }
}

/// The measured strain of a crowned strip's edges agrees with S24 when its middle is held: an independent route to the same figure.
#[test]
fn edges_of_a_crowned_strip_differ_from_the_middle_as_s24_says() {
    let (height, r1, r2) = (200.0, 3000.0, 600.0);
    let half = 0.5 * height / r2;
    let mut strip = plain(arc_line(r1, 0.3), 0.5 * PI + half, 1.0);
    strip.sections[0].links = vec![
        Link::Arc { inside_radius_mm: r2, bend_angle_rad: -half },
        Link::Arc { inside_radius_mm: r2, bend_angle_rad: -half },
    ];
    let mut settings = DevelopSettings::default();
    settings.strip.held = Held::Line("skin line 1".into());
    let blank = develop(&strip, &settings).unwrap();
    for line in blank.lengthwise.iter().filter(|line| !line.held) {
        assert!((line.strain_percent[0].abs() - 0.278).abs() < 0.01, "{line:?}");
    }
}

// ---------------------------------------------------------------------------------------------------------------------------
// The pair of flanges folded up again.

fn pair() -> FlangePair {
    let points = [(150.0, 6.0, 4.0), (300.0, 20.0, 2.0), (450.0, 40.0, -8.0), (600.0, 62.0, -30.0)];
    let points_mm = points.map(DVec3::from).to_vec();
    let opening = |a: f64, b: f64| Along::Stations(vec![(0.0, a.to_radians()), (610.0, b.to_radians())]);
    let member = |name: &str, runs, thickness_mm, opening_angle_rad| PairMember {
        name: name.into(),
        runs,
        opening_angle_rad,
        inside_radius_mm: 1.6,
        flange_width_mm: Along::Constant(20.0),
        skin: vec![Link::Straight { length_mm: 30.0 }],
        thickness_mm,
        material: "dc04".into(),
    };
    let hole = |(i, station_mm): (usize, f64)| PairHole {
        name: format!("bolt hole {}", i + 1),
        station_mm,
        distance_mm: 11.0,
        diameter_mm: 6.6,
        reach_mm: 0.2,
        half_clearance_mm: 0.3,
    };
    FlangePair {
        edge_line: EdgeLine::new(DVec3::ZERO, &[Segment::Through { points_mm }]).unwrap(),
        outward: Outward::One(DVec3::new(0.0, 1.0, 0.3)),
        contact_angle_rad: Along::Stations(vec![(0.0, 0.05), (610.0, 0.2)]),
        spacer_mm: 1.8,
        holes: [40.0, 160.0, 300.0, 440.0, 570.0].into_iter().enumerate().map(hole).collect(),
        members: [
            member("upper flange", Runs::Up, 0.9, opening(72.0, 84.0)),
            member("lower flange", Runs::Down, 1.2, opening(108.0, 96.0)),
        ],
    }
}

/// Point and frame of the edge line by differences of its positions alone.
fn frame(pair: &FlangePair, station: f64) -> [DVec3; 4] {
    let at = |s: f64| pair.edge_line.at(s).position_mm;
    let t = (at(station + 1e-3) - at(station - 1e-3)).normalize();
    let Outward::One(out) = pair.outward else { panic!("one vector") };
    let o = out.reject_from_normalized(t).normalize();
    [at(station), t, o, t.cross(o)]
}

/// Direction of the contact plane away from the edge line, and its normal towards the member.
fn contact(pair: &FlangePair, member: &PairMember, station: f64) -> (DVec3, DVec3) {
    let [_, t, o, u] = frame(pair, station);
    let angle = pair.contact_angle_rad.at(station);
    let along = -o * angle.cos() + u * angle.sin();
    let normal = t.cross(along);
    (along, if member.runs == Runs::Up { -normal } else { normal })
}

/// The sharp corner and the skin's direction at a station, built from the pair's own description by plain trigonometry: the skin's
/// outside face leaves the edge line at the opening angle from the contact direction.
fn skin_direction(pair: &FlangePair, member: &PairMember, station: f64) -> DVec3 {
    let (along, away) = contact(pair, member, station);
    let opening = member.opening_angle_rad.at(station);
    along * opening.cos() + away.normalize() * opening.sin()
}

/// Where the skin's flat begins (tangent of the fold), middle of the sheet.
fn tangent_on_piece(pair: &FlangePair, member: &PairMember, station: f64) -> DVec3 {
    let opening = member.opening_angle_rad.at(station);
    let up_the_skin =
        0.5 * pair.spacer_mm / opening.sin() + (member.inside_radius_mm + member.thickness_mm) / (0.5 * opening).tan();
    let skin = skin_direction(pair, member, station);
    let (along, _) = contact(pair, member, station);
    // Inside the skin is the side of the flange, square to the skin.
    let inside = along.reject_from_normalized(skin).normalize();
    frame(pair, station)[0] + skin * up_the_skin + inside * (0.5 * member.thickness_mm)
}

/// Arc length along a polyline up to the foot of a point, and the signed distance to it (positive left).
fn foot(line: &[DVec2], point: DVec2) -> (f64, f64) {
    let mut run = 0.0;
    let mut best = (f64::INFINITY, 0.0, 0.0);
    for pair in line.windows(2) {
        let along = pair[1] - pair[0];
        let length = along.length();
        let f = ((point - pair[0]).dot(along) / (length * length)).clamp(0.0, 1.0);
        let off = point - (pair[0] + along * f);
        if off.length() < best.0 {
            best = (off.length(), run + f * length, (along / length).perp_dot(off));
        }
        run += length;
    }
    (best.1, best.2)
}

/// The fold's tangent line on the piece with its running length, by short chords.
struct OnPiece {
    step_mm: f64,
    run_mm: Vec<f64>,
}

impl OnPiece {
    fn new(pair: &FlangePair, member: &PairMember) -> Self {
        const CHORDS: usize = 4000;
        let step_mm = pair.edge_line.length_mm() / CHORDS as f64;
        let at = |i: usize| tangent_on_piece(pair, member, step_mm * i as f64);
        let mut run_mm = vec![0.0];
        for i in 0..CHORDS {
            run_mm.push(run_mm[i] + at(i).distance(at(i + 1)));
        }
        Self { step_mm, run_mm }
    }

    fn length_to(&self, station: f64) -> f64 {
        let i = ((station / self.step_mm) as usize).min(self.run_mm.len() - 2);
        self.run_mm[i] + (self.run_mm[i + 1] - self.run_mm[i]) * (station / self.step_mm - i as f64)
    }

    fn station_at(&self, length: f64) -> f64 {
        let i = self.run_mm.partition_point(|run| *run <= length).clamp(1, self.run_mm.len() - 1) - 1;
        (i as f64 + (length - self.run_mm[i]) / (self.run_mm[i + 1] - self.run_mm[i])) * self.step_mm
    }
}

/// Point of the fold's tangent line in the flat at a station, and the direction of the cross-section there: it leans against the tangent
/// line as it does on the piece, where the setback changes along the length.
fn tangent_in_flat(
    pair: &FlangePair,
    member: &PairMember,
    on_piece: &OnPiece,
    line: &[DVec2],
    station: f64,
) -> (DVec2, DVec2) {
    let mut left = on_piece.length_to(station);
    let mut last = (DVec2::NAN, DVec2::NAN);
    for step in line.windows(2) {
        let length = step[0].distance(step[1]);
        let along = (step[1] - step[0]) / length;
        last = (step[0] + along * left, along);
        if left <= length {
            break;
        }
        left -= length;
    }
    let h = 0.01;
    let tangent = tangent_on_piece(pair, member, station + h) - tangent_on_piece(pair, member, station - h);
    let lean = tangent.angle_between(skin_direction(pair, member, station));
    (last.0, DVec2::from_angle(lean).rotate(last.1))
}

/// Folds one opening up: returns the middle of the hole in space and its axis.
fn fold_up(
    pair: &FlangePair,
    member: &PairMember,
    on_piece: &OnPiece,
    fold: &blank::FlatFold,
    opening: &blank::FlatOpening,
) -> (DVec3, DVec3) {
    let line = &fold.tangent_near_mm;
    let (arc_length, _) = foot(line, opening.centre_mm);
    let mut station = on_piece.station_at(arc_length);
    // The hole's own cross-section is the one on which it has no offset along the edge.
    for _ in 0..20 {
        let (point, across) = tangent_in_flat(pair, member, on_piece, line, station);
        station += (opening.centre_mm - point).dot(-across.perp());
    }
    let (point, across) = tangent_in_flat(pair, member, on_piece, line, station);
    let from_tangent = -(opening.centre_mm - point).dot(across);
    // The bend by its neutral line, as the blank's own table gives it.
    let bend = PI - member.opening_angle_rad.at(station);
    let beyond_bend = from_tangent - bend * (member.inside_radius_mm + fold.k_factor * member.thickness_mm);
    let skin = skin_direction(pair, member, station);
    let (along, _) = contact(pair, member, station);
    let inside = along.reject_from_normalized(skin).normalize();
    let start = tangent_on_piece(pair, member, station);
    let radius = member.inside_radius_mm + 0.5 * member.thickness_mm;
    let centre = start + inside * radius;
    // Going down the skin and turning towards the inside.
    let end = centre - inside * (radius * bend.cos()) - skin * (radius * bend.sin());
    let direction = -skin * bend.cos() + inside * bend.sin();
    let [_, t, ..] = frame(pair, station);
    (end + direction * beyond_bend, t.cross(direction))
}

#[test]
fn pair_folded_up_again_puts_every_hole_axis_in_its_place() {
    let pair = pair();
    let strips = pair.strips().unwrap();
    for (strip, member) in strips.iter().zip(&pair.members) {
        // The fold lines are read as polylines, whose chords must be short for their directions to be right.
        let settings = DevelopSettings { sampling_tolerance_mm: 1e-4, ..DevelopSettings::default() };
        let blank = develop(strip, &settings).unwrap();
        assert_eq!(blank.openings.len(), pair.holes.len());
        let fold = blank.folds.iter().find(|fold| fold.kind == FoldKind::Fold).unwrap();
        let on_piece = OnPiece::new(&pair, member);
        for (opening, hole) in blank.openings.iter().zip(&pair.holes) {
            let (point, axis) = fold_up(&pair, member, &on_piece, fold, opening);
            // The axis passes through the contact plane at (station, distance), square to it.
            let (along, normal) = contact(&pair, member, hole.station_mm);
            let on_axis = frame(&pair, hole.station_mm)[0] + along * hole.distance_mm;
            let off = (point - on_axis).reject_from_normalized(normal.normalize()).length();
            assert!(off < 0.01, "{} {}: axis {off} mm off", strip.name, hole.name);
            let turned = axis.cross(normal).length().asin().to_degrees();
            assert!(turned < 0.01, "{} {}: axis turned {turned}°", strip.name, hole.name);
            // Middle of the sheet: half the spacer and half the sheet from the contact plane.
            let stands = (point - on_axis).dot(normal.normalize());
            assert!((stands - 0.9 - 0.5 * member.thickness_mm).abs() < 0.01, "{stands}");
        }
    }
}

// ---------------------------------------------------------------------------------------------------------------------------
// Properties.

fn crowned() -> Strip {
    let mut strip = plain(arc_line(420.0, 1.4), 0.2, 1.0);
    let section = |station_mm, radius: f64| CrossSection {
        station_mm,
        start_angle_rad: 0.2,
        links: vec![
            Link::Straight { length_mm: 20.0 },
            Link::Arc { inside_radius_mm: radius, bend_angle_rad: -40.0 / radius },
        ],
    };
    strip.sections = vec![section(0.0, 500.0), section(300.0, 350.0)];
    strip.finished_edge =
        vec![MakeUp::Wired { wire_mm: 6.4, curl: section::Curl::Geometry { wrap_rad: 1.5 * PI }, turns: Side::Inside }];
    strip.cut_edge = vec![MakeUp::Joggle { depth_mm: 0.9, ramp_mm: 4.5, lap_mm: 15.0, runs_out_mm: [0.0; 2] }];
    strip.spare_from_mm = 25.0;
    strip.from_mm = 25.0;
    strip
}

#[test]
fn other_hand_has_the_same_flat_other_face_up() {
    let own = flat(&crowned());
    let other = flat(&Strip { mirrored: true, ..crowned() });
    assert_eq!(own.outline_mm, other.outline_mm);
    assert_eq!(own.lengthwise, other.lengthwise);
    assert_ne!(own.face_up, other.face_up);
    for (a, b) in own.folds.iter().zip(&other.folds) {
        assert_eq!((a.turns, a.up), (b.turns, !b.up));
    }
}

#[test]
fn rigid_motion_changes_nothing() {
    let strip = crowned();
    let turn = glam::DQuat::from_axis_angle(DVec3::new(1.0, 2.0, -1.0).normalize(), 0.9);
    let (radius, sweep) = (420.0, 1.4);
    let at = |f: f64| {
        let angle = 0.5 * PI + sweep * (0.5 - f);
        turn * DVec3::new(radius * angle.cos(), 0.0, radius * angle.sin()) + DVec3::new(1000.0, -40.0, 77.0)
    };
    let edge_line = EdgeLine::new(at(0.0), &[Segment::Arc { via_mm: at(0.4), to_mm: at(1.0) }]).unwrap();
    let moved = Strip { edge_line, outward: Outward::One(turn * DVec3::Y), ..strip.clone() };
    let (a, b) = (flat(&strip), flat(&moved));
    assert_eq!(a.outline_mm.len(), b.outline_mm.len());
    for (p, q) in a.outline_mm.iter().zip(&b.outline_mm) {
        assert!(p.distance(*q) < 1e-6, "{p} {q}");
    }
    close(a.area_mm2, b.area_mm2, 1e-9);
}
