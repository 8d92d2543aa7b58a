//! Question 6: the advice, the buttons that take a joint, and what is asked about it.

use crate::browser::Shop;
use axum::http::StatusCode;
use job::file::{Joint, JointKind};

fn joint(shop: &Shop, card: i64, section: &str) -> Joint {
    let job = shop.app.data.card(store::JobId(card)).unwrap().job;
    job.sections.iter().find(|own| own.id == section).unwrap().joint.clone()
}

fn between<'t>(text: &'t str, from: &str, to: &str) -> Option<&'t str> {
    let rest = text.split_once(from)?.1;
    Some(rest.split_once(to)?.0)
}

/// The hidden inputs of the form whose button takes a joint.
fn form_of(html: &str, joint: &str) -> Vec<(String, String)> {
    let form = html
        .split("<form ")
        .skip(1)
        .filter_map(|rest| rest.split_once("</form>"))
        .map(|(form, _)| form)
        .find(|form| form.contains(&format!("Take this joint: {joint}")))
        .unwrap_or_else(|| panic!("no button takes {joint}"));
    let inputs = form.split("<input ").skip(1);
    inputs
        .map(|input| {
            (between(input, "name=\"", "\"").unwrap().into(), between(input, "value=\"", "\"").unwrap().into())
        })
        .collect()
}

#[test]
fn a_button_takes_the_joint_and_what_belongs_to_another_goes() {
    let shop = Shop::open();
    let section = "arch".to_owned();
    let (id, revision) = shop.card_with_section(&section);
    let address = format!("/card/{id}/section/{section}/fields");
    let lap = format!("section.{section}.joint.lap");
    shop.post_form(&address, &[("base", &revision.to_string()), (&lap, "20 mm")]);
    let html = shop.get(&format!("/card/{id}/section/{section}")).text();
    assert!(html.contains("Which joint, for this fitter and this place") && html.contains("for: "));
    let pairs = form_of(&html, "butt");
    let pairs: Vec<(&str, &str)> = pairs.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    let taken = shop.post_form(&address, &pairs);
    assert_eq!(taken.status, StatusCode::SEE_OTHER, "{}", taken.text());
    let joint = joint(&shop, id, &section);
    assert_eq!((joint.kind, joint.lap), (JointKind::Butt, None));
    let html = shop.get(&format!("/card/{id}/section/{section}")).text();
    assert!(html.contains("butt, fusion welded and planished</strong> – chosen"));
}

#[test]
fn what_is_asked_about_the_joint_is_yes_no_or_not_said() {
    let shop = Shop::open();
    let (id, section, mut base) = shop.card_with_pattern();
    let address = format!("/card/{id}/section/{section}/fields");
    let path = format!("section.{section}.joint.load_bearing");
    for (text, wanted) in [("yes", Some(true)), ("no", Some(false)), ("", None)] {
        let kept = shop.post_form(&address, &[("base", &base.to_string()), (&path, text)]);
        assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
        assert_eq!(joint(&shop, id, &section).load_bearing, wanted, "{text:?}");
        base = shop.app.data.card(store::JobId(id)).unwrap().revision.id.0;
    }
    let refused = shop.post_form(&address, &[("base", &base.to_string()), (&path, "perhaps")]);
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let html = shop.get(&format!("/card/{id}/section/{section}")).text();
    assert!(html.contains("not said") && html.contains("Magnet on bare metal"));
}

/// Warp is long work; for a piece whose folds or closed wall hold it, the card says why there is none. No order is taken before one is found.
#[test]
fn a_tube_gets_no_warp_and_says_why() {
    let shop = Shop::open();
    let (id, _) = shop.card_with_section("ladder");
    let address = format!("/card/{id}/section/ladder");
    let none = shop.post_form(&format!("{address}/warp/order"), &[]);
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", none.text());
    let begun = shop.post_form(&format!("{address}/warp"), &[]);
    assert_eq!(begun.status, StatusCode::SEE_OTHER, "{}", begun.text());
    let html = shop.get(&address).text();
    assert!(html.contains("No warp: ") && html.contains("strips and skins"), "{}", html.len());
}

/// Question 6 as it stands on the page.
pub fn question_6(shop: &Shop, id: i64, section: &str) -> String {
    let html = shop.get(&format!("/card/{id}/section/{section}")).text();
    let from = html.find("id=\"q6\"").unwrap();
    let to = html.find("id=\"q7\"").unwrap();
    html.get(from..to).unwrap().to_owned()
}

/// The cautions of the plan (C7 to C26) stand on the card of what is welded; those of heat do not on one that is bonded.
#[test]
fn the_card_carries_the_cautions_that_apply_and_no_others() {
    let shop = Shop::open();
    let (id, revision) = shop.card_with_section("arch");
    let what = |key: &str| {
        let job = shop.app.data.card(store::JobId(id)).unwrap().job;
        let plan = shop.app.planning.compute(&job);
        plan.concerns.iter().find(|concern| concern.key == key).map(|concern| concern.what.clone())
    };
    let hot = ["C12", "C13", "C17", "C20"].map(|key| what(key).unwrap());
    let html = question_6(&shop, id, "arch");
    let job = shop.app.data.card(store::JobId(id)).unwrap().job;
    let plan = shop.app.planning.compute(&job);
    for concern in plan.concerns.iter().filter(|concern| concern.key.starts_with('C')) {
        assert!(html.contains(&concern.what), "{} is missing", concern.key);
        assert!(html.contains(&concern.what_to_do), "{} does not say what to do", concern.key);
    }
    // the whole job bonded: every welded section of the card
    let mut pairs = vec![("base".to_owned(), revision.to_string())];
    for own in &job.sections {
        pairs.push((format!("section.{}.joint.kind", own.id), "bonded_lap".into()));
        pairs.push((format!("section.{}.joint.fixing", own.id), "bond".into()));
    }
    let pairs: Vec<(&str, &str)> = pairs.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    let kept = shop.post_form(&format!("/card/{id}/section/arch/fields"), &pairs);
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.text());
    let html = question_6(&shop, id, "arch");
    for (key, words) in ["C12", "C13", "C20"].into_iter().zip([&hot[0], &hot[1], &hot[3]]) {
        assert!(!html.contains(words.as_str()), "{key} has nothing to do with glue");
    }
    assert!(html.contains(&what("C23").unwrap()));
}

/// A job as somebody else left it.
fn change(shop: &Shop, id: i64, change: impl FnOnce(&mut job::file::Job)) {
    let card = shop.app.data.card(store::JobId(id)).unwrap();
    let mut job = card.job;
    change(&mut job);
    shop.app.data.commit(store::JobId(id), card.revision.id, &job, card.waits, "test").unwrap();
}

/// Zinc on the old panel (C7), stainless sheet (C10), and a fitter without a welder: what is hot is hot whoever welds it, and the card says so.
#[test]
fn zinc_stainless_and_a_welder_who_is_called_in_have_their_cautions_on_the_card() {
    use job::file::{Job, Kit, Piece};
    type Changed<'a> = (&'a dyn Fn(&mut Job), &'a [&'a str]);
    let zinc = |job: &mut Job| job.sections.iter_mut().for_each(|own| own.joint.zinc_coated = Some(true));
    let stainless = |job: &mut Job| {
        let pieces = job.patterns.iter_mut().flat_map(|pattern| &mut pattern.pieces);
        for strip in pieces.filter_map(|piece| if let Piece::Strip(strip) = piece { Some(strip) } else { None }) {
            strip.material = "stainless18_8".into();
        }
    };
    let nobody = |job: &mut Job| {
        zinc(job);
        job.fitter.kit = Kit::None;
    };
    let changes: [Changed<'_>; 3] =
        [(&zinc, &["C7", "C12", "C20"]), (&stainless, &["C10", "C12", "C20"]), (&nobody, &["C7", "C12", "C13", "C20"])];
    for (made, ids) in changes {
        let shop = Shop::open();
        let (id, _) = shop.card_with_section("arch");
        change(&shop, id, made);
        let html = question_6(&shop, id, "arch");
        let plan = shop.app.planning.compute(&shop.app.data.card(store::JobId(id)).unwrap().job);
        for key in ids {
            let concern = plan.concerns.iter().find(|concern| concern.key == *key);
            let concern = concern.unwrap_or_else(|| panic!("{key} is not in the plan"));
            assert!(html.contains(&concern.what), "{key} is missing on the card");
            assert!(html.contains(&concern.what_to_do), "{key} does not say what to do");
        }
    }
}

/// What decides stands before what is looked up; the welds stand as a table with their pauses.
#[test]
fn what_decides_stands_first_and_the_welds_in_a_table() {
    let shop = Shop::open();
    let (id, _) = shop.card_with_section("arch");
    let html = question_6(&shop, id, "arch");
    let at = |words: &str| html.find(words).unwrap_or_else(|| panic!("{words} is missing"));
    assert!(at("class=\"decides\"") < at("Which joint, for this fitter and this place"));
    assert!(at("Set first") < at("All settings of the machine"));
    let order = html.split_once("Welds in their order: ").unwrap().1;
    let count: usize = order.split_once('<').unwrap().0.parse().unwrap();
    let table = order.split_once("</table>").unwrap().0;
    assert_eq!(table.matches("<tr>").count(), count + 1, "a row for each weld, and the head");
    assert!(table.contains("pause before it") && table.contains("plug"));
    assert!(!table.contains("class=\"stack\""), "each weld is one line on a phone too");
    assert!(html.contains("Work out the heat") && html.contains("Work out the warp"));
}

/// The heat is work of seconds: asked for, it stands on the card with lines, list and mesh.
#[test]
fn the_heat_of_the_panel_is_worked_out_at_a_word() {
    let shop = Shop::open();
    let (id, _) = shop.card_with_section("arch");
    let address = format!("/card/{id}/section/arch");
    let begun = shop.post_form(&format!("{address}/heat"), &[]);
    assert_eq!(begun.status, StatusCode::SEE_OTHER, "{}", begun.text());
    let mut html = String::new();
    for _ in 0..6000 {
        html = question_6(&shop, id, "arch");
        if html.contains("nothing nearer than") || html.contains("No heat: ") {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(100));
    }
    let burns = html.split_once("paint burns within ").and_then(|(_, rest)| rest.split_once(" mm")).unwrap().0;
    let burns: f64 = burns.parse().unwrap();
    assert!((2.0..24.0).contains(&burns), "a dot of wire is far less than a long run: {burns} mm");
    for words in [
        "paint burns within",
        "nothing nearer than",
        "layer heat",
        "bright bare steel",
        "seam sealer",
        "lead body solder",
        "bonded glass",
    ] {
        assert!(
            html.contains(words),
            "{words} is missing: {}",
            html.split_once("Heat: how hot").map_or("", |(_, rest)| rest.get(..800).unwrap_or(""))
        );
    }
}
