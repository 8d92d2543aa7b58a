//! Papers of a welded section: cautions, practice strip, map of the welds at 1:1, weld symbol.

use handbook::Grade;
use job::plan::{Plan, SectionPlan};
use packet::drawing::{Layer, LengthFormat, Shape};
use packet::drawings::{
    Basic, WeldSymbol, maps_of, practice_strip, warp_shape_view, weld_map_templates, weld_map_view,
};
use packet::pdf::Day;
use packet::{PacketFile, write_packet};
use shop::ShopSettings;
use weld::joints::WeldEventKind;
use weld::warp::shape_map::{Chain, DeflectionLine, FarPlace, ShapeMap};

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

/// A joint that is refused is not marked out: no map at 1:1 in the packet, and the papers say why not.
#[test]
fn a_stopped_joint_has_no_map() {
    let map = |files: &[PacketFile]| files.iter().filter(|file| file.name.contains("weld-map")).count();
    let (_, files) = made(JOBS[0].0);
    assert!(map(&files) >= 2 && !words(&files, "traveller.pdf").contains("No map of the welds"));
    let refused = JOBS[0].0.replace("load_bearing = false", "load_bearing = true");
    let (plan, files) = made(&refused);
    assert!(plan.joint_stopped(&plan.sections[0]));
    assert_eq!(map(&files), 0);
    for paper in ["traveller.pdf", "fitting-sheet.pdf"] {
        let text = words(&files, paper);
        assert!(text.contains("No map of the welds") && !text.contains("Welds, in this order"), "{paper}");
        assert!(!text.contains("Mark every weld from the map"), "{paper}");
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
    let drawing = practice_strip(&strip, LengthFormat::Millimetres { decimals: 1 });
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
    let holes = holes(&drawing);
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

/// Middles of the plug holes, in the order in which they are drawn.
fn holes(drawing: &packet::Drawing) -> Vec<glam::DVec2> {
    let middle = |item: &packet::drawing::Item| match (&item.layer, &item.shape) {
        (Layer::Hole, Shape::Circle { centre, .. }) => Some(*centre),
        _ => None,
    };
    drawing.items.iter().filter_map(middle).collect()
}

/// The number that stands nearest to a place.
fn nearest_number(drawing: &packet::Drawing, place: glam::DVec2) -> usize {
    let number = |item: &packet::drawing::Item| match &item.shape {
        Shape::Text(text) => Some((text.content.parse::<usize>().ok()?, text.at.distance(place))),
        _ => None,
    };
    let numbers = drawing.items.iter().filter_map(number);
    numbers.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(number, _)| number).unwrap()
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
            let texts_of = |draw: &dyn Fn(&job::plan::PiecePlan) -> Vec<packet::Drawing>| -> Vec<String> {
                section.as_fitted().iter().flat_map(|piece| draw(piece)).flat_map(|drawing| texts(&drawing)).collect()
            };
            let small =
                texts_of(&|piece| weld_map_view(section, piece, section.hand, 170.0, 100.0).into_iter().collect());
            let whole = texts_of(&|piece| weld_map_templates(section, piece, section.hand));
            // a drawing without room for all of them says so
            let thinned = small.iter().any(|text| {
                text.contains("have their number here") || text.contains("have room for their number here")
            });
            for number in 1..=numbers {
                let own = number.to_string();
                assert!(whole.contains(&own), "{} {number}: not on the map at full size", section.id);
                let wanted = !thinned || number == 1 || number == numbers;
                assert!(!wanted || small.contains(&own), "{} {number}: not on the view", section.id);
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
    // a doubler's edges are tacked: fillets, leg z left, n × l (e) right, never dressed away, on the papers and on a map of their own
    let (plan, files) = made(&JOBS[0].0.replace("kind = \"stepped_lap\"", "kind = \"plain_lap\""));
    let joint = &plan.sections[0].joint;
    let symbols: Vec<WeldSymbol> = joint.maps.iter().filter_map(|map| WeldSymbol::of(joint, map)).collect();
    assert_eq!(symbols.iter().map(|own| own.basic).collect::<Vec<_>>(), [Basic::Plug, Basic::Fillet, Basic::Fillet]);
    let tacks = joint.maps[1].events.len();
    assert!(symbols[1].left == "z0.9" && symbols[1].right.starts_with(&format!("{tacks} × 4 (")) && !symbols[1].flush);
    assert!(words(&files, "fitting-sheet.pdf").contains("fillet weld, z0.9 mm"));
    let own = files.iter().filter(|file| file.name.contains("weld-map") && file.name.ends_with(".dxf"));
    let names: std::collections::BTreeSet<&str> = own.clone().map(|file| file.name.as_str()).collect();
    assert_eq!((names.len(), own.count()), (3, 3), "{names:?}");
    let (butt, map) = symbol(JOBS[1].0);
    assert_eq!((butt.basic, butt.tail.as_str()), (Basic::SquareButt, "141"));
    assert!(map.events.iter().any(|event| event.kind == WeldEventKind::Run));
}

/// Cautions that belong to a way of joining and to a place, by id (handbook C7 to C26): process and place, what applies of the ids that hang
/// on them, what does not. C1 to C6 are not cautions of welding; C8, C9 and C16 to C18 beyond what is listed hang on other work.
struct Applies {
    what: &'static str,
    change: fn(&mut job::file::Job),
    ids: &'static [&'static str],
    not: &'static [&'static str],
}

fn near(job: &mut job::file::Job, set: fn(&mut job::file::Near)) {
    let mut near = job::file::Near::default();
    set(&mut near);
    job.near = near;
}

const APPLIES: [Applies; 10] = [
    Applies {
        what: "wire on plain steel, nothing near",
        change: |job| near(job, |_| {}),
        ids: &["C12", "C13", "C17", "C19", "C20", "C23-paint", "C26"],
        not: &["C7", "C10", "C11", "C14", "C14-near", "C15", "C16", "C18", "C21", "C22", "C23", "C24", "C25"],
    },
    Applies {
        what: "TIG on plain steel, nothing near",
        change: |job| {
            near(job, |_| {});
            job.fitter.kit = job::file::Kit::Tig;
        },
        ids: &["C12", "C13", "C17", "C19", "C20"],
        not: &["C7", "C11", "C15", "C21", "C23"],
    },
    Applies {
        what: "a flame has no arc",
        change: |job| {
            near(job, |_| {});
            job.fitter.kit = job::file::Kit::OxyAcetylene;
        },
        ids: &["C13", "C17", "C20"],
        not: &["C12"],
    },
    Applies {
        what: "zinc on the old panel",
        change: |job| {
            near(job, |_| {});
            job.sections[0].joint.zinc_coated = Some(true);
        },
        ids: &["C7", "C12", "C13", "C17", "C20"],
        not: &["C10", "C11", "C21"],
    },
    Applies {
        what: "battery, closed section, trim, old paint, a heavy lid near",
        change: |job| {
            near(job, |near| {
                (near.battery, near.closed_section, near.trim_behind) = (true, true, true);
                (near.old_paint, near.carries_load) = (true, true);
            });
        },
        ids: &["C11", "C12", "C13", "C15", "C17", "C20", "C21", "C22", "C24"],
        not: &["C7", "C14-near", "C23"],
    },
    Applies {
        what: "bonded: no heat at all",
        change: |job| {
            near(job, |near| near.closed_section = true);
            let joint = &mut job.sections[0].joint;
            (joint.kind, joint.fixing) = (job::file::JointKind::BondedLap, job::file::Fixing::Bond);
            joint.zinc_coated = Some(true);
        },
        ids: &["C17", "C19", "C23", "C26"],
        not: &["C7", "C12", "C13", "C20", "C21"],
    },
    Applies {
        what: "bolted",
        change: |job| {
            near(job, |_| {});
            let joint = &mut job.sections[0].joint;
            (joint.kind, joint.fixing) = (job::file::JointKind::Bolted, job::file::Fixing::Bolt);
        },
        ids: &["C19", "C26"],
        not: &["C7", "C12", "C13", "C20", "C23"],
    },
    Applies {
        what: "no welder in the kit: somebody else welds it, and the joint is as hot",
        change: |job| {
            near(job, |near| near.closed_section = true);
            job.fitter.kit = job::file::Kit::None;
            job.sections[0].joint.zinc_coated = Some(true);
        },
        ids: &["C7", "C12", "C13", "C17", "C19", "C20", "C21", "C26"],
        not: &["C10", "C11", "C15", "C23"],
    },
    Applies {
        what: "no welder in the kit, spots: whoever is called in brings no arc",
        change: |job| {
            near(job, |_| {});
            job.fitter.kit = job::file::Kit::None;
            job.sections[0].joint.fixing = job::file::Fixing::Spot;
        },
        ids: &["C13", "C17", "C20"],
        not: &["C7", "C12", "C21"],
    },
    Applies {
        what: "stainless sheet",
        change: |job| {
            near(job, |_| {});
            for piece in &mut job.patterns[0].pieces {
                let job::file::Piece::Strip(strip) = piece else { panic!("the arch is a strip") };
                strip.material = "stainless18_8".into();
            }
        },
        ids: &["C10", "C12", "C13", "C17", "C20"],
        not: &["C7", "C11"],
    },
];

/// What applies is in the plan and on both papers; what does not is on neither.
#[test]
fn each_way_of_joining_has_its_own_cautions_and_no_others() {
    let every = handbook::cautions::cautions_for(&EVERYTHING.into_iter().collect());
    let first = |key: &str| -> String {
        let own = every.iter().find(|concern| concern.key == key).unwrap_or_else(|| panic!("no caution {key}"));
        squeezed(&own.what).chars().take(28).collect()
    };
    let shop = ShopSettings::read_toml(include_str!("../../../../examples/shop.toml")).unwrap();
    for (index, Applies { what, change, ids, not }) in APPLIES.iter().enumerate() {
        let mut job = job::read_toml(JOBS[0].0).unwrap();
        change(&mut job);
        let plan = job::plan(&job, &shop);
        let has = |id: &str| plan.concerns.iter().any(|concern| concern.key == id);
        ids.iter().for_each(|id| assert!(has(id), "{what}: {id} is missing"));
        not.iter().for_each(|id| assert!(!has(id), "{what}: {id} does not apply"));
        // papers are slow to set: those with a caution that no other row has
        if ![0, 3, 4, 5, 7, 9].contains(&index) {
            continue;
        }
        let files = write_packet(&job, &plan, &shop, DAY, None).unwrap();
        for paper in ["traveller.pdf", "fitting-sheet.pdf"] {
            let text = words(&files, paper);
            ids.iter().for_each(|id| assert!(text.contains(&first(id)), "{what}: {paper} lacks {id}"));
            not.iter().for_each(|id| assert!(!text.contains(&first(id)), "{what}: {paper} has {id}"));
        }
    }
}

/// Every circumstance of the cautions that are listed above.
const EVERYTHING: [handbook::cautions::Circumstance; 19] = {
    use handbook::cautions::Circumstance as On;
    [
        On::RawEdges,
        On::Grinding,
        On::Welding,
        On::OpenArc,
        On::ZincCoated,
        On::Stainless,
        On::ChlorinatedSolvent,
        On::FuelNear,
        On::FuelVessel,
        On::Battery,
        On::BatteryCharging,
        On::Acid,
        On::ClosedSection,
        On::OldSealer,
        On::OldPaint,
        On::BondedJoint,
        On::TwoPackPaint,
        On::Unbolting,
        On::Blasting,
    ]
};

/// A fitter who measures in inches finds inches on the practice strip, and no strip is promised to who gets none.
#[test]
fn the_strip_speaks_the_fitters_unit_and_is_promised_only_where_it_comes() {
    let (plan, files) = made(JOBS[0].0);
    let strip = plan.sections[0].joint.practice.unwrap();
    let inches = packet::documents::Reader::new(units::LengthUnit::Inch, 32).lengths();
    let drawing = practice_strip(&strip, inches);
    assert_eq!(drawing.lengths, inches, "every dimension is written so");
    assert_eq!(inches.write(50.8), "50.8 (2\")");
    let text = words(&files, "fitting-sheet.pdf");
    assert!(text.contains("The strip below decides"));
    let (_, files) = made(JOBS[1].0);
    let text = words(&files, "fitting-sheet.pdf");
    assert!(!text.contains("strip below") && text.contains("A trial on two offcuts"), "a trade fitter gets no strip");
}

/// Who has no welder does not practise welding: no strip is promised or drawn, and each hot step says whose work it is.
#[test]
fn who_has_no_welder_gets_no_strip_and_is_told_whose_work_it_is() {
    let mut job = job::read_toml(JOBS[0].0).unwrap();
    job.fitter.kit = job::file::Kit::None;
    let shop = ShopSettings::read_toml(include_str!("../../../../examples/shop.toml")).unwrap();
    let plan = job::plan(&job, &shop);
    let section = &plan.sections[0];
    assert_eq!(section.joint.practice, None);
    assert!(!section.joint.notes.iter().any(|note| note.contains("practise")), "{:?}", section.joint.notes);
    let step = |kind: &str| section.fitting.iter().find(|step| step.kind == kind).unwrap();
    assert!(step("tack").text.iter().any(|text| text.contains("a welder's work")));
    assert!(step("weld").text.iter().any(|text| text.contains("let a welder join it")));
    for hot in ["tack", "weld"] {
        assert!(step(hot).cautions.iter().any(|caution| caution.contains("shade")), "{hot}: no word of the arc");
    }
    let files = write_packet(&job, &plan, &shop, DAY, None).unwrap();
    assert!(!words(&files, "fitting-sheet.pdf").contains("Practise on this first"));
    assert!(!words(&files, "traveller.pdf").contains("Practice strip"));
}

/// Bonded: how long it stays clamped, from the adhesive of the handbook, on the sheet and among the figures of the card.
#[test]
fn a_bonded_lap_says_how_long_it_stays_clamped() {
    let mut job = job::read_toml(JOBS[0].0).unwrap();
    let joint = &mut job.sections[0].joint;
    (joint.kind, joint.fixing) = (job::file::JointKind::BondedLap, job::file::Fixing::Bond);
    let shop = ShopSettings::read_toml(include_str!("../../../../examples/shop.toml")).unwrap();
    let plan = job::plan(&job, &shop);
    let figure = plan.sections[0].joint.workings.iter().find(|own| own.name == "clamped for").unwrap();
    // from memory, as the handbook's adhesive has it: 6 to 24 h
    let reach = figure.reach.unwrap();
    assert_eq!([figure.value - reach, figure.value + reach], [6.0, 24.0]);
    assert_eq!(figure.unit, "h");
    let text = words(&write_packet(&job, &plan, &shop, DAY, None).unwrap(), "fitting-sheet.pdf");
    assert!(text.contains("clamped for 6 to 24 h") && text.contains("sheet decides"), "{text}");
    assert!(text.contains("clamp until it has cured, 6 to 24 h"));
}

/// The last weld of the habit first, and so on; a tack stays a tack, a run a run.
fn turned_round(plan: &Plan, job: &job::file::Job) -> job::file::AcceptedOrder {
    let section = &plan.sections[0];
    let joint = &section.joint;
    let mut welds: Vec<_> =
        joint.maps.iter().flat_map(|map| map.events.iter().map(move |event| (map, *event))).collect();
    welds.sort_by_key(|(_, event)| (event.kind == WeldEventKind::Run, std::cmp::Reverse(event.number)));
    let weld = |(i, (map, event)): (usize, &(&job::plan::WeldMap, weld::joints::WeldEvent))| job::file::OrderedWeld {
        piece: map.piece.clone(),
        edge: map.edge.clone(),
        kind: event.kind,
        from_mm: event.from_mm,
        to_mm: event.to_mm,
        pause_s: Some(if i % 2 == 0 { 38.0 } else { 100.0 }),
    };
    job::file::AcceptedOrder {
        form: joint.form.unwrap(),
        length_mm: joint.maps.iter().map(|map| map.length_mm).sum(),
        thickness_mm: Some(section.pieces[0].blank.thickness_mm),
        kit: Some(job.fitter.kit),
        run_j_mm: None,
        dot_j: None,
        warp: Vec::new(),
        effect: Some(job::file::OrderEffect {
            oil_cans: false,
            oil_canning: "the shrinkage could be 1.7 times as much before the panel buckles".into(),
            height: job::file::WarpHeights { low_mm: Some(1.04), middle_mm: Some(2.13), high_mm: Some(3.88) },
            margin: Some([1.7, 2.6, 4.1]),
            planish: vec![job::file::PlanishedEdge {
                piece: joint.maps[0].piece.clone(),
                edge: joint.maps[0].edge.clone(),
                from_mm: 0.0,
                to_mm: joint.maps[0].length_mm,
                width_mm: 20.0,
                stretch_percent: 0.06,
            }],
            shape: Some(dented(section)),
        }),
        is_habit: false,
        weld: welds.iter().enumerate().map(weld).collect(),
    }
}

/// A panel that lies 2.1 mm in at the middle of its first weld line and keeps its shape at the ends, with lines of 1 and 2 mm round that place.
fn dented(section: &SectionPlan) -> ShapeMap {
    let map = &section.joint.maps[0];
    let edge = section.pieces[0].edges.iter().find(|edge| edge.name == map.edge).unwrap();
    let at = |along_mm: f64, into_mm: f64| {
        let point = edge.at(along_mm).unwrap();
        point.at_mm + point.into_sheet * into_mm
    };
    let middle = 0.5 * map.length_mm;
    let seam: Vec<_> = (0..=40).map(|i| at(map.length_mm * f64::from(i) / 40.0, 0.0)).collect();
    let line = |half_mm: f64, into_mm: f64| {
        let there = (-10..=10).map(|i| at(middle + half_mm * f64::from(i) / 10.0, into_mm));
        let points: Vec<_> = there.chain([at(middle - half_mm, into_mm + 1.0)]).collect();
        Chain::thinned(&points)
    };
    ShapeMap {
        step_mm: 1.0,
        lowest: Some(FarPlace {
            place_mm: at(middle, 5.0).to_array(),
            at_mm: -2.1,
            spread_mm: Some([-3.9, -2.1, -1.0]),
        }),
        seams: vec![Chain::thinned(&seam)],
        planish: vec![Chain::thinned(&seam)],
        strokes_in: vec![line(40.0, 6.0)],
        line: vec![
            DeflectionLine { at_mm: -1.0, points: line(60.0, 15.0) },
            DeflectionLine { at_mm: -2.0, points: line(30.0, 10.0) },
        ],
        ..ShapeMap::default()
    }
}

/// The shape that an accepted order leaves stands on the fitting sheet, out and in told apart by words and kinds of line, and in the fitter's unit; an
/// order that is older than its drawing brings none, and breaks nothing.
#[test]
fn the_warped_shape_of_an_accepted_order_is_drawn_for_the_fitter() {
    let shop = ShopSettings::read_toml(include_str!("../../../../examples/shop.toml")).unwrap();
    let mut job = job::read_toml(JOBS[1].0).unwrap();
    let order = turned_round(&job::plan(&job, &shop), &job);
    job.sections[0].joint.accepted = Some(order.clone());
    // as it is kept
    let job = job::read_toml(&job::write_toml(&job).unwrap()).unwrap();
    assert_eq!(job.sections[0].joint.accepted.as_ref(), Some(&order));
    let plan = job::plan(&job, &shop);
    let sheet = words(&write_packet(&job, &plan, &shop, DAY, None).unwrap(), "fitting-sheet.pdf");
    // letters of a drawing stand one by one in the file
    let close = |text: &str| text.split_whitespace().collect::<String>();
    let told = close(&sheet);
    for said in [
        "lowest: 2.1 mm in (1 to 3.9)",
        "The panel once it is welded in this order",
        "from line to line 1 mm",
        "P: planish along the weld",
    ] {
        assert!(told.contains(&close(said)), "the sheet lacks {said}");
    }
    let section = &plan.sections[0];
    let map = section.joint.effect.as_ref().unwrap().shape.as_ref().unwrap();
    let drawn = |format| warp_shape_view(&section.pieces[0], map, section.hand, format, [180.0, 120.0]);
    let drawing = drawn(LengthFormat::Millimetres { decimals: 1 });
    let of = |layer: Layer| drawing.items.iter().filter(|item| item.layer == layer).count();
    assert!(of(Layer::In) >= 3 && of(Layer::Out) == 0 && of(Layer::Weld) >= 1);
    assert!(Layer::In.line_type() != Layer::Out.line_type(), "a mono print tells out from in");
    let said = texts(&drawing);
    assert!(said.iter().any(|text| text == "−1") && said.iter().any(|text| text == "P"), "{said:?}");
    // 2.1 mm is 0.083 in, 1 mm is no fraction of an inch
    let inches = drawn(LengthFormat::Inches { denominator: units::Denominator::ThirtySeconds });
    assert!(inches.description.contains("lowest: 0.083\" in (0.039 to 0.154)"), "{}", inches.description);

    let mut older = order;
    older.effect.as_mut().unwrap().shape = None;
    let mut job = job;
    job.sections[0].joint.accepted = Some(older);
    let sheet = words(&write_packet(&job, &job::plan(&job, &shop), &shop, DAY, None).unwrap(), "fitting-sheet.pdf");
    assert!(!sheet.contains("The panel once it is welded") && sheet.contains("rder computed for least warp"));
}

/// Where the search found nothing better than the habit, no paper says that an order was computed for least warp.
#[test]
fn a_habit_that_was_found_as_good_as_any_is_told_so() {
    let shop = ShopSettings::read_toml(include_str!("../../../../examples/shop.toml")).unwrap();
    let mut job = job::read_toml(JOBS[1].0).unwrap();
    let order = turned_round(&job::plan(&job, &shop), &job);
    job.sections[0].joint.accepted = Some(job::file::AcceptedOrder { is_habit: true, ..order });
    let plan = job::plan(&job, &shop);
    let files = write_packet(&job, &plan, &shop, DAY, None).unwrap();
    for paper in ["traveller.pdf", "fitting-sheet.pdf"] {
        let text = words(&files, paper);
        assert!(!text.contains("least warp"), "{paper}");
        assert!(text.contains("the habit of the trade, which the computation found as good as any"), "{paper}");
    }
    let section = &plan.sections[0];
    let maps = weld_map_templates(section, &section.pieces[0], section.hand);
    assert!(maps.iter().all(|map| texts(map).iter().any(|text| text.contains("found as good as any"))));
}

/// On the map at full size of a seam whose tacks stand 4 mm apart no number stands on another, nor on the title, and each is tied to its weld.
#[test]
fn numbers_of_a_dense_seam_stand_clear_of_one_another() {
    let (plan, _) = made(JOBS[1].0);
    let mut section = plan.sections[0].clone();
    let map = &mut section.joint.maps[0];
    let event = map.events[0];
    map.events = (0..60)
        .map(|i| weld::joints::WeldEvent {
            number: 100 + i,
            from_mm: 40.0 + 4.0 * i as f64,
            to_mm: 40.0 + 4.0 * i as f64,
            ..event
        })
        .collect();
    let drawing = weld_map_templates(&section, &section.pieces[0], section.hand).remove(0);
    let text = |item: &packet::drawing::Item| match &item.shape {
        Shape::Text(text) => Some(text.clone()),
        _ => None,
    };
    let all: Vec<_> = drawing.items.iter().filter_map(text).collect();
    let numbers: Vec<_> = all.iter().filter(|text| text.content.parse::<usize>().is_ok_and(|n| n >= 100)).collect();
    assert_eq!(numbers.len(), 60);
    // three figures of 3.5 mm are about 7 mm wide
    for (i, one) in numbers.iter().enumerate() {
        for other in &numbers[i + 1..] {
            let apart = (one.at - other.at).abs();
            assert!(apart.x > 6.0 || apart.y > 3.5, "{} stands on {}", one.content, other.content);
        }
    }
    let title = all.iter().find(|text| text.content.contains("welds in their order")).unwrap();
    let ends: Vec<_> = all.iter().filter(|text| text.content.ends_with(" mm") && text.content.len() < 9).collect();
    assert_eq!(ends.len(), 2, "the figures of both ends");
    for other in numbers.iter().copied().chain(ends) {
        assert!(other.at.y > title.at.y + 3.0, "{} stands on the title", other.content);
    }
    let leaders =
        drawing.items.iter().filter(|item| item.layer == Layer::Note && matches!(item.shape, Shape::Line { .. }));
    assert!(leaders.count() >= 30, "numbers beyond the paper have leaders");
    // the paper is cut along one closed line; the edge that is laid on has a second, open one
    let of = |layer| drawing.items.iter().filter(move |item| item.layer == layer).map(|item| &item.shape);
    assert!(matches!(of(Layer::Template).collect::<Vec<_>>()[..], [Shape::Polyline(line)] if line.closed));
    assert!(matches!(of(Layer::Mark).collect::<Vec<_>>()[..], [Shape::Polyline(line)] if !line.closed));
}

/// Once an order is accepted, steps, order lines and the map at full size say it alike: by the numbers, no habit beside them. The pauses stand on
/// both papers, what the order does to the panel on the shop's, what is to be planished on the fitter's.
#[test]
fn an_accepted_order_is_told_alike_on_every_paper() {
    const HABIT: [&str; 6] = [
        "middle first",
        "closed from the middle outwards",
        "runs from the middle outwards",
        "Tack in the middle",
        "order of the tacks",
        "far from the last",
    ];
    for (text, _) in &JOBS[..2] {
        let shop = ShopSettings::read_toml(include_str!("../../../../examples/shop.toml")).unwrap();
        let mut job = job::read_toml(text).unwrap();
        let habit = job::plan(&job, &shop);
        let steps: String = habit.sections[0].fitting.iter().flat_map(|step| step.text.clone()).collect();
        assert!(HABIT.iter().any(|words| steps.contains(words)), "{steps}");
        let order = turned_round(&habit, &job);
        job.sections[0].joint.accepted = Some(order.clone());
        let plan = job::plan(&job, &shop);
        let section = &plan.sections[0];
        assert_eq!(section.joint.order_by, job::plan::OrderBy::Computed);
        let files = write_packet(&job, &plan, &shop, DAY, None).unwrap();
        for paper in ["traveller.pdf", "fitting-sheet.pdf"] {
            let text = words(&files, paper);
            assert!(text.contains("rder computed for least warp"), "{paper}");
            for habit in HABIT {
                assert!(!text.contains(habit), "{paper} tells the habit beside the order: {habit}");
            }
            // the first needs none, every other one after it 40 s rounded up, the rest two minutes
            let evens: Vec<String> = (3..=order.weld.len()).step_by(2).map(|number| number.to_string()).collect();
            assert!(text.contains("before the weld of this number"), "{paper}");
            assert!(text.contains(&format!("40 s {}", evens[..3].join(", "))), "{paper}: {text}");
            assert!(text.contains("2 min 2, 4, 6"), "{paper}");
            assert!(text.contains("The hand decides"), "{paper}");
        }
        let traveller = words(&files, "traveller.pdf");
        for figure in ["2.1 mm (1.0 to 3.9)", "2.6 (1.7 to 4.1)", "could be 1.7 times", "0.06 % along it"] {
            assert!(traveller.contains(figure), "the traveller lacks {figure}");
        }
        let sheet = words(&files, "fitting-sheet.pdf");
        assert!(sheet.contains("In the order of the numbers on the map, 1 first"));
        assert!(sheet.contains("lanish along") && sheet.contains("by 0.06 % along it and no more"));
        // the map at full size: each number stands by the weld that the order makes in that turn
        for map in &section.joint.maps {
            for event in &map.events {
                let own = &order.weld[event.number - 1];
                assert_eq!((own.from_mm, own.to_mm, own.kind), (event.from_mm, event.to_mm, event.kind));
            }
        }
        let piece = &section.as_fitted()[0];
        let templates = weld_map_templates(section, piece, section.hand);
        let said: Vec<String> = templates.iter().flat_map(texts).collect();
        assert!(said.iter().any(|text| text.contains("order computed for least warp")), "{said:?}");
        assert!(!said.iter().any(|text| HABIT.iter().any(|habit| text.contains(habit))), "{said:?}");
        for (map, _) in maps_of(section, piece).iter().filter(|(map, _)| map.hole_mm.is_some()) {
            let drawing = templates.iter().find(|own| own.name.ends_with(&map.edge)).unwrap();
            let told: Vec<usize> = holes(drawing).into_iter().map(|hole| nearest_number(drawing, hole)).collect();
            assert_eq!(told, map.events.iter().map(|event| event.number).collect::<Vec<_>>());
        }
    }
}

/// The two ends of a tube have neither middle nor end.
#[test]
fn an_edge_that_closes_has_no_middle_to_begin_at() {
    let (plan, files) = made(JOBS[2].0);
    let maps = &plan.sections[0].joint.maps;
    assert!(!maps.is_empty() && maps.iter().all(|map| map.closed));
    let text = words(&files, "fitting-sheet.pdf");
    assert!(!text.contains("middle first") && text.contains("one weld, then the one opposite"));
}

/// On the dome's drawing no number stands on another, and the first and the last are there.
#[test]
fn numbers_on_the_small_map_of_the_dome_have_room() {
    let (plan, _) = made(JOBS[1].0);
    let section = &plan.sections[0];
    let piece = &section.as_fitted()[0];
    let drawing = weld_map_view(section, piece, section.hand, 180.0, 100.0).unwrap();
    let numbers: Vec<_> = drawing
        .items
        .iter()
        .filter_map(|item| match &item.shape {
            Shape::Text(text) => Some((text.content.parse::<usize>().ok()?, text.at)),
            _ => None,
        })
        .collect();
    let last = section.joint.maps.iter().flat_map(|map| &map.events).map(|event| event.number).max().unwrap();
    for end in [1, last] {
        assert!(numbers.iter().any(|(number, _)| *number == end), "{end}");
    }
    let real = drawing.scale.real / drawing.scale.paper;
    for (i, (number, at)) in numbers.iter().enumerate() {
        for (other, place) in numbers.iter().skip(i + 1) {
            let apart = (*at - *place).abs() / real;
            assert!(apart.x > 1.0 || apart.y > 1.8, "{number} and {other} lie {apart} mm from one another on paper");
        }
    }
}
