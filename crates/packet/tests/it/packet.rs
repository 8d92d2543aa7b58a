//! The whole packet of the demo job, read back by general readers.

use std::f64::consts::PI;
use std::sync::OnceLock;

use handbook::{Concern, Grade, LiftedBy};
use job::Job;
use job::file::LiftedStop;
use job::plan::{Plan, SectionPlan};
use packet::pdf::Day;
use packet::{PacketError, PacketFile, write_packet};
use shop::ShopSettings;

const DAY: Day = Day { year: 2026, month: 11, day: 25 };

struct Demo {
    job: Job,
    shop: ShopSettings,
    plan: Plan,
    files: Vec<PacketFile>,
}

fn demo() -> &'static Demo {
    static DEMO: OnceLock<Demo> = OnceLock::new();
    DEMO.get_or_init(|| {
        let job = job::read_toml(include_str!("../../../../examples/wren15.toml")).unwrap();
        let shop = ShopSettings::read_toml(include_str!("../../../../examples/shop.toml")).unwrap();
        let plan = job::plan(&job, &shop);
        let files = write_packet(&job, &plan, &shop, DAY, None).unwrap();
        Demo { job, shop, plan, files }
    })
}

fn file<'a>(files: &'a [PacketFile], name: &str) -> &'a PacketFile {
    let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
    files.iter().find(|file| file.name == name).unwrap_or_else(|| panic!("{name} is not among {names:?}"))
}

/// Words of a PDF in the order of printing, white space as single spaces.
fn words(file: &PacketFile) -> String {
    let document = lopdf::Document::load_mem(&file.bytes).unwrap();
    let pages: Vec<u32> = document.get_pages().keys().copied().collect();
    document.extract_text(&pages).unwrap().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn place(text: &str, wanted: &str) -> usize {
    text.find(wanted).unwrap_or_else(|| panic!("'{wanted}' does not stand in: {text}"))
}

fn lapped(plan: &Plan) -> Vec<&SectionPlan> {
    plan.sections.iter().filter(|section| section.cut.as_ref().is_some_and(|cut| cut.lap_mm > 0.0)).collect()
}

/// Reads tenths of a millimetre behind a name, as printed: "lap 17.3 mm" or "lap 11/16" (17.3 mm)".
fn printed_tenths(text: &str, name: &str) -> i64 {
    let after = &text[place(text, name) + name.len()..];
    let figure = &after[..place(after, " mm")];
    let figure = figure.rsplit([' ', '(']).next().unwrap();
    (figure.parse::<f64>().unwrap() * 10.0).round() as i64
}

/// Issue 2: cut height = piece height − lap, both figures, and the do-not-cut-yet line before any cutting step.
#[test]
fn fitting_sheets_of_lapped_pieces_say_both_heights_and_do_not_cut_yet() {
    let demo = demo();
    let sections = lapped(&demo.plan);
    assert!(sections.len() >= 2, "the demo has lapped pieces");
    for section in sections {
        let text = words(file(&demo.files, &format!("{}/fitting-sheet.pdf", section.id.replace('_', "-"))));
        let scribe = &text[place(&text, "Scribe along the piece, then mark the cut line")..];
        let figures = &scribe[place(scribe, "piece height")..];
        let [piece, lap, cut] = ["piece height", "lap", "cut height"].map(|name| printed_tenths(figures, name));
        assert_eq!(cut, piece - lap, "{}: {figures}", section.id);
        let planned = section.cut.as_ref().unwrap();
        // one rounded figure, and a sum of two
        assert!((cut as f64 / 10.0 - planned.cut_height_mm).abs() <= 0.0501, "{cut} {}", planned.cut_height_mm);
        assert!((piece as f64 / 10.0 - planned.piece_height_mm).abs() <= 0.1001, "{piece} {}", planned.piece_height_mm);
        let not_yet = place(&text, packet::documents::NOT_YET);
        assert!(not_yet < place(&text, "Steps, in this order"), "{}", section.id);
        assert!(not_yet < place(&text, "THIS STEP CUTS THE VEHICLE"), "{}", section.id);
    }
}

/// A fitter in inches reads fractions that add up and millimetres that add up, whatever the heights.
#[test]
fn printed_heights_add_up_in_both_units() {
    let reader = packet::documents::Reader::new(units::LengthUnit::Inch, 32);
    let (mut cut_mm, lap_mm) = (30.0, 17.272);
    while cut_mm < 60.0 {
        let printed = reader.heights(cut_mm, lap_mm);
        let read = printed.clone().map(|figure| {
            let (inches, rest) = figure.split_once(" (").unwrap();
            let thirty_seconds =
                (units::Dimension::parse(inches).unwrap().length_mm(&units::Reading::default()).unwrap() / 25.4 * 32.0)
                    .round();
            (thirty_seconds as i64, (rest.strip_suffix(" mm)").unwrap().parse::<f64>().unwrap() * 10.0).round() as i64)
        });
        assert_eq!(read[0].0 + read[1].0, read[2].0, "{printed:?}");
        assert_eq!(read[0].1 + read[1].1, read[2].1, "{printed:?}");
        cut_mm += 0.37;
    }
}

#[test]
fn an_inch_reader_gets_figures_that_add_up_with_millimetres_beside() {
    let demo = demo();
    let mut job = demo.job.clone();
    job.fitter.unit = units::LengthUnit::Inch;
    let plan = job::plan(&job, &demo.shop);
    let section = lapped(&plan)[0];
    let reader = packet::documents::Reader::new(job.fitter.unit, job.fitter.inch_denominator);
    let cut = section.cut.as_ref().unwrap();
    let files = write_packet(&job, &plan, &demo.shop, DAY, Some(&section.id)).unwrap();
    let text = words(file(&files, &format!("{}/fitting-sheet.pdf", section.id)));
    for figure in reader.heights(cut.cut_height_mm, cut.lap_mm) {
        assert!(figure.contains('"') && figure.contains("mm"));
        place(&text, &figure);
    }
}

#[test]
fn every_paper_says_the_hand_in_full_and_never_near_side_or_off_side() {
    let demo = demo();
    for section in demo.plan.sections.iter().filter(|section| !section.pieces.is_empty()) {
        for paper in ["traveller", "fitting-sheet"] {
            let text = words(file(&demo.files, &format!("{}/{paper}.pdf", section.id.replace('_', "-"))));
            let hand = match section.hand {
                Some(job::file::Hand::Left) => "left hand (driver's left",
                Some(job::file::Hand::Right) => "right hand (driver's right",
                None => "no hand",
            };
            place(&text, hand);
            assert!(!text.contains("near side") && !text.contains("off side"));
        }
    }
}

/// The wheel arch was surveyed on one side and is made for the other: y of its surface and the words agree.
#[test]
fn words_and_geometry_agree_on_the_other_hand() {
    let demo = demo();
    let arch = |hand| {
        let mut job = demo.job.clone();
        job.sections[0].hand = Some(hand);
        job::plan(&job, &demo.shop).sections[0].pieces[0].clone()
    };
    let [left, right] = [job::file::Hand::Left, job::file::Hand::Right].map(arch);
    assert!(left.placing.hand.starts_with("left hand") && right.placing.hand.starts_with("right hand"));
    for (a, b) in left.shape.points_mm.iter().zip(&right.shape.points_mm) {
        assert!((a.x - b.x).abs() < 1e-9 && (a.y + b.y).abs() < 1e-9 && (a.z - b.z).abs() < 1e-9);
    }
    let view = |piece, hand| packet::drawings::elevation(piece, Some(hand), packet::drawing::Scale::FULL);
    let [left, right] = [view(&left, job::file::Hand::Left), view(&right, job::file::Hand::Right)];
    let front = |drawing: &packet::Drawing| -> f64 {
        let arrow = drawing.items.iter().find_map(|item| match item.shape {
            packet::drawing::Shape::Arrow { from, to } => Some(to.x - from.x),
            _ => None,
        });
        arrow.unwrap()
    };
    // seen from outside, the front of a left side lies to the left, that of a right side to the right
    assert!(front(&left) < 0.0 && front(&right) > 0.0);
}

fn shoelace_mm2(points: &[glam::DVec2]) -> f64 {
    let next = points.iter().cycle().skip(1);
    points.iter().zip(next).map(|(a, b)| 0.5 * (a.x * b.y - b.x * a.y)).sum::<f64>().abs()
}

/// Area of outline from plan, DXF and SVG agree to 1e-6; net area counts holes as they are cut (a pilot is 3 mm).
#[test]
fn areas_of_dxf_svg_and_plan_agree() {
    let demo = demo();
    for section in &demo.plan.sections {
        for piece in &section.pieces {
            let stem = piece.name.replace(' ', "-");
            let folder = section.id.replace('_', "-");
            let dxf =
                String::from_utf8(file(&demo.files, &format!("{folder}/blank-{stem}.dxf")).bytes.clone()).unwrap();
            let areas = dxf_areas_mm2(&dxf);
            let outline = shoelace_mm2(&piece.blank.outline_mm);
            let largest = areas.iter().copied().fold(0.0, f64::max);
            assert!((largest / outline - 1.0).abs() < 1e-6, "{stem}: {largest} {outline}");
            let net = 2.0 * largest - areas.iter().sum::<f64>();
            assert!((net / piece.blank.area_mm2 - 1.0).abs() < 1e-6, "{stem}: {net} {}", piece.blank.area_mm2);
            let svg =
                String::from_utf8(file(&demo.files, &format!("{folder}/blank-{stem}.svg")).bytes.clone()).unwrap();
            let drawn = svg_outline_mm2(&svg);
            assert!((drawn / outline - 1.0).abs() < 1e-6, "{stem}: {drawn} {outline}");
        }
    }
}

fn dxf_areas_mm2(text: &str) -> Vec<f64> {
    let file = dxf::Drawing::load(&mut text.as_bytes()).unwrap();
    let cut = |entity: &&dxf::entities::Entity| matches!(entity.common.layer.as_str(), "cut" | "hole");
    file.entities()
        .filter(cut)
        .map(|entity| match &entity.specific {
            dxf::entities::EntityType::LwPolyline(path) => {
                assert!(path.is_closed());
                let points: Vec<_> = path.vertices.iter().map(|v| glam::DVec2::new(v.x, v.y)).collect();
                let arcs: f64 = path
                    .vertices
                    .iter()
                    .enumerate()
                    .map(|(i, v)| {
                        let chord = points[i].distance(points[(i + 1) % points.len()]);
                        let sweep = 4.0 * v.bulge.atan();
                        if v.bulge == 0.0 {
                            0.0
                        } else {
                            (chord / (2.0 * (sweep / 2.0).sin())).powi(2) * (sweep - sweep.sin()) / 2.0
                        }
                    })
                    .sum();
                shoelace_mm2(&points) + arcs.abs()
            }
            dxf::entities::EntityType::Circle(circle) => PI * circle.radius * circle.radius,
            other => panic!("{other:?} does not close"),
        })
        .collect()
}

fn svg_outline_mm2(text: &str) -> f64 {
    let document = roxmltree::Document::parse(text).unwrap();
    let outline = document.descendants().find(|node| node.attribute("data-id") == Some("outline")).unwrap();
    let data = outline.descendants().find_map(|node| node.attribute("d")).unwrap();
    let numbers: Vec<f64> = data
        .split(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | 'e')))
        .filter_map(|word| word.parse().ok())
        .collect();
    let points: Vec<glam::DVec2> = numbers.chunks(2).map(|pair| glam::DVec2::new(pair[0], pair[1])).collect();
    shoelace_mm2(&points)
}

#[test]
fn an_open_stop_keeps_back_the_cut_files_and_the_papers_say_who_may_lift_it() {
    let demo = demo();
    let mut plan = demo.plan.clone();
    let stop = Concern {
        key: "C5".into(),
        grade: Grade::Stop,
        place: "spring hanger".into(),
        what: "The cut runs within 300 mm of a mounting.".into(),
        why: "It carries load.".into(),
        what_to_do: "Have it looked at.".into(),
        lifted_by: Some(LiftedBy::CompetentPerson),
        source: "C5".into(),
    };
    plan.sections[0].concerns.push(stop.clone());
    let id = plan.sections[0].id.clone();
    let files = write_packet(&demo.job, &plan, &demo.shop, DAY, Some(&id)).unwrap();
    assert!(files.iter().all(|file| !file.name.contains("blank-") && !file.name.contains("cutter-")), "{files:?}");
    for paper in ["traveller", "fitting-sheet"] {
        let text = words(file(&files, &format!("{id}/{paper}.pdf")));
        place(&text, "Only a competent person may lift this stop");
    }
    // lifted: the plan calls it a caution, the name stands on the papers, the files are there
    let mut job = demo.job.clone();
    job.lifted.push(LiftedStop {
        concern: "C5".into(),
        place: "spring hanger".into(),
        name: "A. Tester".into(),
        trade: "vehicle inspector".into(),
        date: "2026-11-24".into(),
        reason: "mounting is 410 mm away".into(),
    });
    let lifted = plan.sections[0].concerns.last_mut().unwrap();
    lifted.grade = Grade::Caution;
    let files = write_packet(&job, &plan, &demo.shop, DAY, Some(&id)).unwrap();
    assert!(files.iter().any(|file| file.name.contains("cutter-")));
    for paper in ["traveller", "fitting-sheet"] {
        let text = words(file(&files, &format!("{id}/{paper}.pdf")));
        place(&text, "Stop lifted by A. Tester, vehicle inspector on 24 November 2026");
        assert!(!text.contains("C5"), "a key of the program is no word for a paper");
    }
}

/// A lift that lacks what it needs leaves the stop standing; no paper may then say that it was lifted.
#[test]
fn a_lift_without_its_name_is_not_printed_as_one() {
    let demo = demo();
    let mut job = demo.job.clone();
    job.lifted.push(LiftedStop {
        concern: "C5".into(),
        place: "nowhere".into(),
        name: "Nobody Atall".into(),
        trade: String::new(),
        date: "2026-11-24".into(),
        reason: "because".into(),
    });
    let id = demo.plan.sections[0].id.clone();
    let files = write_packet(&job, &demo.plan, &demo.shop, DAY, Some(&id)).unwrap();
    assert!(!words(file(&files, &format!("{id}/fitting-sheet.pdf"))).contains("Nobody Atall"));
}

#[test]
fn words_of_people_are_printed_as_they_are() {
    let demo = demo();
    let mut job = demo.job.clone();
    let name = "#let x = 1 $y$ *b* <svg> & \"q\" \\ @a _u_ [c] `z`";
    job.customer.name = name.into();
    let files = write_packet(&job, &demo.plan, &demo.shop, DAY, None).unwrap();
    let text = words(file(&files, "quote.pdf"));
    place(&text, name);
    let mut plan = demo.plan.clone();
    plan.sections[0].pieces[0].name = "edge <b>&\"'#x$".into();
    let id = plan.sections[0].id.clone();
    let files = write_packet(&job, &plan, &demo.shop, DAY, Some(&id)).unwrap();
    for svg in files.iter().filter(|file| file.name.ends_with(".svg")) {
        roxmltree::Document::parse(std::str::from_utf8(&svg.bytes).unwrap()).unwrap();
    }
    place(&words(file(&files, &format!("{id}/fitting-sheet.pdf"))), "edge <b>&\"'#x$");
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    let demo = demo();
    let id = &demo.plan.sections[0].id;
    let again = write_packet(&demo.job, &demo.plan, &demo.shop, DAY, Some(id)).unwrap();
    let once = write_packet(&demo.job, &demo.plan, &demo.shop, DAY, Some(id)).unwrap();
    assert_eq!(again, once);
}

#[test]
fn a_section_that_is_not_there_is_refused_with_those_that_are() {
    let demo = demo();
    let refused = write_packet(&demo.job, &demo.plan, &demo.shop, DAY, Some("boot")).unwrap_err();
    assert!(matches!(refused, PacketError::NoSuchSection { .. }));
    let message = refused.to_string();
    assert!(message.contains("'boot'") && message.contains(&demo.plan.sections[0].id), "{message}");
}

#[test]
fn the_quote_shows_every_line_and_a_range() {
    let demo = demo();
    let text = words(file(&demo.files, "quote.pdf"));
    for line in demo.plan.sections.iter().filter_map(|section| section.price.as_ref()).flat_map(|price| &price.lines) {
        place(&text, &line.amount.to_string());
    }
    let net = &demo.plan.price.as_ref().unwrap().net;
    place(&text, &format!("{} to {}", net.low, net.high));
    place(&text, "declined");
}

/// The files of the packet by name; a file that comes or goes is seen here.
#[test]
fn list_of_files() {
    let list: String = demo().files.iter().map(|file| format!("{}\n", file.name)).collect();
    crate::golden::check_golden("wren15-packet.txt", &list);
}

/// One hole has one pair of figures: those of the list are the running dimensions of the drawing above it.
#[test]
fn openings_are_listed_from_the_datum_of_the_running_dimensions() {
    let mut listed = 0;
    for piece in demo().plan.sections.iter().flat_map(|section| &section.pieces) {
        let lists = packet::drawings::flat_lists(piece);
        let Some(openings) = lists.iter().find(|list| list.head[0] == "opening") else { continue };
        for row in &openings.rows {
            listed += 1;
            for (figure, running) in row[1..3].iter().zip([&piece.blank.running_x, &piece.blank.running_y]) {
                let own = running.iter().find(|dimension| dimension.name == row[0]).unwrap();
                let figure: f64 = figure.parse().unwrap();
                assert!((figure - own.from_datum_mm).abs() <= 0.051, "{}: {figure} {own:?}", row[0]);
            }
        }
    }
    assert!(listed >= 20, "{listed}");
}

/// The bend table names the neutral line's factor by its letter: K is half of DIN's k.
#[test]
fn the_bend_table_prints_the_factor_it_names() {
    let tray = demo().plan.sections.iter().flat_map(|section| &section.pieces).find(|piece| piece.kind == "folded");
    let lists = packet::drawings::flat_lists(tray.unwrap());
    let bends = lists.iter().find(|list| list.head[0] == "no.").unwrap();
    let column = bends.head.iter().position(|title| *title == "K").unwrap();
    // r 1.6, s 1.2: k = 0.65 + 0.5·log10(r/s) = 0.7125
    assert!(bends.rows.iter().all(|row| row[column] == "0.356"), "{:?}", bends.rows);
}

/// The measure sheet draws each version where there are several, cut through as well: a round edge and a folded one differ.
#[test]
fn the_measure_sheet_draws_every_version() {
    let demo = demo();
    let desk = packet::documents::Desk { job: &demo.job, plan: &demo.plan, shop: &demo.shop, day: DAY };
    let page = packet::documents::measure_page(&desk, Some("arch")).unwrap().unwrap();
    let arch = demo.job.patterns.iter().find(|pattern| pattern.id == "wren15-wheel-arch").unwrap();
    assert!(arch.versions.iter().all(|version| page.contains(&version.title)));
    let pictures = page.matches("<figure").count();
    assert_eq!(pictures, 2 * arch.versions.len() + arch.measurements.len());
}
