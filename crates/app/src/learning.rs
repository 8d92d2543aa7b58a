//! The shop learns from its own times: factors by kind of operation, kept in its settings.

use crate::failure::Failure;
use crate::shop_data::signed;
use crate::web::App;
use job::plan::Plan;
use shop::{ActualTime, ShopSettings, learn};
use std::collections::BTreeMap;
use store::{Edit, JobId, RevisionId, StoreError, Subject};

impl App {
    /// Works the factors out from every time written down, and plans with them from now on.
    ///
    /// # Errors
    /// As the store; a card that cannot be worked out.
    pub fn learn(&self) -> Result<(), Failure> {
        let mut settings = self.data.settings()?;
        let mut by_job: BTreeMap<JobId, BTreeMap<(String, String), f64>> = BTreeMap::new();
        for time in self.data.store.actuals(None)? {
            // Entries for one operation of one job add up: a piece may be on the bench on two days.
            *by_job.entry(time.job).or_default().entry((time.operation, time.piece)).or_default() += time.minutes;
        }
        let mut times = Vec::new();
        for (id, taken) in by_job {
            let plan = self.planning.plan(&self.data.card(id)?);
            for ((kind, piece), actual_minutes) in taken {
                let estimated_minutes = estimate(&plan, &settings, &kind, &piece);
                times.extend(estimated_minutes.map(|estimated_minutes| ActualTime {
                    kind,
                    estimated_minutes,
                    actual_minutes,
                }));
            }
        }
        settings.learned = learn(&times);
        self.keep_settings(settings, "program")
    }

    /// Writes the shop's settings on whatever stands.
    ///
    /// # Errors
    /// As the store.
    pub fn keep_settings(&self, settings: ShopSettings, who: &str) -> Result<(), Failure> {
        let base = match self.data.store.current(Subject::Shop) {
            Ok(record) => record.revision.id,
            Err(StoreError::NotFound { .. }) => RevisionId(0),
            Err(error) => return Err(error.into()),
        };
        self.keep_settings_from(base, settings, who)
    }

    /// Writes the shop's settings as changed from the revision `base`; revision 0 is a shop that has none yet.
    ///
    /// # Errors
    /// As the store: a base that is no longer current.
    pub fn keep_settings_from(&self, base: RevisionId, settings: ShopSettings, who: &str) -> Result<(), Failure> {
        let body = serde_json::to_value(&settings).map_err(Failure::machine)?;
        let heading = store::Heading { title: settings.name.clone(), ..Default::default() };
        let edit = Edit { body, heading, what: None };
        if base == RevisionId(0) {
            self.data.store.create_shop(edit, signed(who))?;
        } else {
            self.data.store.commit(Subject::Shop, base, edit, signed(who))?;
        }
        self.planning.set_settings(settings);
        Ok(())
    }
}

/// Minutes estimated for an operation with a factor of 1; nothing when the plan no longer has it.
fn estimate(plan: &Plan, settings: &ShopSettings, kind: &str, piece: &str) -> Option<f64> {
    let of_section = |section: &job::plan::SectionPlan| -> f64 {
        let own = section.operations.iter().filter(|operation| operation.kind == kind);
        own.filter(|operation| operation.piece == piece || (operation.piece.is_empty() && section.id == piece))
            .map(|operation| operation.minutes.mean())
            .sum()
    };
    let minutes: f64 = plan.sections.iter().map(of_section).sum();
    let factor = settings.learned.get(kind).copied().unwrap_or(1.0);
    (minutes > 0.0 && factor > 0.0).then_some(minutes / factor)
}
