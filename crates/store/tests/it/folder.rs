//! Who may use the data folder.

use std::fs;

use store::{Claim, DataFolder, StoreError, restore};

use crate::common::{Shop, at, folder, open, options};

#[test]
fn the_second_one_finds_the_address_of_the_first() {
    let dir = tempfile::tempdir().unwrap();
    let folder = folder(&dir);
    let Claim::Granted(first) = folder.claim_server().unwrap() else { panic!("the folder is free") };
    assert!(matches!(folder.claim_server().unwrap(), Claim::Running { address: None }), "still starting");
    first.announce("http://127.0.0.1:7070/").unwrap();
    let second = folder.claim_server().unwrap();
    assert!(matches!(&second, Claim::Running { address: Some(at) } if at == "http://127.0.0.1:7070/"), "{second:?}");
    assert_eq!(folder.running_address().unwrap().as_deref(), Some("http://127.0.0.1:7070/"));
    drop(first);
    assert_eq!(folder.running_address().unwrap(), None);
    assert!(matches!(folder.claim_server().unwrap(), Claim::Granted(_)));
}

#[test]
fn an_address_without_a_running_one_counts_for_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let folder = folder(&dir);
    folder.create().unwrap();
    fs::write(folder.root().join("server.address"), "http://127.0.0.1:9/\n").unwrap();
    fs::write(folder.root().join("server.lock"), "").unwrap();
    assert_eq!(folder.running_address().unwrap(), None);
    let Claim::Granted(_claim) = folder.claim_server().unwrap() else { panic!("nobody holds it") };
    assert!(matches!(folder.claim_server().unwrap(), Claim::Running { address: None }), "the old address is gone");
}

#[test]
fn restore_is_refused_while_the_data_is_open() {
    let shop = Shop::new();
    let file = shop.dir.path().join("backup.db");
    store::backup(&shop.folder(), &file, store::Existing::Refuse, |_, _| true).unwrap();
    let Claim::Granted(claim) = shop.folder().claim_server().unwrap() else { panic!("the folder is free") };
    claim.announce("http://127.0.0.1:7070/").unwrap();
    let before = fs::read(shop.folder().database()).unwrap();
    let refused = restore(&shop.folder(), &file, at(0));
    assert!(
        matches!(&refused, Err(StoreError::InUse { address: Some(at), .. }) if at == "http://127.0.0.1:7070/"),
        "{refused:?}"
    );
    assert_eq!(fs::read(shop.folder().database()).unwrap(), before);
    let Shop { store, dir } = shop;
    drop(store);
    restore(&folder(&dir), &file, at(0)).unwrap();
}

#[test]
fn a_folder_that_cannot_be_made_is_named() {
    let dir = tempfile::tempdir().unwrap();
    let in_the_way = dir.path().join("file");
    fs::write(&in_the_way, "").unwrap();
    let error = store::Store::open(DataFolder::new(in_the_way.join("data")), options()).unwrap_err();
    assert!(matches!(&error, StoreError::Io { path, .. } if path.starts_with(&in_the_way)), "{error}");
}

#[cfg(unix)]
#[test]
fn a_new_data_folder_is_for_its_owner_only() {
    use std::os::unix::fs::PermissionsExt;
    let dir = tempfile::tempdir().unwrap();
    let folder = folder(&dir);
    drop(open(&folder));
    assert_eq!(fs::metadata(folder.root()).unwrap().permissions().mode() & 0o077, 0);
}
