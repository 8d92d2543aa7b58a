//! A tube in space: both faces of its sheet, edges, rims and the lines at the quarters of its girth.

use super::outline::{joined, sorted};
use super::{Tube, TubeCut, Wall, flattened_shape};
use crate::SectionError;
use glam::{DVec2, DVec3};
use mesh::{FeatureLine, PointId, SheetFace, Surface, Tag};
use std::collections::BTreeSet;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Points along a lengthwise line beside a hole lie so far apart, mm.
const BESIDE_HOLES_MM: f64 = 4.0;
/// Inside radius that a flattened end's folds are drawn with: pressed shut, their inside would have no area, mm.
const FOLD_INSIDE_MM: f64 = 0.02;
/// Lengthwise lines of a fold: closer than the crease that a drawing shows.
const FOLD_STEPS: u32 = 12;
/// Rows on the way from round to flat.
const WAY_ROWS: u32 = 10;
/// A point of a lengthwise line keeps this far from the rim of a hole, mm.
const CLEAR_OF_RIM_MM: f64 = 0.2;

/// The tube with both faces within `tolerance_mm` of it, in vehicle axes, of the finished hand.
///
/// Tags: part "tube", face outside, inside or edge. Feature lines: "outline", "zero line" and the other quarters of the girth, one per
/// opening under its name.
///
/// # Errors
/// What [`Tube::check`] finds; a tolerance out of range; openings that touch each other.
pub fn tessellate(tube: &Tube, tolerance_mm: f64) -> Result<Surface, SectionError> {
    tube.check()?;
    crate::error::within("the tolerance", tolerance_mm, 0.001..=5.0, "mm")?;
    let across = across(tube, tolerance_mm);
    let outline = joined(tube, &across, &across);
    let rims: Vec<(String, Vec<DVec2>)> = tube
        .openings
        .iter()
        .map(|opening| (opening.name.clone(), tube.opening_rim_mm(opening, tolerance_mm.min(0.05))))
        .collect();
    let holes: Vec<Vec<DVec2>> = rims.iter().map(|(_, rim)| rim.clone()).collect();
    let lines = lengthwise(tube, &across, &holes);
    let inner: Vec<DVec2> =
        lines.iter().flat_map(|line| line.iter().skip(1).take(line.len().saturating_sub(2))).copied().collect();
    let pieces: Vec<[DVec2; 2]> =
        lines.iter().flat_map(|line| line.windows(2)).filter_map(|pair| pair.try_into().ok()).collect();
    let planar = mesh::planar::triangulate_along(&outline.points_mm, &holes, &inner, &pieces).map_err(|fault| {
        SectionError::Tube {
            place: tube.name.clone(),
            what: format!("openings touch each other or an edge: {fault}"),
            accepted: "keep metal between them".into(),
        }
    })?;
    let mut surface = thicken(tube, &planar);
    surface.lines = feature_lines(tube, &outline.points_mm, &rims, tolerance_mm);
    Ok(surface)
}

/// Places across the sheet of the lengthwise lines that carry the surface.
fn across(tube: &Tube, tolerance_mm: f64) -> Vec<f64> {
    let (width, radius) = (tube.width_mm(), tube.radius_mm(Wall::Middle));
    let step = 2.0 * (1.0 - (tolerance_mm / tube.radius_mm(Wall::Outside)).min(0.1)).acos();
    let steps = ((width / radius / step).ceil() as usize).clamp(8, 720);
    let mut places: Vec<f64> = (0..=steps).map(|i| width * i as f64 / steps as f64).collect();
    for (i, end) in tube.ends.iter().enumerate() {
        places.extend(tube.edge_samples_mm(i, tolerance_mm));
        if let TubeCut::Flattened { face_at_rad, transition_mm, .. } = end.cut {
            let straight = flattened_shape(tube, transition_mm).width_mm - 2.0 * tube.thickness_mm;
            let fold = 0.5 * PI * tube.thickness_mm;
            let face = tube.across_mm(face_at_rad);
            for step in 0..=FOLD_STEPS {
                let from_face = 0.5 * straight + f64::from(step) / f64::from(FOLD_STEPS) * fold;
                places.extend([face - from_face, face + from_face].map(|y| y.rem_euclid(TAU * radius)));
            }
        }
    }
    let mut places = sorted(places, width);
    // lines closer than this make slivers
    places.dedup_by(|b, a| *b - *a < 1e-4);
    if let Some(last) = places.last_mut() {
        *last = width;
    }
    places
}

/// Points of every inner lengthwise line: its ends, where a flattened end begins and stops, and close ones beside holes.
fn lengthwise(tube: &Tube, across: &[f64], holes: &[Vec<DVec2>]) -> Vec<Vec<DVec2>> {
    let pitch = across.windows(2).map(|p| p.last().unwrap_or(&0.0) - p.first().unwrap_or(&0.0)).fold(0.0, f64::max);
    let row =
        |bend: &Bend, k: u32| bend.flat_to + (bend.round_from - bend.flat_to) * f64::from(k) / f64::from(WAY_ROWS);
    let fixed: Vec<f64> =
        bends(tube).iter().flat_map(|bend| (0..=WAY_ROWS).map(|k| row(bend, k)).collect::<Vec<_>>()).collect();
    let inner = across.iter().skip(1).take(across.len().saturating_sub(2));
    inner
        .map(|&y| {
            let (low, high) = (tube.edge_station_mm(0, y), tube.edge_station_mm(1, y));
            let mut stations = fixed.clone();
            for hole in holes {
                let (from, to) =
                    hole.iter().fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(a, b), p| (a.min(*p), b.max(*p)));
                if y < from.y - pitch || y > to.y + pitch {
                    continue;
                }
                let count = ((to.x - from.x) / BESIDE_HOLES_MM).ceil().max(2.0);
                let reach = (to.x - from.x) / count;
                stations.extend((-1..=count as i32 + 1).map(|i| from.x + reach * f64::from(i)));
            }
            stations.retain(|x| *x > low + CLEAR_OF_RIM_MM && *x < high - CLEAR_OF_RIM_MM);
            stations.extend([low, high]);
            stations.sort_by(f64::total_cmp);
            stations.dedup_by(|b, a| *b - *a < 1e-6);
            let clear = |p: &DVec2| {
                holes.iter().all(|hole| {
                    !mesh::polygon::contains(hole, *p)
                        && mesh::polygon::distance_to_sides_mm(hole, *p) > CLEAR_OF_RIM_MM
                })
            };
            stations.into_iter().map(|x| DVec2::new(x, y)).filter(clear).collect()
        })
        .collect()
}

/// A flattened end in the stations of the flat.
struct Bend {
    /// From the datum of the end inwards: +1 at the start, −1 at the far end.
    inward: f64,
    /// Finished station of the tip.
    tip: f64,
    /// Flat station where the flat ends.
    flat_to: f64,
    /// Flat station where the tube is round.
    round_from: f64,
    flat_mm: f64,
    transition_mm: f64,
    face_at_rad: f64,
    straight_mm: f64,
    /// Of the middle of the wall in a fold.
    fold_radius_mm: f64,
}

fn bends(tube: &Tube) -> Vec<Bend> {
    let one = |(i, end): (usize, &super::TubeEnd)| {
        let TubeCut::Flattened { flat_mm, transition_mm, face_at_rad, .. } = end.cut else { return None };
        let shape = flattened_shape(tube, transition_mm);
        let (inward, tip) = if i == 0 { (1.0, 0.0) } else { (-1.0, tube.length_mm) };
        Some(Bend {
            inward,
            tip,
            flat_to: tip + inward * (flat_mm - shape.taken_up_mm),
            round_from: tip + inward * (flat_mm + transition_mm),
            flat_mm,
            transition_mm,
            face_at_rad,
            // the girth stays
            straight_mm: shape.width_mm - 2.0 * tube.thickness_mm - PI * FOLD_INSIDE_MM,
            fold_radius_mm: 0.5 * tube.thickness_mm + FOLD_INSIDE_MM,
        })
    };
    tube.ends.iter().enumerate().filter_map(one).collect()
}

impl Bend {
    /// Finished station and share of flatness at a station of the flat.
    fn at(&self, x: f64) -> (f64, f64) {
        let before_flat_end = self.inward * (self.flat_to - x);
        let before_round = self.inward * (self.round_from - x);
        if before_flat_end >= 0.0 {
            (self.tip + self.inward * (self.flat_mm - before_flat_end), 1.0)
        } else if before_round > 0.0 {
            let share = before_round / (self.inward * (self.round_from - self.flat_to));
            (self.tip + self.inward * (self.flat_mm + self.transition_mm * (1.0 - share)), share)
        } else {
            (x, 0.0)
        }
    }

    /// Middle of the wall and its outward normal in the flattened cross-section, tube axes (y, z).
    fn flat_point(&self, tube: &Tube, angle_rad: f64) -> (DVec2, DVec2) {
        let turned = (angle_rad - self.face_at_rad + PI).rem_euclid(TAU) - PI;
        let (radius, half) = (self.fold_radius_mm, 0.5 * self.straight_mm);
        let arc = tube.radius_mm(Wall::Middle) * turned.abs();
        let (out, side, normal) = if arc <= half {
            (radius, arc, DVec2::X)
        } else if arc < half + PI * radius {
            let round = (arc - half) / radius;
            (radius * round.cos(), half + radius * round.sin(), DVec2::from_angle(round))
        } else {
            (-radius, half - (arc - half - PI * radius), DVec2::NEG_X)
        };
        let way = turned.signum();
        let face = DVec2::from_angle(self.face_at_rad);
        let place = |out: f64, side: f64| face * out + face.perp() * (way * side);
        (place(out, side), place(normal.x, normal.y))
    }
}

impl Tube {
    /// A point of the finished tube, vehicle axes: station and place across the sheet in the flat, depth below the outside face.
    #[must_use]
    pub fn point_mm(&self, flat_mm: DVec2, depth_mm: f64) -> DVec3 {
        let angle = self.angle_rad(flat_mm.y);
        let mut station = flat_mm.x;
        let mut normal = DVec2::from_angle(angle);
        let mut middle = normal * self.radius_mm(Wall::Middle);
        for bend in bends(self) {
            let (there, share) = bend.at(flat_mm.x);
            if share > 0.0 {
                let (flat, out) = bend.flat_point(self, angle);
                station = there;
                middle = middle.lerp(flat, share);
                normal = normal.lerp(out, share).normalize_or(out);
            }
        }
        let across = middle + normal * (0.5 * self.thickness_mm - depth_mm);
        let place = self.to_vehicle * DVec3::new(station, across.x, across.y);
        if self.mirrored { DVec3::new(place.x, -place.y, place.z) } else { place }
    }
}

/// Both faces and the walls between them.
fn thicken(tube: &Tube, planar: &mesh::planar::Planar) -> Surface {
    let mut surface = Surface::default();
    for depth in [0.0, tube.thickness_mm] {
        for point in &planar.points {
            surface.push_point(tube.point_mm(*point, depth));
        }
    }
    let n = planar.points.len();
    let id = |i: usize, inside: bool| PointId(u32::try_from(if inside { n + i } else { i }).unwrap_or(u32::MAX));
    let [outside, inside, edge] = [SheetFace::Outside, SheetFace::Inside, SheetFace::Edge]
        .map(|face| surface.tag(Tag { part: "tube".into(), face }));
    // anticlockwise in the plane shows the inside; a reflection turns that round
    let shown = !tube.mirrored;
    let mut edges = BTreeSet::new();
    for &[a, b, c] in &planar.triangles {
        for (is_inside, tag) in [(false, outside), (true, inside)] {
            let corners = if is_inside == shown { [a, b, c] } else { [a, c, b] };
            surface.push_triangle(corners.map(|i| id(i, is_inside)), tag);
        }
        edges.extend([(a, b), (b, c), (c, a)]);
    }
    for &(a, b) in edges.iter().filter(|(a, b)| !edges.contains(&(*b, *a))) {
        // the face that the plane shows has this edge as a → b, so its wall has b → a
        surface.push_triangle([id(b, shown), id(a, shown), id(a, !shown)], edge);
        surface.push_triangle([id(b, shown), id(a, !shown), id(b, !shown)], edge);
    }
    surface
}

/// The outline with points of its sides wherever a flattened end bends them.
fn followed(tube: &Tube, outline: &[DVec2]) -> Vec<DVec2> {
    let rows: Vec<f64> = bends(tube)
        .iter()
        .flat_map(|bend| {
            let way = bend.round_from - bend.flat_to;
            (0..=WAY_ROWS).map(|k| bend.flat_to + way * f64::from(k) / f64::from(WAY_ROWS)).collect::<Vec<_>>()
        })
        .collect();
    let mut out = Vec::with_capacity(outline.len() + 2 * rows.len());
    for (from, to) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        out.push(*from);
        if (to.x - from.x).abs() < 1e-9 {
            continue;
        }
        let mut shares: Vec<f64> = rows.iter().map(|x| (x - from.x) / (to.x - from.x)).collect();
        shares.retain(|share| *share > 1e-9 && *share < 1.0 - 1e-9);
        shares.sort_by(f64::total_cmp);
        out.extend(shares.into_iter().map(|share| from.lerp(*to, share)));
    }
    out
}

fn feature_lines(tube: &Tube, outline: &[DVec2], rims: &[(String, Vec<DVec2>)], tolerance_mm: f64) -> Vec<FeatureLine> {
    let line = |name: String, points: Vec<DVec2>, closed: bool| FeatureLine {
        name,
        points_mm: points.iter().map(|p| tube.point_mm(*p, 0.0)).collect(),
        closed,
    };
    let mut out = vec![line("outline".into(), followed(tube, outline), true)];
    for quarter in 0..4 {
        let angle = f64::from(quarter) * FRAC_PI_2;
        let y = tube.across_mm(angle);
        if y > tube.width_mm() {
            continue;
        }
        let (low, high) = (tube.edge_station_mm(0, y), tube.edge_station_mm(1, y));
        let mut stations: Vec<f64> = bends(tube).iter().flat_map(|bend| [bend.flat_to, bend.round_from]).collect();
        stations.retain(|x| *x > low && *x < high);
        stations.extend([low, high]);
        stations.sort_by(f64::total_cmp);
        let name = if quarter == 0 { "zero line".to_owned() } else { format!("line at {}°", 90 * quarter) };
        out.push(line(name, stations.into_iter().map(|x| DVec2::new(x, y)).collect(), false));
    }
    out.extend(rims.iter().map(|(name, rim)| line(name.clone(), rim.clone(), true)));
    for (i, end) in tube.ends.iter().enumerate() {
        if let TubeCut::Flattened { hole: Some(hole), transition_mm, face_at_rad, .. } = &end.cut {
            let taken = flattened_shape(tube, *transition_mm).taken_up_mm;
            let x = if i == 0 { hole.from_tip_mm - taken } else { tube.length_mm + taken - hole.from_tip_mm };
            let shape = crate::OpeningShape::Round { diameter_mm: hole.diameter_mm };
            for face in [0.0, PI] {
                let centre = DVec2::new(x, tube.across_mm(face_at_rad + face));
                let rim = shape.outline_mm(tolerance_mm.min(0.05)).into_iter().map(|p| p + centre);
                let rim = rim.map(|p| DVec2::new(p.x, p.y.rem_euclid(TAU * tube.radius_mm(Wall::Middle)))).collect();
                out.push(line(format!("hole in the {}", end.name), rim, true));
            }
        }
    }
    out
}
