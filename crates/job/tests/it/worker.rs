//! Long work: progress, cancel, failure, and an edit that is never blocked.

use crate::{shop, wren15};
use job::worker::{Report, Worker, slow_stage};
use std::sync::mpsc::channel;
use std::time::Duration;

const LONG: Duration = Duration::from_secs(20);

#[test]
fn a_slow_stage_reports_progress_and_its_result() {
    let worker = Worker::start().unwrap();
    let (tell, heard) = channel();
    worker.submit(
        "slow",
        |progress, cancel| slow_stage(5, Duration::ZERO, progress, cancel),
        move |report| tell.send(report).unwrap(),
    );
    let mut shares = Vec::new();
    let digest = loop {
        match heard.recv_timeout(LONG).unwrap() {
            Report::Progress(step) => shares.push(step.share),
            Report::Done(digest) => break digest,
            other => panic!("{other:?}"),
        }
    };
    assert!(shares.is_sorted() && shares.len() == 6 && shares.last() == Some(&1.0), "{shares:?}");
    let again = slow_stage(5, Duration::ZERO, &numerics::Progress::silent(), &numerics::Cancel::new()).unwrap();
    assert_eq!(digest, again);
}

#[test]
fn an_edit_is_planned_while_the_slow_stage_runs_and_the_stage_stops_when_asked() {
    let worker = Worker::start().unwrap();
    let (tell, heard) = channel();
    let work = |progress: &numerics::Progress, cancel: &numerics::Cancel| {
        slow_stage(1_000_000, Duration::from_millis(1), progress, cancel)
    };
    let ticket = worker.submit("slow", work, move |report| tell.send(report).unwrap());
    let queued = worker.submit("waits", |_, _| Ok(()), |_| ());
    assert!(matches!(heard.recv_timeout(LONG).unwrap(), Report::Progress(_)));
    let plan = job::plan(&wren15(), &shop()); // the edit
    assert!(plan.price.is_some());
    let jobs = worker.jobs(); // what a page that was loaded again finds
    assert_eq!(jobs.len(), 2);
    assert!(jobs[0].running && jobs[0].name == "slow" && !jobs[1].running);
    queued.cancel();
    ticket.cancel();
    let end =
        std::iter::from_fn(|| heard.recv_timeout(LONG).ok()).find(|report| !matches!(report, Report::Progress(_)));
    assert_eq!(end, Some(Report::Cancelled));
    assert!(!worker.cancel(ticket.id));
}

#[test]
fn work_that_breaks_down_is_told_and_the_worker_goes_on() {
    let worker = Worker::start().unwrap();
    let (tell, heard) = channel();
    let broken = tell.clone();
    worker.submit::<()>("broken", |_, _| panic!("no metal"), move |report| broken.send(report).unwrap());
    worker.submit("next", |_, _| Ok(()), move |report| tell.send(report).unwrap());
    assert_eq!(heard.recv_timeout(LONG).unwrap(), Report::Failed("no metal".into()));
    assert_eq!(heard.recv_timeout(LONG).unwrap(), Report::Done(()));
}

#[test]
fn work_that_does_not_look_at_its_flag_is_left_and_the_next_begins() {
    let worker = Worker::start().unwrap();
    let (tell, heard) = channel();
    let (hold, held) = channel::<()>();
    let left = tell.clone();
    // comes back only when `hold` is dropped, which is after the next has ended
    let deaf = worker.submit("deaf", move |_, _| Ok(held.recv().is_ok()), move |report| left.send(report).unwrap());
    worker.submit("next", |_, _| Ok(true), move |report| tell.send(report).unwrap());
    deaf.cancel();
    assert_eq!(heard.recv_timeout(LONG).unwrap(), Report::Cancelled);
    assert_eq!(heard.recv_timeout(LONG).unwrap(), Report::Done(true));
    drop(hold);
}
