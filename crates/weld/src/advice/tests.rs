//! Advice against common practice (no source), and the rules of C5 and C6.

use super::*;
use handbook::joints::Metal;

fn volunteer() -> Situation {
    Situation {
        place: Place::Panel,
        flanged: false,
        old_mm: 0.9,
        new_mm: 0.9,
        old_metal: Some(Metal::Steel),
        new_metal: Metal::Steel,
        skill: Skill::Volunteer,
        kit: Kit::GasShieldedWire,
        access_behind: true,
        visible: Some(true),
        load_bearing: Some(false),
        near_mounting: Some(false),
        was_spot_welded: None,
        whole_panel: None,
        country: "GB".into(),
        warp: Vec::new(),
    }
}

fn first(situation: &Situation) -> JointForm {
    advise(situation, &ShopRules::default()).ranked.first().unwrap().form
}

/// Common practice, no source: who has never welded gets a lap with plugs on thin sheet, whatever else is said.
#[test]
fn a_first_time_welder_on_thin_sheet_gets_a_lap_with_plugs() {
    for t in [0.6, 0.7, 0.8, 0.9, 1.0, 1.2] {
        for kit in [Kit::GasShieldedWire, Kit::Tig, Kit::OxyAcetylene] {
            for access_behind in [true, false] {
                for visible in [None, Some(true), Some(false)] {
                    let own = Situation { old_mm: t, new_mm: t, kit, access_behind, visible, ..volunteer() };
                    assert!(first(&own).is_plugged(), "{own:?}");
                }
            }
        }
    }
    assert_eq!(first(&volunteer()), JointForm::SteppedLapPlug);
}

#[test]
fn a_trade_welder_with_a_dolly_behind_gets_the_butt() {
    let own = Situation { skill: Skill::Trade, kit: Kit::Tig, ..volunteer() };
    assert_eq!(first(&own), JointForm::Butt);
    assert_ne!(first(&Situation { access_behind: false, ..own }), JointForm::Butt);
}

#[test]
fn a_computed_warp_counts() {
    let trade = Situation { skill: Skill::Trade, kit: Kit::Tig, ..volunteer() };
    let buckling = WarpFigure { form: JointForm::Butt, height_mm: Some(4.0), reach_mm: Some(2.0), buckles: true };
    let own = Situation { warp: vec![buckling], ..trade };
    let advice = advise(&own, &ShopRules::default());
    let butt = advice.ranked.iter().find(|own| own.form == JointForm::Butt).unwrap();
    assert!(butt.reasons.iter().any(|reason| reason.text.contains("4.0 ± 2.0 mm")));
    let points = |situation: &Situation| {
        let advice = advise(situation, &ShopRules::default());
        let butt = advice.ranked.iter().find(|own| own.form == JointForm::Butt).unwrap();
        (butt.points, advice.ranked.iter().position(|own| own.form == JointForm::Butt))
    };
    let without = Situation { warp: Vec::new(), ..own.clone() };
    assert!(
        points(&own).0 < points(&without).0,
        "a butt that buckles counts for less than one of which nothing is known"
    );
    assert!(points(&own).1 >= points(&without).1);
}

/// C6: each refusal names its rule and country; elsewhere it says so and still refuses.
#[test]
fn on_metal_that_carries_load_only_a_seam_is_left() {
    for country in ["GB", "DE", ""] {
        for (load_bearing, near_mounting) in [(Some(true), Some(false)), (None, Some(true))] {
            let own = Situation { load_bearing, near_mounting, country: country.into(), ..volunteer() };
            let advice = advise(&own, &ShopRules::default());
            assert!(advice.competent_person);
            assert!(advice.ranked.iter().all(|own| own.form == JointForm::Butt), "{:?}", advice.ranked);
            for form in [JointForm::SteppedLapPlug, JointForm::DoublerPlug, JointForm::BondedLap] {
                let refusal = advice.refusal(form).unwrap();
                assert_eq!(refusal.by, RefusedBy::Rule);
                assert!(refusal.source.contains("C6") && refusal.why.contains("Great Britain"));
                assert_eq!(refusal.why.contains("stricter"), country != "GB");
            }
        }
    }
}

#[test]
fn plugs_are_accepted_there_where_the_original_was_spot_welded_and_the_panel_comes_out() {
    let loaded = Situation { load_bearing: Some(true), ..volunteer() };
    let cases = [
        (Some(true), Some(true), true),
        (Some(true), Some(false), false),
        (Some(true), None, false),
        (None, Some(true), false),
    ];
    for (was_spot_welded, whole_panel, accepted) in cases {
        let advice = advise(&Situation { was_spot_welded, whole_panel, ..loaded.clone() }, &ShopRules::default());
        assert_eq!(advice.refusal(JointForm::SteppedLapPlug).is_none(), accepted);
        assert!(advice.refusal(JointForm::BondedLap).is_some(), "adhesive never");
    }
}

#[test]
fn metals_have_their_own_lists() {
    let rules = ShopRules::default();
    let other = advise(&Situation { old_metal: Some(Metal::Other), ..volunteer() }, &rules);
    assert!(other.ranked.is_empty());
    assert!(other.refused.iter().all(|refusal| refusal.why == "not computed for this metal"));
    let mixed = advise(&Situation { old_metal: Some(Metal::Aluminium), ..volunteer() }, &rules);
    assert!(mixed.ranked.iter().all(|own| own.form.is_bonded()));
    let own = Situation {
        old_metal: Some(Metal::Aluminium),
        new_metal: Metal::Aluminium,
        kit: Kit::Tig,
        skill: Skill::Trade,
        ..volunteer()
    };
    assert_eq!(first(&own), JointForm::Butt);
    let new = advise(&Situation { skill: Skill::Volunteer, ..own }, &rules);
    assert!(new.ranked.iter().all(|own| own.form == JointForm::BondedLap));
}

#[test]
fn kit_and_access_refuse_what_they_cannot_make() {
    let rules = ShopRules::default();
    let none = advise(&Situation { kit: Kit::None, flanged: true, ..volunteer() }, &rules);
    assert!(none.ranked.iter().all(|own| !own.form.kind().is_welded()));
    assert_eq!(none.ranked.first().map(|own| own.form), Some(JointForm::BoltedFlange));
    let spots = Situation { kit: Kit::Spot, ..volunteer() };
    assert!(first(&spots).is_spotted());
    let blind = advise(&Situation { access_behind: false, ..spots }, &rules);
    assert!(blind.ranked.iter().all(|own| !own.form.is_spotted()));
    let unlike = advise(&Situation { old_mm: 0.5, new_mm: 1.6, ..volunteer() }, &rules);
    assert!(unlike.refusal(JointForm::Butt).is_some_and(|refusal| refusal.by == RefusedBy::Sheets));
}

#[test]
fn what_was_not_said_is_named() {
    let unsaid = Situation { old_metal: None, visible: None, load_bearing: None, near_mounting: None, ..volunteer() };
    assert_eq!(advise(&unsaid, &ShopRules::default()).not_said.len(), 4);
    assert!(advise(&volunteer(), &ShopRules::default()).not_said.is_empty());
}

/// Every sentence is short enough for a card and speaks plainly.
#[test]
fn reasons_are_short() {
    for skill in [Skill::Volunteer, Skill::Handy, Skill::Trade] {
        for access_behind in [true, false] {
            let own = Situation { skill, access_behind, was_spot_welded: Some(true), flanged: true, ..volunteer() };
            for advised in advise(&own, &ShopRules::default()).ranked {
                assert!(!advised.reasons.is_empty());
                assert!(advised.reasons.iter().all(|reason| reason.text.len() < 110 && reason.points != 0));
            }
        }
    }
}

/// A bolted flange is advised only where there are flanges to bolt.
#[test]
fn nobody_is_sent_to_bolt_what_has_no_flange() {
    for place in [Place::Panel, Place::RoundEdge] {
        let ranked = |flanged| advise(&Situation { place, flanged, ..volunteer() }, &ShopRules::default()).ranked;
        let bolts = |ranked: Vec<Advised>| ranked.iter().any(|own| own.form == JointForm::BoltedFlange);
        assert!(!bolts(ranked(false)) && bolts(ranked(true)), "{place:?}");
    }
}
