//! What is scribed or marked on the flat.

use super::flat::Flat;
use super::strain;
use crate::{FlatMark, LengthwiseLine, MarkKind};
use section::{MakeUp, Part, StripEdge};

/// Widest single opening or overlap of a relief, mm (common practice, no source).
const RELIEF_TAKES_MM: f64 = 3.0;
/// Share of the flange's flat over which a relief is cut; the rest keeps it off the bend.
const RELIEF_DEPTH: f64 = 0.8;

/// A free edge past a limit of stretch or gathering, and the reliefs that would bring it back.
pub(crate) struct Past {
    /// Largest strain beyond the limit; negative where metal is gathered.
    pub(crate) strain: f64,
    /// The limit.
    pub(crate) limit: f64,
    /// How many reliefs.
    pub(crate) count: usize,
    /// What each opens or takes out, mm.
    pub(crate) each_mm: f64,
}

impl Past {
    /// None within the limits.
    pub(crate) fn limits(line: &LengthwiseLine, stretch: f64, gather: f64) -> Option<Self> {
        let [least, most] = line.strain_percent.map(|percent| percent / 100.0);
        let (strain, limit) = if most > stretch {
            (most, stretch)
        } else if -least > gather {
            (least, gather)
        } else {
            return None;
        };
        let surplus = (line.in_flat_mm - line.in_piece_mm).abs();
        let count = (surplus / RELIEF_TAKES_MM).ceil().clamp(1.0, 200.0) as usize;
        Some(Self { strain, limit, count, each_mm: surplus / count as f64 })
    }
}

/// End lines, step line, tangent lines of wraps, held line, trim line, proposed reliefs.
pub(super) fn all(flat: &Flat<'_>, lengthwise: &[LengthwiseLine]) -> Vec<FlatMark> {
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
    for relief in reliefs(flat, lengthwise) {
        out.extend(relief.lines(flat));
    }
    out
}

/// Reliefs proposed for a free edge that is worked past its limit.
pub(super) struct Reliefs {
    /// The line's name.
    pub(super) name: String,
    /// Largest strain of the edge, with its sign.
    pub(super) strain: f64,
    /// Limit passed.
    pub(super) limit: f64,
    /// Number of cuts.
    pub(super) count: usize,
    /// What each takes out (gathered edge) or opens by (stretched edge).
    pub(super) each_mm: f64,
    free_line: usize,
    inner_line: usize,
}

impl Reliefs {
    fn lines(&self, flat: &Flat<'_>) -> Vec<FlatMark> {
        let (start, end) = (flat.swept.start_mm(), flat.swept.end_mm());
        let what = if self.strain > 0.0 { "slit, opens by" } else { "notch, takes out" };
        (0..self.count)
            .map(|i| {
                let station = start + (end - start) * (i as f64 + 0.5) / self.count as f64;
                let cut = flat.cut(station);
                let (free, inner) = (cut.y_mm(self.free_line), cut.y_mm(self.inner_line));
                let line_mm = vec![flat.point(&cut, free), flat.point(&cut, free + (inner - free) * RELIEF_DEPTH)];
                let label = format!("{what} {:.1} mm at the free edge (proposed)", self.each_mm);
                FlatMark { kind: MarkKind::Relief, line_mm, label }
            })
            .collect()
    }
}

/// Free edges of flanges strained past the limits of the settings.
pub(super) fn reliefs(flat: &Flat<'_>, lengthwise: &[LengthwiseLine]) -> Vec<Reliefs> {
    let parts = flat.swept.parts();
    let last = parts.len().saturating_sub(1);
    [(0, 1, parts.first(), StripEdge::Finished), (last + 1, last, parts.last(), StripEdge::Cut)]
        .into_iter()
        .filter_map(|(free_line, inner_line, part, edge)| {
            let part = part.copied()?;
            let on_flange = matches!(part, Part::Leg { .. })
                && matches!(flat.swept.make_up(part), Some(MakeUp::Flange { .. } | MakeUp::Seam { .. }));
            if !on_flange {
                return None;
            }
            let line = lengthwise.get(free_line)?;
            let Past { strain, limit, count, each_mm } =
                Past::limits(line, strain::stretch_limit(flat), flat.settings.strip.gather_limit)?;
            let name = format!("{} ({})", line.name, edge.name());
            Some(Reliefs { name, strain, limit, count, each_mm, free_line, inner_line })
        })
        .collect()
}
