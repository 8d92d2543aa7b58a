//! How a section goes in: figures of the joint from the handbook, lap, step.

use super::{Reader, ResolvedPiece, ResolvedShape};
use crate::file::{Fixing, JointKind, Section};
use glam::DVec2;
use handbook::joints::{self, JointFigures, Sheets};
use shop::ShopSettings;

/// The joint along the cut edge, worked out.
#[derive(Debug, Clone)]
pub struct JointChoice {
    /// As the handbook names it.
    pub kind: joints::JointKind,
    /// Figures; `None` when the handbook refuses the sheets.
    pub figures: Option<JointFigures>,
    /// Lap beyond the cut line, 0 for a butt or a bolted piece.
    pub lap_mm: f64,
    /// Old panel.
    pub old_thickness_mm: f64,
    /// Ramp of the step, 0 without one.
    pub ramp_mm: f64,
    /// Thickness of the new piece.
    pub new_thickness_mm: f64,
    /// The step runs out to nothing over so much at the start and the end of the piece.
    pub runs_out_mm: [f64; 2],
}

impl JointChoice {
    /// Works out the joint of a section; the first piece's sheet stands for all.
    pub fn of(section: &Section, pieces: &[ResolvedPiece], shop: &ShopSettings, reader: &mut Reader) -> Self {
        let path = format!("section.{}.joint", section.id);
        let new_mm = pieces
            .iter()
            .find(|piece| matches!(piece.shape, ResolvedShape::Strip(_)))
            .or_else(|| pieces.first())
            .map_or(f64::NAN, |piece| piece.shape.thickness_mm());
        let unit = reader.job_unit;
        reader.unit(unit);
        let old_mm = match &section.joint.old_thickness {
            Some(old) => reader.thickness(&format!("{path}.old_thickness"), old),
            None => new_mm,
        };
        let kind = kind(section);
        let ends = [("runs_out_start", &section.joint.runs_out_start), ("runs_out_end", &section.joint.runs_out_end)];
        let runs_out_mm = ends.map(|(name, out)| {
            let Some(out) = out else { return 0.0 };
            if section.joint.kind != JointKind::SteppedLap {
                let message = "is said of a joint without a step; leave it out, or choose a stepped lap";
                reader.fault(format!("{path}.{name}"), message);
            }
            reader.length(&format!("{path}.{name}"), out)
        });
        let mut choice = Self {
            kind,
            figures: None,
            lap_mm: 0.0,
            old_thickness_mm: old_mm,
            ramp_mm: 0.0,
            new_thickness_mm: new_mm,
            runs_out_mm,
        };
        if old_mm.is_nan() || new_mm.is_nan() {
            return choice;
        }
        let load_bearing = section.joint.load_bearing == Some(true);
        match joints::joint(kind, Sheets { front_mm: old_mm, back_mm: new_mm, load_bearing }, &shop.rules) {
            Ok(figures) => choice.figures = Some(figures),
            Err(error) => reader.fault(&path, error.to_string()),
        }
        let stepped = section.joint.kind == JointKind::SteppedLap;
        choice.ramp_mm = if stepped { shop.rules.joggle_run_over_depth * old_mm } else { 0.0 };
        let overlap_mm = choice.figures.as_ref().map_or(0.0, |figures| figures.overlap_mm);
        let usual_mm = choice.ramp_mm + overlap_mm;
        choice.lap_mm = match (section.joint.kind, &section.joint.lap) {
            (JointKind::Butt | JointKind::Bolted, None) => 0.0,
            (JointKind::Butt | JointKind::Bolted, Some(_)) => {
                reader.fault(
                    format!("{path}.lap"),
                    "a butt or bolted joint has no lap; leave it out, or choose a stepped or plain lap",
                );
                0.0
            }
            (_, Some(lap)) => reader.positive(&format!("{path}.lap"), lap),
            (_, None) => usual_mm,
        };
        if stepped && choice.lap_mm <= choice.ramp_mm {
            reader.fault(
                format!("{path}.lap"),
                format!(
                    "a lap of {:.1} mm leaves nothing beyond its ramp of {:.1} mm; {usual_mm:.1} mm is usual",
                    choice.lap_mm, choice.ramp_mm
                ),
            );
        }
        let narrowest = pieces.iter().filter_map(half_across).min_by(|a, b| a.1.total_cmp(&b.1));
        let half = narrowest.filter(|_| section.joint.lap.is_some());
        if let Some((name, half_mm)) = half.filter(|(_, half_mm)| choice.lap_mm > *half_mm) {
            reader.fault(
                format!("{path}.lap"),
                format!(
                    "a lap of {:.1} mm is wider than half of {name}, where the laps of two sides would meet; up to {half_mm:.1} mm is accepted, \
                     {usual_mm:.1} mm is usual",
                    choice.lap_mm
                ),
            );
        }
        choice
    }

    /// Is the cut edge stepped?
    #[must_use]
    pub fn is_stepped(&self) -> bool {
        self.ramp_mm > 0.0
    }
}

/// A folded piece has its lap within its outline: half of its base the narrow way.
fn half_across(piece: &ResolvedPiece) -> Option<(&str, f64)> {
    let ResolvedShape::Folded(folded) = &piece.shape else { return None };
    let corners = || folded.base.corners_mm.iter().copied();
    let size = corners().reduce(DVec2::max)? - corners().reduce(DVec2::min)?;
    Some((folded.name.as_str(), 0.5 * size.min_element()))
}

fn kind(section: &Section) -> joints::JointKind {
    use joints::JointKind as Book;
    match (section.joint.kind, section.joint.fixing) {
        (JointKind::Butt, _) => Book::Butt,
        (JointKind::SteppedLap | JointKind::PlainLap, Fixing::Bond) | (JointKind::BondedLap, _) => Book::BondedLap,
        (JointKind::SteppedLap, Fixing::Spot) => Book::SteppedLapSpot,
        (JointKind::SteppedLap | JointKind::PlainLap, Fixing::Bolt) | (JointKind::Bolted, _) => Book::BoltedFlange,
        (JointKind::SteppedLap, Fixing::Plug) => Book::SteppedLapPlug,
        (JointKind::PlainLap, Fixing::Plug) => Book::PlainLap,
        (JointKind::PlainLap, Fixing::Spot) => Book::PlainLapSpot,
    }
}
