//! Several pieces made into one: fit up, tack, weld or plug, dress, step by step, and what goes inside before a box is shut.

use super::{List, Said, Size, counted};
use crate::{SeamHeld, SectionWork, SubAssembly};
use units::format_mm;

pub(super) fn operations(list: &mut List<'_>, section: &SectionWork<'_>) {
    for step in &section.sub_assemblies {
        if step.shuts {
            prime_inside(list, step);
        }
        fit_up(list, step);
        welded(list, step);
        plugged(list, step);
        bolted(list, step);
    }
}

fn length_m(step: &SubAssembly, which: impl Fn(SeamHeld) -> bool) -> (usize, f64) {
    let chosen = step.seams.iter().filter(|seam| which(seam.held));
    chosen.fold((0, 0.0), |(number, metres), seam| (number + 1, metres + seam.length_mm / 1000.0))
}

fn seam_lines(step: &SubAssembly, which: impl Fn(SeamHeld) -> bool) -> Vec<String> {
    let chosen = step.seams.iter().filter(|seam| which(seam.held));
    chosen.map(|seam| format!("seam {}, {}: {}", seam.letter, format_mm(seam.length_mm, 1), seam.words)).collect()
}

fn prime_inside(list: &mut List<'_>, step: &SubAssembly) {
    let said = Said {
        what: format!("Sub-assembly {}: prime and seal inside before the box is shut, and let it dry", step.number),
        checks: vec!["every inside face is covered; vent and drain are open; photograph it".into()],
        ..Said::default()
    };
    list.push("prime-inside", "", Size { square_metres: step.inside_m2, ..Size::default() }, said);
}

fn fit_up(list: &mut List<'_>, step: &SubAssembly) {
    let (number, metres) = length_m(step, |_| true);
    let said = Said {
        what: format!("Sub-assembly {}: fit up {} and clamp", step.number, step.what),
        settings: seam_lines(step, |_| true),
        checks: vec![
            "edges of every seam lie on one another end to end; file what stands proud, never force it".into(),
            "square and diagonals before the first tack".into(),
        ],
    };
    list.push("fit-up", "", Size { each: number as f64, metres, ..Size::default() }, said);
}

fn welded(list: &mut List<'_>, step: &SubAssembly) {
    let fused = |held: SeamHeld| matches!(held, SeamHeld::Welded { .. });
    let (number, metres) = length_m(step, fused);
    if number == 0 {
        return;
    }
    let tacks: usize = step
        .seams
        .iter()
        .map(|seam| match seam.held {
            SeamHeld::Welded { tacks } => tacks,
            _ => 0,
        })
        .sum();
    let tack = Said {
        what: format!("Tack {}, from the middle of each outwards", counted(number, "seam")),
        settings: vec![counted(tacks, "tack")],
        checks: vec!["square and diagonals again; cut a tack rather than pull it over".into()],
    };
    list.push("tack-seam", "", Size { each: tacks as f64, ..Size::default() }, tack);
    let weld = Said {
        what: format!("Weld {} in short runs, the next one far from the last", counted(number, "seam")),
        settings: seam_lines(step, fused),
        checks: vec!["the back shows a flat bead; no hole against the light".into()],
    };
    list.push("weld-seam", "", Size { each: number as f64, metres, ..Size::default() }, weld);
    let dress = Said { what: "Dress the seams flush outside; leave the inside".into(), ..Said::default() };
    list.push("dress", "", Size { metres, ..Size::default() }, dress);
}

fn plugged(list: &mut List<'_>, step: &SubAssembly) {
    let on_lap = |held: SeamHeld| matches!(held, SeamHeld::Plugs { .. } | SeamHeld::Spots { .. });
    let (number, _) = length_m(step, on_lap);
    if number == 0 {
        return;
    }
    let count: usize = step
        .seams
        .iter()
        .map(|seam| match seam.held {
            SeamHeld::Plugs { count } | SeamHeld::Spots { count } => count,
            _ => 0,
        })
        .sum();
    let said = Said {
        what: format!("Plug or spot {}, clamped tight at every one", counted(number, "lapped seam")),
        settings: seam_lines(step, on_lap),
        checks: vec!["tear one trial of two offcuts apart: a full button pulls out".into()],
    };
    list.push("plug-seam", "", Size { each: count as f64, ..Size::default() }, said);
}

fn bolted(list: &mut List<'_>, step: &SubAssembly) {
    let loose = |held: SeamHeld| matches!(held, SeamHeld::Bolted | SeamHeld::Bonded);
    let (number, metres) = length_m(step, loose);
    if number == 0 {
        return;
    }
    let said = Said {
        what: format!("Bolt or bond {}", counted(number, "seam")),
        settings: seam_lines(step, loose),
        checks: vec!["faces painted or prepared as the data sheet says before they meet".into()],
    };
    list.push("close-seam", "", Size { each: number as f64, metres, ..Size::default() }, said);
}
