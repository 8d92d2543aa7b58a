//! Who may talk to this server, and what a page of ours may load.
//!
//! Loopback only unless `--lan`. A page elsewhere must not reach the shop's data through the browser of the person at this
//! machine: every request must name this server by number or as `localhost` (a foreign name that points here is refused),
//! and every change must come from a page of this server. With `--lan`, other machines type a pairing code once.

use super::App;
use crate::failure::{Failure, Kind};
use crate::web::errors::WebError;
use axum::extract::{ConnectInfo, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::collections::BTreeMap;
use std::net::{IpAddr, SocketAddr};
use std::sync::{Arc, Mutex, PoisonError};

/// Name of the cookie that a paired machine keeps.
pub const COOKIE: &str = "soundmetal-session";
/// Wrong codes accepted before the code is replaced.
const TRIES: u32 = 5;
/// Content policy of every page: nothing from outside, no inline script, no inline style.
const POLICY: &str = "default-src 'self'; img-src 'self' blob: data:; object-src 'none'; base-uri 'none'; \
                      frame-ancestors 'none'; form-action 'self'";

/// Who wrote something, as it stands in the history.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Who(pub String);

/// Which machines are let in.
#[derive(Debug, Default)]
pub struct Guard {
    /// Other machines may come in, after pairing.
    pub lan: bool,
    pairing: Mutex<Pairing>,
}

#[derive(Debug, Default)]
struct Pairing {
    code: String,
    wrong_tries: u32,
    /// Session → name of the machine.
    sessions: BTreeMap<String, String>,
}

impl Guard {
    /// A guard that lets in this machine only, or with `lan` also paired ones.
    ///
    /// # Errors
    /// When the system gives no random numbers.
    pub fn new(lan: bool) -> Result<Self, Failure> {
        let guard = Self { lan, pairing: Mutex::default() };
        guard.replace_code()?;
        Ok(guard)
    }

    /// The code another machine has to type.
    pub fn code(&self) -> String {
        self.pairing().code.clone()
    }

    /// Pairs a machine that knows the code; returns its session.
    ///
    /// # Errors
    /// A wrong code. After five of them the code is a new one.
    pub fn pair(&self, code: &str, name: &str) -> Result<String, Failure> {
        let typed: String = code.chars().filter(char::is_ascii_digit).collect();
        let wrong = || {
            Failure::new(Kind::Refused, "that is not the pairing code")
                .hint("read it again where soundmetal was started")
        };
        if self.pairing().code != typed {
            self.pairing().wrong_tries += 1;
            if self.pairing().wrong_tries >= TRIES {
                self.replace_code()?;
                eprintln!("five wrong codes were typed; the new pairing code is {}", self.code());
            }
            return Err(wrong());
        }
        let session = random_hex()?;
        let name = if name.trim().is_empty() { "paired machine" } else { name.trim() };
        self.pairing().sessions.insert(session.clone(), name.chars().take(60).collect());
        self.replace_code()?;
        eprintln!("{name} is paired; the next machine needs the code {}", self.code());
        Ok(session)
    }

    fn replace_code(&self) -> Result<(), Failure> {
        let mut bytes = [0_u8; 4];
        getrandom::fill(&mut bytes).map_err(Failure::machine)?;
        let mut pairing = self.pairing();
        pairing.code = format!("{:08}", u32::from_le_bytes(bytes) % 100_000_000);
        pairing.wrong_tries = 0;
        Ok(())
    }

    fn name_of(&self, headers: &HeaderMap) -> Option<String> {
        let cookies = headers.get(header::COOKIE)?.to_str().ok()?;
        let session = cookies.split(';').find_map(|part| part.trim().strip_prefix(COOKIE)?.strip_prefix('='))?;
        self.pairing().sessions.get(session).cloned()
    }

    fn pairing(&self) -> std::sync::MutexGuard<'_, Pairing> {
        self.pairing.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn random_hex() -> Result<String, Failure> {
    let mut bytes = [0_u8; 32];
    getrandom::fill(&mut bytes).map_err(Failure::machine)?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// Lets a request through or refuses it, and gives every answer its content policy.
pub async fn check(State(app): State<Arc<App>>, mut request: Request, next: Next) -> Response {
    let mut response = match admit(&app.guard, &request) {
        Ok(who) => {
            request.extensions_mut().insert(who);
            next.run(request).await
        }
        Err(Refusal::Unpaired) if request.method() == Method::GET => {
            axum::response::Redirect::to("/pair").into_response()
        }
        Err(refusal) => WebError(refusal.into()).into_response(),
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "same-origin"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ] {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    }
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}

#[derive(Debug, PartialEq, Eq)]
enum Refusal {
    ForeignName(String),
    ForeignPage(String),
    OtherMachine,
    Unpaired,
}

impl From<Refusal> for Failure {
    fn from(refusal: Refusal) -> Self {
        let message = match refusal {
            Refusal::ForeignName(name) => {
                format!("this server does not answer to the name {name:?}; use its number or localhost")
            }
            Refusal::ForeignPage(origin) => {
                format!("a page of {origin:?} asked for a change; only pages of this server may")
            }
            Refusal::OtherMachine => {
                "only this machine may use this server; start it with --lan to let others in".to_owned()
            }
            Refusal::Unpaired => "this machine is not paired; open /pair and type the pairing code".to_owned(),
        };
        Self::new(Kind::Refused, message)
    }
}

fn admit(guard: &Guard, request: &Request) -> Result<Who, Refusal> {
    let headers = request.headers();
    let host = host_of(headers, request.uri());
    if !is_ours(&host, guard.lan) {
        return Err(Refusal::ForeignName(host));
    }
    if !matches!(*request.method(), Method::GET | Method::HEAD) {
        from_our_page(headers, &host)?;
    }
    let peer = request.extensions().get::<ConnectInfo<SocketAddr>>().map(|info| info.0.ip());
    if peer.is_some_and(|ip| ip.is_loopback()) {
        return Ok(Who("this machine".to_owned()));
    }
    if !guard.lan {
        return Err(Refusal::OtherMachine);
    }
    let open = ["/pair", "/static/"].iter().any(|path| request.uri().path().starts_with(path));
    match guard.name_of(headers) {
        Some(name) => Ok(Who(name)),
        None if open => Ok(Who("not paired".to_owned())),
        None => Err(Refusal::Unpaired),
    }
}

fn host_of(headers: &HeaderMap, uri: &Uri) -> String {
    let named = headers.get(header::HOST).and_then(|value| value.to_str().ok());
    named.or_else(|| uri.authority().map(axum::http::uri::Authority::as_str)).unwrap_or_default().to_owned()
}

/// A number can not be made to point elsewhere, a name can; so only numbers and `localhost` are ours.
fn is_ours(host: &str, lan: bool) -> bool {
    let name = match host.strip_prefix('[') {
        Some(six) => six.split(']').next().unwrap_or_default(),
        None => host.split(':').next().unwrap_or_default(),
    };
    match name.parse::<IpAddr>() {
        Ok(ip) => ip.is_loopback() || lan,
        Err(_) => name.eq_ignore_ascii_case("localhost"),
    }
}

fn from_our_page(headers: &HeaderMap, host: &str) -> Result<(), Refusal> {
    let text = |name: HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
    match text(header::ORIGIN) {
        Some(origin) if origin == format!("http://{host}") => Ok(()),
        Some(origin) => Err(Refusal::ForeignPage(origin.to_owned())),
        // A browser always says where a change comes from; without it this is a program on a machine that was let in.
        None => match text(HeaderName::from_static("sec-fetch-site")) {
            None | Some("same-origin" | "none") => Ok(()),
            Some(site) => Err(Refusal::ForeignPage(site.to_owned())),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::body::Body;

    fn request(method: &str, headers: &[(&str, &str)], peer: &str) -> Request {
        let mut builder = Request::builder().method(method).uri("/");
        for (name, value) in headers {
            builder = builder.header(*name, *value);
        }
        let mut request = builder.body(Body::empty()).unwrap();
        request.extensions_mut().insert(ConnectInfo(SocketAddr::new(peer.parse().unwrap(), 5000)));
        request
    }

    #[test]
    fn a_foreign_name_for_this_server_is_refused() {
        let guard = Guard::new(false).unwrap();
        for host in ["evil.example:8080", "127.0.0.1.evil.example", "192.168.1.5:8080", ""] {
            let refused = admit(&guard, &request("GET", &[("host", host)], "127.0.0.1"));
            assert_eq!(refused, Err(Refusal::ForeignName(host.to_owned())));
        }
        for host in ["127.0.0.1:8080", "localhost:8080", "[::1]:8080"] {
            assert!(admit(&guard, &request("GET", &[("host", host)], "127.0.0.1")).is_ok(), "{host}");
        }
    }

    #[test]
    fn a_change_asked_for_by_another_page_is_refused() {
        let guard = Guard::new(false).unwrap();
        let host = ("host", "127.0.0.1:8080");
        for origin in ["https://evil.example", "http://127.0.0.1:9999", "null"] {
            assert!(admit(&guard, &request("POST", &[host, ("origin", origin)], "127.0.0.1")).is_err(), "{origin}");
        }
        assert!(admit(&guard, &request("POST", &[host, ("sec-fetch-site", "cross-site")], "127.0.0.1")).is_err());
        assert!(admit(&guard, &request("POST", &[host, ("origin", "http://127.0.0.1:8080")], "127.0.0.1")).is_ok());
    }

    #[test]
    fn another_machine_needs_lan_and_pairing() {
        let host = ("host", "192.168.1.5:8080");
        let alone = Guard::new(false).unwrap();
        assert!(admit(&alone, &request("GET", &[("host", "127.0.0.1")], "192.168.1.9")).is_err());
        let guard = Guard::new(true).unwrap();
        assert_eq!(admit(&guard, &request("GET", &[host], "192.168.1.9")), Err(Refusal::Unpaired));
        let code = guard.code();
        let session = guard.pair(&code, "tablet at the bench").unwrap();
        let cookie = format!("other=1; {COOKIE}={session}");
        let who = admit(&guard, &request("GET", &[host, ("cookie", &cookie)], "192.168.1.9"));
        assert_eq!(who, Ok(Who("tablet at the bench".to_owned())));
        assert_ne!(guard.code(), code, "a code pairs one machine");
    }

    #[test]
    fn five_wrong_codes_change_the_code() {
        let guard = Guard::new(true).unwrap();
        let code = guard.code();
        for _ in 0..5 {
            assert!(guard.pair("not it", "").is_err());
        }
        assert!(guard.pair(&code, "").is_err() || guard.code() != code);
    }
}
