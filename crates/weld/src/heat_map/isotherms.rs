//! Lines of one peak temperature on the panel.

use glam::DVec3;
use mesh::Skin;
use mesh::sections::{LevelLine, Place, SectionCutter, SectionError};

/// Least rise over the air that counts, K: a sheet that stays as cold as the air has no finite 1/(T − air).
const LEAST_RISE_K: f64 = 0.1;

/// A line, or several, of one peak temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct PeakIsotherm {
    /// Temperature.
    pub at_c: f64,
    /// Lines on the panel, mm; a closed one ends where it begins.
    pub lines_mm: Vec<Vec<DVec3>>,
    /// Farthest place of the lines from the weld lines, along the sheet, mm; 0 without a line.
    pub farthest_mm: f64,
    /// Distance that half the length of the lines keeps within, mm; none without a line.
    pub usual_mm: Option<f64>,
}

/// A place on the lines with its distance from the weld lines.
#[derive(Clone, Copy)]
struct Crossing {
    at_mm: DVec3,
    away_mm: f64,
}

/// A panel with the figures of its points.
pub(super) struct Peaks<'a> {
    pub skin: &'a Skin,
    /// Highest temperature of each point, °C.
    pub peak_c: &'a [f64],
    /// Distance of each point from the weld lines, along the sheet, mm.
    pub away_mm: &'a [f64],
    pub air_c: f64,
}

impl Peaks<'_> {
    /// The isotherm of a temperature. Between two points 1/(T − air) is taken as straight: beside a seam it is (W8).
    pub(super) fn isotherm(&self, cutter: &SectionCutter<'_>, at_c: f64) -> Result<PeakIsotherm, SectionError> {
        let inverse = |peak_c: f64| 1.0 / (peak_c - self.air_c).max(LEAST_RISE_K);
        let height = |peak_c: &f64| {
            let over = inverse(at_c) - inverse(*peak_c);
            // a point that is just so hot lies on the hot side, so that no triangle lies in the level
            if over == 0.0 { f64::MIN_POSITIVE } else { over }
        };
        let heights: Vec<f64> = self.peak_c.iter().map(height).collect();
        let lines: Vec<Vec<Crossing>> = cutter.level_lines(&heights)?.iter().map(|line| self.along(line)).collect();
        let away = lines.iter().flatten().map(|own| own.away_mm).filter(|own| own.is_finite());
        Ok(PeakIsotherm {
            at_c,
            farthest_mm: away.fold(0.0, f64::max),
            usual_mm: usual_mm(&lines),
            lines_mm: lines.iter().map(|line| line.iter().map(|own| own.at_mm).collect()).collect(),
        })
    }

    /// The places of a line; a closed one ends where it begins.
    fn along(&self, line: &LevelLine) -> Vec<Crossing> {
        let round = line.places.first().filter(|_| line.closed);
        let point = |i: u32| Crossing { at_mm: self.skin.points_mm[i as usize], away_mm: self.away_mm[i as usize] };
        let crossing = |place: &Place| match *place {
            Place::Point(i) => point(i),
            Place::Edge { low, high, share } => {
                let (low, high) = (point(low), point(high));
                Crossing {
                    at_mm: low.at_mm.lerp(high.at_mm, share),
                    away_mm: low.away_mm + share * (high.away_mm - low.away_mm),
                }
            }
        };
        line.places.iter().chain(round).map(crossing).collect()
    }
}

/// The distance within which half the length of all lines lies: by length, so that fine triangles count no more than coarse ones.
fn usual_mm(lines: &[Vec<Crossing>]) -> Option<f64> {
    let steps = lines.iter().flat_map(|line| line.windows(2));
    let mut pieces: Vec<(f64, f64)> = steps
        .map(|ends| (0.5 * (ends[0].away_mm + ends[1].away_mm), ends[0].at_mm.distance(ends[1].at_mm)))
        .filter(|(away_mm, _)| away_mm.is_finite())
        .collect();
    pieces.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half_mm = 0.5 * pieces.iter().map(|(_, length_mm)| length_mm).sum::<f64>();
    let mut passed_mm = 0.0;
    let middle = pieces.iter().find(|(_, length_mm)| {
        passed_mm += length_mm;
        passed_mm >= half_mm
    });
    middle.map(|(away_mm, _)| *away_mm)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sheet in columns, three of 20 mm and twenty of 2 mm: the isotherm lies 10 mm off over the first 60 mm and 20 mm off over the other 40,
    /// where it crosses six times as many triangles. Half its length keeps within 10 mm.
    #[test]
    fn the_usual_distance_goes_by_length() {
        let columns: Vec<f64> =
            (0..3).map(|i| 20.0 * f64::from(i)).chain((0..=20).map(|i| 60.0 + 2.0 * f64::from(i))).collect();
        let (rows, air_c, at_c) = (9_u32, 20.0, 250.0);
        let mut skin = Skin::default();
        let (mut peak_c, mut away_mm) = (Vec::new(), Vec::new());
        for x in &columns {
            for row in 0..rows {
                let y = 4.0 * f64::from(row);
                let lies_mm = if *x <= 60.0 { 10.0 } else { 20.0 };
                skin.points_mm.push(DVec3::new(*x, y, 0.0));
                away_mm.push(y);
                peak_c.push(air_c + 1.0 / (1.0 / (at_c - air_c) + 1e-4 * (y - lies_mm)));
            }
        }
        for column in 0..columns.len() as u32 - 1 {
            for row in 0..rows - 1 {
                let a = column * rows + row;
                skin.triangles.extend([[a, a + rows, a + rows + 1], [a, a + rows + 1, a + 1]]);
            }
        }
        let cutter = SectionCutter::new(&skin).unwrap();
        let peaks = Peaks { skin: &skin, peak_c: &peak_c, away_mm: &away_mm, air_c };
        let found = peaks.isotherm(&cutter, at_c).unwrap();
        assert_eq!(found.lines_mm.len(), 1);
        assert!((found.farthest_mm - 20.0).abs() < 1e-6, "{}", found.farthest_mm);
        assert!((found.usual_mm.unwrap() - 10.0).abs() < 1e-6, "{:?}", found.usual_mm);
        let nowhere = peaks.isotherm(&cutter, 1500.0).unwrap();
        assert_eq!((nowhere.lines_mm.len(), nowhere.farthest_mm, nowhere.usual_mm), (0, 0.0, None));
    }
}
