//! Rotations of any size as vectors, and how they change.
//!
//! Source of the closed forms: C. A. Felippa, B. Haugen, A unified formulation of small-strain corotational finite elements: I. Theory,
//! Comput. Methods Appl. Mech. Engrg. 194 (2005) 2285–2335 (from memory; the tests differentiate numerically).

use glam::{DMat3, DQuat, DVec3};

/// Below this angle series stand in for the closed forms.
const SMALL_RAD: f64 = 0.05;

/// Matrix of the cross product: `skew(a) b = a × b`.
pub fn skew(a: DVec3) -> DMat3 {
    DMat3::from_cols(DVec3::new(0.0, a.z, -a.y), DVec3::new(-a.z, 0.0, a.x), DVec3::new(a.y, -a.x, 0.0))
}

/// Outer product `a bᵀ`.
pub fn outer(a: DVec3, b: DVec3) -> DMat3 {
    DMat3::from_cols(a * b.x, a * b.y, a * b.z)
}

/// Rotation by a vector; exact for small ones too.
pub fn turn(vector: DVec3) -> DQuat {
    let half = 0.5 * vector.length();
    // sin(x)/x
    let ratio = if half < 1e-4 { 1.0 - half * half / 6.0 } else { half.sin() / half };
    let v = 0.5 * ratio * vector;
    DQuat::from_xyzw(v.x, v.y, v.z, half.cos()).normalize()
}

/// Vector of a rotation of less than half a turn, rad.
pub fn vector_of(rotation: DMat3) -> DVec3 {
    let [x, y, z] = [rotation.x_axis, rotation.y_axis, rotation.z_axis];
    let axial = 0.5 * DVec3::new(y.z - z.y, z.x - x.z, x.y - y.x);
    let sine = axial.length();
    let cosine = 0.5 * (x.x + y.y + z.z - 1.0);
    if sine < 1e-4 && cosine > 0.0 { axial * (1.0 + sine * sine / 6.0) } else { axial * (sine.atan2(cosine) / sine) }
}

/// Vector of a rotation of a node, rad, of at most half a turn.
pub fn vector_of_node(rotation: DQuat) -> DVec3 {
    let rotation = if rotation.w < 0.0 { -rotation } else { rotation };
    let v = rotation.xyz();
    let sine = v.length();
    if sine < 1e-8 { 2.0 * v } else { v * (2.0 * sine.atan2(rotation.w) / sine) }
}

/// `(1 − ½θ cot ½θ)/θ²`, and its derivative by θ over θ.
fn eta_and_mu(angle: f64) -> (f64, f64) {
    let square = angle * angle;
    if angle < SMALL_RAD {
        let eta = 1.0 / 12.0 + square / 720.0 + square * square / 30_240.0;
        return (eta, 1.0 / 360.0 + square / 7560.0 + square * square / 201_600.0);
    }
    let (half_sine, sine, cosine) = ((0.5 * angle).sin(), angle.sin(), angle.cos());
    let eta = (1.0 - 0.5 * angle * (0.5 * angle).cos() / half_sine) / square;
    let mu = (square + 4.0 * cosine + angle * sine - 4.0) / (4.0 * square * square * half_sine * half_sine);
    (eta, mu)
}

/// H: change of the rotation vector by a small further rotation in fixed axes.
pub fn vector_by_spin(vector: DVec3) -> DMat3 {
    let (eta, _) = eta_and_mu(vector.length());
    let s = skew(vector);
    DMat3::IDENTITY - s * 0.5 + s * s * eta
}

/// L: change of `Hᵀ m` by a small further rotation, m being held.
pub fn moment_by_spin(vector: DVec3, moment: DVec3) -> DMat3 {
    let (eta, mu) = eta_and_mu(vector.length());
    let s = skew(vector);
    let by_vector = (DMat3::IDENTITY * vector.dot(moment) + outer(vector, moment) - outer(moment, vector) * 2.0) * eta
        + s * s * outer(moment, vector) * mu
        - skew(moment) * 0.5;
    by_vector * vector_by_spin(vector)
}

#[cfg(test)]
mod tests {
    use super::*;

    const VECTORS: [DVec3; 4] = [
        DVec3::new(1e-9, 2e-9, -1e-9),
        DVec3::new(0.02, -0.01, 0.03),
        DVec3::new(0.4, -0.8, 0.3),
        DVec3::new(-1.5, 1.2, 1.9),
    ];

    #[test]
    fn there_and_back() {
        for v in VECTORS {
            assert!((vector_of(DMat3::from_quat(turn(v))) - v).length() < 1e-14 * (1.0 + v.length()), "{v}");
            assert!((vector_of_node(turn(v)) - v).length() < 1e-14 * (1.0 + v.length()), "{v}");
        }
    }

    #[test]
    fn derivatives_as_differences() {
        let moment = DVec3::new(0.7, -1.1, 0.4);
        for v in VECTORS {
            for axis in DVec3::AXES {
                let h = 1e-5;
                let further = |h: f64| vector_of_node(turn(axis * h) * turn(v));
                let vector = (further(h) - further(-h)) / (2.0 * h);
                assert!((vector - vector_by_spin(v) * axis).length() < 1e-8, "{v} {axis}");
                let turned = |h: f64| vector_by_spin(further(h)).transpose() * moment;
                let change = (turned(h) - turned(-h)) / (2.0 * h);
                assert!((change - moment_by_spin(v, moment) * axis).length() < 1e-8, "{v} {axis}: {change}");
            }
        }
    }

    #[test]
    fn series_meet_the_closed_forms() {
        let (below, above) = (eta_and_mu(SMALL_RAD * (1.0 - 1e-9)), eta_and_mu(SMALL_RAD));
        assert!((below.0 - above.0).abs() < 1e-11, "{below:?} {above:?}");
        // the closed form of μ loses six digits to cancelling here
        assert!((below.1 - above.1).abs() < 1e-7, "{below:?} {above:?}");
    }
}
