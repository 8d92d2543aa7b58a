//! Orders as people weld: end to end, and the trade habit.

use super::Event;

/// End to end: phase after phase, seam after seam, by station.
#[must_use]
pub fn end_to_end(events: &[Event]) -> Vec<u32> {
    groups(events).into_iter().flat_map(|group| group.events).collect()
}

/// The trade habit (W31, common practice, no source) as [`crate::joints::habit`] has it, phase after phase over all seams: the middle of the longest
/// first, then always far from the last and from all done.
#[must_use]
pub fn habit(events: &[Event]) -> Vec<u32> {
    let groups = groups(events);
    let phase =
        |group: &&Group| group.events.first().and_then(|event| events.get(*event as usize)).map(|own| own.phase);
    let mut order = Vec::with_capacity(events.len());
    for seams in groups.iter().collect::<Vec<_>>().chunk_by(|a, b| phase(a) == phase(b)) {
        let together: Vec<u32> = seams.iter().flat_map(|group| group.events.iter().copied()).collect();
        let mut first = 0;
        let mut longest = 0;
        let mut before = 0;
        for group in seams {
            if group.events.len() > longest {
                (longest, first) = (group.events.len(), before + group.events.len() / 2);
            }
            before += group.events.len();
        }
        let place = |event: &u32| {
            let places = events.get(*event as usize).map_or(&[][..], |own| &own.places_mm);
            places.get(places.len() / 2).copied().unwrap_or_default()
        };
        let places: Vec<_> = together.iter().map(place).collect();
        order.extend(crate::joints::habit(&places, first).into_iter().filter_map(|turn| together.get(turn).copied()));
    }
    order
}

/// Events of one phase on one seam, by station.
struct Group {
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
    sorted.chunk_by(together).map(|events| Group { events: events.to_vec() }).collect()
}
