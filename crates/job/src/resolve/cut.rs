//! Where to cut: height of the cut, height of the piece, and the strips cut to it.

use super::{Assume, JointChoice, Reader, ResolvedPiece, ResolvedSeam, ResolvedShape, Source, Values, is_seamed};
use crate::file::{JointKind, Role, Section};
use crate::plan::Origin;
use handbook::{Source as From, Working};
use section::{MakeUp, SectionError, Swept, cut_to_height};
use shop::ShopSettings;
use units::format_mm;

mod lap_leg;

/// What cutting reads.
pub struct Asked<'a> {
    /// The section.
    pub section: &'a Section,
    /// Its source.
    pub source: &'a Source<'a>,
    /// Its figures.
    pub values: &'a Values,
    /// Seams between its pieces.
    pub seams: &'a [ResolvedSeam],
    /// The shop.
    pub shop: &'a ShopSettings,
    /// Assumptions.
    pub assume: Assume,
}

/// Height of the cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Height {
    /// Along the outside face from the lowest outside point of the finished edge.
    pub cut_mm: f64,
    /// Reach.
    pub reach_mm: f64,
    /// Second height when rust is only seen.
    pub second_mm: Option<f64>,
    /// Depth of bad metal it stands on, where that is known.
    pub depth_mm: Option<f64>,
    /// Working.
    pub workings: Vec<Working>,
}

/// The cut of a section's strips.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Height; `None` where the strip stands at its pattern's full height (`full_height_mm` holds it).
    pub height: Height,
    /// Lap above the cut.
    pub lap_mm: f64,
    /// From, without spare.
    pub from_mm: f64,
    /// To, without spare.
    pub to_mm: f64,
    /// Names of the ends.
    pub end_names: [String; 2],
    /// The old flange is cut off on its bend, and the new one's other leg laps under the old skin.
    pub on_the_bend: bool,
}

/// Finds the height, cuts every strip to it and gives its cut edge the make-up of the joint.
pub fn apply(asked: &Asked<'_>, joint: &JointChoice, pieces: &mut [ResolvedPiece], reader: &mut Reader) -> Option<Cut> {
    let found = height(asked, joint, reader);
    let mut cut = None;
    for piece in pieces.iter_mut() {
        let ResolvedShape::Strip(strip) = &mut piece.shape else { continue };
        if is_seamed(asked.seams, &strip.name, "cut edge") {
            continue; // its far edge is joined to another piece: it stands at its own height
        }
        if reader.is_faulty() {
            return None;
        }
        let field = format!("section.{}", asked.section.id);
        let (from_mm, to_mm, end_names) = (strip.from_mm, strip.to_mm, piece.end_names.clone());
        if lap_leg::wanted(asked.source, &strip.name) {
            let height = lap_leg::apply(strip, joint, found.as_ref(), asked, reader)?;
            cut.get_or_insert(Cut { height, lap_mm: joint.lap_mm, from_mm, to_mm, end_names, on_the_bend: true });
            continue;
        }
        let height = match &found {
            Some(height) => height.clone(),
            None => match full_height(strip) {
                Ok(height) => height,
                Err(error) => {
                    reader.fault(field_of(&error, &field, asked), error.to_string());
                    return None;
                }
            },
        };
        strip.reach_mm = height.reach_mm;
        if asked.section.joint.kind == JointKind::Bolted && found.is_none() {
            continue; // bolted in at its own height: nothing of the old panel is cut
        }
        let trim_mm = trim_mm(&height, asked);
        let (height_mm, make_up) = edge(&height, joint, trim_mm, asked);
        match cut_to_height(strip, height_mm, vec![make_up]) {
            Ok(shaped) => **strip = shaped,
            Err(error) => {
                reader.fault(field_of(&error, &field, asked), error.to_string());
                return None;
            }
        }
        if cut.is_none() {
            cut = Some(Cut { height, lap_mm: joint.lap_mm, from_mm, to_mm, end_names, on_the_bend: false });
        }
    }
    cut
}

/// Extra to trim: the least, or the reach of the height times the shop's factor.
fn trim_mm(height: &Height, asked: &Asked<'_>) -> f64 {
    let allowances = &asked.shop.allowances;
    allowances.least_trim_mm.max(allowances.trim_in_reaches * height.reach_mm)
}

/// Height that is cut to and make-up of the cut edge.
fn edge(height: &Height, joint: &JointChoice, trim_mm: f64, asked: &Asked<'_>) -> (f64, MakeUp) {
    if joint.is_stepped() {
        let lap = MakeUp::Joggle {
            depth_mm: joint.old_thickness_mm,
            ramp_mm: joint.ramp_mm,
            lap_mm: joint.lap_mm,
            runs_out_mm: joint.runs_out_mm,
        };
        return (height.cut_mm, lap);
    }
    let trim_mm = if asked.section.joint.kind == JointKind::Butt { trim_mm } else { 0.0 };
    (height.cut_mm + joint.lap_mm, MakeUp::Raw { trim_mm })
}

/// Field that a fault of the geometry belongs to.
pub fn field_of(error: &SectionError, section: &str, asked: &Asked<'_>) -> String {
    let role = |wanted: &dyn Fn(&Role) -> bool| {
        asked
            .values
            .role(asked.source, |role| wanted(role))
            .map(|(measurement, _)| format!("{section}.measured.{}", measurement.id))
    };
    let height = || {
        role(&|role| matches!(role, Role::CutHeight | Role::RustDepth))
            .unwrap_or_else(|| format!("{section}.damage.depth"))
    };
    match error {
        SectionError::LapWiderThanPiece { .. } => format!("{section}.joint.lap"),
        SectionError::TallerThanStrip { .. } | SectionError::HigherThanPattern { .. } => height(),
        SectionError::WireThinnerThanSheet { .. } => {
            role(&|role| *role == Role::OldCurl).unwrap_or_else(|| format!("{}.piece", asked.source.path))
        }
        _ => format!("{}.piece", asked.source.path),
    }
}

fn full_height(strip: &section::Strip) -> Result<Height, SectionError> {
    let swept = Swept::new(strip)?;
    let stations = [strip.from_mm, 0.5 * (strip.from_mm + strip.to_mm), strip.to_mm];
    let cut_mm = stations.iter().map(|station| swept.skin_height_mm(*station)).fold(f64::INFINITY, f64::min);
    let working = Working::new(
        "height of the cut",
        cut_mm,
        "mm",
        "the pattern's own height",
        From::measured("the surveyed panel"),
    );
    Ok(Height { cut_mm, reach_mm: 0.0, second_mm: None, depth_mm: None, workings: vec![working] })
}

fn height(asked: &Asked<'_>, joint: &JointChoice, reader: &mut Reader) -> Option<Height> {
    let section = asked.section;
    let unit = reader.job_unit;
    reader.unit(unit);
    let depth_field = format!("section.{}.damage.depth", section.id);
    let depth_mm = section.damage.depth.as_ref().map(|depth| reader.measured(&depth_field, depth));
    let measured = |wanted: Role| {
        asked
            .values
            .role(asked.source, |role| *role == wanted)
            .filter(|(_, value)| value.origin != Origin::PatternNominal)
    };
    let nominal = |wanted: Role| asked.values.role(asked.source, |role| *role == wanted);
    let mut height = if let Some((measurement, value)) = measured(Role::CutHeight) {
        of_cut(&measurement.title, value.mm, value.reach_mm, depth_mm, asked, reader)
    } else if let Some((_, value)) = measured(Role::RustDepth) {
        // Of two depths that were given the deeper one counts.
        of_depth(value.mm.max(depth_mm.unwrap_or(0.0)), value.reach_mm, asked, reader)?
    } else if let Some(depth_mm) = depth_mm {
        of_depth(depth_mm, 0.0, asked, reader)?
    } else if let Some((measurement, value)) = nominal(Role::CutHeight) {
        of_cut(&measurement.title, value.mm, value.reach_mm, None, asked, reader)
    } else {
        let (_, value) = nominal(Role::RustDepth)?;
        of_depth(value.mm, value.reach_mm, asked, reader)?
    };
    if height.depth_mm.is_some() && !section.damage.proven {
        let step_mm =
            asked.shop.allowances.unproven_extra_mm.unwrap_or(if joint.lap_mm > 0.0 { joint.lap_mm } else { 25.0 });
        let second_mm = height.cut_mm + step_mm;
        height.workings.push(
            Working::new(
                "second height, rust seen but not proven",
                second_mm,
                "mm",
                "first height + what rust may have run on",
                From::shop_setting("one lap, or the shop's own allowance; rust runs on behind paint"),
            )
            .with("h", "first height", height.cut_mm, "mm")
            .with("e", "allowance", step_mm, "mm"),
        );
        height.second_mm = Some(second_mm);
        if asked.assume.second_height {
            height.cut_mm = second_mm;
        }
    }
    Some(height)
}

fn of_depth(depth_mm: f64, reach_mm: f64, asked: &Asked<'_>, reader: &mut Reader) -> Option<Height> {
    if depth_mm.is_nan() {
        return None;
    }
    match asked.shop.rules.let_in_height(depth_mm) {
        Ok(mut working) => {
            working.name = "height of the cut".into();
            working.reach = (reach_mm > 0.0).then_some(reach_mm);
            Some(Height {
                cut_mm: working.value,
                reach_mm,
                second_mm: None,
                depth_mm: Some(depth_mm),
                workings: vec![working],
            })
        }
        Err(error) => {
            reader.fault(format!("section.{}.damage.depth", asked.section.id), error.to_string());
            None
        }
    }
}

fn of_cut(
    title: &str,
    cut_mm: f64,
    reach_mm: f64,
    depth_mm: Option<f64>,
    asked: &Asked<'_>,
    reader: &mut Reader,
) -> Height {
    let working =
        Working::new("height of the cut", cut_mm, "mm", "as measured", From::measured("measured on the vehicle"))
            .with("h", title.to_owned(), cut_mm, "mm")
            .reach(reach_mm);
    if let Some(depth_mm) = depth_mm {
        let need_mm = depth_mm + asked.shop.rules.above_bad_depth_mm;
        let says = [
            format!("the cut lies at {}, the bad metal reaches {}", format_mm(cut_mm, 1), format_mm(depth_mm, 1)),
            "a weld needs sound metal on both sides; thin metal burns away and rusts again".to_owned(),
            format!("cut at {} or higher, or probe again", format_mm(need_mm, 1)),
        ];
        if cut_mm <= depth_mm {
            reader.stop("cut-in-bad-metal", says);
        } else if cut_mm + 1e-9 < need_mm {
            reader.caution("cut-near-bad-metal", says);
        }
    }
    Height { cut_mm, reach_mm, second_mm: None, depth_mm, workings: vec![working] }
}
