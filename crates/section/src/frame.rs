//! The moving frame of a strip, with its derivatives.

use crate::edge_line::Lean;
use crate::jet::{Jet, JetVector};
use crate::{EdgeLine, Frame, Outward, Runs, SectionError};
use glam::DVec3;

/// Frame at a station as jets by arc length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrameJet {
    /// Point on the edge line.
    pub origin_mm: JetVector,
    /// Tangent.
    pub t: JetVector,
    /// Outward.
    pub o: JetVector,
    /// t × o.
    pub u: JetVector,
    /// The way the strip runs: u, or −u.
    pub runs: JetVector,
}

/// Smallest sine of the angle between tangent and `outward`: about 3°.
const SMALLEST_SINE: f64 = 0.05;

impl FrameJet {
    /// Frame of an edge line with its outward vector at a station (mm). At a joint the side is chosen by `lean`.
    #[must_use]
    pub fn new(line: &EdgeLine, outward: &Outward, runs: Runs, station_mm: f64, lean: Lean) -> Self {
        let (origin_mm, t) = line.jets(station_mm, lean);
        let out = outward.jet(station_mm, lean);
        let o = (out - t * out.dot(t)).normalize();
        let u = t.cross(o);
        let runs = match runs {
            Runs::Up => u,
            Runs::Down => u * Jet::constant(-1.0),
        };
        Self { origin_mm, t, o, u, runs }
    }

    /// A point of the cross-section in space: `along_mm` = (along o, along the way the strip runs).
    #[must_use]
    pub fn point(&self, along_mm: [Jet; 2]) -> JetVector {
        self.origin_mm + self.direction(along_mm)
    }

    /// A direction of the cross-section in space.
    #[must_use]
    pub fn direction(&self, along: [Jet; 2]) -> JetVector {
        self.o * along[0] + self.runs * along[1]
    }

    /// Values only.
    #[must_use]
    pub fn frame(&self) -> Frame {
        Frame { origin_mm: self.origin_mm.value, t: self.t.value, o: self.o.value, u: self.u.value }
    }
}

impl Outward {
    /// The vector at a station; it need not be square to the edge line.
    #[must_use]
    pub fn jet(&self, station_mm: f64, lean: Lean) -> JetVector {
        let list = match self {
            Self::One(vector) => return JetVector::constant(*vector),
            Self::PerStation(list) => list,
        };
        let after = match lean {
            Lean::After => list.partition_point(|(station, _)| *station <= station_mm),
            Lean::Before => list.partition_point(|(station, _)| *station < station_mm),
        };
        match (after.checked_sub(1).and_then(|i| list.get(i)), list.get(after)) {
            (Some((s0, v0)), Some((s1, v1))) => {
                let slope = (v1.normalize() - v0.normalize()) / (s1 - s0);
                JetVector { value: v0.normalize() + slope * (station_mm - s0), first: slope, second: DVec3::ZERO }
            }
            (Some((_, vector)), None) | (None, Some((_, vector))) => JetVector::constant(*vector),
            (None, None) => JetVector::constant(DVec3::NAN),
        }
    }

    /// Stations at which the vector's rate of change jumps.
    #[must_use]
    pub fn breaks_mm(&self) -> Vec<f64> {
        match self {
            Self::One(_) => Vec::new(),
            Self::PerStation(list) => list.iter().map(|(station, _)| *station).collect(),
        }
    }

    /// Checks length, order of stations and direction against the edge line at the stations given.
    pub(crate) fn check(&self, line: &EdgeLine, stations_mm: &[f64]) -> Result<(), SectionError> {
        let vectors: &[(f64, DVec3)] = match self {
            Self::One(vector) => &[(0.0, *vector)],
            Self::PerStation(list) => list,
        };
        for (_, vector) in vectors {
            crate::error::within("the length of 'outward'", vector.length(), 1e-6..=1e9, "")?;
        }
        crate::error::rising("outward vector", vectors.iter().map(|(station, _)| *station))?;
        if vectors.is_empty() {
            return Err(crate::error::none("outward vectors"));
        }
        for &station_mm in stations_mm {
            let out = self.jet(station_mm, Lean::After).value;
            let across = out.cross(line.at(station_mm).tangent).length();
            if across.is_nan() || across < SMALLEST_SINE * out.length() || out.length() < 1e-6 {
                return Err(SectionError::ParallelToOutward { station_mm });
            }
        }
        Ok(())
    }
}
