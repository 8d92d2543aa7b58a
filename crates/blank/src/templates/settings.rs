//! Sizes of cards: shop settings, no source.

use super::TemplateError;
use mesh::sections::FitSettings;

/// How cards, slices and forms are shaped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CardSettings {
    /// Depth from the highest point of the working edge to the straight back, mm; 60 to 400.
    pub depth_mm: f64,
    /// How far the card goes on straight past the edges of the section, mm; 0 to 100.
    pub overrun_mm: f64,
    /// How far the card is cut back where it bridges a hole of the skin, mm; 1 to 50.
    pub relief_mm: f64,
    /// Radius of the corners of the back, mm; 0 to 25.
    pub corner_radius_mm: f64,
    /// How close the working edge keeps to the section.
    pub curve: FitSettings,
}

impl Default for CardSettings {
    fn default() -> Self {
        Self { depth_mm: 80.0, overrun_mm: 10.0, relief_mm: 5.0, corner_radius_mm: 10.0, curve: FitSettings::default() }
    }
}

impl CardSettings {
    /// Checks the ranges.
    ///
    /// # Errors
    /// [`TemplateError::OutOfRange`].
    pub fn check(&self) -> Result<(), TemplateError> {
        TemplateError::range("the depth of the card", self.depth_mm, 60.0..=400.0, "mm")?;
        TemplateError::range("the overrun of the card", self.overrun_mm, 0.0..=100.0, "mm")?;
        TemplateError::range("the relief at a hole", self.relief_mm, 1.0..=50.0, "mm")?;
        TemplateError::range("the radius of the corners", self.corner_radius_mm, 0.0..=25.0, "mm")?;
        TemplateError::range("the tolerance of the curve", self.curve.tolerance_mm, 1e-4..=1.0, "mm")?;
        TemplateError::range("the chord error of the mesh", self.curve.chord_error_mm, 0.0..=1.0, "mm")?;
        Ok(())
    }
}
