//! The order of tacks and runs where it can be worked out by hand, and where it must not matter.
//!
//! Hand-worked. A slit runs from the free end of a strip to where the strip is held. Each side is a cantilever of length L = 400,
//! depth b = 30 in the plane of the sheet, held at x = 0, free at the mouth x = L. A tack at x = a joins the edges in a point, then the sheet
//! beside it shrinks across the slit: strain ε over a depth w on either side. The sides are drawn together there.
//!
//! How much: a force P at the tack enters the side as shear, which over the depth is spread as 6y(b − y)/b³, so that at depth y (η = y/b) the share
//! 1 − 3η² + 2η³ of P still goes through. By Betti's theorem the sides approach by S = 2ε·∫₀ʷ(1 − 3η² + 2η³)dy =
//! 2εw·(1 − (w/b)² + (w/b)³/2), less what the force takes back, which is small for slender sides (P/2 = 3EI/a³·S/2 against E·t).
//!
//! What the rest of the slit does: a side drawn by P at a takes the shape of a beam with shear (κ = 5/6, G = E/2(1 + ν)):
//! v(x) = P·((a·x²/2 − x³/6)/EI + x/(κ·G·A)) up to the tack, and goes straight on beyond it with the slope P·a²/2EI.
//!
//! From the end: a = L; half way v(L/2)/v(L) = 0.3125 without shear. From the middle: a = L/2; at the mouth 1 + 3/2 = 2.5 without shear:
//! the first tack in the middle closes the mouth two and a half times as much as it shrinks, eight times what the other order does.

use glam::DVec3;
use mesh::Skin;
use numerics::{Cancel, Progress};
use std::sync::LazyLock;
use weld::order::condense::Condenser;
use weld::order::search::{SearchSettings, search};
use weld::order::{
    Condensed, CondensedEvent, Event, EventKind, GapLimit, Row, first_gap_left, habit, stretches, trail,
};
use weld::panel::{Panel, PanelSettings, SeamLine};
use weld::shell::{Hold, InherentStrain, LinearModel, Loads, Sheet, Shell, Supports};

const LENGTH_MM: f64 = 400.0;
const DEPTH_MM: f64 = 30.0;
const EDGE_MM: f64 = 5.0;
const SHEET: Sheet = Sheet { thickness_mm: 0.9, young_n_mm2: 210e3, poisson: 0.3 };
/// Depth and half length of the strip that shrinks at a tack.
const STRIP_MM: [f64; 2] = [5.0, 20.0];
const LIMIT: (Row, GapLimit) = (Row::Across, GapLimit { set_up_mm: 0.3, limits_mm: [0.0, 0.45] });

/// A strip of two sides, held at x = 0, slit along its middle.
fn slit_strip(length_mm: f64) -> (Panel, Shell, Supports) {
    let (m, n) = ((length_mm / EDGE_MM) as u32, (2.0 * DEPTH_MM / EDGE_MM) as u32);
    let at = |i: u32, j: u32| DVec3::new(f64::from(i) * EDGE_MM, f64::from(j) * EDGE_MM - DEPTH_MM, 0.0);
    let points_mm = (0..=n).flat_map(|j| (0..=m).map(move |i| at(i, j))).collect();
    let number = |i: u32, j: u32| j * (m + 1) + i;
    let halves = |(i, j): (u32, u32)| {
        let (a, b, c, d) = (number(i, j), number(i + 1, j), number(i + 1, j + 1), number(i, j + 1));
        if (i + j) % 2 == 0 { [[a, b, c], [a, c, d]] } else { [[a, b, d], [b, c, d]] }
    };
    let triangles = (0..n).flat_map(|j| (0..m).map(move |i| (i, j))).flat_map(halves).collect();
    let line = SeamLine { points_mm: vec![DVec3::ZERO, DVec3::new(length_mm, 0.0, 0.0)], closed: false };
    let settings = PanelSettings { edge_mm: EDGE_MM, far_edge_mm: None };
    let skin = Skin { points_mm, triangles };
    let panel = Panel::cut(&skin, &[line], &settings, &Progress::silent(), &Cancel::new()).unwrap();
    let open = Shell { skin: panel.open.clone(), sheets: vec![SHEET], sheet_of: Vec::new() };
    let supports = held_at_0(&open.skin);
    (panel, open, supports)
}

fn held_at_0(skin: &Skin) -> Supports {
    let held = (0..skin.points_mm.len() as u32).filter(|node| skin.points_mm[*node as usize].x == 0.0);
    let holds = held.flat_map(|node| {
        [false, true]
            .into_iter()
            .flat_map(move |rotation| DVec3::AXES.map(|axis| Hold { node, axis, rotation, spring: None }))
    });
    Supports { holds: holds.collect() }
}

fn condenser(panel: &Panel, open: &Shell, supports: &Supports) -> Condenser {
    Condenser::new(panel, open.clone(), supports, None, &Progress::silent(), &Cancel::new()).unwrap()
}

/// Strain across the slit on both sides of the stretch from `from` to `to`.
fn across(skin: &Skin, [from, to]: [f64; 2], strain: f64) -> Vec<InherentStrain> {
    let under = |triangle: &u32| {
        let centre = skin.corners(*triangle as usize).iter().sum::<DVec3>() / 3.0;
        centre.y.abs() < STRIP_MM[0] && centre.x > from && centre.x < to
    };
    let of = |triangle| InherentStrain { triangle, along: DVec3::X, strain: [0.0, strain, 0.0] };
    (0..skin.triangles.len() as u32).filter(under).map(of).collect()
}

/// Runs that share the slit, each with its own shrinkage along and across.
fn runs(panel: &Panel, run_mm: f64) -> Vec<Event> {
    let mut events = stretches::runs(panel, 0, run_mm);
    for (i, event) in events.iter_mut().enumerate() {
        event.inherent = across(&panel.open, event.stations_mm, -0.02 - 0.003 * (i % 3) as f64);
        event.inherent.iter_mut().for_each(|strain| strain.strain[0] = -0.004);
    }
    events
}

/// Shape of a side of the slit when it is drawn at `a`, over its value there.
fn beam(a: f64, x: f64) -> f64 {
    let second_moment = SHEET.thickness_mm * DEPTH_MM.powi(3) / 12.0;
    let bending = SHEET.young_n_mm2 * second_moment;
    let shear = 5.0 / 6.0 * SHEET.young_n_mm2 / (2.0 * (1.0 + SHEET.poisson)) * SHEET.thickness_mm * DEPTH_MM;
    let up_to = |x: f64| (a * x * x / 2.0 - x.powi(3) / 6.0) / bending + x / shear;
    let v = if x <= a { up_to(x) } else { up_to(a) + a * a / (2.0 * bending) * (x - a) };
    v / up_to(a)
}

/// Gap change at one tack before it joins, after another was set.
fn closing(first_mm: f64, second_mm: f64, strain: f64) -> f64 {
    let (panel, open, supports) = slit_strip(LENGTH_MM);
    let mut events = Vec::new();
    for station in [first_mm, second_mm] {
        let mut tack = stretches::dots_at(&panel, 0, [station], EventKind::Tack).remove(0);
        assert_eq!((tack.pairs.len(), tack.stations_mm[0]), (1, station));
        tack.inherent = across(&panel.open, [station - STRIP_MM[1], station + STRIP_MM[1]], strain);
        events.push(tack);
    }
    let model = condenser(&panel, &open, &supports).condense(&events, &[LIMIT], &Cancel::new()).unwrap();
    let (steps, _) = trail(&model, &[0, 1], &[]).unwrap();
    steps[1].gap_change_mm.unwrap()[0]
}

#[test]
fn an_open_slit_closes_by_the_beam_formula() {
    let (strain, w) = (-0.04, STRIP_MM[0] / DEPTH_MM);
    let shrinkage = 2.0 * strain * STRIP_MM[0] * (1.0 - w * w + 0.5 * w.powi(3));
    // from the end: the tack at the mouth, then the middle
    let (got, want) = (closing(400.0, 200.0, strain), shrinkage * beam(400.0, 200.0));
    println!("from the end, gap change in the middle: {got:.5} by the beam {want:.5}");
    assert!((got / want - 1.0).abs() < 0.03, "{got} {want}");
    // from the middle: the mouth closes far more than the tack shrinks
    let (got, want) = (closing(200.0, 400.0, strain), shrinkage * beam(200.0, 400.0));
    println!("from the middle, gap change at the mouth: {got:.5} by the beam {want:.5}");
    assert!((got / want - 1.0).abs() < 0.03, "{got} {want}");
    assert!((beam(400.0, 200.0) - 0.3125).abs() < 0.01 && (beam(200.0, 400.0) - 2.5).abs() < 0.05);
}

/// The same slit tacked in its middle: its mouth closes by the beam formula of above. With half of that as gap the edges meet there after the first tack;
/// with more than that as gap they never do.
#[test]
fn it_is_told_when_and_where_edges_first_meet() {
    let (panel, open, supports) = slit_strip(LENGTH_MM);
    let mut events = Vec::new();
    for station in [200.0, 400.0] {
        let mut tack = stretches::dots_at(&panel, 0, [station], EventKind::Tack).remove(0);
        tack.inherent = across(&panel.open, [station - STRIP_MM[1], station + STRIP_MM[1]], -0.04);
        events.push(tack);
    }
    let w = STRIP_MM[0] / DEPTH_MM;
    let closes_mm = 2.0 * 0.04 * STRIP_MM[0] * (1.0 - w * w + 0.5 * w.powi(3)) * beam(200.0, 400.0);
    let mut condenser = condenser(&panel, &open, &supports);
    let mut first = |set_up_mm: f64| {
        let limit = (Row::Across, GapLimit { set_up_mm, limits_mm: [0.0, 1000.0] });
        let model = condenser.condense(&events, &[limit], &Cancel::new()).unwrap();
        first_gap_left(&model, &[0, 1], &[]).unwrap()
    };
    let met = first(0.5 * closes_mm).unwrap();
    let pair = panel.pairs().nth(met.row as usize / weld::order::ROWS).unwrap();
    assert_eq!((met.after, pair.station_mm.round()), (1, 400.0));
    assert!((met.gap_mm / (-0.5 * closes_mm) - 1.0).abs() < 0.06, "{met:?} {closes_mm}");
    assert_eq!(first(1.1 * closes_mm), None);
}

fn largest(values: &[f64]) -> f64 {
    values.iter().fold(0.0f64, |most, value| most.max(value.abs()))
}

#[test]
fn in_one_connected_sheet_the_order_does_not_matter() {
    let (panel, open, supports) = slit_strip(120.0);
    let mut condenser = condenser(&panel, &open, &supports);
    let mut events = runs(&panel, 30.0);
    let all = stretches::runs(&panel, 0, 1000.0).remove(0);
    events.insert(0, all);
    let model = condenser.condense(&events, &[LIMIT], &Cancel::new()).unwrap();
    let mut end = |order: &[u32]| {
        let (_, walk) = trail(&model, order, &[]).unwrap();
        condenser.deflection(&events.iter().collect::<Vec<_>>(), walk.push()).unwrap().unknowns
    };
    let (one, other) = (end(&[0, 1, 2, 3, 4]), end(&[0, 3, 1, 4, 2]));
    let size = largest(&one);
    assert!(one.iter().zip(&other).all(|(a, b)| (a - b).abs() < 1e-9 * size));
    // and it is the sheet without a slit
    let closed = Shell { skin: panel.closed.clone(), ..open };
    let supports = held_at_0(&closed.skin);
    let mut whole = LinearModel::new(closed, &supports, &Progress::silent(), &Cancel::new()).unwrap();
    let inherent = events.iter().flat_map(|event| event.inherent.clone()).collect();
    let direct = whole.solve(&Loads { inherent, ..Loads::default() }).unwrap().unknowns;
    for (node, closed) in panel.closed_of.iter().enumerate() {
        for i in 0..6 {
            let (got, want) = (one[6 * node + i], direct[6 * *closed as usize + i]);
            assert!((got - want).abs() < 1e-9 * size, "node {node}: {got} {want}");
        }
    }
}

#[test]
fn the_condensed_sheet_is_the_whole_sheet_solved_anew_at_every_step() {
    let (panel, open, supports) = slit_strip(120.0);
    let mut condenser = condenser(&panel, &open, &supports);
    let events = runs(&panel, 30.0);
    let model = condenser.condense(&events, &[LIMIT], &Cancel::new()).unwrap();
    let mut ends = Vec::new();
    for order in [[0, 1, 2, 3], [2, 0, 3, 1]] {
        let (_, walk) = trail(&model, &order, &[]).unwrap();
        let got = condenser.deflection(&events.iter().collect::<Vec<_>>(), walk.push()).unwrap().unknowns;
        let mut joined = vec![false; panel.pairs().count()];
        let mut motion = vec![0.0; got.len()];
        for event in order.map(|event| &events[event as usize]) {
            event.pairs.iter().for_each(|pair| joined[*pair as usize] = true);
            let (skin, of) = panel.joined(&joined);
            let supports = held_at_0(&skin);
            let shell = Shell { skin, ..open.clone() };
            let mut whole = LinearModel::new(shell, &supports, &Progress::silent(), &Cancel::new()).unwrap();
            let loads = Loads { inherent: event.inherent.clone(), ..Loads::default() };
            let step = whole.solve(&loads).unwrap().unknowns;
            for (node, new) in of.iter().enumerate() {
                for i in 0..6 {
                    motion[6 * node + i] += step[6 * *new as usize + i];
                }
            }
        }
        let size = largest(&motion);
        let off = got.iter().zip(&motion).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        println!("order {order:?}: condensed differs from the whole by {:.1e} of the largest", off / size);
        assert!(off < 1e-9 * size);
        ends.push(motion);
    }
    let size = largest(&ends[0]);
    let apart = ends[0].iter().zip(&ends[1]).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    assert!(apart > 0.01 * size, "two orders end the same to {apart} of {size}: the check of exactness shows nothing");
}

/// A slit in six runs, its orders, and the trade habit among them.
static SIX: LazyLock<(Vec<Event>, Condensed)> = LazyLock::new(|| {
    let (panel, open, supports) = slit_strip(120.0);
    let events = runs(&panel, 20.0);
    let model = condenser(&panel, &open, &supports).condense(&events, &[LIMIT], &Cancel::new()).unwrap();
    (events, model)
});

fn permutations(left: &[u32]) -> Vec<Vec<u32>> {
    if left.is_empty() {
        return vec![Vec::new()];
    }
    let with_first = |(i, first): (usize, &u32)| {
        let rest: Vec<u32> = left.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, event)| *event).collect();
        permutations(&rest)
            .into_iter()
            .map(|mut order| {
                order.insert(0, *first);
                order
            })
            .collect::<Vec<_>>()
    };
    left.iter().enumerate().flat_map(with_first).collect()
}

#[test]
fn the_search_equals_every_order_tried_for_six_runs() {
    let (events, model) = &*SIX;
    assert_eq!(events.len(), 6);
    let every = permutations(&[0, 1, 2, 3, 4, 5]);
    assert_eq!(every.len(), 720);
    let scores: Vec<_> = every.iter().map(|order| model.score(order).unwrap()).collect();
    let best = scores.iter().min_by(|a, b| a.compare(b)).unwrap();
    let worst = scores.iter().max_by(|a, b| a.compare(b)).unwrap();
    println!("best {best:?}, worst {worst:?}");
    assert!(best.beats(worst) && worst.locked_in_mm > 1.2 * best.locked_in_mm, "order matters here");
    let found = search(model, &[], &SearchSettings::default(), &Progress::silent(), &Cancel::new()).unwrap();
    assert!(found.exhaustive && found.tried == 720);
    assert_eq!(found.best[0].score, *best);
    let local = SearchSettings { exhaustive_up_to: 0, ..SearchSettings::default() };
    let local = search(model, &[], &local, &Progress::silent(), &Cancel::new()).unwrap();
    assert_eq!(local.best[0].score, *best);
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(20))]
    /// Whatever each run shrinks, the order found is no worse than the trade habit or end to end.
    #[test]
    fn the_order_found_is_never_worse_than_the_trade_habit(
        shrinks in proptest::collection::vec(0.2f64..3.0, 6),
        gap_mm in 0.0f64..0.45,
        most_orders in 1usize..40,
    ) {
        let (events, model) = &*SIX;
        let scaled = model.events().iter().zip(&shrinks).map(|(event, by)| CondensedEvent {
            free: event.free.iter().map(|motion| by * motion).collect(),
            watches: event.watches.iter().map(|watch| {
                let mut watch = *watch;
                watch.limit.set_up_mm = gap_mm;
                watch
            }).collect(),
            ..event.clone()
        });
        let model = Condensed::new(model.rows(), model.compliance().clone(), scaled.collect(), None).unwrap();
        let starts = [habit::end_to_end(events), habit::habit(events)];
        let settings = SearchSettings { exhaustive_up_to: 0, most_orders, restarts: 0, beam: 0, ..SearchSettings::default() };
        let found = search(&model, &starts, &settings, &Progress::silent(), &Cancel::new()).unwrap();
        for start in &starts {
            proptest::prop_assert!(!model.score(start).unwrap().beats(&found.best[0].score));
        }
    }
}
