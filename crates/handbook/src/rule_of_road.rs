//! On which side of the road a country drives, so that "near side" and "off side" can be read as left and right.
//!
//! The near side of a vehicle is the one nearest the kerb: left where traffic keeps left. A country that is not listed is
//! not guessed, because a piece made for the wrong hand is scrap.

/// The side of the road that traffic keeps to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RuleOfRoad {
    /// Traffic keeps left: the near side is the left one.
    KeepLeft,
    /// Traffic keeps right: the near side is the right one.
    KeepRight,
}

/// ISO 3166-1 alpha-2; from memory.
const KEEP_LEFT: &str = "AU BB BD BM BN BS BW CY FJ GB GG GY HK ID IE IM IN JE JM JP KE LK LS MO MT MU MW MY MZ NA NP NZ PG PK \
                         SC SG SR SZ TH TT TZ UG ZA ZM ZW";
/// ISO 3166-1 alpha-2; from memory.
const KEEP_RIGHT: &str = "AD AR AT BA BE BG BR BY CA CH CL CN CO CR CZ DE DK EE EG ES FI FR GR HR HU IL IS IT KR LI LT LU LV MA \
                          MC MD ME MK MX NL NO PE PH PL PT RO RS RU SE SI SK SM TN TR TW UA US UY VE";

/// The side of the road that a country keeps to; `None` for a code that is not listed. Capitals do not matter.
#[must_use]
pub fn rule_of_road(country: &str) -> Option<RuleOfRoad> {
    let code = country.trim().to_ascii_uppercase();
    let listed = |codes: &str| codes.split_ascii_whitespace().any(|known| known == code);
    match (listed(KEEP_LEFT), listed(KEEP_RIGHT)) {
        (true, _) => Some(RuleOfRoad::KeepLeft),
        (_, true) => Some(RuleOfRoad::KeepRight),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_country_keeps_one_side_and_an_unknown_code_is_not_guessed() {
        assert_eq!(rule_of_road("GB"), Some(RuleOfRoad::KeepLeft));
        assert_eq!(rule_of_road(" fr "), Some(RuleOfRoad::KeepRight));
        for unknown in ["", "XX", "G", "GB IE"] {
            assert_eq!(rule_of_road(unknown), None, "{unknown}");
        }
        let all: Vec<&str> = KEEP_LEFT.split_ascii_whitespace().chain(KEEP_RIGHT.split_ascii_whitespace()).collect();
        let once: std::collections::BTreeSet<&str> = all.iter().copied().collect();
        assert_eq!(once.len(), all.len(), "no country stands in both");
        assert!(all.iter().all(|code| code.len() == 2));
    }
}
