//! Backup of a live shop into one file.

use std::fs;

use rusqlite::Connection;
use store::{Existing, NewPhoto, StoreError, backup, restore};

use crate::common::{Shop, at, edit, folder, open, signed};

/// A shop large enough that its copy takes several steps.
fn shop_with_large_photo() -> (Shop, store::JobId, store::PhotoId) {
    let shop = Shop::new();
    let (job, _) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let mut bytes = vec![0; 20 << 20];
    fastrand::Rng::with_seed(7).fill(&mut bytes);
    let photo = NewPhoto { bytes, mime: "image/jpeg".into(), caption: "arch".into() };
    let photo = shop.store.add_photo(job, photo, signed(1)).unwrap();
    (shop, job, photo)
}

#[test]
fn a_backup_is_one_moment_of_a_shop_that_goes_on_working() {
    let (shop, job, photo) = shop_with_large_photo();
    let file = shop.dir.path().join("backup.db");
    let mut steps = 0;
    let contents = backup(&shop.folder(), &file, Existing::Refuse, |done, all| {
        assert!(done <= all);
        steps += 1;
        let base = shop.store.current(job).unwrap().revision.id;
        shop.store.commit(job, base, edit("1", &format!("{steps} in")), signed(steps)).unwrap();
        true
    })
    .unwrap();
    assert!(steps > 1, "writes fell between the steps of the copy");
    assert_eq!((contents.jobs, contents.revisions, contents.photos), (1, 1, 1), "the moment it was asked for");
    assert_eq!(i64::try_from(shop.store.history(job).unwrap().len()).unwrap(), 1 + steps);

    let alone = tempfile::tempdir().unwrap();
    let carried = alone.path().join("carried.db");
    fs::copy(&file, &carried).unwrap();
    let plain = Connection::open(&carried).unwrap();
    let check: String = plain.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap();
    let journal: String = plain.query_row("PRAGMA journal_mode", [], |row| row.get(0)).unwrap();
    assert_eq!((check.as_str(), journal.as_str()), ("ok", "delete"), "needs no other file beside it");
    drop(plain);

    let elsewhere = folder(&alone);
    let restored = restore(&elsewhere, &carried, at(9)).unwrap();
    assert_eq!((restored.kept, restored.contents.photos), (None, 1));
    let other = open(&elsewhere);
    assert_eq!(other.export_job(job).unwrap().photos[0].id, photo);
    assert_eq!(other.history(job).unwrap().len(), 1);
}

#[test]
fn a_stopped_backup_leaves_no_file() {
    let (shop, _, _) = shop_with_large_photo();
    let target = tempfile::tempdir().unwrap();
    let stopped = backup(&shop.folder(), &target.path().join("backup.db"), Existing::Refuse, |_, _| false);
    assert!(matches!(stopped, Err(StoreError::Stopped)), "{stopped:?}");
    assert_eq!(fs::read_dir(target.path()).unwrap().count(), 0);
}

#[test]
fn only_a_backup_of_ours_is_replaced_and_only_when_allowed() {
    let shop = Shop::new();
    let file = shop.dir.path().join("backup.db");
    let run = |existing| backup(&shop.folder(), &file, existing, |_, _| true);
    assert_eq!(run(Existing::Refuse).unwrap().jobs, 0);
    shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    assert!(matches!(run(Existing::Refuse), Err(StoreError::Exists { .. })));
    assert_eq!(run(Existing::Replace).unwrap().jobs, 1);
    fs::write(&file, "a letter").unwrap();
    assert!(matches!(run(Existing::Replace), Err(StoreError::Exists { .. })));
    assert_eq!(fs::read_to_string(&file).unwrap(), "a letter");
}

#[test]
fn a_folder_without_data_has_no_backup() {
    let dir = tempfile::tempdir().unwrap();
    let none = backup(&folder(&dir), &dir.path().join("backup.db"), Existing::Refuse, |_, _| true);
    assert!(matches!(none, Err(StoreError::NotFound { .. })), "{none:?}");
}
