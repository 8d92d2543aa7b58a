//! Joining the segments of single triangles to lines, by the edges they share.

use super::Place;
use std::collections::BTreeMap;

/// The way of a section through one triangle, or along an edge of the sheet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Segment {
    pub from: Place,
    pub to: Place,
    /// Edge through which it comes in; none for an edge of the sheet.
    pub from_edge: Option<(u32, u32)>,
    pub to_edge: Option<(u32, u32)>,
}

/// Segments with their neighbours along the line.
#[derive(Debug, Default)]
pub(super) struct Segments {
    all: Vec<Segment>,
    next: Vec<Option<usize>>,
    previous: Vec<Option<usize>>,
    dropped: Vec<bool>,
}

impl Segments {
    pub fn push(&mut self, segment: Segment) -> usize {
        self.all.push(segment);
        self.next.push(None);
        self.previous.push(None);
        self.dropped.push(false);
        self.all.len() - 1
    }

    /// Adds an edge of the sheet that lies in the plane.
    pub fn push_edge(&mut self, from: u32, to: u32) {
        self.push(Segment { from: Place::Point(from), to: Place::Point(to), from_edge: None, to_edge: None });
    }

    /// Joins each segment to the one that comes in where it goes out.
    pub fn link(&mut self) {
        let entered: BTreeMap<(u32, u32), usize> =
            self.all.iter().enumerate().filter_map(|(i, segment)| Some((segment.from_edge?, i))).collect();
        for i in 0..self.all.len() {
            if let Some(&follower) = self.all[i].to_edge.and_then(|edge| entered.get(&edge)) {
                self.chain(Some(i), Some(follower));
            }
        }
    }

    /// Takes out the two segments that run there and back along an edge which the plane only touches, and joins what is left
    /// at each of its ends.
    pub fn part(&mut self, one: usize, other: usize) {
        let (before_one, after_one) = (self.previous[one], self.next[one]);
        let (before_other, after_other) = (self.previous[other], self.next[other]);
        for segment in [one, other] {
            self.dropped[segment] = true;
            (self.previous[segment], self.next[segment]) = (None, None);
        }
        match (after_other == Some(one), after_one == Some(other)) {
            (true, true) => {}
            (true, false) => self.chain(before_other, after_one),
            (false, true) => self.chain(before_one, after_other),
            (false, false) => {
                self.chain(before_one, after_other);
                self.chain(before_other, after_one);
            }
        }
    }

    fn chain(&mut self, before: Option<usize>, after: Option<usize>) {
        if let Some(before) = before {
            self.next[before] = after;
        }
        if let Some(after) = after {
            self.previous[after] = before;
        }
    }

    /// Joins ends that lie at one point of the skin where an edge of the sheet in the plane goes on from it.
    pub fn join_ends(&mut self) {
        let at = |place: Place| if let Place::Point(point) = place { Some(point) } else { None };
        let mut starts: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
        for (i, segment) in self.all.iter().enumerate().rev() {
            if let (false, None, Some(point)) = (self.dropped[i], self.previous[i], at(segment.from)) {
                starts.entry(point).or_default().push(i);
            }
        }
        for i in 0..self.all.len() {
            if let (false, None, Some(point)) = (self.dropped[i], self.next[i], at(self.all[i].to)) {
                let open = starts.get_mut(&point);
                let is_edge = |segment: usize| self.all[segment].from_edge.is_none();
                let fits = |&follower: &usize| follower != i && (is_edge(i) || is_edge(follower));
                if let Some(follower) = open.and_then(|open| open.iter().rposition(fits).map(|at| open.remove(at))) {
                    self.chain(Some(i), Some(follower));
                }
            }
        }
    }

    /// The places along each line, and whether it closes. Lines that shrink to a point are kept for the caller to drop.
    pub fn lines(&self) -> Vec<(Vec<Place>, bool)> {
        let mut done = self.dropped.clone();
        let mut lines = Vec::new();
        let open = (0..self.all.len()).filter(|&i| self.previous[i].is_none());
        for start in open.chain(0..self.all.len()).collect::<Vec<_>>() {
            if done[start] {
                continue;
            }
            let (mut places, mut at) = (vec![self.all[start].from], Some(start));
            while let Some(segment) = at.filter(|&segment| !done[segment]) {
                done[segment] = true;
                places.push(self.all[segment].to);
                at = self.next[segment];
            }
            lines.push((places, self.previous[start].is_some()));
        }
        lines
    }
}
