//! What can go wrong between a drawing and its file.

/// Why a drawing or document could not be made. Every message names the thing, what was found and what would be accepted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PacketError {
    /// A coordinate, radius or angle is NaN or infinite.
    #[error("drawing '{drawing}', {item}: {what} is {got}; a finite number is needed")]
    NotFinite {
        /// Name of the drawing.
        drawing: String,
        /// The entity: its layer, id and kind.
        item: String,
        /// Which value.
        what: &'static str,
        /// The value found.
        got: f64,
    },
    /// A value is finite but outside what can be drawn.
    #[error("drawing '{drawing}', {item}: {what} is {got}; accepted is {accepted}")]
    OutOfRange {
        /// Name of the drawing.
        drawing: String,
        /// The entity: its layer, id and kind.
        item: String,
        /// Which value.
        what: &'static str,
        /// The value found.
        got: f64,
        /// What would be accepted.
        accepted: &'static str,
    },
    /// Nothing to draw.
    #[error("drawing '{drawing}' holds nothing to draw{detail}")]
    Empty {
        /// Name of the drawing.
        drawing: String,
        /// More, starting with a separator; may be empty.
        detail: &'static str,
    },
    /// A drawing would need too many sheets of paper.
    #[error(
        "drawing '{drawing}' would need {sheets} sheets of {paper}; at most {most} are accepted: print it smaller or send the DXF to a plotter"
    )]
    TooManySheets {
        /// Name of the drawing.
        drawing: String,
        /// Sheets it would need.
        sheets: usize,
        /// Most that are accepted.
        most: usize,
        /// Name of the paper.
        paper: &'static str,
    },
    /// A drawing does not fit the frame at the scale asked for.
    #[error(
        "drawing '{drawing}' is {width_mm:.1} x {height_mm:.1} mm on paper; the space on {paper} is {space_width_mm:.1} x {space_height_mm:.1} mm: take a smaller scale or larger paper"
    )]
    DoesNotFit {
        /// Name of the drawing.
        drawing: String,
        /// Its width on paper, mm.
        width_mm: f64,
        /// Its height on paper, mm.
        height_mm: f64,
        /// Name of the paper.
        paper: &'static str,
        /// Width left for the drawing, mm.
        space_width_mm: f64,
        /// Height left for the drawing, mm.
        space_height_mm: f64,
    },
    /// The document asks for a template that is not in the program.
    #[error("there is no document template '{name}'; known are {known}")]
    UnknownTemplate {
        /// Name asked for.
        name: String,
        /// Names that exist, separated by commas.
        known: String,
    },
    /// The DXF writer refused.
    #[error("drawing '{drawing}' could not be written as DXF: {reason}")]
    Dxf {
        /// Name of the drawing.
        drawing: String,
        /// The writer's own words.
        reason: String,
    },
    /// The typesetter refused.
    #[error("document '{document}' could not be typeset: {reason}")]
    Typeset {
        /// Title of the document.
        document: String,
        /// The typesetter's own words, one line for each fault.
        reason: String,
    },
    /// The packet of a section that the plan does not have was asked for.
    #[error("there is no section '{id}' in this plan; known are {known}")]
    NoSuchSection {
        /// Id asked for.
        id: String,
        /// Ids of the plan, separated by commas.
        known: String,
    },
    /// The plan could not be written as JSON.
    #[error("the plan could not be written as JSON: {reason}")]
    Json {
        /// The writer's own words.
        reason: String,
    },
}
