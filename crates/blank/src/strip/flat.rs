//! The strip laid flat: every line of the cross-section at every station.

use super::held::HeldLine;
use super::settings::{Held, Trim};
use super::widths::{Width, Widths};
use crate::{BlankError, DevelopSettings, Loop};
use glam::{DVec2, DVec3};
use section::{ChainPoint, Lean, MakeUp, Part, Profile, Strip, StripEdge, Swept};

/// A strip in the flat.
pub(super) struct Flat<'a> {
    pub(super) swept: &'a Swept<'a>,
    pub(super) settings: &'a DevelopSettings,
    pub(super) widths: Widths<'a>,
    pub(super) held: HeldLine,
    /// Names of the lines, from the finished edge.
    pub(super) names: Vec<String>,
    /// Trim beyond the finished edge and beyond the cut edge.
    pub(super) trim_mm: [f64; 2],
    /// Stations between which chords stay within the tolerance.
    pub(super) stations: Vec<f64>,
    /// From the frame of the held line to the frame of the flat: turned by, then moved by.
    turn: DVec2,
    shift: DVec2,
}

impl<'a> Flat<'a> {
    pub(super) fn new(swept: &'a Swept<'a>, settings: &'a DevelopSettings) -> Result<Self, BlankError> {
        let strip = swept.strip();
        let breaks = swept.breaks_mm();
        let probes = breaks.windows(2).flat_map(|p| [p[0], 0.5 * (p[0] + p[1])]).chain(breaks.last().copied());
        let profiles: Vec<Profile> = probes.map(|s| swept.profile(s, Lean::After)).collect();
        let widths = Widths::new(strip, settings, &profiles)?;
        let names = swept.line_names();
        let node = held_node(swept, &widths, &names, &settings.strip.held)?;
        let held = HeldLine::new(swept, node);
        let trim_mm = [StripEdge::Finished, StripEdge::Cut].map(|edge| trim(strip, edge, settings));
        let mut flat = Self {
            swept,
            settings,
            widths,
            held,
            names,
            trim_mm,
            stations: Vec::new(),
            turn: DVec2::X,
            shift: DVec2::ZERO,
        };
        flat.place();
        Ok(flat)
    }

    pub(super) fn strip(&self) -> &'a Strip {
        self.swept.strip()
    }

    /// Lays the chord of the held line along x and the lowest corner of the box at the origin.
    fn place(&mut self) {
        let all = |flat: &Self, station: f64| -> Vec<DVec2> {
            let lines = flat.lines_at(station, Lean::After);
            let (Some(first), Some(last)) = (lines.first(), lines.last()) else { return Vec::new() };
            let ends = [first.mm - flat.trim_mm[0], last.mm + flat.trim_mm[1]];
            let inner = lines.iter().map(|line| line.mm);
            ends.into_iter().chain(inner).map(|y| flat.point(station, y, &lines)).collect()
        };
        let at = |station: f64| all(self, station).iter().map(|p| p.extend(0.0)).collect::<Vec<DVec3>>();
        self.stations = section::tessellate::refine(self.swept.breaks_mm(), &at, self.settings.sampling_tolerance_mm);
        let end = |station, lean| self.held.at(self.swept, station, lean).point;
        let chord = end(self.swept.end_mm(), Lean::Before) - end(self.swept.start_mm(), Lean::After);
        self.turn = DVec2::new(chord.x, -chord.y).normalize_or(DVec2::X);
        let points = self.stations.iter().flat_map(|&s| all(self, s));
        let low = points.fold(DVec2::INFINITY, DVec2::min);
        self.shift = -low;
    }

    /// Distance of every line from the finished end, in the flat.
    pub(super) fn lines_at(&self, station_mm: f64, lean: Lean) -> Vec<Width> {
        self.widths.lines(&self.swept.profile(station_mm, lean))
    }

    /// Point of the flat at a distance `y_mm` from the finished end of the cross-section.
    pub(super) fn point(&self, station_mm: f64, y_mm: f64, lines: &[Width]) -> DVec2 {
        let held = self.held.at(self.swept, station_mm, Lean::After);
        let own = lines.get(self.held.node).map_or(f64::NAN, |line| line.mm);
        self.turn.rotate(held.point + held.across * (y_mm - own)) + self.shift
    }

    /// Direction of the cross-section in the flat, towards the cut edge.
    pub(super) fn across(&self, station_mm: f64) -> DVec2 {
        self.turn.rotate(self.held.at(self.swept, station_mm, Lean::After).across)
    }

    /// Point of the flat on a line.
    pub(super) fn on_line(&self, station_mm: f64, line: usize) -> DVec2 {
        self.beside_line(station_mm, line, 0.0)
    }

    /// Point of the flat at a distance from a line, positive towards the cut edge.
    pub(super) fn beside_line(&self, station_mm: f64, line: usize, beyond_mm: f64) -> DVec2 {
        let lines = self.lines_at(station_mm, Lean::After);
        let y = lines.get(line).map_or(f64::NAN, |width| width.mm);
        self.point(station_mm, y + beyond_mm, &lines)
    }

    /// A line, or one beside it, from end to end.
    pub(super) fn polyline(&self, line: usize, beyond_mm: f64) -> Vec<DVec2> {
        let points = self.stations.iter().map(|&s| self.beside_line(s, line, beyond_mm)).collect();
        without_straight_points(points, false)
    }

    /// Distance from the finished end of a place on the chain.
    pub(super) fn distance(&self, station_mm: f64, at: ChainPoint) -> f64 {
        let profile = self.swept.profile(station_mm, Lean::After);
        let lines = self.widths.lines(&profile);
        match (lines.get(at.link), lines.get(at.link + 1)) {
            (Some(a), Some(b)) => a.mm + (b.mm - a.mm) * at.fraction,
            _ => f64::NAN,
        }
    }

    /// Rate of a line's point in the flat by station.
    pub(super) fn velocity(&self, station_mm: f64, line: usize) -> DVec2 {
        let lines = self.lines_at(station_mm, Lean::After);
        let held = self.held.at(self.swept, station_mm, Lean::After);
        let (Some(own), Some(line)) = (lines.get(self.held.node), lines.get(line)) else { return DVec2::NAN };
        let off = line.mm - own.mm;
        held.velocity + held.across * (line.rate - own.rate) + held.across.perp() * (off * held.across_turning)
    }

    /// Rate of a line's point on the piece by station, on the middle surface.
    pub(super) fn velocity_on_piece(&self, station_mm: f64, line: usize) -> DVec3 {
        let frame = self.swept.frame_jet(station_mm, Lean::After);
        let profile = self.swept.profile(station_mm, Lean::After);
        profile
            .nodes
            .get(line)
            .map_or(DVec3::NAN, |node| self.swept.point(&frame, node, 0.5 * profile.thickness_mm).first)
    }

    /// Across the whole flat at a station, trim included.
    pub(super) fn cross_line(&self, station_mm: f64) -> Vec<DVec2> {
        let last = self.names.len().saturating_sub(1);
        vec![
            self.beside_line(station_mm, 0, -self.trim_mm[0]),
            self.beside_line(station_mm, last, self.trim_mm[1]),
        ]
    }

    /// The outline, checked to be a simple polygon.
    pub(super) fn outline(&self, piece: &str) -> Result<Loop, BlankError> {
        let last = self.names.len().saturating_sub(1);
        let bottom = self.polyline(0, -self.trim_mm[0]);
        let mut top = self.polyline(last, self.trim_mm[1]);
        top.reverse();
        let parts = [(self.names[0].as_str(), bottom.len()), (self.names[last].as_str(), top.len())];
        let mut outline = bottom;
        outline.extend(top);
        if let Err(clash) = crate::simple::check(&outline) {
            let name = |edge: usize| match edge {
                i if i + 1 < parts[0].1 => parts[0].0,
                i if i + 1 == parts[0].1 => "the end of the piece",
                i if i + 1 < parts[0].1 + parts[1].1 => parts[1].0,
                _ => "the start of the piece",
            };
            return Err(BlankError::Overlaps {
                piece: piece.into(),
                x_mm: clash.at_mm.x,
                y_mm: clash.at_mm.y,
                between: format!("{} and {}", name(clash.edges[0]), name(clash.edges[1])),
                accepted: "make the piece in two with a seam, or shorten it".into(),
            });
        }
        Ok(outline)
    }
}

/// Drops points that lie on the straight between their neighbours.
fn without_straight_points(points: Vec<DVec2>, closed: bool) -> Vec<DVec2> {
    debug_assert!(!closed);
    let mut out: Vec<DVec2> = Vec::with_capacity(points.len());
    for (i, &point) in points.iter().enumerate() {
        if let (Some(&before), Some(&after)) = (out.last(), points.get(i + 1)) {
            let along = (after - before).normalize_or_zero();
            if along.perp_dot(point - before).abs() < 1e-9 && (point - before).dot(after - point) > 0.0 {
                continue;
            }
        }
        out.push(point);
    }
    out
}

fn held_node(swept: &Swept<'_>, widths: &Widths<'_>, names: &[String], held: &Held) -> Result<usize, BlankError> {
    if let Held::Line(name) = held {
        return names.iter().position(|other| other == name).ok_or_else(|| BlankError::Bend {
            place: "held line".into(),
            what: format!("there is no line '{name}'; choose one of: {}", names.join(", ")),
        });
    }
    let middle = 0.5 * (swept.start_mm() + swept.end_mm());
    let profile = swept.profile(middle, Lean::After);
    let lines = widths.lines(&profile);
    let half = 0.5 * lines.last().map_or(0.0, |line| line.mm);
    let off_middle = |node: &usize| (lines.get(*node).map_or(f64::NAN, |line| line.mm) - half).abs();
    let candidates = held_candidates(swept, &profile);
    Ok(candidates.into_iter().min_by(|a, b| off_middle(a).total_cmp(&off_middle(b))).unwrap_or(profile.anchor))
}

/// The skin side of every fold, and the edge line (the fold there where the finished edge is a flange).
fn held_candidates(swept: &Swept<'_>, profile: &Profile) -> Vec<usize> {
    let mut out = vec![profile.anchor];
    for (link, entry) in profile.links.iter().enumerate() {
        if let Part::Bend { edge, .. } = entry.part
            && matches!(swept.make_up(entry.part), Some(MakeUp::Flange { .. }))
        {
            out.push(if edge == StripEdge::Finished { link + 1 } else { link });
        }
    }
    out
}

/// Trim beyond one edge: what its raw make-up asks for, and along a plain cut edge the reach of the height.
fn trim(strip: &Strip, edge: StripEdge, settings: &DevelopSettings) -> f64 {
    let chain = strip.make_ups(edge);
    let given = match chain.last() {
        Some(MakeUp::Raw { trim_mm }) => *trim_mm,
        _ => 0.0,
    };
    let plain = matches!(chain, [] | [MakeUp::Raw { .. }]);
    if edge == StripEdge::Cut && plain && settings.strip.trim == Trim::FromReach {
        given.max((2.0 * strip.reach_mm).ceil() / 2.0)
    } else {
        given
    }
}
