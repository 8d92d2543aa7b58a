//! Reasons for and against a joint that may be made. Points are common practice, no source.

use super::Reason;
use super::situation::{Kit, Situation, Skill, WarpFigure};
use handbook::joints::JointForm;

/// All reasons, the weightiest first.
pub(super) fn reasons(form: JointForm, situation: &Situation) -> Vec<Reason> {
    let mut list = List::default();
    practice(form, situation, &mut list);
    kit(form, situation, &mut list);
    looks(form, situation, &mut list);
    protection(form, situation, &mut list);
    warp(form, situation, &mut list);
    original(form, situation, &mut list);
    list.reasons.sort_by_key(|reason| std::cmp::Reverse(reason.points.abs()));
    list.reasons
}

#[derive(Default)]
struct List {
    reasons: Vec<Reason>,
}

impl List {
    fn add(&mut self, points: i32, text: impl Into<String>) {
        self.reasons.push(Reason { points, text: text.into() });
    }
}

fn practice(form: JointForm, situation: &Situation, list: &mut List) {
    let t = situation.thin_mm();
    match (form, situation.skill) {
        (JointForm::Butt, Skill::Volunteer) => {
            list.add(
                -5,
                format!("a butt in {t:.1} mm sheet is the hardest weld there is to learn: it burns through and warps"),
            );
        }
        (JointForm::Butt, Skill::Handy) => {
            list.add(-2, "a butt in thin sheet wants a steady hand: try it on offcuts first")
        }
        (JointForm::Butt, Skill::Trade) => list.add(1, "the fitter does this for a living"),
        (_, Skill::Volunteer) if form.is_plugged() => {
            list.add(3, "a plug is the first weld to learn, and a lap forgives a poor fit");
        }
        (_, Skill::Handy) if form.is_plugged() => list.add(2, "a lap forgives a poor fit, and plugs go quickly"),
        (_, Skill::Volunteer | Skill::Handy) if form.is_spotted() => {
            list.add(3, "once set on offcuts, the machine makes every spot the same");
        }
        (JointForm::BoltedFlange, _) => list.add(2, "no heat, no skill with a torch, and it comes apart again"),
        _ if form.is_bonded() => {
            list.add(1, "no heat: nothing warps");
            list.add(-2, "a bad bond looks like a good one, and nobody can test it afterwards");
        }
        _ => {}
    }
    if form == JointForm::Butt && t < 0.75 {
        list.add(-1, "so thin an edge burns back from the gap");
    }
    if form == JointForm::Butt && t >= 1.2 {
        list.add(1, "the sheet is thick enough to hold a pool");
    }
}

fn kit(form: JointForm, situation: &Situation, list: &mut List) {
    match (form, situation.kit) {
        (JointForm::Butt, Kit::GasShieldedWire) => list.add(-1, "wire leaves a hard, high bead that must be ground"),
        (JointForm::Butt, Kit::Tig | Kit::OxyAcetylene) if situation.access_behind => {
            list.add(2, "the seam is soft and the dolly reaches it: it can be planished until nothing is left of it");
        }
        (_, Kit::OxyAcetylene) if form.is_plugged() => {
            list.add(-2, "a flame heats the whole lap while it fills one hole");
        }
        _ => {}
    }
    if !situation.access_behind {
        match form {
            JointForm::Butt => list.add(-2, "neither copper nor dolly reaches the back"),
            JointForm::BoltedFlange => list.add(-2, "nobody can hold the nuts behind, unless they are captive"),
            _ => {}
        }
    }
}

fn looks(form: JointForm, situation: &Situation, list: &mut List) {
    let edge_stays = matches!(form, JointForm::DoublerPlug | JointForm::DoublerSpot | JointForm::BondedLap);
    match situation.visible {
        Some(true) if form.kind().is_stepped() => list.add(1, "the step puts both skins flush outside"),
        Some(true) if edge_stays => list.add(-2, "it shows: the old edge stays one thickness proud, under filler"),
        Some(false) if form == JointForm::DoublerPlug || form == JointForm::DoublerSpot => {
            list.add(1, "nobody sees the edge, and no step has to be pressed");
        }
        _ => {}
    }
    if situation.visible == Some(true) && form.is_spotted() {
        list.add(-1, "the tips leave a row of dents in a face that shows");
    }
}

fn protection(form: JointForm, situation: &Situation, list: &mut List) {
    if form == JointForm::Butt && situation.access_behind {
        list.add(1, "no lap: both sides can be cleaned, coated and looked at");
    } else if form == JointForm::BoltedFlange {
        list.add(1, "faces are painted before they meet, and can be opened again");
    } else if form.kind().is_lap() && !form.is_bonded() {
        if situation.access_behind {
            list.add(-1, "two faces lie on each other: primed before, sealed along both edges after");
        } else {
            list.add(-2, "the inner edge of the lap cannot be sealed: water gets in there and stays");
        }
    }
}

fn warp(form: JointForm, situation: &Situation, list: &mut List) {
    let computed = situation.warp.iter().find(|figure| figure.form == form);
    let out = |figure: &WarpFigure| match (figure.height_mm, figure.reach_mm) {
        (Some(height_mm), Some(reach_mm)) => format!("{height_mm:.1} ± {reach_mm:.1} mm out of shape"),
        _ => "no resting shape was found".to_owned(),
    };
    match computed {
        Some(figure) if figure.buckles => list.add(-3, format!("computed: the panel buckles, {}", out(figure))),
        Some(figure) if figure.height_mm.is_none() => list.add(0, format!("computed: {}", out(figure))),
        Some(figure) => list.add(1, format!("computed: the panel holds, {}", out(figure))),
        None if form == JointForm::Butt => list.add(-1, "a seam all along shrinks the sheet more than dots far apart"),
        None => {}
    }
}

fn original(form: JointForm, situation: &Situation, list: &mut List) {
    if situation.was_spot_welded == Some(true) {
        if form.is_spotted() {
            list.add(2, "as it left its maker: spots where the old ones were");
        } else if form.is_plugged() {
            list.add(1, "plugs where the old spots were: near to how it left its maker");
        }
    }
    if situation.carries() == Some(true) && form == JointForm::Butt {
        list.add(3, "a seam all round is what an inspector accepts on metal that carries load");
    }
}
