//! Papers of a double-curved skin: the map of raising, prints over several sheets, templates, pictures of fitting.

use std::sync::LazyLock;

use glam::DVec2;
use job::plan::{PiecePlan, Plan, SectionPlan};
use packet::drawing::{Drawing, Layer, Mark, Scale, Shape};
use packet::drawings;
use packet::page::{Paper, View};
use packet::tiles::{self, TileOptions};
use shop::ShopSettings;

static DOME: LazyLock<Plan> = LazyLock::new(|| planned(include_str!("../../../../examples/dome-corner.toml")));

fn planned(text: &str) -> Plan {
    let job = job::read_toml(text).unwrap();
    let shop = ShopSettings::read_toml(include_str!("../../../../examples/shop.toml")).unwrap();
    job::plan(&job, &shop)
}

fn dome() -> (&'static SectionPlan, &'static PiecePlan) {
    let section = &DOME.sections[0];
    (section, &section.pieces[0])
}

/// Words of a drawing, those of leaders too.
fn said(drawing: &Drawing) -> Vec<&str> {
    let words = drawing.items.iter().filter_map(|item| match &item.shape {
        Shape::Text(text) => Some(text.content.as_str()),
        Shape::Leader { note, .. } => Some(note.as_str()),
        _ => None,
    });
    words.collect()
}

/// Corners of every text that lies on the drawing itself, with its words.
fn lettering(drawing: &Drawing) -> Vec<(String, Vec<DVec2>)> {
    let ratio = drawing.scale.ratio();
    let of = |mark: &Mark| match mark {
        Mark::Text(run) => Some((run.content.to_string(), run.corners(ratio).to_vec())),
        _ => None,
    };
    drawing.strokes().unwrap().iter().filter_map(|stroke| of(&stroke.mark)).collect()
}

/// Every area with strokes on it says by how much it is raised or gathered, small ones by a leader, at full size and reduced; and no
/// two of those words lie on one another.
#[test]
fn no_hatched_area_of_a_map_is_without_its_figure() {
    let (section, piece) = dome();
    let bands = &piece.skin.as_ref().unwrap().forming.bands;
    let worked: usize =
        bands.iter().filter(|band| band.work != blank::skin::Work::Leave).map(|band| band.areas.len()).sum();
    assert!(worked >= 6, "{worked}");
    for real in [1.0, 3.0, 5.0] {
        let drawing = drawings::flat_drawing(piece, section.hand, Scale { paper: 1.0, real });
        let figures = said(&drawing).iter().filter(|words| words.ends_with('%')).count();
        assert_eq!(figures, worked, "1:{real}");
        let boxes: Vec<_> = lettering(&drawing).into_iter().filter(|(words, _)| words.ends_with('%')).collect();
        for (i, (words, a)) in boxes.iter().enumerate() {
            for (other, b) in boxes.iter().skip(i + 1) {
                let [(a_low, a_high), (b_low, b_high)] = [a, b].map(|own| {
                    own.iter().fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(l, h), p| (l.min(*p), h.max(*p)))
                });
                let apart = a_high.x < b_low.x || b_high.x < a_low.x || a_high.y < b_low.y || b_high.y < a_low.y;
                assert!(apart, "1:{real}: {words} lies on {other}");
            }
        }
    }
}

/// Of a print over several sheets no sentence runs over a seam: title, tables and notes stand on a sheet of their own, whole; and every
/// sheet of the drawing has a line of it.
#[test]
fn a_print_over_several_sheets_keeps_its_words_whole() {
    let (section, piece) = dome();
    let mut all = vec![drawings::blank_drawing(piece, section.hand, Scale::FULL)];
    all.extend(drawings::skin_template_drawings(piece));
    let mut apart = 0;
    for drawing in &all {
        for paper in [Paper::A4, Paper::LETTER] {
            let tiling = tiles::split(drawing, TileOptions::on(paper)).unwrap();
            if tiling.names.len() == 1 && tiling.pages.len() == 2 {
                continue;
            }
            let (lines, words) = drawing.without_words().unwrap();
            let (sheets, notes) = tiling.pages[1..].split_at(tiling.names.len());
            assert!(!notes.is_empty(), "{}", drawing.name);
            for sheet in sheets {
                let view = &sheet.views[0];
                let has_line = view.drawing.items.iter().any(|item| !matches!(item.shape, Shape::Text(_)));
                assert!(has_line && view.drawing.items.iter().all(|item| lines.items.contains(item)), "{}", sheet.name);
            }
            let printed: Vec<_> = notes.iter().flat_map(|page| &page.views).flat_map(on_sheet).collect();
            assert_eq!(printed.len(), lettering(&words).len(), "{}", drawing.name);
            apart += printed.len();
        }
    }
    assert!(apart > 100, "{apart}");
}

/// Words of a view, each wholly in its window.
fn on_sheet(view: &View) -> Vec<String> {
    let window = view.window.unwrap().grown(0.01);
    let inside = |(words, corners): (String, Vec<DVec2>)| {
        assert!(corners.iter().all(|corner| window.holds(view.on_page(*corner))), "{words} is cut");
        words
    };
    lettering(&view.drawing).into_iter().map(inside).collect()
}

/// What is lettered on a card stays on it when the hand hole is cut.
#[test]
fn no_words_of_a_template_stand_in_its_hand_hole() {
    let (_, piece) = dome();
    let mut holes = 0;
    for drawing in drawings::skin_template_drawings(piece) {
        let hole = drawing.items.iter().find(|item| item.id.as_deref() == Some("hand hole"));
        let Some(Shape::Polyline(hole)) = hole.map(|item| &item.shape) else { continue };
        holes += 1;
        let hole = hole.flattened(0.1);
        for (words, corners) in lettering(&drawing) {
            let [a, b, c, d] = corners.as_slice() else { panic!("{words} has no box") };
            for i in 0..=40 {
                for j in 0..=4 {
                    let (s, t) = (f64::from(i) / 40.0, f64::from(j) / 4.0);
                    let at = a.lerp(*b, s).lerp(d.lerp(*c, s), t);
                    assert!(!mesh::polygon::contains(&hole, at), "{}: {words}", drawing.name);
                }
            }
        }
    }
    assert!(holes >= 3, "{holes}");
}

/// The steps show a skin from where its own view shows it, and two edges that are let in get their braces.
#[test]
fn steps_of_fitting_show_a_skin_as_its_view_does() {
    let (section, piece) = dome();
    let view = drawings::isometric(piece, section.hand, 180.0, 100.0);
    let braces = |drawing: &Drawing| {
        drawing
            .items
            .iter()
            .filter(|item| item.layer == Layer::Weld && matches!(item.shape, Shape::Line { .. }))
            .count()
    };
    let mut seen = 0;
    for step in &section.fitting {
        let drawing = drawings::fitting_picture(section, piece, step, &[], 180.0, 100.0).unwrap();
        for item in drawing.items.iter().filter(|item| item.layer == Layer::Outline) {
            assert!(view.items.iter().any(|own| own.shape == item.shape), "step {}", step.number);
            seen += 1;
        }
        assert_eq!(braces(&drawing), if step.kind == "brace" { 2 } else { 0 }, "step {}", step.number);
    }
    assert!(seen > 20, "{seen}");
}

/// Bolts of a tube that stands on a plate are shown where they go in.
#[test]
fn the_step_that_bolts_a_tube_up_points_at_a_hole() {
    let plan = planned(include_str!("../../../../examples/ladder-foot.toml"));
    let section = &plan.sections[0];
    let step = section.fitting.iter().find(|step| step.kind == "bolt-up").unwrap();
    let whole = drawings::as_one(section).unwrap();
    let drawing = drawings::fitting_picture(section, &whole, step, &[], 180.0, 100.0).unwrap();
    assert!(said(&drawing).iter().any(|words| words.contains("bolt")), "{:?}", said(&drawing));
    assert!(drawing.items.iter().any(|item| matches!(item.shape, Shape::Circle { .. })));
}

/// Every edge that is to keep its length is named below the flat with how well it does, not the first alone; and on a list sorted by gravity
/// an edge with a caution stands before the others, which follow one another as they lie round the piece.
#[test]
fn every_held_edge_is_named_and_the_gravest_note_stands_first() {
    let text = include_str!("../../../../examples/dome-corner.toml");
    let held = ["front edge", "gutter edge"];
    let mut asked = text.to_owned();
    for name in held {
        let line = format!("name = \"{name}\"\n");
        assert!(asked.contains(&line));
        asked = asked.replace(&line, &format!("{line}held = true\n"));
    }
    let plan = planned(&asked);
    let piece = &plan.sections[0].pieces[0];
    let mut notes = drawings::flat_notes(piece);
    for name in held {
        let own: Vec<_> =
            notes.iter().filter(|own| own.text.starts_with(&format!("Held to its length: {name}, "))).collect();
        assert!(own.len() == 1 && own[0].text.contains("misses by more than 0."), "{name}: {notes:?}");
    }
    drawings::gravest_first(&mut notes);
    let order = |note: &drawings::FlatNote| (std::cmp::Reverse(note.grade), note.about);
    assert!(notes.is_sorted_by_key(order), "{notes:?}");
    // by hand: an edge told to be grave comes first, though it is the last round the piece
    let edges: Vec<_> = notes.iter().filter(|own| matches!(own.about, drawings::NoteAbout::Edge(_))).cloned().collect();
    let last = edges.iter().max_by_key(|own| own.about).unwrap().about;
    let mut notes: Vec<drawings::FlatNote> = edges
        .into_iter()
        .map(|own| drawings::FlatNote { grade: (own.about == last).then_some(handbook::Grade::Caution), ..own })
        .collect();
    drawings::gravest_first(&mut notes);
    assert_eq!(notes[0].about, last);
    let rest: Vec<_> = notes.iter().filter(|own| own.grade.is_none()).map(|own| own.about).collect();
    assert!(rest.is_sorted() && rest.len() > 3, "{rest:?}");
}
