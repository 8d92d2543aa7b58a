//! Small sheets of springs: the condensed walk against the whole system solved anew with Lagrange multipliers at every step.

use super::*;
use crate::order::{CondensedEvent, GapLimit, Projection, Watch};
use faer::linalg::solvers::Solve;
use faer::{Mat, Side};
use std::sync::Arc;

/// A random sheet: stiffness, rows of relative motion, and forces of shrinkage of some events.
pub(in crate::order) struct Sheet {
    stiffness: Mat<f64>,
    rows: Mat<f64>,
    forces: Vec<Mat<f64>>,
    joins: Vec<Vec<u32>>,
}

pub(in crate::order) fn sheet(unknowns: usize, events: usize, rows_each: usize, seed: u64) -> Sheet {
    let mut random = fastrand::Rng::with_seed(seed);
    let mut number = |_: usize, _: usize| 2.0 * random.f64() - 1.0;
    let half = Mat::from_fn(unknowns, unknowns, &mut number);
    let stiffness = &half * half.transpose() + Mat::<f64>::identity(unknowns, unknowns);
    let rows = Mat::from_fn(events * rows_each, unknowns, &mut number);
    let forces = (0..events).map(|_| Mat::from_fn(unknowns, 1, &mut number)).collect();
    // neighbours share a row, as a run joins again what its tack has joined
    let joins = (0..events)
        .map(|e| (e * rows_each..(e + 1) * rows_each + usize::from(e + 1 < events)).map(|r| r as u32).collect());
    Sheet { stiffness, rows, forces, joins: joins.collect() }
}

impl Sheet {
    pub(in crate::order) fn condensed(&self, with_projection: bool) -> Condensed {
        let factor = self.stiffness.llt(Side::Lower).unwrap();
        let rows = self.rows.nrows();
        let compliance = &self.rows * factor.solve(self.rows.transpose().to_owned());
        let compliance =
            Arc::new((0..rows).flat_map(|i| (0..rows).map(move |j| (i, j))).map(|(i, j)| compliance[(i, j)]).collect());
        let limit = GapLimit { set_up_mm: 0.2, limits_mm: [0.0, 0.45] };
        let event = |e: usize| {
            let free = &self.rows * factor.solve(&self.forces[e]);
            CondensedEvent {
                rows: self.joins[e].clone(),
                watches: self.joins[e].iter().map(|row| Watch { row: *row, limit }).collect(),
                free: (0..rows).map(|i| free[(i, 0)]).collect(),
                phase: 0,
            }
        };
        let mut random = fastrand::Rng::with_seed(7);
        let mut packed = || (0..6).map(|_| 2.0 * random.f64() - 1.0).collect::<Vec<f64>>();
        let projection = with_projection.then(|| Projection {
            modes: 3,
            of_rows: (0..rows).map(|_| packed()).collect(),
            of_events: self.forces.iter().map(|_| packed()).collect(),
        });
        Condensed::new(rows, compliance, (0..self.forces.len()).map(event).collect(), projection).unwrap()
    }

    /// Relative motions at the end, each step the whole system with its multipliers.
    fn in_full(&self, order: &[u32], counts: &[f64]) -> Vec<f64> {
        let n = self.stiffness.nrows();
        let mut motion = Mat::<f64>::zeros(n, 1);
        let mut joined: Vec<usize> = Vec::new();
        for &event in order {
            joined.extend(self.joins[event as usize].iter().map(|r| *r as usize));
            joined.sort_unstable();
            joined.dedup();
            let whole = Mat::from_fn(n + joined.len(), n + joined.len(), |i, j| match (i < n, j < n) {
                (true, true) => self.stiffness[(i, j)],
                (true, false) => self.rows[(joined[j - n], i)],
                (false, true) => self.rows[(joined[i - n], j)],
                (false, false) => 0.0,
            });
            let side =
                Mat::from_fn(n + joined.len(), 1, |i, _| if i < n { self.forces[event as usize][(i, 0)] } else { 0.0 });
            let step = whole.full_piv_lu().solve(&side);
            let counts = counts.get(event as usize).copied().unwrap_or(1.0);
            motion += counts * step.subrows(0, n);
        }
        let relative = &self.rows * motion;
        (0..self.rows.nrows()).map(|i| relative[(i, 0)]).collect()
    }
}

#[test]
fn condensed_is_the_whole_system_solved_anew() {
    let sheet = sheet(40, 6, 3, 3);
    let model = sheet.condensed(true);
    // the last as on sheet that is warm where some start
    for (order, counts) in
        [([0, 1, 2, 3, 4, 5], vec![]), ([5, 2, 0, 3, 1, 4], vec![]), ([5, 2, 0, 3, 1, 4], vec![1.3, 1.0, 1.1, 1.6])]
    {
        let (steps, walk) = trail(&model, &order, &counts).unwrap();
        assert_eq!(steps.len(), 6);
        let full = sheet.in_full(&order, &counts);
        let size = full.iter().fold(0.0f64, |m, v| m.max(v.abs()));
        for (got, want) in walk.relative().iter().zip(&full) {
            assert!((got - want).abs() < 1e-9 * size, "{got} {want}");
        }
        // the same sheet by the forces at the joins: all shrinkage unjoined, less the push
        for (row, want) in full.iter().enumerate() {
            let counted = |(e, event): (usize, &CondensedEvent)| counts.get(e).unwrap_or(&1.0) * event.free[row];
            let free: f64 = model.events().iter().enumerate().map(counted).sum();
            let held = crate::order::factor::dot(model.compliance_row(row as u32), walk.push());
            assert!((free - held - want).abs() < 1e-9 * size);
        }
    }
}

#[test]
fn in_one_connected_sheet_the_order_does_not_matter() {
    let mut sheet = sheet(40, 6, 3, 5);
    // the first event joins everything and shrinks nothing
    sheet.forces.insert(0, Mat::zeros(40, 1));
    sheet.joins.insert(0, (0..18).collect());
    let model = sheet.condensed(false);
    let end = |order: &[u32]| trail(&model, order, &[]).unwrap().1.push().to_vec();
    let (one, other) = (end(&[0, 1, 2, 3, 4, 5, 6]), end(&[0, 4, 6, 1, 3, 2, 5]));
    let size = one.iter().fold(0.0f64, |m, v| m.max(v.abs()));
    assert!(one.iter().zip(&other).all(|(a, b)| (a - b).abs() < 1e-9 * size));
    // and with open seams it does
    let open = self::sheet(40, 6, 3, 5).condensed(false);
    let end = |order: &[u32]| trail(&open, order, &[]).unwrap().1.push().to_vec();
    let (one, other) = (end(&[0, 1, 2, 3, 4, 5]), end(&[4, 2, 0, 1, 3, 5]));
    assert!(one.iter().zip(&other).any(|(a, b)| (a - b).abs() > 1e-2 * size));
}

#[test]
fn a_walk_returns_to_a_mark_with_the_same_bits() {
    let model = sheet(40, 6, 3, 9).condensed(true);
    let mut walk = Walk::new(&model);
    walk.step(2);
    walk.step(0);
    let mark = walk.mark();
    walk.step(5);
    let once = (walk.relative().to_vec(), walk.score());
    walk.step(1);
    walk.return_to(&mark, None);
    walk.step(5);
    assert_eq!((walk.relative().to_vec(), walk.score()), once);
    let mut other = Walk::new(&model);
    other.step(3);
    other.return_to(&mark, Some(&walk));
    other.step(5);
    assert_eq!((other.relative().to_vec(), other.score()), once);
}

#[test]
fn what_is_no_order_is_refused() {
    let mut model = sheet(20, 3, 2, 1).condensed(false);
    for wrong in [&[0, 1][..], &[0, 1, 1], &[0, 1, 3], &[0, 1, 2, 2]] {
        assert_eq!(model.score(wrong), Err(OrderError::NoOrder { events: 3 }));
    }
    model.events[0].phase = 1;
    assert_eq!(model.score(&[0, 1, 2]), Err(OrderError::NoOrder { events: 3 }));
    assert!(model.score(&[2, 1, 0]).is_ok());
    let short = Condensed::new(3, Arc::new(vec![0.0; 8]), Vec::new(), None);
    assert!(matches!(short, Err(OrderError::WrongLength { need: 9, .. })));
    assert!(matches!(Condensed::new(1, Arc::new(vec![1.0]), Vec::new(), None), Err(OrderError::NoEvent)));
}
