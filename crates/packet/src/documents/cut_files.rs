//! Files that metal is cut from: DXF and SVG of the blank, the cutter's DXF, the print at 1:1. Blocked by an open stop.

use job::plan::{PiecePlan, SectionPlan};

use super::desk::Desk;
use super::{PacketFile, file_stem};
use crate::drawing::Scale;
use crate::drawings;
use crate::error::PacketError;
use crate::{dxf, pdf, svg, tiles};

/// Makes the cut files of one piece.
///
/// # Errors
/// As the renderers.
pub fn cut_files(desk: &Desk<'_>, section: &SectionPlan, piece: &PiecePlan) -> Result<Vec<PacketFile>, PacketError> {
    let stem = file_stem(&piece.name);
    let path = |kind: &str, ending: &str| format!("{}/{kind}-{stem}.{ending}", file_stem(&section.id));
    let blank = drawings::blank_drawing(piece, section.hand, Scale::FULL);
    let cutter = drawings::cutter_drawing(piece);
    let tiling = tiles::split(&blank, tiles::TileOptions::on(desk.paper()))?;
    let print =
        pdf::pages(&format!("{} blank at 1:1, job {}", piece.name, desk.job.number), Some(desk.day), &tiling.pages)?;
    Ok(vec![
        PacketFile::dxf(
            path("blank", "dxf"),
            dxf::to_string(&blank)?,
            format!("Blank of {}, everything marked", piece.name),
        ),
        PacketFile::svg(
            path("blank", "svg"),
            svg::drawing(&blank, 5.0)?,
            format!("Blank of {}, everything marked", piece.name),
        ),
        PacketFile::dxf(
            path("cutter", "dxf"),
            dxf::for_cutting(&cutter)?,
            format!("{}: edges, holes and marks for a cutting machine", piece.name),
        ),
        PacketFile::pdf(
            path("blank", "pdf"),
            print,
            format!("Blank of {} at 1:1 on {}", piece.name, desk.paper().name),
        ),
    ])
}
