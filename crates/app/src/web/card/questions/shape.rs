//! Question 4: what shape is the piece?

use super::{Asked, mm};
use crate::web::card::fields::Field;
use crate::web::card::question::{Picture, Question};
use crate::web::figures::{Cell, Figure, Table};
use blank::material_name;
use job::file::{FlangeRelief, MakeUp, MakeUpKind, Piece, Ring, RingMake, SkinEdge, Tube, TubeForm};
use job::plan::PiecePlan;
use store::JobId;

/// The question.
pub fn ask(asked: &Asked<'_>) -> Question {
    let pieces = &asked.plan.pieces;
    let mut pictures = super::as_one::pictures(asked.plan);
    pictures.extend(pieces.iter().map(|piece| finished(asked, piece)));
    for piece in pieces {
        let svg = asked.app.planning.pictures(asked.plan, piece).cross_section.clone();
        let of_ring = piece.ring.as_ref().map(|_| "section through the axis".to_owned());
        let name = piece.cross_sections.get(piece.cross_sections.len() / 2).map(|shape| shape.name.clone()).or(of_ring);
        if let Some(name) = name.filter(|_| !svg.is_empty()) {
            pictures.push(Picture {
                svg,
                caption: format!("{}, {name}", piece.name_in_job()),
                shape: None,
                small: false,
            });
        }
    }
    Question {
        title: "What shape is the piece?",
        pictures,
        fields: fields(asked),
        answer: answer(pieces),
        short: match pieces.as_slice() {
            [] => "no piece".into(),
            [one] => format!("{}, {}", one.kind, mm(one.blank.thickness_mm)),
            many => format!("{} pieces", many.len()),
        },
        tables: super::as_one::tables(asked.plan).into_iter().chain(check_tables(pieces)).collect(),
        figures: asked.plan.workings.iter().chain(super::as_one::workings(asked.plan)).map(Figure::named).collect(),
        extra: pieces.iter().map(placing).collect(),
        ..Question::default()
    }
}

fn finished(asked: &Asked<'_>, piece: &PiecePlan) -> Picture {
    let id: JobId = asked.id();
    let name = crate::web::shapes::part_name(&piece.name);
    Picture {
        svg: asked.app.planning.pictures(asked.plan, piece).finished.clone(),
        caption: format!("{}, finished, seen from outside and above", piece.name),
        shape: Some(format!("/card/{id}/section/{}/shape.json?piece={name}", asked.section.id)),
        small: false,
    }
}

fn answer(pieces: &[PiecePlan]) -> String {
    if pieces.is_empty() {
        return "There is no piece to make.".into();
    }
    let one = |piece: &PiecePlan| {
        let material = material_name(&piece.blank.material);
        // drawn, not measured: there is nothing it is good to
        let reach = if piece.reach_mm < 0.05 { String::new() } else { format!(", sizes ± {}", mm(piece.reach_mm)) };
        format!("{}: {} in {} {material}{reach}", piece.name, piece.kind, mm(piece.blank.thickness_mm))
    };
    format!("{}.", pieces.iter().map(one).collect::<Vec<_>>().join("; "))
}

fn fields(asked: &Asked<'_>) -> Vec<Field> {
    let prefix = match &asked.section.from_pattern {
        Some(from) => format!("pattern.{}", from.id),
        None => format!("section.{}", asked.section.id),
    };
    let pieces = asked.pattern.map_or(asked.section.pieces.as_slice(), |pattern| pattern.pieces.as_slice());
    let field = |piece: &Piece| {
        let (name, thickness) = match piece {
            Piece::Strip(strip) => (&strip.name, &strip.thickness),
            Piece::Folded(folded) => (&folded.name, &folded.thickness),
            Piece::Skin(skin) => (&skin.name, &skin.thickness),
            Piece::Tube(tube) => (&tube.name, &tube.thickness),
            Piece::Cone(cone) => (&cone.name, &cone.thickness),
            Piece::Transition(transition) => (&transition.name, &transition.thickness),
            Piece::Ring(ring) => (&ring.name, &ring.thickness),
        };
        Field::text(format!("{prefix}.piece.{name}.thickness"), format!("Sheet of {name}"), thickness.written())
            .hint("0.9 mm, .036\" or 20 swg")
    };
    let skins = pieces.iter().filter_map(|piece| match piece {
        Piece::Skin(skin) => Some(super::skin::fields(&prefix, skin)),
        _ => None,
    });
    let tubes = pieces.iter().filter_map(|piece| match piece {
        Piece::Tube(tube) => Some(tube_fields(&prefix, tube)),
        _ => None,
    });
    let flanges = pieces.iter().flat_map(|piece| flange_fields(&prefix, piece));
    let ruled = pieces.iter().flat_map(|piece| super::ruled::fields(&prefix, piece));
    let rings = pieces.iter().filter_map(|piece| match piece {
        Piece::Ring(ring) => Some(ring_field(&prefix, ring)),
        _ => None,
    });
    pieces
        .iter()
        .map(field)
        .chain(skins.flatten())
        .chain(tubes.flatten())
        .chain(ruled)
        .chain(rings)
        .chain(flanges)
        .collect()
}

/// Which way a ring is to be made.
fn ring_field(prefix: &str, ring: &Ring) -> Field {
    let chosen = match ring.make {
        RingMake::Either => "either",
        RingMake::OneBlank => "one_blank",
        RingMake::BuiltUp => "built_up",
    };
    let ways = [
        ("either", "whichever can be made, and of both the cheaper"),
        ("one_blank", "formed from one flat blank"),
        ("built_up", "built up from parts with seams"),
    ];
    Field::choice(
        format!("{prefix}.piece.{}.make", ring.name),
        format!("How {} is to be made", ring.name),
        chosen,
        ways,
    )
}

/// What is chosen about the flanges of a piece: reliefs, the seam of a split one, a lap leg.
fn flange_fields(prefix: &str, piece: &Piece) -> Vec<Field> {
    match piece {
        Piece::Strip(strip) => {
            let path = format!("{prefix}.piece.{}", strip.name);
            let chains = [("finished_edge", &strip.finished_edge), ("cut_edge", &strip.cut_edge)];
            let on = |(edge, chain): (&str, &Vec<MakeUp>)| {
                let at = format!("{path}.{edge}");
                let many = chain.iter().enumerate();
                let of = many.flat_map(|(index, own)| of_flange(&format!("{at}.{index}"), &strip.name, own, true));
                of.collect::<Vec<Field>>()
            };
            chains.into_iter().flat_map(on).collect()
        }
        Piece::Skin(skin) => {
            let of = |own: &SkinEdge| {
                let at = format!("{prefix}.piece.{}.edge.{}.make_ups", skin.name, own.edge);
                let name = format!("{}, {}", skin.name, own.name);
                let many = own.make_ups.iter().enumerate();
                many.flat_map(|(index, own)| of_flange(&format!("{at}.{index}"), &name, own, false))
                    .collect::<Vec<Field>>()
            };
            skin.edges.iter().flat_map(of).collect()
        }
        _ => Vec::new(),
    }
}

fn of_flange(path: &str, name: &str, make_up: &MakeUp, on_a_strip: bool) -> Vec<Field> {
    let MakeUpKind::Flange { relief, split_at, lap_leg, .. } = &make_up.what else { return Vec::new() };
    let mut ways = vec![
        ("none", "nothing: folded in one as it is"),
        ("notches", "V notches: the edge is gathered; closed and welded"),
        ("scallops", "scallops: the edge is let out; they stay open"),
    ];
    if on_a_strip {
        ways.push(("split", "split flange: the rest is welded on as its own piece"));
    }
    let chosen = match relief {
        FlangeRelief::None => "none",
        FlangeRelief::Notches => "notches",
        FlangeRelief::Scallops => "scallops",
        FlangeRelief::Split => "split",
    };
    let mut out =
        vec![Field::choice(format!("{path}.relief"), format!("Flange of {name}, past its limit"), chosen, ways)];
    if *relief == FlangeRelief::Split {
        let written = split_at.as_ref().map(units::Dimension::written).unwrap_or_default();
        out.push(
            Field::text(format!("{path}.split_at"), format!("Seam of the split flange of {name}"), written)
                .hint("from the sharp outer corner, 8 mm; empty takes the widest that needs no relief"),
        );
    }
    if on_a_strip && path.ends_with(".finished_edge.0") {
        let label = format!("{name}: cut on the bend, other leg lapped under the old skin");
        out.push(Field::tick(format!("{path}.lap_leg"), label, *lap_leg));
    }
    out
}

/// What a tube is made from: its sizes, and where its long seam stands.
fn tube_fields(prefix: &str, tube: &Tube) -> Vec<Field> {
    let path = format!("{prefix}.piece.{}", tube.name);
    let mut out = vec![
        Field::text(format!("{path}.diameter"), format!("Outside diameter of {}", tube.name), tube.diameter.written())
            .hint("of the tube on the vehicle, by calliper: 32 mm or 1 1/4\""),
        Field::text(format!("{path}.length"), format!("Length of {}", tube.name), tube.length.written())
            .hint("between two squares laid to its tips, or along its axis as the piece says"),
    ];
    if tube.form == TubeForm::Patch {
        let girth = tube.girth.as_ref().map_or(String::new(), |own| own.written().to_owned());
        out.push(Field::text(format!("{path}.girth"), format!("How far {} goes round", tube.name), girth).hint("120°"));
    } else {
        let seam = tube.seam_at.as_ref().map_or(String::new(), |own| own.written().to_owned());
        out.push(
            Field::text(format!("{path}.seam_at"), format!("Where the long seam of {} stands", tube.name), seam)
                .hint("from the zero line: 180° is opposite; empty takes 180°"),
        );
    }
    out
}

fn check_tables(pieces: &[PiecePlan]) -> Vec<Table> {
    let with = pieces.iter().filter(|piece| !piece.blank.check_dimensions.is_empty());
    with.map(|piece| {
        let row = |check: &blank::CheckDimension| {
            let unit = if check.unit == "°" { "°".to_owned() } else { format!(" {}", check.unit) };
            vec![
                Cell::words(&check.name),
                Cell::number(format!("{:.1}{unit}", check.nominal)),
                Cell::number(format!("± {:.1}{unit}", check.tolerance)),
                Cell::words(&check.rule),
                Cell::number(check.reach.map_or_else(|| "–".to_owned(), |reach| format!("± {reach:.1}{unit}"))),
            ]
        };
        Table {
            caption: format!("Check dimensions of {}", piece.name),
            head: vec!["what", "nominal", "allowed", "rule", "reach"],
            rows: piece.blank.check_dimensions.iter().map(row).collect(),
        }
    })
    .collect()
}

fn placing(piece: &PiecePlan) -> String {
    use crate::web::figures::escape;
    let placing = &piece.placing;
    let front = placing.front_label().to_lowercase();
    let lines = [
        ("hand", &placing.hand),
        ("face out", &placing.face_out),
        ("edge up", &placing.edge_up),
        (front.as_str(), &placing.front_end),
        ("curl", &placing.curl),
    ];
    let written: String = lines
        .iter()
        .filter(|(_, words)| !words.is_empty())
        .map(|(head, words)| format!("<dt>{head}</dt><dd>{}</dd>", escape(words)))
        .collect();
    let datum: String = piece
        .skin
        .iter()
        .flat_map(|skin| skin.datum_words())
        .map(|words| format!("<dt>stations</dt><dd>{}</dd>", escape(words)))
        .collect();
    let mates = piece
        .mates_with
        .as_ref()
        .map(|mate| format!("<dt>mates with</dt><dd>{}</dd>", escape(mate)))
        .unwrap_or_default();
    format!("<h3>{}</h3><dl class=\"placing\">{written}{datum}{mates}</dl>", escape(&piece.name))
}
