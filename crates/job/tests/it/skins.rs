//! Double-curved skins: the roof dome corner of the invented Wren 15 from its profiles to flat, shape, templates and price.

use crate::{DOME, planned, section, shop};
use blank::FaceUp;
use glam::DVec3;
use job::plan::{PiecePlan, Plan};
use std::sync::LazyLock;

static LEFT: LazyLock<Plan> = LazyLock::new(|| planned(DOME));

fn changed(pairs: &[(&str, &str)]) -> String {
    pairs.iter().fold(DOME.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "the dome has no {from:?}");
        text.replacen(from, to, 1)
    })
}

fn piece(plan: &Plan) -> &PiecePlan {
    &section(plan, "dome").pieces[0]
}

#[track_caller]
fn fault(pairs: &[(&str, &str)]) -> String {
    let plan = planned(&changed(pairs));
    let faults: Vec<_> = plan.all_faults().map(|fault| format!("{}: {}", fault.field, fault.message)).collect();
    assert!(!faults.is_empty() && section(&plan, "dome").pieces.is_empty());
    faults.join("\n")
}

/// The surface passes near every reading: the demo's heights are rounded to half a millimetre.
#[test]
fn the_dome_is_planned_with_its_residuals() {
    let skin = piece(&LEFT).skin.as_ref().unwrap();
    assert!(skin.largest_residual_mm < 1.0 && skin.rms_residual_mm < 0.3, "{}", skin.largest_residual_mm);
    assert!(section(&LEFT, "dome").price.is_some());
    assert!(LEFT.open_stops(section(&LEFT, "dome")).next().is_none());
}

/// Handbook S24: a strip of half-width b over principal radii R1 and R2 has an edge b²/(2·R1·R2) shorter than its middle.
/// The dome's crown radii are about 480 and 460 mm; its flat is 360 mm across, so the gathering of its long edges is
/// of the size 180²/(2·480·460) = 7.3 %, half of it where least work shares it between middle and edge.
#[test]
fn gathering_is_of_the_size_that_the_crowns_say() {
    let skin = piece(&LEFT).skin.as_ref().unwrap();
    for edge in &skin.forming.edges {
        let share = edge.gather_mm_per_100_mm / 100.0;
        assert!((0.002..0.073).contains(&share), "{}: {share}", edge.name);
    }
}

/// x forward, y left, z up: the corner runs down to the front and to the driver's left.
#[test]
fn it_stands_where_its_datum_says() {
    let [low, high] = piece(&LEFT).shape.bounds_mm().unwrap();
    assert!(high.x > 400.0 && low.x > -20.0 && high.y > 350.0 && low.y > -20.0, "{low} {high}");
    assert_eq!(piece(&LEFT).placing.front_end, "front edge to the front, rear cut to the rear");
    assert!(piece(&LEFT).placing.names_front);
    piece(&LEFT).shape.validate().unwrap();
}

/// The other hand: the finished shape reflected, the same flat with its other face up, every figure the same.
#[test]
fn the_other_hand_is_the_reflection() {
    // a pattern surveyed on the left, wanted for the right
    let right = as_pattern("right");
    let (left, other) = (piece(&LEFT), piece(&right));
    assert_eq!((left.blank.face_up, other.blank.face_up), (FaceUp::Outside, FaceUp::Inside));
    assert_eq!(left.blank.outline_mm, other.blank.outline_mm);
    // the same flange turns in on both vehicles; on the face that is up it is seen to turn the other way
    assert!(!left.blank.folds.is_empty() && left.blank.folds.len() == other.blank.folds.len());
    for (own, turned) in left.blank.folds.iter().zip(&other.blank.folds) {
        assert_eq!((own.turns, own.up), (turned.turns, !turned.up), "{}", own.name);
        assert_eq!(turned.up, turned.turns == section::Side::Inside, "inside is up: what turns inside turns up");
    }
    let reflected: Vec<DVec3> = left.shape.points_mm.iter().map(|p| DVec3::new(p.x, -p.y, p.z)).collect();
    assert_eq!(reflected, other.shape.points_mm);
    let template = &other.skin.as_ref().unwrap().templates[0];
    assert!(template.label.lines().iter().any(|line| line.starts_with("RIGHT hand")), "{:?}", template.label.lines());
    assert!(other.skin.as_ref().unwrap().buck.is_some());
}

/// The dome as a pattern surveyed on the left, made for a hand.
fn as_pattern(hand: &str) -> Plan {
    let (head, pieces) = DOME.split_once("[[section.piece]]").unwrap();
    let head = head.replace("hand = \"left\"", &format!("hand = \"{hand}\"\nfrom_pattern = {{ id = \"dome\" }}"));
    let pattern = "[[pattern]]\nid = \"dome\"\ntitle = \"dome\"\nvehicle = \"Wren 15\"\nhand = \"left\"\nunit = \"millimetre\"\n\
                   [[pattern.measurement]]\nid = \"c\"\ntitle = \"c\"\nhow = \"c\"\ntape = \"straight\"\nrole = { is = \"check\" }\n\
                   nominal = 400\nbetween = [300, 500]\nreach = 2\n";
    let pieces = format!("[[section.piece]]{pieces}").replace("section.piece", "pattern.piece");
    planned(&format!("{head}\n{pattern}\n{pieces}"))
}

/// The right-hand corner as a person enters it who reads it from the other side: y out to the gutter, heights up.
const RIGHT: [(&str, &str); 2] = [("hand = \"left\"", "hand = \"right\""), ("y_runs = \"left\"", "y_runs = \"right\"")];
const AS_IT_IS: &str = "y_runs = \"left\"\nheights_run = \"up\"";

/// A right-hand corner typed with its y outward, or with y to the left and so below 0, is the left one reflected.
#[test]
fn both_ways_of_entering_the_other_hand_give_the_reflection() {
    let reflection = as_pattern("right");
    let wanted = piece(&reflection);
    let outward = planned(&changed(&RIGHT));
    let own = piece(&outward);
    assert_eq!(own.shape.points_mm, wanted.shape.points_mm);
    assert_eq!(own.blank.outline_mm, wanted.blank.outline_mm);
    assert_eq!((own.blank.face_up, &own.edges), (FaceUp::Inside, &wanted.edges));
    assert_eq!(own.placing.front_end, wanted.placing.front_end);
    assert!(own.skin.as_ref().unwrap().buck.is_some());

    // right-handed axes: y to the left, so that the corners run clockwise as they are typed; the edges keep their numbers
    let mut job = crate::read(&changed(&RIGHT[..1]));
    let job::file::Piece::Skin(skin) = &mut job.sections[0].pieces[0] else { panic!("the dome is a skin") };
    let negated = |own: &units::Dimension| {
        let mm = own.signed_length_mm(&units::Reading::default()).unwrap();
        units::Dimension::from_mm(-mm).unwrap()
    };
    skin.outline.iter_mut().for_each(|[_, y]| *y = negated(y));
    for profile in &mut skin.profiles {
        profile.points.iter_mut().for_each(|[y, _]| *y = negated(y));
        profile.points.reverse();
    }
    let inward = job::plan(&job, &shop());
    assert!(inward.all_faults().next().is_none(), "{:?}", inward.all_faults().collect::<Vec<_>>());
    let other = piece(&inward);
    for (a, b) in other.shape.bounds_mm().unwrap().into_iter().zip(wanted.shape.bounds_mm().unwrap()) {
        assert!(a.distance(b) < 0.2, "{a} {b}");
    }
    assert!((other.blank.area_mm2 / wanted.blank.area_mm2 - 1.0).abs() < 1e-3);
    for edge in &wanted.edges {
        let own = other.edges.iter().find(|own| own.name == edge.name).unwrap();
        let middle = |edge: &job::plan::PieceEdge| {
            edge.points.iter().map(|point| point.at_mm).sum::<DVec3>() / edge.points.len() as f64
        };
        assert!((own.length_mm - edge.length_mm).abs() < 0.3, "{}", edge.name);
        assert!(middle(own).distance(middle(edge)) < 3.0, "{}: {} {}", edge.name, middle(own), middle(edge));
    }
}

/// Heights that would point down, or into the vehicle for the hand, are refused with what to write; said plainly they are taken.
#[test]
fn heights_into_the_vehicle_are_refused() {
    let down = fault(&[RIGHT[0], (AS_IT_IS, "y_runs = \"right\"")]);
    assert!(down.contains("heights_run") && down.contains("write heights_run = \"up\""), "{down}");
    let inward = fault(&[(AS_IT_IS, "y_runs = \"up\"")]);
    assert!(inward.contains("write heights_run = \"left\""), "{inward}");
    let along = fault(&[("heights_run = \"up\"", "heights_run = \"front\"")]);
    assert!(along.contains("heights_run") && along.contains("square to x and y"), "{along}");
    let scan = with_mesh("{ file = \"ball.obj\" }");
    let mut turned = scan.clone();
    let job::file::Piece::Skin(skin) = &mut turned.sections[0].pieces[0] else { panic!("the dome is a skin") };
    (skin.y_runs, skin.heights_run) = (job::file::Towards::Right, Some(job::file::Towards::Up));
    let plan = job::plan(&turned, &shop());
    assert!(plan.all_faults().any(|fault| fault.message.contains("left-handed axes")));
}

/// A profile typed in inches stops the job by name; an edge that nobody named is said to join nothing; what is left on is trimmed.
#[test]
fn slips_are_said() {
    let spoiled = DOME.replace(
        "[[0, 42], [40, 49], [80, 52], [120, 52], [160, 48], [200, 41], [235, 31.5], [270, 18.5], [300, 5.5], [325, -8.5], [345, -21], [360, -31]]",
        "[[0, 1.65], [40, 1.93], [80, 2.05], [120, 2.05], [160, 1.89], [200, 1.61], [235, 1.24], [270, 0.73], [300, 0.22], [325, -0.33], [345, -0.83], [360, -1.22]]",
    );
    assert_ne!(spoiled, DOME);
    let plan = planned(&spoiled);
    let stops: Vec<_> = plan.open_stops(section(&plan, "dome")).collect();
    assert!(stops.iter().any(|stop| stop.place.contains("profile 3 (station 120.0 mm)")), "{stops:#?}");
    let without = changed(&[("[[section.piece.edge]]\nedge = 4\nname = \"rear cut\"\njoins = true\n", "")]);
    let plan = planned(&without);
    let notes = &section(&plan, "dome").concerns;
    assert!(notes.iter().any(|own| own.key == "edge-joins-nothing" && own.what.contains("edge 4 joins nothing")));
    assert!(!section(&LEFT, "dome").concerns.iter().any(|own| own.key == "edge-joins-nothing"));
    let trim = section(&LEFT, "dome").operations.iter().find(|own| own.kind == "trim").unwrap();
    assert!(trim.settings.len() == 2 && trim.settings[0].starts_with("inner cut: trim line"), "{trim:?}");
    let scribe = section(&LEFT, "dome").fitting.iter().find(|step| step.kind == "scribe").unwrap();
    assert!(scribe.text[0].contains("inner cut and rear cut"), "{:?}", scribe.text);
    assert!(LEFT.compared.iter().all(|words| words.contains("WITHOUT") && !words.contains("saves")));
}

/// The file of stations and the job are the same corner.
#[test]
fn stations_and_job_have_the_same_heights() {
    let stations = include_str!("../../../../examples/roof-dome-corner.stations.toml");
    let numbers = |text: &str| -> Vec<f64> {
        let words = text.split(|c: char| !(c.is_ascii_digit() || "-.".contains(c)));
        words.filter_map(|word| word.parse().ok()).collect()
    };
    let after = |text: &str, mark: &str| numbers(text.split_once(mark).unwrap().1);
    let (own, other) = (after(DOME, "[[section.piece.profile]]"), after(stations, "[[profiles]]"));
    assert!(own.len() > 200, "{}", own.len());
    assert_eq!(own, other);
}

/// On a wheel-out route the shop's weight counts: the heavier it is, the less is gathered.
#[test]
fn the_weight_of_a_route_is_the_shops() {
    let job = crate::read(&changed(&[("route = \"least_work\"", "route = \"wheel_out\"")]));
    let gathered = |weight: f64| {
        let mut shop = shop();
        shop.skins.route_weight = weight;
        let plan = job::plan(&job, &shop);
        let skin = section(&plan, "dome").pieces[0].skin.clone().unwrap();
        skin.forming.edges.iter().map(|edge| edge.gather_mm_per_100_mm).sum::<f64>()
    };
    let [light, heavy] = [1.0, 100.0].map(gathered);
    assert!(heavy < 0.5 * light, "{heavy} {light}");
}

/// Slices of the buck are named in words: no sheet of the print is.
#[test]
fn no_slice_is_named_as_a_sheet_of_the_print() {
    for plan in [&*LEFT, &as_pattern("right")] {
        let skin = piece(plan).skin.as_ref().unwrap();
        let [x, y] = [DVec3::X, DVec3::Y];
        for slice in &skin.buck.as_ref().unwrap().slices {
            // a slice along the piece's x is square to y
            let (word, square) = if slice.name.starts_with("along ") { ("along", y) } else { ("across", x) };
            assert!(slice.name.starts_with(word), "{}", slice.name);
            assert!((slice.plane.normal().dot(square).abs() - 1.0).abs() < 1e-9, "{}", slice.name);
        }
    }
}

#[test]
fn templates_buck_and_forms_go_with_it() {
    let skin = piece(&LEFT).skin.as_ref().unwrap();
    assert_eq!(skin.templates.len(), 3);
    let buck = skin.buck.as_ref().unwrap();
    let assembly = blank::templates::buck::check_assembly(buck);
    assert!(!assembly.meetings.is_empty() && assembly.interference_mm < 1e-6 && assembly.base_gap_mm < 1e-6);
    // a flange has its form, or a note says why not: the front one is not square, the long gutter edge curves out of any plane
    let notes = &piece(&LEFT).blank.concerns;
    let refused = |edge: &str| notes.iter().any(|note| note.key == "no-template" && note.what.contains(edge));
    assert!(refused("front edge") && refused("gutter edge") && !refused("corner edge"));
    let [form] = skin.hammerforms.as_slice() else { panic!("{} hammerforms", skin.hammerforms.len()) };
    assert!(form.name.contains("corner edge") && form.out_of_plane_mm < 6.0, "{} {}", form.name, form.out_of_plane_mm);
    // from (420, 240) to (300, 360) in plan, less the setbacks of its neighbours
    let points = form.backing.flattened_mm(0.1);
    let [low, high] = [f64::min, f64::max].map(|pick| points.iter().map(|point| point.x).reduce(pick).unwrap());
    assert!(high - low > 150.0 && high - low < 260.0, "{}", high - low);
    let kinds: Vec<&str> = section(&LEFT, "dome").operations.iter().map(|own| own.kind.as_str()).collect();
    for kind in ["make-buck", "raise-skin", "gather-skin"] {
        assert!(kinds.contains(&kind), "{kind} in {kinds:?}");
    }
}

#[test]
fn bad_skins_are_named() {
    let parallel = fault(&[("y_runs = \"left\"", "y_runs = \"rear\"")]);
    assert!(parallel.contains("y_runs") && parallel.contains("square"), "{parallel}");
    let crossed = fault(&[("[420, 0], [420, 240]", "[420, 240], [420, 0]")]);
    assert!(crossed.contains("does not cross itself"), "{crossed}");
    let order = fault(&[("station = 120\n", "station = 20\n")]);
    assert!(order.contains("station"), "{order}");
    let beyond = fault(&[("edge = 4\nname", "edge = 7\nname")]);
    assert!(beyond.contains("edges 0 to 4"), "{beyond}");
    let both = fault(&[("name = \"front edge\"\n", "name = \"front edge\"\njoins = true\n")]);
    assert!(both.contains("make_ups"), "{both}");
    let slot = "[[section.piece.opening]]\nname = \"aerial\"\nalong = 200\nfrom_edge = 180\nslot = [30, 10]\n\n[[section.piece.edge]]\nedge = 0";
    let slot = fault(&[("[[section.piece.edge]]\nedge = 0", slot)]);
    assert!(slot.contains("aerial") && slot.contains("round"), "{slot}");
    let few = DOME.split("[[section.piece.profile]]").take(3).collect::<Vec<_>>().join("[[section.piece.profile]]");
    let few = planned(&few);
    assert!(
        few.all_faults().any(|fault| fault.message.contains("3 or more")),
        "{:?}",
        few.all_faults().collect::<Vec<_>>()
    );
}

/// Seams are long work: cancelled at once, and otherwise none is worse than the whole in stops.
#[test]
fn seams_are_proposed_or_the_search_is_stopped() {
    let job = crate::read(DOME);
    let cancel = numerics::Cancel::new();
    cancel.cancel();
    let stopped = job::plan::propose_seams(&job, &job.sections[0], &shop(), &numerics::Progress::silent(), &cancel);
    assert!(stopped.is_err());
    let found = job::plan::propose_seams(
        &job,
        &job.sections[0],
        &shop(),
        &numerics::Progress::silent(),
        &numerics::Cancel::new(),
    );
    let found = found.unwrap().unwrap();
    assert_eq!(found.len(), 1);
    for seam in &found[0].proposals {
        assert!(seam.after.work_j < seam.before.work_j && seam.length_mm > 100.0, "{}", seam.words());
    }
    assert!(!found[0].proposals.is_empty());
}

/// A card begun from a pattern of a skin starts with a butt joint, without a step that would be pressed along a crowned edge.
#[test]
fn a_pattern_of_a_skin_starts_butted() {
    let job = crate::read(include_str!("../../../../examples/skin-patterns.toml"));
    assert_eq!(job.patterns.len(), 2);
    for pattern in &job.patterns {
        assert_eq!(pattern.usual_joint().kind, job::file::JointKind::Butt, "{}", pattern.id);
        let plan = job::plan(&pattern.alone(None), &shop());
        let laps = plan.sections[0].pieces[0].blank.lengthwise.iter().filter(|line| line.name.contains("lap"));
        assert_eq!(laps.count(), 0, "{}", pattern.id);
    }
    let strips = crate::read(include_str!("../../../../examples/arch-edge.toml"));
    for pattern in &strips.patterns {
        assert_eq!(pattern.usual_joint().kind, job::file::JointKind::SteppedLap, "{}", pattern.id);
    }
}

/// A pattern of a skin is pictured by its own edges: a crown that goes in all round has no lap and no step that a joint would give it.
#[test]
fn the_picture_of_a_skin_pattern_shows_no_lap() {
    let job = crate::read(include_str!("../../../../examples/skin-patterns.toml"));
    let pattern = job.patterns.iter().find(|own| own.id == "wren15-mudguard-crown").unwrap();
    let plan = job::plan(&pattern.alone(None), &shop());
    let crown = &plan.sections[0].pieces[0];
    assert!(crown.blank.folds.is_empty(), "{:?}", crown.blank.folds);
    let [low, high] = crown.shape.bounds_mm().unwrap();
    // typed 300 by 170, and something to trim
    assert!((high.x - low.x - 300.0).abs() < 6.0 && (high.y - low.y - 170.0).abs() < 6.0, "{low} {high}");
}

/// A sphere of radius 600 as a mesh over (−20, −20) to (440, 380), its top over (150, 120), in a unit of so many mm.
fn ball(unit_mm: f64, turned: bool) -> Vec<u8> {
    use std::fmt::Write as _;
    let (n, mut text) = (92_u32, String::new());
    for i in 0..=n {
        for j in 0..=n {
            let (x, y) = (460.0 * f64::from(i) / f64::from(n) - 20.0, 400.0 * f64::from(j) / f64::from(n) - 20.0);
            writeln!(text, "v {} {} {}", x / unit_mm, y / unit_mm, ball_height(x, y) / unit_mm).unwrap();
        }
    }
    let number = |i: u32, j: u32| i * (n + 1) + j + 1;
    for i in 0..n {
        for j in 0..n {
            let [a, b, c, d] = [number(i, j), number(i + 1, j), number(i + 1, j + 1), number(i, j + 1)];
            for [a, b, c] in [[a, b, c], [a, c, d]] {
                let _ = if turned { writeln!(text, "f {a} {c} {b}") } else { writeln!(text, "f {a} {b} {c}") };
            }
        }
    }
    text.into_bytes()
}

fn ball_height(x: f64, y: f64) -> f64 {
    (600.0f64.powi(2) - (x - 150.0).powi(2) - (y - 120.0).powi(2)).sqrt() - 560.0
}

/// The dome with a mesh in the place of its profiles.
fn with_mesh(mesh: &str) -> job::Job {
    let (head, _) = DOME.split_once("[[section.piece.profile]]").unwrap();
    crate::read(&head.replace("route = ", &format!("mesh = {mesh}\nroute = ")))
}

/// A scan in inches gives the piece that the same sphere gives when its heights are typed in; the mesh's own chords are 5 mm,
/// which is 5²/(8·600) = 0.005 mm.
#[test]
fn a_scan_gives_what_typed_profiles_give() {
    let mut scanned = with_mesh("{ file = \"ball.obj\", unit = \"in\" }");
    job::take_meshes(&mut scanned, |file| if file == "ball.obj" { Ok(ball(25.4, false)) } else { Err("no".into()) })
        .unwrap();
    let plan = job::plan(&scanned, &shop());
    assert!(plan.all_faults().next().is_none(), "{:?}", plan.all_faults().collect::<Vec<_>>());
    let mut typed = DOME.split_once("[[section.piece.profile]]").unwrap().0.to_owned();
    for x in (0..=420).step_by(20) {
        let row = (0..=360).step_by(20).map(|y| format!("[{y}, {:.4}]", ball_height(f64::from(x), f64::from(y))));
        let row = row.collect::<Vec<_>>().join(", ");
        typed += &format!("[[section.piece.profile]]\nstation = {x}\npoints = [{row}]\n");
    }
    let typed = planned(&typed);
    let (own, other) = (piece(&plan), piece(&typed));
    assert!(own.skin.as_ref().unwrap().rms_residual_mm < 0.01);
    let size = |piece: &PiecePlan| {
        let box_ = [glam::DVec2::INFINITY, glam::DVec2::NEG_INFINITY];
        let [low, high] = piece.blank.outline_mm.iter().fold(box_, |[l, h], p| [l.min(*p), h.max(*p)]);
        high - low
    };
    assert!((size(own) - size(other)).abs().max_element() < 0.1, "{} {}", size(own), size(other));
    assert!((own.blank.area_mm2 / other.blank.area_mm2 - 1.0).abs() < 5e-4);
    // the card keeps the profiles: what is read again needs the file no more
    let kept = job::read_toml(&job::write_toml(&scanned).unwrap()).unwrap();
    assert_eq!(kept, scanned);
    let mut again = kept;
    job::take_meshes(&mut again, |_| Err("not asked for".into())).unwrap();
}

/// A scan that says of itself which face it is, is held against the job's: said the same nothing is said, said otherwise there is a caution
/// that names both and how far they lie apart.
#[test]
fn a_scan_that_contradicts_the_face_of_the_job_is_named() {
    let marked = |face: &str| [format!("# {face} face of the sheet, mm\n").into_bytes(), ball(1.0, false)].concat();
    let concerns = |said: &str, job_says: &str| {
        let mut job = with_mesh("{ file = \"ball.obj\" }");
        let job::file::Piece::Skin(skin) = &mut job.sections[0].pieces[0] else { panic!("the dome is a skin") };
        skin.face = match job_says {
            "inside" => job::file::Face::Inside,
            _ => job::file::Face::Outside,
        };
        job::take_meshes(&mut job, |_| Ok(marked(said))).unwrap();
        // the note outlives the file: the card keeps it
        let kept = job::read_toml(&job::write_toml(&job).unwrap()).unwrap();
        let plan = job::plan(&kept, &shop());
        let own = piece(&plan).blank.concerns.iter().filter(|own| own.key == "mesh-face");
        own.cloned().collect::<Vec<_>>()
    };
    assert!(concerns("outside", "outside").is_empty() && concerns("inside", "inside").is_empty());
    assert!(concerns("a nameless", "outside").is_empty());
    let found = concerns("inside", "outside");
    let [one] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!(one.grade, handbook::Grade::Caution);
    assert!(
        one.what.contains("outside") && one.what.contains("ball.obj") && one.what.contains("inside face"),
        "{one:?}"
    );
    // from face to face it is the whole sheet, from the middle half of it
    let apart = |mm: f64| units::format_mm(mm, 2);
    let thickness_mm = 0.9;
    assert!(one.why.contains(&apart(thickness_mm)), "{}", one.why);
    assert!(one.what_to_do.contains("face = \"inside\"") && one.what_to_do.contains("says_face"), "{}", one.what_to_do);
    assert!(concerns("middle", "inside")[0].why.contains(&apart(0.5 * thickness_mm)));
}

#[test]
fn bad_scans_are_named() {
    let refused = |mesh: &str, bytes: Result<Vec<u8>, String>, words: &str| {
        let mut job = with_mesh(mesh);
        let errors = job::take_meshes(&mut job, |_| bytes.clone()).unwrap_err().to_string();
        assert!(errors.contains("section.dome.piece.dome corner.mesh") && errors.contains(words), "{errors}");
    };
    let good = || Ok(ball(1.0, false));
    refused("{ file = \"ball.obj\" }", Ok(ball(25.4, false)), "inches");
    refused("{ file = \"ball.obj\" }", Ok(ball(1.0, true)), "its inside towards z");
    refused("{ file = \"ball.step\" }", good(), ".ply, .stl or .obj");
    refused("{ file = \"ball.obj\" }", Err("ball.obj cannot be read".into()), "cannot be read");
    refused("{ file = \"ball.obj\", unit = \"cm\", every = \"1 mm\" }", good(), "readings one way");
    refused("{ file = \"ball.obj\", unit = \"mm\", every = 0 }", good(), "every");
    let small = ball(1.0, false);
    let nan = String::from_utf8(small).unwrap().replacen("v ", "v NaN ", 1).into_bytes();
    refused("{ file = \"ball.obj\" }", Ok(nan), "finite");
    let mut off = with_mesh("{ file = \"ball.obj\" }");
    let job::file::Piece::Skin(skin) = &mut off.sections[0].pieces[0] else { panic!("the dome is a skin") };
    skin.outline[1][0] = units::Dimension::from_mm(500.0).unwrap();
    let errors = job::take_meshes(&mut off, |_| good()).unwrap_err().to_string();
    assert!(errors.contains("(500.0, 0.0)"), "{errors}");
    // and one that nobody has read
    let plan = job::plan(&with_mesh("{ file = \"ball.obj\" }"), &shop());
    assert!(plan.all_faults().any(|fault| fault.message.contains("has not been read")));
}

/// Reliefs are where the flat has them: every notch of the door corner's flange and the corner hole of the side panel lie on their finished
/// shape, the hole as wide as F1 says.
#[test]
fn reliefs_stand_on_the_finished_shape() {
    let reliefs = |piece: &job::plan::PiecePlan| -> Vec<Vec<DVec3>> {
        let own = piece.shape.lines.iter().filter(|line| line.name == "relief");
        own.map(|line| line.points_mm.clone()).collect()
    };
    let door = planned(include_str!("../../../../examples/door-corner.toml"));
    let strip = &door.sections[0].pieces[0];
    let notches = reliefs(strip);
    let counted = strip.blank.workings.iter().find(|own| own.name.ends_with("number of V notches")).unwrap().value;
    assert!((notches.len() as f64 - counted).abs() < 0.5, "{} {counted}", notches.len());
    let panel = planned(include_str!("../../../../examples/panel-corner.toml"));
    let skin = &panel.sections[0].pieces[0];
    let hole = reliefs(skin);
    assert!(!hole.is_empty());
    for (piece, lines) in [(strip, &notches), (skin, &hole)] {
        let triangles = piece.shape.triangles.iter().map(|corners| corners.map(|id| id.0)).collect();
        let shape = mesh::Skin { points_mm: piece.shape.points_mm.clone(), triangles };
        let surface = mesh::nearest::Nearest::new(&shape).unwrap();
        for point in lines.iter().flatten() {
            let off_mm = surface.closest(*point).unwrap().at_mm.distance(*point);
            assert!(off_mm < 0.25, "{}: {point} lies {off_mm} off", piece.name);
        }
    }
    // F1: at least 3.2 mm across in 0.9 mm sheet; the points on metal lie no further apart
    let across = hole.iter().flatten().map(|p| hole[0][0].distance(*p)).fold(0.0, f64::max);
    assert!(across > 1.0 && across < 6.5, "{across}");
}

/// Every template has its line on the flat; the one at x = 210 is as long as the profile of the finished piece at that station, gathered by
/// a few per cent at most, and it runs from one edge of the flat to another.
#[test]
fn every_template_has_its_station_on_the_flat() {
    let plan = piece(&LEFT);
    let skin = plan.skin.as_ref().unwrap();
    let lines: Vec<_> = plan.blank.marks.iter().filter(|mark| mark.kind == blank::MarkKind::Station).collect();
    let labels: Vec<&str> = lines.iter().map(|mark| mark.label.as_str()).collect();
    assert_eq!(labels, ["template x = 60 mm", "template x = 210 mm", "template x = 360 mm"]);
    let length: f64 = lines[1].line_mm.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
    // the readings at 180 and 240 as polylines are 378.6 and 379.8 mm long
    assert!((length / 379.2 - 1.0).abs() < 0.03, "{length}");
    assert_eq!(skin.datum[0], "x = 0 and y = 0 are at the corner of rear cut and inner cut");
    assert!(skin.datum[1].starts_with("x runs to the front, y to the driver's left"), "{}", skin.datum[1]);
    let right = as_pattern("right");
    let words = &piece(&right).skin.as_ref().unwrap().datum[1];
    assert!(words.starts_with("x runs to the front, y to the driver's right"), "{words}");
    for check in &plan.blank.check_dimensions {
        assert!(check.name.ends_with("outside face"), "{}", check.name);
        // ISO 2768-1 m (T1): 0.3 mm over 30 to 120, 0.5 over 120 to 400, 0.8 over 400 to 1000; the surface is no truer than its readings
        let allowed_mm = [0.3, 0.5, 0.8][usize::from(check.nominal > 120.0) + usize::from(check.nominal > 400.0)];
        assert_eq!((check.tolerance, check.rule.as_str()), (allowed_mm, "ISO 2768-1 m"), "{}", check.name);
        assert!(check.reach.is_some_and(|reach| reach > 0.0), "{}: {:?}", check.name, check.reach);
    }
}

/// Steps of two depths are two settings of the rolls, each for as much edge as has it; of one depth they are one.
#[test]
fn steps_of_two_depths_are_pressed_one_after_the_other() {
    let flange = |width: u32| {
        format!("[{{ make = \"flange\", opening = \"90°\", radius = 1.5, width = {width}, turns = \"inside\" }}]")
    };
    let step = |depth: &str| format!("[{{ make = \"joggle\", depth = \"{depth}\", lap = 12 }}]");
    let pressed = |corner: &str, gutter: &str| {
        let text = changed(&[(&flange(12), &step(corner)), (&flange(12), &step(gutter))]);
        let plan = planned(&text);
        let faults: Vec<_> = plan.all_faults().map(|fault| format!("{}: {}", fault.field, fault.message)).collect();
        assert!(faults.is_empty(), "{faults:?}");
        let all = section(&plan, "dome").operations.iter().filter(|own| own.kind == "joggle");
        all.map(|own| own.settings[0].clone()).collect::<Vec<_>>()
    };
    assert_eq!(pressed("0.7 mm", "1.2 mm"), ["step 0.70 mm deep", "step 1.20 mm deep"]);
    assert_eq!(pressed("0.9 mm", "0.9 mm"), ["step 0.90 mm deep"]);
}
