//! What stops or endangers a ring made of one blank, and how far one could go instead; holes and bends of either way.

use super::one_blank::{Formed, Held, RingStrain};
use super::{RingError, RingSettings, ThicknessLaw};
use crate::material_of;
use handbook::forming_limit::{Forming, FormingLimit};
use handbook::holes::{least_edge_distance, least_pitch};
use handbook::{Concern, Grade, LiftedBy, min_radius};
use section::ring::{Meridian, RingPart};
use section::{OpeningShape, Ring};

/// Effective strain above which every sheet tears or wrinkles in one piece (shop setting, no source; as for skins).
const BEYOND_ANY_SHEET: f64 = 0.5;

/// A length in words.
fn format_mm(length_mm: f64, decimals: usize) -> String {
    format!("{length_mm:.decimals$} mm")
}

/// How a formed ring stands against its limits.
pub(super) struct Verdict {
    /// No metal is left for the inner edge: the blank's hole would be smaller than nothing, or than the sheet is thick.
    pub(super) no_metal: bool,
    /// Largest share of a limit used up; infinite without metal.
    pub(super) share: f64,
    /// Most stretched place.
    pub(super) stretched: Option<RingStrain>,
    /// Most gathered place.
    pub(super) gathered: Option<RingStrain>,
    /// Place of the largest effective strain.
    pub(super) worst: Option<RingStrain>,
    stop_gather: f64,
}

impl Verdict {
    pub(super) fn of(formed: &Formed<'_>, settings: &RingSettings) -> Self {
        let open = !formed.ring.is_closed();
        let [inner, outer] = formed.edges_mm;
        let no_metal = (open && inner < 0.5 * formed.ring.thickness_mm) || outer <= 0.0;
        let most = |value: &dyn Fn(&RingStrain) -> f64| {
            formed.strains.iter().copied().max_by(|a, b| value(a).total_cmp(&value(b)))
        };
        let used = |strain: &RingStrain| {
            let stretch = if strain.limit > 0.0 { strain.major() / strain.limit } else { f64::INFINITY };
            stretch.max(strain.gathered() / settings.gather.stop).max(strain.effective / BEYOND_ANY_SHEET)
        };
        let share = if no_metal { f64::INFINITY } else { formed.strains.iter().map(used).fold(0.0, f64::max) };
        Self {
            no_metal,
            share,
            stretched: most(&|strain| strain.major() - strain.limit),
            gathered: most(&RingStrain::gathered),
            worst: most(&|strain| strain.effective),
            stop_gather: settings.gather.stop,
        }
    }

    pub(super) fn stops(&self) -> bool {
        self.no_metal
            || self.stretched.is_some_and(|strain| strain.state == Forming::Beyond)
            || self.gathered.is_some_and(|strain| strain.gathered() > self.stop_gather)
            || self.worst.is_some_and(|strain| strain.effective > BEYOND_ANY_SHEET)
    }
}

/// How far one could go where a ring is refused.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Accepted {
    /// Deepest ring of the same plan.
    pub(super) deepest_mm: Option<f64>,
    /// Widest end leg, with its name.
    pub(super) widest_mm: Option<(String, f64)>,
}

/// Halvings of the search: a thousandth of a millimetre in a metre.
const HALVINGS: usize = 24;

/// `choices`: what may be held; the deepest is that of whichever takes the ring furthest.
pub(super) fn largest_accepted(
    formed: &Formed<'_>,
    choices: &[Held],
    settings: &RingSettings,
    limit: &FormingLimit,
) -> Accepted {
    let ring = formed.ring;
    let of_choice =
        |held: &Held| largest_share(|share| accepted(&flatter(ring, share), (formed.law, *held), settings, limit));
    let deepest = choices.iter().filter_map(of_choice).max_by(f64::total_cmp);
    let worst = formed.strains.iter().max_by(|a, b| a.effective.total_cmp(&b.effective));
    let last = ring.legs().saturating_sub(1);
    // an end leg can be narrowed when the worst place lies in it
    let end = match worst.map(|strain| strain.part) {
        Some(RingPart::Leg(leg)) if leg == last && leg > 0 => Some(last),
        Some(RingPart::Leg(0)) if !ring.is_closed() => Some(0),
        _ => None,
    };
    let end = end.filter(|leg| formed.held != Held::Leg(*leg));
    let widest = end.and_then(|leg| {
        let share =
            largest_share(|share| accepted(&narrower(ring, leg, share), (formed.law, formed.held), settings, limit))?;
        let [a, b] = [ring.corners.get(leg)?.at_mm(), ring.corners.get(leg + 1)?.at_mm()];
        Some((ring.leg_name(leg), share * a.distance(b)))
    });
    Accepted { deepest_mm: deepest.map(|share| share * ring.height_mm()), widest_mm: widest }
}

/// `None` when the shape cannot be drawn (its bends no longer fit), else whether it is accepted.
fn accepted(
    ring: &Ring,
    (law, held): (ThicknessLaw, Held),
    settings: &RingSettings,
    limit: &FormingLimit,
) -> Option<bool> {
    match Formed::new(ring, law, held, limit) {
        Ok(own) => Some(!Verdict::of(&own, settings).stops()),
        Err(RingError::Section(_)) => None,
        Err(_) => Some(false),
    }
}

/// Largest share of 0..1 that is accepted, taking smaller ones to be accepted too; `None` where none can be drawn and accepted.
fn largest_share(accepted: impl Fn(f64) -> Option<bool>) -> Option<f64> {
    let (mut low, mut high) = (0.0, 1.0);
    let mut found = None;
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        match accepted(middle) {
            Some(true) => {
                found = Some(middle);
                low = middle;
            }
            // too shallow to draw: no evidence against it
            None => low = middle,
            Some(false) => high = middle,
        }
    }
    found
}

/// The same ring with its heights at a share of theirs.
fn flatter(ring: &Ring, share: f64) -> Ring {
    let mut ring = ring.clone();
    ring.corners.iter_mut().for_each(|corner| corner.height_mm *= share);
    ring
}

/// The same ring with an end leg at a share of its width.
fn narrower(ring: &Ring, leg: usize, share: f64) -> Ring {
    let mut ring = ring.clone();
    let (fixed, moved) = if leg == 0 { (1, 0) } else { (leg, leg + 1) };
    let root = ring.corners.get(fixed).map(section::RingCorner::at_mm);
    if let (Some(root), Some(corner)) = (root, ring.corners.get_mut(moved)) {
        let at = root.lerp(corner.at_mm(), share);
        (corner.radius_mm, corner.height_mm) = (at.x, at.y);
    }
    ring
}

pub(super) fn of_one_blank(
    formed: &Formed<'_>,
    verdict: &Verdict,
    settings: &RingSettings,
    (limit, accepted): (&FormingLimit, &Accepted),
) -> Vec<Concern> {
    let ring = formed.ring;
    let (instead, source) = (instead(ring, accepted), limit.source());
    let mut out = Vec::new();
    if verdict.no_metal {
        out.push(stop(
            "ring-deeper-than-blank",
            &ring.name,
            format!(
                "the step of {} is deeper than one blank allows: no metal is left for the opening in its middle",
                format_mm(ring.height_mm(), 1)
            ),
            "what is dressed down comes out of the middle of the blank, and there is not as much".into(),
            instead.clone(),
            "geometry",
        ));
        // strains of metal that is not there say nothing
        out.extend(bends(ring));
        out.extend(holes(ring));
        return out;
    }
    out.extend(verdict.stretched.as_ref().and_then(|strain| stretch(ring, strain, source, &instead)));
    out.extend(verdict.gathered.as_ref().and_then(|strain| gather(ring, strain, settings, &instead)));
    if let Some(worst) = verdict.worst.filter(|strain| strain.effective > BEYOND_ANY_SHEET) {
        out.push(stop(
            "ring-beyond-any-sheet",
            &place(ring, &worst),
            format!("strained by {:.2} in all (effective)", worst.effective),
            "an effective strain above 0.5 tears or wrinkles every sheet without annealing".into(),
            instead,
            "shop setting, no source",
        ));
    }
    out.extend(bends(ring));
    out.extend(holes(ring));
    out
}

fn place(ring: &Ring, strain: &RingStrain) -> String {
    let part = match strain.part {
        RingPart::Leg(leg) => ring.leg_name(leg),
        RingPart::Bend(bend) => format!("bend {bend}"),
    };
    format!("{}, {part} at ⌀{:.0}", ring.name, 2.0 * strain.finished_radius_mm)
}

fn instead(ring: &Ring, accepted: &Accepted) -> String {
    let mut ways = Vec::new();
    if let Some(deepest) = accepted.deepest_mm {
        ways.push(format!(
            "one blank would make it {} deep instead of {}",
            format_mm(deepest, 1),
            format_mm(ring.height_mm(), 1)
        ));
    }
    if let Some((leg, widest)) = &accepted.widest_mm {
        ways.push(format!("or {leg} {} wide", format_mm(*widest, 1)));
    }
    ways.push("as drawn it is built up from a part for each leg, with seams at the corners".to_owned());
    ways.join("; ")
}

fn stretch(ring: &Ring, strain: &RingStrain, source: &str, instead: &str) -> Option<Concern> {
    let what = format!(
        "stretched by {:.1} %; the sheet necks at {:.1} % there",
        100.0 * strain.major().exp_m1(),
        100.0 * strain.limit.exp_m1()
    );
    match strain.state {
        Forming::Safe => None,
        Forming::Near => Some(Concern {
            key: "ring-stretch-near-limit".into(),
            grade: Grade::Caution,
            place: place(ring, strain),
            what,
            why: "within the margin of the forming limit an edge splits at the first nick".into(),
            what_to_do:
                "dress the cut edge smooth and round before forming, go down in many light rounds, anneal between"
                    .into(),
            lifted_by: None,
            source: source.into(),
        }),
        Forming::Beyond => Some(stop(
            "ring-stretch-limit",
            &place(ring, strain),
            what,
            "past its forming limit the sheet necks and splits".into(),
            instead.to_owned(),
            source,
        )),
    }
}

fn gather(ring: &Ring, strain: &RingStrain, settings: &RingSettings, instead: &str) -> Option<Concern> {
    let share = strain.gathered();
    let what = format!("gathered by {:.1} mm per 100 mm", 100.0 * share);
    let why = "a flange gathered by hand thickens, cracks or folds over where there is too much of it";
    if share > settings.gather.stop {
        let what = format!("{what}; the shop takes on {:.0} mm", 100.0 * settings.gather.stop);
        let source = "shop setting, no source";
        return Some(stop("ring-gathering", &place(ring, strain), what, why.into(), instead.to_owned(), source));
    }
    (share > settings.gather.caution).then(|| Concern {
        key: "ring-gathering".into(),
        grade: Grade::Caution,
        place: place(ring, strain),
        what,
        why: why.into(),
        what_to_do: "shrink it in several rounds against the board, working round and round, never one place alone"
            .into(),
        lifted_by: None,
        source: "shop setting, no source".into(),
    })
}

fn stop(key: &str, place: &str, what: String, why: String, what_to_do: String, source: &str) -> Concern {
    Concern {
        key: key.into(),
        grade: Grade::Stop,
        place: place.into(),
        what,
        why,
        what_to_do,
        lifted_by: Some(LiftedBy::Shop),
        source: source.into(),
    }
}

fn caution(key: &str, place: String, [what, why, what_to_do]: [String; 3], source: &str) -> Concern {
    let (key, source) = (key.to_owned(), source.to_owned());
    Concern { key, grade: Grade::Caution, place, what, why, what_to_do, lifted_by: None, source }
}

/// Bends tighter than the metal takes (B14, B40 and their kin).
fn bends(ring: &Ring) -> Vec<Concern> {
    let Some(metal) = material_of(&ring.material) else { return Vec::new() };
    let Ok(least) = min_radius::for_material(metal, ring.thickness_mm) else { return Vec::new() };
    let inner = ring.corners.len().saturating_sub(2);
    let tight =
        ring.corners.iter().enumerate().skip(1).take(inner).filter(|(_, c)| c.inside_radius_mm + 1e-9 < least.value);
    tight
        .map(|(i, corner)| {
            let words = [
                format!(
                    "inside radius {} where the sheet takes {}",
                    format_mm(corner.inside_radius_mm, 2),
                    format_mm(least.value, 2)
                ),
                "a tighter bend cracks on its outside".to_owned(),
                format!("round the board's edge to {} or more", format_mm(least.value, 1)),
            ];
            caution("ring-bend-radius", format!("{}, bend {i}", ring.name), words, &least.source.id)
        })
        .collect()
}

/// Bolt holes too near to an edge or a bend, or to one another (F18).
pub(super) fn holes(ring: &Ring) -> Vec<Concern> {
    let bolts: Vec<(f64, f64, glam::DVec2, &str)> = ring
        .holes
        .iter()
        .filter_map(|hole| {
            let OpeningShape::Round { diameter_mm } = hole.shape else { return None };
            let bolt = diameter_mm - 2.0 * hole.half_clearance_mm?;
            let at = glam::DVec2::new(hole.along_mm, hole.from_edge_mm);
            Some((bolt, at.length(), at, hole.name.as_str()))
        })
        .collect();
    let mut out = Vec::new();
    let mut near: Option<(f64, f64, &str)> = None;
    for (bolt, distance, _, name) in &bolts {
        let room = ring.flat_leg_at(*distance).and_then(|leg| ring.flat_between(leg).ok());
        let Some([low, high]) = room else { continue };
        let Ok(least) = least_edge_distance(*bolt) else { continue };
        let got = (distance - low).min(high - distance);
        if got + 1e-9 < least.value && near.is_none_or(|(other, ..)| got < other) {
            near = Some((got, least.value, name));
        }
    }
    if let Some((got, least, name)) = near {
        let words = [
            format!(
                "{name} is {} from the edge or bend beside it; two bolts' diameters are {}",
                format_mm(got, 1),
                format_mm(least, 1)
            ),
            "a bolt tears out of an edge that is too near, and its washer rides on the bend".to_owned(),
            "move the circle, take a smaller bolt, or widen the flange".to_owned(),
        ];
        out.push(caution("ring-hole-edge", ring.name.clone(), words, "F18"));
    }
    let mut close: Option<(f64, f64)> = None;
    for (i, (bolt, _, at, _)) in bolts.iter().enumerate() {
        for (_, _, other, _) in bolts.iter().skip(i + 1) {
            let (got, Ok(least)) = (at.distance(*other), least_pitch(*bolt)) else { continue };
            if got + 1e-9 < least.value && close.is_none_or(|(nearest, _)| got < nearest) {
                close = Some((got, least.value));
            }
        }
    }
    if let Some((got, least)) = close {
        let words = [
            format!("bolts stand {} apart; three diameters are {}", format_mm(got, 1), format_mm(least, 1)),
            "the metal between them tears from hole to hole".to_owned(),
            "take fewer bolts or a larger circle".to_owned(),
        ];
        out.push(caution("ring-hole-pitch", ring.name.clone(), words, "F18"));
    }
    out
}

/// Legs too narrow to be welded as parts of their own.
pub(super) fn of_built_up(ring: &Ring) -> Vec<Concern> {
    const NARROW_IN_SHEETS: f64 = 6.0;
    let least = NARROW_IN_SHEETS * ring.thickness_mm;
    let mut out = Vec::new();
    let lengths = Meridian::of(ring).map(|meridian| meridian.links).unwrap_or_default();
    for link in lengths.iter().filter(|link| matches!(link.part, RingPart::Leg(_))) {
        let RingPart::Leg(leg) = link.part else { continue };
        let ends = ring.corners.get(leg).zip(ring.corners.get(leg + 1));
        let width = ends.map_or(link.length_mm, |(a, b)| a.at_mm().distance(b.at_mm()));
        if width < least {
            let words = [
                format!("{} is {} wide", ring.leg_name(leg), format_mm(width, 1)),
                "the two seams of so narrow a part run into one another and it goes out of round".to_owned(),
                "form it together with the leg beside it, or leave it wider and cut it back after welding".to_owned(),
            ];
            out.push(caution("ring-part-narrow", ring.name.clone(), words, "common practice, no source"));
        }
    }
    out.extend(holes(ring));
    out
}
