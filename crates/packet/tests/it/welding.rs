//! Papers of a welded section: cautions, practice strip, map of the welds at 1:1, weld symbol.

use handbook::Grade;
use job::plan::{Plan, SectionPlan};
use packet::drawing::{Layer, Shape};
use packet::drawings::{Basic, WeldSymbol, maps_of, practice_strip, weld_map_templates, weld_map_view};
use packet::pdf::Day;
use packet::{PacketFile, write_packet};
use shop::ShopSettings;
use weld::joints::WeldEventKind;

const DAY: Day = Day { year: 2026, month: 11, day: 25 };
/// Welded by a volunteer with wire, and by a trade restorer with TIG.
const JOBS: [(&str, bool); 3] = [
    (include_str!("../../../../examples/arch-edge.toml"), true),
    (include_str!("../../../../examples/dome-corner.toml"), false),
    (include_str!("../../../../examples/ladder-tube.toml"), false),
];

fn made(text: &str) -> (Plan, Vec<PacketFile>) {
    let job = job::read_toml(text).unwrap();
    let shop = ShopSettings::read_toml(include_str!("../../../../examples/shop.toml")).unwrap();
    let plan = job::plan(&job, &shop);
    let files = write_packet(&job, &plan, &shop, DAY, None).unwrap();
    (plan, files)
}

fn words(files: &[PacketFile], name: &str) -> String {
    let file = files.iter().find(|file| file.name.ends_with(name)).unwrap_or_else(|| panic!("no {name}"));
    let document = lopdf::Document::load_mem(&file.bytes).unwrap();
    let pages: Vec<u32> = document.get_pages().keys().copied().collect();
    document.extract_text(&pages).unwrap().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Every caution of the plan, C7 to C26 as far as they apply, stands on the traveller and on the fitting sheet.
#[test]
fn cautions_stand_on_traveller_and_fitting_sheet() {
    for (text, _) in JOBS {
        let (plan, files) = made(text);
        let cautions: Vec<_> = plan.concerns.iter().filter(|concern| concern.grade == Grade::Caution).collect();
        for id in ["C12", "C13", "C17", "C19", "C20", "C26"] {
            assert!(cautions.iter().any(|concern| concern.key == id), "{id}");
        }
        for paper in ["traveller.pdf", "fitting-sheet.pdf"] {
            let text = words(&files, paper);
            for concern in &cautions {
                // a line may be broken at a hyphen; the first words are enough to find it by
                let first: String = squeezed(&concern.what).chars().take(28).collect();
                assert!(text.contains(&first), "{paper} lacks {}: {first}", concern.key);
            }
        }
    }
}

#[test]
fn below_trade_the_practice_strip_is_on_the_fitting_sheet_and_in_the_parcel() {
    for (text, practises) in JOBS {
        let (_, files) = made(text);
        assert_eq!(words(&files, "fitting-sheet.pdf").contains("Practise on this first"), practises);
        assert_eq!(words(&files, "traveller.pdf").contains("Practice strip into the parcel"), practises);
    }
    let (plan, _) = made(JOBS[0].0);
    let strip = plan.sections[0].joint.practice.unwrap();
    let drawing = practice_strip(&strip);
    let holes: Vec<_> = drawing
        .items
        .iter()
        .filter_map(|item| match (&item.layer, &item.shape) {
            (Layer::Hole, Shape::Circle { centre, radius_mm }) => Some((*centre, *radius_mm)),
            _ => None,
        })
        .collect();
    assert_eq!(holes.len(), 3);
    assert!(holes.iter().all(|(_, radius)| (2.0 * radius - strip.hole_mm).abs() < 1e-12));
    let mut x: Vec<f64> = holes.iter().map(|(centre, _)| centre.x).collect();
    x.sort_by(f64::total_cmp);
    assert!((x[1] - x[0] - strip.pitch_mm).abs() < 1e-9 && (x[2] - x[1] - strip.pitch_mm).abs() < 1e-9);
    assert_eq!(drawing.scale, packet::drawing::Scale::FULL);
}

/// Holes on the paper stand as far from one another as on the piece in space: the paper is true to size.
#[test]
fn the_map_at_full_size_is_the_map_in_space() {
    let (plan, _) = made(JOBS[0].0);
    let section = &plan.sections[0];
    let piece = &section.pieces[0];
    let [drawing] = weld_map_templates(section, piece, section.hand).try_into().unwrap();
    let drawing: packet::Drawing = drawing;
    let holes: Vec<glam::DVec2> = drawing
        .items
        .iter()
        .filter_map(|item| match (&item.layer, &item.shape) {
            (Layer::Hole, Shape::Circle { centre, .. }) => Some(*centre),
            _ => None,
        })
        .collect();
    let maps = maps_of(section, piece);
    let (map, edge) = maps[0];
    assert_eq!(holes.len(), map.events.len());
    let space: Vec<glam::DVec3> = map
        .events
        .iter()
        .map(|event| {
            let point = edge.at(event.from_mm).unwrap();
            point.at_mm + point.into_sheet * map.into_mm
        })
        .collect();
    for i in 1..holes.len() {
        let (flat_mm, space_mm) = (holes[i].distance(holes[i - 1]), space[i].distance(space[i - 1]));
        assert!((flat_mm - space_mm).abs() < 0.5, "{i}: {flat_mm} {space_mm}");
    }
}

fn texts(drawing: &packet::Drawing) -> Vec<String> {
    let text = |item: &packet::drawing::Item| match &item.shape {
        Shape::Text(text) => Some(text.content.clone()),
        _ => None,
    };
    drawing.items.iter().filter_map(text).collect()
}

#[test]
fn every_weld_is_numbered_on_the_view_and_told_in_words() {
    for (text, _) in JOBS {
        let (plan, files) = made(text);
        for section in plan.sections.iter().filter(|section| !section.joint.maps.is_empty()) {
            let numbers =
                section.joint.maps.iter().flat_map(|map| &map.events).map(|event| event.number).max().unwrap();
            let drawn: Vec<String> = section
                .pieces
                .iter()
                .filter_map(|piece| weld_map_view(section, piece, section.hand, 170.0, 100.0))
                .flat_map(|drawing| texts(&drawing))
                .collect();
            for number in 1..=numbers {
                assert!(drawn.contains(&number.to_string()), "{} {number}", section.id);
            }
            assert!(words(&files, "fitting-sheet.pdf").contains("Welds, in this order"));
        }
    }
}

/// ISO 2553 (from memory): plug, its hole left, number × (pitch) right, process 135 of ISO 4063 in the tail; square butt 141.
#[test]
fn weld_symbols_say_what_the_plan_has() {
    let symbol = |text: &str| {
        let (plan, _) = made(text);
        let section: SectionPlan = plan.sections.into_iter().find(|section| !section.joint.maps.is_empty()).unwrap();
        let map = section.joint.maps[0].clone();
        (WeldSymbol::of(&section.joint, &map).unwrap(), map)
    };
    let (plug, map) = symbol(JOBS[0].0);
    assert_eq!((plug.basic, plug.left.as_str(), plug.tail.as_str()), (Basic::Plug, "5.5", "135"));
    // the pitch of the symbol is from one weld to the next, as a rule laid on the map measures it
    let mut at_mm: Vec<f64> = map.events.iter().map(|event| event.from_mm).collect();
    at_mm.sort_by(f64::total_cmp);
    let pitch = at_mm[1] - at_mm[0];
    assert_eq!(plug.right, format!("{} × ({pitch:.0})", map.events.len()));
    let (butt, map) = symbol(JOBS[1].0);
    assert_eq!((butt.basic, butt.tail.as_str()), (Basic::SquareButt, "141"));
    assert!(map.events.iter().any(|event| event.kind == WeldEventKind::Run));
}
