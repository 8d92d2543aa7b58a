//! The free edges of the finished cross-section: where another piece can be joined.

use super::Swept;
use crate::profile::{Node, Part, Profile};
use crate::{MakeUp, StripEdge};

impl Swept<'_> {
    /// Node of the cross-section at which an edge can be joined: its last one, or where a curl or hem starts, whose raw edge
    /// is shut away.
    #[must_use]
    pub fn free_node(&self, profile: &Profile, edge: StripEdge) -> Option<Node> {
        let closed = |make_up: &MakeUp| matches!(make_up, MakeUp::Wired { .. } | MakeUp::Hem { .. });
        let shut = self.strip().make_ups(edge).iter().position(closed);
        let of_shut = |part: Part| match part {
            Part::Bend { edge: own, index } | Part::Leg { edge: own, index } | Part::Ramp { edge: own, index } => {
                own == edge && Some(index) == shut
            }
            Part::Skin { .. } => false,
        };
        let mut shut_links = profile.links.iter().enumerate().filter(|(_, link)| of_shut(link.part)).map(|(i, _)| i);
        match edge {
            StripEdge::Finished => profile.nodes.get(shut_links.next_back().map_or(0, |link| link + 1)).copied(),
            StripEdge::Cut => match shut_links.next() {
                Some(link) => profile.nodes.get(link).copied(),
                None => profile.nodes.last().copied(),
            },
        }
    }
}
