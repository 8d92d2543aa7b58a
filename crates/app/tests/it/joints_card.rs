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
    let (id, section, revision) = shop.card_with_pattern();
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
