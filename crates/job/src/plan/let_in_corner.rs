//! Let-in corners: a butt-welded piece with two made-up edges that meet (handbook H12).

use crate::file::{JointKind, Section};
use crate::plan::Made;
use crate::resolve::{ResolvedShape, note};
use glam::DVec2;
use handbook::shop_rules::CornerReach;
use handbook::{Concern, Grade, Working};
use section::MakeUp;
use shop::ShopSettings;
use units::format_mm;

/// How far a let-in corner reaches back from its two made-up edges, mm; `None` where nothing of the section is such a corner.
pub(super) fn reaches_mm(section: &Section, made: &Made) -> Option<[f64; 2]> {
    if section.joint.kind != JointKind::Butt {
        return None;
    }
    made.resolved.pieces.iter().find_map(|piece| match &piece.shape {
        ResolvedShape::Skin(skin) => {
            let folded: Vec<bool> = skin.edges.iter().map(|edge| !edge.joins && is_folded(&edge.make_ups)).collect();
            let joined = skin.edges.iter().any(|edge| edge.joins);
            if joined { of_corner(&skin.outline_mm, &folded) } else { None }
        }
        ResolvedShape::Folded(tray) => {
            let folded: Vec<bool> = tray.edges.iter().map(|edge| is_folded(&edge.make_ups)).collect();
            if folded.contains(&false) { of_corner(&tray.base.corners_mm, &folded) } else { None }
        }
        _ => None,
    })
}

fn is_folded(make_ups: &[MakeUp]) -> bool {
    matches!(make_ups.first(), Some(MakeUp::Flange { .. } | MakeUp::Wired { .. } | MakeUp::Hem { .. }))
}

/// From each of the first two folded edges that meet, the farthest corner of the outline.
fn of_corner(outline: &[DVec2], folded: &[bool]) -> Option<[f64; 2]> {
    let count = outline.len();
    let is = |edge: usize| folded.get(edge % count.max(1)).copied().unwrap_or(false);
    // exactly two edges, one after the other: a piece folded all round is no corner
    if folded.iter().filter(|own| **own).count() != 2 {
        return None;
    }
    let first = (0..count).find(|edge| is(*edge) && is(edge + 1))?;
    let reach = |edge: usize| {
        let (a, b) = (outline.get(edge % count)?, outline.get((edge + 1) % count)?);
        let along = (*b - *a).try_normalize()?;
        Some(outline.iter().map(|point| along.perp_dot(*point - *a).abs()).fold(0.0, f64::max))
    };
    Some([reach(first)?, reach(first + 1)?])
}

/// What is unusual about the reach, and its working.
pub(super) fn check(section: &Section, made: &Made, shop: &ShopSettings) -> (Vec<Concern>, Vec<Working>) {
    let mut out = (Vec::new(), Vec::new());
    for reach_mm in reaches_mm(section, made).into_iter().flatten() {
        let Ok((verdict, working)) = shop.rules.let_in_corner(reach_mm) else { continue };
        let [least, most] = shop.rules.corner_reach_mm.map(|mm| format_mm(mm, 0));
        let usual = format!("{least} to {most} are usual");
        let says = match verdict {
            CornerReach::Usual => None,
            CornerReach::Short => Some([
                format!("the corner reaches back {} from its edge; {usual}", format_mm(reach_mm, 0)),
                "a weld so near to the folded edge pulls the flange out of line and leaves no room to planish"
                    .to_owned(),
                "let the corner reach further back, or prove that the metal between is needed".to_owned(),
            ]),
            CornerReach::Long => Some([
                format!("the corner reaches back {} from its edge; {usual}", format_mm(reach_mm, 0)),
                "the weld then runs through the middle of the panel, where it warps most".to_owned(),
                "cut nearer to the edge where the metal is sound, or price a larger part of the panel".to_owned(),
            ]),
        };
        out.0.extend(says.map(|says| {
            let mut concern = note("let-in-corner-reach", Grade::Note, &section.title, says);
            concern.source = "H12".into();
            concern
        }));
        out.1.push(working);
    }
    out
}
