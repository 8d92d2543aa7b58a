//! Fields of a double-curved skin that hold more than one number: profiles, outline, places of templates.
//!
//! A profile is a line: its station, a colon, and its points, parted by commas, each as across and height: `60: 0 39, 40 46`.
//! A profile with a reach of its own says it behind its station: `60 ± 1 mm: 0 39, 40 46`.

use crate::failure::Failure;
use job::file::{Skin, SkinProfile};
use serde_json::{Value, json};
use units::Dimension;

/// What a refused point should have been.
const POINT: &str = "across and height are accepted, as in 45 91 or 45 3 5/8\"";

/// What the text of a form means for one of these fields; `None` takes it away.
///
/// # Errors
/// What cannot be read, with the profile and the point.
pub fn value_of(piece: &Value, name: &str, text: &str) -> Result<Option<Value>, Failure> {
    let text = text.trim();
    match name {
        "profile" => profiles(text).map(Some),
        "points" => {
            let station = piece.get("station").map(|own| own.as_str().map_or_else(|| own.to_string(), str::to_owned));
            let place = station.map_or_else(|| "the profile".to_owned(), |station| format!("the profile at {station}"));
            points(text, &place).map(Some)
        }
        "outline" if text.is_empty() => Ok(None),
        "outline" => points(text, "the outline").map(Some),
        _ if text.is_empty() => Ok(None),
        _ => lengths(text).map(Some),
    }
}

/// The profiles as they are written in their field.
pub fn profiles_written(skin: &Skin) -> String {
    let line = |own: &SkinProfile| {
        let reach = own.reach.as_ref().map_or_else(String::new, |reach| format!(" ± {}", reach.written()));
        format!("{}{reach}: {}", own.station.written(), points_written(&own.points))
    };
    skin.profiles.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// "0 92, 45 91".
pub fn points_written(points: &[[Dimension; 2]]) -> String {
    points.iter().map(|[a, b]| format!("{} {}", a.written(), b.written())).collect::<Vec<_>>().join(", ")
}

fn profiles(text: &str) -> Result<Value, Failure> {
    let lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    let profile = |line: &str| {
        let Some((head, points_text)) = line.split_once(':') else {
            let message =
                format!("{line:?} is no profile; a station, a colon and points are accepted, as in 60: 0 39, 40 46");
            return Err(Failure::bad_input(message));
        };
        let (station, reach) = match head.split_once('±') {
            Some((station, reach)) => (station.trim(), Some(reach.trim())),
            None => (head.trim(), None),
        };
        let place = format!("the profile at {station}");
        for (what, length) in std::iter::once(("station", station)).chain(reach.map(|reach| ("reach", reach))) {
            Dimension::parse(length).map_err(|error| Failure::bad_input(format!("{place}: its {what}: {error}")))?;
        }
        let mut profile = json!({ "station": station, "points": points(points_text, &place)? });
        if let (Some(reach), Some(fields)) = (reach, profile.as_object_mut()) {
            fields.insert("reach".to_owned(), reach.into());
        }
        Ok(profile)
    };
    lines.map(profile).collect()
}

/// Pairs parted by commas, semicolons or lines.
fn points(text: &str, place: &str) -> Result<Value, Failure> {
    let written = text.split([',', ';', '\n']).map(str::trim).filter(|written| !written.is_empty());
    written.enumerate().map(|(index, written)| pair(written, &format!("{place}, point {}", index + 1))).collect()
}

/// Two lengths beside one another, each of as many words as it has: "160 1 3/8\"" is 160 and one inch and three eighths.
fn pair(written: &str, place: &str) -> Result<Value, Failure> {
    let words: Vec<&str> = written.split_whitespace().collect();
    let ways = (1..words.len()).filter_map(|count| {
        let (first, second) = words.split_at_checked(count)?;
        let (first, second) = (first.join(" "), second.join(" "));
        (Dimension::parse(&first).is_ok() && Dimension::parse(&second).is_ok()).then_some((first, second))
    });
    let ways: Vec<(String, String)> = ways.collect();
    match ways.as_slice() {
        [(across, height)] => Ok(json!([across, height])),
        [] => Err(Failure::bad_input(format!("{place}: {written:?} is no point; {POINT}"))),
        [(a, b), (c, d), ..] => Err(Failure::bad_input(format!(
            "{place}: {written:?} may be {a} and {b} or {c} and {d}; write each with its unit, as in 160 mm 1 3/8\""
        ))),
    }
}

fn lengths(text: &str) -> Result<Value, Failure> {
    let written = text.split([',', ';', '\n']).map(str::trim).filter(|written| !written.is_empty());
    let length = |written: &str| match Dimension::parse(written) {
        Ok(_) => Ok(Value::from(written)),
        Err(error) => Err(Failure::bad_input(format!("{error}; lengths parted by commas are accepted, as in 60, 210"))),
    };
    written.map(length).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(name: &str, text: &str) -> Value {
        value_of(&Value::Null, name, text).unwrap().unwrap()
    }

    #[test]
    fn mixed_inches_and_units_are_points() {
        let wanted = json!([["160", "1 3/8\""], ["1 1/2\"", "3/4\""], ["45 mm", "91.5 mm"], ["0", "-3"]]);
        assert_eq!(read("points", "160 1 3/8\", 1 1/2\" 3/4\"; 45 mm 91.5 mm\n0 -3"), wanted);
        assert_eq!(read("outline", "0 0, 420 0, 420 240"), json!([["0", "0"], ["420", "0"], ["420", "240"]]));
        assert_eq!(read("templates_at", "60, 8 1/4\""), json!(["60", "8 1/4\""]));
        assert_eq!(value_of(&Value::Null, "outline", " ").unwrap(), None);
    }

    #[test]
    fn what_is_written_is_read_again() {
        let text = "0: 0 30, 40 37\n60 ± 1 mm: 0 39, 40 46";
        let profiles: Vec<SkinProfile> = serde_json::from_value(read("profile", text)).unwrap();
        assert_eq!(profiles[1].reach.as_ref().unwrap().written(), "1 mm");
        let job = crate::demo::cards().unwrap().into_iter().find_map(|card| {
            let pieces = card.job.sections.into_iter().flat_map(|section| section.pieces);
            pieces
                .into_iter()
                .find_map(|piece| if let job::file::Piece::Skin(skin) = piece { Some(skin) } else { None })
        });
        let mut skin = job.unwrap();
        let kept: Vec<SkinProfile> = serde_json::from_value(read("profile", &profiles_written(&skin))).unwrap();
        assert_eq!(kept.len(), skin.profiles.len());
        skin.profiles = profiles;
        assert_eq!(profiles_written(&skin), text);
    }

    #[test]
    fn a_refused_point_says_which_profile_and_which_point() {
        let failure = value_of(&Value::Null, "profile", "0: 0 30, 40 37\n60: 0 39, 45").unwrap_err();
        assert!(failure.message.contains("the profile at 60, point 2") && failure.message.contains("45"), "{failure}");
        let failure = value_of(&json!({ "station": 120 }), "points", "0 92, 45 x").unwrap_err();
        assert!(failure.message.contains("the profile at 120, point 2"), "{failure}");
        let failure = value_of(&Value::Null, "profile", "0 30, 40 37").unwrap_err();
        assert!(failure.message.contains("colon"), "{failure}");
    }
}
