//! PDF read back: sizes, bars, words, stable bytes.

use glam::DVec2;
use packet::page::{Orientation, Page, Paper};
use packet::pdf::{self, Day, Document, Picture};
use packet::sheet::{self, TitleBlock};
use packet::tiles::{self, TileOptions};
use serde_json::json;

use crate::drawings;
use crate::golden::check_golden;
use crate::pdf_reader::{POINTS_PER_MM, PageLines, read};

const DAY: Option<Day> = Some(Day { year: 2026, month: 11, day: 25 });

fn title() -> TitleBlock {
    TitleBlock {
        shop: "Bench Lane Metalwork".into(),
        job: "Wren 15 library van".into(),
        piece: "Step-well tray".into(),
        shows: "blank".into(),
        hand: "right, seen from the driving seat".into(),
        face_up: "outside face up".into(),
        material: "DC04 steel, 0.9 mm".into(),
        bend_rule: "DIN 6935, radius 2 mm".into(),
        units: "mm".into(),
        date: "25 November 2026".into(),
        revision: "3".into(),
        sheet: "1 of 1".into(),
    }
}

fn tray_sheet(orientation: Orientation) -> Page {
    sheet::compose_to_fit(&drawings::tray(), &title(), Paper::A4, orientation).unwrap()
}

/// Lengths of all level two-point lines of a page, points.
fn level_lines(page: &PageLines) -> Vec<f64> {
    let level = page.chains.iter().filter(|chain| chain.len() == 2 && (chain[0].y - chain[1].y).abs() < 1e-3);
    level.map(|chain| (chain[1].x - chain[0].x).abs()).collect()
}

#[test]
fn every_sheet_has_a_true_100_mm_bar_and_a_true_4_in_bar() {
    for paper in [Paper::A4, Paper::LETTER] {
        let tiling = tiles::split(&drawings::long_strip(), TileOptions::on(paper)).unwrap();
        let bytes = pdf::pages("strip", DAY, &tiling.pages).unwrap();
        let pages = read(&bytes);
        assert_eq!(pages.len(), tiling.pages.len());
        for page in &pages {
            assert_eq!(page.user_unit, 1.0);
            let lines = level_lines(page);
            for want_pt in [283.46, 288.0] {
                assert!(lines.iter().any(|length| (length - want_pt).abs() < 0.05), "{want_pt} pt missing: {lines:?}");
            }
            let want = paper.size_mm(tiling.orientation) * POINTS_PER_MM;
            assert!((page.size_pt - want).abs().max_element() < 0.01, "{:?} {want:?}", page.size_pt);
        }
    }
}

#[test]
fn bytes_are_stable() {
    let make = || pdf::pages("tray", DAY, &[tray_sheet(Orientation::Landscape)]).unwrap();
    let first = make();
    std::thread::sleep(std::time::Duration::from_millis(1100));
    assert!(first == make());
}

#[test]
fn the_sheet_looks_as_reviewed() {
    check_golden("tray-sheet.svg", &packet::svg::page(&tray_sheet(Orientation::Landscape)).unwrap());
}

/// What is on the page as a reader finds it: size, every chain of lines by its ends in mm, the words.
#[test]
fn the_printed_sheet_reads_as_reviewed() {
    let bytes = pdf::pages("tray", DAY, &[tray_sheet(Orientation::Landscape)]).unwrap();
    let page = &read(&bytes)[0];
    let mm = |point: &DVec2| format!("{:.2} {:.2}", point.x / POINTS_PER_MM, point.y / POINTS_PER_MM);
    let mut lines = vec![format!("page {}", mm(&page.size_pt))];
    for chain in &page.chains {
        lines.push(format!("{} points from {} to {}", chain.len(), mm(&chain[0]), mm(&chain[chain.len() - 1])));
    }
    lines.push(format!("text {}", words(&bytes).split_whitespace().collect::<String>()));
    check_golden("tray-sheet-pdf.txt", &(lines.join("\n") + "\n"));
}

/// Text of the page as a PDF reader extracts it.
fn words(bytes: &[u8]) -> String {
    let document = lopdf::Document::load_mem(bytes).unwrap();
    let numbers: Vec<u32> = document.get_pages().keys().copied().collect();
    document.extract_text(&numbers).unwrap()
}

#[test]
fn words_of_a_drawing_are_real_text_and_never_markup() {
    let mut title = title();
    title.job = "#panic(\"no\") $x$ *b* @ref <lab>".into();
    let page = sheet::compose_to_fit(&drawings::tray(), &title, Paper::A3, Orientation::Landscape).unwrap();
    let found = words(&pdf::pages("#sys.version", DAY, &[page]).unwrap());
    let squeezed: String = found.chars().filter(|c| !c.is_whitespace()).collect();
    for want in ["#panic(\"no\")$x$*b*@ref<lab>", "outsidefaceup", "⌀25", "front<A&B>½"] {
        assert!(squeezed.contains(want), "{want} is missing in {squeezed}");
    }
}

#[test]
fn a_day_outside_the_calendar_and_odd_data_are_refused() {
    let document = |day, data| Document { title: "tray".into(), template: "pages", day, data, pictures: vec![] };
    let no_day = pdf::typeset(&document(Some(Day { year: 2026, month: 2, day: 30 }), json!({"pages": []})));
    assert!(no_day.unwrap_err().to_string().contains("no day 2026-02-30"));
    let list = pdf::typeset(&document(None, json!([1])));
    assert!(list.unwrap_err().to_string().contains("not a JSON object"));
    let lacking = pdf::typeset(&document(None, json!({})));
    assert!(lacking.unwrap_err().to_string().contains("pages"));
    let template = pdf::typeset(&Document { template: "quilt", ..document(None, json!({})) });
    assert!(
        template.unwrap_err().to_string().starts_with("there is no document template 'quilt'; known are house, pages")
    );
}

#[test]
fn a_picture_keeps_its_size_on_paper() {
    let picture = Picture::of(&drawings::tray(), 5.0).unwrap();
    let size = drawings::tray().bounds().unwrap().size() + DVec2::splat(10.0);
    assert!((DVec2::new(picture.width_mm, picture.height_mm) - size).length() < 1e-9);
    let document = Document {
        title: "tray".into(),
        template: "pages",
        day: DAY,
        data: json!({ "pages": [picture.name] }),
        pictures: vec![picture],
    };
    let page = &read(&pdf::typeset(&document).unwrap())[0];
    assert!((page.size_pt - size * POINTS_PER_MM).length() < 0.01);
    // the fold 1 of the tray is 280 mm long
    assert!(level_lines(page).iter().any(|length| (length - 280.0 * POINTS_PER_MM).abs() < 0.02));
}

#[test]
fn what_is_too_large_for_the_paper_is_said() {
    let error = sheet::compose(&drawings::tray(), &title(), Paper::A4, Orientation::Portrait).unwrap_err().to_string();
    assert!(error.contains("the space on A4 is"), "{error}");
}

/// Everything on the sheet lies on the paper, and the drawing stays clear of the title block.
#[test]
fn nothing_leaves_the_paper() {
    for orientation in [Orientation::Portrait, Orientation::Landscape] {
        let page = tray_sheet(orientation);
        let dress = page.dressing.bounds().unwrap();
        assert!(dress.low.min_element() >= 0.0 && (page.size_mm - dress.high).min_element() >= 0.0);
        let view = &page.views[0];
        let bounds = view.drawing.bounds().unwrap();
        let (low, high) = (view.on_page(bounds.low), view.on_page(bounds.high));
        assert!(low.x >= 20.0 && low.y >= 10.0 + 33.0 && (page.size_mm - high).min_element() >= 10.0);
    }
}
