//! What is written on a template: station, face, hand, front, up.

use super::faced::face_words;
use glam::DVec2;
use glam::DVec3;
use mesh::sections::SectionPlane;
use section::{Face, Hand};
use serde::{Deserialize, Serialize};

/// Where a direction of the vehicle points, seen on a card.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Points {
    /// Along the card: a unit vector in its frame.
    Along(DVec2),
    /// Out of the lettered face, towards the reader.
    LetteredFace,
    /// Out of the other face.
    OtherFace,
}

impl Points {
    /// Of a direction in vehicle axes on a card; along it when it leans 30° or more from the card's normal.
    #[must_use]
    pub fn of(direction: DVec3, plane: &SectionPlane) -> Self {
        let flat = plane.direction(direction);
        match flat.try_normalize() {
            Some(unit) if flat.length() >= 0.5 * direction.length() => Self::Along(unit),
            _ if direction.dot(plane.normal()) > 0.0 => Self::LetteredFace,
            _ => Self::OtherFace,
        }
    }

    fn words(self, what: &str) -> String {
        match self {
            Self::Along(_) => format!("the arrow {what} points along the card"),
            Self::LetteredFace => format!("this lettered face looks {what}"),
            Self::OtherFace => format!("the face without letters looks {what}"),
        }
    }
}

/// What is written on a template.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TemplateLabel {
    /// Name of the template or slice.
    pub name: String,
    /// Which station, as the job says it.
    pub station: String,
    /// Face of the sheet that it touches.
    pub touches: Face,
    /// Hand of the piece, where it has one.
    pub hand: Option<Hand>,
    /// Where the front of the vehicle is.
    pub front: Points,
    /// Where up is.
    pub up: Points,
}

impl TemplateLabel {
    /// What stands on the card itself, in short lines: name, station, face, hand.
    #[must_use]
    pub fn short_lines(&self) -> Vec<String> {
        let face = format!("shaped edge on the {} face", face_words(self.touches).to_uppercase());
        let mut lines = vec![self.name.clone(), format!("stands at {}", self.station), face];
        lines.extend(self.hand.map(|hand| match hand {
            Hand::Left => "LEFT hand".to_owned(),
            Hand::Right => "RIGHT hand".to_owned(),
        }));
        lines
    }

    /// The label in lines, the name first.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let hand = self.hand.map(|hand| match hand {
            Hand::Left => "LEFT hand, as seen sitting in the driving seat facing forward".to_owned(),
            Hand::Right => "RIGHT hand, as seen sitting in the driving seat facing forward".to_owned(),
        });
        let touched = format!("the shaped edge touches the {} face of the sheet", face_words(self.touches));
        let mut lines = vec![self.name.clone(), self.station.clone()];
        lines.extend(hand);
        lines.extend([touched, self.front.words("to the front"), self.up.words("up")]);
        lines
    }
}
