//! Refusing values that cannot be drawn, by name.

use glam::DVec2;

use super::polyline::Polyline;
use super::shape::Shape;
use super::{Drawing, Item};
use crate::error::PacketError;

/// Farthest coordinate accepted: a hundred metres from the origin.
const FARTHEST_MM: f64 = 100_000.0;

/// Checks every value of the drawing.
pub fn check(drawing: &Drawing) -> Result<(), PacketError> {
    let whole = Inspector { drawing, item: None };
    whole.size("scale, paper part", drawing.scale.paper)?;
    whole.size("scale, real part", drawing.scale.real)?;
    drawing.items.iter().try_for_each(|item| Inspector { drawing, item: Some(item) }.shape(&item.shape))
}

struct Inspector<'a> {
    drawing: &'a Drawing,
    item: Option<&'a Item>,
}

impl Inspector<'_> {
    fn shape(&self, shape: &Shape) -> Result<(), PacketError> {
        match shape {
            Shape::Polyline(path) | Shape::Filled(path) => self.path(path),
            Shape::Line { from, to } | Shape::Arrow { from, to } => self.points([from, to]),
            Shape::Circle { centre, radius_mm } => self.points([centre]).and(self.size("radius, mm", *radius_mm)),
            Shape::Arc { centre, radius_mm, start_rad, sweep_rad } => {
                self.points([centre]).and(self.size("radius, mm", *radius_mm))?;
                self.finite("start angle", *start_rad).and(self.sweep(*sweep_rad))
            }
            Shape::Text(text) => self.points([&text.at]).and(self.finite("angle", text.angle_rad)),
            Shape::Hatch { outline, holes, angle_rad, spacing_paper_mm } => {
                self.path(outline)?;
                holes.iter().try_for_each(|hole| self.path(hole))?;
                self.finite("angle", *angle_rad)?;
                let accepted = "0.5 to 50 mm on paper";
                self.within("hatch spacing", *spacing_paper_mm, 0.5, 50.0, accepted)
            }
            Shape::Leader { points, .. } => {
                self.points(points)?;
                self.within("number of points", points.len() as f64, 2.0, 100.0, "2 to 100 points")
            }
            Shape::LinearDimension { from, to, offset_paper_mm, .. } => {
                self.points([from, to]).and(self.finite("offset", *offset_paper_mm))
            }
            Shape::RunningDimensions { datum, stations, offset_paper_mm, .. } => {
                self.points([datum])?;
                self.points(stations.iter().map(|station| &station.at))?;
                self.finite("offset", *offset_paper_mm)
            }
            Shape::RadiusDimension { centre, radius_mm: size, angle_rad, .. }
            | Shape::DiameterDimension { centre, diameter_mm: size, angle_rad, .. } => {
                self.points([centre]).and(self.size("radius or diameter, mm", *size))?;
                self.finite("angle", *angle_rad)
            }
            Shape::AngleDimension { apex, from_rad, sweep_rad, radius_paper_mm, .. } => {
                self.points([apex]).and(self.finite("angle", *from_rad)).and(self.sweep(*sweep_rad))?;
                self.size("radius on paper, mm", *radius_paper_mm)
            }
            Shape::FaceUp { at, .. } => self.points([at]),
        }
    }

    fn path(&self, path: &Polyline) -> Result<(), PacketError> {
        self.within("number of vertices", path.vertices.len() as f64, 2.0, 1e6, "2 to 1 000 000 vertices")?;
        self.points(path.vertices.iter().map(|vertex| &vertex.at))?;
        let accepted = "-1000 to 1000 (an arc just short of a full turn)";
        path.vertices.iter().try_for_each(|vertex| self.within("bulge", vertex.bulge, -1e3, 1e3, accepted))
    }

    fn points<'p>(&self, points: impl IntoIterator<Item = &'p DVec2>) -> Result<(), PacketError> {
        points
            .into_iter()
            .flat_map(|point| [("x, mm", point.x), ("y, mm", point.y)])
            .try_for_each(|(what, value)| self.within(what, value, -FARTHEST_MM, FARTHEST_MM, "-100000 to 100000 mm"))
    }

    fn sweep(&self, sweep_rad: f64) -> Result<(), PacketError> {
        let turn = std::f64::consts::TAU + 1e-9;
        self.within("angle turned through, radians", sweep_rad, -turn, turn, "at most one turn either way")
    }

    fn size(&self, what: &'static str, value: f64) -> Result<(), PacketError> {
        self.within(what, value, 1e-6, FARTHEST_MM, "0.000001 to 100000")
    }

    fn within(
        &self,
        what: &'static str,
        got: f64,
        least: f64,
        most: f64,
        accepted: &'static str,
    ) -> Result<(), PacketError> {
        self.finite(what, got)?;
        if (least..=most).contains(&got) {
            return Ok(());
        }
        Err(PacketError::OutOfRange { drawing: self.drawing.name.clone(), item: self.item_name(), what, got, accepted })
    }

    fn finite(&self, what: &'static str, got: f64) -> Result<(), PacketError> {
        if got.is_finite() {
            return Ok(());
        }
        Err(PacketError::NotFinite { drawing: self.drawing.name.clone(), item: self.item_name(), what, got })
    }

    fn item_name(&self) -> String {
        let Some(item) = self.item else { return "the drawing itself".to_owned() };
        let id = item.id.as_deref().map(|id| format!(" '{id}'")).unwrap_or_default();
        format!("{}{id} on layer {}", item.shape.kind(), item.layer.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Layer;

    fn message(shape: Shape) -> String {
        let mut drawing = Drawing::new("tray", "");
        drawing.add_named(Layer::Cut, "edge-3", shape);
        drawing.strokes().map(|_| ()).unwrap_err().to_string()
    }

    #[test]
    fn what_cannot_be_drawn_is_refused_by_name() {
        let nan = message(Shape::Line { from: DVec2::new(f64::NAN, 0.0), to: DVec2::ZERO });
        assert_eq!(nan, "drawing 'tray', line 'edge-3' on layer cut: x, mm is NaN; a finite number is needed");
        let negative = message(Shape::Circle { centre: DVec2::ZERO, radius_mm: -2.0 });
        assert!(negative.contains("radius, mm is -2; accepted is 0.000001 to 100000"), "{negative}");
        let single = message(Polyline::open([DVec2::ZERO]).into());
        assert!(single.contains("number of vertices is 1"), "{single}");
        let far = message(Polyline::open([DVec2::ZERO, DVec2::new(1e9, 0.0)]).into());
        assert!(far.contains("accepted is -100000 to 100000 mm"), "{far}");
    }

    #[test]
    fn a_scale_of_zero_is_refused() {
        let drawing = Drawing::new("tray", "").at_scale(crate::drawing::Scale { paper: 1.0, real: 0.0 });
        assert!(drawing.strokes().unwrap_err().to_string().contains("the drawing itself: scale, real part is 0"));
    }
}
