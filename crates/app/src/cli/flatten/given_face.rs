//! Which face of the sheet a mesh is of: said by the option, or by the file, or taken as the middle; and said to the reader which.

use crate::cli::face::WhichFace;
use handbook::{Concern, Grade};

/// A face with how it is known.
#[derive(Debug, Clone)]
pub struct GivenFace {
    /// The face.
    pub face: WhichFace,
    /// "as its file says".
    pub known: &'static str,
    /// What the file says where the option says otherwise.
    otherwise: Option<WhichFace>,
}

impl GivenFace {
    /// From the option and from what the file says of itself.
    pub fn of(option: Option<WhichFace>, notes: &[String]) -> Self {
        let said = mesh::notes::face_word(notes).and_then(of_word);
        match (option, said) {
            (Some(face), said) => Self { face, known: "as --face says", otherwise: said.filter(|said| *said != face) },
            (None, Some(face)) => Self { face, known: "as its file says", otherwise: None },
            (None, None) => Self { face: WhichFace::Middle, known: "nothing says otherwise: --face", otherwise: None },
        }
    }

    /// An option that contradicts the file.
    pub fn concern(&self) -> Option<Concern> {
        let said = self.otherwise?;
        let (own, other) = (word(self.face), word(said));
        Some(Concern {
            key: "mesh-face".into(),
            grade: Grade::Caution,
            place: "the whole mesh".into(),
            what: format!("--face says the {own} face of the sheet, the file itself the {other} one"),
            why: "the flat of the wrong face is too large or too small by half a thickness of offset".into(),
            what_to_do: "leave --face out, unless the file is wrong".into(),
            lifted_by: None,
            source: String::new(),
        })
    }
}

fn of_word(said: &str) -> Option<WhichFace> {
    [WhichFace::Outside, WhichFace::Middle, WhichFace::Inside].into_iter().find(|face| word(*face) == said)
}

/// The word of a face.
pub fn word(face: WhichFace) -> &'static str {
    match face {
        WhichFace::Outside => "outside",
        WhichFace::Middle => "middle",
        WhichFace::Inside => "inside",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_says_it_unless_the_option_does() {
        let notes = ["a scan".to_owned(), "outside face of the sheet, mm".to_owned()];
        let from_file = GivenFace::of(None, &notes);
        assert!(from_file.face == WhichFace::Outside && from_file.concern().is_none());
        assert!(GivenFace::of(Some(WhichFace::Outside), &notes).concern().is_none());
        let against = GivenFace::of(Some(WhichFace::Middle), &notes);
        assert!(against.face == WhichFace::Middle && against.concern().is_some());
        assert_eq!(GivenFace::of(None, &[]).face, WhichFace::Middle);
    }
}
