//! The fitting sheet: its order and its arithmetic.

use crate::{EXAMPLES, planned, section};

fn figure(step: &job::plan::FittingStep, name: &str) -> f64 {
    step.figures_mm.iter().find(|(known, _)| known == name).unwrap_or_else(|| panic!("{name} in {step:?}")).1
}

#[test]
fn every_lapped_piece_says_cut_height_is_piece_height_less_lap() {
    let mut lapped = 0;
    for (name, text) in EXAMPLES {
        for section in
            planned(text).sections.iter().filter(|section| section.cut.as_ref().is_some_and(|cut| cut.lap_mm > 0.0))
        {
            lapped += 1;
            let step = section.fitting.iter().find(|step| step.kind == "scribe").unwrap();
            // a flange with a lap leg under the skin is cut on its bend, whatever the piece is high
            if step.title.contains("just above the bend") {
                assert_eq!(figure(step, "cut height"), section.cut.as_ref().unwrap().cut_height_mm);
                continue;
            }
            let [piece, lap, cut] = ["piece height", "lap", "cut height"].map(|figure_name| figure(step, figure_name));
            assert!((piece - lap - cut).abs() < 1e-9, "{name} {}", section.id);
            assert_eq!(cut, section.cut.as_ref().unwrap().cut_height_mm);
        }
    }
    assert!(lapped >= 4);
}

/// The printed figures add up on paper too: each is read back from the sentence as the fitter reads it.
#[test]
fn the_printed_figures_add_up_on_paper() {
    let plan = planned(crate::WREN15);
    let inches = |text: &str| units::Dimension::parse(text).unwrap().length_mm(&units::Reading::default()).unwrap();
    for id in ["arch", "locker"] {
        let step = section(&plan, id).fitting.iter().find(|step| step.kind == "scribe").unwrap();
        let line = step.text.iter().find(|line| line.contains(" less ")).unwrap();
        let (piece, rest) = line.split_once(" less ").unwrap();
        let (lap, rest) = rest.split_once(" is ").unwrap();
        let (cut, _) = rest.split_once(". ").unwrap();
        assert!((inches(piece) - inches(lap) - inches(cut)).abs() < 1e-9, "{line}");
    }
}

#[test]
fn nothing_is_cut_before_the_piece_has_been_held_against_the_vehicle() {
    for (name, text) in EXAMPLES {
        for section in planned(text).sections.iter().filter(|section| !section.pieces.is_empty()) {
            let first = &section.fitting[0];
            assert!(first.text[0].starts_with("Do not cut the vehicle before the piece is in your hands"), "{name}");
            assert!(!first.cuts_vehicle && section.fitting.iter().any(|step| step.cuts_vehicle), "{name}");
            assert!(section.fitting.iter().enumerate().all(|(i, step)| step.number == i + 1));
            let order = [
                "hold-up",
                "brace",
                "vent",
                "bolt-up",
                "clean-and-probe",
                "trim-ends",
                "scribe",
                "cut",
                "clamp-and-check",
                "tack",
                "weld",
                "let-in",
                "protect",
                "send-back",
            ];
            let places: Vec<usize> =
                section.fitting.iter().map(|step| order.iter().position(|kind| *kind == step.kind).unwrap()).collect();
            assert!(places.is_sorted(), "{name}: {places:?}");
        }
    }
}

#[test]
fn a_millimetre_fitter_reads_millimetres() {
    let plan = planned(&crate::changed(&[("unit = \"inch\"\ninch_denominator = 32", "unit = \"millimetre\"")]));
    let step = section(&plan, "arch").fitting.iter().find(|step| step.kind == "scribe").unwrap().clone();
    assert!(step.text[2].contains("mm less"), "{:?}", step.text);
}

/// The steps follow the joint that was chosen: nothing that is bonded, bolted or spot welded is told to be plug welded.
#[test]
fn the_fitting_sheet_joins_as_the_joint_says() {
    let steps = |kind: &str, fixing: &str| {
        let written = ("kind = \"stepped_lap\"\nold_thickness = \"20 swg\"\nfixing = \"plug\"", String::new());
        let new = format!("kind = \"{kind}\"\nold_thickness = \"20 swg\"\nfixing = \"{fixing}\"");
        let plan = planned(&crate::changed(&[(written.0, &new)]));
        let arch = section(&plan, "arch");
        assert!(arch.faults.is_empty(), "{:?}", arch.faults);
        let text: Vec<String> =
            arch.fitting.iter().flat_map(|step| step.text.iter().chain(&step.cautions).cloned()).collect();
        let title = arch.fitting.iter().find(|step| step.kind == "weld").unwrap().title.clone();
        (title, format!("{} {}", arch.joint.sentence, text.join(" ")))
    };
    for (kind, fixing, title) in [
        ("stepped_lap", "plug", "Weld the plugs"),
        ("stepped_lap", "spot", "Weld the spots"),
        ("plain_lap", "spot", "Weld the spots"),
        ("stepped_lap", "bond", "Bond"),
        ("bonded_lap", "bond", "Bond"),
        ("stepped_lap", "bolt", "Tighten"),
    ] {
        let (got, text) = steps(kind, fixing);
        assert_eq!(got, title, "{kind} {fixing}");
        assert_eq!(text.contains("plug"), title == "Weld the plugs", "{kind} {fixing}: {text}");
        assert_eq!(text.contains("the arc"), title.starts_with("Weld"), "{kind} {fixing}: {text}");
    }
}
