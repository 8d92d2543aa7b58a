//! Strips.

use super::make_up::{self, Chain, On};
use super::opening::{self, In};
use super::{Build, Reader, ResolvedPiece, ResolvedShape, Source};
use crate::file::{self, Role};
use glam::DVec3;
use section::{CrossSection, EdgeLine, Face, Outward, Runs, Segment, Strip};

pub(super) fn piece(build: &Build<'_>, strip: &file::Strip, reader: &mut Reader) -> Option<ResolvedPiece> {
    let field = format!("{}.piece.{}", build.source.path, strip.name);
    let thickness_mm = sheet(&strip.thickness, &strip.material, &field, build, reader);
    let Some(line) = &strip.edge_line else {
        reader.fault(
            format!("{field}.edge_line"),
            "is missing; give the edge line, or in_pair for one of two mating flanges",
        );
        return None;
    };
    let edge_line = edge_line(line, &format!("{field}.edge_line"), build.source, reader);
    let outward = outward(&line.outward, &format!("{field}.edge_line.outward"), reader);
    let sections = cross_sections(strip, &field, build.source, reader);
    let finished_field = format!("{field}.finished_edge");
    let on = On { field: &finished_field, thickness_mm, leg_width_mm: leg_width(build, &strip.name, 0) };
    let finished: Chain = make_up::chain(build, &strip.finished_edge, on, reader);
    let cut_field = format!("{field}.cut_edge");
    let cut =
        make_up::chain(build, &strip.cut_edge, On { field: &cut_field, thickness_mm, leg_width_mm: None }, reader);
    let openings = opening::all(build, &strip.openings, In::Strip, &field, reader);
    let edge_line = edge_line?;
    let [from_mm, to_mm] = stretch(build, strip.stretch.as_ref(), edge_line.length_mm(), &field, reader);
    let [spare_from_mm, spare_to_mm] = spare(build);
    Some(ResolvedPiece {
        shape: ResolvedShape::Strip(Box::new(Strip {
            name: strip.name.clone(),
            hand: build.placed.hand,
            mirrored: build.placed.mirrored,
            edge_line,
            outward,
            face: face(line.face),
            runs: runs(strip.runs),
            sections,
            from_mm,
            to_mm,
            spare_from_mm,
            spare_to_mm,
            thickness_mm,
            material: strip.material.clone(),
            finished_edge: finished.make_ups,
            cut_edge: cut.make_ups,
            openings,
            reach_mm: 0.0,
            makes: section::Makes::Body,
            under_mm: 0.0,
        })),
        wire_stands_out_mm: finished.wire_stands_out_mm,
        held_line: strip.held_line.clone(),
        end_names: [line.start_name.clone(), line.end_name.clone()],
        mate: None,
        directions: String::new(),
    })
}

/// Thickness, after the material is known and the reader told what a gauge number means.
pub(super) fn sheet(
    thickness: &units::Dimension,
    material: &str,
    field: &str,
    build: &Build<'_>,
    reader: &mut Reader,
) -> f64 {
    reader.unit(build.source.unit);
    match blank::material_of(material) {
        Some(known) => reader.sheet(known.properties().sheet),
        None => {
            reader.sheet(units::SheetKind::Unknown);
            let keys = handbook::materials::Material::ALL.iter().map(|known| known.key());
            let message = crate::read::unknown("material", material, keys);
            reader.fault(format!("{field}.material"), message);
        }
    }
    reader.thickness(&format!("{field}.thickness"), thickness)
}

/// Spare length at the free ends (H2), mm.
pub(super) fn spare(build: &Build<'_>) -> [f64; 2] {
    let spare_mm = build.shop.rules.spare_end_mm;
    let ends = &build.section.free_ends;
    [ends.start, ends.end].map(|free| if free { spare_mm } else { 0.0 })
}

/// Measured width of a leg.
pub(super) fn leg_width(build: &Build<'_>, wanted: &str, wanted_edge: usize) -> Option<f64> {
    let is = |role: &Role| matches!(role, Role::LegWidth { piece, edge } if piece == wanted && *edge == wanted_edge);
    build.values.role(build.source, is).map(|(_, value)| value.mm)
}

/// From and to along the edge line: said in the section, measured, the pattern's own stretch, or the whole line.
pub(super) fn stretch(
    build: &Build<'_>,
    own: Option<&[units::Dimension; 2]>,
    length_mm: f64,
    field: &str,
    reader: &mut Reader,
) -> [f64; 2] {
    let [own_from, own_to] = own.map_or([0.0, length_mm], |[from, to]| {
        [reader.length(&format!("{field}.stretch.0"), from), reader.length(&format!("{field}.stretch.1"), to)]
    });
    let asked = build.section.from_pattern.as_ref();
    let path = format!("section.{}.from_pattern", build.section.id);
    let mut at = |name: &str, value: Option<&units::Dimension>| {
        let unit = reader.job_unit;
        let value = value?;
        reader.unit(unit);
        let mm = reader.length(&format!("{path}.{name}"), value);
        reader.unit(build.source.unit);
        Some(mm)
    };
    let said_from = at("from", asked.and_then(|asked| asked.from.as_ref()));
    let said_to = at("to", asked.and_then(|asked| asked.to.as_ref()));
    let start = build.values.role(build.source, |role| *role == Role::RunStart).map(|(_, value)| value.mm);
    let run = build.values.role(build.source, |role| *role == Role::RunLength).map(|(_, value)| value.mm);
    let from = said_from.or(start).unwrap_or(own_from);
    let to = said_to.or(run.map(|run| from + run)).unwrap_or(own_to);
    if from.is_nan() || to.is_nan() {
        return [f64::NAN; 2];
    }
    const SAME_MM: f64 = 1e-6;
    if from >= to || from < -SAME_MM || to > length_mm + SAME_MM {
        let place = if said_from.is_some() || said_to.is_some() { path } else { field.to_owned() };
        reader.fault(
            place,
            format!(
                "the stretch runs from {from:.1} to {to:.1} mm; the edge line is {length_mm:.1} mm long: the start must lie before the end, both on the line"
            ),
        );
    }
    [from.max(0.0), to.min(length_mm)]
}

pub(super) fn edge_line(
    line: &file::EdgeLine,
    field: &str,
    source: &Source<'_>,
    reader: &mut Reader,
) -> Option<EdgeLine> {
    let start = reader.point(&format!("{field}.start"), &line.start);
    let on = |segment: &&file::Segment| source.is_on(segment.when.as_deref(), segment.unless.as_deref());
    let segments: Vec<Segment> = line
        .segments
        .iter()
        .enumerate()
        .filter(|(_, written)| on(written))
        .filter_map(|(i, written)| segment(written, &format!("{field}.segments.{i}"), reader))
        .collect();
    if start.is_nan() || reader.is_faulty() && segments.iter().any(is_nan) {
        return None;
    }
    match EdgeLine::new(start, &segments) {
        Ok(line) => Some(line),
        Err(error) => {
            reader.fault(field, error.to_string());
            None
        }
    }
}

pub(super) fn segment(written: &file::Segment, field: &str, reader: &mut Reader) -> Option<Segment> {
    match (&written.straight, &written.arc, &written.through) {
        (Some(to), None, None) => Some(Segment::Straight { to_mm: reader.point(field, to) }),
        (None, Some([via, to]), None) => {
            Some(Segment::Arc { via_mm: reader.point(field, via), to_mm: reader.point(field, to) })
        }
        (None, None, Some(points)) => {
            Some(Segment::Through { points_mm: points.iter().map(|point| reader.point(field, point)).collect() })
        }
        _ => {
            reader.fault(field, "gives none or several ways; exactly one of straight, arc and through is accepted");
            None
        }
    }
}

pub(super) fn is_nan(segment: &Segment) -> bool {
    match segment {
        Segment::Straight { to_mm } => to_mm.is_nan(),
        Segment::Arc { via_mm, to_mm } => via_mm.is_nan() || to_mm.is_nan(),
        Segment::Through { points_mm } => points_mm.iter().any(|point| point.is_nan()),
    }
}

pub(super) fn outward(outward: &file::Outward, field: &str, reader: &mut Reader) -> Outward {
    let mut vector = |field: String, [x, y, z]: [f64; 3]| {
        let vector = DVec3::new(x, y, z);
        if !vector.is_finite() || vector.length() < 1e-6 {
            reader.fault(field, "is no direction; give three finite numbers that are not all 0");
        }
        vector
    };
    match outward {
        file::Outward::One(numbers) => Outward::One(vector(field.to_owned(), *numbers)),
        file::Outward::PerStation(list) => {
            let vectors: Vec<DVec3> =
                list.iter().enumerate().map(|(i, at)| vector(format!("{field}.{i}.vector"), at.vector)).collect();
            let stations =
                list.iter().enumerate().map(|(i, at)| reader.length(&format!("{field}.{i}.station"), &at.station));
            Outward::PerStation(stations.zip(vectors).collect())
        }
    }
}

fn cross_sections(strip: &file::Strip, field: &str, source: &Source<'_>, reader: &mut Reader) -> Vec<CrossSection> {
    let on = |section: &file::CrossSection| source.is_on(section.when.as_deref(), section.unless.as_deref());
    if !strip.cross_sections.iter().any(on) {
        reader.fault(format!("{field}.cross_section"), "is missing; give at least one cross-section");
    }
    strip
        .cross_sections
        .iter()
        .enumerate()
        .filter(|(_, section)| on(section))
        .map(|(i, section)| {
            let field = format!("{field}.cross_section.{i}");
            CrossSection {
                station_mm: reader.length(&format!("{field}.station"), &section.station),
                start_angle_rad: section
                    .start_angle
                    .as_ref()
                    .map_or(0.0, |angle| reader.angle(&format!("{field}.start_angle"), angle)),
                links: section
                    .links
                    .iter()
                    .enumerate()
                    .map(|(k, link)| make_up::link(link, &format!("{field}.links.{k}"), reader))
                    .collect(),
            }
        })
        .collect()
}

pub(super) fn face(face: file::Face) -> Face {
    match face {
        file::Face::Outside => Face::Outside,
        file::Face::Middle => Face::Middle,
        file::Face::Inside => Face::Inside,
    }
}

pub(super) fn runs(runs: file::Runs) -> Runs {
    match runs {
        file::Runs::Up => Runs::Up,
        file::Runs::Down => Runs::Down,
    }
}
