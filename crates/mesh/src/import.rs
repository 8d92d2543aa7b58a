//! Skins from files: PLY (library `ply-rs-bw`), STL (library `stl_io`), OBJ (read here).
//!
//! The order of the points is that of the file, so that what is worked out can be laid beside it; STL has no shared points, and
//! its points are those of equal coordinates in the order of first use. Only points and faces are read; faces of more than three
//! corners are cut into a fan from their first corner. Nothing is repaired: [`Skin::topology`](crate::Skin::topology) names what is wrong.
//! OBJ is read here because the libraries renumber points or keep coordinates in single precision.

use crate::Skin;
use crate::skin::MOST_TRIANGLES;
use glam::DVec3;
use ply_rs_bw::parser::Parser;
use ply_rs_bw::ply::{ElementDef, Property, PropertyAccess, PropertyType, ScalarType};
use std::collections::BTreeMap;
use std::io::{BufRead, Cursor};

/// Most bytes of a file: 50 MiB.
pub const MOST_BYTES: usize = 50 << 20;

/// Kinds of mesh file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeshFormat {
    /// Polygon file, text or binary.
    Ply,
    /// Triangles without shared points, text or binary, single precision.
    Stl,
    /// Text with points and faces.
    Obj,
}

impl MeshFormat {
    /// By the ending of a file name, whatever its case.
    #[must_use]
    pub fn of_name(name: &str) -> Option<Self> {
        let ending = name.rsplit_once('.')?.1.to_ascii_lowercase();
        match ending.as_str() {
            "ply" => Some(Self::Ply),
            "stl" => Some(Self::Stl),
            "obj" => Some(Self::Obj),
            _ => None,
        }
    }
}

/// A mesh file that cannot be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ImportError {
    /// Beyond the limit.
    #[error("the file has {bytes} bytes; at most {MOST_BYTES} are taken: crop or decimate the mesh")]
    TooBig {
        /// Its size.
        bytes: usize,
    },
    /// Beyond the limit.
    #[error("the mesh has more than {MOST_TRIANGLES} triangles: crop or decimate it")]
    TooManyTriangles,
    /// The file is not what its ending says, or is broken off.
    #[error("this is no readable {format:?} file: {what}")]
    Unreadable {
        /// What was expected.
        format: MeshFormat,
        /// What is the matter.
        what: String,
    },
    /// A line that cannot be read.
    #[error("line {line} of the OBJ file: {what}")]
    Line {
        /// Counted from 1.
        line: usize,
        /// What is the matter.
        what: String,
    },
}

/// Reads a mesh file.
///
/// # Errors
/// [`ImportError`].
pub fn read(bytes: &[u8], format: MeshFormat) -> Result<Skin, ImportError> {
    if bytes.len() > MOST_BYTES {
        return Err(ImportError::TooBig { bytes: bytes.len() });
    }
    let skin = match format {
        MeshFormat::Ply => read_ply(bytes)?,
        MeshFormat::Stl => read_stl(bytes)?,
        MeshFormat::Obj => read_obj(bytes)?,
    };
    if skin.triangles.len() > MOST_TRIANGLES { Err(ImportError::TooManyTriangles) } else { Ok(skin) }
}

fn fan(corners: &[u32], triangles: &mut Vec<[u32; 3]>) {
    if let [first, rest @ ..] = corners {
        triangles.extend(rest.windows(2).map(|pair| [*first, pair[0], pair[1]]));
    }
}

fn read_stl(bytes: &[u8]) -> Result<Skin, ImportError> {
    let fault = |what: String| ImportError::Unreadable { format: MeshFormat::Stl, what };
    let mesh = stl_io::read_stl(&mut Cursor::new(bytes)).map_err(|e| fault(e.to_string()))?;
    // the library joins points of equal bits; −0.0 and 0.0 are one place
    let mut numbers: BTreeMap<[u32; 3], u32> = BTreeMap::new();
    let mut skin = Skin::default();
    let mut joined = Vec::with_capacity(mesh.vertices.len());
    for vertex in &mesh.vertices {
        let at = vertex.0.map(|v| v + 0.0);
        let number = *numbers.entry(at.map(f32::to_bits)).or_insert_with(|| {
            skin.points_mm.push(DVec3::from(at.map(f64::from)));
            skin.points_mm.len() as u32 - 1
        });
        joined.push(number);
    }
    let corner = |i: usize| joined.get(i).copied().unwrap_or(u32::MAX);
    skin.triangles = mesh.faces.iter().map(|face| face.vertices.map(corner)).collect();
    Ok(skin)
}

#[derive(Default)]
struct PlyPoint([Option<f64>; 3]);

impl PropertyAccess for PlyPoint {
    fn new() -> Self {
        Self::default()
    }

    fn set_property(&mut self, name: &String, property: Property) {
        let Some(axis) = ["x", "y", "z"].iter().position(|axis| axis == name) else { return };
        self.0[axis] = match property {
            Property::Float(v) => Some(f64::from(v)),
            Property::Double(v) => Some(v),
            Property::Int(v) => Some(f64::from(v)),
            Property::Short(v) => Some(f64::from(v)),
            _ => None,
        };
    }
}

/// Corners; a number that is no index becomes one that no point has.
#[derive(Default)]
struct PlyFace(Vec<u32>);

impl PropertyAccess for PlyFace {
    fn new() -> Self {
        Self::default()
    }

    fn set_property(&mut self, name: &String, property: Property) {
        if name != "vertex_indices" && name != "vertex_index" {
            return;
        }
        let index = |i: i64| u32::try_from(i).unwrap_or(u32::MAX);
        self.0 = match property {
            Property::ListInt(list) => list.into_iter().map(|i| index(i.into())).collect(),
            Property::ListUInt(list) => list,
            Property::ListShort(list) => list.into_iter().map(|i| index(i.into())).collect(),
            Property::ListUShort(list) => list.into_iter().map(u32::from).collect(),
            Property::ListUChar(list) => list.into_iter().map(u32::from).collect(),
            Property::ListChar(list) => list.into_iter().map(|i| index(i.into())).collect(),
            _ => Vec::new(),
        };
    }
}

/// Anything else in the file: read over.
struct PlyOther;

impl PropertyAccess for PlyOther {
    fn new() -> Self {
        Self
    }
}

fn read_ply(bytes: &[u8]) -> Result<Skin, ImportError> {
    let fault = |what: String| ImportError::Unreadable { format: MeshFormat::Ply, what };
    if bytes.trim_ascii().is_empty() {
        return Err(fault("the file is empty".into()));
    }
    // what the parser says is its own state, not what a person must mend
    let in_words = |part: &'static str| {
        move |_: std::io::Error| {
            fault(format!(
                "{part} cannot be read: fewer than its header tells, or something that is no number (nan, inf, a word)"
            ))
        }
    };
    let mut reader = Cursor::new(bytes);
    let header = Parser::<PlyPoint>::new().read_header(&mut reader).map_err(|_| {
        fault(
            "its header cannot be read; it begins with \"ply\", then format, element vertex, element face, end_header"
                .into(),
        )
    })?;
    let mut skin = Skin::default();
    for (name, element) in &header.elements {
        check_ply_element(element, bytes.len()).map_err(fault)?;
        match name.as_str() {
            "vertex" => {
                let points = Parser::<PlyPoint>::new().read_payload_for_element(&mut reader, element, &header);
                for PlyPoint(at) in points.map_err(in_words("its points"))? {
                    let [Some(x), Some(y), Some(z)] = at else { return Err(fault("a point lacks x, y or z".into())) };
                    skin.points_mm.push(DVec3::new(x, y, z));
                }
            }
            "face" => {
                let faces = Parser::<PlyFace>::new().read_payload_for_element(&mut reader, element, &header);
                faces
                    .map_err(in_words("its faces"))?
                    .iter()
                    .for_each(|PlyFace(corners)| fan(corners, &mut skin.triangles));
            }
            _ => {
                Parser::<PlyOther>::new()
                    .read_payload_for_element(&mut reader, element, &header)
                    .map_err(in_words("its other entries"))?;
            }
        }
    }
    if skin.points_mm.is_empty() {
        return Err(fault("it has no point (\"element vertex\" is missing or 0)".into()));
    }
    Ok(skin)
}

/// The parser reserves memory for the counts it is told: they must be possible in a file of this size.
fn check_ply_element(element: &ElementDef, bytes: usize) -> Result<(), String> {
    if element.count > bytes {
        return Err(format!("it tells of {} entries \"{}\" in {bytes} bytes", element.count, element.name));
    }
    for (name, property) in &element.properties {
        if let PropertyType::List(count, _) = &property.data_type
            && matches!(count, ScalarType::Int | ScalarType::UInt | ScalarType::Float | ScalarType::Double)
        {
            return Err(format!("the length of the list \"{name}\" is not a char or a short"));
        }
    }
    Ok(())
}

fn read_obj(bytes: &[u8]) -> Result<Skin, ImportError> {
    let mut skin = Skin::default();
    for (index, text) in Cursor::new(bytes).lines().enumerate() {
        let fault = |what: String| ImportError::Line { line: index + 1, what };
        let text = text.map_err(|e| fault(e.to_string()))?;
        let mut words = text.split_whitespace();
        match words.next() {
            Some("v") => {
                let mut at = [0.0; 3];
                for (axis, slot) in ["x", "y", "z"].iter().zip(&mut at) {
                    let word = words.next().ok_or_else(|| fault(format!("a point without {axis}")))?;
                    *slot = word.parse().map_err(|_| fault(format!("{axis} is \"{word}\", not a number")))?;
                }
                skin.points_mm.push(at.into());
            }
            Some("f") => {
                let corners: Result<Vec<u32>, String> =
                    words.map(|word| obj_corner(word, skin.points_mm.len())).collect();
                let corners = corners.map_err(fault)?;
                if corners.len() < 3 {
                    return Err(fault("a face with fewer than three corners".into()));
                }
                fan(&corners, &mut skin.triangles);
            }
            _ => {}
        }
    }
    if skin.points_mm.is_empty() {
        return Err(ImportError::Unreadable { format: MeshFormat::Obj, what: "it has no point (\"v\")".into() });
    }
    Ok(skin)
}

/// The point of "7", "7/1", "7//3", "7/1/3" or "-1" (the last point so far), counted from 0.
fn obj_corner(word: &str, points: usize) -> Result<u32, String> {
    let number = word.split('/').next().unwrap_or_default();
    let index: i64 = number.parse().map_err(|_| format!("corner \"{word}\" is not a number of a point"))?;
    let from_0 = if index < 0 { points as i64 + index } else { index - 1 };
    u32::try_from(from_0).map_err(|_| format!("corner {index} is not a point; the first is 1"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square() -> Skin {
        let points = [[0.0, 0.0, 0.5], [100.25, 0.0, 0.0], [100.25, 50.0, 0.0], [0.0, 50.0, 0.0]];
        Skin { points_mm: points.map(DVec3::from).to_vec(), triangles: vec![[0, 1, 2], [0, 2, 3]] }
    }

    #[test]
    fn the_three_formats_give_the_same_skin() {
        let obj = "# square\nv 0 0 0.5\nv 100.25 0 0\nv 100.25 50 0\nv 0 50 0\nvn 0 0 1\nf 1//1 2//1 3//1 -1//1\n";
        assert_eq!(read(obj.as_bytes(), MeshFormat::Obj), Ok(square()));
        let ply = "ply\nformat ascii 1.0\nelement vertex 4\nproperty double x\nproperty double y\nproperty float z\nproperty uchar red\n\
                   element face 1\nproperty list uchar int vertex_indices\nend_header\n\
                   0 0 0.5 7\n100.25 0 0 7\n100.25 50 0 7\n0 50 0 7\n4 0 1 2 3\n";
        assert_eq!(read(ply.as_bytes(), MeshFormat::Ply), Ok(square()));
        let mut stl = b"80 bytes of header".to_vec();
        stl.resize(80, b' ');
        stl.extend(2u32.to_le_bytes());
        for triangle in square().triangles {
            stl.extend([0u8; 12]);
            for i in triangle {
                let at = square().points_mm[i as usize];
                stl.extend([at.x, at.y, at.z].iter().flat_map(|v| (*v as f32).to_le_bytes()));
            }
            stl.extend([0u8; 2]);
        }
        assert_eq!(read(&stl, MeshFormat::Stl), Ok(square()));
    }

    /// What a person must mend, not the state of a parser.
    #[test]
    fn a_faulty_ply_is_named_in_words() {
        let words = |text: &str| read(text.as_bytes(), MeshFormat::Ply).unwrap_err().to_string();
        let head = "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\n\
                    element face 1\nproperty list uchar int vertex_indices\nend_header\n";
        assert!(words("").contains("is empty"), "{}", words(""));
        let spoiled = format!("{head}0 0 0\noops 0 0\n0 9 0\n3 0 1 2\n");
        assert!(words(&spoiled).contains("its points cannot be read"), "{}", words(&spoiled));
        assert!(!words(&spoiled).contains("ParseError") && !words("solid").contains("ParseError"));
        let none = head.replace("vertex 3", "vertex 0").replace("face 1", "face 0");
        assert!(words(&none).contains("no point"), "{}", words(&none));
    }

    /// A square whose two halves write a corner as 0.0 and as −0.0 is one sheet: its points are joined.
    #[test]
    fn zero_and_minus_zero_are_one_place() {
        let mut stl = vec![b' '; 80];
        stl.extend(2u32.to_le_bytes());
        let zero = [0.0f32, -0.0];
        for (half, corners) in
            [[[0.0f32, 0.0], [90.0, 0.0], [90.0, 90.0]], [[0.0, 0.0], [90.0, 90.0], [0.0, 90.0]]].iter().enumerate()
        {
            stl.extend([0u8; 12]);
            for [x, y] in corners {
                let sign = |v: f32| if v == 0.0 { zero[half] } else { v };
                stl.extend([sign(*x), sign(*y), zero[half]].iter().flat_map(|v| v.to_le_bytes()));
            }
            stl.extend([0u8; 2]);
        }
        let skin = read(&stl, MeshFormat::Stl).unwrap();
        assert_eq!(skin.points_mm.len(), 4);
        assert_eq!(skin.topology().unwrap().boundaries.len(), 1);
    }

    #[test]
    fn broken_files_are_named() {
        let ply = |count: u64, list: &str| {
            format!(
                "ply\nformat binary_little_endian 1.0\nelement vertex {count}\nproperty float x\nproperty float y\nproperty float z\n\
                     element face 1\nproperty list {list} int vertex_indices\nend_header\n"
            )
        };
        for text in [ply(4_000_000_000_000, "uchar"), ply(1, "int"), ply(3, "uchar"), "ply\n".into(), String::new()] {
            let fault = read(text.as_bytes(), MeshFormat::Ply);
            assert!(matches!(fault, Err(ImportError::Unreadable { .. })), "{text}: {fault:?}");
        }
        assert!(read(b"solid\nfacet", MeshFormat::Stl).is_err());
        let line = |text: &str| read(text.as_bytes(), MeshFormat::Obj).unwrap_err().to_string();
        assert_eq!(line("v 1 2 inch"), "line 1 of the OBJ file: z is \"inch\", not a number");
        assert_eq!(line("v 1 2 3\nf 0 1 1"), "line 2 of the OBJ file: corner 0 is not a point; the first is 1");
        assert!(line("hello").contains("no point"));
    }

    /// Not finite numbers and faces of missing points pass the reader and are named by the check of the skin.
    #[test]
    fn what_a_reader_lets_through_is_named_afterwards() {
        let nan = read(b"v nan 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", MeshFormat::Obj).unwrap();
        assert_eq!(nan.topology().unwrap_err().to_string(), "point 0 is not finite");
        let missing = read(b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n", MeshFormat::Obj).unwrap();
        assert!(missing.topology().unwrap_err().to_string().contains("does not exist"));
    }

    #[test]
    fn formats_go_by_the_ending() {
        assert_eq!(MeshFormat::of_name("roof corner.PLY"), Some(MeshFormat::Ply));
        assert_eq!(MeshFormat::of_name("roof"), None);
    }
}
