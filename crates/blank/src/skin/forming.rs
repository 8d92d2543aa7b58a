//! How the flat is formed: thickness, limit, bands, edges.

use super::bands::{self, RaiseBand, Work};
use super::boundary::Edge;
use super::error::SkinError;
use super::piece::{SkinPiece, SkinSettings};
use super::wheel;
use crate::flatten::FlatSkin;
use crate::flatten::shop_terms::{EdgeForming, edge_forming};
use glam::DVec2;
use handbook::forming_limit::{Forming, FormingLimit};
use handbook::{Concern, Grade, LiftedBy, Source, Working};
use mesh::Skin;
use serde::{Deserialize, Serialize};

/// How a developed skin is formed, in the words of the shop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SkinForming {
    /// Thinnest and thickest place after forming (constant volume).
    pub thickness: [ThicknessAt; 2],
    /// Limit of the sheet.
    pub limit: FormingLimit,
    /// The place nearest to the limit or farthest beyond it.
    pub nearest_limit: LimitAt,
    /// Largest effective strain, and the centre of its triangle in the flat, mm.
    pub largest_strain: (f64, DVec2),
    /// Plastic work of forming, J.
    pub work_j: f64,
    /// Share by which area is raised: least (negative where it is gathered) and most, as the map of raising has it.
    pub raise: [f64; 2],
    /// Map of raising, lowest band first.
    pub bands: Vec<RaiseBand>,
    /// What every named edge gathers or lets out.
    pub edges: Vec<EdgeForming>,
    /// The same in words: "gather 3.2 mm per 100 mm".
    pub edge_words: Vec<String>,
    /// Every edge that was to keep its length, with how well it did.
    pub held: Vec<HeldEdge>,
    /// Every figure with its working.
    pub workings: Vec<Working>,
}

/// An edge that was to keep its length.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HeldEdge {
    /// Its name.
    pub name: String,
    /// Length in the flat, mm.
    pub flat_length_mm: f64,
    /// Length of the finished edge, mm.
    pub finished_length_mm: f64,
    /// Largest share by which any step of it misses its length.
    pub largest_miss: f64,
}

/// A held edge that misses its length by more than this share is named: 0.1 mm per 100 mm, less than a tape shows (no source).
const HELD_WITHIN: f64 = 0.001;

impl HeldEdge {
    /// "front, 412.3 mm in the flat and 412.3 mm finished; no part of it misses by more than 0.01 %".
    #[must_use]
    pub fn words(&self) -> String {
        let percent = 100.0 * self.largest_miss;
        let miss = if percent < 0.005 { "0.01".to_owned() } else { format!("{:.2}", (100.0 * percent).ceil() / 100.0) };
        format!(
            "{}, {:.1} mm in the flat and {:.1} mm finished; no part of it misses by more than {miss} %",
            self.name, self.flat_length_mm, self.finished_length_mm
        )
    }
}

/// A thickness with its place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ThicknessAt {
    /// After forming.
    pub thickness_mm: f64,
    /// Centre of the triangle in the flat.
    pub at_mm: DVec2,
}

/// Strains against the forming limit at one place; true strains.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LimitAt {
    /// Larger principal strain.
    pub major: f64,
    /// Smaller principal strain.
    pub minor: f64,
    /// Limit of the larger one there.
    pub limit: f64,
    /// Limit less strain; negative beyond it.
    pub margin: f64,
    /// Where it lies.
    pub state: Forming,
    /// Centre of the triangle in the flat, mm.
    pub at_mm: DVec2,
}

pub(super) fn forming(
    piece: &SkinPiece,
    middle: &Skin,
    flat: &FlatSkin,
    chains: &[Edge],
    settings: &SkinSettings,
) -> Result<SkinForming, SkinError> {
    let limit = piece.limit()?;
    let at = |t: usize| flat.triangle_centre_mm(t);
    let extreme = |value: &dyn Fn(usize) -> f64| {
        (0..flat.strains.len())
            .map(|t| (t, value(t)))
            .fold((0, f64::NEG_INFINITY), |best, next| if next.1 > best.1 { next } else { best })
            .0
    };
    let thickness = |t: usize| ThicknessAt { thickness_mm: flat.strains[t].thickness_mm, at_mm: at(t) };
    let (thin, thick) = (extreme(&|t| -flat.strains[t].thickness_mm), extreme(&|t| flat.strains[t].thickness_mm));
    let near = extreme(&|t| flat.strains[t].major - limit.major_limit(flat.strains[t].minor));
    let strain = flat.strains[near];
    let allowed = limit.major_limit(strain.minor);
    let nearest_limit = LimitAt {
        major: strain.major,
        minor: strain.minor,
        limit: allowed,
        margin: allowed - strain.major,
        state: limit.forming(strain.major, strain.minor),
        at_mm: at(near),
    };
    let worst = extreme(&|t| flat.strains[t].effective);
    let edges = edges_forming(piece, middle, flat, chains)?;
    let raise = bands::point_raise(middle, flat);
    let levels = bands::levels(&raise, &settings.band_steps, settings.most_bands);
    let mut bands = bands::bands(flat, &raise, &levels);
    for band in bands.iter_mut().filter(|band| band.work == Work::Stretch) {
        band.passes = Some(wheel::passes(&settings.wheel, &piece.material, piece.thickness_mm, band.mean_raise));
    }
    let thinnest = Working::new(
        "thinnest place after forming",
        flat.strains[thin].thickness_mm,
        "mm",
        "t0·exp(−ε1 − ε2)",
        Source::geometry("constant volume"),
    )
    .with("t0", "thickness before", piece.thickness_mm, "mm")
    .with("ε1", "larger true strain there", flat.strains[thin].major, "")
    .with("ε2", "smaller true strain there", flat.strains[thin].minor, "");
    let margin = Working::new(
        "margin under the forming limit",
        nearest_limit.margin,
        "",
        "limit − ε1",
        limit.working.source.clone(),
    )
    .with("limit", "limit of the larger true strain there", allowed, "")
    .with("ε1", "larger true strain there", strain.major, "");
    let held = held_edges(piece, middle, flat, chains, &edges);
    let mut workings = vec![limit.working.clone(), margin, thinnest];
    workings.extend((!held.is_empty()).then(|| {
        let formula = "largest of |flat − finished|/finished over the steps of all held edges";
        Working::new("largest miss of a held edge", 100.0 * flat.held_edge_error, "%", formula, Source::geometry(""))
    }));
    Ok(SkinForming {
        thickness: [thickness(thin), thickness(thick)],
        nearest_limit,
        largest_strain: (flat.strains[worst].effective, at(worst)),
        work_j: flat.work_j.unwrap_or(0.0),
        raise: raise.iter().fold([0.0, 0.0], |[low, high], own| [own.min(low), own.max(high)]),
        bands,
        edge_words: edges.iter().enumerate().map(|(i, edge)| words(edge, &starts_at(&edges, i))).collect(),
        edges,
        held,
        limit,
        workings,
    })
}

fn edges_forming(
    piece: &SkinPiece,
    middle: &Skin,
    flat: &FlatSkin,
    edges: &[Edge],
) -> Result<Vec<EdgeForming>, SkinError> {
    let one = |(edge, given): (&Edge, &super::piece::SkinEdge)| {
        edge_forming(middle, flat, &given.name, &edge.chain, edge.closed)
    };
    edges.iter().zip(&piece.edges).map(one).collect::<Result<_, _>>().map_err(SkinError::Flatten)
}

fn held_edges(
    piece: &SkinPiece,
    middle: &Skin,
    flat: &FlatSkin,
    chains: &[Edge],
    edges: &[EdgeForming],
) -> Vec<HeldEdge> {
    let miss = |pair: &[u32]| {
        let [a, b] = [pair[0] as usize, pair[1] as usize];
        let finished_mm = middle.points_mm[a].distance(middle.points_mm[b]);
        if finished_mm > 0.0 { (flat.points_mm[a].distance(flat.points_mm[b]) / finished_mm - 1.0).abs() } else { 0.0 }
    };
    let held = piece.edges.iter().zip(chains).zip(edges).filter(|((given, _), _)| given.held);
    let one = |((_, edge), own): ((_, &Edge), &EdgeForming)| HeldEdge {
        name: own.name.clone(),
        flat_length_mm: own.flat_length_mm,
        finished_length_mm: own.finished_length_mm,
        largest_miss: edge.chain.windows(2).map(miss).fold(0.0, f64::max),
    };
    held.map(one).collect()
}

/// Edges that were to keep their length and could not.
pub(super) fn held_concerns(held: &[HeldEdge]) -> Vec<Concern> {
    let one = |own: &HeldEdge| Concern {
        key: "skin-held-edge".into(),
        grade: Grade::Caution,
        place: own.name.clone(),
        what: format!(
            "it was to keep its length, and a part of it misses by {:.2} %: {:.1} mm in the flat, {:.1} mm finished",
            100.0 * own.largest_miss,
            own.flat_length_mm,
            own.finished_length_mm
        ),
        why: "the shape asks for more there than the sheet beside a kept edge gives".into(),
        what_to_do: format!(
            "hold fewer edges, or gather and let out this one as its figures say; up to {:.1} % counts as kept",
            100.0 * HELD_WITHIN
        ),
        lifted_by: None,
        source: "own choice, no source".into(),
    };
    held.iter().filter(|own| own.largest_miss > HELD_WITHIN).map(one).collect()
}

/// Where the lengths along an edge count from: its corner with the edge before it.
fn starts_at(edges: &[EdgeForming], index: usize) -> String {
    let before = (index + edges.len()).checked_sub(1).and_then(|last| last.checked_rem(edges.len()));
    match before.filter(|before| *before != index).and_then(|before| edges.get(before)) {
        Some(before) => format!("its corner with {}", before.name),
        None => "its start".to_owned(),
    }
}

/// "gather 3.2 mm per 100 mm", with the worst 100 mm where they differ.
fn words(edge: &EdgeForming, starts_at: &str) -> String {
    let one = |mm: f64| match mm {
        mm if mm >= 0.05 => format!("gather {mm:.1} mm per 100 mm"),
        mm if mm <= -0.05 => format!("let out {:.1} mm per 100 mm", -mm),
        _ => "keep its length".to_owned(),
    };
    let [worst, from] = edge.worst_gather;
    let whole = one(edge.gather_mm_per_100_mm);
    if worst - edge.gather_mm_per_100_mm > 0.25 && edge.flat_length_mm > 100.0 {
        format!("{}: {whole}; most in the 100 mm that begin {from:.0} mm from {starts_at}: {worst:.1} mm", edge.name)
    } else {
        format!("{}: {whole}", edge.name)
    }
}

/// Gathering of an edge past the shop's limits.
pub(super) fn edge_concerns(edges: &[EdgeForming], settings: &SkinSettings) -> Vec<Concern> {
    let one = |(index, edge): (usize, &EdgeForming)| {
        let [worst, from] = edge.worst_gather;
        let share = worst / 100.0;
        let grade = if share > settings.gather.stop {
            Grade::Stop
        } else if share > settings.gather.caution {
            Grade::Caution
        } else {
            return None;
        };
        Some(Concern {
            key: "skin-edge-gathering".into(),
            grade,
            place: format!("{}, from {from:.0} mm on, counted from {}", edge.name, starts_at(edges, index)),
            what: format!("gathered by {worst:.1} mm per 100 mm"),
            why: "an edge gathered by hand thickens, cracks or folds over where there is too much of it".into(),
            what_to_do: "shrink it in several rounds with the templates at hand; past the stop, stretch more and gather less, or split \
                         the piece by a seam that ends there"
                .into(),
            lifted_by: (grade == Grade::Stop).then_some(LiftedBy::Shop),
            source: "shop setting, no source".into(),
        })
    };
    edges.iter().enumerate().filter_map(one).collect()
}
