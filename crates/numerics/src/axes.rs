//! Principal axes of a symmetric 3 × 3 matrix (library `faer`).

use faer::{Mat, Side};

/// Unit vectors along which a cloud of points with this matrix of second moments is narrowest, middling and longest.
///
/// Signs are as they come; the axes of a matrix that is not finite are those of space.
#[must_use]
pub fn principal_axes(moments: [[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let matrix = Mat::<f64>::from_fn(3, 3, |i, j| 0.5 * (moments[i][j] + moments[j][i]));
    let finite = moments.iter().flatten().all(|value| value.is_finite());
    match matrix.self_adjoint_eigen(Side::Lower) {
        Ok(eigen) if finite => std::array::from_fn(|axis| std::array::from_fn(|i| eigen.U()[(i, axis)])),
        _ => [[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_flat_cloud_has_its_axes() {
        // 2 along (3, 4, 0)/5, 1 along (−4, 3, 0)/5, 0 along z
        let moments = [[0.64 + 0.72, 0.96 - 0.48, 0.0], [0.96 - 0.48, 1.28 + 0.36, 0.0], [0.0; 3]];
        let axes = principal_axes(moments);
        for (axis, expected) in axes.iter().zip([[0.0, 0.0, 1.0], [-0.8, 0.6, 0.0], [0.6, 0.8, 0.0]]) {
            let along: f64 = axis.iter().zip(expected).map(|(a, b)| a * b).sum();
            assert!((along.abs() - 1.0).abs() < 1e-12, "{axis:?}");
        }
        assert_eq!(principal_axes([[f64::NAN; 3]; 3])[0], [0.0, 0.0, 1.0]);
    }
}
