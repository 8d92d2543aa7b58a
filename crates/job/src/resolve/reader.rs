//! Reads dimensions and notes what is wrong with each.

use crate::file::{Job, Section};
use crate::plan::Fault;
use handbook::{Concern, Grade, LiftedBy};
use units::{Dimension, LengthUnit, Reading, UnitError};

/// Reads dimensions under one unit and one metal; a fault gives NaN and is kept with its path.
#[derive(Debug)]
pub struct Reader {
    reading: Reading,
    /// Unit of bare numbers measured for this job.
    pub job_unit: LengthUnit,
    faults: Vec<Fault>,
    /// Doubts, which stop nothing by themselves.
    pub concerns: Vec<Concern>,
    /// Title of the section, the place of its concerns.
    pub place: String,
}

impl Reader {
    /// A reader for one section.
    #[must_use]
    pub fn new(job: &Job, section: &Section) -> Self {
        Self {
            reading: Reading { bare_unit: job.unit, ..Reading::default() },
            job_unit: job.unit,
            faults: Vec::new(),
            concerns: Vec::new(),
            place: section.title.clone(),
        }
    }

    /// Sets the unit of bare numbers.
    pub fn unit(&mut self, unit: LengthUnit) {
        self.reading.bare_unit = unit;
    }

    /// Sets what a gauge number means.
    pub fn sheet(&mut self, sheet: units::SheetKind) {
        self.reading.sheet = sheet;
    }

    /// Notes a fault.
    pub fn fault(&mut self, field: impl Into<String>, message: impl Into<String>) {
        self.faults.push(Fault { field: field.into(), message: message.into() });
    }

    /// Has anything been wrong so far?
    #[must_use]
    pub fn is_faulty(&self) -> bool {
        !self.faults.is_empty()
    }

    /// The faults.
    #[must_use]
    pub fn into_faults(self) -> Vec<Fault> {
        self.faults
    }

    /// Notes a doubt that stops the cut files until the shop lifts it.
    pub fn stop(&mut self, key: &str, [what, why, what_to_do]: [String; 3]) {
        self.concerns.push(concern(key, Grade::Stop, &self.place, [what, why, what_to_do]));
    }

    /// Notes a caution.
    pub fn caution(&mut self, key: &str, [what, why, what_to_do]: [String; 3]) {
        self.concerns.push(concern(key, Grade::Caution, &self.place, [what, why, what_to_do]));
    }

    /// A length of zero or more, mm.
    pub fn length(&mut self, field: &str, dimension: &Dimension) -> f64 {
        let read = dimension.length_mm(&self.reading);
        self.noted(field, read)
    }

    /// A length of more than zero, mm.
    pub fn positive(&mut self, field: &str, dimension: &Dimension) -> f64 {
        let read = dimension.positive_length_mm(&self.reading);
        self.noted(field, read)
    }

    /// A coordinate or offset, mm.
    pub fn signed(&mut self, field: &str, dimension: &Dimension) -> f64 {
        let read = dimension.signed_length_mm(&self.reading);
        self.noted(field, read)
    }

    /// A sheet thickness or wire diameter, mm.
    pub fn thickness(&mut self, field: &str, dimension: &Dimension) -> f64 {
        let read = dimension.thickness_mm(&self.reading);
        self.noted(field, read)
    }

    /// An angle, rad.
    pub fn angle(&mut self, field: &str, dimension: &Dimension) -> f64 {
        let read = dimension.angle_rad();
        self.noted(field, read)
    }

    /// A length measured for this job: a bare number takes the job's unit.
    pub fn measured(&mut self, field: &str, dimension: &Dimension) -> f64 {
        let read = dimension.positive_length_mm(&Reading { bare_unit: self.job_unit, ..self.reading });
        self.noted(field, read)
    }

    /// A point, mm.
    pub fn point(&mut self, field: &str, point: &[Dimension; 3]) -> glam::DVec3 {
        let [x, y, z] = point;
        glam::DVec3::new(
            self.signed(&format!("{field}.x"), x),
            self.signed(&format!("{field}.y"), y),
            self.signed(&format!("{field}.z"), z),
        )
    }

    fn noted(&mut self, field: &str, read: Result<f64, UnitError>) -> f64 {
        match read {
            Ok(value) => value,
            Err(error) => {
                self.fault(field, error.to_string());
                f64::NAN
            }
        }
    }
}

/// A concern of this room.
pub(crate) fn concern(key: &str, grade: Grade, place: &str, [what, why, what_to_do]: [String; 3]) -> Concern {
    Concern {
        key: key.into(),
        grade,
        place: place.into(),
        what,
        why,
        what_to_do,
        lifted_by: (grade == Grade::Stop).then_some(LiftedBy::Shop),
        source: String::new(),
    }
}
