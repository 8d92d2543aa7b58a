//! The panel cut open, every tack and run with its shrinkage, the sheet condensed.

use super::plan::{SeamJoint, WarpPlan};
use super::state::{Kept, joined_shell};
use super::{WarpError, supports};
use crate::order::condense::{Condenser, ModeBasis, loads};
use crate::order::cooling::Cooling;
use crate::order::edges::heat_edges;
use crate::order::offsets::shifts_of;
use crate::order::{Condensed, Event, EventKind, GapLimit, Row, habit, stretches};
use crate::panel::{Panel, PanelSettings};
use crate::shell::{Assembly, InherentStrain, LinearModel, RestShift, Sheet, Shell, Supports};
use crate::shrinkage::{Bead, Dot, Run, lay};
use handbook::joints::tack_pitch;
use handbook::welding::{SurfaceLoss, heat_outside_envelope};
use handbook::{Concern, Grade, ShopRules};
use numerics::eigen::EigenSettings;
use numerics::{Cancel, Progress};
use std::collections::{BTreeMap, BTreeSet};

/// Most points along the weld lines: the condensed sheet holds the square of six times as many numbers.
const MOST_POINTS: usize = 1500;
/// One division of the seams into tacks, plugs and runs.
#[derive(Debug, Clone)]
pub struct Candidate {
    /// Pitch of tacks, plugs or spots.
    pub pitch_mm: f64,
    /// Length of runs; none without a butt.
    pub run_mm: Option<f64>,
    /// Events with the strain of the middle of the spread.
    pub events: Vec<Event>,
    /// What each event leaves for the least and the most of the spread.
    pub(super) spread: [Vec<Left>; 2],
    /// The sheet condensed to them.
    pub condensed: Condensed,
    /// The trade habit.
    pub habit: Vec<u32>,
    /// End to end.
    pub end_to_end: Vec<u32>,
}

/// What an event leaves in the sheet.
#[derive(Debug, Clone, Default)]
pub(super) struct Left {
    pub inherent: Vec<InherentStrain>,
    pub shifts: Vec<RestShift>,
}

impl Left {
    pub(super) fn on(&self, event: &mut Event) {
        event.inherent.clone_from(&self.inherent);
        event.shifts.clone_from(&self.shifts);
    }
}

/// A plan made ready.
#[derive(Debug)]
pub struct Prepared {
    pub(super) plan: WarpPlan,
    pub(super) panel: Panel,
    pub(super) open: Shell,
    /// Holds on the nodes of the closed mesh.
    pub(super) supports: Supports,
    pub(super) condenser: Condenser,
    pub(super) limits: Vec<(Row, GapLimit)>,
    pub(super) candidates: Vec<Candidate>,
    pub(super) cooling: Cooling,
    pub(super) concerns: Vec<Concern>,
    pub(super) kept: Kept,
}

impl Prepared {
    /// Cuts the panel open and condenses it.
    ///
    /// # Errors
    /// [`WarpError`].
    pub fn new(plan: WarpPlan, progress: &Progress, cancel: &Cancel) -> Result<Self, WarpError> {
        plan.check()?;
        let lines: Vec<_> = plan.seams.iter().map(|seam| seam.line.clone()).collect();
        let settings = PanelSettings { edge_mm: edge_mm(&plan), far_edge_mm: Some(plan.settings.far_edge_mm) };
        let panel = Panel::cut(&plan.skin, &lines, &settings, &progress.part(0.0, 0.1), cancel)?;
        let held = supports::on_closed(&plan, &panel)?;
        let mut concerns = own_concerns(&plan, &panel)?;
        let open = shell(&plan, &panel, Lapped::Loose);
        let metal = shell(&plan, &panel, Lapped::Metal);
        // loose parts and a panel that nothing holds are seen on the panel as it is when every line is closed
        let closed = Assembly::new(Shell { skin: panel.closed.clone(), ..open.clone() }, &held)?;
        let only_in_plane = holds_a_plane(&panel, &held);
        concerns.extend(closed.held.concerns.into_iter().filter(|c| !(only_in_plane && c.key == "shell-partly-free")));
        let divisions = divisions(&plan)?;
        let mut laid = Vec::new();
        for (pitch_mm, run_mm) in divisions {
            let mut events = events(&plan, &panel, pitch_mm, run_mm);
            let spread = strains(&plan, &panel, &metal, &mut events, cancel)?;
            laid.push((pitch_mm, run_mm, events, spread));
        }
        // modes of the panel as it is when all is welded: a lap stays open between its plugs
        let points = panel.pairs().count();
        if points > MOST_POINTS {
            let need = "at most 1500; give a longer edge of the mesh along the weld";
            return Err(WarpError::Setting { name: "number of points along the weld lines", got: points as f64, need });
        }
        let mut welded = vec![false; points];
        for pair in laid.iter().take(1).flat_map(|(_, _, events, _)| events).flat_map(|event| &event.pairs) {
            welded[*pair as usize] = true;
        }
        let (shell, held_welded, _) = joined_shell(&panel, &open, &held, &welded);
        let mut whole = LinearModel::new(shell, &held_welded, &progress.part(0.1, 0.2), cancel)?;
        let all = laid.first().map(|(_, _, events, _)| loads(events.iter())).unwrap_or_default();
        let modes = EigenSettings { modes: plan.settings.modes.max(1), tolerance: 1e-3, ..EigenSettings::default() };
        let buckling = whole.buckling(&all, &modes, &progress.part(0.2, 0.35), cancel)?;
        if !buckling.converged {
            concerns.push(super::state::not_settled("the quick estimate that ranks the orders", &buckling.modes));
        }
        let shapes: Vec<Vec<f64>> = buckling.modes.into_iter().map(|mode| mode.shape.unknowns).collect();
        let basis = if shapes.is_empty() { None } else { Some(ModeBasis::new(whole.assembly(), &shapes)?) };
        let floats = panel.pieces > 1 || held.holds.is_empty();
        let hung = if floats { supports::Hung::Floating(&panel.piece_of) } else { supports::Hung::Not };
        let open_supports = supports::carried(&held, &panel.closed_of, &hung);
        let mut condenser =
            Condenser::new(&panel, open.clone(), &open_supports, basis, &progress.part(0.35, 0.8), cancel)?;
        let limits: Vec<_> = plan.seams.iter().map(|seam| limit(&seam.joint, plan.thickness_mm)).collect();
        let (mut candidates, count) = (Vec::new(), laid.len());
        for (i, (pitch_mm, run_mm, events, spread)) in laid.into_iter().enumerate() {
            progress.report(0.8 + 0.2 * i as f64 / count as f64, "what each tack and run moves");
            let condensed = condenser.condense(&events, &limits, cancel)?;
            let (habit, end_to_end) = (habit::habit(&events), habit::end_to_end(&events));
            candidates.push(Candidate { pitch_mm, run_mm, events, spread, condensed, habit, end_to_end });
        }
        let cooling = cooling(&plan, &panel)?;
        let kept = Kept::default();
        Ok(Self { plan, panel, open, supports: held, condenser, limits, candidates, cooling, concerns, kept })
    }

    /// The panel, cut open.
    #[must_use]
    pub fn panel(&self) -> &Panel {
        &self.panel
    }

    /// Divisions of the seams that are compared.
    #[must_use]
    pub fn candidates(&self) -> &[Candidate] {
        &self.candidates
    }
}

/// Most points along a butt before its edge of the mesh grows, and how often it may have grown: margins and heights of long butts change by a few
/// per cent, and the work with the cube of the points. A lap keeps its edge, for its plugs stand close.
const ENOUGH_POINTS: f64 = 45.0;
const MOST_COARSER: f64 = 2.0;

/// Edge of the mesh along the welds, mm.
fn edge_mm(plan: &WarpPlan) -> f64 {
    let asked = plan.settings.edge_mm;
    if plan.seams.iter().any(|seam| matches!(seam.joint, SeamJoint::Lap { .. })) {
        return asked;
    }
    let length =
        |seam: &super::PlannedSeam| seam.line.points_mm.windows(2).map(|ends| ends[0].distance(ends[1])).sum::<f64>();
    let longest = plan.seams.iter().map(length).fold(0.0, f64::max);
    (longest / ENOUGH_POINTS).clamp(asked, MOST_COARSER * asked)
}

/// How the two sheets of a lap count.
#[derive(Clone, Copy, PartialEq)]
enum Lapped {
    /// As what is strained: twice the metal.
    Metal,
    /// As what carries: twice the membrane and twice the bending of one sheet, for they slide on each other between the plugs. One
    /// thickness with twice the modulus has both.
    Loose,
}

/// The open panel as a shell, with two sheets where they lap.
fn shell(plan: &WarpPlan, panel: &Panel, lapped: Lapped) -> Shell {
    let metal = &plan.metal;
    let sheet = |thickness_mm, times: f64| Sheet {
        thickness_mm,
        young_n_mm2: times * metal.young_n_mm2,
        poisson: metal.poisson,
    };
    let double = match lapped {
        Lapped::Metal => sheet(2.0 * plan.thickness_mm, 1.0),
        Lapped::Loose => sheet(plan.thickness_mm, 2.0),
    };
    let mut sheet_of = vec![0u16; panel.open.triangles.len()];
    for (seam, pairs) in plan.seams.iter().zip(&panel.seams) {
        let SeamJoint::Lap { overlap_mm, .. } = seam.joint else { continue };
        let line: Vec<_> = pairs.pairs.iter().map(|pair| panel.open.points_mm[pair.left as usize]).collect();
        for (triangle, own) in sheet_of.iter_mut().enumerate() {
            let centre = panel.open.corners(triangle).iter().sum::<glam::DVec3>() / 3.0;
            // pairs lie an edge apart at most, so the nearest pair says it within a fraction of the overlap
            let away = line.iter().map(|at| at.distance(centre)).fold(f64::MAX, f64::min);
            if away <= 0.5 * overlap_mm.max(plan.settings.edge_mm) {
                *own = 1;
            }
        }
    }
    let laps = sheet_of.contains(&1);
    let sheets = if laps { vec![sheet(plan.thickness_mm, 1.0), double] } else { vec![sheet(plan.thickness_mm, 1.0)] };
    Shell { skin: panel.open.clone(), sheets, sheet_of: if laps { sheet_of } else { Vec::new() } }
}

/// Which motion is the gap of a joint, and what it must keep to: a butt 0 to t/2 (H13); a lap may stand off by t/2, which a clamp closes.
fn limit(joint: &SeamJoint, thickness_mm: f64) -> (Row, GapLimit) {
    let half = 0.5 * thickness_mm;
    match joint {
        SeamJoint::Butt { gap_mm } => {
            (Row::Across, GapLimit { set_up_mm: *gap_mm, limits_mm: [0.0, half.max(*gap_mm)] })
        }
        SeamJoint::Lap { .. } => (Row::Normal, GapLimit { set_up_mm: 0.0, limits_mm: [-half, half] }),
    }
}

/// Pitches and runs that are compared.
fn divisions(plan: &WarpPlan) -> Result<Vec<(f64, Option<f64>)>, WarpError> {
    let butt = plan.seams.iter().any(|seam| matches!(seam.joint, SeamJoint::Butt { .. }));
    let pitches = match (plan.settings.pitches_mm.as_slice(), butt) {
        ([], true) => {
            let ([least, most], _) = tack_pitch(plan.thickness_mm)?;
            vec![least, 0.5 * (least + most), most]
        }
        ([], false) => ShopRules::default().plug_pitch_mm.to_vec(),
        (given, _) => given.to_vec(),
    };
    let runs: Vec<Option<f64>> = match (plan.settings.runs_mm.as_slice(), butt) {
        (_, false) => vec![None],
        ([], true) => vec![Some(2.0 * pitches.first().copied().unwrap_or(25.0))],
        (given, true) => given.iter().copied().map(Some).collect(),
    };
    Ok(pitches.iter().flat_map(|pitch| runs.iter().map(|run| (*pitch, *run))).collect())
}

fn events(plan: &WarpPlan, panel: &Panel, pitch_mm: f64, run_mm: Option<f64>) -> Vec<Event> {
    let heat = &plan.heat;
    let mut events = Vec::new();
    for (number, seam) in plan.seams.iter().enumerate() {
        match seam.joint {
            SeamJoint::Butt { .. } => {
                events.extend(stretches::dots(panel, number, pitch_mm, EventKind::Tack));
                events.extend(stretches::runs(panel, number, run_mm.unwrap_or(pitch_mm)));
            }
            SeamJoint::Lap { .. } => events.extend(stretches::dots(panel, number, pitch_mm, EventKind::Plug)),
        }
    }
    for event in &mut events {
        let length = event.stations_mm[1] - event.stations_mm[0];
        let dot_mm = plan.seams.get(event.seam).and_then(|seam| seam.joint.dot_mm());
        [event.heat_j, event.seconds] = heat.of_weld(event.kind, length, dot_mm, (&plan.metal, plan.thickness_mm));
    }
    events
}

/// Lays the middle strains on the events; returns those of the least and the most.
fn strains(
    plan: &WarpPlan,
    panel: &Panel,
    metal: &Shell,
    events: &mut [Event],
    cancel: &Cancel,
) -> Result<[Vec<Left>; 2], WarpError> {
    let mut spread = [Vec::with_capacity(events.len()), Vec::with_capacity(events.len())];
    for event in events {
        cancel.check()?;
        let bead = bead(plan, event);
        let [low, middle, high] = if event.kind == EventKind::Run {
            let amount = bead.amount(&plan.metal, &plan.shop)?;
            let three = amount.along_mm3.three().into_iter().zip(amount.across_mm3.three());
            let mut three = three.map(|(along, across)| left_by_run(plan, panel, event, along, across));
            [three.next(), three.next(), three.next()].map(Option::unwrap_or_default)
        } else {
            let laid = lay(metal, &bead, &plan.metal, &plan.shop)?;
            [laid.low, laid.middle, laid.high].map(|inherent| Left { inherent, shifts: Vec::new() })
        };
        middle.on(event);
        spread[0].push(low);
        spread[1].push(high);
    }
    Ok(spread)
}

/// The shrinkage of a run on triangles wider than its fused strip: across it the two sides lose their width at the line, all along by the same,
/// which is free of stress where nothing hinders it; along it the triangles beside the line share its volume evenly. Strips cut out of
/// triangles (as [`lay`] has them) would strain neighbours unevenly and press them against each other.
pub(super) fn left_by_run(plan: &WarpPlan, panel: &Panel, event: &Event, along_mm3: f64, across_mm3: f64) -> Left {
    let own: BTreeSet<u32> = event.pairs.iter().copied().collect();
    let shares = panel.pairs().enumerate().filter(|(number, _)| own.contains(&(*number as u32)));
    let length: f64 = shares.map(|(_, pair)| pair.share_mm).sum();
    if length <= 0.0 {
        return Left::default();
    }
    let lost = across_mm3 / (plan.thickness_mm * length);
    let of_pair =
        |(number, pair): (usize, &crate::panel::Pair)| own.contains(&(number as u32)).then_some(-lost * pair.across);
    let offsets: Vec<_> = panel.pairs().enumerate().map(of_pair).collect();
    let shifts = shifts_of(panel, &offsets);
    let mut on_line: BTreeMap<u32, (bool, glam::DVec3)> = BTreeMap::new();
    for (number, pair) in panel.pairs().enumerate() {
        for node in [pair.left, pair.right] {
            on_line.insert(node, (own.contains(&(number as u32)), pair.along));
        }
    }
    // a triangle that two runs touch is shared by the points of each
    let mut beside = Vec::new();
    for (triangle, corners) in panel.open.triangles.iter().enumerate() {
        let touched: Vec<_> = corners.iter().filter_map(|node| on_line.get(node)).collect();
        let inside = touched.iter().filter(|(own, _)| *own).count();
        if let Some((_, along)) = touched.iter().find(|(own, _)| *own) {
            let share = inside as f64 / touched.len() as f64;
            beside.push((triangle as u32, *along, share, 0.5 * panel.open.double_area_normal(triangle).length()));
        }
    }
    let volume: f64 = beside.iter().map(|(_, _, share, area)| share * area * plan.thickness_mm).sum();
    let of_triangle = |(triangle, along, share, _): (u32, glam::DVec3, f64, f64)| InherentStrain {
        triangle,
        along,
        strain: [-share * along_mm3 / volume, 0.0, 0.0],
    };
    Left { inherent: beside.into_iter().map(of_triangle).collect(), shifts }
}

/// Volumes that the middle of the spread takes from a run along and across it, mm³.
#[cfg(test)]
pub(super) fn amount(plan: &WarpPlan, event: &Event) -> Result<(f64, f64), WarpError> {
    let amount = bead(plan, event).amount(&plan.metal, &plan.shop)?;
    Ok((amount.along_mm3.middle, amount.across_mm3.middle))
}

fn bead(plan: &WarpPlan, event: &Event) -> Bead {
    let at_mm = event.places_mm.first().copied().unwrap_or_default();
    let joint = plan.seams.get(event.seam).map(|seam| seam.joint);
    let gap_mm = if let Some(SeamJoint::Butt { gap_mm }) = joint { gap_mm } else { 0.0 };
    let dot_mm = if let Some(SeamJoint::Lap { dot_mm, .. }) = joint { dot_mm } else { plan.heat.tack_mm };
    match event.kind {
        EventKind::Run => Bead::Run(Run {
            line_mm: event.places_mm.clone(),
            half_width_mm: 0.5 * plan.heat.fused_width_mm,
            net_j_mm: plan.heat.run_j_mm,
            gap_mm,
            thickness_mm: plan.thickness_mm,
        }),
        EventKind::Tack | EventKind::Plug => Bead::Dot(Dot { at_mm, diameter_mm: dot_mm, heat_j: event.heat_j }),
    }
}

fn cooling(plan: &WarpPlan, panel: &Panel) -> Result<Cooling, WarpError> {
    let settings = &plan.settings;
    Ok(Cooling {
        metal: plan.metal.thermal.clone(),
        thickness_mm: plan.thickness_mm,
        loss_w_mm2_k: SurfaceLoss::of(crate::heat_map::surface_of(&plan.metal)).of_one_face(settings.air_c)?.value,
        air_c: settings.air_c,
        start_limit_c: settings.start_limit_c,
        move_s: settings.move_s,
        edges: heat_edges(&panel.closed, |at| supports::metal_goes_on(plan, at)),
    })
}

/// Three nodes or more, not in a row, are held: what is left free then slides in the surface, which warps nothing.
fn holds_a_plane(panel: &Panel, held: &Supports) -> bool {
    let at = |hold: &crate::shell::Hold| panel.closed.points_mm[hold.node as usize];
    let Some(first) = held.holds.first().map(at) else { return false };
    let far = held.holds.iter().map(at).max_by(|a, b| a.distance(first).total_cmp(&b.distance(first))).unwrap_or(first);
    let along = (far - first).normalize_or_zero();
    let beside = held.holds.iter().map(|hold| (at(hold) - first).reject_from_normalized(along).length());
    along != glam::DVec3::ZERO && beside.fold(0.0, f64::max) > 0.01 * panel.closed.size_mm()
}

fn own_concerns(plan: &WarpPlan, panel: &Panel) -> Result<Vec<Concern>, WarpError> {
    let mut concerns = Vec::new();
    let butt = plan.seams.iter().any(|seam| matches!(seam.joint, SeamJoint::Butt { .. }));
    if let Some(process) = plan.heat.process.filter(|_| butt && plan.metal.material.is_steel()) {
        concerns.extend(heat_outside_envelope(process, plan.thickness_mm, plan.heat.run_j_mm)?);
    }
    if panel.closed_pieces > 1 {
        concerns.push(Concern {
            key: "panel-torn".into(),
            grade: Grade::Caution,
            place: "panel".into(),
            what: format!("The mesh has {} parts that no weld line joins.", panel.closed_pieces),
            why: "Parts that are not joined warp each on its own, and their neighbours do not hold them.".into(),
            what_to_do: "Join the mesh at the tear, put a weld line there, or leave the loose part out.".into(),
            lifted_by: None,
            source: String::new(),
        });
    }
    Ok(concerns)
}
