//! Earlier, later, foreign and damaged files.

use std::fs;

use rusqlite::{Connection, params};
use store::{FORMAT_VERSION, JobId, Store, StoreError};

use crate::common::{Shop, at, card, edit, folder, heading, open, options, signed};

/// A shop file as format 1 left it: its own migration, and one card written by hand.
fn write_format_1(path: &std::path::Path) {
    let connection = Connection::open(path).unwrap();
    connection.execute_batch(include_str!("../../src/migrations/0001_records.sql")).unwrap();
    connection.pragma_update(None, "user_version", 1).unwrap();
    let json = card("70 mm").to_string();
    let hash = blake3::hash(json.as_bytes());
    let heading = serde_json::to_string(&heading("26-001")).unwrap();
    connection.execute("INSERT INTO body VALUES (?1, ?2)", params![hash.as_bytes(), json]).unwrap();
    connection
        .execute_batch(
            "BEGIN;
             INSERT INTO record VALUES (1, 'job', '26-001', 'Step-well tray', 'Society', 'Wren 15', 'metal', 0, 0, 1);",
        )
        .unwrap();
    connection
        .execute(
            "INSERT INTO revision VALUES (1, 1, 1, 'create', 0, 'owner', 'made', 1, NULL, ?1, ?2)",
            params![hash.as_bytes(), heading],
        )
        .unwrap();
    connection.execute_batch("COMMIT").unwrap();
}

fn version_of(path: &std::path::Path) -> i64 {
    Connection::open(path).unwrap().pragma_query_value(None, "user_version", |row| row.get(0)).unwrap()
}

#[test]
fn a_new_folder_gets_the_newest_format() {
    let shop = Shop::new();
    assert_eq!(version_of(&shop.folder().database()), FORMAT_VERSION);
    assert!(!shop.folder().kept().exists());
    shop.store.check().unwrap();
}

#[test]
fn format_1_is_brought_up_to_date_and_a_copy_kept() {
    let dir = tempfile::tempdir().unwrap();
    let folder = folder(&dir);
    folder.create().unwrap();
    write_format_1(&folder.database());
    let store = open(&folder);
    assert_eq!(version_of(&folder.database()), FORMAT_VERSION);
    assert_eq!(store.current(JobId(1)).unwrap().body, card("70 mm"));
    let found = store.find_jobs("step-well", 5).unwrap();
    assert_eq!(found.iter().map(|hit| hit.id).collect::<Vec<_>>(), [JobId(1)], "old cards are in the new search");
    let base = store.current(JobId(1)).unwrap().revision.id;
    store.commit(JobId(1), base, edit("26-001", "72 mm"), signed(1)).unwrap();
    store.record_actual(JobId(1), "tray", "fold", 10.0, signed(2)).unwrap();
    store.check().unwrap();
    let plain = Connection::open(folder.database()).unwrap();
    let whole: String = plain.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap();
    assert_eq!(whole, "ok");
    drop(plain);
    let kept = folder.kept().join("shop-format-1.db");
    assert_eq!(version_of(&kept), 1);
    drop(store);
    store::restore(&folder, &kept, at(3)).unwrap();
    assert_eq!(open(&folder).history(JobId(1)).unwrap().len(), 1);
    assert!(folder.kept().join("shop-format-1-1.db").exists(), "an earlier kept copy is never overwritten");
}

#[test]
fn a_later_format_is_refused_untouched() {
    let Shop { store, dir } = Shop::new();
    let folder = store.folder().clone();
    drop(store);
    Connection::open(folder.database()).unwrap().pragma_update(None, "user_version", FORMAT_VERSION + 1).unwrap();
    let before = fs::read(folder.database()).unwrap();
    let refused = Store::open(folder.clone(), options());
    assert!(
        matches!(&refused, Err(StoreError::Newer { found, known, .. })
            if (*found, *known) == (FORMAT_VERSION + 1, FORMAT_VERSION)),
        "{refused:?}"
    );
    assert_eq!(fs::read(folder.database()).unwrap(), before);
    let other = crate::common::folder(&tempfile::tempdir().unwrap());
    let refused = store::restore(&other, &folder.database(), at(0));
    assert!(matches!(refused, Err(StoreError::Newer { .. })), "{refused:?}");
    drop(dir);
}

#[test]
fn another_programs_database_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let folder = folder(&dir);
    folder.create().unwrap();
    Connection::open(folder.database()).unwrap().execute_batch("CREATE TABLE songs (title TEXT)").unwrap();
    let refused = Store::open(folder, options());
    assert!(matches!(refused, Err(StoreError::NotOurs { .. })), "{refused:?}");
}

#[test]
fn a_file_that_is_no_database_gets_a_clear_error_and_is_left_alone() {
    let dir = tempfile::tempdir().unwrap();
    let folder = folder(&dir);
    folder.create().unwrap();
    let text = "this is a letter and not a database\n".repeat(300);
    fs::write(folder.database(), &text).unwrap();
    let message = Store::open(folder.clone(), options()).unwrap_err().to_string();
    assert!(message.contains("shop.db") && message.contains("soundmetal restore"), "{message}");
    assert_eq!(fs::read_to_string(folder.database()).unwrap(), text);
}

#[test]
fn a_damaged_page_is_found() {
    let Shop { store, dir } = Shop::new();
    let folder = store.folder().clone();
    let (job, _) = store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    drop(store);
    let mut bytes = fs::read(folder.database()).unwrap();
    // Everything but the first page: the file is still recognised, and its content is gone.
    let page = 4096;
    bytes[page..].fill(0xA5);
    fs::write(folder.database(), &bytes).unwrap();
    let damaged = Store::open(folder, options()).and_then(|store| store.current(job));
    assert!(matches!(&damaged, Err(StoreError::Damaged { path: Some(_), .. })), "{damaged:?}");
    drop(dir);
}

#[test]
fn a_content_that_was_tampered_with_is_found() {
    let shop = Shop::new();
    let (job, _) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let photo = store::NewPhoto { bytes: b"picture".to_vec(), mime: "image/png".into(), caption: String::new() };
    let photo = shop.store.add_photo(job, photo, signed(1)).unwrap();
    let plain = Connection::open(shop.folder().database()).unwrap();
    plain
        .execute_batch(
            "DROP TRIGGER body_fixed; UPDATE body SET json = replace(json, '70 mm', '90 mm');
             DROP TRIGGER photo_fixed; UPDATE photo SET bytes = x'00';",
        )
        .unwrap();
    assert!(matches!(shop.store.current(job), Err(StoreError::Damaged { .. })));
    assert!(matches!(shop.store.photo(photo), Err(StoreError::Damaged { .. })));
}
