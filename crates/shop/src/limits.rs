//! Limits of the shop's machines, as concerns.

mod wheel;

use crate::operations::forming_straight_within_mm;
use crate::work::{bounds_mm, line_length_mm};
use crate::{PieceWork, ShopSettings, StepWork};
use blank::FoldKind;
use handbook::{Concern, Grade};
use mesh::polygon::sagitta_mm;
use units::{format_deg, format_mm};

/// What the machines of this shop cannot do for a piece. None of these is a stop: each says the other way.
#[must_use]
pub fn machine_concerns(piece: &PieceWork<'_>, settings: &ShopSettings) -> Vec<Concern> {
    let mut found = Found { place: piece.blank.piece.clone(), concerns: Vec::new() };
    found.folds(piece, settings);
    found.legs(piece, settings);
    found.steps(piece, settings);
    found.shear(piece, settings);
    wheel::concerns(&mut found, piece, settings);
    found.gather(piece, settings);
    found.sheet(piece, settings);
    found.tube(piece, settings);
    found.concerns
}

struct Found {
    place: String,
    concerns: Vec<Concern>,
}

impl Found {
    fn add(&mut self, key: &str, grade: Grade, what: String, why: &str, what_to_do: &str) {
        self.concerns.push(Concern {
            key: key.into(),
            grade,
            place: self.place.clone(),
            what,
            why: why.into(),
            what_to_do: what_to_do.into(),
            lifted_by: None,
            source: "limits of the shop's machines".into(),
        });
    }

    fn folds(&mut self, piece: &PieceWork<'_>, settings: &ShopSettings) {
        let folds = piece.blank.folds.iter().filter(|fold| fold.kind == FoldKind::Fold);
        let straight: Vec<_> =
            folds.filter(|fold| sagitta_mm(&fold.centre_mm) <= forming_straight_within_mm()).collect();
        if straight.is_empty() {
            return;
        }
        let Some(folder) = &settings.machines.folder else {
            self.add(
                "no-folder",
                Grade::Caution,
                format!("{} straight folds and no folder in the shop's list", straight.len()),
                "a fold beaten over a bar by hand comes out at a larger radius",
                "fold between bars in the vice, or have it folded elsewhere",
            );
            return;
        };
        let place = self.place.clone();
        for fold in straight {
            self.place = format!("{place}, {}", fold.name);
            let length_mm = line_length_mm(&fold.centre_mm);
            if length_mm > folder.length_mm {
                self.add(
                    "folder-too-short",
                    Grade::Caution,
                    format!(
                        "the fold is {} long; the folder takes {}",
                        format_mm(length_mm, 0),
                        format_mm(folder.length_mm, 0)
                    ),
                    "a fold made in two bites shows where they meet",
                    "fold it in two bites on a stiff backing, have it folded elsewhere, or make the piece in two",
                );
            }
            if fold.inside_radius_mm + 1e-9 < folder.smallest_inside_radius_mm {
                self.add(
                    "radius-below-folder",
                    Grade::Caution,
                    format!(
                        "inside radius {} is asked for; the nose gives {} at least",
                        format_mm(fold.inside_radius_mm, 2),
                        format_mm(folder.smallest_inside_radius_mm, 2)
                    ),
                    "the flat is reckoned with the smaller radius, so the legs would come out wrong",
                    "set the radius that the nose gives and reckon again",
                );
            }
            let largest_rad = fold.fold_to_rad.unwrap_or(fold.bend_angle_rad).iter().copied().fold(0.0, f64::max);
            if largest_rad > folder.largest_bend_angle_deg.to_radians() + 1e-9 {
                self.add(
                    "angle-beyond-folder",
                    Grade::Caution,
                    format!(
                        "fold to {}; the folder turns to {:.0}°",
                        format_deg(largest_rad, 1),
                        folder.largest_bend_angle_deg
                    ),
                    "the last degrees must be closed by hand",
                    "close it over a block with a mallet, checking with the template",
                );
            }
            self.place.clone_from(&place);
        }
        if piece.blank.thickness_mm > folder.thickest_mm + 1e-9 {
            self.add(
                "too-thick-for-folder",
                Grade::Caution,
                format!(
                    "the sheet is {}; the folder is made for {}",
                    format_mm(piece.blank.thickness_mm, 2),
                    format_mm(folder.thickest_mm, 2)
                ),
                "the beam bows and the fold opens in the middle",
                "have it folded elsewhere",
            );
        }
    }

    fn legs(&mut self, piece: &PieceWork<'_>, settings: &ShopSettings) {
        let Some(folder) = &settings.machines.folder else { return };
        for (name, width_mm) in &piece.legs {
            if *width_mm < folder.smallest_leg_mm {
                self.add(
                    "leg-too-short-to-hold",
                    Grade::Caution,
                    format!(
                        "{name} is {} wide; the folder holds {} at least",
                        format_mm(*width_mm, 1),
                        format_mm(folder.smallest_leg_mm, 1)
                    ),
                    "a short leg slips under the nose",
                    "fold it wider and cut it back, or turn it over a bar",
                );
            }
        }
    }

    fn steps(&mut self, piece: &PieceWork<'_>, settings: &ShopSettings) {
        if piece.steps.is_empty() {
            return;
        }
        let Some(roller) = &settings.machines.joggle_roller else {
            self.add(
                "no-joggle-roller",
                Grade::Caution,
                "a stepped lap and no rolls for it in the shop's list".into(),
                "a step set by hand is uneven",
                "set it over a bar with an offcut of the old thickness, or take a plain lap or a butt joint",
            );
            return;
        };
        let most = |of: fn(&StepWork) -> f64| piece.steps.iter().map(of).fold(0.0, f64::max);
        let (depth_mm, lap_mm) = (most(|step| step.depth_mm), most(|step| step.lap_mm));
        if depth_mm > roller.deepest_mm {
            self.add(
                "step-too-deep",
                Grade::Caution,
                format!(
                    "the step is {} deep; the rolls press {}",
                    format_mm(depth_mm, 2),
                    format_mm(roller.deepest_mm, 2)
                ),
                "the rolls will not reach flush",
                "press it twice, or set it over a bar",
            );
        }
        if lap_mm > roller.throat_mm {
            self.add(
                "step-beyond-throat",
                Grade::Caution,
                format!(
                    "the step line is {} from the edge; the throat is {}",
                    format_mm(lap_mm, 1),
                    format_mm(roller.throat_mm, 1)
                ),
                "the sheet meets the frame before the rolls reach the line",
                "narrow the lap, or set the step over a bar",
            );
        }
        if piece.blank.thickness_mm > roller.thickest_mm + 1e-9 {
            self.add(
                "too-thick-for-joggle-roller",
                Grade::Caution,
                format!(
                    "the sheet is {}; the rolls are made for {}",
                    format_mm(piece.blank.thickness_mm, 2),
                    format_mm(roller.thickest_mm, 2)
                ),
                "the step comes out shallow",
                "set it over a bar, or take a butt joint",
            );
        }
    }

    fn shear(&mut self, piece: &PieceWork<'_>, settings: &ShopSettings) {
        let Some(shear) = &settings.machines.shear else { return };
        let [x_mm, y_mm] = bounds_mm(piece.blank);
        if x_mm.max(y_mm) > shear.length_mm {
            self.add(
                "shear-too-short",
                Grade::Note,
                format!(
                    "the blank is {} long; the shear cuts {}",
                    format_mm(x_mm.max(y_mm), 0),
                    format_mm(shear.length_mm, 0)
                ),
                "it cannot be cut in one stroke",
                "cut it with the nibbler or hand shears and file to the line",
            );
        }
        if piece.blank.thickness_mm > shear.thickest_mm + 1e-9 {
            self.add(
                "too-thick-for-shear",
                Grade::Note,
                format!(
                    "the sheet is {}; the shear is made for {}",
                    format_mm(piece.blank.thickness_mm, 2),
                    format_mm(shear.thickest_mm, 2)
                ),
                "the blades would be sprung",
                "saw it or have it cut",
            );
        }
    }

    fn gather(&mut self, piece: &PieceWork<'_>, settings: &ShopSettings) {
        let works = piece.blank.lengthwise.iter().any(|line| !line.held && line.mm_per_100_mm.abs() > 0.1);
        let too_thick =
            settings.machines.shrinker.as_ref().is_some_and(|shrinker| piece.blank.thickness_mm > shrinker.thickest_mm);
        if works && (settings.machines.shrinker.is_none() || too_thick) {
            self.add(
                "no-shrinker",
                Grade::Caution,
                "edges must be gathered or let out and no shrinker of the shop takes this sheet".into(),
                "the edge will not follow the line of the vehicle by itself",
                "tuck-shrink and let out by hammer over a dolly; the minutes are then a low estimate",
            );
        }
    }

    fn tube(&mut self, piece: &PieceWork<'_>, settings: &ShopSettings) {
        let Some(tube) = &piece.tube else { return };
        let Some(rolls) = &settings.machines.rolls else {
            self.add(
                "no-rolls",
                Grade::Caution,
                "a tube is rolled, and there are no bending rolls in the shop's list".into(),
                "formed over a bar by hand it takes longer and shows every blow",
                "form it over a bar, or take a bought tube and cut its ends by the wrapped papers",
            );
            return;
        };
        if tube.inside_radius_mm + 1e-9 < rolls.smallest_inside_radius_mm {
            self.add(
                "tube-below-rolls",
                Grade::Note,
                format!(
                    "inside radius {}; the rolls close down to {}",
                    format_mm(tube.inside_radius_mm, 1),
                    format_mm(rolls.smallest_inside_radius_mm, 1)
                ),
                "a sheet does not go round a roll thicker than the tube",
                "form it over a bar, or take a bought tube of this diameter and wall and cut its ends by the wrapped papers",
            );
        }
        let [x_mm, _] = bounds_mm(piece.blank);
        if x_mm > rolls.width_mm {
            self.add(
                "tube-longer-than-rolls",
                Grade::Caution,
                format!("the tube is {} long; the rolls take {}", format_mm(x_mm, 0), format_mm(rolls.width_mm, 0)),
                "a seam all round would be needed where two lengths meet",
                "have it rolled elsewhere, or take a bought tube",
            );
        }
    }

    fn sheet(&mut self, piece: &PieceWork<'_>, settings: &ShopSettings) {
        let [x_mm, y_mm] = bounds_mm(piece.blank);
        let (long_mm, short_mm) = (x_mm.max(y_mm), x_mm.min(y_mm));
        let border_mm = 2.0 * settings.allowances.sheet_border_mm;
        let matching = settings.sheets.iter().filter(|sheet| {
            sheet.material == piece.blank.material
                && (sheet.thickness_mm - piece.blank.thickness_mm).abs() <= settings.allowances.sheet_within_mm
        });
        let mut any = false;
        let mut fits = false;
        for sheet in matching {
            any = true;
            let (long, short) = (sheet.width_mm.max(sheet.length_mm), sheet.width_mm.min(sheet.length_mm));
            fits |= long_mm + border_mm <= long && short_mm + border_mm <= short;
        }
        if any && !fits {
            self.add(
                "larger-than-sheet",
                Grade::Caution,
                format!("the blank is {} × {}", format_mm(long_mm, 0), format_mm(short_mm, 0)),
                "no sheet in the rack takes it in one piece",
                "order a larger sheet, or make the piece in two with a seam",
            );
        }
    }
}
