//! Layers: what a line means, and from that its line type and width.
//!
//! Line types follow ISO 128-2 (numbers 01 continuous, 02 dashed, 03 dashed spaced, 04 long-dashed dotted,
//! 05 long-dashed double-dotted, 07 dotted, 08 long-dashed short-dashed; dash and gap lengths in multiples of the line width), wide to narrow 2:1
//! (handbook T15). Numbers and multiples are from memory. Where ISO 128 has no meaning for a workshop line (sight line,
//! lap line, scribed line) the project has chosen a free type, and every drawing prints a key of the types it uses.

/// What a line stands for. The order is the order of drawing: later layers lie on top.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// Hatching of cut faces.
    Hatch,
    /// Metal to raise.
    Stretch,
    /// Metal to gather.
    Shrink,
    /// Lines of one highest temperature beside a weld.
    Heat,
    /// The panel lies out of its shape, to the outside: lines of one deflection and wide strokes.
    Out,
    /// The panel lies out of its shape, to the inside: lines of one deflection and close strokes.
    In,
    /// Edges behind the face that is shown.
    Hidden,
    /// Centre lines and axes.
    Centre,
    /// Neighbouring parts, and the old panel round the piece.
    Adjacent,
    /// The shape before trimming: spare length to be trimmed off.
    Trim,
    /// Visible edges in a view.
    Outline,
    /// Edges of the finished blank: what is cut.
    Cut,
    /// Holes, slots and cut-outs: what is cut inside the blank.
    Hole,
    /// Witness marks scribed or punched on the piece: end lines, hand, face, front.
    Mark,
    /// Where a checking template is held on the finished piece.
    Station,
    /// Edge up to which a lap reaches.
    Lap,
    /// Folds whose flange turns towards the face that is up.
    FoldUp,
    /// Folds whose flange turns away from the face that is up.
    FoldDown,
    /// Sight line: what is lined up with the nose of the folding bar.
    Sight,
    /// Edge of a checking or try-on template.
    Template,
    /// The line the vehicle is cut along.
    VehicleCut,
    /// The line scribed on the vehicle along the edge of the piece.
    Scribe,
    /// Tacks and welds.
    Weld,
    /// Dimensions.
    Dimension,
    /// Notes, leaders, arrows and symbols.
    Note,
    /// Frame, title block and table of a sheet.
    Frame,
    /// Joining marks, overlap lines and check bars of a print on several sheets.
    Tile,
}

/// A line type of ISO 128-2.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LineType {
    /// No. 01.
    Continuous,
    /// No. 02.
    Dashed,
    /// No. 03.
    DashedSpaced,
    /// No. 04.
    LongDashDot,
    /// No. 05.
    LongDashDoubleDot,
    /// No. 07.
    Dotted,
    /// No. 08.
    LongDashShortDash,
}

/// Wide or narrow; the width group of the drawing gives the millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LineWidth {
    /// The wide line of the group.
    Wide,
    /// The narrow line of the group, half the wide one.
    Narrow,
}

/// The pair of line widths that a drawing uses, in mm (ISO 128, handbook T15).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum WidthGroup {
    /// 0.35 wide, 0.18 narrow.
    Fine,
    /// 0.5 wide, 0.25 narrow.
    #[default]
    Normal,
}

impl WidthGroup {
    /// Returns the line width in mm.
    pub fn width_mm(self, width: LineWidth) -> f64 {
        match (self, width) {
            (Self::Fine, LineWidth::Wide) => 0.35,
            (Self::Fine, LineWidth::Narrow) => 0.18,
            (Self::Normal, LineWidth::Wide) => 0.5,
            (Self::Normal, LineWidth::Narrow) => 0.25,
        }
    }
}

impl LineType {
    /// All line types, in the order of their ISO numbers.
    pub const ALL: [Self; 7] = [
        Self::Continuous,
        Self::Dashed,
        Self::DashedSpaced,
        Self::LongDashDot,
        Self::LongDashDoubleDot,
        Self::Dotted,
        Self::LongDashShortDash,
    ];

    /// Returns lengths of dash, gap, dash, gap … in multiples of the line width; empty for a continuous line.
    pub fn pattern(self) -> &'static [f64] {
        match self {
            Self::Continuous => &[],
            Self::Dashed => &[12.0, 3.0],
            Self::LongDashDot => &[24.0, 3.0, 0.5, 3.0],
            Self::LongDashDoubleDot => &[24.0, 3.0, 0.5, 3.0, 0.5, 3.0],
            Self::DashedSpaced => &[12.0, 18.0],
            Self::Dotted => &[0.5, 3.0],
            Self::LongDashShortDash => &[24.0, 3.0, 6.0, 3.0],
        }
    }

    /// Returns the ISO 128-2 number and the name in words.
    pub fn title(self) -> &'static str {
        match self {
            Self::Continuous => "01 continuous",
            Self::Dashed => "02 dashed",
            Self::LongDashDot => "04 long-dashed dotted",
            Self::LongDashDoubleDot => "05 long-dashed double-dotted",
            Self::DashedSpaced => "03 dashed spaced",
            Self::Dotted => "07 dotted",
            Self::LongDashShortDash => "08 long-dashed short-dashed",
        }
    }
}

impl Layer {
    /// All layers in drawing order.
    pub const ALL: [Self; 27] = [
        Self::Hatch,
        Self::Stretch,
        Self::Shrink,
        Self::Heat,
        Self::Out,
        Self::In,
        Self::Hidden,
        Self::Centre,
        Self::Adjacent,
        Self::Trim,
        Self::Outline,
        Self::Cut,
        Self::Hole,
        Self::Mark,
        Self::Station,
        Self::Lap,
        Self::FoldUp,
        Self::FoldDown,
        Self::Sight,
        Self::Template,
        Self::VehicleCut,
        Self::Scribe,
        Self::Weld,
        Self::Dimension,
        Self::Note,
        Self::Frame,
        Self::Tile,
    ];

    /// What a cutting machine or a pair of snips needs of a blank: outside edges, inside edges, marks, ends of station lines.
    pub const FOR_CUTTING: [Self; 4] = [Self::Cut, Self::Hole, Self::Mark, Self::Station];

    /// Returns the name used as DXF layer name and SVG class: lower case, words joined by hyphens.
    pub fn name(self) -> &'static str {
        match self {
            Self::Hatch => "hatch",
            Self::Stretch => "stretch",
            Self::Shrink => "shrink",
            Self::Heat => "heat",
            Self::Out => "out",
            Self::In => "in",
            Self::Hidden => "hidden",
            Self::Centre => "centre",
            Self::Adjacent => "adjacent",
            Self::Trim => "trim",
            Self::Outline => "outline",
            Self::Cut => "cut",
            Self::Hole => "hole",
            Self::Mark => "mark",
            Self::Station => "station",
            Self::Lap => "lap",
            Self::FoldUp => "fold-up",
            Self::FoldDown => "fold-down",
            Self::Sight => "sight",
            Self::Template => "template",
            Self::VehicleCut => "vehicle-cut",
            Self::Scribe => "scribe",
            Self::Weld => "weld",
            Self::Dimension => "dimension",
            Self::Note => "note",
            Self::Frame => "frame",
            Self::Tile => "tile",
        }
    }

    /// Returns the meaning in words, for the key printed on a sheet.
    pub fn meaning(self) -> &'static str {
        match self {
            Self::Hatch => "cut face",
            Self::Stretch => "raise (stretch): wide strokes",
            Self::Shrink => "gather (shrink): close strokes",
            Self::Heat => "line of one highest temperature",
            Self::Out => "out of its shape, to the outside: wide strokes",
            Self::In => "out of its shape, to the inside: close strokes",
            Self::Hidden => "hidden edge",
            Self::Centre => "centre line",
            Self::Adjacent => "neighbouring part",
            Self::Trim => "spare to trim off",
            Self::Outline => "visible edge",
            Self::Cut => "edge to cut",
            Self::Hole => "hole or cut-out",
            Self::Mark => "witness mark",
            Self::Station => "station of a template",
            Self::Lap => "lap line",
            Self::FoldUp => "fold up, towards you",
            Self::FoldDown => "fold down, away from you",
            Self::Sight => "sight line",
            Self::Template => "template edge",
            Self::VehicleCut => "cut line on the vehicle",
            Self::Scribe => "scribed line",
            Self::Weld => "weld",
            Self::Dimension => "dimension",
            Self::Note => "note",
            Self::Frame => "frame",
            Self::Tile => "joining mark",
        }
    }

    /// Returns the ISO 128-2 line type.
    pub fn line_type(self) -> LineType {
        match self {
            Self::Hidden | Self::FoldDown | Self::VehicleCut | Self::In => LineType::Dashed,
            Self::Centre => LineType::LongDashDot,
            Self::Adjacent | Self::Trim => LineType::LongDashDoubleDot,
            Self::Sight => LineType::DashedSpaced,
            Self::Station => LineType::Dotted,
            Self::Lap | Self::Scribe | Self::Heat => LineType::LongDashShortDash,
            _ => LineType::Continuous,
        }
    }

    /// Returns whether the line is wide or narrow.
    pub fn line_width(self) -> LineWidth {
        match self {
            Self::Outline
            | Self::Cut
            | Self::Hole
            | Self::Station
            | Self::Template
            | Self::VehicleCut
            | Self::Weld
            | Self::Frame => LineWidth::Wide,
            _ => LineWidth::Narrow,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_layer_is_listed_once_in_drawing_order_with_its_own_name() {
        assert!(Layer::ALL.windows(2).all(|pair| pair[0] < pair[1]));
        let names: BTreeSet<_> = Layer::ALL.iter().map(|layer| layer.name()).collect();
        assert_eq!(names.len(), Layer::ALL.len());
    }

    /// A person with a black and white print must tell the workshop lines of a flat apart without words.
    #[test]
    fn the_lines_inside_a_flat_differ_in_type_or_width() {
        let lines = [
            Layer::Cut,
            Layer::FoldUp,
            Layer::FoldDown,
            Layer::Sight,
            Layer::Lap,
            Layer::Trim,
            Layer::Centre,
            Layer::Station,
        ];
        let looks: BTreeSet<_> = lines.iter().map(|layer| (layer.line_type(), layer.line_width())).collect();
        assert_eq!(looks.len(), lines.len());
    }

    /// Handbook T15: widths of the series, wide to narrow 2:1 (0.35 to 0.18 rounds to it).
    #[test]
    fn widths_are_of_the_iso_series() {
        for group in [WidthGroup::Fine, WidthGroup::Normal] {
            let (wide, narrow) = (group.width_mm(LineWidth::Wide), group.width_mm(LineWidth::Narrow));
            for width in [wide, narrow] {
                assert!([0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0].contains(&width));
            }
            assert!((wide / narrow - 2.0).abs() < 0.06);
        }
    }
}
