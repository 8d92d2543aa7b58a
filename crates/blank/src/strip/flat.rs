//! The strip laid flat: every line of the cross-section at every station.

use super::held::{HeldLine, InFlat};
use super::relief::WorkedEdge;
use super::settings::{Held, Trim};
use super::widths::{Width, Widths};
use crate::{BlankError, DevelopSettings, Loop};
use glam::{DVec2, DVec3};
use section::{ChainPoint, FlangeRelief, Lean, MakeUp, Makes, Part, Profile, Strip, StripEdge, Swept};

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
    /// Free edges of flanges and seams: how far they are worked, and their reliefs.
    pub(super) edges: Vec<WorkedEdge>,
    /// Cross-sections between which chords stay within the tolerance.
    pub(super) cuts: Vec<Cut>,
    /// From the frame of the held line to the frame of the flat: turned by, then moved by.
    turn: DVec2,
    shift: DVec2,
}

/// One cross-section of the piece and of the flat.
pub(super) struct Cut {
    pub(super) station_mm: f64,
    pub(super) profile: Profile,
    /// Distance of every line from the finished end, in the flat.
    pub(super) lines: Vec<Width>,
    held: InFlat,
    /// Place of the held line among them.
    own: Width,
}

impl Cut {
    /// Distance of a line from the finished end, mm.
    pub(super) fn y_mm(&self, line: usize) -> f64 {
        self.lines.get(line).map_or(f64::NAN, |width| width.mm)
    }

    /// Distance from the finished end of a place on the chain.
    pub(super) fn distance_mm(&self, at: ChainPoint) -> f64 {
        self.y_mm(at.link) + (self.y_mm(at.link + 1) - self.y_mm(at.link)) * at.fraction
    }

    /// Rate of a line's point in the flat by station.
    pub(super) fn velocity(&self, line: usize) -> DVec2 {
        let Some(line) = self.lines.get(line) else { return DVec2::NAN };
        let off = line.mm - self.own.mm;
        self.held.velocity
            + self.held.across * (line.rate - self.own.rate)
            + self.held.across.perp() * (off * self.held.across_turning)
    }

    /// Rate of a place on the chain in the flat and on the piece (middle of the sheet) by station.
    pub(super) fn rates(&self, swept: &Swept<'_>, at: ChainPoint) -> Option<[f64; 2]> {
        let (a, b) = (self.velocity(at.link), self.velocity(at.link + 1));
        let node = self.profile.inside_link(at.link, at.fraction)?;
        let frame = swept.frame_jet(self.station_mm, Lean::After);
        let on_piece = swept.point(&frame, &node, 0.5 * self.profile.thickness_mm).first;
        Some([a.lerp(b, at.fraction).length(), on_piece.length()])
    }

    /// Rate of every line's point on the piece by station, on the middle surface.
    pub(super) fn velocities_on_piece(&self, swept: &Swept<'_>) -> Vec<DVec3> {
        let frame = swept.frame_jet(self.station_mm, Lean::After);
        let depth = 0.5 * self.profile.thickness_mm;
        self.profile.nodes.iter().map(|node| swept.point(&frame, node, depth).first).collect()
    }
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
            edges: Vec::new(),
            cuts: Vec::new(),
            turn: DVec2::X,
            shift: DVec2::ZERO,
        };
        flat.place();
        flat.edges = WorkedEdge::all(&flat)?;
        Ok(flat)
    }

    pub(super) fn strip(&self) -> &'a Strip {
        self.swept.strip()
    }

    /// Lays the chord of the held line along x and the lowest corner of the box at the origin.
    fn place(&mut self) {
        let all = |flat: &Self, cut: &Cut| -> Vec<DVec2> {
            let last = cut.lines.len().saturating_sub(1);
            let ends = [cut.y_mm(0) - flat.trim_mm[0], cut.y_mm(last) + flat.trim_mm[1]];
            ends.into_iter().chain(cut.lines.iter().map(|line| line.mm)).map(|y| flat.point(cut, y)).collect()
        };
        let at = |station: f64| all(self, &self.cut(station)).iter().map(|p| p.extend(0.0)).collect::<Vec<DVec3>>();
        let stations = section::tessellate::refine(self.swept.breaks_mm(), &at, self.settings.sampling_tolerance_mm);
        self.cuts = stations.into_iter().map(|station| self.cut(station)).collect();
        let end = |station, lean| self.held.at(self.swept, station, lean).point;
        let chord = end(self.swept.end_mm(), Lean::Before) - end(self.swept.start_mm(), Lean::After);
        self.turn = DVec2::new(chord.x, -chord.y).normalize_or(DVec2::X);
        let points = self.cuts.iter().flat_map(|cut| all(self, cut));
        self.shift = -points.fold(DVec2::INFINITY, DVec2::min);
    }

    /// The cross-section at a station.
    pub(super) fn cut(&self, station_mm: f64) -> Cut {
        // Past the end of the piece values may stay constant, so the end takes its rates from before it.
        let lean = if station_mm < self.swept.end_mm() { Lean::After } else { Lean::Before };
        let profile = self.swept.profile(station_mm, lean);
        let lines = self.widths.lines(&profile);
        let held = self.held.at(self.swept, station_mm, lean);
        let own = lines.get(self.held.node).copied().unwrap_or_default();
        Cut { station_mm, profile, lines, held, own }
    }

    /// Point of the flat at a distance `y_mm` from the finished end of a cross-section.
    pub(super) fn point(&self, cut: &Cut, y_mm: f64) -> DVec2 {
        self.turn.rotate(cut.held.point + cut.held.across * (y_mm - cut.own.mm)) + self.shift
    }

    /// Direction of a cross-section in the flat, towards the cut edge.
    pub(super) fn across(&self, cut: &Cut) -> DVec2 {
        self.turn.rotate(cut.held.across)
    }

    /// Point of the flat on a line.
    pub(super) fn on_line(&self, station_mm: f64, line: usize) -> DVec2 {
        let cut = self.cut(station_mm);
        self.point(&cut, cut.y_mm(line))
    }

    /// A line, or one beside it (positive towards the cut edge), from end to end.
    pub(super) fn polyline(&self, line: usize, beyond_mm: f64) -> Vec<DVec2> {
        without_straight_points(self.cuts.iter().map(|cut| self.point(cut, cut.y_mm(line) + beyond_mm)).collect())
    }

    /// The outline along one long edge, with the reliefs that are cut into it.
    fn free_edge(&self, line: usize, beyond_mm: f64) -> Vec<DVec2> {
        match self.edges.iter().find(|edge| edge.free_line == line) {
            Some(edge) => without_straight_points(edge.outline(self, beyond_mm)),
            None => self.polyline(line, beyond_mm),
        }
    }

    /// The middle between two lines, from end to end.
    pub(super) fn middle_line(&self, first: usize, second: usize) -> Vec<DVec2> {
        let middle = |cut: &Cut| self.point(cut, 0.5 * (cut.y_mm(first) + cut.y_mm(second)));
        without_straight_points(self.cuts.iter().map(middle).collect())
    }

    /// Across the whole flat at a station, trim included.
    pub(super) fn cross_line(&self, station_mm: f64) -> Vec<DVec2> {
        let cut = self.cut(station_mm);
        let last = self.names.len().saturating_sub(1);
        vec![self.point(&cut, cut.y_mm(0) - self.trim_mm[0]), self.point(&cut, cut.y_mm(last) + self.trim_mm[1])]
    }

    /// The outline, checked to be a simple polygon.
    pub(super) fn outline(&self, piece: &str) -> Result<Loop, BlankError> {
        let last = self.names.len().saturating_sub(1);
        let bottom = self.free_edge(0, -self.trim_mm[0]);
        let mut top = self.free_edge(last, self.trim_mm[1]);
        top.reverse();
        let parts = [(self.names[0].as_str(), bottom.len()), (self.names[last].as_str(), top.len())];
        let mut outline = bottom;
        outline.extend(top);
        if let Err(clash) = mesh::polygon::check_simple(&outline) {
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
                between: format!("{} and {}", name(clash.sides[0]), name(clash.sides[1])),
                accepted: "make the piece in two with a seam, or shorten it".into(),
            });
        }
        Ok(outline)
    }
}

/// Drops points that lie on the straight between their neighbours.
fn without_straight_points(points: Vec<DVec2>) -> Vec<DVec2> {
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
    // a seam is welded edge to edge: nothing is left on at it
    let split = chain.iter().any(|one| matches!(one, MakeUp::Flange { relief: FlangeRelief::Split { .. }, .. }));
    if split != (strip.makes == (Makes::SplitFlange { edge })) || (!split && strip.makes != Makes::Body) {
        return 0.0;
    }
    let plain = matches!(chain, [] | [MakeUp::Raw { .. }]);
    if edge == StripEdge::Cut && plain && settings.strip.trim == Trim::FromReach {
        given.max((2.0 * strip.reach_mm).ceil() / 2.0)
    } else {
        given
    }
}
