use super::*;
use crate::sparse::BlockPattern;
use std::f64::consts::PI;

/// Laplacian of a grid of `n` × `m` points inside a frame that is held: eigenvalues 4 sin²(iπ/2(n+1)) + 4 sin²(jπ/2(m+1)).
fn grid(n: u32, m: u32) -> (BlockPattern<1>, Vec<f64>) {
    let mut elements = Vec::new();
    for y in 0..m {
        for x in 0..n {
            elements.extend((x + 1 < n).then(|| [y * n + x, y * n + x + 1]));
            elements.extend((y + 1 < m).then(|| [y * n + x, (y + 1) * n + x]));
        }
    }
    let pattern = BlockPattern::<1>::new((n * m) as usize, elements.iter().map(<[u32; 2]>::as_slice));
    let places = pattern.places(&elements);
    let mut values = vec![0.0; pattern.stored()];
    for e in 0..elements.len() {
        places.add(&pattern, e, &[[0.0, -1.0], [-1.0, 0.0]], &mut values);
    }
    for at in pattern.diagonals() {
        values[at] = 4.0;
    }
    (pattern, values)
}

fn factored(pattern: &BlockPattern<1>, values: &[f64]) -> Cholesky {
    let mut cholesky = Cholesky::analyse(pattern).unwrap();
    cholesky.factor(values).unwrap();
    cholesky
}

fn eigenvalue(i: u32, n: u32, j: u32, m: u32) -> f64 {
    let one = |i: u32, n: u32| 4.0 * (f64::from(i) * PI / (2.0 * f64::from(n + 1))).sin().powi(2);
    one(i, n) + one(j, m)
}

fn find(cholesky: &mut Cholesky, apply: impl FnMut(&[f64], &mut [f64]), settings: EigenSettings) -> Modes {
    least_factors(cholesky, apply, &settings, &Progress::silent(), &Cancel::new()).unwrap()
}

/// Closed form, with a double eigenvalue (1, 2) and (2, 1) and a triple neighbourhood behind it.
#[test]
fn a_square_grid_has_its_double_modes_twice() {
    let n = 40;
    let (pattern, values) = grid(n, n);
    let mut cholesky = factored(&pattern, &values);
    for basis in [60, 16] {
        let settings = EigenSettings { modes: 4, basis, tolerance: 1e-7, ..EigenSettings::default() };
        let modes = find(&mut cholesky, |x, y| y.copy_from_slice(x), settings);
        assert!(modes.converged && modes.negative.is_none());
        assert!(modes.steps < if basis == 60 { 20 } else { 40 }, "{} steps", modes.steps);
        for (mode, (i, j)) in modes.positive.iter().zip([(1, 1), (1, 2), (2, 1), (2, 2)]) {
            let want = eigenvalue(i, n, j, n);
            assert!((mode.factor / want - 1.0).abs() < 1e-11, "{} for {want}", mode.factor);
            assert!(mode.residual < 1e-7);
        }
        // the two of one factor are square to each other
        let both = dot(&modes.positive[1].shape, &modes.positive[2].shape);
        assert!(both.abs() < 1e-7 * dot(&modes.positive[1].shape, &modes.positive[1].shape));
    }
}

/// B indefinite, against the library's full solution of L⁻¹ B L⁻ᵀ; the same bits twice.
#[test]
fn an_indefinite_right_side_as_the_dense_solution_has_it() {
    let (n, m) = (17u32, 11u32);
    let (pattern, values) = grid(n, m);
    let size = (n * m) as usize;
    let sign = |i: usize| ((i * 7919) % 101) as f64 / 50.0 - 1.1;
    let apply = |x: &[f64], y: &mut [f64]| {
        for i in 0..size {
            y[i] = sign(i) * x[i]
                + if i > 0 { 0.3 * x[i - 1] } else { 0.0 }
                + if i + 1 < size { 0.3 * x[i + 1] } else { 0.0 };
        }
    };
    let (starts, rows) = pattern.columns();
    let mut k = Mat::<f64>::zeros(size, size);
    for column in 0..size {
        for at in starts[column] as usize..starts[column + 1] as usize {
            k[(rows[at] as usize, column)] = values[at];
            k[(column, rows[at] as usize)] = values[at];
        }
    }
    let mut b = Mat::<f64>::zeros(size, size);
    for column in 0..size {
        let (mut unit, mut product) = (vec![0.0; size], vec![0.0; size]);
        unit[column] = 1.0;
        apply(&unit, &mut product);
        (0..size).for_each(|row| b[(row, column)] = product[row]);
    }
    let lower = k.llt(Side::Lower).unwrap().L().to_owned();
    let par = Par::Seq;
    faer::linalg::triangular_solve::solve_lower_triangular_in_place(lower.as_ref(), b.as_mut(), par);
    let mut turned = b.transpose().to_owned();
    faer::linalg::triangular_solve::solve_lower_triangular_in_place(lower.as_ref(), turned.as_mut(), par);
    let all = turned.self_adjoint_eigenvalues(Side::Lower).unwrap();

    let mut cholesky = factored(&pattern, &values);
    let settings = EigenSettings { modes: 5, tolerance: 1e-7, ..EigenSettings::default() };
    let modes = find(&mut cholesky, apply, settings);
    assert!(modes.converged);
    for (mode, want) in modes.positive.iter().zip(all.iter().rev()) {
        assert!((mode.factor * want - 1.0).abs() < 1e-11, "{} for {}", mode.factor, 1.0 / want);
        // the residual is what it says: λ K⁻¹B x − x
        let mut image = vec![0.0; size];
        apply(&mode.shape, &mut image);
        cholesky.solve(&mut image).unwrap();
        let off: f64 = image.iter().zip(&mode.shape).map(|(a, x)| (mode.factor * a - x).powi(2)).sum();
        assert!(off.sqrt() < 1e-6, "{off:e}");
    }
    let negative = modes.negative.as_ref().unwrap();
    assert!((negative.factor * all[0] - 1.0).abs() < 1e-3, "{} for {}", negative.factor, 1.0 / all[0]);
    assert_eq!(modes, find(&mut cholesky, apply, settings));
}

#[test]
fn a_load_that_only_stretches_has_no_positive_factor_and_no_load_has_none_at_all() {
    let (pattern, values) = grid(20, 20);
    let mut cholesky = factored(&pattern, &values);
    let settings = EigenSettings::default();
    let modes = find(&mut cholesky, |x, y| y.iter_mut().zip(x).for_each(|(y, x)| *y = -x), settings);
    assert!(modes.converged && modes.positive.is_empty());
    assert!((modes.negative.unwrap().factor + eigenvalue(1, 20, 1, 20)).abs() < 1e-9);
    let modes = find(&mut cholesky, |_, y| y.fill(0.0), settings);
    assert!(modes.converged && modes.positive.is_empty() && modes.negative.is_none());
}

#[test]
fn a_problem_smaller_than_the_basis_is_solved_whole() {
    let (pattern, values) = grid(3, 3);
    let mut cholesky = factored(&pattern, &values);
    let modes =
        find(&mut cholesky, |x, y| y.copy_from_slice(x), EigenSettings { modes: 9, ..EigenSettings::default() });
    // single, double, triple neighbourhood: a block of two finds no more than two of each value
    assert!(modes.converged && modes.positive.len() >= 6, "{}", modes.positive.len());
    let modes = find(
        &mut cholesky,
        |x, y| y.iter_mut().zip(x).enumerate().for_each(|(i, (y, x))| *y = if i == 4 { *x } else { 0.0 }),
        EigenSettings { modes: 3, ..EigenSettings::default() },
    );
    assert!(modes.converged && modes.positive.len() == 1, "a right side of rank one has one factor");
}

#[test]
fn stopping_bad_products_and_small_bases_are_told_apart() {
    let (pattern, values) = grid(10, 10);
    let mut cholesky = factored(&pattern, &values);
    let (silent, cancel) = (Progress::silent(), Cancel::new());
    let settings = EigenSettings::default();
    let bad = least_factors(&mut cholesky, |_, y| y.fill(f64::NAN), &settings, &silent, &cancel);
    assert_eq!(bad, Err(EigenError::NotFinite));
    let small = EigenSettings { basis: 5, ..settings };
    let copy = |x: &[f64], y: &mut [f64]| y.copy_from_slice(x);
    assert_eq!(
        least_factors(&mut cholesky, copy, &small, &silent, &cancel),
        Err(EigenError::SmallBasis { got: 5, need: 9 })
    );
    let mut calls = 0;
    let flag = cancel.clone();
    let counted = |x: &[f64], y: &mut [f64]| {
        calls += 1;
        if calls == 4 {
            flag.cancel();
        }
        y.copy_from_slice(x);
    };
    assert_eq!(
        least_factors(&mut cholesky, counted, &settings, &silent, &cancel),
        Err(EigenError::Cancelled(Cancelled))
    );
    assert!(calls < 7, "{calls} products after being asked to stop");
}
