//! Question 6: how does it go in?

use super::damage::sentence;
use super::joint_advice;
use super::{Asked, ticks};
use crate::planning::WarpFound;
use crate::web::card::fields::Field;
use crate::web::card::question::{Picture, Question};
use crate::web::card::section_work::page_of;
use crate::web::card::{heat, warp};
use crate::web::figures::{Cell, Figure, Table, escape, fold};
use job::file::{Fixing, JointKind, Kit, ShieldingGas, Skill};
use job::plan::{FittingStep, Setting};
use packet::documents::{Reader, preview};
use units::LengthUnit;
use weld::metal::{FileMark, Magnet};

/// Heading of what is said about the place.
const PLACE: &str = "The old panel and the place: metal, load, how far it goes on";
/// Heading of what is said about the fitter's machine.
const MACHINE: &str = "The fitter: name, machine, unit";
/// Heading of what stands near.
const NEAR: &str = "What is near the work: tank, battery, wiring, glass, mountings";

/// The question: what decides stands first, the rest is folded under headings.
pub fn ask(asked: &Asked<'_>) -> Question {
    let joint = &asked.plan.joint;
    let warp = asked.app.planning.warp(asked.id(), asked.job(), asked.section, asked.plan);
    let weighed = joint_advice::Weighed::of(asked);
    Question {
        title: "How does it go in?",
        pictures: pictures(asked),
        fields: fields(asked),
        answer: sentence(&joint.sentence),
        short: joint_words(asked.section.joint.kind).to_owned(),
        figures: joint.workings.iter().map(Figure::named).chain(warp::figures(warp.as_deref())).collect(),
        advice: format!("{}{}", joint_advice::chosen(asked, &weighed), folds(asked, &weighed, warp.as_deref())),
        ..Question::default()
    }
}

/// Everything that is looked up: the other joints, settings, order, heat, warp, steps, notes.
fn folds(asked: &Asked<'_>, weighed: &joint_advice::Weighed, warp: Option<&WarpFound>) -> String {
    let joint = &asked.plan.joint;
    let mut html = joint_advice::ranking(asked, weighed);
    if let Some(table) = settings_table(&joint.settings) {
        html += &fold("All settings of the machine, and how far the heat reaches", false, &table.html());
    }
    html += &joint_advice::order(asked);
    if joint.process.is_some() {
        let page = page_of(asked.id(), &asked.plan.id);
        let pending = |work| asked.app.long_work.is_pending(&page, work);
        let heat = asked.app.planning.heat(asked.id(), asked.job(), asked.section, asked.plan);
        let waits = pending(heat::WORK) || pending(warp::WORK);
        let inside = heat::html(asked.id(), asked.plan, heat.as_deref(), waits);
        html += &fold("Heat: how hot the panel gets", heat.is_some() || waits, &inside);
        let tables: String = warp::tables(warp).iter().map(Table::html).collect();
        let fitter = &asked.job().fitter;
        let reader = Reader::new(fitter.unit, fitter.inch_denominator);
        let inside = warp::html(asked.id(), asked.plan, reader, warp, pending(warp::WORK)) + &tables;
        let heading = "Warp: how far it leaves its shape, and the order that warps least";
        html += &fold(heading, warp.is_some() || pending(warp::WORK), &inside);
    }
    if let Some(table) = steps_table(&asked.plan.fitting) {
        let steps = asked.plan.fitting.len();
        html += &fold(&format!("Steps of the fitting sheet: {steps}"), false, &table.html());
    }
    if !joint.notes.is_empty() {
        let notes: String = joint.notes.iter().map(|note| format!("<li>{}</li>", escape(note))).collect();
        let heading = format!("Notes for the fitter: {}", joint.notes.len());
        html += &fold(&heading, false, &format!("<ul class=\"notes\">{notes}</ul>"));
    }
    html
}

/// The map of the welds on each piece.
fn pictures(asked: &Asked<'_>) -> Vec<Picture> {
    let maps = preview::weld_maps(asked.plan).unwrap_or_default();
    let picture = |(piece, svg): (String, String)| Picture {
        svg,
        caption: format!("Welds of {piece}, numbered in their order"),
        shape: None,
        small: false,
    };
    maps.into_iter().map(picture).collect()
}

fn joint_words(kind: JointKind) -> &'static str {
    match kind {
        JointKind::Butt => "butt weld",
        JointKind::SteppedLap => "stepped lap",
        JointKind::PlainLap => "plain lap",
        JointKind::Bolted => "bolted",
        JointKind::BondedLap => "bonded lap",
    }
}

fn fields(asked: &Asked<'_>) -> Vec<Field> {
    let joint = &asked.section.joint;
    let written = |value: &Option<units::Dimension>| value.as_ref().map(units::Dimension::written).unwrap_or_default();
    let kind = match joint.kind {
        JointKind::Butt => "butt",
        JointKind::SteppedLap => "stepped_lap",
        JointKind::PlainLap => "plain_lap",
        JointKind::Bolted => "bolted",
        JointKind::BondedLap => "bonded_lap",
    };
    let fixing = match joint.fixing {
        Fixing::Plug => "plug",
        Fixing::Spot => "spot",
        Fixing::Bolt => "bolt",
        Fixing::Bond => "bond",
    };
    let kinds = [
        ("butt", "butt: fusion weld and planish"),
        ("stepped_lap", "stepped lap"),
        ("plain_lap", "plain lap, doubler behind"),
        ("bolted", "bolted flange"),
        ("bonded_lap", "bonded lap"),
    ];
    let fixings = [("plug", "plug welds"), ("spot", "spot welds"), ("bolt", "bolts"), ("bond", "adhesive")];
    let mut fields = vec![Field::choice(asked.path("joint.kind"), "Joint along the cut edge", kind, kinds)];
    // a butt is held by its own weld
    if asked.section.joint.kind != JointKind::Butt {
        fields.push(Field::choice(asked.path("joint.fixing"), "Held by", fixing, fixings));
    }
    fields.extend(practice_and_kit(asked));
    fields.push(Field::tick(
        asked.path("joint.access_behind"),
        "both sides of the joint can be reached afterwards",
        joint.access_behind,
    ));
    let sizes = [
        Field::text(asked.path("joint.lap"), "Lap", written(&joint.lap)).hint("Empty takes the handbook's"),
        Field::text(asked.path("joint.old_thickness"), "Thickness of the old panel", written(&joint.old_thickness))
            .hint("Empty takes the piece's own"),
        Field::text(asked.path("joint.panel_beyond"), "Panel goes on beyond the cut", written(&joint.panel_beyond))
            .hint("To its next fold, frame or edge; for heat and warp"),
    ];
    let mut place: Vec<Field> = sizes.into_iter().collect();
    if joint.kind == JointKind::SteppedLap {
        for (end, value) in [("start", &joint.runs_out_start), ("end", &joint.runs_out_end)] {
            let label = format!("Step runs out to nothing at the {end} over");
            place.push(
                Field::text(asked.path(&format!("joint.runs_out_{end}")), label, written(value))
                    .hint("20 mm; empty keeps the step's full depth to the end"),
            );
        }
    }
    place.extend(place_fields(asked));
    fields.extend(place.into_iter().map(|field| field.under(PLACE)));
    fields.extend(fitter_fields(asked).into_iter().map(|field| field.under(MACHINE)));
    let near = &asked.job().near;
    let near = ticks(
        "near",
        &[
            ("fuel", "fuel or gas tank or line near", near.fuel),
            ("battery", "battery near", near.battery),
            ("closed_section", "closed section (box, sill, tube)", near.closed_section),
            ("trim_behind", "wiring, trim, foam or sealer behind", near.trim_behind),
            ("old_paint", "old paint, body solder or lagging not yet tested", near.old_paint),
            ("bonded_glass", "glass bonded near the weld", near.bonded_glass),
            (
                "safety_mounting",
                "steering, brake, suspension, seat or belt mounting within 300 mm",
                near.safety_mounting,
            ),
            ("carries_load", "carries a lid, door or spring", near.carries_load),
        ],
    );
    fields.extend(near.into_iter().map(|field| field.under(NEAR)));
    fields
}

/// Yes, no, or not said.
fn said(path: String, label: &str, value: Option<bool>) -> Field {
    let value = value.map_or("", |yes| if yes { "yes" } else { "no" });
    Field::choice(path, label, value, [("", "not said"), ("yes", "yes"), ("no", "no")])
}

/// What the advice weighs: looks, load, the old joint, the metal.
fn place_fields(asked: &Asked<'_>) -> Vec<Field> {
    let joint = &asked.section.joint;
    let magnet = match joint.magnet {
        None => "",
        Some(Magnet::Sticks) => "sticks",
        Some(Magnet::DoesNotStick) => "does_not_stick",
    };
    let file_mark = match joint.file_mark {
        None => "",
        Some(FileMark::GreyFirm) => "grey_firm",
        Some(FileMark::WhiteSoft) => "white_soft",
        Some(FileMark::BrightHard) => "bright_hard",
        Some(FileMark::YellowOrRed) => "yellow_or_red",
    };
    let magnets = [("", "not tried"), ("sticks", "sticks"), ("does_not_stick", "does not stick")];
    let marks = [
        ("", "not tried"),
        ("grey_firm", "grey and firm"),
        ("white_soft", "silvery white and soft"),
        ("bright_hard", "bright and hard"),
        ("yellow_or_red", "yellow or red"),
    ];
    vec![
        Field::choice(asked.path("joint.magnet"), "Magnet on bare metal of the old panel", magnet, magnets),
        Field::choice(asked.path("joint.file_mark"), "Stroke of a fine file on its edge", file_mark, marks)
            .hint("Wanted where no magnet sticks"),
        said(asked.path("joint.zinc_coated"), "Old panel zinc coated", joint.zinc_coated),
        said(asked.path("joint.visible"), "The joint shows outside", joint.visible),
        said(asked.path("joint.load_bearing"), "Bears load beyond its own panel", joint.load_bearing),
        said(asked.path("joint.near_mounting"), "A mounting within 300 mm of this joint", joint.near_mounting),
        said(asked.path("joint.was_spot_welded"), "The old joint was spot welded", joint.was_spot_welded),
        said(asked.path("joint.whole_panel"), "The whole panel comes out to its own seams", joint.whole_panel),
    ]
}

fn machine_fields(asked: &Asked<'_>) -> Vec<Field> {
    let fitter = &asked.job().fitter;
    let gas = match fitter.gas {
        None => "",
        Some(ShieldingGas::ArgonMix) => "argon_mix",
        Some(ShieldingGas::Argon) => "argon",
        Some(ShieldingGas::CarbonDioxide) => "carbon_dioxide",
        Some(ShieldingGas::None) => "none",
    };
    let gases = [
        ("", "not said"),
        ("argon_mix", "argon and carbon dioxide"),
        ("argon", "argon"),
        ("carbon_dioxide", "carbon dioxide"),
        ("none", "none: flux-cored wire"),
    ];
    let least = fitter.least_current_a.map(|current| current.to_string()).unwrap_or_default();
    let wire = fitter.wire.as_ref().map(units::Dimension::written).unwrap_or_default();
    let mut fields = Vec::new();
    if fitter.kit == Kit::GasShieldedWire {
        fields.push(said("fitter.meter".into(), "The machine has a meter", fitter.meter));
        fields.push(Field::choice("fitter.gas", "Gas", gas, gases));
    }
    if matches!(fitter.kit, Kit::GasShieldedWire | Kit::Tig) {
        fields.push(Field::text("fitter.wire", "Wire or rod at hand", wire).hint("0.6 mm"));
        fields.push(Field::text("fitter.least_current_a", "Lowest current of the machine, A", least));
    }
    if fitter.kit == Kit::Tig {
        let said = |value: Option<f64>| value.map(|value| value.to_string()).unwrap_or_default();
        const HINT: &str = "All three together: the heat is then that of this arc. Aluminium has no usual one";
        fields.push(Field::text("fitter.current_a", "Current on such sheet, A", said(fitter.current_a)).hint(HINT));
        fields.push(Field::text("fitter.voltage_v", "Voltage of that arc, V", said(fitter.voltage_v)));
        fields.push(Field::text("fitter.travel_mm_s", "Its travel along the seam, mm/s", said(fitter.travel_mm_s)));
    }
    fields
}

/// Who fits it, as far as the joint hangs on it.
fn practice_and_kit(asked: &Asked<'_>) -> [Field; 2] {
    let fitter = &asked.job().fitter;
    let skill = match fitter.skill {
        Skill::Volunteer => "volunteer",
        Skill::Handy => "handy",
        Skill::Trade => "trade",
    };
    let kit = match fitter.kit {
        Kit::None => "none",
        Kit::GasShieldedWire => "gas_shielded_wire",
        Kit::Tig => "tig",
        Kit::OxyAcetylene => "oxy_acetylene",
        Kit::Spot => "spot",
    };
    let skills =
        [("volunteer", "little practice"), ("handy", "regular practice, not a trade"), ("trade", "trade restorer")];
    let kits = [
        ("none", "no welder"),
        ("gas_shielded_wire", "gas-shielded wire"),
        ("tig", "TIG"),
        ("oxy_acetylene", "oxy-acetylene"),
        ("spot", "spot welder"),
    ];
    [
        Field::choice("fitter.skill", "Practice of the fitter", skill, skills),
        Field::choice("fitter.kit", "Welding kit", kit, kits),
    ]
}

fn fitter_fields(asked: &Asked<'_>) -> Vec<Field> {
    let fitter = &asked.job().fitter;
    let unit = if fitter.unit == LengthUnit::Inch { "inch" } else { "millimetre" };
    let mut fields = vec![Field::text("fitter.name", "Who fits it", &fitter.name)];
    fields.extend(machine_fields(asked));
    fields.push(Field::choice(
        "fitter.unit",
        "Fitter measures in",
        unit,
        [("millimetre", "millimetres"), ("inch", "inches")],
    ));
    fields
}

fn settings_table(settings: &[Setting]) -> Option<Table> {
    let row = |set: &Setting| vec![Cell::words(&set.what), Cell::words(&set.to)];
    (!settings.is_empty()).then(|| Table {
        caption: "Settings to start with, for this fitter's machine".into(),
        head: vec!["set", "to"],
        rows: settings.iter().map(row).collect(),
    })
}

fn steps_table(steps: &[FittingStep]) -> Option<Table> {
    let row = |step: &FittingStep| {
        let figures: Vec<String> =
            step.figures_mm.iter().map(|(name, value)| format!("{name} {value:.1} mm")).collect();
        vec![
            Cell::number(step.number.to_string()),
            Cell::words(&step.title),
            Cell::words(step.text.join(" ")),
            Cell::words(figures.join(", ")),
            Cell::words(step.cautions.join("; ")),
        ]
    };
    (!steps.is_empty()).then(|| Table {
        caption: "Steps of the fitting sheet".into(),
        head: vec!["no.", "step", "what", "figures", "take care"],
        rows: steps.iter().map(row).collect(),
    })
}
