//! Why it rusted, what is changed so that it does not rust again, and how the repair is protected.
//!
//! All of it is common practice without a published source. Drying times are the product's own; a line says when one
//! must be kept.

use crate::concern::{Concern, Grade};
use crate::joints::JointKind;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The change that only a piece with a curl or a hem can have.
pub const COAT_CLOSED_EDGE: &str = "coat the wire and the inside of the curl before they are closed";

/// Why metal rusted or was lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Cause {
    /// Mud thrown up by a wheel lies on a ledge and stays wet.
    ThrownMud,
    /// A drain is blocked or missing.
    BlockedDrain,
    /// Water is held in a hem, a lap or a wired edge.
    WaterHeldInEdge,
    /// The face was never painted.
    NeverPainted,
    /// Acid from a battery or from an old treatment.
    Acid,
    /// Stones chip the paint.
    StoneChips,
    /// Old filler holds water against the metal.
    OldFiller,
}

/// What is said about a cause.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct CauseAdvice {
    /// The cause in a few words.
    pub name: &'static str,
    /// By what it is known.
    pub signs: &'static str,
    /// What is changed, most useful first.
    pub changes: &'static [&'static str],
}

impl Cause {
    /// Every cause.
    pub const ALL: &'static [Self] = &[
        Self::ThrownMud,
        Self::BlockedDrain,
        Self::WaterHeldInEdge,
        Self::NeverPainted,
        Self::Acid,
        Self::StoneChips,
        Self::OldFiller,
    ];

    /// Signs and changes.
    pub const fn advice(self) -> CauseAdvice {
        match self {
            Self::ThrownMud => CauseAdvice {
                name: "mud thrown up by the wheel",
                signs: "rust on a ledge or behind an edge in line with a wheel, worst from inside, dry mud behind it",
                changes: &[
                    "fit or renew a shield that keeps mud off the ledge",
                    "let laps shed downward and away from the wheel",
                    "seal the gap behind the edge, stone-chip coat, and wash the ledge out each season",
                ],
            },
            Self::BlockedDrain => CauseAdvice {
                name: "blocked or missing drain",
                signs: "rust along the lowest line, a tide mark, silt in the drain",
                changes: &[
                    "put a drain at the lowest point as the vehicle stands, at least 8 mm or a slot of 6 × 20 mm",
                    "turn the drain's lip outward so that water drips clear",
                    "tell the owner where the drains are and how to clear them",
                ],
            },
            Self::WaterHeldInEdge => CauseAdvice {
                name: "water held in the edge",
                signs: "rust from inside a hem, lap or wired edge, bubbles along the fold, wire rusted through first",
                changes: &[
                    "close the edge with sealer on both sides, or leave it open to drain at its lowest point; never half",
                    COAT_CLOSED_EDGE,
                    "run wax into the fold after paint",
                ],
            },
            Self::NeverPainted => CauseAdvice {
                name: "never painted",
                signs: "even rust on a hidden face without any trace of primer",
                changes: &["prime and paint the hidden face before assembly", "run wax in where paint cannot reach"],
            },
            Self::Acid => CauseAdvice {
                name: "acid",
                signs: "deep pits below a battery or where rust was treated, white or green salt",
                changes: &[
                    "neutralise and rinse what stays, dry it, and prime it the same day",
                    "stand the battery in a tray with a drain led outside",
                ],
            },
            Self::StoneChips => CauseAdvice {
                name: "stone chips",
                signs: "spots from outside on faces towards the wheels or the road",
                changes: &["stone-chip coat under the paint", "touch up chips each season"],
            },
            Self::OldFiller => CauseAdvice {
                name: "old filler or an old patch",
                signs: "thick filler, cracks in the paint, rust under its edge, a patch over old metal",
                changes: &[
                    "cut back to sound metal, never patch over rust",
                    "fill over primer only, and as thin as the metal work allows",
                ],
            },
        }
    }
}

/// What must be protected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Protect {
    /// Joint along the cut edge.
    pub joint: JointKind,
    /// Whether the back can be reached after assembly.
    pub back_reachable: bool,
    /// Whether the piece has a fold that closes on itself: hem or wired edge.
    pub closed_edge: bool,
    /// Whether a lap can be sealed on both sides.
    pub sealed_both_sides: bool,
}

/// When a line of protection is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum When {
    /// On the bench, before the piece goes in.
    BeforeAssembly,
    /// While it is put together.
    DuringAssembly,
    /// After the last weld or bolt, before paint.
    AfterJoining,
    /// After paint.
    AfterPaint,
}

/// One line of the protection plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct ProtectionLine {
    /// When.
    pub when: When,
    /// Where.
    pub place: &'static str,
    /// What to do.
    pub what: &'static str,
    /// What to wait for before the next step, empty for nothing.
    pub wait: &'static str,
}

const fn line(when: When, place: &'static str, what: &'static str, wait: &'static str) -> ProtectionLine {
    ProtectionLine { when, place, what, wait }
}

const PRIMER_WAIT: &str = "let the primer dry as its data sheet says before the next step";
const SEALER_WAIT: &str = "let the sealer skin or cure as its data sheet says before paint";

/// Lines of protection in the order of work. What can never be reached afterwards comes first.
pub fn protection_lines(protect: Protect) -> Vec<ProtectionLine> {
    let mut lines = vec![line(
        When::BeforeAssembly,
        "both faces of the piece",
        "degrease, abrade and dry; no bare face leaves the bench",
        "",
    )];
    if protect.closed_edge {
        lines.push(line(
            When::BeforeAssembly,
            "inside of the fold, and the wire",
            "epoxy primer before the edge is closed; it can never be reached afterwards",
            PRIMER_WAIT,
        ));
    }
    if !protect.back_reachable {
        lines.push(line(
            When::BeforeAssembly,
            "back of the piece and the old metal behind it",
            "epoxy primer and paint now, clear of the weld by 25 mm; it can never be reached afterwards",
            PRIMER_WAIT,
        ));
    }
    lines.extend(joint_lines(protect.joint));
    if protect.joint.is_lap() {
        lines.push(line(When::AfterJoining, "outer edge of the lap", "seam sealer, worked in", SEALER_WAIT));
        if protect.sealed_both_sides {
            lines.push(line(When::AfterJoining, "inner edge of the lap", "seam sealer, worked in", SEALER_WAIT));
        }
    }
    let back = if protect.back_reachable {
        "back of the joint"
    } else {
        "cavity behind the joint, through a drain or a plugged hole"
    };
    lines.push(line(When::AfterPaint, back, "cavity wax, until it runs out of the drains; then clear the drains", ""));
    lines.sort_by_key(|line| line.when);
    lines
}

fn joint_lines(joint: JointKind) -> Vec<ProtectionLine> {
    use When::{AfterJoining, BeforeAssembly, DuringAssembly};
    let epoxy_after =
        line(AfterJoining, "weld and bare metal beside it", "clean to bright metal, epoxy primer", PRIMER_WAIT);
    match joint {
        JointKind::Butt => vec![epoxy_after],
        JointKind::SteppedLapPlug | JointKind::PlainLap => vec![
            line(
                BeforeAssembly,
                "lap faces",
                "weldable primer between the faces, removed round every plug for 10 mm: zinc in it burns to fume",
                PRIMER_WAIT,
            ),
            epoxy_after,
        ],
        JointKind::SteppedLapSpot | JointKind::PlainLapSpot => vec![
            line(BeforeAssembly, "lap faces", "weldable primer, thin and even, on both faces", PRIMER_WAIT),
            epoxy_after,
        ],
        JointKind::BondedLap => vec![
            line(
                BeforeAssembly,
                "lap faces",
                "prepare as the adhesive's data sheet says; epoxy primer up to the lap",
                PRIMER_WAIT,
            ),
            line(
                DuringAssembly,
                "lap",
                "adhesive over the whole lap, no bare strip at its edges",
                "clamp until the adhesive has cured",
            ),
        ],
        JointKind::BoltedFlange => vec![
            line(BeforeAssembly, "mating faces and holes", "epoxy primer and paint, holes included", PRIMER_WAIT),
            line(
                DuringAssembly,
                "between the flanges",
                "seam sealer or the original strip; bolts greased or waxed",
                "",
            ),
        ],
    }
}

/// Caution for a lap that cannot be sealed on both sides; none for any other joint.
pub fn unsealed_lap(protect: Protect, place: &str) -> Option<Concern> {
    (protect.joint.is_lap() && !protect.sealed_both_sides).then(|| Concern {
        key: "lap-sealed-on-one-side".to_owned(),
        grade: Grade::Caution,
        place: place.to_owned(),
        what: "The lap can be sealed on one side only.".to_owned(),
        why: "Water creeps in from the other side and stays between the sheets.".to_owned(),
        what_to_do: "Weldable primer on both faces before assembly, let the lap shed downward, wax it from behind; or butt the joint."
            .to_owned(),
        lifted_by: None,
        source: "common practice, no source".to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAP: Protect = Protect {
        joint: JointKind::SteppedLapPlug,
        back_reachable: false,
        closed_edge: true,
        sealed_both_sides: false,
    };

    #[test]
    fn what_cannot_be_reached_later_comes_before_assembly() {
        let lines = protection_lines(LAP);
        assert!(lines.is_sorted_by_key(|line| line.when));
        let never_again = lines.iter().filter(|line| line.what.contains("never be reached"));
        assert!(never_again.clone().count() == 2 && never_again.clone().all(|line| line.when == When::BeforeAssembly));
    }

    #[test]
    fn a_lap_sealed_on_one_side_is_a_caution() {
        assert_eq!(unsealed_lap(LAP, "upper lap").unwrap().grade, Grade::Caution);
        assert_eq!(unsealed_lap(Protect { sealed_both_sides: true, ..LAP }, "upper lap"), None);
        assert_eq!(unsealed_lap(Protect { joint: JointKind::Butt, ..LAP }, "seam"), None);
    }

    #[test]
    fn every_cause_changes_something() {
        for cause in Cause::ALL {
            assert!(!cause.advice().changes.is_empty());
        }
    }
}
