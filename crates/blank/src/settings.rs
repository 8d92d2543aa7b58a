//! What the shop chooses once for every development.

use crate::strip::StripSettings;
use handbook::bend::Rule;
use handbook::materials::Material;
use handbook::springback::Elastic;
use handbook::tolerances::ToleranceClass;
use serde::{Deserialize, Serialize};

/// Settings of a development. The default is DIN 6935, curves within 0.01 mm, ISO 2768-m and a 3 mm pilot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct DevelopSettings {
    /// Rule for bend allowances.
    pub bend_rule: Rule,
    /// Largest distance between a curve and the chords that stand for it in the flat.
    pub sampling_tolerance_mm: f64,
    /// Yield point and modulus for springback; `None` takes the handbook's for the piece's material.
    pub springback: Option<Elastic>,
    /// Class of ISO 2768-1 for check dimensions.
    pub tolerance_class: ToleranceClass,
    /// Pilot where a hole cannot be cut full size in the flat.
    pub pilot_hole_mm: f64,
    /// Choices for strips: held line, trim, wire ends, limits.
    pub strip: StripSettings,
}

impl Default for DevelopSettings {
    fn default() -> Self {
        Self {
            bend_rule: Rule::default(),
            sampling_tolerance_mm: 0.01,
            springback: None,
            tolerance_class: ToleranceClass::Medium,
            pilot_hole_mm: 3.0,
            strip: StripSettings::default(),
        }
    }
}

impl DevelopSettings {
    /// Yield point and modulus for a material key; `None` when neither the settings nor the handbook know it.
    #[must_use]
    pub fn elastic(&self, material: &str) -> Option<Elastic> {
        self.springback.or_else(|| {
            let properties = material_of(material)?.properties();
            Some(Elastic { yield_n_mm2: properties.yield_n_mm2, young_n_mm2: properties.young_n_mm2 })
        })
    }
}

/// The handbook's material behind a key; `None` when there is none.
#[must_use]
pub fn material_of(key: &str) -> Option<Material> {
    Material::ALL.iter().copied().find(|material| material.key() == key)
}

/// A material as printed: the handbook's name without its older ones ("DC04", "zinc-coated steel, drawing quality"). A key that
/// the handbook does not know stands as it was written.
#[must_use]
pub fn material_name(key: &str) -> String {
    let name = material_of(key).map_or(key, |material| material.properties().name);
    name.split(" (").next().unwrap_or(name).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_material_is_printed_by_its_name_and_never_by_its_key() {
        for (key, printed) in
            [("dc04", "DC04"), ("mild_steel", "mild steel"), ("stainless18_8", "stainless steel 18-8")]
        {
            assert_eq!(material_name(key), printed);
        }
        assert_eq!(material_name("old tin"), "old tin");
    }

    #[test]
    fn springback_comes_from_the_material_unless_set() {
        let settings = DevelopSettings::default();
        assert_eq!(settings.elastic("dc04").map(|metal| metal.young_n_mm2), Some(210_000.0));
        assert_eq!(settings.elastic("unobtainium"), None);
        let own = Elastic { yield_n_mm2: 300.0, young_n_mm2: 200_000.0 };
        assert_eq!(DevelopSettings { springback: Some(own), ..settings }.elastic("dc04"), Some(own));
    }
}
