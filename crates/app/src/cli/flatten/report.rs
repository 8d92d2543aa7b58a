//! What `soundmetal flatten` says of a flat.

use super::{Asked, Done, Sheet, given_face, rim};
use crate::cli::figures::Manner;
use crate::failure::Failure;
use blank::flatten::FlatSkin;
use blank::flatten::shop_terms::{self, EdgeForming};
use blank::skin::seams::{SeamAt, SeamProposal, SkinFigures};
use blank::skin::{LimitAt, RaiseBand, wheel};
use glam::DVec3;
use handbook::Concern;
use mesh::Skin;
use serde::Serialize;
use std::fmt::Write as _;

/// What `--json` prints: mm, mm², J; strains are natural logarithms, flat → finished, positive where metal is stretched.
#[derive(Debug, Serialize)]
pub struct Report {
    mesh: String,
    triangles: usize,
    sheet: String,
    thickness_mm: f64,
    route: String,
    face: String,
    /// How the face is known.
    face_known: &'static str,
    energy: String,
    ended: String,
    steps: usize,
    energy_mean: f64,
    work_j: Option<f64>,
    finished_area_mm2: f64,
    flat_area_mm2: f64,
    flat_size_mm: [f64; 2],
    /// What every strain here is.
    strain_measure: &'static str,
    largest_stretch: f64,
    largest_gather: f64,
    largest_effective_strain: f64,
    thickness_after_mm: Option<[f64; 2]>,
    triangles_beyond_any_sheet: usize,
    /// The place that comes nearest to what the sheet can take.
    nearest_limit: Option<LimitAt>,
    edges: Vec<EdgeForming>,
    bands: Vec<BandLine>,
    seams: Vec<SeamLine>,
    /// Mean direction in which the triangles look: the outside of the sheet.
    outside: [f64; 3],
    /// Whether the sheet is crowned towards that side on the whole.
    crowned_outward: bool,
    #[serde(skip)]
    seams_asked: bool,
    #[serde(skip)]
    manner: Manner,
    concerns: Vec<Concern>,
}

/// A band, without its outlines.
#[derive(Debug, Serialize)]
struct BandLine {
    label: String,
    raise: [f64; 2],
    mean_raise: f64,
    flat_area_mm2: f64,
    wheel_passes: Option<f64>,
}

impl From<&RaiseBand> for BandLine {
    fn from(band: &RaiseBand) -> Self {
        Self {
            label: band.label.clone(),
            raise: band.raise,
            mean_raise: band.mean_raise,
            flat_area_mm2: band.flat_area_mm2,
            wheel_passes: band.passes.as_ref().map(|passes| passes.value),
        }
    }
}

/// A seam with what it saves; its line on the face that was given, mm.
#[derive(Debug, Serialize)]
struct SeamLine {
    words: String,
    /// The same in the unit of the table.
    #[serde(skip)]
    said: String,
    ends: [SeamAt; 2],
    length_mm: f64,
    line_mm: Vec<glam::DVec3>,
    before: SkinFigures,
    after: SkinFigures,
}

impl SeamLine {
    fn new(seam: &SeamProposal, manner: Manner) -> Self {
        Self {
            words: seam.words(),
            said: seam.words_in(manner.length_unit(), manner.length_unit_mm()),
            ends: seam.ends.clone(),
            length_mm: seam.length_mm,
            line_mm: seam.seam_mm.clone(),
            before: seam.before,
            after: seam.after,
        }
    }
}

/// Smallest and largest of some values.
fn range(values: impl Iterator<Item = f64>) -> [f64; 2] {
    values.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], value| [low.min(value), high.max(value)])
}

fn word(value: impl clap::ValueEnum) -> String {
    value.to_possible_value().map_or_else(String::new, |value| value.get_name().to_owned())
}

impl Report {
    /// Gathers the figures.
    pub fn new(asked: &Asked<'_>, sheet: &Sheet, skin: &Skin, done: &Done) -> Result<Self, Failure> {
        let Asked { options: asked, face } = asked;
        let flat = &done.flat;
        let metal = done.forming.is_some();
        let [x, y] = [0, 1].map(|axis| range(flat.points_mm.iter().map(|point| point[axis])));
        Ok(Self {
            mesh: asked.mesh.display().to_string(),
            triangles: flat.triangles.len(),
            sheet: sheet.name.clone(),
            thickness_mm: sheet.thickness_mm,
            route: word(asked.route),
            face: given_face::word(face.face).to_owned(),
            face_known: face.known,
            energy: word(asked.energy),
            ended: format!("{:?}", flat.ending).to_lowercase(),
            steps: flat.iterations.symmetric_dirichlet + flat.iterations.least_work,
            energy_mean: flat.energy,
            work_j: flat.work_j,
            finished_area_mm2: flat.panel_area_mm2,
            flat_area_mm2: flat.flat_area_mm2,
            flat_size_mm: [x[1] - x[0], y[1] - y[0]],
            strain_measure: "true (natural logarithm), flat to finished, positive where stretched",
            largest_stretch: range(flat.strains.iter().map(|s| s.major))[1],
            largest_gather: -range(flat.strains.iter().map(|s| s.minor))[0],
            largest_effective_strain: range(flat.strains.iter().map(|s| s.effective))[1],
            thickness_after_mm: metal.then(|| range(flat.strains.iter().map(|s| s.thickness_mm))),
            triangles_beyond_any_sheet: flat.beyond_any_sheet.len(),
            nearest_limit: done.forming.as_ref().map(|forming| forming.nearest_limit),
            edges: edges(skin, flat)?,
            bands: done.forming.iter().flat_map(|forming| &forming.bands).map(BandLine::from).collect(),
            seams: done.seams.iter().map(|seam| SeamLine::new(seam, asked.manner)).collect(),
            outside: outside(skin).to_array(),
            crowned_outward: crowned(skin, flat),
            seams_asked: asked.seams,
            manner: asked.manner,
            concerns: done.concerns.clone(),
        })
    }

    /// A short table for people.
    pub fn text(&self) -> String {
        let mut text = String::new();
        let mut line = |name: &str, words: String| {
            let _ = writeln!(text, "{name:<28} {words}");
        };
        let percent = |strain: f64| format!("{:.2} %", 100.0 * strain.exp_m1());
        line("mesh", format!("{}, {} triangles{}", self.mesh, self.triangles, self.face_words()));
        let [x, y, z] = self.outside;
        let way = if self.crowned_outward {
            "crowned towards it"
        } else {
            "hollow towards it: if it is not, turn the faces of the mesh"
        };
        line("outside", format!("the side that the triangles look to, ({x:.2}, {y:.2}, {z:.2}) on the whole; {way}"));
        let manner = self.manner;
        line("sheet", format!("{}, {}", manner.length(self.thickness_mm, 2), self.sheet));
        let [wide, high] = self.flat_size_mm;
        let (wide, high) = (manner.number(wide, 1), manner.length(high, 1));
        line("flat", format!("{wide} × {high}, {}", manner.area(self.flat_area_mm2)));
        line("finished", manner.area(self.finished_area_mm2));
        if self.work_j.is_some() {
            line("places in the flat", "x to the right and y up from the lower left corner of its box".to_owned());
        }
        line("most stretched", percent(self.largest_stretch));
        line("most gathered", format!("{:.2} %", 100.0 * (-(-self.largest_gather).exp_m1())));
        if let Some([thin, thick]) = self.thickness_after_mm {
            line("thickness after forming", format!("{} to {}", manner.number(thin, 3), manner.length(thick, 3)));
        }
        if let Some(work_j) = self.work_j {
            line("plastic work", format!("{work_j:.1} J by route {}", self.route));
        } else {
            line("energy less 4", format!("{:.4e}", self.energy_mean));
        }
        if let Some(limit) = &self.nearest_limit {
            line("nearest to its limit", limit_words(limit, manner));
        }
        for edge in &self.edges {
            line(&edge.name, edge_words(edge, manner));
        }
        for band in &self.bands {
            let passes =
                band.wheel_passes.map_or_else(String::new, |passes| format!(", about {}", wheel::counted(passes)));
            line("band", format!("{} over {}{passes}", band.label, manner.area(band.flat_area_mm2)));
        }
        for (index, seam) in self.seams.iter().enumerate() {
            line(&format!("seam {}", index + 1), seam.said.clone());
        }
        if self.seams_asked && self.seams.is_empty() {
            line("seam", "none proposed: no line through the most strained place keeps clear of corners and holes, can be welded, and saves enough".to_owned());
        }
        for concern in &self.concerns {
            line(
                &format!("{:?}", concern.grade).to_lowercase(),
                format!("{}: {}; {}", concern.place, concern.what, concern.what_to_do),
            );
        }
        text
    }
}

impl Report {
    fn face_words(&self) -> String {
        match self.work_j {
            Some(_) => format!(", {} face of the sheet ({})", self.face, self.face_known),
            None => String::new(),
        }
    }
}

/// "gather 3.20 mm per 100 mm; 435.7 mm in the flat", with the worst 100 mm where they differ.
fn edge_words(edge: &EdgeForming, manner: Manner) -> String {
    let verb = if edge.gather_mm_per_100_mm < 0.0 { "let out" } else { "gather" };
    let figure = edge.gather_mm_per_100_mm.abs();
    let [worst, from] = edge.worst_gather;
    let worst = if worst - edge.gather_mm_per_100_mm > 0.25 && edge.flat_length_mm > 100.0 {
        format!(", most from {} along it: {}", manner.length(from, 0), manner.per_hundred(worst))
    } else {
        String::new()
    };
    format!(
        "{verb} {}{worst}; {} in the flat, {} finished",
        manner.per_hundred(figure),
        manner.length(edge.flat_length_mm, 1),
        manner.length(edge.finished_length_mm, 1)
    )
}

/// "stretched 2.2 % where 36.0 % is the most, at (221, 2) of the flat", in per cent of length like the other lines.
fn limit_words(limit: &LimitAt, manner: Manner) -> String {
    let per_cent = |strain: f64| 100.0 * strain.exp_m1();
    let (major, most) = (per_cent(limit.major), per_cent(limit.limit));
    let own = if major < 0.0 { format!("gathered {:.1} %", -major) } else { format!("stretched {major:.1} %") };
    let left = if limit.margin < 0.0 { "beyond it" } else { "within it" };
    format!(
        "{own} where {most:.1} % of stretch is the most that the sheet takes: {left}, at ({}, {}) of the flat",
        manner.number(limit.at_mm.x, 0),
        manner.number(limit.at_mm.y, 0)
    )
}

/// Mean direction of the triangles, each by its area.
fn outside(skin: &Skin) -> DVec3 {
    (0..skin.triangles.len()).map(|triangle| skin.double_area_normal(triangle)).sum::<DVec3>().normalize_or_zero()
}

/// Whether the middle of the sheet stands further out than its rim.
fn crowned(skin: &Skin, flat: &FlatSkin) -> bool {
    let out = outside(skin);
    let mean = |points: &mut dyn Iterator<Item = &DVec3>| {
        let (sum, count) = points.fold((0.0, 0.0), |(sum, count), at| (sum + at.dot(out), count + 1.0));
        sum / f64::max(count, 1.0)
    };
    let rim = flat.boundaries.iter().take(1).flatten().filter_map(|i| skin.points_mm.get(*i as usize));
    mean(&mut skin.points_mm.iter()) >= mean(&mut rim.into_iter())
}

fn edges(skin: &Skin, flat: &FlatSkin) -> Result<Vec<EdgeForming>, Failure> {
    let chains = flat.boundaries.iter().enumerate().flat_map(|(index, boundary)| match index {
        0 => rim::edges(skin, &flat.points_mm, boundary),
        _ => vec![(format!("hole {index}"), boundary.iter().chain(boundary.first()).copied().collect())],
    });
    chains
        .map(|(name, chain)| {
            let closed = chain.first() == chain.last();
            shop_terms::edge_forming(skin, flat, &name, &chain, closed)
                .map_err(|error| Failure::bad_input(error.to_string()))
        })
        .collect()
}

/// The flat mesh as OBJ text: points and triangles in the order of the input, z = 0, mm.
pub fn flat_obj(flat: &FlatSkin) -> String {
    let mut text = String::from("# flat blank, mm, outside face up\n");
    for point in &flat.points_mm {
        let _ = writeln!(text, "v {:.9} {:.9} 0", point.x, point.y);
    }
    for [a, b, c] in &flat.triangles {
        let _ = writeln!(text, "f {} {} {}", a + 1, b + 1, c + 1);
    }
    text
}
