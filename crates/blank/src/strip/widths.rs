//! Developed width of each link of the cross-section.

use crate::{BlankError, DevelopSettings};
use handbook::bend::{Bend, BendFigures, allowance};
use handbook::edges::{WireEdge, WireFigures, WireRule};
use section::{Curl, MakeUp, Part, Profile, Shape, Strip};

/// Inside radius over thickness from which an arc of the skin is rolled, not folded: the neutral line is the middle of the sheet
/// (handbook B1, B2: k = 1 above r/s = 5).
pub(super) const ROLLED_FROM: f64 = 5.0;

/// A developed width with its rate along the strip.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Width {
    pub(super) mm: f64,
    pub(super) rate: f64,
}

/// How the links of a strip develop.
#[derive(Debug)]
pub(super) struct Widths<'a> {
    settings: &'a DevelopSettings,
    thickness_mm: f64,
    links: Vec<How>,
}

/// How one link develops.
#[derive(Debug, Clone, Copy)]
enum How {
    /// Its own length.
    Straight,
    /// Neutral line in the middle of the sheet.
    Rolled,
    /// Constant radius: allowance per radian of bend angle, which every rule makes linear in the angle.
    Bend { per_radian_mm: f64 },
    /// The rule asked at every station, because the radius varies.
    Varying,
    /// Given as a whole (curl).
    Whole { mm: f64 },
}

impl<'a> Widths<'a> {
    /// `profiles` are whole cross-sections at some stations, by which a varying radius is told from a constant one.
    pub(super) fn new(strip: &Strip, settings: &'a DevelopSettings, profiles: &[Profile]) -> Result<Self, BlankError> {
        let mut out = Self { settings, thickness_mm: strip.thickness_mm, links: Vec::new() };
        let count = profiles.first().map_or(0, |profile| profile.links.len());
        for i in 0..count {
            let links: Vec<_> = profiles.iter().filter_map(|profile| profile.links.get(i)).collect();
            let part = links[0].part;
            let radii = links.iter().map(|link| match link.shape {
                Shape::Arc { inside_radius_mm, .. } => Some(inside_radius_mm.value),
                Shape::Straight { .. } => None,
            });
            let Some(radii) = radii.collect::<Option<Vec<f64>>>() else {
                out.links.push(How::Straight);
                continue;
            };
            let least = radii.iter().copied().fold(f64::INFINITY, f64::min);
            let most = radii.iter().copied().fold(0.0, f64::max);
            let how = match (part, make_up(strip, part)) {
                (_, Some(MakeUp::Wired { .. })) => How::Whole { mm: wire(strip, part)?.allowance_mm },
                (Part::Skin { .. }, _) if least > ROLLED_FROM * strip.thickness_mm => How::Rolled,
                _ if most - least < 1e-12 => How::Bend { per_radian_mm: out.figures("bend", 1.0, least)?.allowance_mm },
                _ => How::Varying,
            };
            out.links.push(how);
        }
        Ok(out)
    }

    /// All figures of a bend by the chosen rule.
    pub(super) fn figures(&self, place: &str, bend_rad: f64, inside_radius_mm: f64) -> Result<BendFigures, BlankError> {
        let bend = Bend { thickness_mm: self.thickness_mm, inside_radius_mm, bend_angle_rad: bend_rad };
        allowance(&bend, &self.settings.bend_rule)
            .map_err(|fault| BlankError::Bend { place: place.into(), what: fault.to_string() })
    }

    /// True when the neutral line of that link is taken in the middle of the sheet.
    pub(super) fn is_rolled(&self, link: usize) -> bool {
        matches!(self.links.get(link), Some(How::Rolled))
    }

    /// Developed width of a link.
    pub(super) fn width(&self, profile: &Profile, link: usize) -> Width {
        let (Some(entry), Some(how)) = (profile.links.get(link), self.links.get(link)) else {
            return Width { mm: f64::NAN, rate: f64::NAN };
        };
        let (radius, bend) = match entry.shape {
            Shape::Straight { length_mm, .. } => return Width { mm: length_mm.value, rate: length_mm.first },
            Shape::Arc { inside_radius_mm, bend_rad } => (inside_radius_mm, bend_rad.abs()),
        };
        let neutral = match how {
            How::Whole { mm } => return Width { mm: *mm, rate: 0.0 },
            How::Bend { per_radian_mm } => {
                return Width { mm: bend.value * per_radian_mm, rate: bend.first * per_radian_mm };
            }
            How::Rolled | How::Straight => radius + 0.5 * self.thickness_mm,
            How::Varying => {
                let per_radian = |r: f64| self.figures("bend", 1.0, r).map_or(f64::NAN, |f| f.allowance_mm);
                // The rules are smooth in the radius; a central difference gives the rate for lengths of lines only.
                let h = (1e-4 * radius.value).max(1e-6);
                let slope = (per_radian(radius.value + h) - per_radian((radius.value - h).max(0.0)))
                    / (radius.value + h - (radius.value - h).max(0.0));
                section::jet::Jet::linear(per_radian(radius.value), slope * radius.first)
            }
        };
        let width = bend * neutral;
        Width { mm: width.value, rate: width.first }
    }

    /// Distance of every line from the finished end of the cross-section, in the flat.
    pub(super) fn lines(&self, profile: &Profile) -> Vec<Width> {
        let mut at = Width::default();
        let mut out = vec![at];
        for link in 0..profile.links.len() {
            let width = self.width(profile, link);
            at = Width { mm: at.mm + width.mm, rate: at.rate + width.rate };
            out.push(at);
        }
        out
    }
}

/// The make-up a link belongs to.
pub(super) fn make_up(strip: &Strip, part: Part) -> Option<&MakeUp> {
    match part {
        Part::Skin { .. } => None,
        Part::Bend { edge, index } | Part::Leg { edge, index } | Part::Ramp { edge, index } => {
            strip.make_ups(edge).get(index)
        }
    }
}

/// All figures of a curl.
pub(super) fn wire(strip: &Strip, part: Part) -> Result<WireFigures, BlankError> {
    let refused = |what: String| BlankError::Bend { place: "curl".into(), what };
    let Some(MakeUp::Wired { wire_mm, curl, .. }) = make_up(strip, part) else {
        return Err(refused("no wired edge there".into()));
    };
    let rule = match curl {
        Curl::Geometry { wrap_rad } => WireRule::Geometry { wrap_rad: *wrap_rad },
        Curl::TrialStrip { allowance_mm, .. } => WireRule::TrialStrip { allowance_mm: *allowance_mm },
    };
    let edge = WireEdge { wire_diameter_mm: *wire_mm, thickness_mm: strip.thickness_mm, rule };
    edge.figures().map_err(|fault| refused(fault.to_string()))
}
