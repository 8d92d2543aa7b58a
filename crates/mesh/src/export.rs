//! Skins to files: PLY (library `ply-rs-bw`), STL (library `stl_io`), OBJ (written here, as it is read here).
//!
//! PLY is text in double precision, with one more number a point where there is one (its reach); OBJ is text in double precision;
//! STL knows neither shared points nor double precision. Notes become comments, where the format has them.

use crate::Skin;
use crate::import::MeshFormat;
use ply_rs_bw::ply::{
    Addable as _, ElementDef, Encoding, Header, PropertyAccess, PropertyDef, PropertyType, ScalarType,
};
use ply_rs_bw::writer::Writer;
use std::fmt::Write as _;

/// A skin that cannot be written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ExportError {
    /// Not one number for each point.
    #[error("{got} numbers of \"{name}\" for {points} points; one for each is needed")]
    WrongLength {
        /// Name of the numbers.
        name: String,
        /// Given.
        got: usize,
        /// Needed.
        points: usize,
    },
    /// The library could not write it.
    #[error("the {format:?} file cannot be written: {what}")]
    Unwritable {
        /// Which format.
        format: MeshFormat,
        /// What is the matter.
        what: String,
    },
}

/// One number for each point of a skin ("reach_mm").
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointNumbers<'a> {
    /// Name with its unit.
    pub name: &'a str,
    /// One for each point.
    pub values: &'a [f64],
}

/// Writes a mesh file. `numbers` go into PLY only, `notes` (a line each) into PLY and OBJ.
///
/// # Errors
/// [`ExportError`].
pub fn write(
    skin: &Skin,
    format: MeshFormat,
    notes: &[&str],
    numbers: Option<PointNumbers<'_>>,
) -> Result<Vec<u8>, ExportError> {
    match format {
        MeshFormat::Ply => write_ply(skin, notes, numbers),
        MeshFormat::Stl => write_stl(skin),
        MeshFormat::Obj => Ok(write_obj(skin, notes).into_bytes()),
    }
}

struct Point([f64; 4]);

impl PropertyAccess for Point {
    fn new() -> Self {
        Self([0.0; 4])
    }

    fn get_double(&self, name: &String) -> Option<f64> {
        let axis = ["x", "y", "z"].iter().position(|axis| axis == name).unwrap_or(3);
        self.0.get(axis).copied()
    }
}

struct Face([u32; 3]);

impl PropertyAccess for Face {
    fn new() -> Self {
        Self([0; 3])
    }

    fn get_list_uint(&self, _: &String) -> Option<&[u32]> {
        Some(&self.0)
    }
}

fn element(name: &str, count: usize, properties: &[(&str, PropertyType)]) -> ElementDef {
    let mut element = ElementDef::new(name.to_owned());
    element.count = count;
    for (name, data_type) in properties {
        element.properties.add(PropertyDef::new((*name).to_owned(), data_type.clone()));
    }
    element
}

fn write_ply(skin: &Skin, notes: &[&str], numbers: Option<PointNumbers<'_>>) -> Result<Vec<u8>, ExportError> {
    let points = skin.points_mm.len();
    if let Some(PointNumbers { name, values }) = numbers
        && values.len() != points
    {
        return Err(ExportError::WrongLength { name: name.to_owned(), got: values.len(), points });
    }
    let double = PropertyType::Scalar(ScalarType::Double);
    let axes = ["x", "y", "z"].into_iter().chain(numbers.map(|numbers| numbers.name));
    let columns: Vec<(&str, PropertyType)> = axes.map(|name| (name, double.clone())).collect();
    let corners = [("vertex_indices", PropertyType::List(ScalarType::UChar, ScalarType::UInt))];
    let (vertex, face) = (element("vertex", points, &columns), element("face", skin.triangles.len(), &corners));
    let mut header = Header::new();
    header.encoding = Encoding::Ascii;
    header.comments = notes.iter().map(|note| one_line(note)).collect();
    header.elements.add(vertex.clone());
    header.elements.add(face.clone());
    let value = |i: usize| numbers.and_then(|numbers| numbers.values.get(i)).copied().unwrap_or(0.0);
    let rows = skin.points_mm.iter().enumerate().map(|(i, p)| Point([p.x, p.y, p.z, value(i)])).collect();
    let faces = skin.triangles.iter().map(|triangle| Face(*triangle)).collect();
    let mut bytes = Vec::new();
    Writer::<Point>::new()
        .write_header(&mut bytes, &header)
        .and_then(|_| Writer::new().write_payload_of_element(&mut bytes, &rows, &vertex, &header))
        .and_then(|_| Writer::new().write_payload_of_element(&mut bytes, &faces, &face, &header))
        .map_err(|error| ExportError::Unwritable { format: MeshFormat::Ply, what: error.to_string() })?;
    Ok(bytes)
}

fn one_line(note: &str) -> String {
    note.chars().map(|c| if c.is_ascii() && !c.is_ascii_control() { c } else { ' ' }).collect()
}

fn write_stl(skin: &Skin) -> Result<Vec<u8>, ExportError> {
    let single = |v: glam::DVec3| [v.x as f32, v.y as f32, v.z as f32];
    let triangles: Vec<stl_io::Triangle> = (0..skin.triangles.len())
        .map(|t| stl_io::Triangle {
            normal: stl_io::Normal::new(single(skin.double_area_normal(t).normalize_or_zero())),
            vertices: skin.corners(t).map(|corner| stl_io::Vertex::new(single(corner))),
        })
        .collect();
    let mut bytes = Vec::new();
    stl_io::write_stl(&mut bytes, triangles.iter())
        .map_err(|error| ExportError::Unwritable { format: MeshFormat::Stl, what: error.to_string() })?;
    Ok(bytes)
}

fn write_obj(skin: &Skin, notes: &[&str]) -> String {
    let mut text = String::new();
    for note in notes {
        let _ = writeln!(text, "# {}", one_line(note));
    }
    for p in &skin.points_mm {
        let _ = writeln!(text, "v {} {} {}", p.x, p.y, p.z);
    }
    for [a, b, c] in &skin.triangles {
        let _ = writeln!(text, "f {} {} {}", a + 1, b + 1, c + 1);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::import::read;
    use glam::DVec3;

    fn tent() -> Skin {
        Skin {
            points_mm: vec![DVec3::new(0.1, 1.0 / 3.0, -0.0), DVec3::X * 100.0, DVec3::new(60.0, 70.0, 1e-7), DVec3::Y],
            triangles: vec![[0, 1, 2], [0, 2, 3]],
        }
    }

    #[test]
    fn what_is_written_reads_back() {
        let reach = [0.5, 0.25, 1.0 / 3.0, 2.0];
        let numbers = PointNumbers { name: "reach_mm", values: &reach };
        for format in [MeshFormat::Ply, MeshFormat::Obj] {
            let bytes = write(&tent(), format, &["outside face\nv 1 2 3"], Some(numbers)).unwrap();
            assert_eq!(read(&bytes, format).unwrap(), tent(), "{format:?}");
        }
        let bytes = write(&tent(), MeshFormat::Ply, &[], Some(numbers)).unwrap();
        let text = String::from_utf8(bytes).unwrap();
        assert!(text.contains("property double reach_mm") && text.contains("0.3333333333333333"), "{text}");
        let back = read(&write(&tent(), MeshFormat::Stl, &[], None).unwrap(), MeshFormat::Stl).unwrap();
        assert_eq!(back.triangles, tent().triangles);
        assert!((back.points_mm[2] - tent().points_mm[2]).length() < 1e-5);
    }

    #[test]
    fn numbers_must_be_one_for_each_point() {
        let few = PointNumbers { name: "reach_mm", values: &[1.0] };
        let refused = write(&tent(), MeshFormat::Ply, &[], Some(few)).unwrap_err();
        assert!(refused.to_string().contains("1 numbers of \"reach_mm\" for 4 points"), "{refused}");
    }
}
