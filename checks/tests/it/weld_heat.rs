//! Heat of an arc on thin sheet. W1, W4 arithmetic of EN 1011-1; W2 EN 1011-1 as TWI gives it (seen); W3 IIW XII-2070-12 and DuPont
//! and Marder (seen); W5 textbooks (from memory); W6, W7 supply chart and power-source manual tables (seen); W8, W10 AWS Welding
//! Handbook vol. 1 (from memory), W9, W11, W13 recomputed from them; W12 Rosenthal 1941/46 (from memory), recomputed outside this
//! program; W34, H13, H14 common practice, no source.

use crate::near::near;
use handbook::welding::{
    self, ArcProcess, HeatProcess, MANUAL_TIG_0_9_MM, WIRE_WELD_THIN_SHEET, heat_outside_envelope, steel_current,
    tungsten_for,
};

#[test]
fn w2_w3_w5_efficiency_by_convention_and_as_measured() {
    near(ArcProcess::SubmergedArc.by_convention(), 1.0, 1e-12);
    for process in [ArcProcess::ManualMetalArc, ArcProcess::GasShieldedWire, ArcProcess::FluxCoredWire] {
        near(process.by_convention(), 0.8, 1e-12);
    }
    for process in [ArcProcess::Tig, ArcProcess::Plasma] {
        near(process.by_convention(), 0.6, 1e-12);
    }
    let tig = HeatProcess::Tig.heat_flow_efficiency();
    assert_eq!((tig.value, tig.range), (0.78, [0.73, 0.82]), "heat flow takes what is measured (X9)");
    near(HeatProcess::WireInDots.heat_flow_efficiency().value, 0.84, 1e-12);
    assert_eq!(HeatProcess::OxyAcetylene.heat_flow_efficiency().range, [0.25, 0.8]);
}

#[test]
fn w6_w7_current_tungsten_and_filler() {
    for (inch, ampere) in [(0.036, 36.0), (0.048, 48.0)] {
        near(steel_current(inch * 25.4).unwrap().value, ampere, 1e-9);
    }
    let at_1_mm = steel_current(1.0).unwrap().value;
    let [low, high] = welding::STEEL_CURRENT_1_MM_A;
    assert!((low..=high).contains(&at_1_mm), "the rule fits the chart: {at_1_mm} A on 1.0 mm");
    for t in [0.5, 0.7, 0.9, 1.0] {
        let [low, high] = welding::STEEL_CURRENT_0_5_TO_1_MM_A;
        assert!((low..=high).contains(&steel_current(t).unwrap().value), "{t}");
    }
    let for_0_9 = tungsten_for(steel_current(0.9).unwrap().value).unwrap().unwrap();
    near(for_0_9.diameter_mm, 1.0, 1e-12);
    near(tungsten_for(80.0).unwrap().unwrap().diameter_mm, 1.6, 1e-12);
    assert_eq!(tungsten_for(200.0).unwrap(), None);
    assert!(tungsten_for(f64::NAN).is_err() && steel_current(0.0).is_err());
    assert_eq!(welding::FILLER_1_6_MM_CURRENT_A, [20.0, 90.0]);
}

#[test]
fn w34_h13_h14_envelopes() {
    // 60 % of 25 A · 9 V over 3 mm/s up to 78 % of 45 A · 12 V over 1.5 mm/s is "about 50 to 150 J/mm" with its corners cut off
    let tig = MANUAL_TIG_0_9_MM;
    let mid = |range: [f64; 2]| (range[0] + range[1]) / 2.0;
    let usual = 0.6 * mid(tig.current_a) * mid(tig.voltage_v) / mid(tig.travel_mm_s);
    let [low, high] = HeatProcess::Tig.usual_net_j_mm();
    assert!(low < usual && usual < high, "{usual}");
    for (process, printed) in [
        (HeatProcess::Tig, [50.0, 150.0]),
        (HeatProcess::WireInDots, [60.0, 160.0]),
        (HeatProcess::OxyAcetylene, [150.0, 400.0]),
    ] {
        assert_eq!(process.usual_net_j_mm(), printed);
        for (heat, cautioned) in
            [(printed[0] - 1.0, true), (printed[0], false), (printed[1], false), (printed[1] + 1.0, true)]
        {
            assert_eq!(heat_outside_envelope(process, 0.9, heat).unwrap().is_some(), cautioned, "{heat}");
        }
    }
    let wire = WIRE_WELD_THIN_SHEET;
    assert_eq!((wire.wire_mm, wire.current_a, wire.voltage_v), (0.6, [30.0, 50.0], [14.0, 17.0]));
    assert_eq!((wire.gas_l_min, wire.dot_s), ([8.0, 12.0], [0.5, 1.0]));
}
