//! Names of the lengthwise lines of a strip, as a person would say them.

use crate::profile::Part;
use crate::{FlangeRelief, MakeUp, Makes, Strip, StripEdge};

/// One name per line: both ends and between the links, from the finished edge.
pub(super) fn lines(strip: &Strip, parts: &[Part]) -> Vec<String> {
    if let (Makes::SplitFlange { edge }, Some(part)) = (strip.makes, parts.first().copied()) {
        let what = make_up_name(strip, part);
        let (free, seam) = (format!("{what}: free edge"), format!("{what}: seam"));
        return if edge == StripEdge::Finished { vec![free, seam] } else { vec![seam, free] };
    }
    (0..=parts.len())
        .map(|i| {
            let before = i.checked_sub(1).and_then(|k| parts.get(k)).copied();
            between(strip, before, parts.get(i).copied())
        })
        .collect()
}

fn between(strip: &Strip, before: Option<Part>, after: Option<Part>) -> String {
    match (before, after) {
        (None, Some(part)) => end(strip, part, StripEdge::Finished),
        (Some(part), None) => end(strip, part, StripEdge::Cut),
        (Some(Part::Skin { link }), Some(Part::Skin { .. })) => format!("skin line {}", link + 1),
        (Some(a), Some(b)) => {
            // The outer of the two says what starts or ends here.
            let (inner, outer) = match (a, b) {
                (Part::Skin { .. }, other) => (a, other),
                (other, Part::Skin { .. }) => (b, other),
                (x, y) => match edge_and_index(x) {
                    Some((StripEdge::Finished, _)) => (y, x),
                    _ => (x, y),
                },
            };
            inner_line(strip, inner, outer)
        }
        (None, None) => String::new(),
    }
}

fn inner_line(strip: &Strip, inner: Part, outer: Part) -> String {
    let what = make_up_name(strip, outer);
    match (outer, make_up(strip, outer)) {
        (Part::Bend { .. }, Some(MakeUp::Flange { .. })) => match inner {
            Part::Skin { .. } => format!("{what}: fold, skin side"),
            _ => format!("{what}: fold, inner side"),
        },
        (Part::Bend { .. }, _) => format!("{what}: start"),
        (Part::Leg { .. }, Some(MakeUp::Flange { .. })) => format!("{what}: fold, flange side"),
        (Part::Leg { .. }, Some(MakeUp::Joggle { .. })) => format!("{what}: foot of the ramp"),
        (Part::Leg { .. }, Some(MakeUp::Hem { .. })) => format!("{what}: end of the fold"),
        (Part::Ramp { .. }, _) => format!("{what}: step line"),
        _ => format!("{what}: start"),
    }
}

fn end(strip: &Strip, part: Part, edge: StripEdge) -> String {
    match part {
        Part::Skin { .. } if edge == StripEdge::Finished => "edge line".into(),
        Part::Skin { .. } => "cut edge".into(),
        _ => {
            let split = matches!(make_up(strip, part), Some(MakeUp::Flange { relief: FlangeRelief::Split { .. }, .. }));
            format!("{}: {}", make_up_name(strip, part), if split { "seam" } else { "free edge" })
        }
    }
}

fn edge_and_index(part: Part) -> Option<(StripEdge, usize)> {
    match part {
        Part::Skin { .. } => None,
        Part::Bend { edge, index } | Part::Leg { edge, index } | Part::Ramp { edge, index } => Some((edge, index)),
    }
}

fn make_up(strip: &Strip, part: Part) -> Option<&MakeUp> {
    edge_and_index(part).and_then(|(edge, index)| strip.make_ups(edge).get(index))
}

/// "flange", "cut edge flange 2", "curl", "lap" …
fn make_up_name(strip: &Strip, part: Part) -> String {
    let Some((edge, index)) = edge_and_index(part) else { return "skin".into() };
    strip.make_up_name(edge, index)
}

impl Strip {
    /// Name of a make-up on this strip: its kind, numbered where the chain has several, with its edge where it is the cut edge.
    #[must_use]
    pub fn make_up_name(&self, edge: StripEdge, index: usize) -> String {
        let chain = self.make_ups(edge);
        let Some(make_up) = chain.get(index) else { return String::new() };
        let alike = |other: &&MakeUp| other.kind_name() == make_up.kind_name();
        let number = chain.iter().take(index + 1).filter(alike).count();
        let several = chain.iter().filter(alike).count() > 1;
        let number = if several { format!(" {number}") } else { String::new() };
        let where_ = match (edge, make_up) {
            (StripEdge::Cut, MakeUp::Joggle { .. }) | (StripEdge::Finished, _) => "",
            (StripEdge::Cut, _) => "cut edge ",
        };
        format!("{where_}{}{number}", make_up.kind_name())
    }
}

impl MakeUp {
    /// What the make-up is called: "flange", "curl", "hem", "lap", "seam", "raw edge".
    #[must_use]
    pub const fn kind_name(&self) -> &'static str {
        match self {
            Self::Raw { .. } => "raw edge",
            Self::Joggle { .. } => "lap",
            Self::Flange { .. } => "flange",
            Self::Wired { .. } => "curl",
            Self::Hem { .. } => "hem",
            Self::Seam { .. } => "seam",
        }
    }
}
