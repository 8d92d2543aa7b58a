//! Long work: started once, carried on while pages come and go, told to every page by server-sent events, stopped at a
//! person's word. Edits never wait for it.

use super::{App, WebError};
use crate::failure::Failure;
use axum::Json;
use axum::extract::{Path, State};
use axum::response::sse::{Event, KeepAlive, Sse};
use serde::Serialize;
use std::collections::BTreeMap;
use std::convert::Infallible;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::broadcast;
use tokio_stream::wrappers::BroadcastStream;
use tokio_stream::{Stream, StreamExt};

/// Set to "1" in tests: lets a page start a slow stage that computes nothing.
const TEST_FLAG: &str = "SOUNDMETAL_TEST_SLOW_STAGE";
/// Finished work stays listed for this many entries.
const KEPT: usize = 8;

/// How a piece of long work stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WorkState {
    /// Its number.
    pub id: u64,
    /// What it is.
    pub name: String,
    /// Done, 0 to 1.
    pub done: f64,
    /// "running", "finished", "stopped" or "failed".
    pub state: &'static str,
    /// What is being done, or why it failed.
    pub note: String,
}

/// All long work of this program.
#[derive(Debug)]
pub struct LongWork {
    entries: Mutex<Entries>,
    news: broadcast::Sender<WorkState>,
}

#[derive(Debug, Default)]
struct Entries {
    last: u64,
    states: BTreeMap<u64, (WorkState, Arc<AtomicBool>)>,
}

impl Default for LongWork {
    fn default() -> Self {
        Self { entries: Mutex::default(), news: broadcast::channel(256).0 }
    }
}

/// What work is given: it says how far it is and looks whether it should stop.
pub struct Going {
    app: Arc<App>,
    id: u64,
    stop: Arc<AtomicBool>,
}

impl Going {
    /// Says how far the work is (0 to 1) and what it does; true when it should go on.
    pub fn on(&self, done: f64, note: &str) -> bool {
        self.app.long_work.change(self.id, |state| {
            state.done = done.clamp(0.0, 1.0);
            note.clone_into(&mut state.note);
        });
        !self.stop.load(Ordering::Relaxed)
    }
}

impl LongWork {
    /// Starts work on a thread of its own.
    pub fn start<F>(app: &Arc<App>, name: &str, work: F) -> u64
    where
        F: FnOnce(&Going) -> Result<(), Failure> + Send + 'static,
    {
        let stop = Arc::new(AtomicBool::new(false));
        let id = app.long_work.enter(name, Arc::clone(&stop));
        let going = Going { app: Arc::clone(app), id, stop };
        std::thread::spawn(move || {
            let result = work(&going);
            let stopped = going.stop.load(Ordering::Relaxed);
            going.app.long_work.change(id, |state| match result {
                _ if stopped => state.state = "stopped",
                Ok(()) => {
                    state.state = "finished";
                    state.done = 1.0;
                }
                Err(failure) => {
                    state.state = "failed";
                    state.note = failure.to_string();
                }
            });
        });
        id
    }

    fn enter(&self, name: &str, stop: Arc<AtomicBool>) -> u64 {
        let state = {
            let mut entries = self.entries();
            entries.last += 1;
            let id = entries.last;
            let state = WorkState { id, name: name.to_owned(), done: 0.0, state: "running", note: String::new() };
            entries.states.insert(id, (state.clone(), stop));
            let finished = entries.states.iter().filter(|(_, (state, _))| state.state != "running").map(|(id, _)| *id);
            let old: Vec<u64> = finished.take(entries.states.len().saturating_sub(KEPT)).collect();
            for id in old {
                entries.states.remove(&id);
            }
            state
        };
        let id = state.id;
        // No page listens just now: the next one reads the list.
        let _ = self.news.send(state);
        id
    }

    fn change(&self, id: u64, change: impl FnOnce(&mut WorkState)) {
        let state = {
            let mut entries = self.entries();
            let Some((state, _)) = entries.states.get_mut(&id) else { return };
            change(state);
            state.clone()
        };
        let _ = self.news.send(state);
    }

    fn all(&self) -> Vec<WorkState> {
        self.entries().states.values().map(|(state, _)| state.clone()).collect()
    }

    fn stop(&self, id: u64) -> Result<(), Failure> {
        let entries = self.entries();
        let (_, stop) =
            entries.states.get(&id).ok_or_else(|| Failure::not_found(format!("no long work has number {id}")))?;
        stop.store(true, Ordering::Relaxed);
        Ok(())
    }

    fn entries(&self) -> std::sync::MutexGuard<'_, Entries> {
        self.entries.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// How all long work stands.
pub async fn list(State(app): State<Arc<App>>) -> Json<Vec<WorkState>> {
    Json(app.long_work.all())
}

/// Every change of it, beginning with how it stands.
pub async fn events(State(app): State<Arc<App>>) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let news = BroadcastStream::new(app.long_work.news.subscribe()).filter_map(Result::ok);
    let states = tokio_stream::iter(app.long_work.all()).chain(news);
    let events = states.map(|state| Ok(Event::default().event("work").json_data(&state).unwrap_or_default()));
    Sse::new(events).keep_alive(KeepAlive::default())
}

/// Stops a piece of work.
pub async fn cancel(State(app): State<Arc<App>>, Path(id): Path<u64>) -> Result<Json<Vec<WorkState>>, WebError> {
    app.long_work.stop(id)?;
    Ok(Json(app.long_work.all()))
}

/// Starts a slow stage that computes nothing; only where the test flag is set.
pub async fn start_test(State(app): State<Arc<App>>) -> Result<Json<Vec<WorkState>>, WebError> {
    if std::env::var_os(TEST_FLAG).is_none_or(|value| value != "1") {
        return Err(WebError(Failure::not_found("there is no page at this address").hint("start from the rack")));
    }
    const STEPS: u32 = 300;
    LongWork::start(&app, "slow stage for the tests", |going| {
        for step in 0..STEPS {
            if !going.on(f64::from(step) / f64::from(STEPS), "counting") {
                return Ok(());
            }
            std::thread::sleep(std::time::Duration::from_millis(100));
        }
        Ok(())
    });
    Ok(Json(app.long_work.all()))
}
