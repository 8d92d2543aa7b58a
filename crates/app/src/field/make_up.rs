//! The make-ups of an edge as one line of text, outward: `flange 100°, radius 1.5, width 14, inside; wired 3.2, inside`.
//!
//! Each is its kind, its first size, and its other words parted by commas. What changes along the edge is written with its stations:
//! `width 14 at 0 / 20 at 300`.

use crate::failure::Failure;
use job::file::{Along, FlangeRelief, MakeUp, MakeUpKind, Turns};
use serde_json::{Map, Value, json};
use units::Dimension;

/// What stands in the hint of a field of make-ups.
pub const HINT: &str = "outward, parted by semicolons: flange 100°, radius 1.5, width 14, inside; wired 3.2, inside; hem 8, inside; joggle 12; \
                        raw 2; empty is a raw edge";

/// The kinds, each with the field of its first size, and the words it takes.
const KINDS: [(&str, &str, &[&str]); 6] = [
    ("flange", "opening", &["radius", "width", "split at", "turns", "relief", "lap leg"]),
    ("wired", "wire", &["stands out", "turns"]),
    ("hem", "width", &["radius", "open", "turns"]),
    ("joggle", "lap", &["depth"]),
    ("raw", "trim", &[]),
    ("seam", "width", &[]),
];

/// The make-ups as they are written in their field.
pub fn written(make_ups: &[MakeUp]) -> String {
    make_ups.iter().map(one_written).collect::<Vec<_>>().join("; ")
}

fn one_written(make_up: &MakeUp) -> String {
    let sized = |name: &str, own: &Option<Dimension>| own.as_ref().map(|own| format!("{name} {}", own.written()));
    let word = |is: bool, word: &str| is.then(|| word.to_owned());
    let (head, mut rest): (String, Vec<Option<String>>) = match &make_up.what {
        MakeUpKind::Raw { trim } => (format!("raw {}", trim.written()), Vec::new()),
        MakeUpKind::Seam { width } => (format!("seam {}", width.written()), Vec::new()),
        MakeUpKind::Joggle { depth, lap } => (format!("joggle {}", lap.written()), vec![sized("depth", depth)]),
        MakeUpKind::Hem { width, radius, open, turns } => (
            format!("hem {}", width.written()),
            vec![sized("radius", radius), word(*open, "open"), Some(turns_word(*turns).to_owned())],
        ),
        MakeUpKind::Wired { wire, turns, stands_out } => (
            sized("wired", wire).unwrap_or_else(|| "wired".to_owned()),
            vec![
                stands_out.as_ref().map(|[start, end]| format!("stands out {} / {}", start.written(), end.written())),
                Some(turns_word(*turns).to_owned()),
            ],
        ),
        MakeUpKind::Flange { opening, radius, width, turns, relief, split_at, lap_leg } => (
            format!("flange {}", along_written(opening)),
            vec![
                Some(format!("radius {}", radius.written())),
                Some(format!("width {}", along_written(width))),
                Some(turns_word(*turns).to_owned()),
                relief_word(*relief).map(str::to_owned),
                sized("split at", split_at),
                word(*lap_leg, "lap leg"),
            ],
        ),
    };
    rest.push(make_up.when.as_ref().map(|switch| format!("when {switch}")));
    rest.push(make_up.unless.as_ref().map(|switch| format!("unless {switch}")));
    std::iter::once(head).chain(rest.into_iter().flatten()).collect::<Vec<_>>().join(", ")
}

fn turns_word(turns: Turns) -> &'static str {
    match turns {
        Turns::Inside => "inside",
        Turns::Outside => "outside",
    }
}

fn relief_word(relief: FlangeRelief) -> Option<&'static str> {
    match relief {
        FlangeRelief::None => None,
        FlangeRelief::Notches => Some("notches"),
        FlangeRelief::Scallops => Some("scallops"),
        FlangeRelief::Split => Some("split"),
    }
}

fn along_written(along: &Along) -> String {
    match along {
        Along::One(value) => value.written(),
        Along::At(list) => {
            let one = |[station, value]: &[Dimension; 2]| format!("{} at {}", value.written(), station.written());
            list.iter().map(one).collect::<Vec<_>>().join(" / ")
        }
    }
}

/// What the text of a field of make-ups means; `None` takes them away.
///
/// # Errors
/// What cannot be read, with the make-up.
pub fn value_of(text: &str) -> Result<Option<Value>, Failure> {
    let parts = text.split([';', '\n']).map(str::trim).filter(|part| !part.is_empty());
    let make_ups: Vec<Value> = parts.map(one).collect::<Result<_, _>>()?;
    Ok((!make_ups.is_empty()).then(|| make_ups.into()))
}

fn one(text: &str) -> Result<Value, Failure> {
    let refused = |what: String| Failure::bad_input(format!("{text:?}: {what}"));
    let mut words = text.split(',').map(str::trim).filter(|word| !word.is_empty());
    let head = words.next().unwrap_or_default();
    let (kind, size) = head.split_once(char::is_whitespace).unwrap_or((head, ""));
    let Some((_, first, takes)) = KINDS.iter().find(|(name, ..)| *name == kind) else {
        let known: Vec<&str> = KINDS.iter().map(|(name, ..)| *name).collect();
        return Err(refused(format!("{kind:?} is no make-up; {} are accepted", known.join(", "))));
    };
    let mut fields = Map::new();
    fields.insert("make".to_owned(), kind.into());
    if !size.trim().is_empty() {
        fields.insert((*first).to_owned(), sizes(first, size).map_err(&refused)?);
    }
    for word in words {
        let (name, value) = field(word).map_err(&refused)?;
        let asked = match name {
            "when" | "unless" => true,
            "split_at" => takes.contains(&"split at"),
            "stands_out" => takes.contains(&"stands out"),
            "lap_leg" => takes.contains(&"lap leg"),
            name => takes.contains(&name) || name == *first,
        };
        if !asked {
            return Err(refused(format!("a {kind} takes no {word:?}")));
        }
        if fields.insert(name.to_owned(), value).is_some() {
            return Err(refused(format!("{word:?} is said twice")));
        }
    }
    if kind == "flange" {
        // a square flange needs no angle
        fields.entry("opening").or_insert_with(|| "90°".into());
    }
    let missing = needed(kind).iter().find(|name| !fields.contains_key(**name));
    match missing {
        Some(name) if *name == "turns" => Err(refused("which way it turns is missing; inside or outside".to_owned())),
        Some(name) => Err(refused(format!("its {name} is missing"))),
        None => Ok(fields.into()),
    }
}

fn needed(kind: &str) -> &'static [&'static str] {
    match kind {
        "flange" => &["radius", "width", "turns"],
        "wired" => &["turns"],
        "hem" => &["width", "turns"],
        "joggle" => &["lap"],
        "raw" => &["trim"],
        _ => &["width"],
    }
}

/// The field of the job file that a word says, with its value.
fn field(word: &str) -> Result<(&'static str, Value), String> {
    match word {
        "inside" | "outside" => return Ok(("turns", word.into())),
        "notches" | "scallops" | "split" => return Ok(("relief", word.into())),
        "open" => return Ok(("open", true.into())),
        "lap leg" => return Ok(("lap_leg", true.into())),
        _ => {}
    }
    let named = [
        ("radius ", "radius"),
        ("width ", "width"),
        ("split at ", "split_at"),
        ("depth ", "depth"),
        ("lap ", "lap"),
        ("opening ", "opening"),
        ("stands out ", "stands_out"),
        ("when ", "when"),
        ("unless ", "unless"),
    ];
    let found = named.iter().find_map(|(start, name)| Some((*name, word.strip_prefix(start)?.trim())));
    match found {
        Some((name @ ("when" | "unless"), switch)) => Ok((name, switch.into())),
        Some(("stands_out", pair)) => match pair.split_once(" / ") {
            Some((start, end)) => Ok(("stands_out", json!([length(start)?, length(end)?]))),
            None => Err(format!("{word:?}: what stands out at start and end is accepted, as in stands out 3 / -2")),
        },
        Some((name, size)) => Ok((name, sizes(name, size)?)),
        None => Err(format!(
            "{word:?} is not known; sizes with their name and inside or outside are accepted, as in radius 1.5"
        )),
    }
}

/// A size, or sizes with their stations where it may change along the edge.
fn sizes(name: &str, text: &str) -> Result<Value, String> {
    let may_change = matches!(name, "opening" | "width");
    let read = |text: &str| if name == "opening" { angle(text) } else { length(text) };
    if !may_change || !text.contains(" at ") {
        return read(text);
    }
    let one = |part: &str| match part.split_once(" at ") {
        Some((value, station)) => Ok(json!([length(station)?, read(value)?])),
        None => Err(format!("{part:?} has no station; 14 at 0 / 20 at 300 is accepted")),
    };
    text.split(" / ").map(str::trim).map(one).collect()
}

fn length(text: &str) -> Result<Value, String> {
    let text = text.trim();
    Dimension::parse(text).map(|_| text.into()).map_err(|error| error.to_string())
}

fn angle(text: &str) -> Result<Value, String> {
    let text = text.trim();
    Dimension::parse(text).and_then(|own| own.angle_rad()).map(|_| text.into()).map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use job::file::Piece;

    fn read(text: &str) -> Vec<MakeUp> {
        serde_json::from_value(value_of(text).unwrap().unwrap()).unwrap()
    }

    #[test]
    fn every_make_up_is_written_and_read_again() {
        let text = "flange 100° at 0 / 80° at 300, radius 1.5, width 14, outside, notches, when lamp; \
                    wired 10 swg, stands out 3 / -2, inside; hem 8, radius 1/2 mm, open, inside; joggle 12, depth 0.9; raw 2; seam 8; wired, outside";
        let make_ups = read(text);
        assert_eq!(make_ups.len(), 7);
        assert_eq!(written(&make_ups), text);
        assert_eq!(written(&read(&written(&make_ups))), text);
        let square = read("flange, radius 1.5, width 1/2\", inside");
        assert_eq!(written(&square), "flange 90°, radius 1.5, width 1/2\", inside");
        let inches = "flange 90° at 0 / 100° at 12 1/2\", radius 1/16\", width 1/2\" at 0 / 3/4\" at 12\", inside; wired 10 swg, stands out 1/2\" / 3/4\", inside";
        assert_eq!(written(&read(inches)), inches);
        assert_eq!(value_of(" ; ").unwrap(), None);
    }

    fn numbers_as_text(value: &mut serde_json::Value) {
        match value {
            serde_json::Value::Number(number) => *value = number.as_f64().unwrap().to_string().into(),
            serde_json::Value::Array(items) => items.iter_mut().for_each(numbers_as_text),
            serde_json::Value::Object(items) => items.values_mut().for_each(numbers_as_text),
            _ => {}
        }
    }

    #[test]
    fn the_make_ups_of_the_demo_s_pieces_go_through_their_field_unchanged() {
        let mut seen = 0;
        let mut through = |make_ups: &[MakeUp]| {
            if !make_ups.is_empty() {
                // a bare number comes back as text: the same length, written the same
                let again = read(&written(make_ups));
                assert_eq!(written(&again), written(make_ups));
                let bare = |own: &[MakeUp]| {
                    let mut value = serde_json::to_value(own).unwrap();
                    numbers_as_text(&mut value);
                    value
                };
                assert_eq!(bare(&again), bare(make_ups), "{}", written(make_ups));
                seen += make_ups.len();
            }
        };
        for card in crate::demo::cards().unwrap() {
            let patterns = card.job.patterns.into_iter().flat_map(|own| own.pieces);
            for piece in card.job.sections.into_iter().flat_map(|own| own.pieces).chain(patterns) {
                match piece {
                    Piece::Skin(skin) => skin.edges.iter().for_each(|edge| through(&edge.make_ups)),
                    Piece::Strip(strip) => {
                        [&strip.finished_edge, &strip.cut_edge].into_iter().for_each(|own| through(own))
                    }
                    Piece::Folded(folded) => folded.edges.iter().for_each(|edge| through(&edge.make_ups)),
                    _ => {}
                }
            }
        }
        assert!(seen > 10, "{seen}");
    }

    #[test]
    fn what_is_wrong_with_a_make_up_is_named() {
        for (text, said) in [
            ("curl 3", "no make-up"),
            ("flange 90°, radius 1.5, inside", "width is missing"),
            ("wired 3.2", "inside or outside"),
            ("flange 90°, radius 1.5, width wide, inside", "wide"),
            ("hem 8, width 9, inside", "said twice"),
            ("raw 2, inside", "takes no"),
            ("joggle 12, deep", "not known"),
        ] {
            let failure = value_of(text).unwrap_err();
            assert!(failure.message.contains(said), "{text}: {failure}");
        }
    }
}
