//! Words that several pages and papers share.

use job::file::Hand;

/// A hand in full: never near side or off side.
pub fn hand_in_full(hand: Hand) -> &'static str {
    match hand {
        Hand::Left => "left hand (as seen sitting in the driving seat facing forward)",
        Hand::Right => "right hand (as seen sitting in the driving seat facing forward)",
    }
}
