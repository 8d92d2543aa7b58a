//! Minutes taken, documents sent, stops lifted, and a card carried into another shop.

use jiff::civil::date;
use store::{Lifter, Lifting, NewPhoto, Sending, StoreError};

use crate::common::{Shop, at, edit, signed};

#[test]
fn minutes_taken_are_kept_and_nonsense_is_refused() {
    let shop = Shop::new();
    let (one, _) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let (two, _) = shop.store.create_job(edit("2", "70 mm"), signed(0)).unwrap();
    shop.store.record_actual(one, "arch", "roll the edge", 42.5, signed(1)).unwrap();
    shop.store.record_actual(one, "arch", "roll the edge", 8.0, signed(2)).unwrap();
    shop.store.record_actual(two, "tray", "fold", 12.0, signed(3)).unwrap();
    let minutes = |job| shop.store.actuals(job).unwrap().iter().map(|time| time.minutes).collect::<Vec<_>>();
    assert_eq!(minutes(Some(one)), [42.5, 8.0]);
    assert_eq!(minutes(None), [42.5, 8.0, 12.0]);
    assert_eq!(shop.store.actuals(Some(two)).unwrap()[0].at, at(3));
    for wrong in [f64::NAN, f64::INFINITY, 0.0, -1.0, 10_080.1] {
        let refused = shop.store.record_actual(one, "arch", "fold", wrong, signed(4));
        assert!(matches!(refused, Err(StoreError::Invalid { field: "minutes taken", .. })), "{wrong}");
    }
    assert_eq!(minutes(None).len(), 3);
}

#[test]
fn a_sent_document_is_proved_by_its_hash() {
    let shop = Shop::new();
    let (job, made) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let (other, foreign) = shop.store.create_job(edit("2", "70 mm"), signed(0)).unwrap();
    let sending = |revision| Sending {
        revision,
        document: "quote".into(),
        file: "quote.pdf".into(),
        sent_to: "Mobile library society".into(),
        bytes: b"%PDF".to_vec(),
    };
    shop.store.record_issued(job, sending(made.revision), signed(1)).unwrap();
    let sent = shop.store.issued(job).unwrap();
    assert_eq!(sent.len(), 1);
    assert_eq!(&sent[0].hash, blake3::hash(b"%PDF").as_bytes());
    assert_eq!((sent[0].size_bytes, sent[0].at, sent[0].revision), (4, at(1), made.revision));
    let crossed = shop.store.record_issued(job, sending(foreign.revision), signed(1));
    assert!(matches!(crossed, Err(StoreError::NotFound { .. })), "{crossed:?}");
    assert!(shop.store.issued(other).unwrap().is_empty());
}

#[test]
fn a_stop_is_lifted_only_with_the_facts_it_needs() {
    let shop = Shop::new();
    let (job, made) = shop.store.create_job(edit("1", "70 mm"), signed(0)).unwrap();
    let lifting = Lifting {
        stop: "seat-mounting".into(),
        lifter: Lifter::CompetentPerson,
        name: "A. Fitter".into(),
        trade: "vehicle inspector".into(),
        date: date(2026, 11, 24),
        reason: "mounting checked and not cut".into(),
    };
    for (missing, broken) in [
        ("name of the person who lifts the stop", Lifting { name: " ".into(), ..lifting.clone() }),
        ("trade of the person who lifts the stop", Lifting { trade: String::new(), ..lifting.clone() }),
        ("reason for lifting the stop", Lifting { reason: String::new(), ..lifting.clone() }),
        ("the stop", Lifting { stop: String::new(), ..lifting.clone() }),
    ] {
        let refused = shop.store.lift_stop(job, made.revision, broken, signed(1));
        assert!(matches!(refused, Err(StoreError::Invalid { field, .. }) if field == missing), "{refused:?}");
    }
    assert!(shop.store.lifted_stops(job).unwrap().is_empty());
    let id = shop.store.lift_stop(job, made.revision, lifting.clone(), signed(1)).unwrap();
    let shop_lifts = Lifting { lifter: Lifter::Shop, trade: String::new(), ..lifting.clone() };
    shop.store.lift_stop(job, made.revision, shop_lifts.clone(), signed(2)).unwrap();
    shop.store.put_stop_back(id, signed(3)).unwrap();
    let again = shop.store.put_stop_back(id, signed(4));
    assert!(matches!(again, Err(StoreError::NotFound { .. })), "{again:?}");
    let stops = shop.store.lifted_stops(job).unwrap();
    assert_eq!((&stops[0].lifting, &stops[1].lifting), (&lifting, &shop_lifts));
    assert_eq!(stops[0].put_back, Some((at(3), "bench tablet".to_owned())));
    assert_eq!(stops[1].put_back, None);
}

#[test]
fn a_card_goes_into_another_shop_with_its_photos() {
    let (here, there) = (Shop::new(), Shop::new());
    let (job, _) = here.store.create_job(edit("26-014", "70 mm"), signed(0)).unwrap();
    let photo = |bytes: &[u8]| NewPhoto { bytes: bytes.to_vec(), mime: "image/png".into(), caption: "arch".into() };
    here.store.add_photo(job, photo(b"one"), signed(1)).unwrap();
    let off = here.store.add_photo(job, photo(b"two"), signed(2)).unwrap();
    here.store.show_photo(job, off, false, signed(3)).unwrap();

    let bundle = here.store.export_job(job).unwrap();
    assert_eq!(bundle.photos.len(), 1);
    let (arrived, _) = there.store.import_job(bundle.clone(), signed(4)).unwrap();
    assert_eq!(there.store.export_job(arrived).unwrap(), bundle);

    let twice = there.store.import_job(bundle.clone(), signed(5));
    assert!(matches!(twice, Err(StoreError::NumberTaken { .. })), "{twice:?}");
    let mut spoilt = bundle;
    spoilt.heading.number = "26-099".into();
    spoilt.photos[0].photo.bytes = b"spoilt".to_vec();
    let refused = there.store.import_job(spoilt, signed(5));
    assert!(matches!(refused, Err(StoreError::Invalid { .. })), "{refused:?}");
    assert_eq!(there.store.jobs().unwrap().len(), 1);
}
