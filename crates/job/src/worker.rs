//! One worker thread for long stages: submit, watch, cancel. Edits never wait for it.
//!
//! Work runs one piece after another in the order it was submitted. It gets a [`Progress`] and a [`Cancel`] as plain
//! arguments and its result comes back through the callback it was submitted with. What is waiting and running can be asked
//! for at any time ([`Worker::jobs`]), so that a page that was loaded again finds its bar where it was. Work that panics
//! ends as [`Report::Failed`]; the worker goes on. Work that is asked to stop and does not look at its flag soon is left
//! ([`numerics::leave`]), so that the next begins within a tenth of a second or so whatever the last one was at.

use numerics::{Cancel, Cancelled, Progress, Step, leave};
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;

/// Number of a piece of work, in the order of submission.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct WorkId(pub u64);

/// What is told about a piece of work.
#[derive(Debug, Clone, PartialEq)]
pub enum Report<T> {
    /// How far it has gone.
    Progress(Step),
    /// Its result.
    Done(T),
    /// It was cancelled, before or while it ran.
    Cancelled,
    /// It broke down; the message is for the log and the person.
    Failed(String),
}

/// A piece of work that waits or runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Pending {
    /// Number.
    pub id: WorkId,
    /// What it is, as shown.
    pub name: String,
    /// How far it has gone; share 0 while it waits.
    pub step: Step,
    /// Is it the one that runs?
    pub running: bool,
}

/// Handle of a submitted piece of work.
#[derive(Debug, Clone)]
pub struct Ticket {
    /// Number.
    pub id: WorkId,
    cancel: Cancel,
}

impl Ticket {
    /// Asks the work to stop.
    pub fn cancel(&self) {
        self.cancel.cancel();
    }
}

type Task = Box<dyn FnOnce() + Send>;

/// The worker. Dropping it cancels everything and waits for the thread.
#[derive(Debug)]
pub struct Worker {
    tasks: Option<Sender<Task>>,
    thread: Option<JoinHandle<()>>,
    board: Arc<Mutex<Board>>,
}

#[derive(Debug, Default)]
struct Board {
    next: u64,
    pending: BTreeMap<WorkId, (Pending, Cancel)>,
}

impl Worker {
    /// Starts the worker's thread.
    ///
    /// # Errors
    /// [`std::io::Error`] when the system has no thread to give.
    pub fn start() -> std::io::Result<Self> {
        let (tasks, queue): (Sender<Task>, Receiver<Task>) = channel();
        let thread = std::thread::Builder::new().name("long work".into()).spawn(move || {
            for task in queue {
                task();
            }
        })?;
        Ok(Self { tasks: Some(tasks), thread: Some(thread), board: Arc::default() })
    }

    /// Submits work under a name; `tell` hears its progress and its end, on the worker's thread.
    pub fn submit<T: Send + 'static>(
        &self,
        name: &str,
        work: impl FnOnce(&Progress, &Cancel) -> Result<T, Cancelled> + Send + 'static,
        tell: impl Fn(Report<T>) + Send + Sync + 'static,
    ) -> Ticket {
        let cancel = Cancel::new();
        let id = {
            let mut board = lock(&self.board);
            board.next += 1;
            let id = WorkId(board.next);
            let step = Step { share: 0.0, words: "waiting".into() };
            board.pending.insert(id, (Pending { id, name: name.into(), step, running: false }, cancel.clone()));
            id
        };
        let ticket = Ticket { id, cancel: cancel.clone() };
        let board = Arc::clone(&self.board);
        let tell = Arc::new(tell);
        let task = Box::new(move || run(id, &board, &cancel, work, &tell));
        if self.tasks.as_ref().is_none_or(|tasks| tasks.send(task).is_err()) {
            lock(&self.board).pending.remove(&id);
        }
        ticket
    }

    /// What waits and runs, in order of submission.
    #[must_use]
    pub fn jobs(&self) -> Vec<Pending> {
        lock(&self.board).pending.values().map(|(pending, _)| pending.clone()).collect()
    }

    /// Cancels a piece of work by its number; false when it has ended already.
    pub fn cancel(&self, id: WorkId) -> bool {
        let board = lock(&self.board);
        let found = board.pending.get(&id);
        if let Some((_, cancel)) = found {
            cancel.cancel();
        }
        found.is_some()
    }
}

impl Drop for Worker {
    fn drop(&mut self) {
        self.tasks = None;
        for (_, cancel) in lock(&self.board).pending.values() {
            cancel.cancel();
        }
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

fn run<T: Send + 'static>(
    id: WorkId,
    board: &Arc<Mutex<Board>>,
    cancel: &Cancel,
    work: impl FnOnce(&Progress, &Cancel) -> Result<T, Cancelled> + Send + 'static,
    tell: &Arc<impl Fn(Report<T>) + Send + Sync + 'static>,
) {
    if cancel.is_asked() {
        lock(board).pending.remove(&id);
        tell(Report::Cancelled);
        return;
    }
    if let Some((pending, _)) = lock(board).pending.get_mut(&id) {
        pending.running = true;
    }
    let (seen, heard) = (Arc::clone(board), Arc::clone(tell));
    let progress = Progress::new(move |step: Step| {
        if let Some((pending, _)) = lock(&seen).pending.get_mut(&id) {
            pending.step = step.clone();
        }
        heard(Report::Progress(step));
    });
    let progress = leave::until_cancelled(&progress, cancel);
    let inner = cancel.clone();
    let ended =
        catch_unwind(AssertUnwindSafe(|| leave::or_leave(cancel, move || work(&progress, &inner)).and_then(|own| own)));
    lock(board).pending.remove(&id);
    tell(match ended {
        Ok(Ok(result)) => Report::Done(result),
        Ok(Err(Cancelled)) => Report::Cancelled,
        Err(panic) => Report::Failed(panic_words(panic.as_ref())),
    });
}

fn panic_words(panic: &(dyn std::any::Any + Send)) -> String {
    let words = panic.downcast_ref::<&str>().map(|text| (*text).to_owned());
    words.or_else(|| panic.downcast_ref::<String>().cloned()).unwrap_or_else(|| "the work broke down".into())
}

/// A panic while the board was held leaves it usable: every entry is written whole.
fn lock(board: &Mutex<Board>) -> MutexGuard<'_, Board> {
    board.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A stage that takes its time: a chain of hashes with a pause after each link. It proves progress, cancelling, reloading
/// and that an edit is never blocked; the program runs it only when a test asks for it.
///
/// # Errors
/// [`Cancelled`] as soon as it is asked to stop, within one pause.
pub fn slow_stage(
    links: u32,
    pause: std::time::Duration,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<String, Cancelled> {
    let mut hash = blake3::hash(b"slow stage");
    for link in 0..links {
        cancel.check()?;
        progress.report(f64::from(link) / f64::from(links.max(1)), &format!("link {} of {links}", link + 1));
        hash = blake3::hash(hash.as_bytes());
        std::thread::sleep(pause);
    }
    progress.report(1.0, "done");
    Ok(hash.to_hex().to_string())
}
