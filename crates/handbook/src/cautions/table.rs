//! The texts, each with the circumstances that call for it.

use super::Circumstance as On;
use super::Circumstance;
use crate::concern::{Grade, LiftedBy};

pub(super) struct Caution {
    pub(super) id: &'static str,
    pub(super) grade: Grade,
    pub(super) lifted_by: Option<LiftedBy>,
    /// Applies when every circumstance of any one row is present.
    pub(super) when_any: &'static [&'static [Circumstance]],
    pub(super) what: &'static str,
    pub(super) why: &'static str,
    pub(super) what_to_do: &'static str,
    pub(super) source: &'static str,
}

const fn caution(
    id: &'static str,
    when_any: &'static [&'static [Circumstance]],
    [what, why, what_to_do]: [&'static str; 3],
    source: &'static str,
) -> Caution {
    Caution { id, grade: Grade::Caution, lifted_by: None, when_any, what, why, what_to_do, source }
}

const fn competent_person_only(caution: Caution) -> Caution {
    Caution { grade: Grade::Stop, lifted_by: Some(LiftedBy::CompetentPerson), ..caution }
}

const PRACTICE: &str = "common practice, no source";

pub(super) static CAUTIONS: [Caution; 24] = [
    competent_person_only(caution(
        "C5",
        &[&[On::NearMounting]],
        [
            "The work is within 300 mm of a mounting, or on a part that carries load.",
            "Brakes, steering, suspension, seats, belts, hinges, jacking and towing points rely on this metal.",
            "Have a competent person look at it first. In Great Britain roadworthiness testers examine metal within 30 cm of such mountings; elsewhere ask the local inspector and take the stricter rule.",
        ],
        "C5, GOV.UK MOT inspection manual, appendix A (Great Britain)",
    )),
    caution(
        "C6",
        &[&[On::NearMounting]],
        [
            "A repair near a mounting is welded all round.",
            "Brazing, solder, adhesive and filler do not carry load there.",
            "Weld a continuous seam; spot or plug welds only where the original panel had them and that whole panel is replaced. Ask the local inspector.",
        ],
        "C6, MOT inspection manual as quoted in the press (Great Britain)",
    ),
    caution(
        "C7",
        &[&[On::ZincCoated, On::Welding]],
        [
            "Zinc burns off as fume when coated sheet is welded.",
            "The fume brings chills, fever and aching some hours later. US workplace limit: 5 mg/m³ over eight hours.",
            "Strip the zinc 10 mm each side of the weld first, draw the fume off, and wear a mask made for metal fume.",
        ],
        "C7, C8: 29 CFR 1910.1000 table Z-1 (USA)",
    ),
    caution(
        "C10",
        &[&[On::Stainless, On::Welding], &[On::Stainless, On::Grinding]],
        [
            "Welding or grinding stainless or chromate primer sets chromium free.",
            "Hexavalent chromium causes cancer. US workplace limit: 5 µg/m³.",
            "Draw the fume off at the arc, wear a mask made for it, and keep others away.",
        ],
        "C10: 29 CFR 1910.1026 (USA, from memory)",
    ),
    caution(
        "C11",
        &[&[On::OldPaint]],
        [
            "Old paint, red lead and body solder may hold lead or cadmium.",
            "Their dust and fume poison slowly and travel home on clothes. US workplace limits: lead 50 µg/m³, cadmium 5 µg/m³.",
            "Test before you sand, grind or burn. Work wet or with a filtered extractor, wear a mask for fine dust, wash, and change clothes.",
        ],
        "C11: 29 CFR 1910.1025, .1027 (USA, from memory)",
    ),
    caution(
        "C12",
        &[&[On::OpenArc]],
        [
            "An open arc burns eyes and bare skin, also of people who stand by.",
            "Ultraviolet light works in seconds and is felt hours later.",
            "Filter of shade 8 or darker for TIG up to 150 A and 10 above; for wire 10 or darker from 60 A, 7 at the least below; cover skin; screen the place.",
        ],
        "C12: 29 CFR 1910.133(a)(5) (USA, from memory)",
    ),
    caution(
        "C13",
        &[&[On::ChlorinatedSolvent, On::Welding]],
        [
            "Chlorinated solvent near an arc.",
            "Its vapour can turn into phosgene, which kills.",
            "Do not use brake cleaner that holds chlorine on anything to be welded; clean with another agent and let it dry fully.",
        ],
        "C13: 29 CFR 1910.252(c) (USA, from memory)",
    ),
    competent_person_only(caution(
        "C14",
        &[&[On::FuelVessel]],
        [
            "The piece held fuel or gas.",
            "A tank is never presumed clean: heat, sparks or cutting can make it explode, even after years empty.",
            "Do not cut, grind, heat or weld it until a competent person has made it safe by an approved method and tested it.",
        ],
        "C14: US Army welding text; 29 CFR 1910.252(a)(3) (USA, from memory)",
    )),
    caution(
        "C14-near",
        &[&[On::FuelNear, On::Welding], &[On::FuelNear, On::Grinding]],
        [
            "Fuel or gas lines or a tank lie near the work.",
            "Heat and sparks light vapour before it is smelt.",
            "Drain, disconnect and take tank and lines out of reach of heat and sparks, plug what stays, and air the place before you start.",
        ],
        "C14: US Army welding text",
    ),
    caution(
        "C15",
        &[&[On::Battery, On::Welding], &[On::Battery, On::Grinding], &[On::Battery, On::Acid]],
        [
            "A battery is connected or near.",
            "It holds acid and gives off hydrogen; weld current through the vehicle ruins electronics.",
            "Disconnect and remove it before welding. Acid on skin or in eyes: flush at once with much water and see a doctor.",
        ],
        "C15: US Army maintenance text",
    ),
    caution(
        "C16",
        &[&[On::BatteryCharging]],
        [
            "A charging battery gives off hydrogen.",
            "From 4 % in air it explodes; ten ampere-hours of overcharge in six cells make about 27 litres.",
            "Charge with air moving, away from sparks and flames.",
        ],
        "C16: Faraday's law; lower limit from memory",
    ),
    caution(
        "C17",
        &[&[On::Welding], &[On::Grinding]],
        [
            "Sparks and hot metal start fires after you have gone.",
            "Dust, rag and wax glow long before they flame.",
            "Clear what burns for 11 m round, or cover it; keep an extinguisher at hand; watch for at least 30 minutes after the last heat.",
        ],
        "C17: 29 CFR 1910.252(a)(2) (USA, from memory)",
    ),
    caution(
        "C18",
        &[&[On::Acid]],
        [
            "Acid against rust burns skin and eyes, and goes on working in seams.",
            "What stays in a fold rusts it again; long acid makes high-strength and zinc-coated steel brittle.",
            "Gloves and goggles; acid into water, never the other way. Neutralise (about 2.3 g of sodium bicarbonate for each g of hydrogen chloride), rinse, dry, and prime the same day.",
        ],
        "C18: stoichiometry",
    ),
    caution(
        "C19",
        &[&[On::Grinding]],
        [
            "A disc can burst or kick.",
            "Pieces fly in line with the disc; sparks pit glass and light fuel.",
            "Guard on, disc rated for the speed, face shield over glasses, stand out of line, sparks away from glass and tanks.",
        ],
        PRACTICE,
    ),
    caution(
        "C20",
        &[&[On::Welding]],
        [
            "Look behind the panel before any heat.",
            "Wiring, foam, wax, trim and sealer burn out of sight.",
            "Clear them for 150 mm, or as far as the panel passes 200 °C if that is more; have a second person with an extinguisher on the other side; watch afterwards.",
        ],
        PRACTICE,
    ),
    caution(
        "C21",
        &[&[On::ClosedSection, On::Welding]],
        [
            "A closed tube or box is heated.",
            "Steam, wax vapour or gas inside can burst it.",
            "Open a vent at the far end first. Never weld it shut wet, waxed, or with unknown content; if it held fuel or gas, stop.",
        ],
        PRACTICE,
    ),
    caution(
        "C22",
        &[&[On::OldSealer]],
        [
            "Old sealer, underseal or lagging may hold asbestos.",
            "Its fibres cannot be seen and do harm decades later.",
            "Do not scrape dry, grind or burn it before it has been tested; removal may be work for a licensed firm.",
        ],
        PRACTICE,
    ),
    caution(
        "C23",
        &[&[On::BondedJoint]],
        [
            "A bonded joint must not be ground or welded through.",
            "Hot adhesive gives off isocyanate and other fumes, and the joint loses its strength unseen.",
            "Ease it apart in open air with little heat; clean the adhesive off before any arc.",
        ],
        PRACTICE,
    ),
    caution(
        "C23-paint",
        &[&[On::TwoPackPaint]],
        [
            "Two-pack paint gives off isocyanate when it is sprayed or heated.",
            "It makes asthma that stays; a dust mask does not hold it back.",
            "Spray only in a booth with air-fed breathing gear; strip it back before heat.",
        ],
        PRACTICE,
    ),
    caution(
        "C24",
        &[&[On::Unbolting]],
        [
            "What you unbolt may fall or fly.",
            "Springs, struts and heavy lids store energy; a jack alone is no support.",
            "Support it first; release springs and struts with their proper tool; stands under the vehicle before anyone goes under it.",
        ],
        PRACTICE,
    ),
    caution(
        "C25",
        &[&[On::Blasting]],
        [
            "Blasting harms lungs and thin sheet.",
            "Silica dust scars the lungs (US limit 50 µg/m³); pressure on one side stretches flat skins for good.",
            "No silica sand; low pressure, both sides, not on flat outer skin; air-fed hood.",
        ],
        "C25: common practice, no source; silica limit 29 CFR 1910.1053 (USA, from memory)",
    ),
    caution(
        "C26",
        &[&[On::RawEdges]],
        [
            "Fresh sheet edges and wire ends cut.",
            "They are sharpest on corners and drilled holes.",
            "Deburr before handling, wear gloves, tape wire ends and corners for the journey.",
        ],
        PRACTICE,
    ),
    competent_person_only(caution(
        "identity-number",
        &[&[On::IdentityNumber]],
        [
            "A stamped or plated identity number is on the metal to be cut.",
            "Moving or removing it may be an offence and makes the vehicle's identity doubtful.",
            "Leave it where it is, or have the licensing authority or its appointed inspector agree in writing first.",
        ],
        PRACTICE,
    )),
    competent_person_only(caution(
        "bonded-glass",
        &[&[On::BondedGlass, On::Welding]],
        [
            "Glass is bonded near the weld.",
            "Heat breaks the glass or its bond, which may carry load and hold a bag in place.",
            "Have the glass taken out by a competent person before any heat, and bonded again afterwards.",
        ],
        PRACTICE,
    )),
];
