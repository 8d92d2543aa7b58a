//! Cones: to a point, cut off square or aslant, upright or leaning.
//!
//! Own frame: the bottom circle lies in z = 0 about the origin, the axis of an upright cone is z. The sheet's edges are taken as cut
//! square to it, so the middle of the sheet lies half a thickness along the sheet's own normal from the face that was measured.

use super::pairing::{Span, find, same};
use super::{Curve, Element, Make, Ruled, RuledEdge, fault};
use crate::error::within;
use crate::{Face, SectionError};
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// A cone or frustum. Radii lie on the face that [`Make::given`] names.
#[derive(Debug, Clone, PartialEq)]
pub struct Cone {
    /// Radius of the bottom circle.
    pub bottom_radius_mm: f64,
    /// Radius of the top circle, 0 for a point; of a tilted top, on the axis.
    pub top_radius_mm: f64,
    /// Height from the bottom to the middle of the top.
    pub height_mm: f64,
    /// How far the middle of the top (or the point) stands off the bottom's axis, x and y.
    pub offset_mm: [f64; 2],
    /// The top is cut by a plane that rises towards +x by this angle; upright cones only.
    pub top_tilt_rad: f64,
}

/// Sizes of an upright cone cut off square, on the face they were given for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RightCone {
    /// Radius of the bottom circle.
    pub bottom_radius_mm: f64,
    /// Radius of the top circle.
    pub top_radius_mm: f64,
    /// Height.
    pub height_mm: f64,
}

impl Cone {
    /// Builds the piece.
    ///
    /// # Errors
    /// [`SectionError`] names a size that is not finite or out of range, a cone without height, one that is a tube, a sheet thicker than
    /// the smaller radius, a tilted cut that misses the cone.
    pub fn piece(&self, make: &Make) -> Result<Ruled, SectionError> {
        make.check()?;
        self.check(make)?;
        if self.top_radius_mm == 0.0 && make.given != Face::Middle {
            return self.pointed(make);
        }
        self.built(make)
    }

    /// A cone to a point, its sizes brought to the middle of the sheet: beside its point a measured face has no middle.
    fn pointed(&self, make: &Make) -> Result<Ruled, SectionError> {
        let [x, y] = self.offset_mm;
        let upright = x == 0.0 && y == 0.0;
        let slant = self.bottom_radius_mm.hypot(self.height_mm);
        let level = if upright { 0.5 * make.thickness_mm * self.height_mm / slant } else { 0.5 * make.thickness_mm };
        let bottom_radius_mm = self.bottom_radius_mm + if make.given == Face::Outside { -level } else { level };
        let share = bottom_radius_mm / self.bottom_radius_mm;
        let middle = Self {
            bottom_radius_mm,
            height_mm: self.height_mm * share,
            offset_mm: [x * share, y * share],
            ..self.clone()
        };
        let mut piece = middle.built(&Make { given: Face::Middle, ..make.clone() })?;
        piece.given = make.given;
        piece.sizes_mm = self.sizes(make);
        if upright {
            offset_words(make.given)
        } else {
            "sizes are over a face; developed at the middle of the sheet, the bottom circle half a thickness moved in its plane and the point moved with it"
        }
        .clone_into(&mut piece.offset_words);
        Ok(piece)
    }

    fn built(&self, make: &Make) -> Result<Ruled, SectionError> {
        let [bottom, top] = self.curves()?;
        let spans = self.pairs(&bottom, &top)?;
        let named = |name: &str, curve: Curve| RuledEdge { name: name.to_owned(), curve };
        let [bottom_name, top_name] = match self.top_radius_mm {
            0.0 => ["open end", "point"],
            r if r > self.bottom_radius_mm => ["small end", "large end"],
            _ => ["large end", "small end"],
        };
        let mut piece = Ruled {
            name: make.name.clone(),
            hand: make.hand,
            mirrored: make.mirrored,
            edges: [named(bottom_name, bottom), named(top_name, top)],
            spans,
            closed: true,
            own_seam: true,
            outside: -1.0,
            face: make.given,
            given: make.given,
            offset_words: offset_words(make.given).to_owned(),
            sizes_mm: self.sizes(make),
            right_cone: self.right(),
            thickness_mm: make.thickness_mm,
            material: make.material.clone(),
            lap_mm: make.lap_mm,
            fold_radius_mm: make.fold_radius_mm,
            step_rad: make.step_rad,
            reach_mm: make.reach_mm,
        };
        piece.cut_girth(&make.girth)?;
        Ok(piece)
    }

    fn right(&self) -> Option<RightCone> {
        (self.offset_mm == [0.0, 0.0] && self.top_tilt_rad == 0.0).then_some(RightCone {
            bottom_radius_mm: self.bottom_radius_mm,
            top_radius_mm: self.top_radius_mm,
            height_mm: self.height_mm,
        })
    }

    fn check(&self, make: &Make) -> Result<(), SectionError> {
        let of = |what: &str| format!("{what} of {}", make.name);
        within(of("the bottom radius"), self.bottom_radius_mm, 0.5..=50_000.0, "mm")?;
        within(of("the top radius"), self.top_radius_mm, 0.0..=50_000.0, "mm")?;
        for offset in self.offset_mm {
            within(of("the offset of the top"), offset, -50_000.0..=50_000.0, "mm")?;
        }
        within(of("the tilt of the top"), self.top_tilt_rad.to_degrees(), -80.0..=80.0, "°")?;
        if self.height_mm.abs() < 1e-6 {
            return Err(fault(
                format!("{} has no height", make.name),
                "a height above 0 mm is accepted; without one it is a flat ring: cut it as a disc with a hole",
            ));
        }
        within(of("the height"), self.height_mm, 0.1..=50_000.0, "mm")?;
        if (self.bottom_radius_mm - self.top_radius_mm).abs() < 1e-6 {
            return Err(fault(
                format!(
                    "top and bottom of {} are equal ({:.2} mm across): it is a tube",
                    make.name,
                    2.0 * self.top_radius_mm
                ),
                "two different sizes are accepted; make it as a tube, or as a transition where its ends are offset",
            ));
        }
        let least = if self.top_radius_mm > 0.0 {
            self.bottom_radius_mm.min(self.top_radius_mm)
        } else {
            self.bottom_radius_mm
        };
        if make.thickness_mm >= least {
            return Err(fault(
                format!("the sheet of {} is {:.2} mm, its smallest radius {least:.2} mm", make.name, make.thickness_mm),
                "a radius above the thickness is accepted: use thinner sheet, a larger end, or turn it from solid",
            ));
        }
        if self.top_tilt_rad != 0.0 && (self.offset_mm != [0.0, 0.0] || self.top_radius_mm == 0.0) {
            return Err(fault(
                format!("{} has a tilted top and is not an upright frustum", make.name),
                "a tilted top is accepted on an upright frustum; give other shapes as a transition",
            ));
        }
        Ok(())
    }

    fn curves(&self) -> Result<[Curve; 2], SectionError> {
        let (big, small, h) = (self.bottom_radius_mm, self.top_radius_mm, self.height_mm);
        let [x, y] = self.offset_mm;
        let bottom = Curve::ellipse("the bottom edge", DVec3::ZERO, DVec3::X * big, DVec3::Y * big)?;
        let centre = DVec3::new(x, y, h);
        let top = if small == 0.0 {
            Curve::new("the point", vec![Element::Point { at_mm: centre }], true)?
        } else if self.top_tilt_rad == 0.0 {
            Curve::ellipse("the top edge", centre, DVec3::X * small, DVec3::Y * small)?
        } else {
            self.tilted_top()?
        };
        Ok([bottom, top])
    }

    /// The ellipse in which the tilted plane cuts the cone.
    fn tilted_top(&self) -> Result<Curve, SectionError> {
        let (big, small, h) = (self.bottom_radius_mm, self.top_radius_mm, self.height_mm);
        let fall = (big - small) / h;
        let rise = self.top_tilt_rad.tan();
        let (near, far) = (small / (1.0 + fall * rise), small / (1.0 - fall * rise));
        let (z0, z1) = (h + near * rise, h - far * rise);
        if !(near > 0.0 && far > 0.0 && z0 > 0.0 && z1 > 0.0) {
            return Err(fault(
                format!("a top tilted by {:.1}° misses the cone", self.top_tilt_rad.to_degrees()),
                "a tilt at which the cut crosses every ruling above the bottom edge is accepted",
            ));
        }
        let (first, last) = (DVec3::new(near, 0.0, z0), DVec3::new(-far, 0.0, z1));
        let centre = 0.5 * (first + last);
        let across = (big - fall * centre.z).powi(2) - centre.x * centre.x;
        Curve::ellipse("the top edge", centre, first - centre, DVec3::Y * across.sqrt())
    }

    fn pairs(&self, bottom: &Curve, top: &Curve) -> Result<Vec<Span>, SectionError> {
        if self.top_tilt_rad == 0.0 { Ok(same(bottom, top)) } else { find(bottom, top) }
    }

    fn sizes(&self, make: &Make) -> Vec<(String, f64)> {
        let over = face_words(make.given);
        let mut list = vec![(format!("bottom diameter, {over}"), 2.0 * self.bottom_radius_mm)];
        if self.top_radius_mm > 0.0 && self.top_tilt_rad == 0.0 {
            list.push((format!("top diameter, {over}"), 2.0 * self.top_radius_mm));
        }
        list.push((format!("height between the edges, {over}"), self.height_mm));
        list
    }
}

/// "over the outside".
pub(super) const fn face_words(face: Face) -> &'static str {
    match face {
        Face::Outside => "over the outside",
        Face::Middle => "to the middle of the sheet",
        Face::Inside => "over the inside",
    }
}

const fn offset_words(face: Face) -> &'static str {
    match face {
        Face::Outside => {
            "sizes are over the outside, edges cut square to the sheet; developed at the middle of the sheet, half a thickness inwards along the sheet's normal"
        }
        Face::Middle => "sizes are to the middle of the sheet; developed there",
        Face::Inside => {
            "sizes are over the inside, edges cut square to the sheet; developed at the middle of the sheet, half a thickness outwards along the sheet's normal"
        }
    }
}
