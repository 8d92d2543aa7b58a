//! The map of the welds: numbered on the finished piece in space, and at 1:1 on a paper that is laid along the joint.

use glam::{DVec2, DVec3};
use job::file::Hand;
use job::plan::{EdgePoint, OrderBy, PieceEdge, PiecePlan, SectionPlan, WeldMap};
use weld::joints::{WeldEvent, WeldEventKind};

use super::draft::{Draft, beside, length_of};
use super::isometric::{finished_lines, view_of};
use super::project::{Sight, ViewAxes};
use super::weld_numbers::{self as numbers, WantedNumber};
use super::weld_symbol::{WeldSymbol, dot};
use super::{bounds_of, picture_scale};
use crate::drawing::{Bounds, Drawing, Horizontal, Layer, Scale, Shape, Text, TextHeight, Vertical};
use crate::font::{self, Weight};
use crate::number::trimmed;

/// An edge that leaves its plane by more is drawn straight, as a strip that bends with it.
const FLAT_WITHIN_MM: f64 = 2.0;
/// From the paper down to its title, as on the other papers at full size, mm.
const TITLE_MM: f64 = 6.0;
/// From an end of the edge to its figure, mm.
const END_MM: f64 = 9.0;
/// Paper beyond the welds, for the numbers.
const BODY_MM: f64 = 22.0;

/// The maps of the edges of one finished piece.
pub fn maps_of<'a>(section: &'a SectionPlan, piece: &'a PiecePlan) -> Vec<(&'a WeldMap, &'a PieceEdge)> {
    let own = section.joint.maps.iter().filter(|map| map.piece == piece.name || map.piece == piece.name_in_job());
    own.filter_map(|map| piece.weld_edge(&map.edge).map(|edge| (map, edge))).collect()
}

/// Where a weld is made, on the outside of the sheet.
pub fn place_of(map: &WeldMap, edge: &PieceEdge, along_mm: f64) -> Option<DVec3> {
    edge.at(along_mm).map(|point| point.at_mm + point.into_sheet * map.into_mm)
}

/// Whose order it is, in words; along edges that close on themselves there is no middle and no end.
pub fn order_words(order: OrderBy, maps: &[WeldMap]) -> &'static str {
    match order {
        OrderBy::TradeHabit if !maps.is_empty() && maps.iter().all(|map| map.closed) => {
            "order by the habit of the trade: one weld, then the one opposite, then halfway between, the next always far from the last"
        }
        OrderBy::TradeHabit => {
            "order by the habit of the trade: middle first, then the ends, then halfway between, the next always far from the last"
        }
        OrderBy::Computed => "order computed for least warp: by the numbers, 1 first",
        OrderBy::ComputedHabit => {
            "order by the habit of the trade, which the computation found as good as any: by the numbers, 1 first"
        }
    }
}

/// What a picture of tacks or welds says beside their places: the habit, or the numbers where an order was computed and accepted.
pub(super) fn order_on_picture(section: &SectionPlan, habit: impl Into<String>) -> String {
    match section.joint.order_by {
        OrderBy::Computed | OrderBy::ComputedHabit => "in the order of the numbers on the map".to_owned(),
        OrderBy::TradeHabit => habit.into(),
    }
}

/// The welds of one edge in their order, in one line: "1 plug at 280.0, 2 at 5.5 …".
pub fn order_line(map: &WeldMap, write: impl Fn(f64) -> String) -> String {
    let one = |event: &WeldEvent| match event.kind {
        WeldEventKind::Run => format!("{} from {} to {}", event.number, write(event.from_mm), write(event.to_mm)),
        _ => format!("{} at {}", event.number, write(event.from_mm)),
    };
    let kind = |wanted: bool| {
        let events = map.events.iter().filter(move |event| (event.kind == WeldEventKind::Run) == wanted);
        events.map(one).collect::<Vec<_>>().join(" · ")
    };
    let (singles, runs) = (kind(false), kind(true));
    let name = map.events.first().map_or("weld", |event| event.kind.name());
    let runs = if runs.is_empty() { runs } else { format!("; runs: {runs}") };
    if map.row.words().is_empty() {
        format!("{}, {name}s: {singles}{runs}", map.edge)
    } else {
        format!("{}{}: {singles}", map.edge, map.row.words())
    }
}

/// Draws the finished piece with every weld numbered; `None` for a piece without welds of its own.
///
/// Filled dots are seen from here, open ones lie behind.
pub fn weld_map_view(
    section: &SectionPlan,
    piece: &PiecePlan,
    hand: Option<Hand>,
    width_mm: f64,
    height_mm: f64,
) -> Option<Drawing> {
    let maps = maps_of(section, piece);
    if maps.is_empty() || piece.shape.points_mm.is_empty() {
        return None;
    }
    let view = view_of(piece, hand);
    let lines = finished_lines(piece, &view);
    let box_ = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()));
    let scale = picture_scale(box_.size().x, box_.size().y, width_mm - 40.0, height_mm - 36.0);
    let description = format!("{}: map of its welds in their order, isometric, {}", piece.name, piece.placing.hand);
    let mut draft = Draft::new(format!("weld map {}", piece.name), description, scale);
    for (layer, points) in lines.iter().filter(|(layer, _)| matches!(layer, Layer::Outline | Layer::Mark)) {
        draft.path(*layer, points);
    }
    let sight = Sight::of(&piece.shape, &view);
    let mut wanted = Vec::new();
    for (map, edge) in &maps {
        wanted.extend(of_edge(&mut draft, map, edge, &view, sight.as_ref()));
    }
    let every = numbers::put(&mut draft, wanted);
    symbol(&mut draft, section, &maps, &view);
    let low = box_.low;
    let place = draft.moved(low, 0.0, -9.0);
    draft.bold(place, TextHeight::Mm2_5, format!("{}, {}", piece.name, piece.placing.hand));
    let place = draft.moved(low, 0.0, -13.6);
    draft.words(place, TextHeight::Mm2_5, "filled: seen from here; open: on the far side");
    if every > 1 {
        let place = draft.moved(low, 0.0, -18.2);
        draft.words(place, TextHeight::Mm2_5, numbers::thinned_words(every));
    }
    Some(draft.drawing)
}

/// Draws the dots of an edge; returns the numbers that are wanted beside it, along the edge.
fn of_edge(
    draft: &mut Draft,
    map: &WeldMap,
    edge: &PieceEdge,
    view: &ViewAxes,
    sight: Option<&Sight<'_>>,
) -> Vec<WantedNumber> {
    let (mut runs, mut singles): (Vec<&WeldEvent>, Vec<&WeldEvent>) =
        map.events.iter().partition(|event| event.kind == WeldEventKind::Run);
    let along = |a: &&WeldEvent, b: &&WeldEvent| (a.from_mm + a.to_mm).total_cmp(&(b.from_mm + b.to_mm));
    singles.sort_by(along);
    runs.sort_by(along);
    let mut wanted = Vec::new();
    for (place_along, event) in singles.into_iter().enumerate() {
        let Some(point) = edge.at(event.from_mm) else { continue };
        let place = point.at_mm + point.into_sheet * map.into_mm;
        let at = view.flat(place);
        if sight.is_none_or(|sight| sight.sees(place + point.outward * 0.5)) {
            dot(draft, at, 0.7);
        } else {
            let radius_mm = draft.real(0.7);
            draft.drawing.add(Layer::Weld, Shape::Circle { centre: at, radius_mm });
        }
        let away = aside(&point, view, -1.0);
        // two rows, so that neighbours do not run into one another
        let rows = [2.4, 5.0].map(|far| at + away * draft.real(far));
        wanted.push(WantedNumber { number: event.number, place_along, rows });
    }
    for (place_along, event) in runs.into_iter().enumerate() {
        let Some(point) = edge.at(0.5 * (event.from_mm + event.to_mm)) else { continue };
        let away = aside(&point, view, 1.0);
        let rows = [2.6, 5.0].map(|far| view.flat(point.at_mm) + away * draft.real(far));
        wanted.push(WantedNumber { number: event.number, place_along, rows });
    }
    wanted
}

/// Across the edge on paper, out of the sheet (−1) or into it (1); up where the sheet is seen on edge.
fn aside(point: &EdgePoint, view: &ViewAxes, into: f64) -> DVec2 {
    let flat = view.flat(point.into_sheet * into);
    if flat.length() > 0.2 { flat.normalize_or_zero() } else { DVec2::Y }
}

/// The weld symbol at the first weld of the first edge.
fn symbol(draft: &mut Draft, section: &SectionPlan, maps: &[(&WeldMap, &PieceEdge)], view: &ViewAxes) {
    let Some((map, edge)) = maps.first() else { return };
    let Some(symbol) = WeldSymbol::of(&section.joint, map) else { return };
    let Some(place) = place_of(map, edge, 0.75 * map.length_mm) else { return };
    let tip = view.flat(place);
    let drawn = bounds_of(maps.iter().flat_map(|(_, edge)| &edge.points).map(|point| view.flat(point.at_mm)));
    let elbow = DVec2::new(tip.x + draft.real(8.0), drawn.high.y + draft.real(14.0));
    symbol.draw(draft, tip, elbow, false);
}

/// Papers at 1:1, one for each edge: laid on the outside along the joint, they carry every weld with its number.
pub fn weld_map_templates(section: &SectionPlan, piece: &PiecePlan, hand: Option<Hand>) -> Vec<Drawing> {
    let maps = maps_of(section, piece);
    maps.iter().filter_map(|(map, edge)| template(section, piece, map, edge, hand)).collect()
}

/// The edge and the way into its sheet, laid flat: from outside, the way it is seen.
struct Laid {
    edge: Vec<DVec2>,
    /// +1 when the sheet lies to the left of the edge on paper.
    side: f64,
    /// Direction of the vehicle's front on paper; none where the edge is drawn straight.
    front: Option<DVec2>,
    in_plane: bool,
}

impl Laid {
    fn of(edge: &PieceEdge) -> Option<Self> {
        in_plane(edge).or_else(|| {
            (edge.length_mm > 1.0).then(|| Self {
                edge: vec![DVec2::ZERO, DVec2::X * edge.length_mm],
                side: 1.0,
                front: None,
                in_plane: false,
            })
        })
    }

    /// Point at a share of the length, moved into the sheet.
    fn at(&self, share: f64, into_mm: f64) -> Option<DVec2> {
        let length = length_of(&self.edge);
        let along = (share.clamp(0.0, 1.0) * length).clamp(0.0, length);
        let at = super::draft::point_at(&self.edge, along)?;
        Some(at + self.across(along, length)? * into_mm)
    }

    fn across(&self, along: f64, length: f64) -> Option<DVec2> {
        let before = super::draft::point_at(&self.edge, (along - 1.0).max(0.0))?;
        let after = super::draft::point_at(&self.edge, (along + 1.0).min(length))?;
        Some((after - before).normalize_or_zero().perp() * self.side)
    }
}

/// The edge in the plane of its sheet, when it keeps to one.
fn in_plane(edge: &PieceEdge) -> Option<Laid> {
    if edge.closed || edge.points.len() < 2 {
        return None;
    }
    let normal = edge.points.iter().map(|point| point.outward).sum::<DVec3>().try_normalize()?;
    let (first, last) = (edge.points.first()?, edge.points.last()?);
    let chord = last.at_mm - first.at_mm;
    let right = (chord - normal * chord.dot(normal)).try_normalize()?;
    let up = normal.cross(right);
    let flat = |v: DVec3| DVec2::new(v.dot(right), v.dot(up));
    let off = |point: &EdgePoint| (point.at_mm - first.at_mm).dot(normal);
    let (low, high) =
        edge.points.iter().map(off).fold((0.0, 0.0), |(low, high): (f64, f64), own| (low.min(own), high.max(own)));
    if high - low > FLAT_WITHIN_MM {
        return None;
    }
    let chain: Vec<DVec2> = edge.points.iter().map(|point| flat(point.at_mm - first.at_mm)).collect();
    if (length_of(&chain) - edge.length_mm).abs() > 0.002 * edge.length_mm + 0.2 {
        return None;
    }
    let middle = edge.at(0.5 * edge.length_mm)?;
    let along = flat(edge.at(0.5 * edge.length_mm + 1.0)?.at_mm - middle.at_mm);
    let side = if along.perp().dot(flat(middle.into_sheet)) >= 0.0 { 1.0 } else { -1.0 };
    let front = flat(DVec3::X);
    Some(Laid { edge: chain, side, front: (front.length() > 0.5).then(|| front.normalize_or_zero()), in_plane: true })
}

fn template(
    section: &SectionPlan,
    piece: &PiecePlan,
    map: &WeldMap,
    edge: &PieceEdge,
    hand: Option<Hand>,
) -> Option<Drawing> {
    let laid = Laid::of(edge)?;
    let row = map.row.words();
    let name = format!("weld map {} {}{}", piece.name, map.edge, row.replace(',', ""));
    let (face, _) = laid_on(map);
    let description = format!("1:1 map of the welds of {}, {}{row}, {face}", piece.name, map.edge);
    let mut draft = Draft::new(name, description, Scale::FULL);
    // the paper starts at the edge of the sheet nearest the torch and covers the welds
    let over = on_own_edge(section, map);
    let (torch_mm, far_mm) =
        if over || map.lap_mm <= 0.0 { (0.0, map.into_mm + BODY_MM) } else { (map.lap_mm, -BODY_MM) };
    let shifted =
        |into_mm: f64| if into_mm.abs() < 1e-9 { laid.edge.clone() } else { beside(&laid.edge, laid.side * into_mm) };
    let (torch, far) = (shifted(torch_mm), shifted(far_mm));
    let ring: Vec<DVec2> = torch.iter().copied().chain(far.iter().rev().copied()).collect();
    draft.ring(Layer::Template, &ring);
    // the edge that is laid on has a second line, so that it is the heavier; the paper is cut along the closed outline
    let outward = if far_mm > torch_mm { 1.0 } else { -1.0 };
    draft.path(Layer::Mark, &shifted(torch_mm + outward * SECOND_LINE_MM));
    if map.lap_mm > 0.0 && !over {
        draft.path(Layer::Lap, &laid.edge);
    }
    name_torch_edge(&mut draft, &laid, map, torch_mm + outward * 1.8, torch_edge(map, over).0);
    let mut numbers = Numbers { taken: Vec::new(), beyond_mm: far_mm + outward * BEYOND_MM, outward };
    for event in &map.events {
        weld_on_template(&mut draft, &laid, map, event, &mut numbers);
    }
    let rows = numbers.taken.iter().flat_map(|box_| [box_.low, box_.high]);
    let low = bounds_of(ring.iter().copied().chain(rows)).low;
    words(&mut draft, section, piece, map, &laid, hand, low);
    Some(draft.drawing)
}

/// The piece's own edge is what the welder sees: where sheet lies over a tube, and from behind a doubler.
fn on_own_edge(section: &SectionPlan, map: &WeldMap) -> bool {
    let over_tube = section.joint.form.is_some_and(|form| form == handbook::joints::JointForm::SheetToTube);
    over_tube || map.row == job::plan::WeldRow::EdgeBehind
}

/// The face of the piece that the paper is laid on, and which face of the paper is up then. Tacks from behind are marked there, through the paper turned
/// over, so that stations keep their end.
fn laid_on(map: &WeldMap) -> (&'static str, &'static str) {
    if map.row == job::plan::WeldRow::EdgeBehind {
        ("laid on the back, turned over", "laid on the back, this face down: prick the places through")
    } else {
        ("laid on the outside", "laid on the outside, this face up")
    }
}

/// The edge of the paper that is laid on an edge of sheet: in a word, and in a sentence.
fn torch_edge(map: &WeldMap, over: bool) -> (&'static str, &'static str) {
    if over {
        ("EDGE OF THE PIECE", "the named edge on the edge of the new piece")
    } else if map.lap_mm > 0.0 {
        (
            "OLD EDGE",
            "the named edge on the new edge of the old panel; the broken line is where the piece ends behind it",
        )
    } else {
        ("JOINT", "the named edge on the joint")
    }
}

/// Writes along the edge that is laid on, midway between the first, the middle and the last two dots, which way the paper lies.
fn name_torch_edge(draft: &mut Draft, laid: &Laid, map: &WeldMap, into_mm: f64, name: &str) {
    let dots = map.events.iter().filter(|event| event.kind != WeldEventKind::Run);
    let mut at_mm: Vec<f64> = dots.map(|event| event.from_mm).collect();
    at_mm.sort_by(f64::total_cmp);
    let between: Vec<f64> = at_mm.windows(2).map(|pair| 0.5 * (pair[0] + pair[1])).collect();
    let mut places: Vec<usize> = vec![0, between.len() / 2, between.len().saturating_sub(1)];
    places.dedup();
    for along_mm in places.into_iter().filter_map(|place| between.get(place).copied()) {
        let at = |along_mm: f64| laid.at(along_mm / map.length_mm, into_mm);
        let (Some(middle), Some(ahead)) = (at(along_mm), at(along_mm + 1.0)) else { continue };
        let way = ahead - middle;
        let way = if way.x < 0.0 { -way } else { way };
        let text = Text::new(middle, TextHeight::Mm1_8, name).anchored(Horizontal::Middle, Vertical::Middle);
        draft.drawing.add(Layer::Note, Text { angle_rad: way.to_angle(), ..text });
    }
}

/// Second line beside the edge that is laid on, mm.
const SECOND_LINE_MM: f64 = 0.5;
/// First row of numbers beyond the paper, and from row to row, mm.
const BEYOND_MM: f64 = 4.0;
const ROW_MM: f64 = 5.0;
/// Rows that are tried.
const MOST_ROWS: usize = 12;
/// White round a number, mm.
const WHITE_MM: f64 = 0.6;

/// Numbers on a map at full size, none on another: where welds stand close, in rows beyond the paper, on a leader.
struct Numbers {
    taken: Vec<Bounds>,
    /// The first such row, into the sheet from the edge.
    beyond_mm: f64,
    /// Which way the rows follow one another.
    outward: f64,
}

impl Numbers {
    /// Writes a number in its own place, or where there is room.
    fn put(&mut self, draft: &mut Draft, number: usize, own: Option<DVec2>, row: impl Fn(f64) -> Option<DVec2>) {
        let words = number.to_string();
        let height = TextHeight::Mm3_5.mm();
        let half = DVec2::new(0.5 * font::text_width_mm(&words, Weight::Regular, height), 0.5 * height) + WHITE_MM;
        let around = |at: DVec2| Bounds { low: at - half, high: at + half };
        let rows = (0..MOST_ROWS).filter_map(|i| row(self.beyond_mm + self.outward * ROW_MM * i as f64));
        let Some(own) = own else { return };
        let free = std::iter::once(own).chain(rows).find(|at| !self.taken.iter().any(|box_| box_.meets(around(*at))));
        // beyond the last row it still stands by its weld
        let at = free.unwrap_or(own);
        if at != own {
            let way = (own - at).normalize_or_zero();
            draft.line(Layer::Note, own, at + way * half.length());
        }
        self.taken.push(around(at));
        draft.centred(at, TextHeight::Mm3_5, words);
    }
}

fn weld_on_template(draft: &mut Draft, laid: &Laid, map: &WeldMap, event: &WeldEvent, numbers: &mut Numbers) {
    let at = |along: f64, into: f64| laid.at(along / map.length_mm, into);
    let outward = numbers.outward;
    let mut label = |draft: &mut Draft, along: f64, into: f64| {
        numbers.put(draft, event.number, at(along, into), |row_mm| at(along, row_mm));
    };
    match event.kind {
        WeldEventKind::Plug | WeldEventKind::Spot => {
            let Some(centre) = at(event.from_mm, map.into_mm) else { return };
            let radius_mm = 0.5 * map.hole_mm.unwrap_or(5.0);
            let layer = if event.kind == WeldEventKind::Plug { Layer::Hole } else { Layer::Weld };
            draft.drawing.add(layer, Shape::Circle { centre, radius_mm });
            for way in [DVec2::X, DVec2::Y] {
                draft.line(Layer::Centre, centre - way * (radius_mm + 1.5), centre + way * (radius_mm + 1.5));
            }
            label(draft, event.from_mm, map.into_mm + outward * (radius_mm + 8.0));
        }
        WeldEventKind::Tack => {
            if let (Some(from), Some(to)) =
                (at(event.from_mm, map.into_mm), at(event.from_mm, map.into_mm + outward * 4.0))
            {
                draft.line(Layer::Weld, from, to);
            }
            label(draft, event.from_mm, map.into_mm + outward * 7.5);
        }
        WeldEventKind::Run => {
            let inset = 0.15 * (event.to_mm - event.from_mm);
            let depth = outward * 12.5;
            if let (Some(from), Some(to)) = (at(event.from_mm + inset, depth), at(event.to_mm - inset, depth)) {
                draft.arrow(Layer::Weld, from, to);
            }
            label(draft, 0.5 * (event.from_mm + event.to_mm), outward * 16.5);
        }
    }
}

fn words(
    draft: &mut Draft,
    section: &SectionPlan,
    piece: &PiecePlan,
    map: &WeldMap,
    laid: &Laid,
    hand: Option<Hand>,
    low: DVec2,
) {
    let over = on_own_edge(section, map);
    let torch = torch_edge(map, over).1;
    let bent = if laid.in_plane { "" } else { "drawn straight: it bends with the edge, its length is right" };
    let mut lines = vec![
        format!("{}, {}{}: welds in their order", piece.name, map.edge, map.row.words()),
        piece.placing.hand.clone(),
        format!("{}; {torch}", laid_on(map).1),
        order_words(section.joint.order_by, std::slice::from_ref(map)).to_owned(),
    ];
    if let Some(symbol) = WeldSymbol::of(&section.joint, map) {
        lines.push(symbol.words());
    }
    lines.extend((!bent.is_empty()).then(|| bent.to_owned()));
    for (index, line) in lines.into_iter().enumerate() {
        let place = low + DVec2::new(0.0, -TITLE_MM - 4.6 * index as f64);
        if index == 0 {
            draft.bold(place, TextHeight::Mm2_5, line);
        } else {
            draft.words(place, TextHeight::Mm2_5, line);
        }
    }
    if let (Some(front), Some(_)) = (laid.front, hand) {
        let from = low + DVec2::new(150.0, -TITLE_MM - 4.0);
        draft.arrow(Layer::Note, from - front * 8.0, from + front * 8.0);
        draft.centred(from + front * 14.0, TextHeight::Mm2_5, "front");
    }
    if let (Some(start), Some(end)) = (laid.at(0.0, 0.0), laid.at(1.0, 0.0)) {
        // beyond the two ends, clear of the title below
        let way = (end - start).normalize_or(DVec2::X) * END_MM;
        draft.centred(start - way, TextHeight::Mm2_5, "0 mm");
        draft.centred(end + way, TextHeight::Mm2_5, format!("{} mm", trimmed(map.length_mm, 1)));
    }
}
