//! The wire of a wired edge, a part of its own (handbook H10, F15).

use super::flat::Flat;
use super::widths;
use crate::{BlankError, WirePart};
use handbook::Working;
use handbook::shop_rules::{WireEnd, wire_length};
use section::{Lean, MakeUp, Part, StripEdge};

/// Curvature below which a wire is left straight: 20 m radius.
const STRAIGHT_PER_MM: f64 = 5e-5;

/// Every wire, and the workings of the curls.
pub(super) fn all(flat: &Flat<'_>) -> Result<(Vec<WirePart>, Vec<Working>), BlankError> {
    let (mut wires, mut workings) = (Vec::new(), Vec::new());
    for (edge, index) in flat.swept.wired() {
        workings.extend(widths::wire(flat.strip(), Part::Bend { edge, index })?.workings);
        wires.push(one(flat, edge, index)?);
    }
    Ok((wires, workings))
}

/// How the wire's ends are taken: what nobody has said stands out as usual.
pub(super) fn ends(flat: &Flat<'_>) -> [WireEnd; 2] {
    let usual = WireEnd::StandsOut { length_mm: flat.settings.strip.wire_stands_out_mm };
    flat.settings.strip.wire_ends.map(|end| if end.adds_mm().is_none() { usual } else { end })
}

fn one(flat: &Flat<'_>, edge: StripEdge, index: usize) -> Result<WirePart, BlankError> {
    let name = "wire".to_owned();
    let diameter_mm = match flat.strip().make_ups(edge).get(index) {
        Some(MakeUp::Wired { wire_mm, .. }) => *wire_mm,
        _ => f64::NAN,
    };
    let centre = |station: f64| flat.swept.wire_centre(edge, index, station, Lean::After);
    let run = flat.held.integrate(|s| centre(s).map_or(f64::NAN, |jet| jet.first.length()));
    let ends = ends(flat);
    let working =
        wire_length(run, ends).map_err(|fault| BlankError::Bend { place: "wire".into(), what: fault.to_string() })?;
    let strip = flat.strip();
    let bend_radius_mm = [strip.from_mm, 0.5 * (strip.from_mm + strip.to_mm), strip.to_mm].map(|station| {
        let radius = centre(station).and_then(|jet| {
            let speed = jet.first.length();
            let curvature = jet.first.cross(jet.second).length() / (speed * speed * speed);
            (curvature > STRAIGHT_PER_MM).then(|| 1.0 / curvature)
        });
        (station, radius)
    });
    Ok(WirePart {
        name,
        diameter_mm,
        cut_length_mm: working.value,
        stands_out_mm: ends.map(|end| end.adds_mm().unwrap_or(0.0)),
        bend_radius_mm: bend_radius_mm.to_vec(),
        workings: vec![working],
    })
}
