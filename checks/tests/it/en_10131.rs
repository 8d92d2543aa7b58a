//! EN 10131:2006 table 1, thickness of cold-rolled low-carbon sheet (Re below 260 N/mm²): two reprints agree (seen).

use crate::near::near;
use handbook::tolerances::{SheetOrder, sheet_thickness};

const WIDTHS_MM: [f64; 3] = [1200.0, 1500.0, 1501.0];

#[test]
fn t9_normal() {
    for (upper_mm, row) in [
        (0.60, [0.03, 0.04, 0.05]),
        (0.80, [0.04, 0.05, 0.06]),
        (1.00, [0.05, 0.06, 0.07]),
        (1.20, [0.06, 0.07, 0.08]),
        (1.60, [0.08, 0.09, 0.10]),
    ] {
        for (width_mm, printed) in WIDTHS_MM.into_iter().zip(row) {
            near(sheet_thickness(upper_mm, width_mm, SheetOrder::Normal).unwrap().value, printed, 1e-12);
        }
    }
}

#[test]
fn t10_special() {
    for (upper_mm, row) in [(0.80, [0.030, 0.035, 0.040]), (1.00, [0.035, 0.040, 0.050]), (1.20, [0.040, 0.050, 0.060])]
    {
        for (width_mm, printed) in WIDTHS_MM.into_iter().zip(row) {
            near(sheet_thickness(upper_mm, width_mm, SheetOrder::Special).unwrap().value, printed, 1e-12);
        }
    }
    assert!(sheet_thickness(1.5, 1000.0, SheetOrder::Special).is_err());
}

#[test]
fn t11_sheet_of_0_90_and_1250_wide() {
    for (order, thin, thick) in [(SheetOrder::Normal, 0.84, 0.96), (SheetOrder::Special, 0.86, 0.94)] {
        let plus_minus = sheet_thickness(0.90, 1250.0, order).unwrap().value;
        near(0.90 - plus_minus, thin, 1e-12);
        near(0.90 + plus_minus, thick, 1e-12);
    }
}
