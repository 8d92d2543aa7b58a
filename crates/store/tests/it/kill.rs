//! Killed at random moments: what was acknowledged is there, and the file is whole.
//!
//! The test starts itself again as a child process, which writes and says on its output what was acknowledged, and
//! kills it (SIGKILL on Unix). That shows what the end of a process does, not what a power cut does to a disk.

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::process::{Child, ChildStdout, Command, Stdio};
use std::thread::sleep;
use std::time::Duration;

use rusqlite::Connection;
use serde_json::{Value, json};
use store::{Claim, DataFolder, Edit, Existing, JobId, NewPhoto, PhotoId, backup, restore};

use crate::common::{at, card, edit, folder, heading, open, signed};

const DATA: &str = "STORE_TEST_CHILD_DATA";
const WORK: &str = "STORE_TEST_CHILD_WORK";
const ROUNDS: usize = 200;

/// The child's side; does nothing when it is not started by a test of this file.
#[test]
fn child() {
    let (Some(data), Ok(work)) = (std::env::var_os(DATA), std::env::var(WORK)) else { return };
    let folder = DataFolder::new(data);
    match work.as_str() {
        "write" => write_for_ever(&folder),
        "serve" => serve_for_ever(&folder),
        "restore" => restore_for_ever(&folder),
        other => panic!("unknown work {other}"),
    }
}

fn say(line: &str) {
    // One write, so that a kill cannot tear it; on a line of its own, whatever the test harness wrote before it.
    let mut out = std::io::stdout();
    out.write_all(format!("\n{line}\n").as_bytes()).and_then(|()| out.flush()).unwrap();
}

fn write_for_ever(folder: &DataFolder) -> ! {
    let store = open(folder);
    let content = |count: u64| json!({"count": count, "filler": "rust ".repeat(usize::try_from(count % 400).unwrap())});
    let edit = |count| Edit { body: content(count), heading: heading("1"), what: None };
    let job = store.job_with_number("1").unwrap();
    let job = job.unwrap_or_else(|| store.create_job(edit(0), signed(0)).unwrap().0);
    let now = store.current(job).unwrap();
    let mut base = now.revision.id;
    for count in now.body["count"].as_u64().unwrap() + 1.. {
        base = store.commit(job, base, edit(count), signed(0)).unwrap().revision;
        say(&format!("revision {base} {count}"));
        if count % 5 == 0 {
            let bytes = format!("picture {count}").repeat(500).into_bytes();
            let photo = NewPhoto { bytes, mime: "image/png".into(), caption: String::new() };
            say(&format!("photo {}", store.add_photo(job, photo, signed(0)).unwrap()));
        }
    }
    unreachable!("the parent ends this")
}

fn serve_for_ever(folder: &DataFolder) -> ! {
    let Claim::Granted(claim) = folder.claim_server().unwrap() else { panic!("the folder is free") };
    let _store = open(folder);
    claim.announce("http://127.0.0.1:7070/").unwrap();
    say("serving");
    loop {
        sleep(Duration::from_secs(60));
    }
}

fn restore_for_ever(folder: &DataFolder) -> ! {
    let beside = folder.root().parent().unwrap();
    loop {
        for file in ["one.db", "two.db"] {
            restore(folder, &beside.join(file), at(0)).unwrap();
            say(file);
        }
    }
}

struct Running {
    child: Child,
    output: BufReader<ChildStdout>,
}

impl Running {
    fn start(folder: &DataFolder, work: &str) -> Self {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "kill::child", "--nocapture", "--test-threads=1"])
            .env(DATA, folder.root())
            .env(WORK, work)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let output = BufReader::new(child.stdout.take().unwrap());
        Self { child, output }
    }

    /// Waits for the first line that starts with `word`.
    fn wait_for(&mut self, word: &str) -> String {
        loop {
            let mut line = String::new();
            assert_ne!(self.output.read_line(&mut line).unwrap(), 0, "the child ended by itself");
            if line.starts_with(word) {
                return line;
            }
        }
    }

    /// Kills the child and returns every whole line that it still said.
    fn kill(mut self) -> Vec<String> {
        self.child.kill().unwrap();
        let status = self.child.wait().unwrap();
        assert!(!status.success(), "it was killed and did not end by itself");
        #[cfg(unix)]
        assert_eq!(std::os::unix::process::ExitStatusExt::signal(&status), Some(9), "it did not fail before");
        let mut lines = Vec::new();
        loop {
            let mut line = String::new();
            if self.output.read_line(&mut line).unwrap() == 0 || !line.ends_with('\n') {
                return lines;
            }
            lines.push(line);
        }
    }
}

#[derive(Default)]
struct Acknowledged {
    revisions: BTreeMap<i64, u64>,
    photos: Vec<PhotoId>,
}

impl Acknowledged {
    fn hear(&mut self, line: &str) {
        match line.split_whitespace().collect::<Vec<_>>()[..] {
            ["revision", id, count] => {
                let before = self.revisions.insert(id.parse().unwrap(), count.parse().unwrap());
                assert_eq!(before, None, "a revision id was given twice: the first was lost");
            }
            ["photo", id] => self.photos.push(id.parse().unwrap()),
            _ => {}
        }
    }

    /// Looks with a plain connection, so that nothing of the store can hide a loss.
    fn verify(&self, folder: &DataFolder, heard_before: usize) {
        let plain = Connection::open(folder.database()).unwrap();
        let check: String = plain.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap();
        assert_eq!(check, "ok");
        if self.revisions.is_empty() {
            // Killed before the first acknowledgement: there may be no table yet.
            return;
        }
        let mut read = plain
            .prepare("SELECT b.json FROM revision AS v JOIN body AS b ON b.hash = v.body WHERE v.id = ?1")
            .unwrap();
        for (id, count) in self.revisions.iter().skip(heard_before) {
            let json: String = read.query_row([id], |row| row.get(0)).unwrap();
            assert_eq!(serde_json::from_str::<Value>(&json).unwrap()["count"], json!(count), "revision {id}");
        }
    }
}

#[test]
fn nothing_acknowledged_is_lost_in_200_kills() {
    let dir = tempfile::tempdir().unwrap();
    let folder = folder(&dir);
    folder.create().unwrap();
    let mut random = fastrand::Rng::with_seed(0x50_4D);
    let mut acknowledged = Acknowledged::default();
    let mut rounds_heard = 0;
    for round in 0..ROUNDS {
        let heard_before = acknowledged.revisions.len();
        let mut child = Running::start(&folder, "write");
        // Most kills fall into the writing; one in four may fall into opening or into putting the log right.
        if round % 4 != 0 {
            let enough = heard_before + random.usize(1..=4);
            while acknowledged.revisions.len() < enough {
                acknowledged.hear(&child.wait_for(""));
            }
        }
        sleep(Duration::from_micros(random.u64(0..12_000)));
        for line in child.kill() {
            acknowledged.hear(&line);
        }
        rounds_heard += usize::from(acknowledged.revisions.len() > heard_before);
        acknowledged.verify(&folder, heard_before);
    }
    acknowledged.verify(&folder, 0);
    let store = open(&folder);
    store.check().unwrap();
    for photo in &acknowledged.photos {
        store.photo(*photo).unwrap();
    }
    let job = store.job_with_number("1").unwrap().unwrap();
    let history = store.history(job).unwrap();
    assert!(history.iter().zip(1..).all(|(line, sequence)| line.sequence == sequence), "no gap in the history");
    assert!(
        rounds_heard >= ROUNDS * 3 / 4 && acknowledged.revisions.len() > ROUNDS * 3 / 2,
        "the kills fell into writing"
    );
    assert!(!acknowledged.photos.is_empty());
}

#[test]
fn a_killed_server_leaves_the_folder_free() {
    let dir = tempfile::tempdir().unwrap();
    let folder = folder(&dir);
    let mut child = Running::start(&folder, "serve");
    child.wait_for("serving");
    let found = folder.claim_server().unwrap();
    assert!(matches!(&found, Claim::Running { address: Some(at) } if at == "http://127.0.0.1:7070/"), "{found:?}");
    let file = dir.path().join("backup.db");
    backup(&folder, &file, Existing::Refuse, |_, _| true).unwrap();
    let refused = restore(&folder, &file, at(0));
    assert!(matches!(refused, Err(store::StoreError::InUse { .. })), "{refused:?}");
    child.kill();
    restore(&folder, &file, at(0)).unwrap();
    assert!(matches!(folder.claim_server().unwrap(), Claim::Granted(_)));
}

#[test]
fn a_killed_restore_leaves_the_old_or_the_new_data() {
    let dir = tempfile::tempdir().unwrap();
    let folder = folder(&dir);
    for (file, height) in [("one.db", "70 mm"), ("two.db", "72 mm")] {
        let source = DataFolder::new(dir.path().join(format!("made-{file}")));
        open(&source).create_job(edit("1", height), signed(0)).unwrap();
        backup(&source, &dir.path().join(file), Existing::Refuse, |_, _| true).unwrap();
    }
    restore(&folder, &dir.path().join("one.db"), at(0)).unwrap();
    let mut random = fastrand::Rng::with_seed(0x52);
    for _ in 0..30 {
        let mut child = Running::start(&folder, "restore");
        child.wait_for("one.db");
        sleep(Duration::from_micros(random.u64(0..30_000)));
        child.kill();
        let store = open(&folder);
        let body = store.current(JobId(1)).unwrap().body;
        assert!(body == card("70 mm") || body == card("72 mm"), "{body}");
        store.check().unwrap();
    }
}
