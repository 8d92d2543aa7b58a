//! What a mesh file says of itself in words: comments of PLY and OBJ, the name of an STL.
//!
//! Only the head of a file is looked at, so that its first [`HEAD_BYTES`] are enough. What the words mean is for the reader to say.

use crate::import::MeshFormat;

/// So much of a file holds what it says of itself.
pub const HEAD_BYTES: usize = 1 << 16;
/// How the note begins of a mesh that nothing may be cut from.
pub const NOT_TO_CUT_FROM: &str = "not to be cut from";

/// The notes of a mesh file, a line each, trimmed; none where it says nothing.
#[must_use]
pub fn read(bytes: &[u8], format: MeshFormat) -> Vec<String> {
    let head = bytes.get(..HEAD_BYTES).unwrap_or(bytes);
    let lines = head.split(|byte| *byte == b'\n').map(|line| String::from_utf8_lossy(line).trim().to_owned());
    let said = |line: &str, word: &str| line.strip_prefix(word).map(|rest| rest.trim().to_owned());
    let notes: Vec<String> = match format {
        MeshFormat::Ply => {
            let header = lines.take_while(|line| line != "end_header");
            header.filter_map(|line| said(&line, "comment ").or_else(|| said(&line, "obj_info "))).collect()
        }
        MeshFormat::Obj => {
            let before = lines.take_while(|line| line.is_empty() || line.starts_with('#'));
            before.filter_map(|line| said(&line, "#")).collect()
        }
        MeshFormat::Stl => {
            let name = String::from_utf8_lossy(head.get(..80).unwrap_or(head)).into_owned();
            let name = name.split(['\n', '\0']).next().unwrap_or_default().trim().to_owned();
            vec![said(&name, "solid ").unwrap_or(name)]
        }
    };
    notes.into_iter().filter(|note| !note.is_empty()).collect()
}

/// The note by which a mesh forbids that anything is cut from it.
#[must_use]
pub fn forbids(notes: &[String]) -> Option<&str> {
    notes.iter().map(String::as_str).find(|note| note.starts_with(NOT_TO_CUT_FROM))
}

/// The face of the sheet that a mesh says it is: "outside", "middle" or "inside", where a note begins "outside face of the sheet".
#[must_use]
pub fn face_word(notes: &[String]) -> Option<&'static str> {
    let begins = |word: &str| notes.iter().any(|note| note.starts_with(&format!("{word} face of the sheet")));
    ["outside", "middle", "inside"].into_iter().find(|word| begins(word))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Skin;
    use crate::export;
    use glam::DVec3;

    #[test]
    fn what_was_written_is_read_again() {
        let points = [[0.0, 0.0, 0.0], [90.0, 0.0, 0.0], [0.0, 90.0, 0.0]];
        let skin = Skin { points_mm: points.map(DVec3::from).to_vec(), triangles: vec![[0, 1, 2]] };
        let notes = ["outside face of the sheet, mm", "not to be cut from: station 60: a slip"];
        for format in [MeshFormat::Ply, MeshFormat::Obj] {
            let bytes = export::write(&skin, format, &notes, None).unwrap();
            let read = read(&bytes, format);
            assert!(notes.iter().all(|note| read.iter().any(|own| own == note)), "{format:?}: {read:?}");
            assert_eq!(forbids(&read), Some(notes[1]));
            assert_eq!(face_word(&read), Some("outside"));
        }
        assert_eq!(face_word(&["a face of the sheet".to_owned()]), None);
        assert_eq!(read(b"solid roof\nfacet", MeshFormat::Stl), ["roof"]);
        assert!(read(b"ply\nformat ascii 1.0\nend_header\ncomment 1 2\n", MeshFormat::Ply).is_empty());
    }
}
