//! Numbers as text, the same on every machine.

/// Writes a number with at most `decimals` decimals, without trailing zeros and never as `-0`.
pub fn trimmed(value: f64, decimals: usize) -> String {
    let mut text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::trimmed;

    #[test]
    fn zeros_and_the_sign_of_zero_are_dropped() {
        assert_eq!(trimmed(12.50, 3), "12.5");
        assert_eq!(trimmed(100.0, 2), "100");
        assert_eq!(trimmed(-0.0004, 2), "0");
        assert_eq!(trimmed(7.0, 0), "7");
        assert_eq!(trimmed(120.0, 0), "120");
    }
}
