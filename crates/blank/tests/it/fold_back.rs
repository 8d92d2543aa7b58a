//! Thousands of random pieces: the flat is simple or the refusal names the clash, and folded up again by nothing but its own list of folds it
//! is the piece in space.
//!
//! The folder here knows sheet and circles only: about every fold's two tangent lines the middle of the sheet turns on an arc of the inside
//! radius and half the thickness, spread over the width between the lines; everything beyond goes along. The two lines of a step lie on the
//! outside face and have no width.

use blank::{Blank, BlankError, DevelopSettings, FaceUp, FlatFold, FoldKind, folded, strip};
use glam::{DVec2, DVec3};
use section::{
    Along, Base, CornerKind, CrossSection, Curl, EdgeFolds, EdgeLine, EndCut, Face, FlangeRelief, Folded, Hand,
    HemKind, Lean, Link, MakeUp, Makes, Outward, Runs, SectionError, Side, Strip, Swept,
};
use std::f64::consts::PI;

/// How far the folded flat may be from the piece, mm.
const WITHIN_MM: f64 = 0.01;

/// A small generator of its own, so that a case keeps its number.
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }

    fn one_in(&mut self, many: u32) -> bool {
        self.next() * f64::from(many) < 1.0
    }

    fn side(&mut self) -> Side {
        if self.one_in(2) { Side::Inside } else { Side::Outside }
    }

    fn flange(&mut self) -> MakeUp {
        MakeUp::Flange {
            bend_angle_rad: Along::Constant(self.between(15.0, 130.0).to_radians()),
            inside_radius_mm: self.between(0.3, 4.0),
            width_mm: Along::Constant(self.between(8.0, 45.0)),
            turns: self.side(),
            stand_off_mm: 0.0,
            relief: FlangeRelief::None,
        }
    }

    fn last(&mut self) -> Option<MakeUp> {
        match (self.next() * 5.0) as u32 {
            0 => Some(MakeUp::Hem {
                width_mm: self.between(5.0, 12.0),
                inside_radius_mm: self.between(0.4, 1.5),
                hem: HemKind::Open,
                turns: self.side(),
            }),
            1 => Some(MakeUp::Wired {
                wire_mm: self.between(2.0, 5.0),
                curl: Curl::Geometry { wrap_rad: self.between(180.0, 300.0).to_radians() },
                turns: self.side(),
            }),
            2 => Some(MakeUp::Seam { width_mm: self.between(5.0, 15.0) }),
            _ => None,
        }
    }

    /// Up to two flanges, and perhaps an end to the chain.
    fn chain(&mut self) -> Vec<MakeUp> {
        let mut out = Vec::new();
        for _ in 0..(self.next() * 3.0) as usize {
            out.push(self.flange());
        }
        if self.one_in(2) {
            out.extend(self.last());
        }
        out
    }
}

// --- the folder ------------------------------------------------------------------------------------------------------

/// One fold as the list has it, seen from the metal that stays.
struct Turn {
    near: [DVec2; 2],
    out: DVec2,
    width: f64,
    angle: f64,
    radius: f64,
    up: f64,
    /// Height of the line about which a fold without width turns, above the middle of the sheet towards the face that is up.
    pivot: f64,
}

impl Turn {
    fn of(fold: &FlatFold, out: Option<DVec2>, blank: &Blank) -> Self {
        let ends = |line: &[DVec2]| [*line.first().unwrap(), *line.last().unwrap()];
        let (near, far) = (ends(&fold.tangent_near_mm), ends(&fold.tangent_far_mm));
        let across = 0.5 * (far[0] + far[1]) - 0.5 * (near[0] + near[1]);
        let along = (near[1] - near[0]).normalize();
        let square = across - along * across.dot(along);
        let up = if fold.up { 1.0 } else { -1.0 };
        let outside = if blank.face_up == FaceUp::Outside { 1.0 } else { -1.0 };
        // K is another way to say the same width: the neutral line's arc
        if fold.kind != FoldKind::Joggle {
            let neutral = fold.inside_radius_mm + fold.k_factor * blank.thickness_mm;
            assert!((square.length() - neutral * fold.bend_angle_rad[0].abs()).abs() < 1e-6, "{}", fold.name);
        }
        Self {
            near,
            out: out.unwrap_or_else(|| square.normalize()),
            width: square.length(),
            angle: fold.bend_angle_rad[0].abs(),
            radius: fold.inside_radius_mm + 0.5 * blank.thickness_mm,
            up,
            pivot: if fold.kind == FoldKind::Joggle { 0.5 * outside * blank.thickness_mm } else { 0.0 },
        }
    }

    /// Distance beyond the near line, in the flat.
    fn beyond(&self, flat: DVec2) -> f64 {
        (flat - self.near[0]).dot(self.out)
    }

    /// Where a point goes; `now` is where the folds farther out have put it, middle of the sheet at height 0.
    fn turned(&self, flat: DVec2, now: DVec3) -> DVec3 {
        let beyond = self.beyond(flat);
        let along = now - (self.out * (now.truncate() - self.near[0]).dot(self.out)).extend(now.z);
        let (y, z) = ((now.truncate() - self.near[0]).dot(self.out), now.z);
        let s = self.up;
        let (out, high) = if self.width < 1e-9 {
            let (sin, cos) = self.angle.sin_cos();
            let h = z - self.pivot;
            (y * cos - s * h * sin, self.pivot + s * y * sin + h * cos)
        } else if beyond <= self.width {
            let angle = self.angle * beyond / self.width;
            let r = self.radius - s * z;
            (r * angle.sin(), s * (self.radius - r * angle.cos()))
        } else {
            let (sin, cos) = self.angle.sin_cos();
            let over = y - self.width;
            (self.radius * sin + over * cos - s * z * sin, s * self.radius * (1.0 - cos) + s * over * sin + z * cos)
        };
        along + (self.out * out).extend(high)
    }
}

/// The corners of a simple polygon's side nearest to a point: side and share.
fn on_outline(outline: &[DVec2], point: DVec2) -> (f64, f64) {
    let mut best = (f64::INFINITY, 0.0);
    for (i, a) in outline.iter().enumerate() {
        let b = outline[(i + 1) % outline.len()];
        let d = b - *a;
        let share = ((point - *a).dot(d) / d.length_squared()).clamp(0.0, 1.0);
        let off = point.distance(*a + d * share);
        if off < best.0 {
            best = (off, i as f64 + share);
        }
    }
    best
}

/// Folds a flat whose folds each cut a flap off the outline: every corner of the outline at a height over the middle of the sheet.
fn fold_up(blank: &Blank, height: f64) -> Vec<DVec3> {
    let outline = &blank.outline_mm;
    let n = outline.len();
    let mut flaps: Vec<(Turn, Vec<usize>)> = Vec::new();
    for fold in &blank.folds {
        let turn = Turn::of(fold, None, blank);
        let [a, b] = turn.near.map(|end| on_outline(outline, end));
        assert!(a.0 < 0.02 && b.0 < 0.02, "{}: its line ends {:.3} and {:.3} mm from the outline", fold.name, a.0, b.0);
        // the two ways round from one end of the line to the other; the flap lies beyond the line
        let way = |from: f64, to: f64| -> Vec<usize> {
            let steps = (to.floor() - from.floor()).rem_euclid(n as f64) as usize;
            let steps = if steps == 0 && to < from { n } else { steps };
            (1..=steps).map(|k| (from.floor() as usize + k) % n).collect()
        };
        let middle = 0.5 * (turn.near[0] + turn.near[1]) + turn.out * 0.01;
        let encloses = |chain: &[usize]| {
            let mut loop_ = vec![turn.near[0]];
            loop_.extend(chain.iter().map(|i| outline[*i]));
            loop_.push(turn.near[1]);
            mesh::polygon::contains(&loop_, middle)
        };
        let (there, mut back) = (way(a.1, b.1), way(b.1, a.1));
        back.reverse();
        let flap = if encloses(&there) { there } else { back };
        flaps.push((turn, flap));
    }
    // the smaller flap lies farther out
    flaps.sort_by_key(|(_, flap)| flap.len());
    (0..n)
        .map(|i| {
            let own = flaps.iter().filter(|(_, flap)| flap.contains(&i));
            own.fold(outline[i].extend(height), |now, (turn, _)| {
                if turn.beyond(outline[i]) < 1e-9 { now } else { turn.turned(outline[i], now) }
            })
        })
        .collect()
}

// --- trays -----------------------------------------------------------------------------------------------------------

/// A convex base of three to six corners, chains on its edges.
fn tray(chance: &mut Chance) -> Folded {
    let count = 3 + (chance.next() * 4.0) as usize;
    let (wide, high) = (chance.between(60.0, 300.0), chance.between(60.0, 300.0));
    let turned = chance.between(0.0, 1.0);
    let corner = |i: usize| {
        let angle = 2.0 * PI * (i as f64 + turned) / count as f64;
        DVec2::new(wide * angle.cos(), high * angle.sin())
    };
    let gap_mm = chance.between(0.0, 1.0);
    let cut = |chance: &mut Chance| match (chance.next() * 4.0) as u32 {
        0 => EndCut::SetBack { back_mm: chance.between(0.0, 12.0) },
        1 => EndCut::Angle { angle_rad: chance.between(0.0, 0.8) },
        _ => EndCut::Meet { gap_mm },
    };
    let edges = (0..count)
        .map(|_| EdgeFolds { make_ups: chance.chain(), start_cut: cut(chance), end_cut: cut(chance) })
        .collect();
    Folded {
        name: "tray".into(),
        hand: Hand::Left,
        mirrored: false,
        face_up_is: chance.side(),
        base: Base { corners_mm: (0..count).map(corner).collect() },
        edges,
        corners: vec![CornerKind::Welded { relief_mm: None }; count],
        thickness_mm: chance.between(0.6, 2.0),
        material: "dc04".into(),
        openings: vec![],
        reach_mm: 0.0,
    }
}

fn names_the_clash(error: &BlankError) -> bool {
    match error {
        BlankError::Overlaps { between, .. } => between.contains(" and "),
        BlankError::Section(SectionError::LegsCollide { first, second, .. }) => !first.is_empty() && !second.is_empty(),
        BlankError::Section(
            SectionError::EndCutsCross { .. }
            | SectionError::ShorterThanBend { .. }
            | SectionError::CrossesItself { .. },
        ) => true,
        other => other.to_string().contains("too") || other.to_string().contains("accepted"),
    }
}

/// Straight sides of a polygon that cross, found by trying every pair.
fn is_simple(outline: &[DVec2]) -> bool {
    let n = outline.len();
    let side = |a: DVec2, b: DVec2, p: DVec2| (b - a).perp_dot(p - a);
    for i in 0..n {
        let (a, b) = (outline[i], outline[(i + 1) % n]);
        for k in i + 2..n {
            if i == 0 && k + 1 == n {
                continue;
            }
            let (c, d) = (outline[k], outline[(k + 1) % n]);
            if side(a, b, c) * side(a, b, d) < -1e-9 && side(c, d, a) * side(c, d, b) < -1e-9 {
                return false;
            }
        }
    }
    true
}

#[test]
fn random_trays_are_simple_or_name_their_clash() {
    let settings = DevelopSettings { sampling_tolerance_mm: 0.05, ..DevelopSettings::default() };
    let mut made = 0;
    for case in 0..3000u64 {
        let folded = tray(&mut Chance(case));
        match folded::develop(&folded, &settings) {
            Ok(blank) => {
                assert!(is_simple(&blank.outline_mm), "case {case}");
                made += 1;
            }
            Err(error) => assert!(names_the_clash(&error), "case {case}: {error}"),
        }
    }
    assert!(made > 900, "only {made} were made");
}

/// Distance of a point from a triangle.
fn from_triangle([a, b, c]: [DVec3; 3], p: DVec3) -> f64 {
    let normal = (b - a).cross(c - a).normalize_or_zero();
    let inside = [(a, b), (b, c), (c, a)].iter().all(|(u, v)| (*v - *u).cross(p - *u).dot(normal) >= 0.0);
    if inside && normal != DVec3::ZERO {
        return (p - a).dot(normal).abs();
    }
    let from_side = |u: DVec3, v: DVec3| {
        let d = v - u;
        let share = if d.length_squared() > 0.0 { ((p - u).dot(d) / d.length_squared()).clamp(0.0, 1.0) } else { 0.0 };
        p.distance(u + d * share)
    };
    from_side(a, b).min(from_side(b, c)).min(from_side(c, a))
}

#[test]
fn random_trays_fold_up_to_their_shape() {
    let settings = DevelopSettings { sampling_tolerance_mm: 0.003, ..DevelopSettings::default() };
    let mut made = 0;
    for case in 0..400u64 {
        let folded = tray(&mut Chance(case));
        let Ok(blank) = folded::develop(&folded, &settings) else { continue };
        let surface = section::folded::tessellate(&folded, 0.003).unwrap();
        let triangles: Vec<([DVec3; 3], [DVec3; 2])> = surface
            .triangles
            .iter()
            .map(|corners| {
                let corners = corners.map(|id| surface.points_mm[id.0 as usize]);
                let low = corners[0].min(corners[1]).min(corners[2]);
                (corners, [low, corners[0].max(corners[1]).max(corners[2])])
            })
            .collect();
        let t = folded.thickness_mm;
        let bounds = surface.bounds_mm().unwrap();
        let mut own = [DVec3::INFINITY, DVec3::NEG_INFINITY];
        for height in [-0.5 * t, 0.5 * t] {
            for point in fold_up(&blank, height) {
                let point = point + DVec3::Z * (0.5 * t);
                own = [own[0].min(point), own[1].max(point)];
                let near = |[low, high]: &[DVec3; 2]| {
                    (point - *low).min_element() > -WITHIN_MM && (*high - point).min_element() > -WITHIN_MM
                };
                let hit =
                    triangles.iter().any(|(corners, box_)| near(box_) && from_triangle(*corners, point) < WITHIN_MM);
                assert!(hit, "case {case}: {point} of the folded flat is not on the piece");
            }
        }
        // and the piece is nowhere larger than the folded flat (a bulging curl may be, between its lines)
        let curled = blank.folds.iter().any(|fold| matches!(fold.kind, FoldKind::Curl | FoldKind::Hem));
        if !curled {
            let off = (bounds[0] - own[0]).abs().max((bounds[1] - own[1]).abs());
            assert!(off.max_element() < 1.5 * t + 6.0, "case {case}: {bounds:?} {own:?}");
        }
        made += 1;
    }
    assert!(made > 120, "only {made} were made");
}

// --- strips ----------------------------------------------------------------------------------------------------------

/// A straight strip whose cross-section is the same all along.
fn straight_strip(chance: &mut Chance) -> Strip {
    let mut links = vec![Link::Straight { length_mm: chance.between(20.0, 60.0) }];
    for _ in 0..(chance.next() * 3.0) as usize {
        let sign = if chance.one_in(2) { 1.0 } else { -1.0 };
        let inside_radius_mm = if chance.one_in(2) { chance.between(0.5, 4.0) } else { chance.between(20.0, 300.0) };
        let most = if inside_radius_mm > 10.0 { 40.0 / inside_radius_mm } else { 1.5 };
        links.push(Link::Arc { inside_radius_mm, bend_angle_rad: sign * chance.between(0.05, most) });
        links.push(Link::Straight { length_mm: chance.between(15.0, 50.0) });
    }
    let mut cut_edge = chance.chain();
    if chance.one_in(3) {
        cut_edge = vec![MakeUp::Joggle {
            depth_mm: chance.between(0.6, 1.5),
            ramp_mm: chance.between(3.0, 8.0),
            lap_mm: chance.between(12.0, 20.0),
            runs_out_mm: [0.0; 2],
        }];
    }
    let (from, to) = (DVec3::new(3.0, -20.0, 7.0), DVec3::new(203.0, 40.0, 31.0));
    let edge_line = EdgeLine::straight(from, to).unwrap();
    Strip {
        name: "strip".into(),
        hand: Hand::Left,
        mirrored: false,
        from_mm: 0.0,
        to_mm: edge_line.length_mm(),
        edge_line,
        outward: Outward::One(DVec3::Y),
        face: Face::Outside,
        runs: if chance.one_in(2) { Runs::Up } else { Runs::Down },
        sections: vec![CrossSection { station_mm: 0.0, start_angle_rad: chance.between(-0.6, 0.6), links }],
        spare_from_mm: 0.0,
        spare_to_mm: 0.0,
        thickness_mm: chance.between(0.6, 1.6),
        material: "dc04".into(),
        finished_edge: chance.chain(),
        cut_edge,
        openings: vec![],
        reach_mm: 0.0,
        makes: Makes::Body,
        under_mm: 0.0,
    }
}

/// Straight lines across the flat of a strip, folded about the lines between them and the held one.
fn fold_line(blank: &Blank, held_y: f64, at: DVec2) -> DVec3 {
    let mut turns: Vec<Turn> = blank
        .folds
        .iter()
        .map(|fold| {
            let y = fold.centre_mm[0].y;
            Turn::of(fold, Some(if y >= held_y { DVec2::Y } else { DVec2::NEG_Y }), blank)
        })
        .collect();
    // the farthest first
    turns.sort_by(|a, b| (b.near[0].y - held_y).abs().total_cmp(&(a.near[0].y - held_y).abs()));
    turns.iter().fold(at.extend(0.0), |now, turn| if turn.beyond(at) > 1e-9 { turn.turned(at, now) } else { now })
}

#[test]
fn random_straight_strips_fold_up_to_their_shape() {
    let mut made = 0;
    for case in 0..3000u64 {
        let strip = straight_strip(&mut Chance(case));
        let blank = match strip::develop(&strip, &DevelopSettings::default()) {
            Ok(blank) => blank,
            Err(error) => {
                assert!(names_the_clash(&error), "case {case}: {error}");
                continue;
            }
        };
        assert!(is_simple(&blank.outline_mm), "case {case}");
        let swept = Swept::new(&strip).unwrap();
        let held = blank.marks.iter().find(|mark| mark.kind == blank::MarkKind::HeldLine).unwrap();
        let held_y = held.line_mm[0].y;
        let lines: Vec<f64> = blank.stations[0].lines.iter().map(|(_, y)| *y).collect();
        let x = [0.0, strip.to_mm];
        let (mut folded, mut piece) = (Vec::new(), Vec::new());
        for (end, station) in x.into_iter().enumerate() {
            let profile = swept.profile(station, if end == 0 { Lean::After } else { Lean::Before });
            let frame = swept.frame_jet(station, Lean::Before);
            for (y, node) in lines.iter().zip(&profile.nodes) {
                folded.push(fold_line(&blank, held_y, DVec2::new(station, *y)));
                piece.push(swept.point(&frame, node, 0.5 * strip.thickness_mm).value);
            }
        }
        // the middle of the sheet at the two lines of a step lies elsewhere than the lines on its face: look past them
        let stepped = blank.folds.iter().filter(|fold| fold.kind == FoldKind::Joggle);
        let on_step: Vec<f64> = stepped.map(|fold| fold.centre_mm[0].y).collect();
        let skip = |i: usize| on_step.iter().any(|y| (lines[i % lines.len()] - y).abs() < 1e-9);
        for i in (0..folded.len()).filter(|i| !skip(*i)) {
            for k in (i + 1..folded.len()).filter(|k| !skip(*k)) {
                let off = folded[i].distance(folded[k]) - piece[i].distance(piece[k]);
                assert!(
                    off.abs() < WITHIN_MM,
                    "case {case}: lines {i} and {k} are {off:.4} mm off ({:?})",
                    blank.stations[0].lines
                );
            }
        }
        made += 1;
    }
    assert!(made > 1500, "only {made} were made");
}

/// Curved flanges: every line of the flat is as long as the outline says, and on the piece as long as a fine polyline through its points.
#[test]
fn random_curved_flanges_keep_their_edge_lengths() {
    for case in 0..60u64 {
        let mut chance = Chance(case);
        let (radius, sweep) = (chance.between(80.0, 900.0), chance.between(0.3, 1.4));
        let at = |f: f64| {
            let angle = 0.5 * PI + sweep * (0.5 - f);
            DVec3::new(radius * angle.cos(), 0.0, radius * angle.sin())
        };
        let mut strip = straight_strip(&mut chance);
        strip.edge_line = EdgeLine::new(at(0.0), &[section::Segment::Arc { via_mm: at(0.4), to_mm: at(1.0) }]).unwrap();
        strip.to_mm = strip.edge_line.length_mm();
        let settings = DevelopSettings { sampling_tolerance_mm: 1e-4, ..DevelopSettings::default() };
        let Ok(blank) = strip::develop(&strip, &settings) else { continue };
        let swept = Swept::new(&strip).unwrap();
        let count = 1500;
        let mut lengths = vec![0.0; blank.lengthwise.len()];
        let mut before: Vec<DVec3> = Vec::new();
        for i in 0..=count {
            let station = strip.to_mm * f64::from(i) / f64::from(count);
            let profile = swept.profile(station, Lean::After);
            let frame = swept.frame_jet(station, Lean::After);
            let now: Vec<DVec3> =
                profile.nodes.iter().map(|node| swept.point(&frame, node, 0.5 * strip.thickness_mm).value).collect();
            for (length, (a, b)) in lengths.iter_mut().zip(before.iter().zip(&now)) {
                *length += a.distance(*b);
            }
            before = now;
        }
        for (length, line) in lengths.iter().zip(&blank.lengthwise) {
            assert!((length - line.in_piece_mm).abs() < 1e-5 * length, "case {case}, {}: {length}", line.name);
        }
        let (Some(first), Some(last)) = (blank.lengthwise.first(), blank.lengthwise.last()) else { continue };
        // the long sides of the outline, between its four corners
        let corner = |point: DVec2| on_outline(&blank.outline_mm, point).1.round() as usize % blank.outline_mm.len();
        let walk = |from: usize, to: usize| -> f64 {
            let n = blank.outline_mm.len();
            let steps = (to + n - from) % n;
            (0..steps).map(|k| blank.outline_mm[(from + k) % n].distance(blank.outline_mm[(from + k + 1) % n])).sum()
        };
        let start = corner(blank.outline_mm[0]);
        let ends: Vec<usize> = (0..blank.outline_mm.len())
            .filter(|i| {
                let n = blank.outline_mm.len();
                let (a, b) = (
                    blank.outline_mm[*i] - blank.outline_mm[(i + n - 1) % n],
                    blank.outline_mm[(i + 1) % n] - blank.outline_mm[*i],
                );
                a.angle_to(b).abs() > 0.7
            })
            .collect();
        if let [a, b, c, d] = ends[..]
            && a == start
            && blank.trim_mm == 0.0
        {
            assert!((walk(a, b) - first.in_flat_mm).abs() < 1e-3, "case {case}");
            assert!((walk(c, d) - last.in_flat_mm).abs() < 1e-3, "case {case}");
        }
    }
}
