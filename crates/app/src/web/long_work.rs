//! Long work on the worker that `job` owns, told to every page by server-sent events, stopped at a person's word. It goes on
//! while pages come and go, and edits never wait for it.

use super::{App, WebError};
use crate::failure::Failure;
use axum::Json;
use axum::extract::{Path, State};
use axum::response::sse::{Event, KeepAlive, Sse};
use job::worker::{Pending, Report, WorkId, Worker, slow_stage};
use serde::Serialize;
use std::collections::BTreeMap;
use std::convert::Infallible;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::broadcast;
use tokio_stream::wrappers::BroadcastStream;
use tokio_stream::wrappers::errors::BroadcastStreamRecvError;
use tokio_stream::{Stream, StreamExt};

/// Set to "1" in tests: lets a page start a slow stage that computes nothing.
const TEST_FLAG: &str = "SOUNDMETAL_TEST_SLOW_STAGE";

/// Work that is done within twenty of these is shown without a bar.
const WAIT: Duration = Duration::from_millis(75);
const WAITS: u32 = 20;

/// How a piece of long work stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WorkState {
    /// Its number.
    pub id: u64,
    /// What it is.
    pub name: String,
    /// Card and section it is for, in words; empty when it is for none.
    pub of: String,
    /// Done, 0 to 1.
    pub done: f64,
    /// "running", "finished", "stopped" or "failed".
    pub state: &'static str,
    /// What is being done, where its result stands, or why it failed.
    pub note: String,
}

/// Where work was asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
struct AskedOn {
    page: String,
    of: String,
}

/// News that a page did not read before they were dropped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Missed;

/// All long work of this program.
#[derive(Debug)]
pub struct LongWork {
    worker: Worker,
    news: broadcast::Sender<WorkState>,
    /// Where each piece of work was asked for.
    pages: Mutex<BTreeMap<WorkId, AskedOn>>,
}

impl LongWork {
    /// Starts the worker; nothing is given to it yet.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn start() -> Result<Self, Failure> {
        let worker = Worker::start().map_err(Failure::machine)?;
        Ok(Self { worker, news: broadcast::channel(256).0, pages: Mutex::default() })
    }

    /// Hands work in that was asked for on a page, for a card and section in words; every page hears how it goes, and at the end where its result stands.
    pub fn submit<T: Send + 'static>(
        &self,
        (page, of): (&str, &str),
        name: &'static str,
        result: &'static str,
        work: impl FnOnce(&numerics::Progress, &numerics::Cancel) -> Result<T, numerics::Cancelled> + Send + 'static,
    ) -> WorkId {
        // The number is known only once the work is in, and the worker may tell of it before that.
        let (number, numbered) = (Arc::new(std::sync::OnceLock::new()), broadcast::Sender::clone(&self.news));
        let told = Arc::clone(&number);
        let asked_on = AskedOn { page: page.to_owned(), of: of.to_owned() };
        let of = of.to_owned();
        let ticket = self.worker.submit(name, work, move |report: Report<T>| {
            let id = *told.wait();
            let (done, state, note) = match report {
                Report::Progress(step) => (step.share, "running", step.words),
                Report::Done(_) => (1.0, "finished", result.to_owned()),
                Report::Cancelled => (0.0, "stopped", String::new()),
                Report::Failed(why) => (0.0, "failed", why),
            };
            // Nobody listening is no trouble: a page that opens later reads the list.
            let _ = numbered.send(WorkState { id, name: name.to_owned(), of: of.clone(), done, state, note });
        });
        let _ = number.set(ticket.id.0);
        let there = self.worker.jobs();
        let mut pages = self.pages();
        pages.retain(|id, _| there.iter().any(|pending| pending.id == *id));
        pages.insert(ticket.id, asked_on);
        ticket.id
    }

    fn pages(&self) -> MutexGuard<'_, BTreeMap<WorkId, AskedOn>> {
        self.pages.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Waits for work, but no longer than a person waits for a page. The address to go back to: when the work goes on it names it, so
    /// that a page whose work ends before the page listens loads itself again.
    pub async fn wait_a_little(&self, id: WorkId, page: &str, question: &str) -> String {
        for _ in 0..WAITS {
            if self.worker.jobs().iter().all(|pending| pending.id != id) {
                return format!("{page}#{question}");
            }
            tokio::time::sleep(WAIT).await;
        }
        format!("{page}?work={}#{question}", id.0)
    }

    /// Does work of this name wait or run that was asked for on this page?
    pub fn is_pending(&self, page: &str, name: &str) -> bool {
        let pages = self.pages();
        let own =
            |pending: &Pending| pending.name == name && pages.get(&pending.id).is_some_and(|own| own.page == page);
        self.worker.jobs().iter().any(own)
    }

    /// Every change from now on. A page that reads so slowly that news were dropped is told again how all stands.
    fn news(&self) -> impl Stream<Item = Result<WorkState, Missed>> + use<> {
        BroadcastStream::new(self.news.subscribe()).map(|one| one.map_err(|BroadcastStreamRecvError::Lagged(_)| Missed))
    }

    fn all(&self) -> Vec<WorkState> {
        let pages = self.pages();
        let state = |pending: Pending| WorkState {
            id: pending.id.0,
            name: pending.name,
            of: pages.get(&pending.id).map(|own| own.of.clone()).unwrap_or_default(),
            done: pending.step.share,
            state: "running",
            note: pending.step.words,
        };
        self.worker.jobs().into_iter().map(state).collect()
    }
}

/// How all long work stands.
pub async fn list(State(app): State<Arc<App>>) -> Json<Vec<WorkState>> {
    Json(app.long_work.all())
}

/// Every change of it ("work"), beginning with how it stands; where changes were missed, how all of it stands ("all").
pub async fn events(State(app): State<Arc<App>>) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let news = app.long_work.news();
    let states = tokio_stream::iter(app.long_work.all().into_iter().map(Ok)).chain(news);
    let events = states.map(move |state| {
        let event = match state {
            Ok(state) => Event::default().event("work").json_data(&state),
            Err(Missed) => Event::default().event("all").json_data(app.long_work.all()),
        };
        Ok(event.unwrap_or_default())
    });
    Sse::new(events).keep_alive(KeepAlive::default())
}

/// Stops a piece of work.
pub async fn cancel(State(app): State<Arc<App>>, Path(id): Path<u64>) -> Result<Json<Vec<WorkState>>, WebError> {
    if !app.long_work.worker.cancel(WorkId(id)) {
        return Err(WebError(Failure::not_found(format!("no long work has number {id}; it may have ended"))));
    }
    Ok(Json(app.long_work.all()))
}

/// Starts a slow stage that computes nothing; only where the test flag is set.
pub async fn start_test(State(app): State<Arc<App>>) -> Result<Json<Vec<WorkState>>, WebError> {
    if std::env::var_os(TEST_FLAG).is_none_or(|value| value != "1") {
        return Err(WebError(Failure::not_found("there is no page at this address").hint("start from the rack")));
    }
    app.long_work.submit(("", ""), "slow stage for the tests", "", |progress, cancel| {
        slow_stage(300, Duration::from_millis(100), progress, cancel)
    });
    Ok(Json(app.long_work.all()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Work is waited for on the page that asked for it, and no other.
    #[test]
    fn work_is_pending_on_its_own_page_only() {
        let work = LongWork::start().unwrap();
        let (hold, held) = std::sync::mpsc::channel::<()>();
        let id = work.submit(("/card/1/section/a", "26-001, sill"), "heat", "there", move |_, _| {
            let _ = held.recv();
            Ok(())
        });
        assert!(work.is_pending("/card/1/section/a", "heat"));
        // several wait beside one another: each says whose it is
        assert_eq!(work.all()[0].of, "26-001, sill");
        assert!(!work.is_pending("/card/2/section/a", "heat") && !work.is_pending("/card/1/section/a", "warp"));
        drop(hold);
        while work.worker.jobs().iter().any(|pending| pending.id == id) {
            std::thread::sleep(Duration::from_millis(5));
        }
        assert!(!work.is_pending("/card/1/section/a", "heat"));
    }

    /// A page that slept through more news than are kept is told so, once, and then the rest.
    #[test]
    fn a_page_that_missed_news_is_told_that_it_did() {
        let work = LongWork::start().unwrap();
        let mut news = Box::pin(work.news());
        let state = |id| WorkState {
            id,
            name: "slow".into(),
            of: String::new(),
            done: 0.5,
            state: "running",
            note: String::new(),
        };
        for id in 0..400 {
            let _ = work.news.send(state(id));
        }
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        let read: Vec<_> = runtime.block_on(async {
            let mut read = Vec::new();
            for _ in 0..257 {
                read.extend(news.next().await);
            }
            read
        });
        assert_eq!(read.iter().filter(|one| **one == Err(Missed)).count(), 1);
        assert_eq!(read.first(), Some(&Err(Missed)));
        assert_eq!(read.last(), Some(&Ok(state(399))));
    }
}
