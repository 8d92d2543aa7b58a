//! Transitions: square to round, round to oval, hopper, and tapers between any two edge curves.
//!
//! Own frame: the bottom end lies in z = 0 with its middle at the origin, x along it; the top end lies in a plane at height z.
//! Sizes of ends given over the outside or the inside are brought to the middle of the sheet in the plane of the end, half a
//! thickness on every side: corners stay sharp there, as a person folds them.

use super::cone::face_words;
use super::pairing::find;
use super::{Curve, Make, Ruled, RuledEdge, fault};
use crate::error::within;
use crate::{Face, SectionError};
use glam::DVec3;

/// Shape of an end, sizes over the face that [`Make::given`] names.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum End {
    /// Rectangle, x by y, with rounded corners where the radius is above 0.
    Rectangle {
        /// Along x and along y.
        size_mm: [f64; 2],
        /// Corner radius.
        corner_radius_mm: f64,
    },
    /// Circle.
    Round {
        /// Diameter.
        diameter_mm: f64,
    },
    /// Two half circles joined by straights: x by y over all.
    Oval {
        /// Along x and along y.
        size_mm: [f64; 2],
    },
}

/// One end of a transition in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TransitionEnd {
    /// Shape.
    pub end: End,
    /// Turned about the axis, anticlockwise seen from above, rad.
    pub turned_rad: f64,
}

/// A transition between two ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Transition {
    /// The end in z = 0.
    pub bottom: TransitionEnd,
    /// The end above.
    pub top: TransitionEnd,
    /// Height from the middle of the bottom to the middle of the top.
    pub height_mm: f64,
    /// How far the middle of the top stands off the axis, x and y.
    pub offset_mm: [f64; 2],
    /// The plane of the top rises by these angles towards +x and towards +y.
    pub top_tilt_rad: [f64; 2],
}

/// A sheet between two edge curves in space.
#[derive(Debug, Clone)]
pub struct Between {
    /// Edge A and edge B, run through the same way.
    pub edges: [RuledEdge; 2],
    /// Direction that points to the outside of an open piece near its middle; a closed piece has its outside away from its axis.
    pub outward: Option<DVec3>,
}

impl End {
    /// The same end with every side moved inwards by a length.
    fn inwards(self, by_mm: f64) -> Self {
        match self {
            Self::Rectangle { size_mm, corner_radius_mm } => Self::Rectangle {
                size_mm: size_mm.map(|size| size - 2.0 * by_mm),
                corner_radius_mm: if corner_radius_mm > 0.0 { corner_radius_mm - by_mm } else { 0.0 },
            },
            Self::Round { diameter_mm } => Self::Round { diameter_mm: diameter_mm - 2.0 * by_mm },
            Self::Oval { size_mm } => Self::Oval { size_mm: size_mm.map(|size| size - 2.0 * by_mm) },
        }
    }

    /// Name as printed.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Self::Rectangle { size_mm: [a, b], .. } if (a - b).abs() < 1e-9 => "square end",
            Self::Rectangle { .. } => "rectangular end",
            Self::Round { .. } => "round end",
            Self::Oval { .. } => "oval end",
        }
    }

    fn check(&self, of: &str, thickness_mm: f64) -> Result<(), SectionError> {
        let least = 2.0 * thickness_mm;
        let sizes = match *self {
            Self::Rectangle { size_mm, corner_radius_mm } => {
                within(format!("the corner radius of {of}"), corner_radius_mm, 0.0..=50_000.0, "mm")?;
                if corner_radius_mm > 0.0 && corner_radius_mm <= thickness_mm {
                    return Err(fault(
                        format!(
                            "{of} has a corner radius of {corner_radius_mm:.2} mm in sheet of {thickness_mm:.2} mm"
                        ),
                        "a radius above the thickness, or 0 for a folded corner, is accepted",
                    ));
                }
                size_mm
            }
            Self::Round { diameter_mm } => [diameter_mm; 2],
            Self::Oval { size_mm } => size_mm,
        };
        for size in sizes {
            within(format!("the size of {of}"), size, 0.0..=50_000.0, "mm")?;
            if size <= least {
                return Err(fault(
                    format!(
                        "{of} is {size:.2} mm across in sheet of {thickness_mm:.2} mm: the sheet is thicker than the radius"
                    ),
                    format!("more than {least:.2} mm across is accepted"),
                ));
            }
        }
        Ok(())
    }

    fn curve(&self, name: &str, centre: DVec3, x: DVec3, y: DVec3) -> Result<Curve, SectionError> {
        match *self {
            Self::Rectangle { size_mm: [a, b], corner_radius_mm } => {
                Curve::rectangle(name, centre, [x * (0.5 * a), y * (0.5 * b)], corner_radius_mm)
            }
            Self::Round { diameter_mm } => {
                Curve::ellipse(name, centre, x * (0.5 * diameter_mm), y * (0.5 * diameter_mm))
            }
            Self::Oval { size_mm: [a, b] } => {
                Curve::rectangle(name, centre, [x * (0.5 * a), y * (0.5 * b)], 0.5 * a.min(b))
            }
        }
    }
}

impl Transition {
    /// Builds the piece.
    ///
    /// # Errors
    /// [`SectionError`] names a size out of range, a transition without height, one that is a tube, a sheet thicker than a radius.
    pub fn piece(&self, make: &Make) -> Result<Ruled, SectionError> {
        make.check()?;
        self.check(make)?;
        let by_mm = match make.given {
            Face::Outside => 0.5 * make.thickness_mm,
            Face::Middle => 0.0,
            Face::Inside => -0.5 * make.thickness_mm,
        };
        let turned = |angle: f64| {
            let (sin, cos) = angle.sin_cos();
            (DVec3::new(cos, sin, 0.0), DVec3::new(-sin, cos, 0.0))
        };
        let (x, y) = turned(self.bottom.turned_rad);
        let bottom = self.bottom.end.inwards(by_mm).curve("the bottom edge", DVec3::ZERO, x, y)?;
        let [rise_x, rise_y] = self.top_tilt_rad.map(f64::tan);
        let normal = DVec3::new(-rise_x, -rise_y, 1.0).normalize();
        let laid = |v: DVec3| glam::DQuat::from_rotation_arc(DVec3::Z, normal) * v;
        let (x, y) = turned(self.top.turned_rad);
        let [off_x, off_y] = self.offset_mm;
        let centre = DVec3::new(off_x, off_y, self.height_mm);
        let top = self.top.end.inwards(by_mm).curve("the top edge", centre, laid(x), laid(y))?;
        if top.points_mm(4).iter().any(|point| point.z <= 1e-6) {
            return Err(fault(
                format!("the tilted top of {} reaches down to its bottom", make.name),
                "a top that stays above the bottom edge is accepted: raise it or tilt it less",
            ));
        }
        let mut names = [self.bottom.end.name().to_owned(), self.top.end.name().to_owned()];
        if names[0] == names[1] {
            names = names.map(|name| name.replace(" end", ""));
            names = [format!("bottom {}", names[0]), format!("top {}", names[1])];
        }
        let [bottom_name, top_name] = names;
        let edges = [RuledEdge { name: bottom_name, curve: bottom }, RuledEdge { name: top_name, curve: top }];
        let mut piece = ruled(edges, -1.0, Face::Middle, make)?;
        piece.offset_words = match make.given {
            Face::Outside => "sizes are over the outside; developed at the middle of the sheet, every side of both ends half a thickness inwards",
            Face::Middle => "sizes are to the middle of the sheet; developed there",
            Face::Inside => "sizes are over the inside; developed at the middle of the sheet, every side of both ends half a thickness outwards",
        }
        .to_owned();
        piece.sizes_mm = self.sizes(make);
        piece.cut_girth(&make.girth)?;
        Ok(piece)
    }

    fn check(&self, make: &Make) -> Result<(), SectionError> {
        self.bottom.end.check(&format!("the bottom of {}", make.name), make.thickness_mm)?;
        self.top.end.check(&format!("the top of {}", make.name), make.thickness_mm)?;
        if self.height_mm.abs() < 1e-6 {
            return Err(fault(
                format!("{} has no height", make.name),
                "a height above 0 mm is accepted; without one it is a flat plate with a hole",
            ));
        }
        within(format!("the height of {}", make.name), self.height_mm, 0.1..=50_000.0, "mm")?;
        for value in self.offset_mm {
            within(format!("the offset of {}", make.name), value, -50_000.0..=50_000.0, "mm")?;
        }
        for value in self.top_tilt_rad {
            within(format!("the tilt of the top of {}", make.name), value.to_degrees(), -80.0..=80.0, "°")?;
        }
        for value in [self.bottom.turned_rad, self.top.turned_rad] {
            within(format!("the turn of an end of {}", make.name), value.to_degrees(), -360.0..=360.0, "°")?;
        }
        if self.bottom == self.top && self.top_tilt_rad == [0.0, 0.0] && self.offset_mm == [0.0, 0.0] {
            return Err(fault(
                format!("top and bottom of {} are equal: it is a tube", make.name),
                "two different ends are accepted, or equal ones offset or tilted; make it as a tube or a folded piece",
            ));
        }
        Ok(())
    }

    fn sizes(&self, make: &Make) -> Vec<(String, f64)> {
        let over = face_words(make.given);
        let mut list = Vec::new();
        for (place, end) in [("bottom", &self.bottom.end), ("top", &self.top.end)] {
            match *end {
                End::Round { diameter_mm } => list.push((format!("{place} diameter, {over}"), diameter_mm)),
                End::Rectangle { size_mm: [a, b], .. } | End::Oval { size_mm: [a, b] } => {
                    list.push((format!("{place} along x, {over}"), a));
                    list.push((format!("{place} along y, {over}"), b));
                }
            }
        }
        list.push(("height between the ends' middles".to_owned(), self.height_mm));
        list
    }
}

impl Between {
    /// Builds the piece. Edges that lie on a face of the sheet must be smooth: beside a sharp corner the middle of the sheet has no one
    /// place.
    ///
    /// # Errors
    /// [`SectionError`] of the edges, or where they cannot be paired at all.
    pub fn piece(&self, make: &Make) -> Result<Ruled, SectionError> {
        make.check()?;
        let cornered = self.edges.iter().find(|edge| edge.curve.corners() > 0);
        if let Some(edge) = cornered.filter(|_| make.given != Face::Middle) {
            return Err(fault(
                format!("{} of {} has a sharp corner and lies {}", edge.name, make.name, face_words(make.given)),
                "give its lines at the middle of the sheet, or round the corner with an arc",
            ));
        }
        let mut piece = ruled(self.edges.clone(), 1.0, make.given, make)?;
        piece.outside = self.sign(&piece);
        piece.offset_words = match make.given {
            Face::Outside => "the edge lines lie on the outside; developed at the middle of the sheet, half a thickness inwards along the sheet's normal",
            Face::Middle => "the edge lines lie at the middle of the sheet; developed there",
            Face::Inside => "the edge lines lie on the inside; developed at the middle of the sheet, half a thickness outwards along the sheet's normal",
        }
        .to_owned();
        piece.sizes_mm = self
            .edges
            .iter()
            .map(|edge| (format!("length of the {}, {}", edge.name, face_words(make.given)), edge.curve.length_mm()))
            .collect();
        piece.cut_girth(&make.girth)?;
        Ok(piece)
    }

    /// +1 where e × m points to the outside.
    fn sign(&self, piece: &Ruled) -> f64 {
        let [a, b] = &piece.edges;
        let axis = 0.5 * (a.curve.middle_mm() + b.curve.middle_mm());
        let sum: f64 = piece
            .spans
            .iter()
            .map(|span| {
                let ruling = piece.ruling(span, 0.5);
                let out = match (piece.closed, self.outward) {
                    (false, Some(outward)) => outward,
                    _ => 0.5 * (ruling.a_mm + ruling.b_mm) - axis,
                };
                let weight = (ruling.a_rate_mm.length() + ruling.b_rate_mm.length()) * ruling.length_mm();
                ruling.normal.dot(out) * weight
            })
            .sum();
        if sum < 0.0 { -1.0 } else { 1.0 }
    }
}

fn ruled(edges: [RuledEdge; 2], outside: f64, face: Face, make: &Make) -> Result<Ruled, SectionError> {
    let [a, b] = &edges;
    let spans = find(&a.curve, &b.curve)?;
    let closed = a.curve.closed;
    Ok(Ruled {
        name: make.name.clone(),
        hand: make.hand,
        mirrored: make.mirrored,
        edges,
        spans,
        closed,
        own_seam: closed,
        outside,
        face,
        given: make.given,
        offset_words: String::new(),
        sizes_mm: Vec::new(),
        right_cone: None,
        thickness_mm: make.thickness_mm,
        material: make.material.clone(),
        lap_mm: make.lap_mm,
        fold_radius_mm: make.fold_radius_mm,
        step_rad: make.step_rad,
        reach_mm: make.reach_mm,
    })
}
