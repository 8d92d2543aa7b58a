//! A flattening in the words of the shop: what an edge gathers or stretches per 100 mm, what a band is raised by, what is too much.
//!
//! Gathering: no published limit by hand; caution and stop are shop settings without source. Stretching: the forming limit of the
//! handbook (S30, S31). Lengths in mm; shares of the flat length, positive where metal is gathered.

use super::{FlatSkin, FlattenError};
use handbook::forming_limit::{Forming, FormingLimit};
use handbook::{Concern, Grade, LiftedBy};
use mesh::Skin;
use serde::{Deserialize, Serialize};

/// Gathering by hand that the shop takes on.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct GatherLimits {
    /// Share above which to warn.
    pub caution: f64,
    /// Share above which the piece is not made in one.
    pub stop: f64,
}

impl Default for GatherLimits {
    /// 6 % and 15 %: shop settings, no source.
    fn default() -> Self {
        Self { caution: 0.06, stop: 0.15 }
    }
}

/// What happens along one edge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EdgeForming {
    /// Its name.
    pub name: String,
    /// Length in the flat, mm.
    pub flat_length_mm: f64,
    /// Length of the finished edge, mm.
    pub finished_length_mm: f64,
    /// Gathered over the whole edge, mm per 100 mm of flat; negative where it is stretched.
    pub gather_mm_per_100_mm: f64,
    /// Most gathered in any 100 mm of flat edge (or the whole of a shorter one), and where that begins, mm along the flat edge; on a rim
    /// that is closed they may run over its start.
    pub worst_gather: [f64; 2],
}

/// A band of equal raising: triangles whose thinning lies between two levels.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// Share by which the area is raised in it, from and to; negative where it is shrunk.
    pub raise: [f64; 2],
    /// Its triangles.
    pub triangles: Vec<u32>,
    /// Its area in the flat, mm².
    pub flat_area_mm2: f64,
    /// Mean share by which its area is raised.
    pub mean_raise: f64,
}

/// What an edge, a chain of points of the skin, gathers or stretches; `closed` where it runs round without a corner and ends where it starts.
///
/// # Errors
/// [`FlattenError::BadEdge`] for fewer than two points, one that does not exist or a length of 0.
pub fn edge_forming(
    skin: &Skin,
    flat: &FlatSkin,
    name: &str,
    chain: &[u32],
    closed: bool,
) -> Result<EdgeForming, FlattenError> {
    let known = chain.iter().all(|i| (*i as usize) < skin.points_mm.len().min(flat.points_mm.len()));
    if chain.len() < 2 || !known {
        return Err(FlattenError::BadEdge { name: name.to_owned() });
    }
    let steps: Vec<[f64; 2]> = chain
        .windows(2)
        .map(|pair| {
            let [a, b] = [pair[0] as usize, pair[1] as usize];
            [flat.points_mm[a].distance(flat.points_mm[b]), skin.points_mm[a].distance(skin.points_mm[b])]
        })
        .collect();
    let sum = |side: usize| steps.iter().map(|step| step[side]).sum::<f64>();
    let (flat_length_mm, finished_length_mm) = (sum(0), sum(1));
    if flat_length_mm.is_nan() || flat_length_mm <= 0.0 {
        return Err(FlattenError::BadEdge { name: name.to_owned() });
    }
    Ok(EdgeForming {
        name: name.to_owned(),
        flat_length_mm,
        finished_length_mm,
        gather_mm_per_100_mm: 100.0 * (flat_length_mm - finished_length_mm) / flat_length_mm,
        worst_gather: worst_window(&steps, flat_length_mm.min(100.0), closed),
    })
}

/// Most gathered in a window of flat length, as mm per 100 mm, and where it begins: the windows that begin or end at a point
/// suffice, because what is gathered grows in straight pieces between them. On a closed edge a window may run over its start.
fn worst_window(steps: &[[f64; 2]], window: f64, closed: bool) -> [f64; 2] {
    let once: f64 = steps.iter().map(|step| step[0]).sum();
    let laps = if closed { 2 } else { 1 };
    let mut along = vec![[0.0; 2]];
    for step in std::iter::repeat_n(steps, laps).flatten() {
        let last = along[along.len() - 1];
        along.push([last[0] + step[0], last[1] + step[0] - step[1]]);
    }
    let gathered_to = |at: f64| {
        let next = along.partition_point(|p| p[0] < at).clamp(1, along.len() - 1);
        let (a, b) = (along[next - 1], along[next]);
        if b[0] > a[0] { a[1] + (b[1] - a[1]) * (at - a[0]) / (b[0] - a[0]) } else { b[1] }
    };
    let last = if closed { once } else { (once - window).max(0.0) };
    let starts = along.iter().flat_map(|p| [p[0], p[0] - window]).map(|s| s.clamp(0.0, last));
    let [gathered, from] = starts.fold([f64::NEG_INFINITY, 0.0], |best, start| {
        let gathered = 100.0 * (gathered_to(start + window) - gathered_to(start)) / window;
        if gathered > best[0] + 1e-12 { [gathered, start] } else { best }
    });
    [gathered, if closed && from >= once { 0.0 } else { from }]
}

/// Sorts the triangles into bands of `step` (0.01 for 1 %) by the share their area is raised; empty bands are left out.
#[must_use]
pub fn bands(skin: &Skin, flat: &FlatSkin, step: f64) -> Vec<Band> {
    let mut bands: std::collections::BTreeMap<i64, Band> = std::collections::BTreeMap::new();
    if step.is_nan() || step <= 0.0 {
        return Vec::new();
    }
    for (t, strain) in flat.strains.iter().enumerate() {
        let raise = (strain.major + strain.minor).exp_m1();
        let level = (raise / step).floor();
        let band = bands.entry(level as i64).or_insert_with(|| Band {
            raise: [level * step, (level + 1.0) * step],
            triangles: Vec::new(),
            flat_area_mm2: 0.0,
            mean_raise: 0.0,
        });
        let finished = 0.5 * skin.double_area_normal(t).length();
        let area = finished / (1.0 + raise);
        band.triangles.push(t as u32);
        band.flat_area_mm2 += area;
        band.mean_raise += area * raise;
    }
    let mut bands: Vec<Band> = bands.into_values().collect();
    bands.iter_mut().for_each(|band| band.mean_raise /= band.flat_area_mm2);
    bands
}

/// What the reader must know before cutting: metal beyond what any sheet or this sheet takes, gathering beyond the shop's limits.
#[must_use]
pub fn concerns(flat: &FlatSkin, limit: &FormingLimit, gather: GatherLimits) -> Vec<Concern> {
    let mut concerns = Vec::new();
    let worst = |over: &dyn Fn(&super::TriangleStrain) -> f64| {
        flat.strains
            .iter()
            .map(over)
            .enumerate()
            .fold((0, f64::NEG_INFINITY), |best, (t, value)| if value > best.1 { (t, value) } else { best })
    };
    let place = |t: usize| {
        let at = flat.triangle_centre_mm(t);
        format!("blank at ({:.0}, {:.0}) mm", at.x, at.y)
    };
    let (t, _) = worst(&|s| s.major - limit.major_limit(s.minor));
    if let Some(strain) = flat.strains.get(t) {
        let (state, allowed) = (limit.forming(strain.major, strain.minor), limit.major_limit(strain.minor));
        let what = format!(
            "stretched by {:.1} %; the sheet necks at {:.1} % there",
            100.0 * strain.major.exp_m1(),
            100.0 * allowed.exp_m1()
        );
        let grade = match state {
            Forming::Safe => None,
            Forming::Near => Some(Grade::Caution),
            Forming::Beyond => Some(Grade::Stop),
        };
        concerns.extend(grade.map(|grade| Concern {
            key: "skin-forming-limit".into(),
            grade,
            place: place(t),
            what,
            why: "beyond its forming limit the sheet necks and tears".into(),
            what_to_do: "choose a softer sheet, gather more and stretch less, or split the piece by a seam through this place"
                .into(),
            lifted_by: (grade == Grade::Stop).then_some(LiftedBy::Shop),
            source: limit.source().into(),
        }));
    }
    let (t, gathered) = worst(&|s| -s.minor.exp_m1());
    let grade =
        if gathered > gather.stop { Some(Grade::Stop) } else { (gathered > gather.caution).then_some(Grade::Caution) };
    concerns.extend(grade.map(|grade| Concern {
        key: "skin-gathering".into(),
        grade,
        place: place(t),
        what: format!("gathered by {:.1} mm per 100 mm", 100.0 * gathered),
        why: "metal gathered by hand thickens, cracks or folds over where there is too much of it".into(),
        what_to_do: "stretch more and gather less, or split the piece by a seam or a dart through this place".into(),
        lifted_by: (grade == Grade::Stop).then_some(LiftedBy::Shop),
        source: "shop setting, no source".into(),
    }));
    concerns
}

#[cfg(test)]
mod tests {
    use super::worst_window;

    /// 300 mm of flat edge, gathered by 5 mm between 90 and 140 mm only.
    #[test]
    fn the_worst_100_mm_are_found() {
        let steps = [[90.0, 90.0], [50.0, 45.0], [160.0, 160.0]];
        let [gathered, from] = worst_window(&steps, 100.0, false);
        assert!((gathered - 5.0).abs() < 1e-12, "{gathered}");
        assert!((40.0..=90.0).contains(&from), "{from}");
        let [whole, from] = worst_window(&steps[..2], 100.0, false);
        assert!((whole - 5.0).abs() < 1e-12 && from == 40.0, "{whole} {from}");
    }

    /// A rim of 300 mm, gathered by 3 mm in its last 40 mm and by 2 mm in its first 30: the worst 100 mm lie over its start and have both.
    #[test]
    fn the_worst_100_mm_run_over_the_start_of_a_closed_rim() {
        let steps = [[30.0, 28.0], [230.0, 230.0], [40.0, 37.0]];
        let [open, _] = worst_window(&steps, 100.0, false);
        let [closed, from] = worst_window(&steps, 100.0, true);
        assert!((open - 3.0).abs() < 1e-12, "{open}");
        assert!((closed - 5.0).abs() < 1e-12, "{closed}");
        assert!((230.0..=260.0).contains(&from), "{from}");
        // wherever the same rim starts
        let turned = [[100.0, 100.0], [40.0, 37.0], [30.0, 28.0], [130.0, 130.0]];
        let [same, from] = worst_window(&turned, 100.0, true);
        assert!((same - closed).abs() < 1e-12 && (70.0..=100.0).contains(&from), "{same} {from}");
    }
}
