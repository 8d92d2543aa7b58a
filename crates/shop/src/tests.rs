//! Tests of the shop against trade arithmetic (handbook ids beside each).
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

use super::*;
use blank::{Blank, FaceUp, FoldKind};
use glam::DVec2;
use std::f64::consts::FRAC_PI_2;
use units::Money;

fn shop() -> ShopSettings {
    ShopSettings::read_toml(include_str!("../../../examples/shop.toml")).unwrap()
}

fn fold(number: usize, length_mm: f64, radius_mm: f64) -> blank::FlatFold {
    let line = vec![DVec2::ZERO, DVec2::new(length_mm, 0.0)];
    blank::FlatFold {
        name: format!("fold {number}"),
        number,
        kind: FoldKind::Fold,
        up: true,
        turns: section::Side::Inside,
        tangent_near_mm: line.clone(),
        tangent_far_mm: line.clone(),
        centre_mm: line.clone(),
        sight_mm: line,
        bend_angle_rad: [FRAC_PI_2; 2],
        inside_radius_mm: radius_mm,
        allowance_mm: [2.9; 2],
        setback_mm: [2.4; 2],
        k_factor: 0.38,
        rule: "DIN 6935".into(),
        fold_to_rad: Some([FRAC_PI_2 * 1.004; 2]),
    }
}

fn flat(folds: Vec<blank::FlatFold>) -> Blank {
    let corner = |x, y| DVec2::new(x, y);
    Blank {
        piece: "test strip".into(),
        material: "dc04".into(),
        thickness_mm: 0.9,
        face_up: FaceUp::Inside,
        outline_mm: vec![corner(0.0, 0.0), corner(600.0, 0.0), corner(600.0, 90.0), corner(0.0, 90.0)],
        openings: Vec::new(),
        folds,
        marks: Vec::new(),
        area_mm2: 54_000.0,
        stations: Vec::new(),
        lengthwise: Vec::new(),
        crown: None,
        wires: Vec::new(),
        check_dimensions: Vec::new(),
        running_x: Vec::new(),
        running_y: Vec::new(),
        trim_mm: 1.0,
        concerns: Vec::new(),
        workings: Vec::new(),
    }
}

fn piece(blank: &Blank) -> PieceWork<'_> {
    PieceWork {
        blank,
        shape: PieceShape::Strip,
        ruled: None,
        ring: None,
        forming: None,
        tube: None,
        buck_slices: 0,
        hand: "right hand".into(),
        steps: vec![StepWork { depth_mm: 0.9, lap_mm: 17.2, length_mm: 600.0 }],
        welded_corners_mm: Vec::new(),
        legs: vec![("flange".into(), 15.0)],
        mate: None,
        templates: 2,
    }
}

fn section(piece: PieceWork<'_>, quantity: u32) -> SectionWork<'_> {
    SectionWork {
        title: "test".into(),
        pieces: vec![piece],
        sub_assemblies: Vec::new(),
        quantity,
        kept_pattern: true,
        said_on_the_phone: false,
    }
}

fn kinds(operations: &[Operation]) -> Vec<&str> {
    operations.iter().map(|operation| operation.kind.as_str()).collect()
}

/// E1: labour 420.00, material 31.09, consumables 12.40, overhead 15 % → cost 533.0135; margin 20 % → 666.27; E9: tax 20 %
/// → 133.25, gross 799.52. Carriage is set to nothing so that the published sum stands alone.
#[test]
fn the_price_follows_e1_and_e9() {
    let mut shop = shop();
    shop.money.hour = Some("48.00".into());
    shop.money.packing = Some("0.00".into());
    shop.money.carriage_parcel = Some("0.00".into());
    shop.allowances.blank_gap_mm = 0.0;
    shop.allowances.sheet_border_mm = 0.0;
    shop.sheets.retain(|sheet| sheet.length_mm == 2000.0);
    shop.consumables =
        vec![Consumable { name: "used".into(), price: "12.40".into(), per: ConsumablePer::Section, amount: 1.0 }];
    let mut blank = flat(Vec::new());
    blank.outline_mm = vec![DVec2::ZERO, DVec2::new(2000.0, 0.0), DVec2::new(2000.0, 1000.0), DVec2::new(0.0, 1000.0)];
    let section = section(piece(&blank), 1);
    shop.money.parcel_up_to_mm = 5000.0;
    let operation = |minutes: f64| Operation {
        number: 1,
        kind: "fold".into(),
        piece: String::new(),
        what: String::new(),
        settings: Vec::new(),
        checks: Vec::new(),
        minutes: Minutes { low: minutes, likely: minutes, high: minutes },
        working: handbook::Working::new("", 0.0, "", "", handbook::Source::measured("")),
    };
    let price = price(&section, &[operation(525.0)], &shop).unwrap(); // 420.00 at 48.00 an hour
    assert_eq!(price.net.middle, Money::parse("GBP 666.27").unwrap());
    assert_eq!(price.gross.middle, Money::parse("GBP 799.52").unwrap());
    let tax = price.lines.iter().find(|line| line.class == LineClass::Tax).unwrap();
    assert_eq!(tax.amount, Money::parse("GBP 133.25").unwrap());
}

#[test]
fn printed_lines_add_up_to_the_net_and_the_range_holds_the_middle() {
    let shop = shop();
    let blank = flat(vec![fold(1, 600.0, 1.5)]);
    for quantity in [1, 2, 7] {
        let section = section(piece(&blank), quantity);
        let operations = operations(&section, &shop);
        let price = price(&section, &operations, &shop).unwrap();
        let sum: i64 =
            price.lines.iter().filter(|line| line.class != LineClass::Tax).map(|line| line.amount.minor).sum();
        assert_eq!(sum, price.net.middle.minor);
        assert!(price.net.low.minor < price.net.middle.minor && price.net.middle.minor < price.net.high.minor);
        assert!(price.next_one.unwrap().minor < price.net.middle.minor);
    }
}

/// E10: 4, 6, 11 → mean 6.5, deviation 1.167.
#[test]
fn hours_are_added_as_pert_estimates() {
    let minutes = Minutes { low: 4.0, likely: 6.0, high: 11.0 };
    assert!((minutes.mean() - 6.5).abs() < 1e-12);
    assert!((minutes.deviation() - 7.0 / 6.0).abs() < 1e-12);
}

#[test]
fn a_price_with_no_rate_names_the_rate() {
    let mut shop = shop();
    shop.money.hour = None;
    let blank = flat(Vec::new());
    let section = section(piece(&blank), 1);
    let error = price(&section, &operations(&section, &shop), &shop).unwrap_err();
    assert!(matches!(&error, ShopError::NoRate { key, .. } if key == "money.hour"));
    assert!(error.to_string().contains("hourly rate"), "{error}");
}

#[test]
fn metal_that_is_not_in_the_rack_is_named() {
    let shop = shop();
    let mut blank = flat(Vec::new());
    blank.thickness_mm = 0.7;
    let section = section(piece(&blank), 1);
    let error = price(&section, &operations(&section, &shop), &shop).unwrap_err().to_string();
    assert!(error.contains("0.70 mm") && error.contains("dc04 0.90 mm"), "{error}");
}

#[test]
fn the_order_of_working_is_kept() {
    let shop = shop();
    let mut blank = flat(vec![fold(1, 600.0, 1.5)]);
    blank.crown = Some(blank::Crown {
        strain_percent: 0.3,
        station_mm: 100.0,
        verdict: blank::CrownVerdict::Wheel,
        highest_strip_mm: Some(180.0),
        working: handbook::Working::new("", 0.3, "%", "", handbook::Source::geometry("S24")),
    });
    let section = section(piece(&blank), 1);
    let operations = operations(&section, &shop);
    let order = [
        "set-out-from-pattern",
        "make-templates",
        "cut-blank",
        "deburr",
        "mark-out",
        "wheel",
        "joggle",
        "fold",
        "check",
        "mark-piece",
        "prime",
        "pack",
    ];
    assert_eq!(kinds(&operations), order);
    assert!(operations.iter().enumerate().all(|(i, operation)| operation.number == i + 1));
    let fold = operations.iter().find(|operation| operation.kind == "fold").unwrap();
    assert!(fold.settings[0].contains("fold to 90.4°"), "{:?}", fold.settings);
}

#[test]
fn what_the_machines_cannot_do_is_said() {
    let shop = shop();
    let mut blank = flat(vec![fold(1, 1600.0, 0.4)]);
    blank.outline_mm = vec![DVec2::ZERO, DVec2::new(1600.0, 0.0), DVec2::new(1600.0, 90.0), DVec2::new(0.0, 90.0)];
    let mut work = piece(&blank);
    work.legs = vec![("flange".into(), 5.0)];
    // the deeper of two steps decides, wherever it stands
    work.steps = vec![
        StepWork { depth_mm: 0.9, lap_mm: 17.2, length_mm: 300.0 },
        StepWork { depth_mm: 2.5, lap_mm: 170.0, length_mm: 1600.0 },
    ];
    let presses = |work: &PieceWork<'_>| {
        let made = operations(&section(work.clone(), 1), &shop);
        made.into_iter().filter(|operation| operation.kind == "joggle").map(|own| own.settings).collect::<Vec<_>>()
    };
    let pressed = presses(&work);
    assert_eq!(pressed.len(), 2, "{pressed:?}");
    assert!(pressed[0][0].contains("0.90 mm") && pressed[1][0].contains("2.50 mm"), "{pressed:?}");
    let keys: Vec<String> = machine_concerns(&work, &shop).into_iter().map(|concern| concern.key).collect();
    for key in [
        "folder-too-short",
        "radius-below-folder",
        "leg-too-short-to-hold",
        "step-too-deep",
        "step-beyond-throat",
        "shear-too-short",
    ] {
        assert!(keys.iter().any(|found| found == key), "{key} in {keys:?}");
    }
    assert!(machine_concerns(&piece(&flat(vec![fold(1, 600.0, 1.5)])), &shop).is_empty());
}

/// Monday 2 November 2026, no backlog, 12 h of work at 6 h a day and two days' handling: Friday 6 November. A Christmas shut
/// and a weekend are jumped over.
#[test]
fn a_promise_counts_working_days_from_the_date_given() {
    let mut shop = shop();
    shop.calendar.backlog_hours = 0.0;
    let dates = promise("2026-11-02", 720.0, 0.0, &shop).unwrap();
    assert_eq!((dates.likely.as_str(), dates.latest.as_str()), ("2026-11-06", "2026-11-06"));
    let dates = promise("2026-12-21", 720.0, 60.0, &shop).unwrap();
    assert_eq!(dates.likely, "2027-01-05"); // two days of work, two of handling: 22, 23 December, 4, 5 January
}

#[test]
fn a_date_that_is_none_is_named() {
    assert!(promise("2026-02-30", 60.0, 0.0, &shop()).unwrap_err().to_string().contains("2026-02-30"));
    assert!(promise("2026-02-20", f64::NAN, 0.0, &shop()).is_err());
}

#[test]
fn learned_factors_are_drawn_towards_one() {
    let time = |actual: f64| ActualTime { kind: "fold".into(), estimated_minutes: 10.0, actual_minutes: actual };
    assert!((learn(&[time(20.0)])["fold"] - 1.2).abs() < 1e-12); // (4 + 2)/(4 + 1)
    let many: Vec<ActualTime> = (0..400).map(|_| time(20.0)).collect();
    assert!((learn(&many)["fold"] - 2.0).abs() < 0.02);
    assert!(learn(&[time(f64::NAN), time(0.0)]).is_empty());
}

#[test]
fn a_wire_between_two_sizes_is_seen() {
    let shop = shop();
    let (wire, off_mm) = choose_wire(&shop.wires, 6.372).unwrap(); // H11: 8.2 − 2 × 0.914
    assert_eq!(wire.name, "1/4 in bar");
    assert!((off_mm + 0.022).abs() < 1e-9);
    let (_, off_mm) = choose_wire(&shop.wires, 5.3).unwrap();
    assert!(off_mm.abs() > shop.allowances.wire_within_mm);
}

#[test]
fn settings_outside_their_range_are_all_named() {
    let text = "[money]\nmargin_percent = 120.0\nhour = \"12.345\"\n[allowances]\nhole_reach_mm = nan\n[minutes.folding]\nsetup = 1.0\n";
    let Err(ShopError::Settings(faults)) = ShopSettings::read_toml(text) else { panic!("refused with a list") };
    let keys: Vec<&str> = faults.iter().map(|fault| fault.key.as_str()).collect();
    assert_eq!(keys, ["money.margin_percent", "money.hour", "allowances.hole_reach_mm", "minutes.folding"]);
    assert!(matches!(ShopSettings::read_toml("[mony]\nhour = \"1\"\n"), Err(ShopError::Read(_))));
}

#[test]
fn settings_are_written_back_as_they_were_read() {
    let shop = shop();
    assert_eq!(ShopSettings::read_toml(&shop.write_toml().unwrap()).unwrap(), shop);
    assert_eq!(ShopSettings::read_toml("").unwrap(), ShopSettings::default());
}

#[test]
fn a_refusal_is_courteous_and_says_what_to_do_instead() {
    let text = decline_reply(
        &Declined {
            customer: "Wren Mobile Library Trust",
            vehicle: "Wren 15",
            piece: "steering box bracket",
            reason: "it carries the steering, and we make bodywork only",
            instead: "have it made by a certified welder",
        },
        &shop(),
    );
    assert!(
        text.contains("Thank you")
            && text.contains("it carries the steering, and we make bodywork only.")
            && text.contains("certified welder.")
    );
    assert!(text.contains("Bench Lane Metalwork"));
}

/// A skin whose map raises the rectangle from `low` to `high` of its flat.
fn raised(low: [f64; 2], high: [f64; 2]) -> blank::skin::SkinForming {
    use blank::skin::{BandArea, LimitAt, RaiseBand, SkinForming, ThicknessAt, Work};
    use handbook::forming_limit::{Forming, FormingLimit, LimitMetal};
    let [a, c] = [DVec2::from(low), DVec2::from(high)];
    let size = c - a;
    let thickness = ThicknessAt { thickness_mm: 0.88, at_mm: a };
    SkinForming {
        thickness: [thickness; 2],
        limit: FormingLimit::new(0.9, 0.21, LimitMetal::LowCarbonSteel).unwrap(),
        nearest_limit: LimitAt { major: 0.02, minor: 0.0, limit: 0.3, margin: 0.28, state: Forming::Safe, at_mm: a },
        largest_strain: (0.02, a),
        work_j: 50.0,
        raise: [0.0, 0.03],
        bands: vec![RaiseBand {
            raise: [0.02, 0.03],
            work: Work::Stretch,
            label: "raise by 2 to 3 %".into(),
            areas: vec![BandArea {
                outer_mm: vec![a, DVec2::new(c.x, a.y), c, DVec2::new(a.x, c.y)],
                inner_mm: Vec::new(),
                label_mm: 0.5 * (a + c),
                hatch: DVec2::X,
                flat_area_mm2: size.x * size.y,
            }],
            flat_area_mm2: size.x * size.y,
            mean_raise: 0.025,
            passes: None,
        }],
        edges: Vec::new(),
        edge_words: Vec::new(),
        held: Vec::new(),
        workings: Vec::new(),
    }
}

fn wheel_keys(blank: &Blank, forming: &blank::skin::SkinForming, shop: &ShopSettings) -> Vec<handbook::Concern> {
    let work = PieceWork {
        shape: PieceShape::Skin,
        forming: Some(forming),
        steps: Vec::new(),
        legs: Vec::new(),
        ..piece(blank)
    };
    machine_concerns(&work, shop).into_iter().filter(|own| own.key.contains("wheel")).collect()
}

/// A blank of 1600 by 1200: its middle lies 600 from the nearest edge, and a throat of 500 reaches all but 600 by 200 of it.
#[test]
fn the_wheel_is_held_against_a_skin() {
    let mut shop = shop();
    let size = [[0.0, 0.0], [1600.0, 0.0], [1600.0, 1200.0], [0.0, 1200.0]];
    let sheet = |thickness_mm| Blank { outline_mm: size.map(DVec2::from).to_vec(), thickness_mm, ..flat(Vec::new()) };
    let (middle, edge) = (raised([200.0, 100.0], [1500.0, 1100.0]), raised([100.0, 100.0], [1500.0, 480.0]));
    shop.machines.wheel = Some(Wheel { throat_mm: 500.0, thickest_mm: 1.2 });
    let found = wheel_keys(&sheet(0.9), &middle, &shop);
    let [throat] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!(throat.key, "wheel-throat");
    assert!(throat.what.contains("600 mm from the nearest edge") && throat.what.contains("500 mm"), "{}", throat.what);
    assert!(throat.what_to_do.contains("throat of 600 mm or more"), "{}", throat.what_to_do);
    assert!(throat.place.contains(", 600) mm"), "{}", throat.place);
    // the same sheet raised near its edge only, and a throat that reaches
    assert!(wheel_keys(&sheet(0.9), &edge, &shop).is_empty());
    shop.machines.wheel = Some(Wheel { throat_mm: 601.0, thickest_mm: 1.2 });
    assert!(wheel_keys(&sheet(0.9), &middle, &shop).is_empty());
    let thick = wheel_keys(&sheet(1.5), &middle, &shop);
    assert!(thick.len() == 1 && thick[0].key == "too-thick-for-wheel", "{thick:?}");
    assert!(thick[0].what_to_do.contains("1.20 mm or less"), "{}", thick[0].what_to_do);
    // a skin that is gathered alone needs no wheel
    let mut gathered = middle.clone();
    gathered.bands[0].work = blank::skin::Work::Shrink;
    assert!(wheel_keys(&sheet(1.5), &gathered, &shop).is_empty());
    shop.machines.wheel = None;
    assert_eq!(wheel_keys(&sheet(0.9), &middle, &shop)[0].key, "no-wheel");
}
