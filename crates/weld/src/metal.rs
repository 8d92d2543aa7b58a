//! The metal as welding sees it: asked first, then its constants.
//!
//! No heat is computed before somebody has said how the metal was found out; a metal without constants gets none, least of all
//! those of steel.

use handbook::cautions::Circumstance;
use handbook::materials::Material;
use handbook::welding::{Thermal, thermal};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a magnet does on the bare metal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Magnet {
    /// It sticks hard.
    Sticks,
    /// It does not stick.
    DoesNotStick,
}

/// What a stroke with a fine file on an edge shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FileMark {
    /// Grey and bright, the file bites evenly.
    GreyFirm,
    /// Silvery white and soft, the file clogs.
    WhiteSoft,
    /// Bright and hard, the file skates.
    BrightHard,
    /// Yellow or red.
    YellowOrRed,
}

/// Trials on the vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct MetalTrials {
    /// The magnet, when it was tried.
    pub magnet: Option<Magnet>,
    /// The file, when it was tried.
    pub file_mark: Option<FileMark>,
}

/// How the metal was found out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FoundBy {
    /// Nobody has said.
    #[default]
    NotAsked,
    /// By trials.
    Trials(MetalTrials),
    /// By the certificate of the sheet or the papers of the vehicle.
    Papers,
}

/// What to ask, in the order of asking.
pub const QUESTIONS: [&str; 2] = [
    "Does a magnet stick on the bare metal? (paint and filler off; on filler it does not stick)",
    "Draw a fine file once over an edge: grey and firm, silvery white and soft, bright and hard, or yellow or red?",
];

/// Kind of metal that has constants here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MetalKind {
    /// Plain or zinc-coated steel.
    Steel,
    /// Aluminium.
    Aluminium,
}

/// Why no heat is computed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum MetalError {
    /// The metal has not been found out.
    #[error("the metal is not known yet, so no heat is computed; ask: {question}")]
    NotAsked {
        /// What to ask next.
        question: &'static str,
    },
    /// A metal without constants.
    #[error(
        "not computed for this metal: {metal}; heat and shrinkage are known for plain or zinc-coated steel and for aluminium"
    )]
    NotComputed {
        /// Which.
        metal: String,
    },
    /// Trials that do not go together, or not with what the job says.
    #[error("{said}, but {found}; try again on bare metal, or correct the material")]
    DoesNotAgree {
        /// What is said.
        said: String,
        /// What was found.
        found: String,
    },
}

impl MetalTrials {
    /// The kind of metal that the trials show. A magnet that sticks is enough unless the file contradicts it.
    ///
    /// # Errors
    /// [`MetalError`]: a trial is missing, contradicts another, or shows a metal without constants.
    pub fn kind(&self) -> Result<MetalKind, MetalError> {
        let not_computed = |metal: &str| MetalError::NotComputed { metal: metal.to_owned() };
        match (self.magnet, self.file_mark) {
            (None, _) => Err(MetalError::NotAsked { question: QUESTIONS[0] }),
            (Some(Magnet::Sticks), None | Some(FileMark::GreyFirm)) => Ok(MetalKind::Steel),
            (Some(Magnet::Sticks), Some(FileMark::BrightHard)) => {
                Err(not_computed("magnetic stainless or hardened steel"))
            }
            (Some(Magnet::Sticks), Some(mark)) => Err(MetalError::DoesNotAgree {
                said: "a magnet sticks".to_owned(),
                found: format!("the file mark is {}", mark.name()),
            }),
            (Some(Magnet::DoesNotStick), None) => Err(MetalError::NotAsked { question: QUESTIONS[1] }),
            (Some(Magnet::DoesNotStick), Some(FileMark::WhiteSoft)) => Ok(MetalKind::Aluminium),
            (Some(Magnet::DoesNotStick), Some(FileMark::BrightHard)) => Err(not_computed("stainless steel")),
            (Some(Magnet::DoesNotStick), Some(FileMark::YellowOrRed)) => Err(not_computed("copper, brass or bronze")),
            (Some(Magnet::DoesNotStick), Some(FileMark::GreyFirm)) => {
                Err(not_computed("a grey metal that is not magnetic (manganese steel, zinc or magnesium alloy)"))
            }
        }
    }
}

impl FileMark {
    /// Name as printed.
    pub const fn name(self) -> &'static str {
        match self {
            Self::GreyFirm => "grey and firm",
            Self::WhiteSoft => "silvery white and soft",
            Self::BrightHard => "bright and hard",
            Self::YellowOrRed => "yellow or red",
        }
    }
}

/// A metal with all that heat and shrinkage need.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeldMetal {
    /// Which material.
    pub material: Material,
    /// Its kind.
    pub kind: MetalKind,
    /// Thermal constants.
    pub thermal: Thermal,
    /// Young's modulus.
    pub young_n_mm2: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Yield point, the middle of what the grade allows.
    pub yield_n_mm2: f64,
    /// Whether zinc burns off it.
    pub zinc_coated: bool,
}

impl WeldMetal {
    /// The metal of a job, once it has been found out and agrees with what was found.
    ///
    /// # Errors
    /// [`MetalError`].
    pub fn found(material: Material, found_by: FoundBy) -> Result<Self, MetalError> {
        let metal = Self::of(material)?;
        let found = match found_by {
            FoundBy::NotAsked => return Err(MetalError::NotAsked { question: QUESTIONS[0] }),
            FoundBy::Papers => metal.kind,
            FoundBy::Trials(trials) => trials.kind()?,
        };
        if found != metal.kind {
            let found = match found {
                MetalKind::Steel => "the trials show steel",
                MetalKind::Aluminium => "the trials show aluminium",
            };
            return Err(MetalError::DoesNotAgree {
                said: format!("the material is given as {}", material.properties().name),
                found: found.to_owned(),
            });
        }
        Ok(metal)
    }

    /// The metal of new sheet whose material is known.
    ///
    /// # Errors
    /// [`MetalError::NotComputed`].
    pub fn of(material: Material) -> Result<Self, MetalError> {
        let properties = material.properties();
        let thermal = thermal(material).ok_or_else(|| MetalError::NotComputed { metal: properties.name.to_owned() })?;
        Ok(Self {
            material,
            kind: if material.is_steel() { MetalKind::Steel } else { MetalKind::Aluminium },
            thermal,
            young_n_mm2: properties.young_n_mm2,
            poisson: properties.poisson,
            yield_n_mm2: properties.yield_n_mm2,
            zinc_coated: material == Material::ZincCoatedSteel,
        })
    }

    /// What the metal adds to the circumstances of a weld: zinc brings the cautions of its fume (C7, C8).
    pub fn circumstances(&self) -> impl Iterator<Item = Circumstance> {
        let zinc = self.zinc_coated.then_some(Circumstance::ZincCoated);
        [Circumstance::Welding].into_iter().chain(zinc)
    }

    /// Free contraction of a volume for each joule, α/ρc, mm³/J.
    pub fn contraction_mm3_j(&self) -> f64 {
        self.thermal.expansion_per_k / self.thermal.heat_capacity_j_mm3_k
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn trials(magnet: Magnet, file_mark: FileMark) -> FoundBy {
        FoundBy::Trials(MetalTrials { magnet: Some(magnet), file_mark: Some(file_mark) })
    }

    #[test]
    fn nothing_is_computed_before_the_metal_is_found_out() {
        let found = |by| WeldMetal::found(Material::MildSteel, by);
        assert!(matches!(found(FoundBy::default()), Err(MetalError::NotAsked { .. })));
        let only_file = MetalTrials { magnet: None, file_mark: Some(FileMark::GreyFirm) };
        assert!(matches!(found(FoundBy::Trials(only_file)), Err(MetalError::NotAsked { .. })));
        assert_eq!(found(FoundBy::Papers).unwrap().kind, MetalKind::Steel);
        let magnet = MetalTrials { magnet: Some(Magnet::Sticks), file_mark: None };
        assert_eq!(found(FoundBy::Trials(magnet)).unwrap().kind, MetalKind::Steel);
    }

    #[test]
    fn another_metal_is_named_and_never_gets_the_figures_of_steel() {
        let said = WeldMetal::of(Material::Stainless18_8).unwrap_err().to_string();
        assert!(said.contains("not computed for this metal: stainless steel 18-8"), "{said}");
        for mark in [FileMark::BrightHard, FileMark::YellowOrRed, FileMark::GreyFirm] {
            let found = WeldMetal::found(Material::MildSteel, trials(Magnet::DoesNotStick, mark));
            assert!(matches!(found, Err(MetalError::NotComputed { .. })), "{mark:?}");
        }
        let aluminium = trials(Magnet::DoesNotStick, FileMark::WhiteSoft);
        assert!(matches!(WeldMetal::found(Material::Dc04, aluminium), Err(MetalError::DoesNotAgree { .. })));
        let found = WeldMetal::found(Material::Aluminium1050aO, aluminium).unwrap();
        assert!(found.contraction_mm3_j() > 3.0 * WeldMetal::of(Material::Dc04).unwrap().contraction_mm3_j());
        let odd = trials(Magnet::Sticks, FileMark::WhiteSoft);
        assert!(matches!(WeldMetal::found(Material::Dc04, odd), Err(MetalError::DoesNotAgree { .. })));
    }

    #[test]
    fn zinc_is_steel_with_its_caution() {
        let zinc = WeldMetal::of(Material::ZincCoatedSteel).unwrap();
        assert_eq!(zinc.thermal, WeldMetal::of(Material::Dc01).unwrap().thermal);
        let cautions = handbook::cautions::cautions_for(&zinc.circumstances().collect());
        assert!(cautions.iter().any(|caution| caution.key == "C7"));
    }
}
