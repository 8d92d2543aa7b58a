//! Restore: all or nothing, and the old data kept.

use std::fs;

use rusqlite::Connection;
use store::{Existing, StoreError, backup, restore};

use crate::common::{Shop, at, card, edit, open, signed};

#[test]
fn restore_brings_back_the_backup_and_keeps_what_was_there() {
    let Shop { store, dir } = Shop::new();
    let folder = store.folder().clone();
    let (job, made) = store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let file = dir.path().join("backup.db");
    backup(&folder, &file, Existing::Refuse, |_, _| true).unwrap();
    store.commit(job, made.revision, edit("1", "72 mm"), signed(1)).unwrap();
    drop(store);

    let restored = restore(&folder, &file, at(0)).unwrap();
    let store = open(&folder);
    assert_eq!(store.current(job).unwrap().body, card("70 mm"));
    store.check().unwrap();
    drop(store);

    let kept = restored.kept.unwrap();
    // 1 795 600 000 s after 1970 is 2026-11-25T09:46:40Z (`date -u -d @1795600000`).
    assert_eq!(kept.file_name().unwrap(), "2026-11-25T094640Z");
    let back = restore(&folder, &kept.join("shop.db"), at(0)).unwrap();
    assert_eq!(open(&folder).current(job).unwrap().body, card("72 mm"));
    assert_ne!(back.kept.unwrap(), kept, "an earlier kept folder is never used again");
    assert!(file.exists(), "the backup stays");
}

#[test]
fn a_bad_backup_changes_nothing() {
    let Shop { store, dir } = Shop::new();
    let folder = store.folder().clone();
    store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let file = dir.path().join("backup.db");
    backup(&folder, &file, Existing::Refuse, |_, _| true).unwrap();
    drop(store);
    let before = fs::read(folder.database()).unwrap();
    let good = fs::read(&file).unwrap();

    let refused = |what: &str, bytes: &[u8]| {
        fs::write(&file, bytes).unwrap();
        let error = restore(&folder, &file, at(0)).unwrap_err();
        assert_eq!(fs::read(folder.database()).unwrap(), before, "{what}");
        assert!(!folder.kept().exists(), "{what}");
        assert!(!folder.root().join("shop.db.part").exists(), "{what}");
        error
    };
    let cut_short = refused("cut short", &good[..good.len() / 2]);
    assert!(matches!(cut_short, StoreError::Damaged { .. }), "{cut_short:?}");
    let letter = refused("a letter", "a letter, no database\n".repeat(300).as_bytes());
    assert!(matches!(letter, StoreError::Damaged { .. }), "{letter:?}");
    let empty = refused("empty", b"");
    assert!(matches!(empty, StoreError::NotOurs { .. }), "{empty:?}");
    fs::remove_file(&file).unwrap();
    Connection::open(&file).unwrap().execute_batch("CREATE TABLE songs (title TEXT)").unwrap();
    let foreign = refused("another program's", &fs::read(&file).unwrap());
    assert!(matches!(foreign, StoreError::NotOurs { .. }), "{foreign:?}");
    let missing = restore(&folder, &dir.path().join("nowhere.db"), at(0));
    assert!(matches!(missing, Err(StoreError::NotFound { .. })), "{missing:?}");
    let own = restore(&folder, &folder.database(), at(0));
    assert!(matches!(own, Err(StoreError::Invalid { .. })), "{own:?}");
}

#[test]
fn damaged_data_can_be_replaced_and_is_kept_as_it_lies() {
    let Shop { store, dir } = Shop::new();
    let folder = store.folder().clone();
    let (job, _) = store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let file = dir.path().join("backup.db");
    backup(&folder, &file, Existing::Refuse, |_, _| true).unwrap();
    drop(store);
    let rubbish = "rubbish".repeat(4000);
    fs::write(folder.database(), &rubbish).unwrap();
    fs::write(folder.root().join("shop.db-wal"), "a log that belongs to nothing").unwrap();
    let kept = restore(&folder, &file, at(0)).unwrap().kept.unwrap();
    assert_eq!(fs::read_to_string(kept.join("shop.db")).unwrap(), rubbish);
    assert!(!folder.root().join("shop.db-wal").exists());
    assert_eq!(open(&folder).current(job).unwrap().body, card("70 mm"));
}
