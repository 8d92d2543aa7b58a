//! Photos: kept once, byte for byte, and never lost from an earlier card.

use store::{FILE_LIMIT_BYTES, NewPhoto, PhotoId, StoreError};

use crate::common::{Shop, edit, signed};

fn photo(bytes: &[u8], caption: &str) -> NewPhoto {
    NewPhoto { bytes: bytes.to_vec(), mime: "image/jpeg".into(), caption: caption.into() }
}

#[test]
fn the_same_file_is_kept_once() {
    let shop = Shop::new();
    let (one, _) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let (two, _) = shop.store.create_job(edit("2", "70 mm"), signed(0)).unwrap();
    // Camera data in front of the picture must come back untouched.
    let bytes = b"\xff\xd8\xff\xe1\x00\x10Exif\x00\x00MM\x00*\x00\x00\x00\x08picture";
    let first = shop.store.add_photo(one, photo(bytes, "arch from behind"), signed(1)).unwrap();
    let second = shop.store.add_photo(two, photo(bytes, "the same"), signed(2)).unwrap();
    let third = shop.store.add_photo(one, photo(b"another", "drain"), signed(3)).unwrap();
    assert_eq!(first, second);
    assert_ne!(first, third);
    assert_eq!(shop.store.photo(first).unwrap().bytes, bytes);
    let plain = rusqlite::Connection::open(shop.folder().database()).unwrap();
    let kept: i64 = plain.query_row("SELECT count(*) FROM photo", [], |row| row.get(0)).unwrap();
    assert_eq!(kept, 2);
    let on_one: Vec<_> = shop.store.photos(one).unwrap().into_iter().map(|link| (link.photo, link.caption)).collect();
    assert_eq!(on_one, [(first, "arch from behind".to_owned()), (third, "drain".to_owned())]);
    assert_eq!(shop.store.photos(two).unwrap()[0].size_bytes, bytes.len() as u64);
}

#[test]
fn captions_change_and_photos_come_off_without_loss() {
    let shop = Shop::new();
    let (job, _) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let id = shop.store.add_photo(job, photo(b"picture", "?"), signed(1)).unwrap();
    shop.store.caption_photo(job, id, "inside the arch", signed(2)).unwrap();
    assert_eq!(shop.store.photos(job).unwrap()[0].caption, "inside the arch");
    shop.store.show_photo(job, id, false, signed(3)).unwrap();
    assert!(shop.store.photos(job).unwrap().is_empty());
    assert_eq!(shop.store.photo(id).unwrap().bytes, b"picture");
    shop.store.show_photo(job, id, true, signed(4)).unwrap();
    assert_eq!(shop.store.photos(job).unwrap()[0].caption, "inside the arch");
    let never = shop.store.caption_photo(job, PhotoId::of(b"never seen"), "x", signed(5));
    assert!(matches!(never, Err(StoreError::NotFound { .. })), "{never:?}");
}

#[test]
fn what_is_no_photo_is_refused() {
    let shop = Shop::new();
    let (job, _) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let limit = usize::try_from(FILE_LIMIT_BYTES).unwrap();
    let add = |new: NewPhoto| shop.store.add_photo(job, new, signed(1));
    let large = add(photo(&vec![7; limit + 1], "")).unwrap_err().to_string();
    assert_eq!(large, "the photo has 52428801 bytes; at most 52428800 are accepted");
    assert!(matches!(add(photo(b"", "")), Err(StoreError::Invalid { field: "the photo", .. })));
    for mime in ["", "text/html", "image/", "image/jpeg\r\nX: y"] {
        let refused = add(NewPhoto { mime: mime.into(), ..photo(b"picture", "") });
        assert!(matches!(refused, Err(StoreError::Invalid { .. })), "{mime}");
    }
    let nowhere = shop.store.add_photo(store::JobId(9), photo(b"picture", ""), signed(1));
    assert!(matches!(nowhere, Err(StoreError::NotFound { .. })));
    assert!(shop.store.photos(job).unwrap().is_empty());
    add(photo(&vec![7; limit], "as large as allowed")).unwrap();
}

#[test]
fn a_photo_id_is_the_published_hash_of_its_bytes() {
    // BLAKE3 test vectors (github.com/BLAKE3-team/BLAKE3, test_vectors.json): the empty input. From memory.
    let empty = "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262";
    assert_eq!(PhotoId::of(b"").to_string(), empty);
    assert_eq!(empty.parse::<PhotoId>().unwrap(), PhotoId::of(b""));
    assert!(matches!("zz".parse::<PhotoId>(), Err(StoreError::Invalid { .. })));
    let text = serde_json::to_string(&PhotoId::of(b"")).unwrap();
    assert_eq!(serde_json::from_str::<PhotoId>(&text).unwrap(), PhotoId::of(b""));
}
