//! Typographic characters turned into plain ones.

/// Typographic signs replaced by the plain ones, fraction signs by `n/d`, letters by lower case.
pub(super) fn plain_characters(text: &str) -> String {
    let mut plain = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            '′' | '’' | '‘' => plain.push('\''),
            '″' | '”' | '“' => plain.push('"'),
            '−' | '–' | '‑' => plain.push('-'),
            '⁄' | '∕' => plain.push('/'),
            'º' => plain.push('°'),
            c if c.is_whitespace() => plain.push(' '),
            c => match vulgar_fraction(c) {
                Some(fraction) => {
                    if plain.ends_with(|last: char| last.is_ascii_digit()) {
                        plain.push(' ');
                    }
                    plain.push_str(fraction);
                }
                None => plain.extend(c.to_lowercase()),
            },
        }
    }
    plain
}

const fn vulgar_fraction(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅓' => "1/3",
        '⅔' => "2/3",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        '⅕' => "1/5",
        '⅖' => "2/5",
        '⅗' => "3/5",
        '⅘' => "4/5",
        '⅙' => "1/6",
        '⅚' => "5/6",
        _ => return None,
    })
}
