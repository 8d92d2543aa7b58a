use super::*;
use crate::shapes::sheet;
use glam::DVec3;

fn cut(skin: &Skin, points: &[[f64; 3]], closed: bool, edge_mm: f64) -> Result<Panel, PanelError> {
    let line = SeamLine { points_mm: points.iter().map(|p| DVec3::from(*p)).collect(), closed };
    let settings = PanelSettings { edge_mm, far_edge_mm: None };
    Panel::cut(skin, &[line], &settings, &Progress::silent(), &Cancel::new())
}

#[test]
fn a_line_from_edge_to_edge_parts_the_sheet_and_keeps_its_area() {
    let skin = sheet(400.0, 200.0, 0.0);
    let panel = cut(&skin, &[[0.0, 93.0, 0.0], [400.0, 111.0, 0.0]], false, 8.0).unwrap();
    assert_eq!((panel.pieces, panel.closed_pieces), (2, 1));
    assert!((panel.closed.area_mm2() - 80_000.0).abs() < 1e-6);
    let seam = &panel.seams[0];
    assert!((seam.length_mm - 400f64.hypot(18.0)).abs() < 0.5, "{}", seam.length_mm);
    assert_eq!(panel.open.points_mm.len(), panel.closed.points_mm.len() + seam.pairs.len());
    let total: f64 = seam.pairs.iter().map(|p| p.share_mm).sum();
    assert!((total - seam.length_mm).abs() < 1e-6, "shares add up: {total}");
    for pair in &seam.pairs {
        let at = panel.open.points_mm[pair.left as usize];
        assert_eq!(at, panel.open.points_mm[pair.right as usize]);
        assert!((at.y - 93.0 - 18.0 * at.x / 400.0).abs() < 0.05, "{at}");
        assert!(pair.across.y > 0.9 && pair.along.x > 0.9 && pair.normal.z > 0.9);
        assert_ne!(panel.piece_of[pair.left as usize], panel.piece_of[pair.right as usize]);
    }
    let smallest = panel.open.smallest_angle_rad().to_degrees();
    assert!(smallest > 10.0, "smallest angle {smallest}");
    // joined again it is the closed sheet
    let (again, _) = panel.joined(&vec![true; seam.pairs.len()]);
    assert_eq!(again.points_mm.len(), panel.closed.points_mm.len());
}

#[test]
fn a_closed_line_on_a_crowned_panel_cuts_a_section_out() {
    let skin = sheet(600.0, 400.0, 20.0);
    let corners: Vec<[f64; 3]> = (0..24)
        .map(|i| {
            let a = std::f64::consts::TAU * f64::from(i) / 24.0;
            let (x, y) = (300.0 + 110.0 * a.cos(), 200.0 + 80.0 * a.sin());
            [x, y, 16.0 * 20.0 * (x / 600.0) * (1.0 - x / 600.0) * (y / 400.0) * (1.0 - y / 400.0)]
        })
        .collect();
    let panel = cut(&skin, &corners, true, 8.0).unwrap();
    assert_eq!((panel.pieces, panel.closed_pieces, panel.seams[0].closed), (2, 1, true));
    assert!((panel.closed.area_mm2() / skin.area_mm2() - 1.0).abs() < 1e-3);
    // an ellipse of half axes 110 and 80, but for its 24 corners and the crown
    assert!((panel.seams[0].length_mm - 600.0).abs() < 12.0, "{}", panel.seams[0].length_mm);
}

#[test]
fn a_slit_that_ends_in_the_sheet_keeps_its_end_joined() {
    let skin = sheet(400.0, 200.0, 0.0);
    let panel = cut(&skin, &[[0.0, 100.0, 0.0], [251.0, 100.0, 0.0]], false, 8.0).unwrap();
    assert_eq!((panel.pieces, panel.closed_pieces), (1, 1));
    assert!((panel.seams[0].length_mm - 251.0).abs() < 9.0, "{}", panel.seams[0].length_mm);
}

#[test]
fn lines_that_cannot_be_cut_are_named() {
    let skin = sheet(400.0, 200.0, 0.0);
    let off = cut(&skin, &[[10.0, 100.0, 0.0], [390.0, 100.0, 7.5]], false, 8.0);
    assert!(matches!(off, Err(PanelError::OffMesh { distance_mm, .. }) if (distance_mm - 7.5).abs() < 1e-6), "{off:?}");
    let short = cut(&skin, &[[10.0, 100.0, 0.0], [12.0, 100.0, 0.0]], false, 8.0);
    assert!(matches!(short, Err(PanelError::TooShort { .. })), "{short:?}");
    let nan = cut(&skin, &[[10.0, f64::NAN, 0.0], [12.0, 100.0, 0.0]], false, 8.0);
    assert!(matches!(nan, Err(PanelError::NotFinite { point: 1, .. })), "{nan:?}");
    let crossed = cut(
        &skin,
        &[[0.0, 50.0, 0.0], [300.0, 50.0, 0.0], [300.0, 150.0, 0.0], [150.0, 150.0, 0.0], [150.0, 0.0, 0.0]],
        false,
        8.0,
    );
    assert!(matches!(crossed, Err(PanelError::Unclear { .. })), "{crossed:?}");
    assert!(matches!(cut(&skin, &[[0.0, 50.0, 0.0], [300.0, 50.0, 0.0]], false, 0.0), Err(PanelError::Setting { .. })));
}
