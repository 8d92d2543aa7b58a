//! Every page answers, says what it should, and lets nothing in from outside.

use crate::browser::Shop;
use axum::body::Body;
use axum::extract::ConnectInfo;
use axum::http::{Request, StatusCode};
use std::net::SocketAddr;

#[test]
fn the_rack_shows_the_demo_by_what_each_card_waits_for() {
    let shop = Shop::open();
    let rack = shop.get("/");
    assert_eq!(rack.status, StatusCode::OK);
    let html = rack.text();
    assert!(html.contains("Wren 15") && html.contains("Bench Lane Metalwork"));
    assert!(soundmetal::waiting::Waits::ALL.iter().any(|waits| html.contains(waits.words())));
    assert!(html.contains("New card"));
}

#[test]
fn the_search_finds_a_card_by_a_word_and_nothing_by_nonsense() {
    let shop = Shop::open();
    assert!(shop.get("/?find=wren").text().contains("href=\"/card/"));
    assert!(!shop.get("/?find=zzzunheardof").text().contains("href=\"/card/"));
}

#[test]
fn a_card_has_nine_questions_in_order_and_every_figure_its_working() {
    let shop = Shop::open();
    let (id, section, _) = shop.card_with_pattern();
    let page = shop.get(&format!("/card/{id}/section/{section}"));
    assert_eq!(page.status, StatusCode::OK);
    let html = page.text();
    let questions = [
        "What have we got?",
        "How far has it gone?",
        "Where do we cut?",
        "What shape is the piece?",
        "What do we cut from flat?",
        "How does it go in?",
        "How do we make it?",
        "What does it cost?",
        "What leaves the shop?",
    ];
    let places: Vec<usize> = questions.iter().map(|question| html.find(question).expect(question)).collect();
    assert!(places.is_sorted(), "{places:?}");
    assert!(html.contains("class=\"working\"") && html.contains("class=\"formula\""));
    assert!(html.contains("<svg xmlns"), "a drawing stands in the page before any script");
}

#[test]
fn no_page_has_an_inline_script_or_style() {
    let shop = Shop::open();
    let (id, section, _) = shop.card_with_pattern();
    let card = format!("/card/{id}/section/{section}");
    let others = ["/", "/patterns", "/new", "/shop", "/pair", "/none"].map(str::to_owned);
    let of_card = ["history", "reply", "numbers", "packet"].map(|page| format!("/card/{id}/{page}"));
    for path in others.iter().chain(&of_card).chain([&card]) {
        let page = shop.get(path);
        assert!(page.header("content-security-policy").contains("default-src 'self'"), "{path}");
        let html = page.text();
        assert!(html.starts_with("<!doctype html>"), "{path}: {html:.300}");
        for banned in [" style=\"", "<style", " onclick", "javascript:", "http://", "https://"] {
            let allowed = html.replace("http://www.w3.org/2000/svg", "");
            assert!(!allowed.contains(banned), "{path} has {banned}");
        }
        assert!(!html.contains("<script>"), "{path}");
    }
}

#[test]
fn what_is_not_there_is_a_page_with_a_way_on() {
    let shop = Shop::open();
    for path in ["/none", "/card/999999", "/card/1/section/none", "/photo/zz", "/static/js/none.js"] {
        let page = shop.get(path);
        assert!(page.status.is_client_error(), "{path}: {}", page.status);
        assert!(page.text().contains("role=\"alert\"") && page.text().contains("To the rack"), "{path}");
    }
}

#[test]
fn files_are_served_with_a_tag_and_not_sent_twice() {
    let shop = Shop::open();
    for path in [
        "/static/css/paper.css",
        "/static/js/pages/card.js",
        "/static/fonts/regular.woff2",
        "/static/vendor/three/three.module.js",
    ] {
        let first = shop.get(path);
        assert_eq!(first.status, StatusCode::OK, "{path}");
        let tag = first.header("etag");
        assert!(tag.len() > 10, "{path}");
        let again = shop.ask(Request::get(path).header("if-none-match", tag), Body::empty());
        assert_eq!(again.status, StatusCode::NOT_MODIFIED, "{path}");
        assert!(again.body.is_empty());
    }
    assert_eq!(shop.get("/static/vendor/three/three.module.d.ts").status, StatusCode::NOT_FOUND);
}

#[test]
fn a_foreign_name_another_machine_and_a_foreign_page_are_refused() {
    let shop = Shop::open();
    let from = |host: &str, ip: [u8; 4], method: &str, origin: Option<&str>| {
        let mut request = Request::builder().method(method).uri("/card/1/undo").header("host", host);
        request = request.header("content-type", "application/x-www-form-urlencoded");
        if let Some(origin) = origin {
            request = request.header("origin", origin);
        }
        let mut request = request.body(Body::from("base=1")).unwrap();
        request.extensions_mut().insert(ConnectInfo(SocketAddr::from((ip, 50000))));
        shop.send(request).status
    };
    let here = [127, 0, 0, 1];
    assert_eq!(from("attacker.example:7153", here, "GET", None), StatusCode::FORBIDDEN);
    assert_eq!(from("127.0.0.1:7153", [192, 168, 1, 9], "GET", None), StatusCode::FORBIDDEN);
    assert_eq!(from("127.0.0.1:7153", here, "POST", Some("http://attacker.example")), StatusCode::FORBIDDEN);
    assert_ne!(from("127.0.0.1:7153", here, "POST", Some("http://127.0.0.1:7153")), StatusCode::FORBIDDEN);
}

#[test]
fn every_pattern_has_a_picture_and_stands_at_the_start_of_a_new_card() {
    let shop = Shop::open();
    let patterns = shop.app.data.patterns().unwrap();
    assert!(!patterns.is_empty(), "the demo keeps patterns");
    let new_card = shop.get("/new").text();
    for (_, pattern) in patterns {
        let picture = shop.get(&format!("/patterns/{}/picture.svg", pattern.id));
        assert_eq!(picture.status, StatusCode::OK, "{}: {}", pattern.id, picture.text());
        assert_eq!(picture.header("content-type"), "image/svg+xml");
        assert!(picture.text().matches("<path").count() > 3, "{} is almost empty", pattern.id);
        assert!(new_card.contains(&format!("value=\"{}\"", pattern.id)));
        assert!(pattern.questions.len() <= 4);
    }
}
