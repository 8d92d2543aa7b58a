//! From one changed field to the answer, the whole packet, cold start and memory: `cargo bench -p benches --bench answer`.
//!
//! The real program is measured, as its own process: this file starts itself again as `soundmetal` (the same entry that the
//! binary has) and talks to it over HTTP on loopback, as a page does, on a connection that stays open. Nothing fails on a
//! time; the targets are printed beside what was measured. `-- --edits=1000` takes more edits; `-- --slowest` lists the ten
//! slowest of them. The disk's own cache is warm: emptying it would need rights that a bench should not have.

mod http;
mod served;

use http::Connection;
use serde_json::{Value, json};
use served::{Outcome, Served, failed, soundmetal};
use std::process::ExitCode;
use std::time::{Duration, Instant};

/// First argument with which this file is the program itself.
const AS_PROGRAM: &str = "--as-soundmetal";
const JOB: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../examples/wren15.toml");
/// Number of the demo's largest job.
const JOB_NUMBER: &str = "26-014";

/// One field that is changed, with the texts it takes; `{}` of the text is a size that never comes twice.
struct Field {
    section: &'static str,
    path: &'static str,
    text: &'static str,
    first: f64,
    step: f64,
}

const fn field(section: &'static str, path: &'static str, text: &'static str, first: f64, step: f64) -> Field {
    Field { section, path, text, first, step }
}

/// Fields of every question that one types in, over all four pieces; steps are small enough that every piece stays makable.
const FIELDS: [Field; 14] = [
    field("arch", "section.arch.measured.rust_depth.readings.0", "{} mm", 37.5, 0.02),
    field("arch", "section.arch.measured.over_curl.readings.0", "{} mm", 8.15, 0.001),
    field("arch", "section.arch.measured.foot_to_foot.readings.0", "{} mm", 881.5, 0.01),
    field("arch", "section.arch.joint.old_thickness", "{} mm", 0.90, 0.001),
    field("arch", "section.arch.damage.notes", "rusted over {} mm behind the wire", 40.0, 1.0),
    field("arch", "customer.name", "Wren Mobile Library Trust, desk {}", 1.0, 1.0),
    field("gutter", "section.gutter.measured.run_start.readings.0", "{} mm", 100.0, 0.05),
    field("gutter", "section.gutter.measured.run_length.readings.0", "{} mm", 640.0, 0.02),
    field("gutter", "section.gutter.joint.old_thickness", "{} mm", 0.90, 0.001),
    field("step_well", "section.step_well.measured.length.readings.0", "{} mm", 561.5, 0.01),
    field("step_well", "section.step_well.measured.width.readings.0", "{} mm", 260.0, 0.02),
    field("locker", "section.locker.measured.rust_depth.readings.0", "{} mm", 22.0, 0.01),
    field("locker", "section.locker.measured.edge_length.readings.0", "{} mm", 539.0, 0.02),
    field("locker", "section.locker.damage.notes", "rust seen over {} mm along the fold", 40.0, 1.0),
];

/// What one edit took and what came back.
struct Edit {
    path: &'static str,
    took: Duration,
    bytes: usize,
    drawn: bool,
}

fn main() -> ExitCode {
    let mut words: Vec<String> = std::env::args().collect();
    if words.get(1).is_some_and(|word| word == AS_PROGRAM) {
        words.remove(1);
        return soundmetal::cli::run(words.into_iter().map(Into::into));
    }
    match measure(&words) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("the bench could not run: {error}");
            ExitCode::FAILURE
        }
    }
}

fn measure(words: &[String]) -> Outcome<()> {
    let edits = words.iter().find_map(|word| word.strip_prefix("--edits=")?.parse().ok()).unwrap_or(420_usize);
    println!("load: {}", std::fs::read_to_string("/proc/loadavg").unwrap_or_else(|_| "not known\n".into()).trim());
    let scratch = tempfile::tempdir()?;
    let data = scratch.path().join("data");

    let (mut served, first) = Served::start(&data)?;
    line("cold start, first ever, demo made, to first page", first, "0.5 s");
    served.end()?;
    let mut starts = Vec::new();
    for _ in 0..10 {
        let (mut again, took) = Served::start(&data)?;
        again.end()?;
        starts.push(took);
    }
    starts.sort();
    line("cold start, data there, to first page (median of 10)", at(&starts, 0.5), "0.5 s");
    line("  slowest of 10", at(&starts, 1.0), "");

    let (mut served, _) = Served::start(&data)?;
    let mut page = Connection::open(served.address())?;
    let card = card_of(&mut page)?;
    let done = edit(&mut page, card, edits)?;
    report_edits(&done, words.iter().any(|word| word == "--slowest"));
    let after_edits = served.memory_mib()?;
    let started = Instant::now();
    let zip = page.get(&format!("/card/{card}/packet/all.zip"))?;
    line(&format!("packet from the server, {} KiB zipped", zip.len() / 1024), started.elapsed(), "3 s");
    println!("memory of the server, resident after the edits: {after_edits:.0} MiB (target 200 MB = 191 MiB)");
    println!(
        "  after the packet too: {:.0} MiB; most at any time: {:.0} MiB",
        served.memory_mib()?,
        served.peak_mib()?
    );
    served.end()?;

    let mut packets = Vec::new();
    for _ in 0..5 {
        let started = Instant::now();
        let status = soundmetal(["packet", JOB, "-o"]).arg(scratch.path().join("packet")).output()?.status;
        if status.code() != Some(0) && status.code() != Some(3) {
            return Err(failed(format!("soundmetal packet ended with {status}")));
        }
        packets.push(started.elapsed());
    }
    packets.sort();
    line("whole packet by `soundmetal packet` (median of 5)", at(&packets, 0.5), "3 s");
    line("  slowest of 5", at(&packets, 1.0), "");
    Ok(())
}

/// The card of the demo's largest job, found on the rack.
fn card_of(page: &mut Connection) -> Outcome<u32> {
    let rack = String::from_utf8(page.get("/")?)?;
    let before = rack.split(JOB_NUMBER).next().and_then(|text| text.rsplit("/card/").next());
    let digits: String = before.unwrap_or_default().chars().take_while(char::is_ascii_digit).collect();
    digits.parse().map_err(|_| failed(format!("the rack shows no card {JOB_NUMBER}")))
}

/// Changes field after field as a page does: each edit is based on the revision the last one answered.
fn edit(page: &mut Connection, card: u32, count: usize) -> Outcome<Vec<Edit>> {
    let mut base = 0;
    for section in ["arch", "gutter", "step_well", "locker"] {
        let html = String::from_utf8(page.get(&format!("/card/{card}/section/{section}"))?)?;
        let revision = html.split("data-revision=\"").nth(1).and_then(|text| text.split('"').next());
        base = revision.and_then(|text| text.parse().ok()).ok_or_else(|| failed("the card names no revision"))?;
    }
    let mut done = Vec::with_capacity(count);
    for index in 0..count {
        let field = FIELDS.get(index % FIELDS.len()).ok_or_else(|| failed("no field"))?;
        let value = field.first + field.step * (1 + index / FIELDS.len()) as f64;
        let value = field.text.replace("{}", &format!("{value:.3}"));
        let body = json!({ "base": base, "changes": [{ "path": field.path, "value": value }] }).to_string();
        let target = format!("/card/{card}/section/{}/fields", field.section);
        let started = Instant::now();
        let answer = page.post_json(&target, &body)?;
        let took = started.elapsed();
        let read: Value = serde_json::from_slice(&answer)?;
        base = read["revision"].as_i64().ok_or_else(|| failed(format!("{} = {value}: {read}", field.path)))?;
        let parts = read["parts"].as_object().ok_or_else(|| failed("an answer without parts"))?;
        let drawn = parts.iter().any(|(name, html)| name.ends_with("-drawing") && html.to_string().contains("<svg"));
        done.push(Edit { path: field.path, took, bytes: answer.len(), drawn });
    }
    Ok(done)
}

fn report_edits(done: &[Edit], slowest: bool) {
    let mut took: Vec<Duration> = done.iter().map(|edit| edit.took).collect();
    took.sort();
    let drawn = done.iter().filter(|edit| edit.drawn).count();
    let mean_kib = done.iter().map(|edit| edit.bytes).sum::<usize>() / done.len().max(1) / 1024;
    println!(
        "{} edits of {} fields; {drawn} answered with new drawings, {mean_kib} KiB each",
        done.len(),
        FIELDS.len()
    );
    line("  edit to answer, median", at(&took, 0.5), "");
    line("  edit to answer, 95th percentile", at(&took, 0.95), "50 ms");
    line("  edit to answer, slowest", at(&took, 1.0), "");
    for field in &FIELDS {
        let mut own: Vec<Duration> = done.iter().filter(|e| e.path == field.path).map(|e| e.took).collect();
        own.sort();
        line(&format!("    {}", field.path), at(&own, 0.5), "");
    }
    if slowest {
        let mut order: Vec<&Edit> = done.iter().collect();
        order.sort_by_key(|edit| std::cmp::Reverse(edit.took));
        order.iter().take(10).for_each(|edit| line(&format!("    slow: {}", edit.path), edit.took, ""));
    }
}

/// The value below which `part` of the sorted times lie.
fn at(sorted: &[Duration], part: f64) -> Duration {
    let index = (sorted.len() as f64 * part).ceil() as usize;
    sorted.get(index.saturating_sub(1).min(sorted.len().saturating_sub(1))).copied().unwrap_or_default()
}

fn line(what: &str, took: Duration, target: &str) {
    let target = if target.is_empty() { String::new() } else { format!("   (target {target})") };
    println!("{what}: {:.1} ms{target}", took.as_secs_f64() * 1e3);
}
