//! What the trade knows of each form of joint, in words: edges, access, kit, protection, parting the old one, records, faults.
//!
//! All of it is common practice without a source.

use super::JointForm;
use serde::Serialize;

/// Whether the faces and edges of a joint can be cleaned, coated and sealed once it is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sealable {
    /// No hidden face: both sides of the sheet, all of it.
    BothFaces,
    /// The lap faces are hidden: primed before; both edges sealed where the back is reached.
    EdgesWithAccess,
    /// Comes apart again: faces are painted before and sealed as they meet.
    ComesApart,
    /// The adhesive itself seals the lap.
    ByTheAdhesive,
}

impl Sealable {
    /// In one sentence, for a joint whose back can be reached afterwards or not.
    pub const fn words(self, back_reached: bool) -> &'static str {
        match (self, back_reached) {
            (Self::BothFaces, true) => "both sides can be cleaned, coated and looked at afterwards",
            (Self::BothFaces, false) => "the outside can be cleaned and coated; the back gets wax only",
            (Self::EdgesWithAccess, true) => {
                "the faces of the lap are coated before they meet; both edges of the lap can be sealed"
            }
            (Self::EdgesWithAccess, false) => {
                "the faces of the lap are coated before they meet; only the outer edge of the lap can be sealed"
            }
            (Self::ComesApart, _) => "faces and holes are painted first, sealed as they meet, and can be opened again",
            (Self::ByTheAdhesive, true) => "the adhesive fills the lap; both edges are wiped full and coated",
            (Self::ByTheAdhesive, false) => "the adhesive fills the lap; what squeezes out behind cannot be wiped",
        }
    }
}

/// Words about one form of joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Particulars {
    /// How the edges are made ready, in order.
    pub preparation: &'static [&'static str],
    /// Which sides must be reached while it is made.
    pub access: &'static str,
    /// Kit needed, and practice.
    pub kit: &'static str,
    /// Cleaning, coating and sealing afterwards.
    pub sealable: Sealable,
    /// How the old joint or metal is parted.
    pub parting: &'static [&'static str],
    /// What is kept of the old one as a record.
    pub record: &'static [&'static str],
    /// What can go wrong.
    pub can_go_wrong: &'static [&'static str],
}

const SCRIBE_AND_FILE: &str =
    "cut outside the line with snips or a thin disc, file to the line, break the burr on both faces";
/// How far the faces are cleaned bright back from a joint that is welded, mm, as [`Particulars::preparation`] says it (common practice, no
/// source).
pub const BRIGHT_BACK_MM: f64 = 25.0;
const BRIGHT: &str = "clean both faces to bright metal 25 mm back from the joint";
const CLAMP_TIGHT: &str = "clamp so that no feeler goes between the sheets at any weld";
const KEEP_EDGE: &str = "keep the cut-off edge whole: it shows line, rust and how it was made";
const PRIME_LAP: &str = "weldable primer on both lap faces, off again for 10 mm round each weld";
const PHOTOGRAPH: &str = "photograph the old joint with a rule in the picture, from both sides";
const SPOTS: &str = "mark where each old spot weld was: measured from one end, and how many";

const LAP_FAULTS: &[&str] = &[
    "the lap stands off: the plug fills a gap, pulls a dimple and holds nothing",
    "the arc starts on the rim of the hole, not on the sheet behind: a cap that only looks like a weld",
    "bare metal left in the lap, or water that finds the upper edge: it rusts from inside",
];
const DRILL_SPOTS: &[&str] = &[
    "old spot welds: centre-punch, drill from the side that is thrown away, ease apart with a thin chisel; the old flange stays whole",
    "cut first 10 mm inside the waste to free it, then to the line",
];

const PUNCH: &str = "holes punched in the sheet nearest the torch, burr off both faces";
const SPOT_FAULT: &str =
    "rust, paint or a gap between the sheets: the spot spits and holds nothing, and cannot be seen to";

/// What laps with plugs have in common.
const PLUGGED: Particulars = Particulars {
    preparation: &[],
    access: "",
    kit: "",
    sealable: Sealable::EdgesWithAccess,
    parting: DRILL_SPOTS,
    record: &[KEEP_EDGE, PHOTOGRAPH, SPOTS],
    can_go_wrong: LAP_FAULTS,
};

/// What laps with resistance spots have in common.
const SPOTTED: Particulars = Particulars {
    preparation: &[
        SCRIBE_AND_FILE,
        "bright metal under every tip, both faces of both sheets",
        "weldable primer, thin and even, on both lap faces",
        CLAMP_TIGHT,
    ],
    access: "both faces at every spot: the tongs close over the lap",
    kit: "spot welder with tongs that reach; test buttons torn from offcuts first",
    can_go_wrong: &[SPOT_FAULT],
    ..PLUGGED
};

impl JointForm {
    /// What the trade knows of it.
    pub const fn particulars(self) -> Particulars {
        match self {
            Self::Butt => Particulars {
                preparation: &[
                    SCRIBE_AND_FILE,
                    "gap none to half the thickness all along, edges level within a quarter of it",
                    BRIGHT,
                    "copper behind, clamped, where the back is reached",
                ],
                access: "outside for the torch; the back for copper and dolly",
                kit: "TIG or gas, or wire in dots; hammer and dolly; practice on sheet as thin as this",
                sealable: Sealable::BothFaces,
                parting: &[
                    "cut 3 mm short of the line, offer the piece, then file both to meet",
                    "never cut old and new through together under a clamp that springs",
                ],
                record: &[KEEP_EDGE, PHOTOGRAPH],
                can_go_wrong: &[
                    "the gap closes or opens as the seam shrinks, and one edge climbs over the other",
                    "a hole burns where the gap is wide or the edge thin from rust",
                    "a long run in flat sheet buckles it; what is not planished hot stays",
                ],
            },
            Self::SteppedLapPlug => Particulars {
                preparation: &[SCRIBE_AND_FILE, PUNCH, BRIGHT, PRIME_LAP, CLAMP_TIGHT],
                access: "outside for the torch; the back for clamps, sealer and wax",
                kit: "gas-shielded wire is enough; the first weld to learn",
                ..PLUGGED
            },
            Self::SteppedLapSpot => Particulars {
                can_go_wrong: &[
                    SPOT_FAULT,
                    "current runs through the spot beside it when they stand too close",
                    "the tips leave dents in a face that shows",
                ],
                ..SPOTTED
            },
            Self::DoublerPlug => Particulars {
                preparation: &[
                    SCRIBE_AND_FILE,
                    PUNCH,
                    BRIGHT,
                    PRIME_LAP,
                    CLAMP_TIGHT,
                    "tack the visible edge between the plugs and, where it is reached, the edge behind",
                ],
                access: "outside for the torch; the back to tack the edge of the doubler",
                kit: "gas-shielded wire is enough",
                ..PLUGGED
            },
            Self::DoublerSpot => {
                Particulars { can_go_wrong: &[SPOT_FAULT, "the tongs do not reach over the doubler"], ..SPOTTED }
            }
            Self::BondedLap => BONDED,
            Self::BondedFlange => Particulars {
                parting: &[
                    "old adhesive: warm no further than its data sheet allows, in open air, and draw a wire or thin blade through; never grind or burn it",
                    "old spot welds: drill from the flange that is thrown away",
                ],
                record: &[PHOTOGRAPH, SPOTS, "write down the thickness of the old bond line, and its packers"],
                ..BONDED
            },
            Self::BoltedFlange => Particulars {
                preparation: &[
                    "faces flat within half a millimetre over a hand's width, holes opened with everything bolted up",
                    "primer and paint on faces and in holes, dry",
                    "spacers back in their old places; sealer or the original strip between",
                ],
                access: "both sides, for bolt and nut; one side where captive nuts stay",
                kit: "spanners only",
                sealable: Sealable::ComesApart,
                parting: &[
                    "penetrating oil, then heat only where nothing behind burns; saw or grind the nut, not the flange",
                    "mark bolts and packers before they come out",
                ],
                record: &[
                    "keep every packer and spacer, in a bag marked with its hole",
                    PHOTOGRAPH,
                    "write down the gap between the flanges at each bolt",
                ],
                can_go_wrong: &[
                    "a missing packer pulls the skin in when the bolt is tightened",
                    "bolts tightened from one end push the error to the other",
                    "paint scraped off in a hole: the flange rusts along its bolts again",
                ],
            },
            Self::SheetToTube => Particulars {
                preparation: &[
                    "cut the old wall short of the edge of the patch all round, so that a lap stays under it",
                    "holes punched in the patch, in the middle of the lap, burr off both faces",
                    "drain, blow through and vent the tube before any heat",
                    BRIGHT,
                    "pull down with hose clips until no feeler goes under the edge",
                ],
                access: "outside, all round the patch",
                kit: "gas-shielded wire or TIG; hose clips",
                sealable: Sealable::EdgesWithAccess,
                parting: &["drill the corners, saw between them; leave no sharp corner in the old wall"],
                record: &["keep the piece cut out: it shows how thin the wall was, and where", PHOTOGRAPH],
                can_go_wrong: &[
                    "steam or wax vapour shut in the tube blows the last plug out",
                    "the wall under the lap is thinner than it looks, and burns",
                    "welds all on one side bend the tube",
                ],
            },
            Self::FlangeUnderSkin => Particulars {
                preparation: &[
                    "cut the old flange off just above its bend, on flat metal",
                    "holes punched in the old skin, above the cut, burr off both faces",
                    BRIGHT,
                    PRIME_LAP,
                    "slide the lap leg under, set the new bend on the old line, clamp tight at every plug",
                ],
                access: "outside for the torch; the back for clamps, sealer and wax",
                kit: "gas-shielded wire is enough",
                sealable: Sealable::EdgesWithAccess,
                parting: DRILL_SPOTS,
                record: &[KEEP_EDGE, PHOTOGRAPH, SPOTS, "keep packers and clips, and write down where they were"],
                can_go_wrong: LAP_FAULTS,
            },
        }
    }
}

const BONDED: Particulars = Particulars {
    preparation: &[
        "degrease, abrade both faces to bright metal, degrease again, and bond the same hour",
        "glass beads or wires in the adhesive keep the bond line even: 0.1 to 0.3 mm",
        "adhesive over the whole lap, laid in a zigzag so that no air is shut in",
        "clamp evenly, and leave the clamps on as long as the data sheet says at the temperature of the shop",
    ],
    access: "outside; the back for clamps, or screws that come out again",
    kit: "two-part structural adhesive within its date, clamps all along, a warm dry place",
    sealable: Sealable::ByTheAdhesive,
    parting: &[
        "old adhesive: warm no further than its data sheet allows, in open air, and draw a wire or thin blade through; never grind or burn it",
    ],
    record: &[PHOTOGRAPH, "write down the thickness of the old bond line, and its packers"],
    can_go_wrong: &[
        "a face touched, damp or cold: it lets go in months, and nothing shows before",
        "clamped dry: the adhesive is squeezed out and the bond line starved",
        "a load that peels: adhesive holds shear, not peeling",
    ],
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_distance_and_the_sentence_agree() {
        assert!(BRIGHT.contains(&format!("{BRIGHT_BACK_MM} mm back")));
    }

    #[test]
    fn every_form_is_told_in_full() {
        for form in JointForm::ALL {
            let own = form.particulars();
            let lists = [own.preparation, own.parting, own.record, own.can_go_wrong];
            assert!(lists.iter().all(|list| !list.is_empty()), "{form:?}");
            assert!(lists.iter().copied().flatten().chain([&own.access, &own.kit]).all(|words| words.len() > 8));
        }
    }
}
