//! A skin moved to the face of the sheet that a template touches.

use super::TemplateError;
use mesh::Skin;
use mesh::sections::SectionCutter;
use section::Face;

/// The face of the sheet that is touched, or what lies between it and the template.
#[derive(Debug, Clone, PartialEq)]
pub struct FacedSkin {
    skin: Skin,
    touches: Face,
}

impl FacedSkin {
    /// Moves a skin from the face it is given at to the face that is touched, and on by `between_mm` away from the sheet (felt,
    /// a cover; 0 when the template touches the sheet).
    ///
    /// A chosen middle is that of the sheet, for figures only; nothing lies between then.
    ///
    /// # Errors
    /// [`TemplateError::Section`] for a faulty skin, [`TemplateError::OutOfRange`], [`TemplateError::TurnsOver`].
    pub fn new(
        skin: &Skin,
        given_at: Face,
        thickness_mm: f64,
        touches: Face,
        between_mm: f64,
    ) -> Result<Self, TemplateError> {
        TemplateError::range("the thickness", thickness_mm, 0.2..=6.0, "mm")?;
        let most_between = if touches == Face::Middle { 0.0 } else { 100.0 };
        TemplateError::range("what lies between", between_mm, 0.0..=most_between, "mm")?;
        SectionCutter::new(skin).map_err(TemplateError::at("the skin"))?;
        let half = |face| match face {
            Face::Outside => 0.5,
            Face::Middle => 0.0,
            Face::Inside => -0.5,
        };
        let away = if touches == Face::Inside { -between_mm } else { between_mm };
        let distance_mm = (half(touches) - half(given_at)) * thickness_mm + away;
        let moved = if distance_mm == 0.0 { skin.clone() } else { skin.offset(distance_mm) };
        let turned =
            (0..moved.triangles.len()).find(|&t| moved.double_area_normal(t).dot(skin.double_area_normal(t)) <= 0.0);
        if let Some(triangle) = turned {
            return Err(TemplateError::TurnsOver { distance_mm, at_mm: skin.corners(triangle)[0] });
        }
        Ok(Self { skin: moved, touches })
    }

    /// The moved skin.
    #[must_use]
    pub fn skin(&self) -> &Skin {
        &self.skin
    }

    /// The face that is touched.
    #[must_use]
    pub fn touches(&self) -> Face {
        self.touches
    }

    pub(super) fn cutter(&self, place: &str) -> Result<SectionCutter<'_>, TemplateError> {
        SectionCutter::new(&self.skin).map_err(TemplateError::at(place))
    }
}

/// A face in words.
pub(super) fn face_words(face: Face) -> &'static str {
    match face {
        Face::Outside => "outside",
        Face::Middle => "middle",
        Face::Inside => "inside",
    }
}
