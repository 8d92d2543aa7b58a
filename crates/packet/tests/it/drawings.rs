//! Drawings of the invented Wren 15 used by the tests. Sizes are made up but of workshop kind.

use glam::DVec2;
use packet::drawing::{Along, Drawing, Label, Layer, Polyline, RunningStation, Shape, Text, TextHeight, Vertex};

const fn at(x: f64, y: f64) -> DVec2 {
    DVec2::new(x, y)
}

/// Flat of a step-well tray: four flanges, relief notches, a drain hole, a slot; rounded corners as bulges.
pub fn tray() -> Drawing {
    let mut drawing =
        Drawing::new("Wren 15 step-well tray", "Flat of the rear step-well tray, 360 by 260 mm, four flanges");
    let corner = (std::f64::consts::FRAC_PI_8).tan();
    let quarter = [at(0.0, 40.0), at(40.0, 40.0), at(40.0, 5.0)];
    let mut vertices = vec![Vertex { at: at(5.0, 40.0), bulge: 0.0 }];
    vertices.extend(quarter[1..].iter().map(|p| Vertex { at: *p, bulge: 0.0 }));
    let rest = [
        (45.0, 0.0, 0.0),
        (315.0, 0.0, corner),
        (320.0, 5.0, 0.0),
        (320.0, 40.0, 0.0),
        (355.0, 40.0, corner),
        (360.0, 45.0, 0.0),
        (360.0, 215.0, corner),
        (355.0, 220.0, 0.0),
        (320.0, 220.0, 0.0),
        (320.0, 255.0, corner),
        (315.0, 260.0, 0.0),
        (45.0, 260.0, corner),
        (40.0, 255.0, 0.0),
        (40.0, 220.0, 0.0),
        (5.0, 220.0, corner),
        (0.0, 215.0, 0.0),
        (0.0, 45.0, corner),
    ];
    if let Some(last) = vertices.last_mut() {
        last.bulge = corner;
    }
    vertices.extend(rest.iter().map(|(x, y, bulge)| Vertex { at: at(*x, *y), bulge: *bulge }));
    drawing.add_named(Layer::Cut, "outline", Polyline { vertices, closed: true });
    for (id, from, to) in [
        ("fold-1", at(40.0, 40.0), at(320.0, 40.0)),
        ("fold-2", at(320.0, 40.0), at(320.0, 220.0)),
        ("fold-3", at(320.0, 220.0), at(40.0, 220.0)),
    ] {
        drawing.add_named(Layer::FoldUp, id, Shape::Line { from, to });
    }
    drawing.add_named(Layer::FoldDown, "fold-4", Shape::Line { from: at(40.0, 220.0), to: at(40.0, 40.0) });
    drawing.add(Layer::Sight, Shape::Line { from: at(40.0, 44.0), to: at(320.0, 44.0) });
    drawing.add_named(Layer::Hole, "drain", Shape::Circle { centre: at(180.0, 80.0), radius_mm: 12.5 });
    drawing.add_named(Layer::Hole, "slot", Polyline::slot(at(240.0, 150.0), at(270.0, 150.0), 8.0));
    drawing.add(Layer::Centre, Shape::Line { from: at(162.0, 80.0), to: at(198.0, 80.0) });
    drawing.add(Layer::Centre, Shape::Line { from: at(180.0, 62.0), to: at(180.0, 98.0) });
    drawing.add(Layer::Mark, Shape::Line { from: at(60.0, 60.0), to: at(75.0, 60.0) });
    drawing.add(
        Layer::Hatch,
        Shape::Hatch {
            outline: Polyline::rectangle(at(60.0, 180.0), at(100.0, 205.0)),
            holes: vec![],
            angle_rad: std::f64::consts::FRAC_PI_4,
            spacing_paper_mm: 3.0,
        },
    );
    dimensions(&mut drawing);
    drawing
}

fn dimensions(drawing: &mut Drawing) {
    let label = Label::Measured;
    let station = |x, y| RunningStation { at: at(x, y), label: Label::Measured };
    drawing.add(
        Layer::Dimension,
        Shape::RunningDimensions {
            datum: at(0.0, 0.0),
            along: Along::Horizontal,
            stations: vec![
                station(40.0, 0.0),
                station(45.0, 0.0),
                station(180.0, 80.0),
                station(240.0, 150.0),
                station(270.0, 150.0),
                station(315.0, 0.0),
                station(320.0, 0.0),
                station(360.0, 45.0),
            ],
            offset_paper_mm: -12.0,
        },
    );
    drawing.add(
        Layer::Dimension,
        Shape::LinearDimension {
            from: at(0.0, 215.0),
            to: at(45.0, 260.0),
            along: Along::Vertical,
            offset_paper_mm: -12.0,
            label: Label::with_suffix(" ± 0.5"),
        },
    );
    drawing.add(
        Layer::Dimension,
        Shape::LinearDimension {
            from: at(360.0, 45.0),
            to: at(360.0, 215.0),
            along: Along::Vertical,
            offset_paper_mm: 14.0,
            label,
        },
    );
    drawing.add(
        Layer::Dimension,
        Shape::LinearDimension {
            from: at(40.0, 220.0),
            to: at(45.0, 260.0),
            along: Along::Horizontal,
            offset_paper_mm: 10.0,
            label: Label::Measured,
        },
    );
    drawing.add(
        Layer::Dimension,
        Shape::DiameterDimension { centre: at(180.0, 80.0), diameter_mm: 25.0, angle_rad: 0.6, label: Label::Measured },
    );
    drawing.add(
        Layer::Dimension,
        Shape::AngleDimension {
            apex: at(100.0, 120.0),
            from_rad: 0.2,
            sweep_rad: 1.2,
            radius_paper_mm: 22.0,
            label: Label::Measured,
        },
    );
    drawing.add(
        Layer::Note,
        Shape::Leader {
            points: vec![at(255.0, 154.0), at(230.0, 185.0)],
            note: "slot 8 × 38\nboth ends round".into(),
            height: TextHeight::Mm2_5,
        },
    );
    drawing.add(Layer::Note, Shape::FaceUp { at: at(200.0, 112.0), words: "outside face up".into() });
    drawing.add(Layer::Note, Shape::Arrow { from: at(300.0, 100.0), to: at(300.0, 130.0) });
    drawing.add(Layer::Note, Text::new(at(303.0, 112.0), TextHeight::Mm2_5, "front <A & B> ½ ⌀ °"));
}

/// A piece longer than any sheet of office paper: 900 by 240 mm with an arched lower edge.
pub fn long_strip() -> Drawing {
    let mut drawing = Drawing::new("Wheel-arch strip", "Flat of a wheel-arch strip, 900 by 240 mm");
    let vertices = vec![
        Vertex { at: at(-450.0, 0.0), bulge: -0.35 },
        Vertex { at: at(450.0, 0.0), bulge: 0.0 },
        Vertex { at: at(450.0, 240.0), bulge: 0.0 },
        Vertex { at: at(-450.0, 240.0), bulge: 0.0 },
    ];
    drawing.add_named(Layer::Cut, "outline", Polyline { vertices, closed: true });
    for x in [-400.0, -200.0, 0.0, 200.0, 400.0] {
        drawing.add(Layer::Hole, Shape::Circle { centre: at(x, 220.0), radius_mm: 3.0 });
    }
    drawing.add(Layer::Note, Text::new(at(-60.0, 200.0), TextHeight::Mm7, "RIGHT · outside face up"));
    drawing
}
