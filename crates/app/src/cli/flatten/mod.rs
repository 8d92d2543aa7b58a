//! `soundmetal flatten`: the flat blank of a double-curved skin from a mesh file.

mod given_face;
mod report;
mod rim;

use super::face::WhichFace;
use super::figures::{Manner, json_text};
use super::long_answer::{self, LongAnswer};
use super::mesh_file::{self, PointsUnit};
use super::stop::Stop;
use super::whole_files::WholeFile;
use super::{job_file, progress};
use crate::failure::Failure;
use blank::DevelopSettings;
use blank::flatten::{self, FlatSkin, FlattenError, FlattenSettings, Flow, Route};
use blank::skin::seams::{SeamProposal, propose};
use blank::skin::{self, SkinEdge, SkinError, SkinForming, SkinPiece};
use clap::{Args, ValueEnum};
use given_face::GivenFace;
use handbook::materials::Material;
use handbook::{Concern, Grade};
use mesh::Skin;
use mesh::import::MeshFormat;
use numerics::newton::Ending;
use numerics::{Cancel, Progress, leave};
use report::Report;
use section::Face;
use shop::ShopSettings;
use std::path::{Path, PathBuf};

/// The flat blank of a double-curved skin.
#[derive(Debug, Clone, Args)]
pub struct Flatten {
    /// Mesh of the finished skin (.ply, .stl or .obj), triangles anticlockwise seen from the outside
    mesh: PathBuf,
    /// Sheet thickness before forming ("0.9 mm", ".036\"", "20 swg")
    #[arg(long, value_name = "T")]
    thickness: String,
    /// Material key of the handbook ("dc04") [default: that of the shop's sheet nearest in thickness]
    #[arg(long, value_name = "M", conflicts_with = "flow")]
    material: Option<String>,
    /// Flow of the sheet instead: K in N/mm² and n of σ = K·εⁿ
    #[arg(long, value_name = "K,n", value_delimiter = ',', num_args = 1..)]
    flow: Vec<f64>,
    /// How it is to be formed
    #[arg(long, value_enum, value_name = "R", default_value_t)]
    route: WhichRoute,
    /// How much dearer the other way of forming is on the route [default: the shop's setting, 10]
    #[arg(long, value_name = "c")]
    weight: Option<f64>,
    /// Which face of the sheet the mesh is; of the outside the blank is worked out half a thickness further in [default: what the
    /// file says of itself, otherwise the middle]
    #[arg(long, value_enum)]
    face: Option<WhichFace>,
    /// What is made least
    #[arg(long, value_enum, default_value_t)]
    energy: WhichEnergy,
    /// Unit of the mesh's numbers
    #[arg(long, value_enum, value_name = "UNIT")]
    mesh_unit: Option<PointsUnit>,
    /// The shop's settings (TOML) [default: the invented demo shop]
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// Writes the flat mesh, points and triangles in the order of the input
    #[arg(long, value_name = "OBJ")]
    out_mesh: Option<PathBuf>,
    /// Writes the flat with its bands as DXF
    #[arg(long, value_name = "DXF")]
    dxf: Option<PathBuf>,
    /// Writes the flat with its bands as SVG at 1:1
    #[arg(long, value_name = "SVG")]
    svg: Option<PathBuf>,
    /// Proposes up to three seams and says what each saves
    #[arg(long)]
    seams: bool,
    #[command(flatten)]
    manner: Manner,
}

#[derive(Debug, Clone, Copy, PartialEq, Default, ValueEnum)]
enum WhichRoute {
    /// Whatever takes least plastic work
    #[default]
    LeastWork,
    /// Mostly stretched
    WheelOut,
    /// Mostly gathered
    GatherIn,
}

#[derive(Debug, Clone, Copy, PartialEq, Default, ValueEnum)]
enum WhichEnergy {
    /// Plastic work
    #[default]
    LeastWork,
    /// Symmetric Dirichlet energy, for comparison: no thickness, no metal, no face
    SymmetricDirichlet,
}

/// The sheet that is formed.
struct Sheet {
    /// Material key; empty where only the flow was given.
    key: String,
    name: String,
    flow: Flow,
    thickness_mm: f64,
}

/// What a mesh comes to.
struct Done {
    flat: FlatSkin,
    forming: Option<SkinForming>,
    concerns: Vec<Concern>,
    seams: Vec<SeamProposal>,
}

/// What is asked, with the face that the mesh is of.
struct Asked<'a> {
    options: &'a Flatten,
    face: GivenFace,
}

/// Runs the command.
pub fn run(asked: &Flatten) -> Result<(), Failure> {
    let own = asked.clone();
    long_answer::run("do not make this", move |cancel| answer(&own, cancel))
}

fn answer(asked: &Flatten, cancel: &Cancel) -> Result<LongAnswer, Failure> {
    if let Some(path) = asked.out_mesh.as_ref().filter(|path| !is_obj(path)) {
        let message = format!("--out-mesh is {}; a name that ends in .obj is accepted", path.display());
        return Err(Failure::bad_input(message));
    }
    let shop = shop(asked.shop.as_deref())?;
    let sheet = sheet(asked, &shop)?;
    let notes = mesh_file::notes(&asked.mesh);
    mesh_file::refuse_marked(&notes, &asked.mesh)?;
    let face = GivenFace::of(asked.face, &notes);
    let skin = skin(asked)?;
    let shown = leave::until_cancelled(&progress::shown("flatten"), cancel);
    let done = match asked.energy {
        WhichEnergy::LeastWork => {
            by_least_work(&Asked { options: asked, face: face.clone() }, (&shop, &sheet), skin.clone(), &shown, cancel)?
        }
        WhichEnergy::SymmetricDirichlet => plain(asked, &skin, &shown, cancel)?,
    };
    let mut done = done;
    done.concerns.extend(mesh_concerns(&skin));
    if done.forming.is_some() {
        done.concerns.extend(face.concern());
    }
    let (metal, own) = (done.forming.is_some(), Face::from(face.face));
    let middle = if metal { mesh_file::at_middle(&skin, own, sheet.thickness_mm) } else { skin };
    let report = Report::new(&Asked { options: asked, face }, &sheet, &middle, &done)?;
    let words = if asked.manner.json { json_text(&report)? } else { report.text() };
    let files = files(asked, &sheet, &done)?;
    Ok(LongAnswer { files, words, stop: done.concerns.into_iter().find(|concern| concern.grade == Grade::Stop) })
}

fn is_obj(path: &Path) -> bool {
    MeshFormat::of_name(&path.to_string_lossy()) == Some(MeshFormat::Obj)
}

fn by_least_work(
    Asked { options: asked, face }: &Asked<'_>,
    (shop, sheet): (&ShopSettings, &Sheet),
    skin: Skin,
    shown: &Progress,
    cancel: &Cancel,
) -> Result<Done, Failure> {
    let refused = |error: SkinError| match error {
        SkinError::Cancelled | SkinError::Flatten(FlattenError::Cancelled) => Stop::stopped(),
        error => Failure::bad_input(error.to_string()).in_place(asked.mesh.display()),
    };
    let start = skin.topology().ok().and_then(|topology| topology.boundaries.first()?.first().copied());
    let from_mm = start.and_then(|point| skin.points_mm.get(point as usize)).copied().unwrap_or_default();
    let edge = SkinEdge { name: "outer edge".into(), from_mm, make_ups: Vec::new(), held: false };
    let piece = SkinPiece {
        name: "skin".into(),
        skin,
        face: face.face.into(),
        thickness_mm: sheet.thickness_mm,
        material: sheet.key.clone(),
        flow: Some(sheet.flow),
        route: route(asked, shop)?,
        edges: vec![edge],
        hole_names: Vec::new(),
        holes: Vec::new(),
        reach_mm: 0.0,
    };
    let (develop, settings) = (DevelopSettings::default(), &shop.skins);
    let share = if asked.seams { 0.2 } else { 1.0 };
    let developed = skin::develop(&piece, &develop, settings, &shown.part(0.0, share), cancel).map_err(refused)?;
    let seams = if asked.seams {
        propose(&piece, &developed, &develop, settings, &shown.part(share, 1.0), cancel).map_err(refused)?
    } else {
        Vec::new()
    };
    let concerns = developed.blank.concerns;
    Ok(Done { flat: developed.flat, forming: Some(developed.forming), concerns, seams })
}

/// The symmetric Dirichlet energy, for comparison.
fn plain(asked: &Flatten, skin: &Skin, shown: &Progress, cancel: &Cancel) -> Result<Done, Failure> {
    if asked.route != WhichRoute::LeastWork || asked.seams {
        return Err(Failure::bad_input("the symmetric Dirichlet energy knows no route and no seams")
            .hint("leave --route and --seams out, or take --energy least-work"));
    }
    let settings = FlattenSettings::symmetric_dirichlet();
    match flatten::flatten(skin, &settings, shown, cancel) {
        Ok(flat) if flat.ending == Ending::Cancelled => Err(Stop::stopped()),
        Ok(flat) => Ok(Done { flat, forming: None, concerns: Vec::new(), seams: Vec::new() }),
        Err(FlattenError::Cancelled) => Err(Stop::stopped()),
        Err(error) => Err(Failure::bad_input(error.to_string()).in_place(asked.mesh.display())),
    }
}

fn route(asked: &Flatten, shop: &ShopSettings) -> Result<Route, Failure> {
    let weight = asked.weight.unwrap_or(shop.skins.route_weight);
    match asked.route {
        WhichRoute::LeastWork if asked.weight.is_some() => {
            Err(Failure::bad_input("--weight belongs to the routes wheel-out and gather-in")
                .hint("give one of them, or leave the weight out"))
        }
        WhichRoute::LeastWork => Ok(Route::LeastWork),
        WhichRoute::WheelOut => Ok(Route::WheelOut { weight }),
        WhichRoute::GatherIn => Ok(Route::GatherIn { weight }),
    }
}

fn sheet(asked: &Flatten, shop: &ShopSettings) -> Result<Sheet, Failure> {
    let thickness_mm = asked.manner.thickness_mm("--thickness", &asked.thickness)?;
    match asked.flow.as_slice() {
        [] => of_material(asked, shop, thickness_mm),
        [strength_n_mm2, hardening_exponent] => Ok(Sheet {
            name: format!("K {strength_n_mm2} N/mm², n {hardening_exponent}"),
            flow: Flow { strength_n_mm2: *strength_n_mm2, hardening_exponent: *hardening_exponent },
            key: String::new(),
            thickness_mm,
        }),
        other => {
            let message =
                format!("--flow has {} numbers; K in N/mm² and n are accepted, as in --flow 550,0.21", other.len());
            Err(Failure::bad_input(message))
        }
    }
}

fn of_material(asked: &Flatten, shop: &ShopSettings, thickness_mm: f64) -> Result<Sheet, Failure> {
    let stock = shop.sheets.iter().min_by(|a, b| {
        let off = |thickness: f64| (thickness - thickness_mm).abs();
        off(a.thickness_mm).total_cmp(&off(b.thickness_mm))
    });
    let key = asked.material.clone().or_else(|| stock.map(|sheet| sheet.material.clone()));
    let key = key.ok_or_else(|| {
        Failure::bad_input("the shop has no sheet in its rack to take the material from").hint("give --material")
    })?;
    let material = blank::material_of(&key).ok_or_else(|| {
        let known: Vec<&str> = Material::ALL.iter().map(|own| own.key()).collect();
        Failure::bad_input(format!(
            "--material: {key} is no material of the handbook; {} are accepted",
            known.join(", ")
        ))
    })?;
    let properties = material.properties();
    Ok(Sheet { name: properties.name.to_owned(), flow: Flow::from(&properties), key, thickness_mm })
}

fn shop(path: Option<&Path>) -> Result<ShopSettings, Failure> {
    path.map_or_else(crate::demo::shop, job_file::read_shop)
}

/// Reads the mesh.
fn skin(asked: &Flatten) -> Result<Skin, Failure> {
    let skin = mesh_file::read(&asked.mesh, asked.mesh_unit)?;
    // Checked before it is moved, so that a fault is named at the place where it stands in the file.
    skin.topology().map_err(|faults| Failure::bad_input(faults.to_string()).in_place(asked.mesh.display()))?;
    Ok(skin)
}

/// What a person must know of the mesh before its flat is cut.
fn mesh_concerns(skin: &Skin) -> Vec<Concern> {
    let Ok(topology) = skin.topology() else { return Vec::new() };
    let mut out = Vec::new();
    let concern = |key: &str, grade: Grade, place: String, [what, why, what_to_do]: [String; 3]| Concern {
        key: key.into(),
        grade,
        place,
        what,
        why,
        what_to_do,
        lifted_by: None,
        source: String::new(),
    };
    if let Some((count, at)) = skin.slits(&topology.boundaries) {
        let words = [
            format!("{count} points of a free edge lie on another and are not joined: the mesh is slit there"),
            "the flat is worked out as if the sheet were cut open along it".to_owned(),
            "join the points in the mesh, or leave it if it is really open there".to_owned(),
        ];
        out.push(concern("mesh-slit", Grade::Caution, format!("({:.1}, {:.1}, {:.1}) mm", at.x, at.y, at.z), words));
    }
    let lengths: Vec<f64> = topology.boundaries.iter().map(|ring| ring_mm(skin, ring)).collect();
    if let [outer, rest @ ..] = lengths.as_slice()
        && let Some(inner) = rest.iter().copied().reduce(f64::max)
        && inner > 0.5 * outer
    {
        let words = [
            format!("the mesh is a closed ring or tube: its two free edges are {outer:.0} and {inner:.0} mm long"),
            "it is flattened in one with a hole, which strains a tube far more than a seam along it would".to_owned(),
            "cut the mesh open along the seam you mean to weld, if it is a tube".to_owned(),
        ];
        out.push(concern("mesh-is-a-ring", Grade::Caution, "the whole mesh".into(), words));
    }
    out
}

fn ring_mm(skin: &Skin, ring: &[u32]) -> f64 {
    let at = |i: &u32| skin.points_mm.get(*i as usize).copied().unwrap_or_default();
    ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| at(a).distance(at(b))).sum()
}

fn files(asked: &Flatten, sheet: &Sheet, done: &Done) -> Result<Vec<WholeFile>, Failure> {
    let mut files = Vec::new();
    let mut add = |path: &Path, text: String| files.push(WholeFile { path: path.to_owned(), bytes: text.into_bytes() });
    if let Some(path) = &asked.out_mesh {
        add(path, report::flat_obj(&done.flat));
    }
    if asked.dxf.is_some() || asked.svg.is_some() {
        let words = format!("{:.2} mm, {}", sheet.thickness_mm, sheet.name);
        let drawing = packet::drawings::flat_skin_drawing(&done.flat, done.forming.as_ref(), &words, &done.seams);
        if let Some(path) = &asked.dxf {
            add(path, packet::dxf::to_string(&drawing)?);
        }
        if let Some(path) = &asked.svg {
            add(path, packet::svg::drawing(&drawing, 5.0)?);
        }
    }
    Ok(files)
}
