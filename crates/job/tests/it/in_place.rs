//! The panel round a repair: the demo's wheel arch and roof corner with the old sheet beyond their cut lines.

use crate::{DOME, EXAMPLES, read, shop};
use job::plan::{InPlace, in_place};

fn of(text: &str, band_mm: f64) -> Result<InPlace, String> {
    let job = read(text);
    in_place(&job, &job.sections[0], &shop(), band_mm, 15.0)
}

fn example(name: &str) -> &'static str {
    EXAMPLES.iter().find(|(own, _)| *own == name).unwrap().1
}

fn length(line: &[glam::DVec3]) -> f64 {
    line.windows(2).map(|pair| pair[0].distance(pair[1])).sum()
}

/// The cut edge of the arch runs 900 mm along its edge line, outside it on a greater radius; its panel goes on 150 mm beyond.
#[test]
fn the_wheel_arch_is_joined_along_its_cut_edge() {
    let placed = of(example("arch-edge"), 150.0).unwrap();
    assert_eq!(placed.around.seams.len(), 1);
    assert!(!placed.around.closed[0]);
    let (seam, far) = (length(&placed.around.seams[0]), length(&placed.around.far_edges[0]));
    assert!(seam > 700.0 && far > seam, "{seam} {far}: the arch is convex upwards");
    assert_eq!(placed.stiff_edges.len(), 1, "the wired edge");
    placed.around.skin.topology().unwrap();
}

#[test]
fn the_roof_corner_is_joined_round_its_corner_and_held_at_its_flanges() {
    let placed = of(DOME, 150.0).unwrap();
    assert_eq!(placed.around.seams.len(), 1, "inner and rear cut meet at a corner");
    assert_eq!(placed.stiff_edges.len(), 3);
    let seam = length(&placed.around.seams[0]);
    assert!(seam > 420.0 + 360.0, "{seam}: longer over the crown than its outline");
    let skin = &placed.around.skin;
    skin.topology().unwrap();
    let piece = placed.around.piece_triangles;
    assert!(piece > 100 && skin.triangles.len() > piece);
}

#[test]
fn a_kind_that_is_not_worked_out_is_named() {
    let why = of(example("ladder-tube"), 150.0).unwrap_err();
    assert!(why.contains("strips and skins"), "{why}");
}
