//! The free edges of the skin given, and how far a chord leaves them.

use crate::edit::{EditMesh, NONE};
use glam::DVec3;

pub(super) struct Rim {
    loops: Vec<Vec<DVec3>>,
    /// Loop and number in it of a point that lies on one.
    place: Vec<Option<(u32, u32)>>,
}

impl Rim {
    pub fn new(mesh: &EditMesh) -> Self {
        let mut rim = Self { loops: Vec::new(), place: vec![None; mesh.points.len()] };
        let mut fan = Vec::new();
        for start in 0..3 * mesh.triangles.len() as u32 {
            if mesh.twin(start) != NONE || rim.place[mesh.from(start) as usize].is_some() {
                continue;
            }
            let (mut at, mut points) = (mesh.from(start), Vec::new());
            while rim.place[at as usize].is_none() {
                rim.place[at as usize] = Some((rim.loops.len() as u32, points.len() as u32));
                points.push(mesh.at(at));
                mesh.fan(at, &mut fan);
                let Some(&leaving) = fan.first() else { break };
                at = mesh.to(leaving);
            }
            rim.loops.push(points);
        }
        rim
    }

    pub fn is_on(&self, point: u32) -> bool {
        self.place[point as usize].is_some()
    }

    /// The kept point takes the place of another.
    pub fn take_place(&mut self, point: u32, of: u32) {
        self.place[point as usize] = self.place[of as usize];
    }

    /// Largest distance of the points between two places of a loop, in its direction, from the chord; mm.
    ///
    /// That is the distance of chord and loop both ways: the loop between its points is straight, and each point of the chord lies
    /// abreast of some place of the loop.
    pub fn chord_mm(&self, from: u32, to: u32) -> f64 {
        let (Some((loop_from, i)), Some((loop_to, j))) = (self.place[from as usize], self.place[to as usize]) else {
            return 0.0;
        };
        if loop_from != loop_to {
            return f64::INFINITY;
        }
        let points = &self.loops[loop_from as usize];
        let (i, j, n) = (i as usize, j as usize, points.len());
        let (a, b) = (points[i], points[j]);
        let between = (1..(j + n - i) % n).map(|k| points[(i + k) % n]);
        let chord = b - a;
        let away = |p: DVec3| {
            let along = ((p - a).dot(chord) / chord.length_squared()).clamp(0.0, 1.0);
            p.distance(a + chord * along)
        };
        between.map(away).fold(0.0, f64::max)
    }
}
