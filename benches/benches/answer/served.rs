//! The program as a process of its own: started, asked for its memory, ended.

use super::AS_PROGRAM;
use super::http::Connection;
use std::error::Error;
use std::ffi::OsStr;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// What a step of the bench gives, or why it could not.
pub type Outcome<T> = Result<T, Box<dyn Error>>;

/// An error of words.
pub fn failed(words: impl Into<String>) -> Box<dyn Error> {
    words.into().into()
}

/// The program with these words.
pub fn soundmetal(words: impl IntoIterator<Item = impl AsRef<OsStr>>) -> Command {
    let own = std::env::current_exe().unwrap_or_else(|_| "soundmetal".into());
    let mut command = Command::new(own);
    command.arg(AS_PROGRAM).args(words);
    command
}

/// A running server; it ends with this value.
pub struct Served {
    child: Child,
    address: String,
}

impl Drop for Served {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

impl Served {
    /// Starts the server on a data folder; also the time from the start of the process to the last byte of the first page.
    pub fn start(data: &Path) -> Outcome<(Self, Duration)> {
        let started = Instant::now();
        let mut command = soundmetal(["open", "--no-browser", "--port", "0", "--data"]);
        let mut child = command.arg(data).stdout(Stdio::piped()).spawn()?;
        let out = child.stdout.take().ok_or_else(|| failed("the server has no output"))?;
        let mut served = Self { child, address: String::new() };
        let mut said = String::new();
        BufReader::new(out).read_line(&mut said)?;
        let address = said.trim().rsplit("http://").next().filter(|address| address.contains(':'));
        served.address = address.ok_or_else(|| failed(format!("the server said {said:?}")))?.to_owned();
        let page = Connection::open(&served.address)?.get("/")?;
        let took = started.elapsed();
        if !String::from_utf8_lossy(&page).contains("/card/") {
            return Err(failed("the first page shows no card"));
        }
        Ok((served, took))
    }

    /// Where it listens: `127.0.0.1:PORT`.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// Resident memory now, MiB.
    pub fn memory_mib(&self) -> Outcome<f64> {
        self.status_mib("VmRSS:")
    }

    /// Most resident memory so far, MiB.
    pub fn peak_mib(&self) -> Outcome<f64> {
        self.status_mib("VmHWM:")
    }

    fn status_mib(&self, key: &str) -> Outcome<f64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id()))?;
        let value = status.lines().find_map(|line| line.strip_prefix(key)?.trim().strip_suffix("kB"));
        let kib: f64 = value.ok_or_else(|| failed("this system tells no memory"))?.trim().parse()?;
        Ok(kib / 1024.0)
    }

    /// Ends it, and waits until its data folder is free.
    pub fn end(&mut self) -> Outcome<()> {
        self.child.kill()?;
        self.child.wait()?;
        Ok(())
    }
}
