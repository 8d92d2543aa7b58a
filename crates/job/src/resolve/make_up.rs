//! Make-ups, links and values along an edge.

use super::{Build, Reader};
use crate::file::{self, MakeUpKind, Role, Turns};
use handbook::edges::wire::diameter_from_curl;
use section::{Along, Curl, FlangeRelief, HemKind, Link, MakeUp, Side};
use shop::{WireTrial, choose_wire};
use std::f64::consts::PI;
use units::format_mm;

/// A trial strip counts for wire and sheet this near to its own.
const SAME_TRIAL_MM: f64 = 0.05;

pub(super) fn side(turns: Turns) -> Side {
    match turns {
        Turns::Inside => Side::Inside,
        Turns::Outside => Side::Outside,
    }
}

pub(super) fn link(link: &file::Link, field: &str, reader: &mut Reader) -> Link {
    match link {
        file::Link::Straight(length) => Link::Straight { length_mm: reader.length(field, length) },
        file::Link::Arc { radius, bend } => Link::Arc {
            inside_radius_mm: reader.length(&format!("{field}.radius"), radius),
            bend_angle_rad: reader.angle(&format!("{field}.bend"), bend),
        },
    }
}

/// A length that may change along the edge.
pub(super) fn lengths(along: &file::Along, field: &str, reader: &mut Reader) -> Along {
    pairs(along, field, reader, |reader, field, value| reader.length(field, value))
}

/// An angle that may change along the edge, rad, through `map`.
pub(super) fn angles(along: &file::Along, field: &str, reader: &mut Reader, map: impl Fn(f64) -> f64) -> Along {
    pairs(along, field, reader, |reader, field, value| map(reader.angle(field, value)))
}

fn pairs(
    along: &file::Along,
    field: &str,
    reader: &mut Reader,
    read: impl Fn(&mut Reader, &str, &units::Dimension) -> f64,
) -> Along {
    match along {
        file::Along::One(value) => Along::Constant(read(reader, field, value)),
        file::Along::At(list) => {
            if list.is_empty() {
                reader.fault(field, "is empty; give one value, or pairs of station and value");
            }
            let pair = |(i, [station, value]): (usize, &[units::Dimension; 2])| {
                let field = format!("{field}.{i}");
                (reader.length(&field, station), read(reader, &field, value))
            };
            Along::Stations(list.iter().enumerate().map(pair).collect())
        }
    }
}

/// A chain of make-ups with what was said about its wire's ends.
pub(super) struct Chain {
    pub(super) make_ups: Vec<MakeUp>,
    pub(super) wire_stands_out_mm: Option<[f64; 2]>,
}

/// What a chain belongs to.
#[derive(Clone, Copy)]
pub(super) struct On<'a> {
    /// Path of the chain.
    pub(super) field: &'a str,
    /// Sheet.
    pub(super) thickness_mm: f64,
    /// Width measured for its first leg.
    pub(super) leg_width_mm: Option<f64>,
}

pub(super) fn chain(build: &Build<'_>, make_ups: &[file::MakeUp], on: On<'_>, reader: &mut Reader) -> Chain {
    let mut chain = Chain { make_ups: Vec::new(), wire_stands_out_mm: None };
    let mut width = on.leg_width_mm;
    for (i, make_up) in make_ups.iter().enumerate() {
        if !build.source.is_on(make_up.when.as_deref(), make_up.unless.as_deref()) {
            continue;
        }
        let field = format!("{}.{i}", on.field);
        let one = one(build, &make_up.what, &field, on.thickness_mm, &mut width, &mut chain.wire_stands_out_mm, reader);
        chain.make_ups.push(one);
    }
    chain
}

fn one(
    build: &Build<'_>,
    what: &MakeUpKind,
    field: &str,
    thickness_mm: f64,
    width: &mut Option<f64>,
    stands_out: &mut Option<[f64; 2]>,
    reader: &mut Reader,
) -> MakeUp {
    let rules = &build.shop.rules;
    match what {
        MakeUpKind::Raw { trim } => MakeUp::Raw { trim_mm: reader.length(&format!("{field}.trim"), trim) },
        MakeUpKind::Joggle { depth, lap } => {
            let depth_mm =
                depth.as_ref().map_or(thickness_mm, |depth| reader.thickness(&format!("{field}.depth"), depth));
            MakeUp::Joggle {
                depth_mm,
                ramp_mm: rules.joggle_run_over_depth * depth_mm,
                lap_mm: reader.positive(&format!("{field}.lap"), lap),
                runs_out_mm: [0.0; 2],
            }
        }
        MakeUpKind::Flange { opening, radius, width: written, turns, relief, split_at, lap_leg } => {
            let on_a_strip = field.contains(".finished_edge.") || field.contains(".cut_edge.");
            if *relief == file::FlangeRelief::Split && !on_a_strip {
                let message = "is split; a split flange is made on a strip: choose notches or scallops, or make the flange a strip of its own";
                reader.fault(format!("{field}.relief"), message);
            }
            if *lap_leg && !field.ends_with(".finished_edge.0") {
                let message = "is yes; only the first flange of a strip's finished edge has a lap leg";
                reader.fault(format!("{field}.lap_leg"), message);
            }
            let own = lengths(written, &format!("{field}.width"), reader);
            MakeUp::Flange {
                bend_angle_rad: angles(opening, &format!("{field}.opening"), reader, |opening| PI - opening),
                inside_radius_mm: reader.length(&format!("{field}.radius"), radius),
                width_mm: width.take().map_or(own, Along::Constant),
                turns: side(*turns),
                stand_off_mm: 0.0,
                relief: flange_relief(*relief, split_at.as_ref(), field, reader),
            }
        }
        MakeUpKind::Wired { wire, turns, stands_out: ends } => {
            if let Some([start, end]) = ends {
                let path = format!("{field}.stands_out");
                *stands_out = Some([reader.signed(&path, start), reader.signed(&path, end)]);
            }
            let wire_mm = wire_mm(build, wire.as_ref(), field, thickness_mm, reader);
            MakeUp::Wired { wire_mm, curl: curl(build, wire_mm, thickness_mm), turns: side(*turns) }
        }
        MakeUpKind::Hem { width: written, radius, open, turns } => {
            let own = reader.positive(&format!("{field}.width"), written);
            let usual =
                if *open { thickness_mm } else { build.shop.allowances.hem_radius_per_thickness * thickness_mm };
            MakeUp::Hem {
                width_mm: width.take().unwrap_or(own),
                inside_radius_mm: radius
                    .as_ref()
                    .map_or(usual, |radius| reader.length(&format!("{field}.radius"), radius)),
                hem: if *open { HemKind::Open } else { HemKind::Closed },
                turns: side(*turns),
            }
        }
        MakeUpKind::Seam { width: written } => {
            let own = reader.positive(&format!("{field}.width"), written);
            MakeUp::Seam { width_mm: width.take().unwrap_or(own) }
        }
    }
}

/// A split flange whose seam is not said is split later, when the strip is cut to its height.
fn flange_relief(
    relief: file::FlangeRelief,
    split_at: Option<&units::Dimension>,
    field: &str,
    reader: &mut Reader,
) -> FlangeRelief {
    match (relief, split_at) {
        (file::FlangeRelief::Split, Some(at)) => {
            FlangeRelief::Split { seam_mm: reader.positive(&format!("{field}.split_at"), at) }
        }
        (_, Some(_)) => {
            let message = "is said of a flange that is not split; leave it out, or write relief = \"split\"";
            reader.fault(format!("{field}.split_at"), message);
            FlangeRelief::None
        }
        (file::FlangeRelief::Notches, None) => FlangeRelief::Notches,
        (file::FlangeRelief::Scallops, None) => FlangeRelief::Scallops,
        (file::FlangeRelief::None | file::FlangeRelief::Split, None) => FlangeRelief::None,
    }
}

fn curl(build: &Build<'_>, wire_mm: f64, thickness_mm: f64) -> Curl {
    let wrap_rad = build.shop.rules.wire_wrap_deg.to_radians();
    let near = |trial: &&WireTrial| {
        (trial.wire_mm - wire_mm).abs() <= SAME_TRIAL_MM && (trial.thickness_mm - thickness_mm).abs() <= SAME_TRIAL_MM
    };
    match build.shop.allowances.wire_trials.iter().find(near) {
        Some(trial) => Curl::TrialStrip { allowance_mm: trial.allowance_mm, wrap_rad },
        None => Curl::Geometry { wrap_rad },
    }
}

/// The wire: from the calliper over the old curl (H11) where it was measured, to the nearest in stock; else as written.
fn wire_mm(
    build: &Build<'_>,
    written: Option<&units::Dimension>,
    field: &str,
    thickness_mm: f64,
    reader: &mut Reader,
) -> f64 {
    let own = written.map(|wire| reader.thickness(&format!("{field}.wire"), wire));
    let curl = build.values.role(build.source, |role| *role == Role::OldCurl);
    let Some((measurement, value)) = curl.filter(|(_, value)| value.origin == crate::plan::Origin::Measured) else {
        return own.unwrap_or_else(|| {
            let what = "the wire is not known; measure over the old curl with a calliper (wire = measured − 2 × thickness), or write its diameter";
            reader.fault(format!("{field}.wire"), what);
            f64::NAN
        });
    };
    let path = format!("section.{}.measured.{}", build.section.id, measurement.id);
    let old_mm = match &build.section.joint.old_thickness {
        Some(old) => reader.thickness(&format!("section.{}.joint.old_thickness", build.section.id), old),
        None => thickness_mm,
    };
    let worked = match diameter_from_curl(value.mm, old_mm) {
        Ok(worked) => worked.value,
        Err(error) => {
            reader.fault(path, error.to_string());
            return f64::NAN;
        }
    };
    let Some((stock, off_mm)) = choose_wire(&build.shop.wires, worked) else { return worked };
    if off_mm.abs() > build.shop.allowances.wire_within_mm.max(value.reach_mm) {
        reader.caution(
            "wire-between-sizes",
            [
                format!(
                    "the old curl makes the wire {}; the nearest in stock is {} ({})",
                    format_mm(worked, 2),
                    stock.name,
                    format_mm(stock.diameter_mm, 2)
                ),
                "rust swells a curl and wear thins it; a wire between two sizes is usually a measuring slip".into(),
                "measure over the curl where it is sound, or the bare end of the wire".into(),
            ],
        );
    }
    stock.diameter_mm
}
