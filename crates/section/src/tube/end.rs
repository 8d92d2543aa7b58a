//! End cuts: how deep an end is cut at each angle round the girth.

use super::{Tube, flattened_shape};
use serde::{Deserialize, Serialize};

/// One end of a tube.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TubeEnd {
    /// Name as printed ("foot").
    pub name: String,
    /// What is done.
    pub cut: TubeCut,
    /// Which wall of this tube touches what the end is cut to.
    pub wall: Wall,
}

/// A wall of the tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Wall {
    /// Outside.
    Outside,
    /// Middle of the sheet.
    Middle,
    /// Inside.
    Inside,
}

impl Wall {
    /// "outside".
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Outside => "outside",
            Self::Middle => "middle of the wall",
            Self::Inside => "inside",
        }
    }
}

/// What is done at an end. Every cut has a datum on the axis, from which lengths are reckoned.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TubeCut {
    /// Square. Datum: the cut.
    Square,
    /// By a plane (handbook D6). Datum: where the plane meets the axis.
    Mitre {
        /// From square.
        angle_rad: f64,
        /// Where the tube stays longest, round the girth.
        longest_at_rad: f64,
    },
    /// On another tube (handbook D9–D12). Datum: the point of the axis nearest to the other tube's axis.
    Saddle(Saddle),
    /// Flattened to two thicknesses. Datum: the tip of the finished end.
    Flattened {
        /// Flat length from the tip.
        flat_mm: f64,
        /// From the round tube to the flat, along the axis.
        transition_mm: f64,
        /// Where one of its faces looks, round the girth.
        face_at_rad: f64,
        /// Hole through both thicknesses on its middle line.
        hole: Option<TabHole>,
    },
}

/// The other tube of a saddle and how it is met.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Saddle {
    /// Outside diameter of the other tube.
    pub main_outside_diameter_mm: f64,
    /// Between the two axes, on the side `closed_at_rad`; 90° is square.
    pub axis_angle_rad: f64,
    /// Where, round the girth, the side lies on which the axes make that angle: 0° looks along the other tube when square.
    pub closed_at_rad: f64,
    /// How far this tube's axis passes beside the other's, towards `closed_at_rad` + 90°; negative to the other side.
    pub offset_mm: f64,
}

/// A hole in a flattened end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TabHole {
    /// Diameter.
    pub diameter_mm: f64,
    /// Centre from the tip.
    pub from_tip_mm: f64,
}

impl Saddle {
    /// Distance along the branch's axis from the datum to the main tube's outside, for a fibre at `radius_mm` and at `f_rad`
    /// from the closed side: `√(R² − (r·sin f + e)²)/sin θ + r·cos f/tan θ` (handbook D9, D12). NaN beside the main tube.
    #[must_use]
    pub fn reach_mm(&self, radius_mm: f64, f_rad: f64) -> f64 {
        let main = 0.5 * self.main_outside_diameter_mm;
        let beside = radius_mm * f_rad.sin() + self.offset_mm;
        // just touching, rounding must not make it miss
        let square = main * main - beside * beside;
        let square = if square < 0.0 && square > -1e-9 * main * main { 0.0 } else { square };
        square.sqrt() / self.axis_angle_rad.sin()
            + radius_mm * f_rad.cos() * self.axis_angle_rad.cos() / self.axis_angle_rad.sin()
    }
}

impl TubeEnd {
    /// How far inward of its datum the end is cut at an angle round the girth, mm; negative beyond the datum.
    pub(super) fn depth_mm(&self, tube: &Tube, angle_rad: f64) -> f64 {
        let radius = tube.radius_mm(self.wall);
        match &self.cut {
            TubeCut::Square => 0.0,
            TubeCut::Mitre { angle_rad: mitre, longest_at_rad } => {
                -radius * mitre.tan() * (angle_rad - longest_at_rad).cos()
            }
            TubeCut::Saddle(saddle) => saddle.reach_mm(radius, angle_rad - saddle.closed_at_rad),
            TubeCut::Flattened { transition_mm, .. } => -flattened_shape(tube, *transition_mm).taken_up_mm,
        }
    }

    /// Depth of the part that stays longest, on the whole girth of the finished tube, mm; the tip of a flattened end is its datum.
    #[must_use]
    pub fn tip_depth_mm(&self, tube: &Tube) -> f64 {
        match self.cut {
            TubeCut::Flattened { .. } => 0.0,
            _ => least(|angle| self.depth_mm(tube, angle)).1,
        }
    }

    /// Angles round the girth where the cut may have a kink or an extreme.
    pub(super) fn quarter_rad(&self) -> f64 {
        match &self.cut {
            TubeCut::Square => 0.0,
            TubeCut::Mitre { longest_at_rad, .. } => *longest_at_rad,
            TubeCut::Saddle(saddle) => saddle.closed_at_rad,
            TubeCut::Flattened { face_at_rad, .. } => *face_at_rad,
        }
    }

    /// In words: "cut square", "mitred 22.5°".
    #[must_use]
    pub const fn kind_words(&self) -> &'static str {
        match self.cut {
            TubeCut::Square => "square cut",
            TubeCut::Mitre { .. } => "mitre",
            TubeCut::Saddle(_) => "saddle",
            TubeCut::Flattened { .. } => "flattened end",
        }
    }
}

/// Place and value of the least of a smooth function of an angle: a scan by degrees, then golden sections.
pub(super) fn least(value: impl Fn(f64) -> f64) -> (f64, f64) {
    const STEPS: u32 = 720;
    let step = std::f64::consts::TAU / f64::from(STEPS);
    let mut best = (0.0, f64::INFINITY);
    for i in 0..STEPS {
        let at = step * f64::from(i);
        let here = value(at);
        if here < best.1 {
            best = (at, here);
        }
    }
    let (mut low, mut high) = (best.0 - step, best.0 + step);
    let share = 0.5 * (5f64.sqrt() - 1.0);
    for _ in 0..60 {
        let (a, b) = (high - share * (high - low), low + share * (high - low));
        if value(a) < value(b) { high = b } else { low = a }
    }
    let at = 0.5 * (low + high);
    let here = value(at);
    if here < best.1 { (at, here) } else { best }
}
