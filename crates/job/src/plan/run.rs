//! The whole plan: sections one by one, then what belongs to the job.

use super::cache::{Cache, key};
use super::make::{Made, make};
use super::words::Words;
use super::{Fault, Plan, Promise, SectionPlan, joint, section_plan};
use crate::file::{Customer, Damage, Fitter, Job, LiftedStop, Near, Pattern, Section, Vehicle};
use crate::read::shape_faults;
use crate::resolve::Assume;
use serde::Serialize;
use shop::price::SetMember;
use shop::{Price, ShopError, ShopSettings};
use std::sync::Arc;
use weld::advice::{Advice, WarpFigure};

/// Plans a job. Pure: the same job and shop give the same plan, bit for bit, on any number of threads.
#[must_use]
pub fn plan(job: &Job, shop: &ShopSettings) -> Plan {
    Planner::default().plan(job, shop)
}

/// Plans jobs and keeps what has not changed since the last time; the plan is the same with and without it.
#[derive(Debug)]
pub struct Planner {
    made: Cache<Made>,
    sections: Cache<SectionPlan>,
}

impl Default for Planner {
    fn default() -> Self {
        // enough for the cards of a day's rack; each result holds half a megabyte of shape and flat
        Self::keeping(64)
    }
}

impl Planner {
    /// A planner that keeps up to `most` results of each stage.
    #[must_use]
    pub fn keeping(most: usize) -> Self {
        Self { made: Cache::new(most.max(1)), sections: Cache::new(most.max(1)) }
    }

    /// Results kept: of the shapes and flats, and of whole sections.
    #[must_use]
    pub fn kept(&self) -> [usize; 2] {
        [self.made.len(), self.sections.len()]
    }

    /// Plans a job.
    pub fn plan(&mut self, job: &Job, shop: &ShopSettings) -> Plan {
        let sections: Vec<SectionPlan> =
            job.sections.iter().map(|section| SectionPlan::clone(&self.section(job, section, shop))).collect();
        whole(job, shop, sections)
    }

    fn section(&mut self, job: &Job, section: &Section, shop: &ShopSettings) -> Arc<SectionPlan> {
        let made = &mut self.made;
        let inputs = SectionInputs {
            of: made_inputs(job, section, shop, Assume::default()),
            section,
            number: &job.number,
            country: &job.country,
            customer: &job.customer,
            vehicle: &job.vehicle,
            fitter: &job.fitter,
            near: &job.near,
            lifted: &job.lifted,
        };
        self.sections.get_or(key("section", &inputs), || {
            section_plan::plan(job, section, shop, |assume| Self::made(made, job, section, shop, assume))
        })
    }

    /// The advice on the joint of a section with a warp that was worked out for its place, whether its order was accepted or not;
    /// `None` for a section that cannot be made.
    pub fn advice(&mut self, job: &Job, section: &Section, shop: &ShopSettings, warp: &[WarpFigure]) -> Option<Advice> {
        let made = self.make(job, section, shop, Assume::default());
        let words = Words::of(&job.fitter);
        let asked = joint::Asked { job, section, made: &made, words: &words, shop };
        made.faults.is_empty().then(|| joint::advise(&asked, warp))
    }

    fn made(cache: &mut Cache<Made>, job: &Job, section: &Section, shop: &ShopSettings, assume: Assume) -> Arc<Made> {
        cache.get_or(key("make", &made_inputs(job, section, shop, assume)), || make(job, section, shop, assume))
    }

    /// Shape and flat of a section under an assumption, from the cache where nothing changed.
    pub(crate) fn make(&mut self, job: &Job, section: &Section, shop: &ShopSettings, assume: Assume) -> Arc<Made> {
        Self::made(&mut self.made, job, section, shop, assume)
    }
}

/// What the shape and flat of a section depend on.
#[derive(Serialize)]
struct MadeInputs<'a> {
    unit: units::LengthUnit,
    customer_unit: Option<units::LengthUnit>,
    section: Section,
    pattern: Option<&'a Pattern>,
    shop: &'a ShopSettings,
    corner: String,
}

/// The part of a section that its shape and flat depend on: words, numbers of pieces and replies change neither.
fn shaping(section: &Section) -> Section {
    let damage = Damage { cause: None, notes: String::new(), ..section.damage.clone() };
    let joint = section.joint.shaping();
    Section { quantity: 1, damage, joint, try_on_reply: None, ..section.clone() }
}

fn made_inputs<'a>(job: &'a Job, section: &'a Section, shop: &'a ShopSettings, assume: Assume) -> MadeInputs<'a> {
    let pattern =
        section.from_pattern.as_ref().and_then(|from| job.patterns.iter().find(|pattern| pattern.id == from.id));
    MadeInputs {
        unit: job.unit,
        customer_unit: job.customer.unit,
        section: shaping(section),
        pattern,
        shop,
        corner: format!("{assume:?}"),
    }
}

#[derive(Serialize)]
struct SectionInputs<'a> {
    of: MadeInputs<'a>,
    section: &'a Section,
    number: &'a str,
    country: &'a str,
    customer: &'a Customer,
    vehicle: &'a Vehicle,
    fitter: &'a Fitter,
    near: &'a Near,
    lifted: &'a [LiftedStop],
}

fn whole(job: &Job, shop: &ShopSettings, sections: Vec<SectionPlan>) -> Plan {
    let mut faults = shape_faults(job);
    let mut concerns = super::cautions::of_job(job, &sections);
    faults.extend(super::lift::lift(job, &mut concerns));
    faults.extend(super::lift::faults(job, &concerns, &sections));
    let priced: Vec<&Price> = sections.iter().filter_map(|section| section.price.as_ref()).collect();
    let saving = match shop::price::set_saving(&set_members(job, &sections), shop) {
        Ok(saving) => saving,
        Err(error) => {
            faults.push(Fault { field: "shop.money".into(), message: error.to_string() });
            None
        }
    };
    let price = match shop::price::total_with(&priced, saving, shop) {
        Ok(price) => price,
        Err(error) => {
            faults.push(Fault { field: "shop.money".into(), message: error.to_string() });
            None
        }
    };
    let promise = opened_promise(job, shop, price.as_ref(), &sections, &mut faults);
    let compared = super::compare::sentences(job, shop, price.as_ref(), &mut faults);
    Plan {
        number: job.number.clone(),
        title: job.title.clone(),
        country: job.country.clone(),
        paper: job.customer.paper,
        sections,
        price,
        compared,
        promise,
        concerns,
        faults,
    }
}

/// Priced sections by their set; one without a set is a set of its own, which a quantity makes larger.
fn set_members<'a>(job: &'a Job, sections: &'a [SectionPlan]) -> Vec<SetMember<'a>> {
    let priced = job.sections.iter().zip(sections).filter(|(_, plan)| plan.price.is_some());
    priced
        .map(|(section, plan)| SetMember {
            set: if section.set.trim().is_empty() { &section.id } else { section.set.trim() },
            operations: &plan.operations,
            quantity: plan.quantity,
        })
        .collect()
}

fn opened_promise(
    job: &Job,
    shop: &ShopSettings,
    price: Option<&Price>,
    sections: &[SectionPlan],
    faults: &mut Vec<Fault>,
) -> Option<Promise> {
    let price = price?;
    if job.opened.trim().is_empty() {
        return None;
    }
    promise(job.opened.trim(), price, sections, shop)
        .map_err(|error| faults.push(Fault { field: "opened".into(), message: error.to_string() }))
        .ok()
}

/// When the work of a plan could leave the shop, counted from a day (YYYY-MM-DD): for a paper that goes out that day. `None`
/// when nothing is priced.
///
/// # Errors
/// As [`shop::promise`].
pub fn promise_from(day: &str, plan: &Plan, shop: &ShopSettings) -> Result<Option<Promise>, ShopError> {
    plan.price.as_ref().map(|price| promise(day, price, &plan.sections, shop)).transpose()
}

fn promise(day: &str, price: &Price, sections: &[SectionPlan], shop: &ShopSettings) -> Result<Promise, ShopError> {
    let variance: f64 = sections
        .iter()
        .map(|section| {
            let count = f64::from(section.quantity.max(1));
            shop::price::Hours::of(&section.operations, count, shop, |_| true).deviation.powi(2)
        })
        .sum();
    let dates = shop::promise(day, price.minutes, variance.sqrt(), shop)?;
    Ok(Promise { counted_from: day.into(), likely: dates.likely, latest: dates.latest, working: dates.working })
}
