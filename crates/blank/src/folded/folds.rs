//! Bends of a folded piece laid flat: allowance, lines, over-bend, wires.

use super::Development;
use crate::{BlankError, DevelopSettings, FlatFold, FoldKind};
use glam::DVec2;
use handbook::bend::{Bend as RuleBend, allowance};
use handbook::edges::wire::{WireEdge, WireRule};
use handbook::springback::over_bend;
use handbook::{RuleError, Working};
use section::Side;
use section::folded::{Bend, BendKind, EdgeLayout, Folded, Layout, Part};

/// One edge of the base with the developed lengths of its bends.
pub(super) struct FlatEdge<'a> {
    pub index: usize,
    pub layout: &'a EdgeLayout,
    /// One per part; length 0 for a leg without a bend.
    pub bends: Vec<FlatBend>,
    /// The same lengths alone.
    pub lengths_mm: Vec<f64>,
}

/// Figures of one bend.
pub(super) struct FlatBend {
    pub length_mm: f64,
    pub k_factor: f64,
    pub rule: String,
    pub fold_to_rad: Option<f64>,
    pub workings: Vec<Working>,
}

impl FlatEdge<'_> {
    /// A point x along the edge and y out from its near tangent line, in the flat.
    pub(super) fn flat_mm(&self, x_mm: f64, y_mm: f64) -> DVec2 {
        let edge = self.layout;
        edge.corner_mm + edge.along * x_mm + edge.outward * (y_mm - edge.setback_mm)
    }

    /// y of the near tangent line of a part's leg.
    pub(super) fn leg_y_mm(&self, part: usize) -> f64 {
        self.layout.near_line_y_mm(&self.lengths_mm, part)
    }

    /// "fold 3 on edge 2".
    pub(super) fn place(&self, part: &Part) -> String {
        format!("{} on edge {}", part.name, self.index + 1)
    }
}

pub(super) fn flat_edges<'a>(
    folded: &Folded,
    layout: &'a Layout,
    settings: &DevelopSettings,
) -> Result<Vec<FlatEdge<'a>>, BlankError> {
    let mut edges = Vec::with_capacity(layout.edges.len());
    for (index, edge) in layout.edges.iter().enumerate() {
        let mut bends = Vec::with_capacity(edge.parts.len());
        for part in &edge.parts {
            let place = format!("{} on edge {}", part.name, index + 1);
            let refused = |fault: RuleError| BlankError::Bend { place: place.clone(), what: fault.to_string() };
            bends.push(match &part.bend {
                Some(bend) => flat_bend(folded, bend, &place, settings).map_err(refused)?,
                None => no_bend(),
            });
        }
        let lengths_mm = bends.iter().map(|bend| bend.length_mm).collect();
        edges.push(FlatEdge { index, layout: edge, bends, lengths_mm });
    }
    Ok(edges)
}

fn no_bend() -> FlatBend {
    FlatBend { length_mm: 0.0, k_factor: 0.0, rule: String::new(), fold_to_rad: None, workings: Vec::new() }
}

fn flat_bend(folded: &Folded, bend: &Bend, place: &str, settings: &DevelopSettings) -> Result<FlatBend, RuleError> {
    let t = folded.thickness_mm;
    let angle = bend.turned_rad.abs();
    let mut flat = match bend.kind {
        BendKind::Fold | BendKind::Hem => by_rule(bend, t, settings)?,
        BendKind::Curl { wire_mm, allowance_mm } => by_wire(wire_mm, allowance_mm, angle, t)?,
    };
    // A hem and a curl are closed by pressing, not by letting a fold spring back.
    if bend.kind == BendKind::Fold {
        let elastic = settings.elastic(&folded.material);
        let over = elastic.map(|metal| over_bend(angle, bend.inside_radius_mm, t, metal)).and_then(Result::ok);
        flat.fold_to_rad = over.as_ref().map(|over| over.tool_angle_rad);
        flat.workings.extend(over.map(|over| over.working));
    }
    for working in &mut flat.workings {
        working.name = format!("{place}: {}", working.name).into();
    }
    Ok(flat)
}

fn by_rule(bend: &Bend, thickness_mm: f64, settings: &DevelopSettings) -> Result<FlatBend, RuleError> {
    let asked =
        RuleBend { thickness_mm, inside_radius_mm: bend.inside_radius_mm, bend_angle_rad: bend.turned_rad.abs() };
    let figures = allowance(&asked, &settings.bend_rule)?;
    Ok(FlatBend {
        length_mm: figures.allowance_mm,
        k_factor: figures.k_factor,
        rule: settings.bend_rule.name().to_owned(),
        fold_to_rad: None,
        workings: figures.workings,
    })
}

fn by_wire(wire_mm: f64, trial_mm: Option<f64>, wrap_rad: f64, t: f64) -> Result<FlatBend, RuleError> {
    let rule = match trial_mm {
        Some(allowance_mm) => WireRule::TrialStrip { allowance_mm },
        None => WireRule::Geometry { wrap_rad },
    };
    let figures = WireEdge { wire_diameter_mm: wire_mm, thickness_mm: t, rule }.figures()?;
    Ok(FlatBend {
        length_mm: figures.allowance_mm,
        k_factor: (figures.allowance_mm / wrap_rad - wire_mm / 2.0) / t,
        rule: if trial_mm.is_some() { "the shop's trial strip" } else { "arc at the middle of the sheet" }.to_owned(),
        fold_to_rad: None,
        workings: figures.workings,
    })
}

/// Every bend with its lines, in the order of working.
pub(super) fn flat_folds(development: &Development<'_>) -> Vec<FlatFold> {
    let mut folds: Vec<FlatFold> = development
        .edges
        .iter()
        .flat_map(|edge| {
            let parts = edge.layout.parts.iter().zip(&edge.bends).enumerate();
            parts.filter_map(|(index, (part, flat))| {
                part.bend.as_ref().map(|bend| flat_fold(development, edge, (index, part), bend, flat))
            })
        })
        .collect();
    folds.sort_by_key(|fold| fold.number);
    folds
}

fn flat_fold(
    development: &Development<'_>,
    edge: &FlatEdge<'_>,
    (index, part): (usize, &Part),
    bend: &Bend,
    flat: &FlatBend,
) -> FlatFold {
    let far = edge.leg_y_mm(index);
    let near = far - flat.length_mm;
    let reliefs = if index == 0 { development.layout.relief_radii_mm(edge.index) } else { [0.0, 0.0] };
    let line = |y: f64| {
        let along = if flat.length_mm > 0.0 { ((y - near) / flat.length_mm).clamp(0.0, 1.0) } else { 0.0 };
        let between = |[a, b]: [f64; 2]| a + (b - a) * along;
        let ([from, to], [start, end]) = (edge.layout.crossing_x_mm, reliefs);
        // Lines end where the relief hole takes the metal.
        let taken = |radius: f64| (radius > y).then(|| (radius * radius - y * y).sqrt());
        let x0 = taken(start).map_or(between(bend.start_x_mm), |half| between(bend.start_x_mm).max(from + half));
        let x1 = taken(end).map_or(between(bend.end_x_mm), |half| between(bend.end_x_mm).min(to - half));
        vec![edge.flat_mm(x0, y), edge.flat_mm(x1, y)]
    };
    let upwards = bend.turned_rad > 0.0;
    let towards_inside = upwards == (development.folded.face_up_is == Side::Inside);
    let (kind, word) = match bend.kind {
        BendKind::Fold if index == 0 => (FoldKind::Fold, "flange"),
        BendKind::Fold => (FoldKind::Fold, "return"),
        BendKind::Hem => (FoldKind::Hem, "hem"),
        BendKind::Curl { .. } => (FoldKind::Curl, "wired edge"),
    };
    FlatFold {
        name: format!("{}: {word} on edge {}", part.name, edge.index + 1),
        number: part.number,
        kind,
        up: upwards != development.folded.mirrored,
        turns: if towards_inside { Side::Inside } else { Side::Outside },
        tangent_near_mm: line(near),
        tangent_far_mm: line(far),
        centre_mm: line(f64::midpoint(near, far)),
        sight_mm: line(near + bend.inside_radius_mm),
        bend_angle_rad: [bend.turned_rad.abs(); 2],
        inside_radius_mm: bend.inside_radius_mm,
        allowance_mm: [flat.length_mm; 2],
        setback_mm: [bend.setback_mm; 2],
        k_factor: flat.k_factor,
        rule: flat.rule.clone(),
        fold_to_rad: flat.fold_to_rad.map(|angle| [angle; 2]),
    }
}
