//! Ctrl-C while the program works: it ends soon with 130 and leaves nothing half-written.
#![cfg(target_os = "linux")]

use super::flatten::{cap_of, obj};
use std::fmt::Write as _;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// Asked to stop so long after the program began to listen.
const AFTER: [Duration; 4] =
    [Duration::ZERO, Duration::from_millis(300), Duration::from_millis(900), Duration::from_millis(2500)];
/// 0.3 s is wanted and printed; a machine that does much else must not fail the test.
const GENEROUS: Duration = Duration::from_secs(5);
/// SIGINT in the mask of signals that a process catches, `proc_pid_status(5)`.
const SIGINT_BIT: u64 = 1 << 1;

fn wait_until(what: &str, mut is_so: impl FnMut() -> bool) {
    let begun = Instant::now();
    while !is_so() {
        assert!(begun.elapsed() < Duration::from_secs(30), "waited 30 s until the program {what}");
        std::thread::sleep(Duration::from_millis(2));
    }
}

fn listens(child: &Child) -> bool {
    let status = std::fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap_or_default();
    let caught = status.lines().find_map(|line| line.strip_prefix("SigCgt:")).unwrap_or_default();
    u64::from_str_radix(caught.trim(), 16).unwrap_or(0) & SIGINT_BIT != 0
}

/// Runs the program on files of `folder`, stops it, and looks that nothing was added.
fn stopped(folder: &Path, args: &[&str]) {
    let names = || std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name()).collect::<Vec<_>>();
    let before = names();
    for after in AFTER {
        let mut child = Command::new(env!("CARGO_BIN_EXE_soundmetal"))
            .args(args)
            .current_dir(folder)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        wait_until("listened for Ctrl-C", || listens(&child));
        std::thread::sleep(after);
        assert!(child.try_wait().unwrap().is_none(), "{args:?} was done within {after:?}: give it more to do");
        let asked = Instant::now();
        // the shell's own, so that nothing need be installed
        assert!(Command::new("sh").args(["-c", &format!("kill -INT {}", child.id())]).status().unwrap().success());
        wait_until("ended", || child.try_wait().unwrap().is_some());
        let took = asked.elapsed();
        println!("soundmetal {}: asked to stop after {after:?}, ended after {took:?}", args[0]);
        assert_eq!(child.wait().unwrap().code(), Some(130), "{args:?}");
        assert!(took < GENEROUS, "{args:?} ended {took:?} after it was asked to stop");
        assert_eq!(names(), before, "{args:?} left something behind");
    }
}

#[test]
fn flattening_a_large_mesh_stops_at_ctrl_c() {
    let folder = tempfile::tempdir().unwrap();
    let (points, triangles) = cap_of(300, 400);
    std::fs::write(folder.path().join("cap.obj"), obj(&points, &triangles)).unwrap();
    stopped(
        folder.path(),
        &["flatten", "cap.obj", "--thickness", "0.9 mm", "--seams", "--out-mesh", "flat.obj", "--dxf", "flat.dxf"],
    );
}

#[test]
fn fitting_a_surface_to_many_points_stops_at_ctrl_c() {
    let folder = tempfile::tempdir().unwrap();
    let mut text = String::new();
    for i in 0..140 {
        for j in 0..140 {
            let (x, y) = (3.0 * f64::from(i) - 210.0, 3.0 * f64::from(j) - 210.0);
            let z = (250_000.0 - x * x - y * y).sqrt();
            let _ = writeln!(text, "{x:.3} {y:.3} {z:.3}");
        }
    }
    std::fs::write(folder.path().join("ball.txt"), text).unwrap();
    stopped(folder.path(), &["surface", "ball.txt", "-o", "ball.ply", "--edge", "0.8 mm", "--reach", "0.1 mm"]);
}
