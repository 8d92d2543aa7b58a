//! The one writing connection, on a thread of its own. A call returns when its transaction is on the disk.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc;
use std::thread::{Builder, JoinHandle};

use rusqlite::{Connection, Transaction, TransactionBehavior};

use crate::StoreError;
use crate::error::Result;

type Request = Box<dyn FnOnce(&mut Connection) + Send>;

/// Sends work to the writing thread.
#[derive(Debug)]
pub(crate) struct Writer {
    requests: Option<mpsc::Sender<Request>>,
    thread: Option<JoinHandle<()>>,
}

impl Writer {
    /// Starts the thread, which owns the connection from now on.
    pub(crate) fn start(connection: Connection) -> Result<Self> {
        let (requests, inbox) = mpsc::channel();
        let thread =
            Builder::new().name("store-writer".into()).spawn(move || serve(connection, inbox)).map_err(|source| {
                StoreError::Io { action: "start the writing thread for", path: "shop.db".into(), source }
            })?;
        Ok(Self { requests: Some(requests), thread: Some(thread) })
    }

    /// Runs `work` in one transaction and returns after its commit; an error takes everything back.
    pub(crate) fn run<T, F>(&self, work: F) -> Result<T>
    where
        T: Send + 'static,
        F: FnOnce(&Transaction<'_>) -> Result<T> + Send + 'static,
    {
        let (reply, answer) = mpsc::sync_channel(1);
        let request: Request = Box::new(move |connection| {
            // The asker may be gone; the commit stands all the same.
            let _ = reply.send(in_transaction(connection, work));
        });
        let requests = self.requests.as_ref().ok_or(StoreError::WriterFailed)?;
        requests.send(request).map_err(|_| StoreError::WriterFailed)?;
        answer.recv().map_err(|_| StoreError::WriterFailed)?
    }
}

impl Drop for Writer {
    fn drop(&mut self) {
        drop(self.requests.take());
        if let Some(thread) = self.thread.take() {
            // Requests are guarded one by one, so the thread itself cannot have panicked.
            let _ = thread.join();
        }
    }
}

fn serve(mut connection: Connection, inbox: mpsc::Receiver<Request>) {
    for request in inbox {
        // A panic rolls the transaction back while it unwinds and must not end the writing of everyone else.
        let _ = catch_unwind(AssertUnwindSafe(|| request(&mut connection)));
    }
}

fn in_transaction<T>(connection: &mut Connection, work: impl FnOnce(&Transaction<'_>) -> Result<T>) -> Result<T> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let value = work(&transaction)?;
    transaction.commit()?;
    Ok(value)
}
