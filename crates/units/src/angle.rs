//! Angles. Inside the program every angle is in radians; degrees exist only in what people read and write.
//!
//! A *bend angle* is turned from flat: 0 is a flat sheet, π is folded back on itself. An *opening angle* lies between
//! the faces: π is flat. The two are supplements; mixing them is the commonest error of bend tables, so every
//! signature of the project says which one it takes.

use std::f64::consts::PI;

/// Bend angle (turned from flat, rad) of a bend whose opening angle (between the faces, rad) is given.
pub fn bend_from_opening_rad(opening_angle_rad: f64) -> f64 {
    PI - opening_angle_rad
}

/// Opening angle (between the faces, rad) of a bend whose bend angle (turned from flat, rad) is given.
pub fn opening_from_bend_rad(bend_angle_rad: f64) -> f64 {
    PI - bend_angle_rad
}

/// Prints an angle given in radians as degrees with `decimals` places ("87.5°"); trailing zeros are dropped.
pub fn format_deg(angle_rad: f64, decimals: usize) -> String {
    let deg = angle_rad.to_degrees();
    if !deg.is_finite() {
        return "not a number".to_owned();
    }
    format!("{}°", crate::print::trimmed(deg, decimals))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn opening_and_bend_are_supplements() {
        assert!((bend_from_opening_rad(60f64.to_radians()).to_degrees() - 120.0).abs() < 1e-12);
        assert!((opening_from_bend_rad(120f64.to_radians()).to_degrees() - 60.0).abs() < 1e-12);
    }

    #[test]
    fn degrees_print_without_idle_zeros() {
        assert_eq!(format_deg(87.5f64.to_radians(), 2), "87.5°");
        assert_eq!(format_deg(-0.0, 1), "0°");
        assert_eq!(format_deg(f64::NAN, 1), "not a number");
    }
}
