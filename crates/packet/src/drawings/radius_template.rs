//! Templates of the radius of a patch on a tube at 1:1: one that goes into its hollow, one that goes over its back.

use glam::DVec2;
use job::plan::PiecePlan;

use super::bounds_of;
use super::draft::Draft;
use crate::drawing::{Drawing, Layer, Scale, TextHeight};
use crate::number::trimmed;

/// A template reaches round no more of the girth than this, degrees: past it, it would not go in.
const MOST_DEG: f64 = 180.0;
/// Card left to hold it by, mm.
const HANDLE_MM: f64 = 25.0;
/// Card left beside and over the hollow of the outer template, mm.
const BESIDE_MM: f64 = 15.0;
/// Steps of the arc.
const STEPS: u32 = 120;

/// Both templates of a patch; none for another piece.
pub fn radius_templates(piece: &PiecePlan) -> Vec<Drawing> {
    cards(piece).into_iter().map(|card| card.drawing(piece)).collect()
}

/// Their names, for the list of what is in the packet.
pub fn radius_template_names(piece: &PiecePlan) -> Vec<String> {
    cards(piece).into_iter().map(|card| format!("{}, {}", piece.name, card.words())).collect()
}

/// A card with an arc.
struct Card {
    radius_mm: f64,
    /// Half of what it reaches round, rad.
    half_rad: f64,
    /// Goes into the hollow, not over the back.
    inside: bool,
}

fn cards(piece: &PiecePlan) -> Vec<Card> {
    let Some(tube) = piece.tube.as_deref().filter(|tube| tube.form == "patch") else { return Vec::new() };
    let half_rad = 0.5 * tube.girth_deg.min(MOST_DEG).to_radians();
    let card = |radius_mm: f64, inside: bool| Card { radius_mm, half_rad, inside };
    vec![card(tube.inside_radius_mm, true), card(0.5 * tube.outside_diameter_mm, false)]
}

impl Card {
    fn words(&self) -> String {
        let face = if self.inside { "inside" } else { "outside" };
        format!("radius {} mm, {face}", trimmed(self.radius_mm, 2))
    }

    fn outline(&self) -> Vec<DVec2> {
        let arc = (0..=STEPS).map(|i| {
            let turned = self.half_rad * (1.0 - 2.0 * f64::from(i) / f64::from(STEPS));
            DVec2::new(self.radius_mm * turned.sin(), self.radius_mm * turned.cos())
        });
        let mut outline: Vec<DVec2> = arc.collect();
        let (wide, level) = (self.radius_mm * self.half_rad.sin(), self.radius_mm * self.half_rad.cos());
        if self.inside {
            outline.extend([-wide, wide].map(|x| DVec2::new(x, level - HANDLE_MM)));
        } else {
            let (wide, top) = (wide + BESIDE_MM, self.radius_mm + BESIDE_MM);
            outline.extend([(-wide, level), (-wide, top), (wide, top), (wide, level)].map(|(x, y)| DVec2::new(x, y)));
        }
        outline
    }

    fn drawing(&self, piece: &PiecePlan) -> Drawing {
        let description = format!("1:1 template of {}: {}", piece.name, self.words());
        let mut draft = Draft::new(format!("template {} {}", piece.name, self.words()), description, Scale::FULL);
        let outline = self.outline();
        draft.ring(Layer::Template, &outline);
        let low = bounds_of(outline).low;
        let use_ = if self.inside { "goes into the hollow of the patch" } else { "goes over the back of the patch" };
        draft.bold(low - DVec2::Y * 6.0, TextHeight::Mm2_5, format!("{}: {}", piece.name, self.words()));
        draft.words(low - DVec2::Y * 11.0, TextHeight::Mm2_5, format!("{use_}; no light under the arc"));
        draft.drawing
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The arc of 90° of a radius of 20 mm spans 20·√2 mm; the card over the back leaves that hollow free.
    #[test]
    fn cards_carry_their_arc() {
        for inside in [true, false] {
            let card = Card { radius_mm: 20.0, half_rad: std::f64::consts::FRAC_PI_4, inside };
            let outline = card.outline();
            let on_arc = outline.iter().filter(|point| (point.length() - 20.0).abs() < 1e-9).count();
            assert_eq!(on_arc, STEPS as usize + 1);
            let area = mesh::polygon::signed_area_mm2(&outline).abs();
            // segment of the arc: r²(θ − sin θ)/2
            let segment = 200.0 * (std::f64::consts::FRAC_PI_2 - 1.0);
            let chord = 20.0 * 2.0_f64.sqrt();
            let rise = 20.0 - 0.5 * chord;
            let wanted = if inside {
                chord * HANDLE_MM + segment
            } else {
                (chord + 2.0 * BESIDE_MM) * (rise + BESIDE_MM) - segment
            };
            assert!((area - wanted).abs() < 0.01, "{inside}: {area} {wanted}");
        }
    }
}
