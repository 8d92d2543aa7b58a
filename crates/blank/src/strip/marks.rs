//! What is scribed or marked on the flat.

use super::flat::Flat;
use crate::{FlatMark, MarkKind};

/// End lines, step line, tangent lines of wraps, held line, trim line, proposed reliefs.
pub(super) fn all(flat: &Flat<'_>) -> Vec<FlatMark> {
    let strip = flat.strip();
    let mark = |kind, line_mm, label: String| FlatMark { kind, line_mm, label };
    let mut out = Vec::new();
    for (spare, station, end) in
        [(strip.spare_from_mm, strip.from_mm, "start"), (strip.spare_to_mm, strip.to_mm, "end")]
    {
        if spare > 0.0 {
            let label = format!("end line, {end} of the piece; {spare:.0} mm spare beyond it");
            out.push(mark(MarkKind::EndLine, flat.cross_line(station), label));
        }
    }
    for (line, name) in flat.names.iter().enumerate() {
        if name.ends_with(": step line") {
            let label = "step line: the old panel's edge lies here".to_owned();
            out.push(mark(MarkKind::LapLine, flat.polyline(line, 0.0), label));
        } else if strip.under_mm > 0.0 && name.ends_with("seam: start") {
            let label = "the old skin's edge lies here; beyond it the lap leg goes under the old skin".to_owned();
            out.push(mark(MarkKind::LapLine, flat.polyline(line, 0.0), label));
        } else if name == "curl: start" || name == "hem: start" || name.ends_with("curl: start") {
            let label = format!("tangent line: lay the {} off from here", name.trim_end_matches(": start"));
            out.push(mark(MarkKind::TangentLine, flat.polyline(line, 0.0), label));
        }
    }
    let held = flat.held.node;
    let name = flat.names.get(held).map_or("", String::as_str);
    out.push(mark(MarkKind::HeldLine, flat.polyline(held, 0.0), format!("held line: {name}")));
    let last = flat.names.len().saturating_sub(1);
    for (trim, line) in [(flat.trim_mm[0], 0), (flat.trim_mm[1], last)] {
        if trim > 0.0 {
            out.push(mark(MarkKind::TrimLine, flat.polyline(line, 0.0), format!("trim line: {trim:.1} mm left on")));
        }
    }
    out.extend(flat.edges.iter().flat_map(|edge| edge.marks(flat)));
    out
}
