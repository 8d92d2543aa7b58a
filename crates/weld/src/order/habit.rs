//! Orders as people weld: end to end, and the trade habit in two forms.

use super::Event;

/// End to end: phase after phase, seam after seam, by station.
#[must_use]
pub fn end_to_end(events: &[Event]) -> Vec<u32> {
    groups(events).into_iter().flat_map(|group| group.events).collect()
}

/// The trade habit (W31, common practice, no source): from the middle outwards, to either side in turn, every second place left out and
/// filled in by a second pass. Round a closed line the next place is always far from those done (opposite, quarters, eighths …).
#[must_use]
pub fn middle_outwards(events: &[Event], is_closed: &[bool]) -> Vec<u32> {
    let mut order = Vec::with_capacity(events.len());
    for group in groups(events) {
        let count = group.events.len();
        let places = if is_closed.get(group.seam).copied().unwrap_or(false) { around(count) } else { outwards(count) };
        order.extend(places.into_iter().filter_map(|place| group.events.get(place).copied()));
    }
    order
}

/// The habit as [`crate::joints::habit`] has it, phase after phase and seam after seam: middle first, then always far from the last and from
/// all done.
#[must_use]
pub fn far_from_the_last(events: &[Event]) -> Vec<u32> {
    let mut order = Vec::with_capacity(events.len());
    for group in groups(events) {
        let place = |event: &u32| {
            let places = &events[*event as usize].places_mm;
            places.get(places.len() / 2).copied().unwrap_or_default()
        };
        let places: Vec<_> = group.events.iter().map(place).collect();
        let turns = crate::joints::habit(&places, places.len() / 2);
        order.extend(turns.into_iter().filter_map(|turn| group.events.get(turn).copied()));
    }
    order
}

/// Events of one phase on one seam, by station.
struct Group {
    seam: usize,
    events: Vec<u32>,
}

fn groups(events: &[Event]) -> Vec<Group> {
    let mut sorted: Vec<u32> = (0..events.len() as u32).collect();
    let at = |event: &u32| &events[*event as usize];
    sorted.sort_by(|a, b| {
        let (a, b) = (at(a), at(b));
        a.phase.cmp(&b.phase).then(a.seam.cmp(&b.seam)).then(a.stations_mm[0].total_cmp(&b.stations_mm[0]))
    });
    let together = |a: &u32, b: &u32| (at(a).phase, at(a).seam) == (at(b).phase, at(b).seam);
    let group =
        |events: &[u32]| Group { seam: events.first().map_or(0, |first| at(first).seam), events: events.to_vec() };
    sorted.chunk_by(together).map(group).collect()
}

/// Places 0 … n−1 from the middle outwards to either side in turn, the even distances first, then the odd ones.
fn outwards(count: usize) -> Vec<usize> {
    let middle = count / 2;
    let pass = |first: usize| {
        (first..=count).step_by(2).flat_map(move |away| {
            let right = (middle + away < count).then_some(middle + away);
            let left = (away > 0 && away <= middle).then(|| middle - away);
            [right, left].into_iter().flatten()
        })
    };
    pass(0).chain(pass(1)).collect()
}

/// Places 0 … n−1 round a ring: start, opposite, quarters, eighths and so on.
fn around(count: usize) -> Vec<usize> {
    let mut order = Vec::with_capacity(count);
    let mut taken = vec![false; count];
    let mut parts = 1;
    while order.len() < count {
        for part in 0..parts {
            let place = part * count / parts;
            if !std::mem::replace(&mut taken[place], true) {
                order.push(place);
            }
        }
        parts *= 2;
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_each_taken_once() {
        for count in 1..40 {
            for mut order in [outwards(count), around(count)] {
                order.sort_unstable();
                assert_eq!(order, (0..count).collect::<Vec<_>>());
            }
        }
        assert_eq!(outwards(7), [3, 5, 1, 4, 2, 6, 0]);
        assert_eq!(around(8)[..4], [0, 4, 2, 6]);
    }
}
