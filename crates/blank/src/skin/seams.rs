//! Where to split a skin that cannot be made of one blank.
//!
//! Candidates are lines through the place of the largest strain in the flat, from boundary to boundary: straight ones, one for each
//! direction, and arcs that take the best of those directions and bow to either side, the tighter one where the gentle one was better.
//! Nothing has a sharp corner, and the two edges of a straight one are cut with straight-edged tools or nearly so. A line
//! is left out when it passes a corner or hole within the margin, meets the boundary at less than 30°, meets a hole, or comes out in
//! either part with a radius below the shop's. Corners are those of the named edges and wherever else the boundary turns sharply. Every other one is cut exactly, both parts are developed with all their make-ups, and
//! the results are ranked: first by how many stops are left, then by the sum of the shares of largest strain, work and (half) worst
//! gather that remain, plus a tenth of the seam's length over the piece's. The weights are a shop setting without source. Of each direction
//! the best line alone is proposed, so that the proposals differ.

use super::cut::{self, Cut, Line, Node};
use super::error::SkinError;
use super::piece::{SkinEdge, SkinPiece, SkinSettings};
use super::{DevelopedSkin, develop, sharp};
use crate::DevelopSettings;
use glam::{DVec2, DVec3};
use handbook::{Grade, Source, Working};
use mesh::Skin;
use mesh::nearest::Nearest;
use mesh::polygon::distance_to_sides_mm;
use numerics::{Cancel, Progress};
use section::{Along, MakeUp};
use std::cmp::Ordering;
use std::f64::consts::PI;

/// Most seams proposed.
pub const MOST_SEAMS: usize = 3;
/// Least angle between a seam and the edge where it ends.
const LEAST_ANGLE_RAD: f64 = PI / 6.0;

/// Below this strain there is nothing that a seam could save: flat metal lies within it.
const WORTH_A_SEAM: f64 = 0.002;
/// Gathering of an edge and raising of an area that are too little to be told (common practice, no source).
const TOLD_GATHER_MM_PER_100_MM: f64 = 0.1;
const TOLD_SHARE: f64 = 0.002;
/// Share of the worst gather of an edge that a seam must save where it saves no strain (own choice, no source).
const WORTH_IN_GATHER: f64 = 0.2;
/// Share of itself by which a figure must change to count.
const TWENTIETH: f64 = 0.05;

/// Radii of the arcs tried, over the longest way across the flat: the first is gentle, each further one is tried where that before it was better.
const BOWS: [f64; 3] = [2.0, 1.0, 0.6];
/// Share of the progress for the straight lines.
const STRAIGHT_SHARE: f64 = 0.4;

/// What a blank, or the worse of two parts, asks of the metal and of the person.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct SkinFigures {
    /// Largest effective strain.
    pub largest_strain: f64,
    /// Plastic work, J, of all parts together.
    pub work_j: f64,
    /// Most gathered along any 100 mm of any edge, mm; 0 where nothing is.
    pub worst_gather_mm_per_100_mm: f64,
    /// Share by which area is raised most; 0 where nothing is.
    pub most_raised: f64,
    /// Share by which area is gathered most; 0 where nothing is.
    pub most_gathered: f64,
    /// Least margin under the forming limit, true strain; negative beyond it.
    pub limit_margin: f64,
    /// Number of stop concerns.
    pub stops: usize,
}

/// Where a seam meets an edge.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct SeamAt {
    /// Name of the edge.
    pub edge: String,
    /// The edge with which it has the corner that it starts at; empty for an edge that runs round the whole.
    pub starts_at: String,
    /// Along the finished edge from its first corner, mm.
    pub from_start_mm: f64,
    /// In the flat of the whole, mm.
    pub flat_mm: DVec2,
}

impl SeamAt {
    fn words(&self, unit: &str, unit_mm: f64) -> String {
        let decimals = decimals(unit_mm);
        let [x, y, from] = [self.flat_mm.x, self.flat_mm.y, self.from_start_mm].map(|mm| mm / unit_mm);
        let at = format!("at ({x:.decimals$}, {y:.decimals$}) of the flat");
        if self.starts_at.is_empty() {
            return format!("{} {at}", self.edge);
        }
        format!("{}, {from:.decimals$} {unit} from its corner with {} ({at})", self.edge, self.starts_at)
    }
}

/// A seam with the parts it leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct SeamProposal {
    /// The seam in the flat of the whole, mm.
    pub flat_mm: Vec<DVec2>,
    /// The seam on the piece, on the face that was given, mm.
    pub seam_mm: Vec<DVec3>,
    /// Where it starts and ends on the edges of the whole.
    pub ends: [SeamAt; 2],
    /// Length on the piece.
    pub length_mm: f64,
    /// Radius of the seam in the flat of the whole; infinite where straight.
    pub bow_radius_mm: f64,
    /// Smallest radius of the seam in the flat of either part; infinite where straight.
    pub least_radius_mm: f64,
    /// The two parts as pieces of their own, with their named edges; the seam is an edge without make-up.
    pub pieces: [SkinPiece; 2],
    /// The same developed.
    pub parts: [DevelopedSkin; 2],
    /// The whole.
    pub before: SkinFigures,
    /// The worse of both parts.
    pub after: SkinFigures,
    /// How it ranks, lowest best, with what went in.
    pub score: Working,
}

impl SeamProposal {
    /// What the seam saves, in one line: what the hands notice first, then strain and work.
    #[must_use]
    pub fn words(&self) -> String {
        self.words_in("mm", 1.0)
    }

    /// The same with lengths in a unit of so many mm.
    #[must_use]
    pub fn words_in(&self, unit: &str, unit_mm: f64) -> String {
        let (a, b) = (&self.before, &self.after);
        let [from, to] = self.ends.each_ref().map(|end| end.words(unit, unit_mm));
        format!(
            "seam of {:.*} {unit} from {from} to {to}: {}; largest effective true strain {:.2} % instead of {:.2} %, work {:.0} J instead of {:.0} J",
            decimals(unit_mm),
            self.length_mm / unit_mm,
            shop_words(a, b, unit),
            100.0 * b.largest_strain,
            100.0 * a.largest_strain,
            b.work_j,
            a.work_j,
        )
    }
}

/// Decimals of a length: a place of a seam to about a millimetre or better.
fn decimals(unit_mm: f64) -> usize {
    if unit_mm > 1.0 { 2 } else { 0 }
}

/// "most raised 2.1 % instead of 3.9 %, …": raising, gathering and margin with the seam and without it.
fn shop_words(before: &SkinFigures, after: &SkinFigures, unit: &str) -> String {
    // what neither blank asks for is not named
    let share = |name: &str, after: f64, before: f64| {
        let (after, before) = (100.0 * after, 100.0 * before);
        (after.max(before) >= 0.05).then(|| format!("{name} {after:.1} % instead of {before:.1} %"))
    };
    let [gather_after, gather_before] = [after, before].map(|own| own.worst_gather_mm_per_100_mm);
    let gather = (gather_after.max(gather_before) >= 0.05).then(|| {
        format!("worst gather of an edge {gather_after:.1} {unit} per 100 {unit} instead of {gather_before:.1} {unit}")
    });
    let [margin_after, margin_before] = [after, before].map(|own| 100.0 * own.limit_margin);
    let margin = format!(
        "least margin under the forming limit {margin_after:.1} % of true strain instead of {margin_before:.1} %"
    );
    [
        share("most raised", after.most_raised, before.most_raised),
        share("most gathered", after.most_gathered, before.most_gathered),
        gather,
        Some(margin),
    ]
    .into_iter()
    .flatten()
    .collect::<Vec<_>>()
    .join(", ")
}

impl SkinFigures {
    /// Whether a seam that leaves this is worth its weld: fewer stops; or no figure worse, and strain less by a twentieth or the worst
    /// gather of an edge by a fifth. A figure counts as worse only by more than a twentieth of itself and than a hand can tell.
    fn improves_on(&self, before: &Self) -> bool {
        if self.stops != before.stops {
            return self.stops < before.stops;
        }
        // the more the worse, with what of each can be told
        let figures = |own: &Self| {
            [
                (own.largest_strain, WORTH_A_SEAM),
                (own.worst_gather_mm_per_100_mm, TOLD_GATHER_MM_PER_100_MM),
                (own.work_j, 0.0),
                (own.most_raised, TOLD_SHARE),
                (own.most_gathered, TOLD_SHARE),
            ]
        };
        let changes: Vec<f64> = figures(self)
            .into_iter()
            .zip(figures(before))
            .map(|((after, told), (before, _))| change(before, after, told))
            .collect();
        let margin = change(
            before.limit_margin.abs(),
            before.limit_margin.abs() + before.limit_margin - self.limit_margin,
            TOLD_SHARE,
        );
        let worse = changes.iter().any(|change| *change > 0.0) || margin > 0.0;
        // strain and gathering are what a seam is made for
        let less_strain = changes.first().is_some_and(|change| *change < 0.0);
        let gather = [self, before].map(|own| own.worst_gather_mm_per_100_mm);
        let less_gather = gather[0] < (1.0 - WORTH_IN_GATHER) * gather[1] && gather[1] > TOLD_GATHER_MM_PER_100_MM;
        !worse && (less_strain || less_gather)
    }
}

/// By how much a figure changes beyond a twentieth of itself; 0 where it does not, or not so much that it can be told.
fn change(before: f64, after: f64, told: f64) -> f64 {
    let by = after - before;
    if by.abs() > TWENTIETH * before.abs() && before.max(after) > told && by.abs() > 0.5 * told { by } else { 0.0 }
}

/// Figures of one or more developed parts.
#[must_use]
pub fn figures(parts: &[&DevelopedSkin]) -> SkinFigures {
    let most =
        |value: &dyn Fn(&DevelopedSkin) -> f64| parts.iter().map(|part| value(part)).fold(f64::NEG_INFINITY, f64::max);
    let gather = |part: &DevelopedSkin| part.forming.edges.iter().map(|edge| edge.worst_gather[0]).fold(0.0, f64::max);
    let stops =
        |part: &&DevelopedSkin| part.blank.concerns.iter().filter(|concern| concern.grade == Grade::Stop).count();
    SkinFigures {
        largest_strain: most(&|part| part.forming.largest_strain.0),
        work_j: parts.iter().map(|part| part.forming.work_j).sum(),
        worst_gather_mm_per_100_mm: most(&gather),
        most_raised: most(&|part| part.forming.raise[1]),
        most_gathered: most(&|part| -part.forming.raise[0]),
        limit_margin: -most(&|part| -part.forming.nearest_limit.margin),
        stops: parts.iter().map(stops).sum(),
    }
}

/// Proposes up to three seams, best first; none when every line is ruled out or would save nothing.
///
/// # Errors
/// [`SkinError::Cancelled`]. A candidate whose part cannot be developed is left out.
pub fn propose(
    piece: &SkinPiece,
    whole: &DevelopedSkin,
    develop_settings: &DevelopSettings,
    settings: &SkinSettings,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Vec<SeamProposal>, SkinError> {
    settings.check(develop_settings)?;
    let search = Search::new(piece, whole, develop_settings, settings, cancel);
    let count = settings.seam_directions;
    let straight = progress.part(0.0, STRAIGHT_SHARE);
    let mut found = Vec::with_capacity(count);
    for i in 0..count {
        let own = straight.part(i as f64 / count as f64, (i + 1) as f64 / count as f64);
        let direction = DVec2::from_angle(PI * i as f64 / count as f64);
        found.push((direction, search.along(direction, 0.0, &own)?));
    }
    // directions that gave nothing come last: an arc may pass a corner that the straight line meets
    found.sort_by(|a, b| match (&a.1, &b.1) {
        (Some(a), Some(b)) => a.rank(b),
        (a, b) => b.is_some().cmp(&a.is_some()),
    });
    if settings.curved_seams {
        let bowed = progress.part(STRAIGHT_SHARE, 1.0);
        let tried = count.min(MOST_SEAMS);
        for (i, (direction, best)) in found.iter_mut().take(MOST_SEAMS).enumerate() {
            let own = bowed.part(i as f64 / tried as f64, (i + 1) as f64 / tried as f64);
            search.bow(*direction, best, &own)?;
        }
    }
    let mut found: Vec<SeamProposal> = found.into_iter().filter_map(|(_, proposal)| proposal).collect();
    found.retain(|seam| seam.after.improves_on(&seam.before));
    found.sort_by(SeamProposal::rank);
    found.truncate(MOST_SEAMS);
    progress.report(1.0, "seams");
    Ok(found)
}

impl SeamProposal {
    /// Which is better: fewer stops, then the lower score.
    fn rank(&self, other: &Self) -> Ordering {
        self.after.stops.cmp(&other.after.stops).then(self.score.value.total_cmp(&other.score.value))
    }
}

/// Where seams are looked for.
struct Search<'a> {
    piece: &'a SkinPiece,
    whole: &'a DevelopedSkin,
    before: SkinFigures,
    /// Triangle of the largest strain.
    worst: usize,
    /// Longest way across the flat, mm.
    size_mm: f64,
    /// Corners of the outer boundary in the flat, mm.
    corners_mm: Vec<DVec2>,
    develop_settings: &'a DevelopSettings,
    settings: &'a SkinSettings,
    cancel: &'a Cancel,
}

impl<'a> Search<'a> {
    fn new(
        piece: &'a SkinPiece,
        whole: &'a DevelopedSkin,
        develop_settings: &'a DevelopSettings,
        settings: &'a SkinSettings,
        cancel: &'a Cancel,
    ) -> Self {
        let strains = whole.flat.strains.iter().map(|strain| strain.effective).enumerate();
        let worst = strains.fold((0, f64::NEG_INFINITY), |best, next| if next.1 > best.1 { next } else { best }).0;
        let box_ = [DVec2::INFINITY, DVec2::NEG_INFINITY];
        let [low, high] =
            whole.flat.points_mm.iter().fold(box_, |[low, high], point| [low.min(*point), high.max(*point)]);
        let (before, size_mm) = (figures(&[whole]), low.distance(high));
        let corners_mm = sharp::corners_mm(whole);
        Self { piece, whole, before, worst, size_mm, corners_mm, develop_settings, settings, cancel }
    }

    /// The seam along a line through the worst place; none when it is ruled out or a part cannot be developed.
    fn along(&self, direction: DVec2, curvature: f64, progress: &Progress) -> Result<Option<SeamProposal>, SkinError> {
        self.cancel.check().map_err(|_| SkinError::Cancelled)?;
        progress.report(0.0, "seams");
        let line = Line { through: self.whole.flat.triangle_centre_mm(self.worst), direction, curvature };
        let Some(cut) = self.admitted(&line) else { return Ok(None) };
        match self.proposal(cut, &line, progress) {
            Err(SkinError::Cancelled) => Err(SkinError::Cancelled),
            Err(_) => Ok(None),
            Ok(proposal) => Ok(proposal),
        }
    }

    /// Takes an arc in the place of the best line of a direction where one is better.
    fn bow(&self, direction: DVec2, best: &mut Option<SeamProposal>, progress: &Progress) -> Result<(), SkinError> {
        let mut done = 0;
        for side in [1.0, -1.0] {
            for bow in BOWS {
                let own = progress.part(f64::from(done) / 6.0, f64::from(done + 1) / 6.0);
                done += 1;
                let radius_mm = bow * self.size_mm;
                let bowed = self.along(direction, side / radius_mm, &own)?;
                let better = match (&bowed, best.as_ref()) {
                    (Some(bowed), Some(best)) => bowed.rank(best).is_lt(),
                    (bowed, _) => bowed.is_some(),
                };
                if !better {
                    break;
                }
                *best = bowed;
            }
            done = 3;
        }
        Ok(())
    }

    /// Cuts along a line when it keeps its distances.
    fn admitted(&self, line: &Line) -> Option<Cut> {
        let (whole, flat) = (self.whole, &self.whole.flat);
        let cut = cut::cut(&self.piece.skin, flat, self.worst, line).ok()?;
        let margin_mm = self.settings.seam_margin_mm;
        let far = |point: DVec2| cut.flat_mm.windows(2).all(|step| distance_to_sides_mm(step, point) >= margin_mm);
        let holes = flat.boundaries.iter().skip(1).flatten().map(|i| flat.points_mm[*i as usize]);
        let clear = self.corners_mm.iter().copied().chain(holes).all(far)
            && whole.blank.openings.iter().all(|hole| far(hole.centre_mm));
        let ends = [(cut.nodes.first()?, cut.flat_mm.first()?), (cut.nodes.last()?, cut.flat_mm.last()?)];
        let steep = ends.iter().all(|(node, at_mm)| {
            let sine = |along: DVec2| along.perp_dot(line.direction_at(**at_mm)).abs();
            edge_direction(whole, **node).is_some_and(|along| sine(along) >= LEAST_ANGLE_RAD.sin())
        });
        (clear && steep).then_some(cut)
    }

    fn proposal(&self, cut: Cut, line: &Line, progress: &Progress) -> Result<Option<SeamProposal>, SkinError> {
        let Some(ends) = seam_ends(self.piece, self.whole, &cut) else { return Ok(None) };
        let Some(pieces) = pieces(self.piece, self.whole, &cut, &ends) else { return Ok(None) };
        let flat_ends = [cut.flat_mm.first(), cut.flat_mm.last()].map(|at| at.copied().unwrap_or_default());
        let [from, to] = ends;
        let ends = [(from, flat_ends[0]), (to, flat_ends[1])].map(|(end, flat_mm)| SeamAt {
            edge: self.piece.edges[end.edge].name.clone(),
            starts_at: edge_before(&self.piece.edges, end.edge),
            from_start_mm: end.station_mm,
            flat_mm,
        });
        let develop = |part: &SkinPiece, from: f64, to: f64| {
            develop(part, self.develop_settings, self.settings, &progress.part(from, to), self.cancel)
        };
        let parts = [develop(&pieces[0], 0.0, 0.5)?, develop(&pieces[1], 0.5, 1.0)?];
        let after = figures(&parts.each_ref());
        let least_radius_mm = parts.iter().map(seam_radius_mm).fold(f64::INFINITY, f64::min);
        if least_radius_mm < self.settings.seam_radius_mm {
            return Ok(None);
        }
        let length_mm: f64 = cut.seam_mm.windows(2).map(|p| p[0].distance(p[1])).sum();
        let score = score(&self.before, &after, length_mm / self.piece.skin.size_mm().max(1.0));
        Ok(Some(SeamProposal {
            flat_mm: cut.flat_mm,
            seam_mm: cut.seam_mm,
            ends,
            length_mm,
            bow_radius_mm: 1.0 / line.curvature.abs(),
            least_radius_mm,
            pieces,
            parts,
            before: self.before,
            after,
            score,
        }))
    }
}

/// Name of the edge before one; empty where there is no other.
fn edge_before(edges: &[SkinEdge], index: usize) -> String {
    let before = (index + edges.len()).checked_sub(1).and_then(|last| last.checked_rem(edges.len()));
    before
        .filter(|before| *before != index)
        .and_then(|before| edges.get(before))
        .map_or_else(String::new, |edge| edge.name.clone())
}

/// How a seam ranks by what is left and by its length over the piece's.
fn score(before: &SkinFigures, after: &SkinFigures, long: f64) -> Working {
    let share = |after: f64, before: f64| if before > 0.0 { after / before } else { 1.0 };
    let strain = share(after.largest_strain, before.largest_strain);
    let work = share(after.work_j, before.work_j);
    let gather = share(after.worst_gather_mm_per_100_mm, before.worst_gather_mm_per_100_mm);
    let source = Source::shop_setting("shop setting, no source");
    Working::new("rank of the seam", strain + work + 0.5 * gather + 0.1 * long, "", "ε + W + g/2 + l/10", source)
        .with("ε", "largest strain, share of the whole's", strain, "")
        .with("W", "work, share of the whole's", work, "")
        .with("g", "worst gather, share of the whole's", gather, "")
        .with("l", "length of the seam over the piece's", long, "")
}

/// Direction of the outer boundary at a seam's end in the flat; none when the end is not on it.
fn edge_direction(whole: &DevelopedSkin, node: Node) -> Option<DVec2> {
    let (edge, step, _) = on_boundary(whole, node)?;
    let chain = &whole.edge_points[edge];
    let at = |i: usize| whole.flat.points_mm[chain[i.min(chain.len() - 1)] as usize];
    Some((at(step + 1) - at(step.saturating_sub(1))).normalize_or_zero())
}

/// Edge, step of its chain, and station (finished length from its corner on the middle of the sheet) of a seam's end.
fn on_boundary(whole: &DevelopedSkin, node: Node) -> Option<(usize, usize, Option<u32>)> {
    for (edge, chain) in whole.edge_points.iter().enumerate() {
        for (step, pair) in chain.windows(2).enumerate() {
            match node {
                Node::Point(i) if pair[0] == i => return Some((edge, step, Some(i))),
                Node::Edge(a, b) if (pair[0].min(pair[1]), pair[0].max(pair[1])) == (a, b) => {
                    return Some((edge, step, None));
                }
                _ => {}
            }
        }
    }
    None
}

/// Smallest radius of the seam's edge in a part's flat, by circles through points about a tenth of the seam apart.
fn seam_radius_mm(part: &DevelopedSkin) -> f64 {
    let Some(chain) = part.edge_points.last() else { return f64::INFINITY };
    let line: Vec<DVec2> = chain.iter().map(|i| part.flat.points_mm[*i as usize]).collect();
    let reach = (line.len() / 6).max(1);
    let radius = |w: &[DVec2]| {
        let (a, b, c) = (w[0], w[reach], w[2 * reach]);
        a.distance(b) * b.distance(c) * a.distance(c) / (2.0 * (b - a).perp_dot(c - a).abs())
    };
    line.windows(2 * reach + 1).map(radius).fold(f64::INFINITY, f64::min)
}

/// Where the seam starts and ends on the boundary of the whole.
fn seam_ends(piece: &SkinPiece, whole: &DevelopedSkin, cut: &Cut) -> Option<[SeamEnd; 2]> {
    let (first, last) = (*cut.nodes.first()?, *cut.nodes.last()?);
    let end = |node, at_mm| {
        let (edge, step, exact) = on_boundary(whole, node)?;
        Some(SeamEnd { edge, step, station_mm: station_mm(piece, whole, edge, step, exact, at_mm), at_mm })
    };
    Some([end(first, *cut.seam_mm.first()?)?, end(last, *cut.seam_mm.last()?)?])
}

/// The two parts with their named edges.
fn pieces(piece: &SkinPiece, whole: &DevelopedSkin, cut: &Cut, [a, b]: &[SeamEnd; 2]) -> Option<[SkinPiece; 2]> {
    // to the left of the seam the boundary runs from its end to its start
    let edges = [edges_from(piece, whole, b, a), edges_from(piece, whole, a, b)];
    let first = in_first(&cut.parts).ok()?;
    let build = |number: usize, edges: Vec<SkinEdge>| {
        let own = |at_mm: DVec3| first(at_mm) == (number == 0);
        SkinPiece {
            name: format!("{}, part {}", piece.name, number + 1),
            skin: cut.parts[number].clone(),
            edges,
            hole_names: piece.hole_names.iter().filter(|(_, at)| own(*at)).cloned().collect(),
            holes: piece.holes.iter().filter(|hole| own(hole.at_mm)).cloned().collect(),
            ..piece.clone()
        }
    };
    let [left, right] = edges;
    Some([build(0, left), build(1, right)])
}

struct SeamEnd {
    edge: usize,
    step: usize,
    station_mm: f64,
    at_mm: DVec3,
}

fn station_mm(
    piece: &SkinPiece,
    whole: &DevelopedSkin,
    edge: usize,
    step: usize,
    exact: Option<u32>,
    at_mm: DVec3,
) -> f64 {
    let chain = &whole.edge_points[edge];
    let length =
        |pair: &[u32]| whole.middle.points_mm[pair[0] as usize].distance(whole.middle.points_mm[pair[1] as usize]);
    let before: f64 = chain.windows(2).take(step).map(length).sum();
    match (exact, chain.windows(2).nth(step)) {
        (None, Some(pair)) => {
            let [p, q] = [pair[0], pair[1]].map(|i| piece.skin.points_mm[i as usize]);
            before + length(pair) * at_mm.distance(p) / q.distance(p)
        }
        _ => before,
    }
}

/// Edges of the part whose boundary runs from one end of the seam on to the other, the seam last.
fn edges_from(piece: &SkinPiece, whole: &DevelopedSkin, from: &SeamEnd, to: &SeamEnd) -> Vec<SkinEdge> {
    let n = piece.edges.len();
    let given = &piece.edges[from.edge];
    let mut out = vec![SkinEdge {
        name: format!("{}, after the seam", given.name),
        from_mm: from.at_mm,
        make_ups: given.make_ups.iter().map(|make_up| shifted(make_up, from.station_mm)).collect(),
        held: given.held,
    }];
    let same_edge = from.edge == to.edge && (from.step, from.station_mm) < (to.step, to.station_mm);
    let smooth = whole.closed_rim && given.make_ups.iter().all(constant);
    if !same_edge && !smooth {
        let between = (n + to.edge - from.edge - 1) % n + 1;
        for k in 1..=between {
            let edge = &piece.edges[(from.edge + k) % n];
            let name = if k == between { format!("{}, before the seam", edge.name) } else { edge.name.clone() };
            out.push(SkinEdge { name, ..edge.clone() });
        }
    }
    out.push(SkinEdge { name: "seam".into(), from_mm: to.at_mm, make_ups: Vec::new(), held: false });
    out
}

fn constant(make_up: &MakeUp) -> bool {
    match make_up {
        MakeUp::Flange { bend_angle_rad, width_mm, .. } => {
            matches!((bend_angle_rad, width_mm), (Along::Constant(_), Along::Constant(_)))
        }
        _ => true,
    }
}

/// A make-up whose stations count from a later place.
fn shifted(make_up: &MakeUp, by_mm: f64) -> MakeUp {
    let along = |along: &Along| match along {
        Along::Constant(value) => Along::Constant(*value),
        Along::Stations(list) => {
            Along::Stations(list.iter().map(|(station, value)| (station - by_mm, *value)).collect())
        }
    };
    match make_up {
        MakeUp::Flange { bend_angle_rad, inside_radius_mm, width_mm, turns, stand_off_mm, relief } => MakeUp::Flange {
            bend_angle_rad: along(bend_angle_rad),
            inside_radius_mm: *inside_radius_mm,
            width_mm: along(width_mm),
            turns: *turns,
            stand_off_mm: *stand_off_mm,
            relief: *relief,
        },
        other => other.clone(),
    }
}

/// Tells whether a place belongs to the first part: it is at least as near to it as to the other.
fn in_first([first, other]: &[Skin; 2]) -> Result<impl Fn(DVec3) -> bool, SkinError> {
    let (first, other) = (Nearest::new(first)?, Nearest::new(other)?);
    let far =
        |part: &Nearest, at: DVec3| part.closest(at).map_or(f64::INFINITY, |place| place.signed_distance_mm.abs());
    Ok(move |at: DVec3| far(&first, at) <= far(&other, at))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whole() -> SkinFigures {
        SkinFigures {
            largest_strain: 0.10,
            work_j: 100.0,
            worst_gather_mm_per_100_mm: 4.0,
            most_raised: 0.06,
            most_gathered: 0.05,
            limit_margin: 0.20,
            stops: 0,
        }
    }

    /// Each figure by itself: a seam that saves strain is not taken where it makes another figure worse, and one that saves gathering alone is.
    #[test]
    fn no_figure_may_get_worse() {
        let before = whole();
        let better = SkinFigures { largest_strain: 0.06, ..before };
        assert!(better.improves_on(&before) && !before.improves_on(&before));
        for worse in [
            SkinFigures { worst_gather_mm_per_100_mm: 4.5, ..better },
            SkinFigures { most_gathered: 0.06, ..better },
            SkinFigures { most_raised: 0.07, ..better },
            SkinFigures { limit_margin: 0.17, ..better },
            SkinFigures { work_j: 120.0, ..better },
            SkinFigures { stops: 1, ..better },
        ] {
            assert!(!worse.improves_on(&before), "{worse:?}");
        }
        assert!(SkinFigures { worst_gather_mm_per_100_mm: 2.0, ..before }.improves_on(&before));
        assert!(SkinFigures { most_raised: 0.061, ..better }.improves_on(&before), "less than can be told");
        let stopped = SkinFigures { stops: 2, ..before };
        assert!(before.improves_on(&stopped));
        let flat = SkinFigures { largest_strain: 0.001, worst_gather_mm_per_100_mm: 0.02, ..before };
        assert!(!SkinFigures { largest_strain: 0.0005, ..flat }.improves_on(&flat), "nothing to save");
    }
}
