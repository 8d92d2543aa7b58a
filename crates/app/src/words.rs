//! Words that several pages and papers share.

use handbook::materials::Material;
use job::file::Hand;

/// A hand in full: never near side or off side.
pub fn hand_in_full(hand: Hand) -> &'static str {
    match hand {
        Hand::Left => "left hand (as seen sitting in the driving seat facing forward)",
        Hand::Right => "right hand (as seen sitting in the driving seat facing forward)",
    }
}

/// Key and name of every metal of the handbook, to choose from.
pub fn metals() -> Vec<(String, String)> {
    Material::ALL.iter().map(|metal| (metal.key().to_owned(), metal.properties().name.to_owned())).collect()
}
