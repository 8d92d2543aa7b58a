//! What the fitting steps say where the piece is a ring: round things are held, tacked and tightened crosswise.

use crate::file::JointKind;

/// Holding it up.
pub(super) const HOLD: &str = "Hold it in place over the old one, marks outward, turned so that its holes stand where they belong. Look at it \
                               from two sides: it must lie close all round without force.";

/// Bracing the panel round the opening.
pub(super) const BRACE: &str = "Clamp or screw a stiff board across the opening from behind, clear of the flange, so that the panel keeps \
                                its shape when the old ring is out.";

/// Measuring before the old ring is loosened.
pub(super) const MEASURE: &str = "Measure the opening in two directions and its height above the panel beside it, and write it down: it must be \
                                  the same at the end.";

/// Taking the old ring out and cutting.
pub(super) fn scribe(joint: JointKind, lap: &str) -> Vec<String> {
    let set =
        "Set the ring over the old one by its marks, turned so that its holes stand where they belong.".to_owned();
    match joint {
        JointKind::Bolted => vec![
            set,
            "Mark the middle of every bolt hole, and round the edge, on the old metal.".to_owned(),
            "The old ring comes out along its own bolts or seam; nothing beyond the scribed line is cut.".to_owned(),
        ],
        JointKind::Butt => vec![set, "Scribe round its edge: that is the cut line, edge to edge.".to_owned()],
        _ => vec![
            set,
            "Scribe round its edge on the old metal.".to_owned(),
            format!("Mark the cut line one lap of {lap} inside the scribed line: the old metal under the lap stays."),
        ],
    }
}

/// Fitting and clamping.
pub(super) fn clamp(joint: JointKind) -> Vec<String> {
    let first = match joint {
        JointKind::Bolted => {
            "Faces painted and dry, sealer right round without a gap, the ring set down straight; four bolts crosswise first."
        }
        JointKind::Butt => "Edge to edge all round, copper behind; clamp at the quarters, then halfway between.",
        _ => "The flange lies on the old metal all round without force; clamp at the quarters, then halfway between.",
    };
    vec![
        first.to_owned(),
        "Check that it stands level and round in two directions: the measurements written down at the start."
            .to_owned(),
    ]
}

/// Tacks.
pub(super) fn tack() -> Vec<String> {
    vec![
        "Tack at the quarters crosswise, then halfway between, and so on: the next always opposite the last.".to_owned(),
        "Check level and roundness after the first four and the first eight tacks; a tack is cut in a minute, a weld is not."
            .to_owned(),
    ]
}

/// Bolts.
pub(super) const TIGHTEN: &str =
    "Tighten crosswise in three rounds, a little more each time, until the sealer just shows all round; wipe it off.";

/// The last weld.
pub(super) const WELD: &str =
    "Short runs crosswise, the next always opposite the last, cool to hand warm between them.";
