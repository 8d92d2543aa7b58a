//! Hollomon hardening: textbook form, n equal to the uniform strain seen in a steel-industry text. Numbers derived.

use crate::near::near;
use handbook::materials::{flow_stress_n_mm2, hollomon_tensile_n_mm2};

#[test]
fn s32_tensile_strength_from_k_and_n() {
    near(hollomon_tensile_n_mm2(550.0, 0.21), 321.238, 0.5e-3);
    for (k, n, printed) in [(530.0, 0.26, 287.9), (180.0, 0.20, 106.8), (202.0, 0.13, 136.1)] {
        near(hollomon_tensile_n_mm2(k, n), printed, 0.05);
    }
}

#[test]
fn s33_flow_stress() {
    for (strain, printed) in [(0.05, 293.2), (0.10, 339.1), (0.20, 392.3)] {
        near(flow_stress_n_mm2(550.0, 0.21, strain), printed, 0.05);
    }
}
