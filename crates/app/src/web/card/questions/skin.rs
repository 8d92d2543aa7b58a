//! What a double-curved skin is made from, as it can be typed: profiles, outline, edges, metal, templates, buck.

use crate::field::make_up;
use crate::field::skin::{points_written, profiles_written};
use crate::web::card::fields::Field;
use crate::words::metals;
use job::file::{Face, Route, Skin, Towards};
use units::Dimension;

/// The fields of a skin.
pub fn fields(prefix: &str, skin: &Skin) -> Vec<Field> {
    let path = format!("{prefix}.piece.{}", skin.name);
    let name = &skin.name;
    let at = |field: &str| format!("{path}.{field}");
    let written = |own: &Option<Dimension>| own.as_ref().map(Dimension::written).unwrap_or_default();
    let places: Vec<String> = skin.templates_at.iter().map(Dimension::written).collect();
    let mut out = vec![
        Field::choice(at("material"), format!("Metal of {name}"), skin.material.clone(), metals()),
        Field::choice(at("route"), format!("How {name} is to be formed"), route(skin.route), ROUTES),
        Field::long(at("profile"), format!("Profiles of {name}, one a line"), profiles_written(skin)).hint(
            "station, a colon, then across and height of each point, points parted by commas: 60: 0 39, 40 46. A line more is a profile more",
        ),
        Field::text(at("reach"), format!("± of a reading of {name}"), skin.reach.written())
            .hint("how true the gauge was read: 0.5 mm"),
        Field::choice(at("face"), "Face that the gauge touched", face(skin.face), FACES),
        Field::text(at("outline"), format!("Corners of {name}, round the piece"), points_written(&skin.outline))
            .hint("along and across of each corner: 0 0, 420 0, 420 240; empty takes all that every profile covers")
            .wide(),
        Field::choice(at("x_runs"), "Stations count", skin.x_runs.word(), TOWARDS),
        Field::choice(at("y_runs"), "Across counts", skin.y_runs.word(), TOWARDS),
        Field::choice(
            at("heights_run"),
            "Heights count, away from the vehicle",
            skin.heights_run.map_or("", Towards::word),
            std::iter::once(("", "as the two before say")).chain(TOWARDS),
        ),
    ];
    out.extend((0..corners(skin)).flat_map(|number| of_edge(&path, skin, number)));
    out.push(
        Field::text(at("templates_at"), format!("Templates of {name} at"), places.join(", "))
            .hint("stations parted by commas: 60, 210, 360; empty takes the middle and both ends"),
    );
    out.push(
        Field::text(at("buck_board"), format!("Board of the buck of {name}"), written(&skin.buck_board))
            .hint("measured: 12 mm; empty makes no buck"),
    );
    out
}

/// Corners of the outline as far as they are known, and of every edge that is named: without an outline it has four.
fn corners(skin: &Skin) -> usize {
    let outline = if skin.outline.is_empty() { 4 } else { skin.outline.len() };
    skin.edges.iter().map(|edge| edge.edge.saturating_add(1)).fold(outline, usize::max).min(MOST_EDGES)
}

/// More edges than that are typed in the job file.
const MOST_EDGES: usize = 40;

/// An edge from one corner to the next; of one without a name the name alone, by which it is added.
fn of_edge(path: &str, skin: &Skin, number: usize) -> Vec<Field> {
    let at = |field: &str| format!("{path}.edge.{number}.{field}");
    let which = format!("Edge from corner {} to the next", number + 1);
    let Some(edge) = skin.edges.iter().find(|own| own.edge == number) else {
        let hint = "raw, nothing is done to it; give it a name to say what is";
        return vec![Field::text(at("name"), which, "").hint(hint)];
    };
    let mut out = vec![
        Field::text(at("name"), which, &edge.name).hint("its name on every paper; empty makes it a raw edge"),
        Field::tick(at("joins"), format!("{}: goes in with the joint", edge.name), edge.joins),
    ];
    // what goes in with the joint has the joint's lap
    if !edge.joins || !edge.make_ups.is_empty() {
        let label = format!("{}: how it is made up", edge.name);
        out.push(Field::text(at("make_ups"), label, make_up::written(&edge.make_ups)).hint(make_up::HINT).wide());
    }
    out.push(Field::tick(at("held"), format!("{}: keeps its length", edge.name), edge.held));
    out
}

const ROUTES: [(&str, &str); 3] = [
    ("least_work", "least work: whatever takes least"),
    ("wheel_out", "wheel-out: mostly stretched"),
    ("gather_in", "gather-in: mostly gathered at the edge"),
];

fn route(route: Route) -> &'static str {
    match route {
        Route::LeastWork => "least_work",
        Route::WheelOut => "wheel_out",
        Route::GatherIn => "gather_in",
    }
}

const FACES: [(&str, &str); 3] = [("outside", "outside"), ("inside", "inside"), ("middle", "middle of the sheet")];

fn face(face: Face) -> &'static str {
    match face {
        Face::Outside => "outside",
        Face::Inside => "inside",
        Face::Middle => "middle",
    }
}

const TOWARDS: [(&str, &str); 6] = [
    ("front", "to the front"),
    ("rear", "to the rear"),
    ("left", "to the driver's left"),
    ("right", "to the driver's right"),
    ("up", "up"),
    ("down", "down"),
];
