//! Photos: kept as they came, refused by name, shown upright.

use crate::browser::{Answer, Shop};
use axum::http::{Request, StatusCode, header};
use std::io::Cursor;

const EDGE: &str = "boundary-of-the-test";

fn picture() -> Vec<u8> {
    let mut bytes = Vec::new();
    let picture = image::RgbImage::from_fn(60, 40, |x, y| image::Rgb([x as u8 * 4, y as u8 * 6, 90]));
    picture.write_to(&mut Cursor::new(&mut bytes), image::ImageFormat::Jpeg).unwrap();
    bytes
}

fn form(texts: &[(&str, &str)], files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut body = Vec::new();
    for (name, text) in texts {
        body.extend(
            format!("--{EDGE}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{text}\r\n").into_bytes(),
        );
    }
    for (name, bytes) in files {
        let head = format!(
            "--{EDGE}\r\nContent-Disposition: form-data; name=\"photos\"; filename=\"{name}\"\r\nContent-Type: image/jpeg\r\n\r\n"
        );
        body.extend(head.into_bytes());
        body.extend(*bytes);
        body.extend(b"\r\n");
    }
    body.extend(format!("--{EDGE}--\r\n").into_bytes());
    body
}

fn post(shop: &Shop, path: &str, texts: &[(&str, &str)], files: &[(&str, &[u8])]) -> Answer {
    let kind = format!("multipart/form-data; boundary={EDGE}");
    shop.ask(Request::post(path).header(header::CONTENT_TYPE, kind), form(texts, files))
}

#[test]
fn a_new_card_keeps_the_photos_dropped_on_it() {
    let shop = Shop::open();
    let bytes = picture();
    let made = post(&shop, "/new", &[("customer", "county museum")], &[("step well.jpg", &bytes)]);
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text());
    let id: i64 = made.header("location").trim_start_matches("/card/").parse().unwrap();
    let card = shop.app.data.card(store::JobId(id)).unwrap();
    assert_eq!(card.job.photos.len(), 1);
    assert_eq!(card.job.photos[0].caption, "step well");
    let whole = shop.get(&format!("/photo/{}/whole", card.job.photos[0].hash));
    assert_eq!(whole.body, bytes, "the file is as it came");
    let small = shop.get(&format!("/photo/{}", card.job.photos[0].hash));
    assert_eq!(small.header("content-type"), "image/jpeg");
    assert!(shop.get("/").text().contains("county museum"));
}

#[test]
fn pieces_chosen_by_picture_lead_to_a_written_reply() {
    let shop = Shop::open();
    let patterns = shop.app.data.patterns().unwrap();
    let chosen: Vec<(&str, &str)> =
        patterns.iter().take(3).map(|(_, pattern)| ("pattern", pattern.id.as_str())).collect();
    let made = post(&shop, "/new", &chosen, &[("a.jpg", &picture())]);
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text());
    assert!(made.header("location").ends_with("/reply"));
    let reply = shop.get(&made.header("location")).text();
    assert!(reply.contains("said on the phone, not measured"), "{reply}");
    assert!(reply.contains("GBP ") && reply.contains(" to GBP "), "a band, not a number");
    assert!(reply.contains("at the latest"), "a date");
    assert!(reply.contains("do not cut anything on the vehicle"));
}

#[test]
fn a_cut_off_photo_and_a_file_that_is_none_are_refused_by_name_and_no_card_is_made() {
    let shop = Shop::open();
    let before = shop.app.data.store.jobs().unwrap().len();
    let bytes = picture();
    for (name, bytes) in [("cut.jpg", &bytes[..bytes.len() / 2]), ("list.jpg", b"70 mm".as_slice())] {
        let refused = post(&shop, "/new", &[], &[(name, bytes)]);
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(refused.text().contains(name), "{}", refused.text());
    }
    assert_eq!(shop.app.data.store.jobs().unwrap().len(), before);
}

#[test]
fn a_photo_beyond_fifty_mebibytes_is_refused() {
    let shop = Shop::open();
    let mut bytes = picture();
    bytes.resize(50 * 1024 * 1024 + 1, 0);
    let refused = post(&shop, "/new", &[], &[("huge.jpg", &bytes)]);
    assert_eq!(refused.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(refused.text().contains("50 MiB"));
}
