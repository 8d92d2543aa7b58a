//! What heat harms behind and beside a weld, and from which temperature.
//!
//! Common practice, no source, unless a line names one: a maker's data sheet goes first. The temperature is the peak of the
//! sheet that the thing touches.

use super::Thermal;
use crate::working::Source;
use serde::Serialize;

/// Clear distance from the weld whatever the heat (C20).
pub const CLEAR_OF_HEAT_MM: f64 = 150.0;
/// The distance of this peak temperature when it lies farther out (C20).
pub const CLEAR_OF_TEMPERATURE_C: f64 = 200.0;
/// Temperature of the sheet at which the next run may begin: a hand can lie on it. Common practice, no source; a setting.
pub const INTER_RUN_C: f64 = 50.0;

/// A weld that begins warmer by more than this than was wanted is told, K. Common practice, no source.
pub const START_TOLD_K: f64 = 10.0;

/// Key of the zinc of coated sheet.
const ZINC: &str = "zinc";
/// Nearer to the temperature at which the sheet starts than this, a weld is not what harms a thing, K.
const OVER_START_K: f64 = 1.0;

/// Something that heat harms.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Harmed {
    /// Stable key.
    pub key: &'static str,
    /// What it is.
    pub name: &'static str,
    /// Peak temperature from which it suffers, °C.
    pub from_c: f64,
    /// What happens.
    pub what_happens: &'static str,
    /// What to do.
    pub what_to_do: &'static str,
    /// Where the temperature is from.
    pub source: Source,
}

const fn practice(
    key: &'static str,
    name: &'static str,
    from_c: f64,
    what_happens: &'static str,
    what_to_do: &'static str,
) -> Harmed {
    Harmed { key, name, from_c, what_happens, what_to_do, source: Source::common_practice("C20") }
}

/// Everything that is looked for, hottest first.
pub const HARMED: [Harmed; 10] = [
    Harmed {
        key: ZINC,
        name: "zinc coating",
        from_c: 419.5,
        what_happens: "melts, burns off as white fume and leaves bare steel",
        what_to_do: "grind it off first, out to this distance and on both faces; coat again afterwards",
        source: Source::text("melting point of zinc (from memory)", "C7"),
    },
    practice("paint-burns", "paint", 250.0, "chars on both faces", "strip it back, and coat both faces again"),
    Harmed {
        key: "solder",
        name: "lead body solder",
        from_c: 183.0,
        what_happens: "begins to melt and runs out",
        what_to_do: "keep the weld farther off or take the solder out first (lead: no grinding, no open flame on it)",
        source: Source::text("eutectic of lead and tin (from memory)", "C11"),
    },
    practice("paint-marks", "paint", 150.0, "softens, yellows or blisters later", "expect to paint out to here"),
    practice("sealer", "seam sealer and underseal", 120.0, "softens, smokes or burns", "scrape it off before heat"),
    practice(
        "adhesive",
        "adhesive of a bonded joint",
        100.0,
        "loses its strength",
        "no weld so near; bond after welding",
    ),
    practice("glass-bond", "bonded glass and its adhesive", 80.0, "cracks, or leaks later", "take the glass out"),
    practice(
        "foam",
        "foam, felt and damping pads",
        80.0,
        "melts, smoulders or burns unseen",
        "take it out before heat",
    ),
    practice("trim", "trim, wiring and plastic clips", 80.0, "melts", "unclip and tie back"),
    practice("wax", "cavity wax", 60.0, "runs, smokes, and may burn in a closed section", "wash it out before heat"),
];

/// What suffers beside a weld in a metal, hottest first: nothing that suffers at the sheet's own temperature already, or only once the sheet
/// itself melts; zinc only where there is some.
pub fn harmed(metal: &Thermal, start_c: f64, zinc_coated: bool) -> impl Iterator<Item = Harmed> {
    let melting_c = metal.melting_c;
    HARMED.into_iter().filter(move |own| {
        (zinc_coated || own.key != ZINC) && own.from_c > start_c + OVER_START_K && own.from_c < melting_c
    })
}
