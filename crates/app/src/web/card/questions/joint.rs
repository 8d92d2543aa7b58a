//! Question 6: how does it go in?

use super::damage::sentence;
use super::{Asked, ticks};
use crate::web::card::fields::Field;
use crate::web::card::question::Question;
use crate::web::figures::{Cell, Figure, Table, escape};
use job::file::{Fixing, JointKind, Kit, Skill};
use job::plan::FittingStep;
use units::LengthUnit;

/// The question.
pub fn ask(asked: &Asked<'_>) -> Question {
    let joint = &asked.plan.joint;
    let notes: String = joint.notes.iter().map(|note| format!("<li>{}</li>", escape(note))).collect();
    Question {
        title: "How does it go in?",
        fields: fields(asked),
        answer: sentence(&joint.sentence),
        short: joint_words(asked.section.joint.kind).to_owned(),
        tables: steps_table(&asked.plan.fitting).into_iter().collect(),
        figures: joint.workings.iter().map(Figure::named).collect(),
        extra: if notes.is_empty() { notes } else { format!("<ul class=\"notes\">{notes}</ul>") },
        ..Question::default()
    }
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
    let mut fields = vec![
        Field::choice(asked.path("joint.kind"), "Joint along the cut edge", kind, kinds),
        Field::choice(asked.path("joint.fixing"), "Held by", fixing, fixings),
        Field::text(asked.path("joint.lap"), "Lap", written(&joint.lap)).hint("Empty takes the handbook's"),
        Field::text(asked.path("joint.old_thickness"), "Thickness of the old panel", written(&joint.old_thickness))
            .hint("Empty takes the piece's own"),
        Field::tick(
            asked.path("joint.access_behind"),
            "both sides of the joint can be reached afterwards",
            joint.access_behind,
        ),
    ];
    if joint.kind == JointKind::SteppedLap {
        for (end, value) in [("start", &joint.runs_out_start), ("end", &joint.runs_out_end)] {
            let label = format!("Step runs out to nothing at the {end} over");
            fields.push(
                Field::text(asked.path(&format!("joint.runs_out_{end}")), label, written(value))
                    .hint("20 mm; empty keeps the step's full depth to the end"),
            );
        }
    }
    fields.extend(fitter_fields(asked));
    let near = &asked.job().near;
    fields.extend(ticks(
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
    ));
    fields
}

fn fitter_fields(asked: &Asked<'_>) -> Vec<Field> {
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
    let unit = if fitter.unit == LengthUnit::Inch { "inch" } else { "millimetre" };
    let skills =
        [("volunteer", "little practice"), ("handy", "regular practice, not a trade"), ("trade", "trade restorer")];
    let kits = [
        ("none", "no welder"),
        ("gas_shielded_wire", "gas-shielded wire"),
        ("tig", "TIG"),
        ("oxy_acetylene", "oxy-acetylene"),
        ("spot", "spot welder"),
    ];
    vec![
        Field::text("fitter.name", "Who fits it", &fitter.name),
        Field::choice("fitter.skill", "Practice", skill, skills),
        Field::choice("fitter.kit", "Welding kit", kit, kits),
        Field::choice("fitter.unit", "Fitter measures in", unit, [("millimetre", "millimetres"), ("inch", "inches")]),
    ]
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
