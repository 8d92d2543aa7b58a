//! The finished shape of a folded piece as triangles: both faces, the cut edges and the lines a drawing shows.
//!
//! Bends are true cylinders about their axis. End cuts and relief holes run straight in the laid-out sheet; in a bend they
//! are laid out at the middle of the sheet here, which differs from the flat's own rule by less than the sheet is thick.
//! Frame: the base's own, underside at z = 0; reflected (x → −x) where the piece is.

use super::Folded;
use super::layout::{EdgeLayout, Layout, layout};
use super::place::opening_outline_mm;
use super::relief::arc_steps;
use crate::error::within;
use crate::{On, SectionError, Side};
use glam::{DVec2, DVec3};
use mesh::polygon::signed_area_mm2;
use mesh::{FeatureLine, PointId, SheetFace, Surface, Tag};

/// Tessellates the finished piece; no triangle lies farther than `tolerance_mm` from it.
///
/// Parts of the tags: "base", "fold 1" … (bend and leg), "leg 1" (a leg without a bend). Lines: "outline", "fold tangent", "hole".
///
/// # Errors
/// A fault of the piece, or a tolerance outside 0.001 to 10 mm.
pub fn tessellate(folded: &Folded, tolerance_mm: f64) -> Result<Surface, SectionError> {
    within("tessellation tolerance", tolerance_mm, 0.001..=10.0, "mm")?;
    let layout = layout(folded)?;
    let mut builder = Builder::new(folded);
    add_base(&mut builder, folded, &layout, tolerance_mm);
    for (index, edge) in layout.edges.iter().enumerate() {
        add_edge(&mut builder, folded, &layout, index, edge, tolerance_mm);
    }
    builder.outline_lines();
    Ok(builder.surface)
}

/// Collects triangles; every position goes through `place` with the height through the sheet.
struct Builder {
    surface: Surface,
    thickness_mm: f64,
    mirrored: bool,
    face_up: SheetFace,
    underside: SheetFace,
    outline: [Vec<DVec3>; 2],
}

impl Builder {
    fn new(folded: &Folded) -> Self {
        let (face_up, underside) = match folded.face_up_is {
            Side::Inside => (SheetFace::Inside, SheetFace::Outside),
            Side::Outside => (SheetFace::Outside, SheetFace::Inside),
        };
        Self {
            surface: Surface::default(),
            thickness_mm: folded.thickness_mm,
            mirrored: folded.mirrored,
            face_up,
            underside,
            outline: [Vec::new(), Vec::new()],
        }
    }

    fn reflect(&self, p: DVec3) -> DVec3 {
        if self.mirrored { DVec3::new(-p.x, p.y, p.z) } else { p }
    }

    fn tag(&mut self, part: &str, face: SheetFace) -> u16 {
        let found = self.surface.tags.iter().position(|tag| tag.part == part && tag.face == face);
        let index = found.unwrap_or_else(|| {
            self.surface.tags.push(Tag { part: part.to_owned(), face });
            self.surface.tags.len() - 1
        });
        u16::try_from(index).unwrap_or(u16::MAX)
    }

    fn point(&mut self, p: DVec3) -> PointId {
        let id = u32::try_from(self.surface.points_mm.len()).unwrap_or(u32::MAX);
        let p = self.reflect(p);
        self.surface.points_mm.push(p);
        PointId(id)
    }

    fn triangle(&mut self, [a, b, c]: [PointId; 3], tag: u16) {
        self.surface.triangles.push(if self.mirrored { [a, c, b] } else { [a, b, c] });
        self.surface.tag_of.push(tag);
    }

    /// Both faces of a region of the sheet. `region` and `holes` lie in a right-handed frame seen from the face up.
    fn faces(&mut self, part: &str, region: &[DVec2], holes: &[Vec<DVec2>], place: &dyn Fn(DVec2, f64) -> DVec3) {
        let mut corners = region.to_vec();
        let mut hole_starts = Vec::with_capacity(holes.len());
        for hole in holes {
            hole_starts.push(corners.len());
            corners.extend(hole);
        }
        let mut triangles: Vec<usize> = Vec::new();
        earcut::Earcut::new().earcut(corners.iter().map(|p| [p.x, p.y]), &hole_starts, &mut triangles);
        for (height, face, up) in [(self.thickness_mm, self.face_up, true), (0.0, self.underside, false)] {
            let tag = self.tag(part, face);
            let ids: Vec<PointId> = corners.iter().map(|p| self.point(place(*p, height))).collect();
            for corner in triangles.chunks_exact(3) {
                let (Some(&ia), Some(&ib), Some(&ic)) = (corner.first(), corner.get(1), corner.get(2)) else {
                    continue;
                };
                let (Some(&a), Some(&b), Some(&c)) = (corners.get(ia), corners.get(ib), corners.get(ic)) else {
                    continue;
                };
                let (Some(&pa), Some(&pb), Some(&pc)) = (ids.get(ia), ids.get(ib), ids.get(ic)) else { continue };
                let anticlockwise = (b - a).perp_dot(c - a) > 0.0;
                self.triangle(if anticlockwise == up { [pa, pb, pc] } else { [pa, pc, pb] }, tag);
            }
        }
    }

    /// The cut thickness along a line of the sheet with the metal on its left, seen from the face up.
    fn wall(&mut self, part: &str, line: &[DVec2], place: &dyn Fn(DVec2, f64) -> DVec3) {
        let tag = self.tag(part, SheetFace::Edge);
        let t = self.thickness_mm;
        let pairs: Vec<[PointId; 2]> =
            line.iter().map(|p| [self.point(place(*p, 0.0)), self.point(place(*p, t))]).collect();
        for ([p0, pt], [q0, qt]) in pairs.iter().zip(pairs.iter().skip(1)) {
            self.triangle([*p0, *q0, *qt], tag);
            self.triangle([*p0, *qt, *pt], tag);
        }
    }

    fn outer(&mut self, line: &[DVec2], place: &dyn Fn(DVec2, f64) -> DVec3) {
        for (index, height) in [0.0, self.thickness_mm].into_iter().enumerate() {
            let points: Vec<DVec3> = line.iter().map(|p| self.reflect(place(*p, height))).collect();
            if let Some(outline) = self.outline.get_mut(index) {
                outline.extend(points);
            }
        }
    }

    fn line_on_both_faces(&mut self, name: &str, line: &[DVec2], closed: bool, place: &dyn Fn(DVec2, f64) -> DVec3) {
        for height in [0.0, self.thickness_mm] {
            let points_mm = line.iter().map(|p| self.reflect(place(*p, height))).collect();
            self.surface.lines.push(FeatureLine { name: name.to_owned(), points_mm, closed });
        }
    }

    fn hole(&mut self, part: &str, outline: &[DVec2], place: &dyn Fn(DVec2, f64) -> DVec3) {
        let mut line = outline.to_vec();
        if signed_area_mm2(&line) > 0.0 {
            line.reverse();
        }
        line.extend(line.first().copied());
        self.wall(part, &line, place);
        line.pop();
        self.line_on_both_faces("hole", &line, true, place);
    }

    fn outline_lines(&mut self) {
        for points_mm in std::mem::take(&mut self.outline) {
            self.surface.lines.push(FeatureLine { name: "outline".to_owned(), points_mm, closed: true });
        }
    }
}

fn add_base(builder: &mut Builder, folded: &Folded, layout: &Layout, tolerance_mm: f64) {
    let place = |p: DVec2, height: f64| p.extend(height);
    let holes: Vec<Vec<DVec2>> = folded
        .openings
        .iter()
        .filter(|opening| opening.on == On::Skin)
        .map(|opening| {
            let centre = DVec2::new(opening.along_mm, opening.from_edge_mm);
            opening_outline_mm(&opening.shape, tolerance_mm).iter().map(|p| centre + *p).collect()
        })
        .collect();
    let outline = layout.base_outline_mm(tolerance_mm);
    builder.faces("base", &outline, &holes, &place);
    for hole in &holes {
        builder.hole("base", hole, &place);
    }
    for arc in layout.relief_arcs_mm(tolerance_mm) {
        builder.wall("base", &arc, &place);
    }
}

/// Developed length of each bend at the middle of the sheet.
fn middle_lengths(edge: &EdgeLayout, thickness_mm: f64) -> Vec<f64> {
    let length = |bend: &super::Bend| bend.turned_rad.abs() * (bend.inside_radius_mm + thickness_mm / 2.0);
    edge.parts.iter().map(|part| part.bend.as_ref().map_or(0.0, length)).collect()
}

fn add_edge(
    builder: &mut Builder,
    folded: &Folded,
    layout: &Layout,
    index: usize,
    edge: &EdgeLayout,
    tolerance_mm: f64,
) {
    let t = layout.thickness_mm;
    let lengths = middle_lengths(edge, t);
    let reliefs = layout.relief_radii_mm(index);
    // y is turned over here so that the frame is right-handed seen from the face up.
    let place = |p: DVec2, height: f64| edge.in_space(p.x, section_point(edge, &lengths, t, -p.y, height));
    let (start, free, end) = edge.flat_chains_mm(&lengths, reliefs, 0.0, tolerance_mm);
    let bands = bands(edge, &lengths, t, tolerance_mm);
    for band in &bands {
        let mut region = stretch(&start, band.from_mm, band.to_mm);
        if band.last {
            region.extend(&free);
        }
        region.extend(stretch(&end, band.from_mm, band.to_mm).iter().rev());
        let holes = if band.leg { leg_holes(folded, edge, index, band, tolerance_mm) } else { Vec::new() };
        let region: Vec<DVec2> = region.iter().map(turned_over).collect();
        builder.faces(&band.part, &region, &holes, &place);
        for hole in &holes {
            builder.hole(&band.part, hole, &place);
        }
    }
    add_walls(builder, (&start, &free, &end), &bands, &place);
    add_tangents(builder, edge, &lengths, &place);
}

fn turned_over(p: &DVec2) -> DVec2 {
    DVec2::new(p.x, -p.y)
}

/// One stretch of the laid-out edge between two lines parallel to it.
struct Band {
    part: String,
    index: usize,
    from_mm: f64,
    to_mm: f64,
    leg: bool,
    last: bool,
}

fn bands(edge: &EdgeLayout, lengths: &[f64], t: f64, tolerance_mm: f64) -> Vec<Band> {
    let mut list = Vec::new();
    let mut y = 0.0;
    for (index, (part, &length)) in edge.parts.iter().zip(lengths).enumerate() {
        if let Some(bend) = &part.bend {
            let count = arc_steps(bend.inside_radius_mm + t, bend.turned_rad, tolerance_mm);
            for step in 0..count {
                let at = |i: u32| if i == count { y + length } else { y + length * f64::from(i) / f64::from(count) };
                let (from_mm, to_mm) = (at(step), at(step + 1));
                list.push(Band { part: part.name.clone(), index, from_mm, to_mm, leg: false, last: false });
            }
            y += length;
        }
        if let Some(leg) = &part.leg {
            let last = index + 1 == edge.parts.len();
            let to_mm = if last { f64::INFINITY } else { y + leg.length_mm };
            list.push(Band { part: part.name.clone(), index, from_mm: y, to_mm, leg: true, last });
            y += leg.length_mm;
        }
    }
    list
}

/// (n, z) of a point `y_mm` out along the laid-out sheet.
fn section_point(edge: &EdgeLayout, lengths: &[f64], t: f64, y_mm: f64, height_mm: f64) -> DVec2 {
    let mut y = 0.0;
    let mut at = None;
    for (part, &length) in edge.parts.iter().zip(lengths) {
        if let Some(bend) = &part.bend {
            if y_mm >= y || at.is_none() {
                let turned = bend.turned_rad * ((y_mm - y) / length).clamp(0.0, 1.0);
                at = Some(bend.pose.bent(turned, bend.inside_radius_mm, t).at_height(height_mm));
            }
            y += length;
        }
        if let Some(leg) = &part.leg {
            if y_mm >= y || at.is_none() {
                at = Some(leg.pose.straight(y_mm - y).at_height(height_mm));
            }
            y += leg.length_mm;
        }
    }
    at.unwrap_or(DVec2::new(y_mm - edge.setback_mm, height_mm))
}

/// The stretch of a cut between two heights; y never falls along a cut.
fn stretch(chain: &[DVec2], from_mm: f64, to_mm: f64) -> Vec<DVec2> {
    let first = chain.iter().rposition(|p| p.y <= from_mm + 1e-9).unwrap_or(0);
    let last = chain.iter().position(|p| p.y >= to_mm - 1e-9).unwrap_or(chain.len().saturating_sub(1));
    let between = |a: usize, y: f64| {
        let pair = chain.get(a).zip(chain.get(a + 1));
        pair.map(|(p, q)| *p + (*q - *p) * ((y - p.y) / (q.y - p.y)))
    };
    let mut out = Vec::new();
    match chain.get(first) {
        Some(p) if (p.y - from_mm).abs() <= 1e-9 => out.push(*p),
        _ => out.extend(between(first, from_mm)),
    }
    out.extend(chain.iter().enumerate().filter(|(i, _)| *i > first && *i < last).map(|(_, p)| *p));
    match chain.get(last) {
        Some(p) if (p.y - to_mm).abs() <= 1e-9 || to_mm.is_infinite() => out.push(*p),
        _ => out.extend(between(last.saturating_sub(1), to_mm)),
    }
    out
}

fn leg_holes(folded: &Folded, edge: &EdgeLayout, index: usize, band: &Band, tolerance_mm: f64) -> Vec<Vec<DVec2>> {
    let on = On::Fold { edge: index, index: band.index };
    let from_apex = edge.parts.get(band.index).and_then(|part| part.leg.as_ref()).map_or(0.0, |leg| leg.from_apex_mm);
    folded
        .openings
        .iter()
        .filter(|opening| opening.on == on)
        .map(|opening| {
            let centre = DVec2::new(opening.along_mm, band.from_mm + opening.from_edge_mm - from_apex);
            opening_outline_mm(&opening.shape, tolerance_mm).iter().map(|p| turned_over(&(centre + *p))).collect()
        })
        .collect()
}

fn add_walls(
    builder: &mut Builder,
    (start, free, end): (&[DVec2], &[DVec2], &[DVec2]),
    bands: &[Band],
    place: &dyn Fn(DVec2, f64) -> DVec3,
) {
    let mut whole: Vec<DVec2> = start.to_vec();
    whole.extend(free);
    whole.extend(end.iter().rev());
    let levels: Vec<f64> = bands.iter().map(|band| band.from_mm).collect();
    let whole = divided(&whole, &levels);
    // Turned over, the cut line runs anticlockwise round the piece, metal on the left.
    let line: Vec<DVec2> = whole.iter().map(turned_over).collect();
    builder.outer(&line, place);
    for (a, b) in line.iter().zip(line.iter().skip(1)) {
        let middle = -0.5 * (a.y + b.y);
        let band = bands.iter().rev().find(|band| band.from_mm <= middle).or(bands.first());
        let part = band.map_or("base", |band| band.part.as_str());
        builder.wall(part, &[*a, *b], place);
    }
}

/// A line with points added where it passes the given heights.
fn divided(line: &[DVec2], levels: &[f64]) -> Vec<DVec2> {
    let mut out: Vec<DVec2> = line.first().copied().into_iter().collect();
    for (a, b) in line.iter().zip(line.iter().skip(1)) {
        let mut inner: Vec<f64> = levels
            .iter()
            .map(|y| (y - a.y) / (b.y - a.y))
            .filter(|part| part.is_finite() && *part > 1e-9 && *part < 1.0 - 1e-9)
            .collect();
        inner.sort_by(f64::total_cmp);
        out.extend(inner.into_iter().map(|part| *a + (*b - *a) * part));
        out.push(*b);
    }
    out
}

fn add_tangents(builder: &mut Builder, edge: &EdgeLayout, lengths: &[f64], place: &dyn Fn(DVec2, f64) -> DVec3) {
    for (index, (part, length)) in edge.parts.iter().zip(lengths).enumerate() {
        let Some(bend) = &part.bend else { continue };
        let far = edge.near_line_y_mm(lengths, index);
        let [near_start, far_start] = bend.start_x_mm;
        let [near_end, far_end] = bend.end_x_mm;
        for (y, from, to) in [(far - length, near_start, near_end), (far, far_start, far_end)] {
            builder.line_on_both_faces("fold tangent", &[DVec2::new(from, -y), DVec2::new(to, -y)], false, place);
        }
    }
}
