//! What every paper shares: whose job, which shop, which day, which paper, and in which unit the reader measures.

use handbook::{Concern, Grade};
use job::file::{Job, LiftedStop, Paper};
use job::plan::{Plan, SectionPlan};
use serde_json::json;
use shop::{ShopSettings, date_in_words};
use units::{Denominator, LengthUnit, format_inch, format_mm};

use super::block::Block;
use crate::drawing::{Drawing, LengthFormat};
use crate::error::PacketError;
use crate::page;
use crate::pdf::{self, Day, Document, Picture};

/// Everything a paper is written from.
#[derive(Debug, Clone, Copy)]
pub struct Desk<'a> {
    /// What was said and measured.
    pub job: &'a Job,
    /// What was worked out.
    pub plan: &'a Plan,
    /// The shop.
    pub shop: &'a ShopSettings,
    /// The day printed on every paper.
    pub day: Day,
}

/// In which unit a reader measures. Inches carry millimetres beside them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reader {
    /// Millimetres, one decimal.
    Millimetres,
    /// Inches to a fraction, millimetres beside.
    Inches(Denominator),
}

impl Reader {
    /// The reader who measures in `unit`.
    pub fn new(unit: LengthUnit, denominator: u32) -> Self {
        let finest = match denominator {
            16 => Denominator::Sixteenths,
            64 => Denominator::SixtyFourths,
            _ => Denominator::ThirtySeconds,
        };
        match unit {
            LengthUnit::Inch | LengthUnit::Foot | LengthUnit::Thou => Self::Inches(finest),
            _ => Self::Millimetres,
        }
    }

    /// A length as this reader wants it.
    pub fn write(self, mm: f64) -> String {
        match self {
            Self::Millimetres => format_mm(mm, 1),
            Self::Inches(finest) => format!("{} ({})", format_inch(mm, finest), format_mm(mm, 1)),
        }
    }

    /// A gap, a step, a spacer: hundredths of a millimetre, thousandths of an inch, for the next fraction would be another gap.
    pub fn write_small(self, mm: f64) -> String {
        let metric = format!("{} mm", crate::number::trimmed(mm, 2));
        match self {
            Self::Millimetres => metric,
            Self::Inches(_) => format!("{:.3}\" ({metric})", mm / units::gauge::MM_PER_INCH),
        }
    }

    /// How the dimensions of a drawing are written for this reader.
    pub fn lengths(self) -> LengthFormat {
        match self {
            Self::Millimetres => LengthFormat::Millimetres { decimals: 1 },
            Self::Inches(denominator) => LengthFormat::Both { decimals: 1, denominator },
        }
    }

    /// Cut height, lap and piece height as printed: in each unit the piece height is the sum of the two printed figures.
    pub fn heights(self, cut_mm: f64, lap_mm: f64) -> [String; 3] {
        let rounded = |mm: f64, step_mm: f64| (mm / step_mm).round() * step_mm;
        let three = |step_mm: f64| {
            let (cut, lap) = (rounded(cut_mm, step_mm), rounded(lap_mm, step_mm));
            [cut, lap, cut + lap]
        };
        let metric = three(0.1).map(|mm| format_mm(mm, 1));
        match self {
            Self::Millimetres => metric,
            Self::Inches(finest) => {
                let [cut, lap, piece] = three(25.4 / f64::from(finest.parts())).map(|mm| format_inch(mm, finest));
                let [cut_mm, lap_mm, piece_mm] = metric;
                [format!("{cut} ({cut_mm})"), format!("{lap} ({lap_mm})"), format!("{piece} ({piece_mm})")]
            }
        }
    }

    /// Figures of a step as printed, heights so that they add up.
    pub fn figures(self, figures_mm: &[(String, f64)]) -> Vec<(String, String)> {
        let named = |name: &str| figures_mm.iter().find(|(known, _)| known == name).map(|(_, mm)| *mm);
        let heights = named("cut height").zip(named("lap")).map(|(cut, lap)| self.heights(cut, lap));
        let printed = |name: &str, mm: f64| match (name, &heights) {
            ("cut height", Some([cut, ..])) => cut.clone(),
            ("lap", Some([_, lap, _])) => lap.clone(),
            ("piece height", Some([.., piece])) => piece.clone(),
            _ => self.write(mm),
        };
        // edge to edge there is one height only
        let told = |name: &str| named("lap") != Some(0.0) || !matches!(name, "lap" | "piece height");
        figures_mm.iter().filter(|(name, _)| told(name)).map(|(name, mm)| (name.clone(), printed(name, *mm))).collect()
    }

    /// The word in a box to be filled in.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Millimetres => "mm",
            Self::Inches(_) => "inches",
        }
    }
}

/// A paper in the making.
#[derive(Debug, Default)]
pub struct PaperDraft {
    /// Blocks in order.
    pub blocks: Vec<Block>,
    /// Pictures by name.
    pub pictures: Vec<Picture>,
}

impl PaperDraft {
    /// Adds a block.
    pub fn put(&mut self, block: Block) -> &mut Self {
        self.blocks.push(block);
        self
    }

    /// Keeps a drawing for a picture block and returns its name.
    ///
    /// # Errors
    /// As [`Drawing::bounds`].
    pub fn keep(&mut self, drawing: &Drawing) -> Result<String, PacketError> {
        let name = format!("{}-{}", self.pictures.len() + 1, drawing.name);
        self.pictures.push(Picture { name: name.clone(), ..Picture::of(drawing, 1.5)? });
        Ok(name)
    }

    /// Adds a drawing as a picture, left out when there is nothing on it.
    ///
    /// # Errors
    /// As [`Drawing::bounds`], but for an empty drawing.
    pub fn picture(
        &mut self,
        drawing: &Drawing,
        caption: impl Into<String>,
        height_mm: f64,
    ) -> Result<&mut Self, PacketError> {
        if drawing.items.is_empty() {
            return Ok(self);
        }
        let name = self.keep(drawing)?;
        Ok(self.put(Block::Picture { name, caption: caption.into(), height_mm }))
    }
}

impl Desk<'_> {
    /// The person who fits the piece.
    pub fn fitter(&self) -> Reader {
        Reader::new(self.job.fitter.unit, self.job.fitter.inch_denominator)
    }

    /// The customer.
    pub fn customer(&self) -> Reader {
        Reader::new(self.job.customer.unit.unwrap_or(self.job.unit), self.job.fitter.inch_denominator)
    }

    /// The paper that the customer prints on.
    pub fn paper(&self) -> page::Paper {
        match self.job.customer.paper {
            Paper::A4 => page::Paper::A4,
            Paper::Letter => page::Paper::LETTER,
        }
    }

    /// The day as a file writes it, "2026-11-23".
    pub fn iso_day(&self) -> String {
        format!("{:04}-{:02}-{:02}", self.day.year, self.day.month, self.day.day)
    }

    /// The day in words, "23 November 2026".
    pub fn date(&self) -> String {
        date_in_words(&self.iso_day())
    }

    /// The vehicle with its year.
    pub fn vehicle(&self) -> String {
        let vehicle = &self.job.vehicle;
        [vehicle.name.as_str(), vehicle.year.as_str()]
            .iter()
            .filter(|part| !part.is_empty())
            .copied()
            .collect::<Vec<_>>()
            .join(", ")
    }

    /// The job's own section behind a planned one.
    pub fn section(&self, plan: &SectionPlan) -> Option<&job::file::Section> {
        self.job.sections.iter().find(|section| section.id == plan.id)
    }

    /// Stops that were lifted, as printed on quote, traveller and fitting sheet. An entry that lacks what it needs, or meets
    /// nothing, has lifted nothing and is not printed.
    pub fn lifts(&self) -> Vec<String> {
        let concerns =
            || self.plan.concerns.iter().chain(self.plan.sections.iter().flat_map(|section| &section.concerns));
        let lifted = |lift: &LiftedStop| {
            concerns().find(|it| {
                it.key == lift.concern && it.place == lift.place && it.lifted_by.is_some() && it.grade != Grade::Stop
            })
        };
        self.job.lifted.iter().filter_map(|lift| Some(lift_words(lift, lifted(lift)?))).collect()
    }

    /// Sets a paper.
    ///
    /// # Errors
    /// As [`pdf::typeset`].
    pub fn set(&self, heading: &str, subject: &str, draft: PaperDraft) -> Result<Vec<u8>, PacketError> {
        let paper = match self.job.customer.paper {
            Paper::A4 => "a4",
            Paper::Letter => "us-letter",
        };
        let title = format!("{heading} {} {subject}", self.job.number);
        let data = json!({
            "paper": paper,
            "heading": heading,
            "subject": subject,
            "job": self.job.number,
            "date": self.date(),
            "footer": format!("{} · job {} · {heading} · {}", self.shop.name, self.job.number, self.date()),
            "shop": { "name": self.shop.name, "address": self.shop.address.join(", "), "contact": self.shop.contact },
            "blocks": draft.blocks,
        });
        pdf::typeset(&Document { title, template: "paper", day: Some(self.day), data, pictures: draft.pictures })
    }
}

fn lift_words(lift: &LiftedStop, stop: &Concern) -> String {
    let trade = if lift.trade.is_empty() { String::new() } else { format!(", {}", lift.trade) };
    let what = stop.what.trim_end_matches('.');
    format!(
        "Stop lifted by {}{trade} on {}: {} ({}). Reason: {}",
        lift.name,
        date_in_words(&lift.date),
        what,
        lift.place,
        lift.reason
    )
}
