//! Where an opening lies on the chain of the cross-section.

use super::{Place, Swept, links};
use crate::edge_line::Lean;
use crate::profile::{Part, Profile};
use crate::{FlangeRelief, MakeUp, Makes, On, Opening, OpeningShape, StripEdge};
use glam::DVec2;

/// A place on the chain: a link and a fraction of its length from the end nearer the finished edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChainPoint {
    /// Which link, from the finished edge.
    pub link: usize,
    /// 0 at the end nearer the finished edge.
    pub fraction: f64,
}

impl Swept<'_> {
    /// The place on the chain of a distance (mm, measured as [`Opening`] says) on a leg at a station; `None` off the leg.
    #[must_use]
    pub fn on_chain(&self, profile: &Profile, on: On, station_mm: f64, distance_mm: f64) -> Option<ChainPoint> {
        match on {
            On::Skin => self.on_skin(profile, station_mm, distance_mm),
            On::StripMakeUp { edge, index } => {
                let link = profile.links.iter().position(|link| link.part == Part::Leg { edge, index })?;
                let length = profile.links.get(link)?.shape.outside_length_mm(profile.thickness_mm).value;
                let from_tangent = distance_mm - self.leg_starts_mm(edge, index, station_mm);
                let outward = from_tangent / length;
                if !(-1e-9..=1.0 + 1e-9).contains(&outward) {
                    return None;
                }
                let fraction = if edge == StripEdge::Finished { 1.0 - outward } else { outward };
                Some(ChainPoint { link, fraction })
            }
            On::Fold { .. } => None,
        }
    }

    /// Distance, as openings are measured, at which the flat of a make-up's leg starts.
    fn leg_starts_mm(&self, edge: StripEdge, index: usize, station_mm: f64) -> f64 {
        let Some(MakeUp::Flange { bend_angle_rad, inside_radius_mm, stand_off_mm, relief, .. }) =
            self.strip().make_ups(edge).get(index)
        else {
            return 0.0;
        };
        if let (FlangeRelief::Split { seam_mm }, true) = (relief, self.strip().makes == Makes::SplitFlange { edge }) {
            return *seam_mm;
        }
        let bend = bend_angle_rad.at(station_mm);
        let mut setback = (inside_radius_mm + self.strip().thickness_mm) * (0.5 * bend).tan();
        if edge == StripEdge::Finished && index == 0 {
            setback += self.strip().under_mm / bend.sin();
        }
        // Opening = π − bend, so stand-off · cot(opening) = −stand-off / tan(bend).
        if *stand_off_mm == 0.0 { setback } else { setback - stand_off_mm / bend.tan() }
    }

    fn on_skin(&self, profile: &Profile, station_mm: f64, distance_mm: f64) -> Option<ChainPoint> {
        let at = Place { station_mm, lean: Lean::After };
        let mut left = distance_mm - links::lost_at_finished(self.strip(), at).value;
        if left < -1e-9 {
            return None;
        }
        for (link, entry) in profile.links.iter().enumerate() {
            if !matches!(entry.part, Part::Skin { .. }) {
                continue;
            }
            let length = entry.shape.outside_length_mm(profile.thickness_mm).value;
            if left <= length + 1e-9 && length > 0.0 {
                return Some(ChainPoint { link, fraction: (left / length).clamp(0.0, 1.0) });
            }
            left -= length;
        }
        None
    }

    /// Range of distances, as openings are measured, of the flat metal of a leg at a station; `None` when there is no such leg.
    #[must_use]
    pub fn leg_range_mm(&self, on: On, station_mm: f64) -> Option<[f64; 2]> {
        let profile = self.profile(station_mm, Lean::After);
        match on {
            On::Skin => {
                let at = Place { station_mm, lean: Lean::After };
                let lost = links::lost_at_finished(self.strip(), at).value;
                let length: f64 = profile
                    .links
                    .iter()
                    .filter(|link| matches!(link.part, Part::Skin { .. }))
                    .map(|link| link.shape.outside_length_mm(profile.thickness_mm).value)
                    .sum();
                Some([lost, lost + length])
            }
            On::StripMakeUp { edge, index } => {
                let link = profile.links.iter().find(|link| link.part == Part::Leg { edge, index })?;
                let start = self.leg_starts_mm(edge, index, station_mm);
                Some([start, start + link.shape.outside_length_mm(profile.thickness_mm).value])
            }
            On::Fold { .. } => None,
        }
    }
}

impl OpeningShape {
    /// Outline about the opening's place, anticlockwise, round parts with a sagitta of at most `sagitta_mm`; x along the edge, y away from it.
    #[must_use]
    pub fn outline_mm(&self, sagitta_mm: f64) -> Vec<DVec2> {
        match self {
            Self::Round { diameter_mm } => {
                arc(DVec2::ZERO, 0.5 * diameter_mm, 0.0, std::f64::consts::TAU, sagitta_mm, false)
            }
            Self::Slot { length_mm, width_mm, angle_rad } => {
                let (r, half) = (0.5 * width_mm, 0.5 * (length_mm - width_mm).max(0.0));
                let quarter = std::f64::consts::FRAC_PI_2;
                let mut out = arc(DVec2::new(half, 0.0), r, -quarter, 2.0 * quarter, sagitta_mm, true);
                out.extend(arc(DVec2::new(-half, 0.0), r, quarter, 2.0 * quarter, sagitta_mm, true));
                let turn = DVec2::from_angle(*angle_rad);
                out.iter().map(|point| turn.rotate(*point)).collect()
            }
            Self::CutOut { corners_mm } => {
                let mut out = corners_mm.clone();
                let twice: f64 = (0..out.len()).map(|i| out[i].perp_dot(out[(i + 1) % out.len()])).sum();
                if twice < 0.0 {
                    out.reverse();
                }
                out
            }
        }
    }

    /// Smallest box about the opening's place: lowest and highest corner, mm.
    #[must_use]
    pub fn bounds_mm(&self) -> [DVec2; 2] {
        if let Self::Round { diameter_mm } = self {
            return [DVec2::splat(-0.5 * diameter_mm), DVec2::splat(0.5 * diameter_mm)];
        }
        let outline = self.outline_mm(0.01);
        let start = [DVec2::splat(f64::INFINITY), DVec2::splat(f64::NEG_INFINITY)];
        outline.iter().fold(start, |[low, high], point| [low.min(*point), high.max(*point)])
    }
}

impl Opening {
    /// True when the shape is a round hole of that diameter.
    #[must_use]
    pub fn round_mm(&self) -> Option<f64> {
        match self.shape {
            OpeningShape::Round { diameter_mm } => Some(diameter_mm),
            _ => None,
        }
    }
}

fn arc(centre: DVec2, radius: f64, from: f64, sweep: f64, sagitta_mm: f64, closed: bool) -> Vec<DVec2> {
    let step = 2.0 * (1.0 - (sagitta_mm / radius).min(0.5)).acos();
    let steps = ((sweep / step).ceil() as usize).clamp(8, 720);
    (0..steps + usize::from(closed))
        .map(|i| centre + DVec2::from_angle(from + sweep * i as f64 / steps as f64) * radius)
        .collect()
}
