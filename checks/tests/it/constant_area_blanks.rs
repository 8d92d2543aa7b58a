//! Constant-area blanks: Machinery's Handbook, blank diameters (S1, S3–S7, from memory); Sheet and Plate Metal Work ch. XXVIII (S2,
//! seen); Hodgson, working of sheet metals, figs. 271–273 (S8–S10, seen); Pappus (S11, derived).
//!
//! Two things are checked: that the printed blank has the area of the shape (closed form), and that this project's surfaces, cut
//! into triangles, have that area too. A least-work blank need not have it, but on a shallow cap it comes close.

use crate::near::near;
use crate::skins::{Cut, cap, disc};
use blank::flatten::{FlattenSettings, Flow, Route, flatten};
use glam::DVec3;
use mesh::Skin;
use numerics::{Cancel, Progress};
use std::f64::consts::PI;

/// Diameter of the flat disc that has an area.
fn blank_diameter(area: f64) -> f64 {
    (4.0 * area / PI).sqrt()
}

/// A body of revolution whose meridian (radius, height) is followed from the axis outward, every straight by as many rings.
fn revolved(meridian: &[[f64; 2]]) -> Skin {
    let straights = meridian.len() - 1;
    let rings = 120 / straights * straights;
    disc(6 * rings * rings, Cut::Regular, |p| {
        let along = p.length() * straights as f64;
        let ends = &meridian[(along.floor() as usize).min(straights - 1)..];
        let share = along - (along.floor()).min(straights as f64 - 1.0);
        let at = [0, 1].map(|i| ends[0][i] + share * (ends[1][i] - ends[0][i]));
        let around = p.to_angle();
        DVec3::new(at[0] * around.cos(), at[0] * around.sin(), at[1])
    })
}

/// The rings are polygons of up to 720 corners, too small by a share of (π/n)²/6 on average and of (π/n)²/2 at the most: the
/// innermost rings of a cone or cylinder have the fewest. 3e-4 of the diameter holds all of it beside half the last digit.
#[track_caller]
fn near_blank(meridian: &[[f64; 2]], printed: f64) {
    near(blank_diameter(revolved(meridian).area_mm2()), printed, 3e-4 * printed);
}

#[test]
fn s1_to_s7_bodies_of_revolution() {
    near_blank(&[[0.0, 0.0], [25.0, 0.0], [25.0, 30.0]], 92.195); // S1
    near_blank(&[[0.0, 0.0], [12.0, 0.0], [12.0, 18.0]], 2.0 * 24.0); // S2, inches, by radius
    near_blank(&[[0.0, 0.0], [25.0, 0.0], [25.0, 30.0], [40.0, 30.0]], 111.355); // S6
    near_blank(&[[0.0, 0.0], [25.0, 0.0], [40.0, 40.0]], 116.650); // S7
    let hemisphere = cap(50.0, PI / 2.0, 60_000, Cut::Regular);
    near(blank_diameter(hemisphere.area_mm2()), 141.421, 3e-4 * 141.421); // S3
    let with_cylinder = hemisphere.area_mm2() + PI * 100.0 * 40.0;
    near(blank_diameter(with_cylinder), 189.737, 3e-4 * 189.737); // S5
}

#[test]
fn s4_s11_spherical_segments() {
    // inscribed triangles of rings 1/100 of the radius: short by about 1e-5 in diameter
    for (half, rise, diameter) in [(100.0f64, 30.0f64, 208.806), (200.0, 20.0, 401.995)] {
        let radius = (half * half + rise * rise) / (2.0 * rise);
        let skin = cap(radius, (half / radius).asin(), 60_000, Cut::Regular);
        near(blank_diameter(skin.area_mm2()), diameter, 2e-5 * diameter);
    }
    // S11: Pappus for the second: area π(a² + h²)
    let skin = cap(1010.0, (200.0f64 / 1010.0).asin(), 60_000, Cut::Regular);
    near(skin.area_mm2(), 126_920.3, 4e-5 * 126_920.3);
}

/// S8–S10 in inches: the printed blanks have the printed areas.
#[test]
fn s8_to_s10_hodgson() {
    let slant = 1.0f64.hypot(2.5);
    let pan = PI + PI * (1.0 + 2.0) * slant;
    near(pan, 28.519, 0.5e-3);
    near(blank_diameter(pan), 6.026, 0.5e-3);
    near(PI * 5.5 / 2.0 * 1.25 + PI * 7.0 / 4.0, 16.297, 0.5e-3);
    near(PI / 4.0 * 3.45 * 6.037, 16.358, 0.5e-3);
    near(3.5 * 2.5 + 2.0 * (3.5 + 2.5) * 1.0, 20.75, 1e-9);
    near(3.86 * 5.404, 20.859, 0.5e-3);
}

/// The least-work blank of a shallow cap (S4, second case) has nearly its area: what is stretched in the middle is gathered at the
/// rim. The mean strain of keeping the area is of second order, so the blank's diameter lies between chord and arc and within
/// a fifth of their difference from S4's.
#[test]
fn s4_a_least_work_blank_lies_near_the_constant_area_blank() {
    let skin = cap(1010.0, (200.0f64 / 1010.0).asin(), 2400, Cut::Regular);
    let flow = Flow { strength_n_mm2: 550.0, hardening_exponent: 0.21 };
    let settings = FlattenSettings::least_work(flow, Route::LeastWork, 0.9);
    let flat = flatten(&skin, &settings, &Progress::silent(), &Cancel::new()).unwrap();
    let diameter = blank_diameter(flat.flat_area_mm2);
    let (chord, arc) = (400.0, 2.0 * 201.331);
    assert!(chord < diameter && diameter < arc, "{diameter}");
    near(diameter, 401.995, 0.2 * (arc - chord));
}
