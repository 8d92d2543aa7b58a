//! Golden files that people can read. Look at the drawing, then rerun with `UPDATE_GOLDEN=1`.

use std::{env, fs, path::Path};

/// Compares with the file under `tests/golden`.
#[track_caller]
pub fn check_golden(name: &str, got: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name);
    if env::var_os("UPDATE_GOLDEN").is_some() {
        fs::write(&path, got).unwrap();
    }
    let want = fs::read_to_string(&path).unwrap_or_default();
    assert!(got == want, "{name} differs; look at the drawing, then rerun with UPDATE_GOLDEN=1");
}
