//! Cautions: where the work can hurt somebody or must not be done without a competent person.
//!
//! The texts are our own. They defer to local rules and to licensed people; a limit is quoted with the country that set
//! it. Which cautions apply follows from the circumstances of a piece, so that the same ones stand on every paper.

mod table;

use crate::concern::Concern;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use table::{CAUTIONS, Caution};

/// Something about a piece or its place that calls for a caution.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Circumstance {
    /// Sheet is cut, drilled or handled with raw edges.
    RawEdges,
    /// A disc cuts or grinds.
    Grinding,
    /// Something is welded or heated with a torch.
    Welding,
    /// It is welded with TIG or another open arc.
    OpenArc,
    /// Zinc-coated sheet, new or old.
    ZincCoated,
    /// Stainless sheet, or primer with chromate.
    Stainless,
    /// Chlorinated solvent (brake cleaner) was used near.
    ChlorinatedSolvent,
    /// Fuel or gas lines, or a tank, near the work.
    FuelNear,
    /// The piece itself held fuel or gas.
    FuelVessel,
    /// A battery is connected or stands near the work.
    Battery,
    /// A battery is charged in the room.
    BatteryCharging,
    /// Acid is used against rust.
    Acid,
    /// A closed tube or box section.
    ClosedSection,
    /// Old sealer, underseal or lagging of unknown kind.
    OldSealer,
    /// Old paint or body solder of unknown kind.
    OldPaint,
    /// A joint made with adhesive.
    BondedJoint,
    /// Two-pack paint is heated or sprayed.
    TwoPackPaint,
    /// Heavy or sprung parts are unbolted; work under the vehicle.
    Unbolting,
    /// Blasting.
    Blasting,
    /// Work within 300 mm of a mounting of brakes, steering, suspension, seat, belt, hinge, catch, jacking, towing or
    /// lifting point, or on a part that carries load.
    NearMounting,
    /// A stamped or plated identity number is on the metal to be cut.
    IdentityNumber,
    /// Bonded glass near a weld.
    BondedGlass,
}

/// The cautions that apply, gravest first, in the order of their ids; each once.
pub fn cautions_for(circumstances: &BTreeSet<Circumstance>) -> Vec<Concern> {
    let applies = |caution: &&Caution| {
        caution.when_any.iter().any(|row| row.iter().all(|circumstance| circumstances.contains(circumstance)))
    };
    let mut concerns: Vec<Concern> = CAUTIONS.iter().filter(applies).map(Caution::concern).collect();
    concerns.sort_by_key(|concern| std::cmp::Reverse(concern.grade)); // stable: ids stay in order
    concerns
}

impl Caution {
    fn concern(&self) -> Concern {
        Concern {
            key: self.id.to_owned(),
            grade: self.grade,
            place: "the work".to_owned(),
            what: self.what.to_owned(),
            why: self.why.to_owned(),
            what_to_do: self.what_to_do.to_owned(),
            lifted_by: self.lifted_by,
            source: self.source.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Circumstance as On;
    use super::*;
    use crate::concern::{Grade, LiftedBy};

    fn keys(circumstances: &[Circumstance]) -> Vec<String> {
        cautions_for(&circumstances.iter().copied().collect()).into_iter().map(|concern| concern.key).collect()
    }

    #[test]
    fn a_fuel_vessel_is_a_stop_for_a_competent_person_only() {
        let concerns = cautions_for(&BTreeSet::from([On::FuelVessel, On::Welding]));
        let first = concerns.first().unwrap();
        assert_eq!((first.key.as_str(), first.grade), ("C14", Grade::Stop));
        assert_eq!(first.lifted_by, Some(LiftedBy::CompetentPerson));
    }

    #[test]
    fn zinc_matters_only_with_heat() {
        assert!(!keys(&[On::ZincCoated, On::RawEdges]).contains(&"C7".to_owned()));
        assert!(keys(&[On::ZincCoated, On::Welding]).contains(&"C7".to_owned()));
    }

    #[test]
    fn welding_brings_fire_watch_and_a_look_behind() {
        let keys = keys(&[On::Welding, On::OpenArc]);
        for id in ["C12", "C17", "C20"] {
            assert!(keys.contains(&id.to_owned()), "{id}");
        }
    }

    #[test]
    fn every_stop_says_who_may_lift_it_and_ids_are_unique() {
        let ids: BTreeSet<_> = CAUTIONS.iter().map(|caution| caution.id).collect();
        assert_eq!(ids.len(), CAUTIONS.len());
        for caution in &CAUTIONS {
            assert_eq!(caution.grade == Grade::Stop, caution.lifted_by.is_some(), "{}", caution.id);
            assert!(!caution.when_any.is_empty() && !caution.when_any.iter().any(|row| row.is_empty()));
        }
        assert!(cautions_for(&BTreeSet::new()).is_empty());
    }
}
