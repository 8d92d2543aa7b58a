//! Numbers as text, the same on every machine.

/// Writes a number with at most `decimals` decimals, without trailing zeros and never as `-0`.
pub fn trimmed(value: f64, decimals: usize) -> String {
    let mut text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".to_owned() } else { text }
}

/// The word or figure of a place in a row: "second", "21st".
pub fn ordinal(number: usize) -> String {
    let ending = match (number % 100, number % 10) {
        (11..=13, _) => "th",
        (_, 1) => "st",
        (_, 2) => "nd",
        (_, 3) => "rd",
        _ => "th",
    };
    match number {
        1 => "first".to_owned(),
        2 => "second".to_owned(),
        3 => "third".to_owned(),
        n => format!("{n}{ending}"),
    }
}

#[cfg(test)]
mod tests {
    use super::{ordinal, trimmed};

    #[test]
    fn places_in_a_row() {
        assert_eq!([2, 4, 11, 21, 22, 113].map(ordinal), ["second", "4th", "11th", "21st", "22nd", "113th"]);
    }

    #[test]
    fn zeros_and_the_sign_of_zero_are_dropped() {
        assert_eq!(trimmed(12.50, 3), "12.5");
        assert_eq!(trimmed(100.0, 2), "100");
        assert_eq!(trimmed(-0.0004, 2), "0");
        assert_eq!(trimmed(7.0, 0), "7");
        assert_eq!(trimmed(120.0, 0), "120");
    }
}
