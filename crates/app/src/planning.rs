//! Plans of the cards, kept as long as they stand, and what is drawn from them.

use crate::documents::{self, Document};
use crate::failure::Failure;
use crate::pictures;
use crate::reply;
use crate::shop_data::{Card, today};
use job::file::{Fitter, Job, Joint, Pattern, Section};
use job::plan::{HeatOfSection, PiecePlan, Plan, Planner, SeamsOfPiece, SectionPlan, WarpOfSection, WeldMap};
use packet::documents::preview;
use shop::ShopSettings;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, RwLock};
use store::{JobId, RevisionId};
use weld::advice::Advice;

/// Parts of a page by the id of their element.
type Parts = BTreeMap<String, String>;

/// Most plans and pages that are kept.
const KEPT: usize = 12;
/// Most packets that are kept: each holds every file of a job.
const KEPT_PACKETS: usize = 2;

/// Most sections whose seams are kept.
const KEPT_SEAMS: usize = 4;

/// Seams of the skins of a section, or why there are none.
pub type SeamsFound = Result<Vec<SeamsOfPiece>, String>;

/// Most sections whose warp is kept.
const KEPT_WARPS: usize = 4;

/// Warp of the panel round a section, or why there is none.
pub type WarpFound = Result<WarpOfSection, String>;

/// How hot the panel round a section gets, or why it is not known.
pub type HeatFound = Result<HeatOfSection, String>;

/// What the warp of a section follows from.
#[derive(Debug, Clone, PartialEq)]
struct WarpInputs {
    section: Section,
    fitter: Fitter,
    pattern: Option<Pattern>,
    pieces: Vec<PiecePlan>,
}

impl WarpInputs {
    fn of(job: &Job, section: &Section, plan: &SectionPlan) -> Self {
        let mut section = section.clone();
        section.joint.accepted = None;
        let pattern = crate::waiting::pattern_of(job, &section).cloned();
        Self { section, fitter: job.fitter.clone(), pattern, pieces: plan.pieces.clone() }
    }

    /// The same place, fitter and pattern, whichever joint it is there: lap and butt are worked out side by side.
    fn is_place_of(&self, other: &Self) -> bool {
        let place = |section: &Section| {
            let usual = Joint::default();
            let joint = Joint {
                kind: usual.kind,
                fixing: usual.fixing,
                lap: None,
                runs_out_start: None,
                runs_out_end: None,
                ..section.joint.clone()
            };
            Section { joint, ..section.clone() }
        };
        place(&self.section) == place(&other.section) && self.fitter == other.fitter && self.pattern == other.pattern
    }
}

/// What the heat of a section follows from: as its warp, and from the order that stands.
#[derive(Debug, Clone, PartialEq)]
struct HeatInputs {
    warp: WarpInputs,
    order: Vec<WeldMap>,
}

impl HeatInputs {
    fn of(job: &Job, section: &Section, plan: &SectionPlan) -> Self {
        Self { warp: WarpInputs::of(job, section, plan), order: plan.joint.maps.clone() }
    }
}

/// What is worked out and kept.
#[derive(Debug)]
pub struct Planning {
    settings: RwLock<Arc<ShopSettings>>,
    planner: Mutex<Planner>,
    plans: Kept<JobId, (RevisionId, Arc<Plan>)>,
    pages: Kept<(JobId, String), (RevisionId, Parts)>,
    documents: Kept<JobId, (RevisionId, Arc<Vec<Document>>)>,
    seams: Kept<(JobId, String), (SectionPlan, Arc<SeamsFound>)>,
    warps: Kept<(JobId, String), (WarpInputs, Arc<WarpFound>)>,
    heats: Kept<(JobId, String), (HeatInputs, Arc<HeatFound>)>,
    pictures: Kept<String, (PiecePlan, Arc<PiecePictures>)>,
}

/// A small shelf: the entry that was put longest ago goes first.
#[derive(Debug)]
struct Kept<K, V> {
    entries: Mutex<Vec<(K, V)>>,
    most: usize,
}

impl<K, V> Kept<K, V> {
    fn at_most(most: usize) -> Self {
        Self { entries: Mutex::default(), most }
    }
}

impl<K: PartialEq, V: Clone> Kept<K, V> {
    fn get(&self, key: &K) -> Option<V> {
        self.lock().iter().find(|(own, _)| own == key).map(|(_, value)| value.clone())
    }

    fn put(&self, key: K, value: V) {
        let mut entries = self.lock();
        entries.retain(|(own, _)| *own != key);
        entries.push((key, value));
        if entries.len() > self.most {
            entries.remove(0);
        }
    }

    fn clear(&self) {
        self.lock().clear();
    }

    fn lock(&self) -> MutexGuard<'_, Vec<(K, V)>> {
        self.entries.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Planning {
    /// Starts with the shop's settings.
    pub fn new(settings: ShopSettings) -> Self {
        Self {
            settings: RwLock::new(Arc::new(settings)),
            planner: Mutex::default(),
            plans: Kept::at_most(KEPT),
            pages: Kept::at_most(KEPT),
            documents: Kept::at_most(KEPT_PACKETS),
            seams: Kept::at_most(KEPT_SEAMS),
            warps: Kept::at_most(KEPT_WARPS),
            heats: Kept::at_most(KEPT_WARPS),
            pictures: Kept::at_most(KEPT),
        }
    }

    /// The shop's settings.
    pub fn settings(&self) -> Arc<ShopSettings> {
        Arc::clone(&self.settings.read().unwrap_or_else(PoisonError::into_inner))
    }

    /// Takes new settings; everything is worked out again when it is asked for.
    pub fn set_settings(&self, settings: ShopSettings) {
        *self.settings.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(settings);
        self.plans.clear();
        self.documents.clear();
        self.pages.clear();
        self.warps.clear();
        self.heats.clear();
    }

    /// The plan of a card at its revision.
    pub fn plan(&self, card: &Card) -> Arc<Plan> {
        let revision = card.revision.id;
        if let Some((_, plan)) = self.plans.get(&card.id).filter(|(own, _)| *own == revision) {
            return plan;
        }
        let plan = Arc::new(self.compute(&card.job));
        self.plans.put(card.id, (revision, Arc::clone(&plan)));
        plan
    }

    /// Works a job out.
    pub fn compute(&self, job: &Job) -> Plan {
        self.planner().plan(job, &self.settings())
    }

    /// The written reply to a job as it stands.
    pub fn letter(&self, job: &Job, plan: &Plan) -> String {
        if !reply::is_said_on_the_phone(job) {
            return reply::letter(job, plan, &self.settings(), &today());
        }
        job::telephone_with(&mut self.planner(), job, &self.settings()).reply
    }

    /// A planner whose last holder panicked keeps nothing half-made: results go in whole.
    fn planner(&self) -> MutexGuard<'_, Planner> {
        self.planner.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Every file of the packet of a card at its revision.
    ///
    /// # Errors
    /// As [`documents::all`].
    pub fn documents(&self, card: &Card, plan: &Plan) -> Result<Arc<Vec<Document>>, Failure> {
        let revision = card.revision.id;
        if let Some((_, made)) = self.documents.get(&card.id).filter(|(own, _)| *own == revision) {
            return Ok(made);
        }
        let made = Arc::new(documents::all(&card.job, plan, &self.settings(), None)?);
        self.documents.put(card.id, (revision, Arc::clone(&made)));
        Ok(made)
    }

    /// Keeps the parts of a page as they were sent, so that an edit answers with what differs.
    pub fn remember(&self, id: JobId, section: &str, revision: RevisionId, parts: Parts) {
        self.pages.put((id, section.to_owned()), (revision, parts));
    }

    /// The parts of a page as they were sent at a revision.
    pub fn remembered(&self, id: JobId, section: &str, revision: RevisionId) -> Option<Parts> {
        let kept = self.pages.get(&(id, section.to_owned()))?;
        (kept.0 == revision).then_some(kept.1)
    }

    /// Keeps the seams that were found for a section as it was planned.
    pub fn keep_seams(&self, id: JobId, plan: SectionPlan, found: SeamsFound) {
        self.seams.put((id, plan.id.clone()), (plan, Arc::new(found)));
    }

    /// The seams of a section, as long as its pieces are those they were looked for.
    pub fn seams(&self, id: JobId, plan: &SectionPlan) -> Option<Arc<SeamsFound>> {
        let (own, found) = self.seams.get(&(id, plan.id.clone()))?;
        (own.pieces == plan.pieces).then_some(found)
    }

    /// Keeps the warp that was worked out for a section as it was planned.
    pub fn keep_warp(&self, id: JobId, job: &Job, section: &Section, plan: &SectionPlan, found: WarpFound) {
        self.warps.put((id, plan.id.clone()), (WarpInputs::of(job, section, plan), Arc::new(found)));
    }

    /// The warp of a section, as long as section, fitter and pieces are those it was worked out for.
    pub fn warp(&self, id: JobId, job: &Job, section: &Section, plan: &SectionPlan) -> Option<Arc<WarpFound>> {
        let (own, found) = self.warps.get(&(id, plan.id.clone()))?;
        (own == WarpInputs::of(job, section, plan)).then_some(found)
    }

    /// The advice on the joint of a section with the warp that was worked out last for its place, and that warp: for the joint it has now or for
    /// another, accepted or not. `None` where none is kept.
    pub fn advice_with_warp(
        &self,
        id: JobId,
        job: &Job,
        section: &Section,
        plan: &SectionPlan,
    ) -> Option<(Advice, Arc<WarpFound>)> {
        let (own, found) = self.warps.get(&(id, plan.id.clone()))?;
        let figures = &found.as_ref().as_ref().ok()?.order.warp;
        let is_here = own.is_place_of(&WarpInputs::of(job, section, plan));
        let advice = is_here.then(|| self.planner().advice(job, section, &self.settings(), figures))??;
        Some((advice, found))
    }

    /// Keeps how hot the panel of a section gets, as it was planned.
    pub fn keep_heat(&self, id: JobId, job: &Job, section: &Section, plan: &SectionPlan, found: HeatFound) {
        self.heats.put((id, plan.id.clone()), (HeatInputs::of(job, section, plan), Arc::new(found)));
    }

    /// How hot the panel of a section gets, as long as section, fitter, pieces and the order of the welds are those it was worked out for.
    pub fn heat(&self, id: JobId, job: &Job, section: &Section, plan: &SectionPlan) -> Option<Arc<HeatFound>> {
        let (own, found) = self.heats.get(&(id, plan.id.clone()))?;
        (own == HeatInputs::of(job, section, plan)).then_some(found)
    }

    /// The drawings of a piece, made again only when the piece has changed.
    pub fn pictures(&self, section: &SectionPlan, piece: &PiecePlan) -> Arc<PiecePictures> {
        let key = format!("{} {}", section.id, piece.name);
        if let Some((_, made)) = self.pictures.get(&key).filter(|(own, _)| own == piece) {
            return made;
        }
        let middle = piece.cross_sections.len() / 2;
        let made = std::thread::scope(|threads| {
            let flat = threads.spawn(|| preview::blank(section, piece).unwrap_or_default());
            let cross_section = preview::cross_section(section, piece, middle).ok().flatten().unwrap_or_default();
            let finished = preview::finished_piece(section, piece).unwrap_or_default();
            let flat = flat.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
            Arc::new(PiecePictures { finished, flat, cross_section })
        });
        self.pictures.put(key, (piece.clone(), Arc::clone(&made)));
        made
    }

    /// The pieces of a pattern at its own sizes in one of its versions, as one line drawing: seen from outside and above, or the
    /// first piece cut through in the middle where it has cross-sections.
    ///
    /// # Errors
    /// A pattern that cannot be worked out or has no such version, with its first fault.
    pub fn pattern_picture(
        &self,
        pattern: &Pattern,
        version: Option<&str>,
        cut_through: bool,
    ) -> Result<String, Failure> {
        let plan = self.compute(&pattern.alone(version));
        let made = plan.sections.first().filter(|section| !section.pieces.is_empty());
        let section = made.ok_or_else(|| {
            let fault = plan.all_faults().next().map(|fault| fault.message.clone());
            Failure::bad_input(fault.unwrap_or_else(|| "the pattern has no piece".into())).in_place(&pattern.title)
        })?;
        if let (true, Some(piece)) = (cut_through, section.pieces.first())
            && let Some(svg) = preview::cross_section(section, piece, piece.cross_sections.len() / 2).ok().flatten()
        {
            return Ok(svg);
        }
        Ok(pictures::together(section))
    }
}

/// Drawings of one piece as SVG; an empty text where there is nothing to draw.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PiecePictures {
    /// Finished, seen from outside and above.
    pub finished: String,
    /// Flat.
    pub flat: String,
    /// The cross-section in the middle.
    pub cross_section: String,
}
