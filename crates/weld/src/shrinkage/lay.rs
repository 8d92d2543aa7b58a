//! The shrinkage of a bead spread over the triangles of a shell, its sum kept on any mesh.

use super::ShrinkageError;
use super::bead::{Amount, Bead, Dot, Run};
use super::overlap::{Strip, disc_and_triangle, strip_and_triangle};
use super::range::Range;
use super::test_strip::ShopFactors;
use crate::metal::WeldMetal;
use crate::shell::{InherentStrain, Shell};
use crate::weld_line::WeldLineError;
use glam::DVec3;
use handbook::{RuleError, Working};
use mesh::nearest::Nearest;

/// Strains that a bead leaves, for the least, the middle and the most of the published spread.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// Least.
    pub low: Vec<InherentStrain>,
    /// Middle.
    pub middle: Vec<InherentStrain>,
    /// Most.
    pub high: Vec<InherentStrain>,
    /// Share of the bead's own area that lies on the mesh: about a half along a free edge, above 1 where two sheets are fused.
    pub covered: f64,
    /// How much it shrinks in all.
    pub amount: Amount,
}

impl Laid {
    /// Working of what went in.
    pub fn workings(&self) -> &[Working] {
        &self.amount.workings
    }
}

/// A shell made ready for many beads.
#[derive(Debug)]
pub struct Bed<'a> {
    shell: &'a Shell,
    thickness_mm: Vec<f64>,
    nearest: Nearest,
}

impl<'a> Bed<'a> {
    /// Checks the mesh and the thicknesses once.
    ///
    /// # Errors
    /// [`ShrinkageError::Mesh`] for an unsound mesh, [`ShrinkageError::Rule`] for a thickness that is none.
    pub fn new(shell: &'a Shell) -> Result<Self, ShrinkageError> {
        Ok(Self { shell, nearest: Nearest::new(&shell.skin)?, thickness_mm: thicknesses(shell)? })
    }

    /// Spreads the shrinkage of a bead over the triangles under it.
    ///
    /// A run is a strip as wide as its fused line, a dot a disc. The strain of a triangle is in proportion to its area under the bead, and
    /// such that strain times thickness times area, summed over the triangles, is the bead's [`Amount`] on any mesh. Where part of the
    /// bead lies beyond a free edge, the rest takes all. A run no longer than it is wide is taken as a square.
    ///
    /// # Errors
    /// [`ShrinkageError`]: a quantity is none, or the bead lies off the mesh by more than its half width.
    pub fn lay(&self, bead: &Bead, metal: &WeldMetal, shop: &ShopFactors) -> Result<Laid, ShrinkageError> {
        let amount = bead.amount(metal, shop)?;
        self.holds(bead)?;
        let mut laid = Laid { low: Vec::new(), middle: Vec::new(), high: Vec::new(), covered: 0.0, amount };
        match bead {
            Bead::Dot(dot) => lay_dot(self.shell, dot, &self.thickness_mm, &mut laid)?,
            Bead::Run(run) => lay_run(self.shell, run, &self.thickness_mm, &mut laid)?,
        }
        Ok(laid)
    }

    fn holds(&self, bead: &Bead) -> Result<(), ShrinkageError> {
        let (what, most_mm, places) = match bead {
            Bead::Dot(dot) => ("dot", dot.diameter_mm / 2.0, vec![dot.at_mm]),
            Bead::Run(run) => {
                let middles = run.line_mm.windows(2).map(|ends| ends[0].midpoint(ends[1]));
                ("weld line", run.half_width_mm, run.line_mm.iter().copied().chain(middles).collect())
            }
        };
        for at_mm in places {
            let distance_mm = self.nearest.closest(at_mm)?.signed_distance_mm.abs();
            if distance_mm > most_mm {
                return Err(WeldLineError::OffMesh { what, distance_mm, most_mm, at_mm }.into());
            }
        }
        Ok(())
    }
}

/// [`Bed::lay`] for a single bead.
///
/// # Errors
/// As [`Bed::new`] and [`Bed::lay`].
pub fn lay(shell: &Shell, bead: &Bead, metal: &WeldMetal, shop: &ShopFactors) -> Result<Laid, ShrinkageError> {
    Bed::new(shell)?.lay(bead, metal, shop)
}

/// Thickness of each triangle.
fn thicknesses(shell: &Shell) -> Result<Vec<f64>, ShrinkageError> {
    let sheet = |triangle: usize| {
        let which = shell.sheet_of.get(triangle).copied().unwrap_or(0);
        let sheet = shell.sheets.get(usize::from(which)).ok_or_else(|| RuleError::DoesNotFit {
            what: format!("triangle {triangle} is of sheet {which}, but there are {} sheets", shell.sheets.len()),
            need: "name a sheet for every triangle".to_owned(),
        })?;
        crate::heat::thickness(sheet.thickness_mm)
    };
    Ok((0..shell.skin.triangles.len()).map(sheet).collect::<Result<_, RuleError>>()?)
}

/// One triangle under a bead.
struct Under {
    triangle: u32,
    along: DVec3,
    area_mm2: f64,
}

fn lay_dot(shell: &Shell, dot: &Dot, thickness: &[f64], laid: &mut Laid) -> Result<(), ShrinkageError> {
    let radius = dot.diameter_mm / 2.0;
    let mut under = Vec::new();
    for triangle in near(shell, 0..shell.skin.triangles.len(), [dot.at_mm, dot.at_mm], radius) {
        let corners = shell.skin.corners(triangle);
        let area_mm2 = disc_and_triangle(dot.at_mm, radius, corners);
        if area_mm2 > 1e-12 * radius * radius {
            let along = (corners[1] - corners[0]).normalize_or_zero();
            under.push(Under { triangle: triangle as u32, along, area_mm2 });
        }
    }
    let own_mm2 = std::f64::consts::PI * radius * radius;
    let whole = (laid.amount.along_mm3, laid.amount.across_mm3);
    laid.covered = spread(shell, &under, thickness, whole, own_mm2, laid, ("dot", dot.at_mm))?;
    Ok(())
}

fn lay_run(shell: &Shell, run: &Run, thickness: &[f64], laid: &mut Laid) -> Result<(), ShrinkageError> {
    let length = run.length_mm();
    let (low, high) = run.line_mm.iter().fold((DVec3::MAX, DVec3::MIN), |(l, h), p| (l.min(*p), h.max(*p)));
    let candidates = near(shell, 0..shell.skin.triangles.len(), [low, high], 2.0 * run.half_width_mm);
    // a run no longer than it is wide: a square of its width about its middle
    let longer = ((2.0 * run.half_width_mm - length) / 2.0).max(0.0);
    let last = run.line_mm.len().saturating_sub(2);
    for (i, ends) in run.line_mm.windows(2).enumerate() {
        let along = (ends[1] - ends[0]).normalize();
        let before = if i == 0 { longer } else { 0.0 };
        let after = if i == last { longer } else { 0.0 };
        let own = ends[0].distance(ends[1]);
        let strip = Strip {
            start: ends[0] - along * before,
            along,
            length: own + before + after,
            half_width: run.half_width_mm,
        };
        let to = strip.start + along * strip.length;
        let around = [strip.start.min(to), strip.start.max(to)];
        let mut under = Vec::new();
        for triangle in near(shell, candidates.iter().copied(), around, run.half_width_mm) {
            if let Some((area_mm2, along)) = strip_and_triangle(&strip, shell.skin.corners(triangle)) {
                under.push(Under { triangle: triangle as u32, along, area_mm2 });
            }
        }
        let share = own / length;
        let part = |range: Range| range.map(|volume| share * volume);
        let whole = (part(laid.amount.along_mm3), part(laid.amount.across_mm3));
        let own_mm2 = 2.0 * strip.half_width * strip.length;
        let place = ("weld line", ends[0].midpoint(ends[1]));
        laid.covered += share * spread(shell, &under, thickness, whole, own_mm2, laid, place)?;
    }
    Ok(())
}

/// Triangles whose box comes within a distance of a box.
fn near(
    shell: &Shell,
    triangles: impl Iterator<Item = usize>,
    [low, high]: [DVec3; 2],
    distance_mm: f64,
) -> Vec<usize> {
    let (low, high) = (low - distance_mm, high + distance_mm);
    triangles
        .filter(|&triangle| {
            let [a, b, c] = shell.skin.corners(triangle);
            a.min(b).min(c).cmple(high).all() && a.max(b).max(c).cmpge(low).all()
        })
        .collect()
}

/// Adds the strains of one strip or disc; returns the share of its own area that lies on the mesh.
fn spread(
    shell: &Shell,
    under: &[Under],
    thickness: &[f64],
    (along, across): (Range, Range),
    own_mm2: f64,
    laid: &mut Laid,
    (what, at_mm): (&'static str, DVec3),
) -> Result<f64, ShrinkageError> {
    let volume: f64 = under.iter().map(|part| part.area_mm2 * thickness[part.triangle as usize]).sum();
    let area: f64 = under.iter().map(|part| part.area_mm2).sum();
    /// Less than this of a bead on the mesh is beside it.
    const LEAST_COVERED: f64 = 0.02;
    if area < LEAST_COVERED * own_mm2 {
        return Err(WeldLineError::OffMesh { what, distance_mm: (own_mm2 / 2.0).sqrt(), most_mm: 0.0, at_mm }.into());
    }
    let lists = [&mut laid.low, &mut laid.middle, &mut laid.high];
    for ((list, along_mm3), across_mm3) in lists.into_iter().zip(along.three()).zip(across.three()) {
        list.extend(under.iter().map(|part| {
            let whole_mm2 = 0.5 * shell.skin.double_area_normal(part.triangle as usize).length();
            let share = part.area_mm2 / whole_mm2 / volume;
            InherentStrain {
                triangle: part.triangle,
                along: part.along,
                strain: [-along_mm3 * share, -across_mm3 * share, 0.0],
            }
        }));
    }
    Ok(area / own_mm2)
}
