//! A browser without a screen: asks the router as this machine or another would.

use axum::Router;
use axum::body::Body;
use axum::extract::ConnectInfo;
use axum::http::{Request, Response, StatusCode, header};
use serde_json::Value;
use soundmetal::shop_data::ShopData;
use soundmetal::web::{App, Guard, router};
use std::net::SocketAddr;
use std::sync::Arc;
use store::DataFolder;
use tokio_stream::StreamExt;
use tower::ServiceExt;

/// A shop with the demo in a folder of its own.
pub struct Shop {
    pub app: Arc<App>,
    router: Router,
    _folder: tempfile::TempDir,
}

/// What came back.
pub struct Answer {
    pub status: StatusCode,
    pub headers: axum::http::HeaderMap,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|error| panic!("no JSON ({error}): {}", self.text()))
    }

    pub fn header(&self, name: &str) -> String {
        self.headers.get(name).map(|value| value.to_str().unwrap().to_owned()).unwrap_or_default()
    }
}

impl Shop {
    pub fn open() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let data = ShopData::open(DataFolder::new(folder.path())).unwrap();
        let app = App::new(data, Guard::new(false).unwrap()).unwrap();
        Self { router: router(Arc::clone(&app)), app, _folder: folder }
    }

    /// Asks as a browser on this machine.
    pub fn ask(&self, request: axum::http::request::Builder, body: impl Into<Body>) -> Answer {
        let mut request: Request<Body> = request.header(header::HOST, "127.0.0.1:7153").body(body.into()).unwrap();
        request.extensions_mut().insert(ConnectInfo(SocketAddr::from(([127, 0, 0, 1], 50000))));
        self.send(request)
    }

    /// Sends a request as it is.
    pub fn send(&self, request: Request<Body>) -> Answer {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let response: Response<Body> = self.router.clone().oneshot(request).await.unwrap();
            let (parts, body) = response.into_parts();
            let body = axum::body::to_bytes(body, usize::MAX).await.unwrap().to_vec();
            Answer { status: parts.status, headers: parts.headers, body }
        })
    }

    pub fn get(&self, path: &str) -> Answer {
        self.ask(Request::get(path), Body::empty())
    }

    pub fn post_form(&self, path: &str, pairs: &[(&str, &str)]) -> Answer {
        let body = form_urlencoded::Serializer::new(String::new()).extend_pairs(pairs).finish();
        self.ask(Request::post(path).header(header::CONTENT_TYPE, "application/x-www-form-urlencoded"), body)
    }

    pub fn post_json(&self, path: &str, body: &Value) -> Answer {
        self.ask(Request::post(path).header(header::CONTENT_TYPE, "application/json"), body.to_string())
    }

    /// Reads news as they come until some hold all of these texts; tells `heard` of the first that came. Gives up after ten minutes.
    pub fn listen(&self, path: &str, until: &[&str], heard: &std::sync::mpsc::Sender<()>) -> String {
        let request = Request::get(path).header(header::HOST, "127.0.0.1:7153").body(Body::empty());
        let mut request: Request<Body> = request.unwrap();
        request.extensions_mut().insert(ConnectInfo(SocketAddr::from(([127, 0, 0, 1], 50000))));
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let response = self.router.clone().oneshot(request).await.unwrap();
            let mut news = response.into_body().into_data_stream();
            let all = async {
                let mut last = String::new();
                while let Some(Ok(piece)) = news.next().await {
                    last = String::from_utf8_lossy(&piece).into_owned();
                    let _ = heard.send(());
                    if until.iter().all(|text| last.contains(text)) {
                        break;
                    }
                }
                last
            };
            tokio::time::timeout(std::time::Duration::from_secs(600), all).await.unwrap()
        })
    }

    /// A card that has a piece made from a pattern: its id, that section, its revision.
    pub fn card_with_pattern(&self) -> (i64, String, i64) {
        let listed = self.app.data.store.jobs().unwrap();
        let found = listed.iter().find_map(|entry| {
            let card = self.app.data.card(entry.id).unwrap();
            let section = card.job.sections.iter().find(|section| {
                section.from_pattern.is_some()
                    && section.decision == job::file::Decision::Make
                    && !section.measured.is_empty()
            })?;
            Some((entry.id.0, section.id.clone(), entry.revision.0))
        });
        found.expect("the demo has a measured piece made from a pattern")
    }

    /// The newest card with a section of this name that is made: the card, its revision.
    pub fn card_with_section(&self, section: &str) -> (i64, i64) {
        let listed = self.app.data.store.jobs().unwrap();
        let found = listed.iter().rev().find_map(|entry| {
            let card = self.app.data.card(entry.id).unwrap();
            let made = |own: &job::file::Section| own.id == section && own.decision == job::file::Decision::Make;
            card.job.sections.iter().any(made).then_some((entry.id.0, entry.revision.0))
        });
        found.unwrap_or_else(|| panic!("the demo makes no {section}"))
    }
}
