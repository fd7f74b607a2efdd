//! Who may ask: this page's own scripts, by an address that is this server's.
//!
//! A page of another origin could otherwise ask through the browser of whoever reads it, and a name
//! of another's choosing could be made to lead here (DNS rebinding): so the names are few.

use std::net::{IpAddr, SocketAddr};

use axum::extract::{Request, State};
use axum::http::header::{HOST, HeaderName, ORIGIN};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// The address a server listens on.
#[derive(Debug, Clone, Copy)]
pub struct Guard {
    address: SocketAddr,
}

impl Guard {
    pub fn new(address: SocketAddr) -> Guard {
        Guard { address }
    }

    /// Whether a request with these headers comes from the page itself, or from a person.
    ///
    /// The frame alone may be opened from anywhere, as by a link in a mail: it does nothing by itself.
    fn admits(self, opens: bool, headers: &HeaderMap) -> bool {
        let text = |name: HeaderName| headers.get(name).map(|v| v.to_str().unwrap_or("?"));
        let Some(host) = text(HOST).filter(|host| self.is_ours(host)) else {
            return false;
        };
        let own = |origin: &str| origin.strip_prefix("http://") == Some(host);
        let site = text(SITE);
        let mode = text(MODE);
        let opened = opens && mode == Some("navigate");
        text(ORIGIN).is_none_or(own)
            && site.is_none_or(|s| opened || s == "same-origin" || s == "none")
    }

    /// Whether a `Host` names this server: `localhost`, or the address itself. One that listens on every
    /// address is known by any of them.
    fn is_ours(self, host: &str) -> bool {
        let (name, port) = match host.rsplit_once(':') {
            Some((name, port)) if !port.ends_with(']') => (name, port.parse().ok()),
            _ => (host, Some(80)),
        };
        if port != Some(self.address.port()) {
            return false;
        }
        if name.eq_ignore_ascii_case("localhost") {
            return self.address.ip().is_loopback() || self.address.ip().is_unspecified();
        }
        let bare = name.trim_start_matches('[').trim_end_matches(']');
        let Ok(ip) = bare.parse::<IpAddr>() else {
            return false;
        };
        ip == self.address.ip() || self.address.ip().is_unspecified()
    }
}

/// What a browser says of where a request comes from, and whether it opens a page.
const SITE: HeaderName = HeaderName::from_static("sec-fetch-site");
const MODE: HeaderName = HeaderName::from_static("sec-fetch-mode");

/// What every answer says to the browser.
const HEADERS: [(HeaderName, &str); 6] = [
    (
        header::CONTENT_SECURITY_POLICY,
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
         connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    ),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "no-referrer"),
    (header::CACHE_CONTROL, "no-store"),
    (
        HeaderName::from_static("cross-origin-resource-policy"),
        "same-origin",
    ),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    ),
];

/// Turns strangers away and puts the headers on every answer.
pub async fn guard(State(guard): State<Guard>, request: Request, next: Next) -> Response {
    let opens = request.method() == Method::GET && request.uri().path() == "/";
    let mut response = if guard.admits(opens, request.headers()) {
        next.run(request).await
    } else {
        let text = "error: not an address of this page; use the one the program printed\n";
        (StatusCode::FORBIDDEN, text).into_response()
    };
    // A browser heeds the last one at a secure address only, and complains of it elsewhere.
    let heeded = HEADERS.len() - usize::from(!guard.address.ip().is_loopback());
    for (name, value) in HEADERS.into_iter().take(heeded) {
        response
            .headers_mut()
            .insert(name, HeaderValue::from_static(value));
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    fn admits(listen: &str, headers: &[(&'static str, &str)]) -> bool {
        let mut map = HeaderMap::new();
        for (name, value) in headers {
            map.insert(*name, HeaderValue::from_str(value).unwrap());
        }
        Guard::new(listen.parse().unwrap()).admits(false, &map)
    }

    #[test]
    fn only_the_page_itself_is_let_in() {
        let own = "127.0.0.1:7411";
        for host in ["127.0.0.1:7411", "localhost:7411", "LOCALHOST:7411"] {
            assert!(admits(own, &[("host", host)]), "{host}");
        }
        for host in [
            "",
            "evil.test:7411",
            "127.0.0.1",
            "127.0.0.1:80",
            "127.0.0.2:7411",
            "a:b:c",
            "?",
        ] {
            assert!(!admits(own, &[("host", host)]), "{host}");
        }
        assert!(!admits(own, &[]));
        let with = |name, value| admits(own, &[("host", own), (name, value)]);
        assert!(with("origin", "http://127.0.0.1:7411"));
        assert!(with("sec-fetch-site", "same-origin"));
        assert!(with("sec-fetch-site", "none"));
        for origin in [
            "null",
            "https://127.0.0.1:7411",
            "http://localhost:7411",
            "http://evil.test",
        ] {
            assert!(!with("origin", origin), "{origin}");
        }
        assert!(!with("sec-fetch-site", "cross-site"));
        assert!(!with("sec-fetch-site", "same-site"));
    }

    #[test]
    fn a_link_from_elsewhere_opens_the_frame_and_nothing_else() {
        let mut map = HeaderMap::new();
        map.insert("host", HeaderValue::from_static("127.0.0.1:7411"));
        map.insert("sec-fetch-site", HeaderValue::from_static("cross-site"));
        map.insert("sec-fetch-mode", HeaderValue::from_static("navigate"));
        let guard = Guard::new("127.0.0.1:7411".parse().unwrap());
        assert!(guard.admits(true, &map) && !guard.admits(false, &map));
        map.insert("host", HeaderValue::from_static("evil.test:7411"));
        assert!(!guard.admits(true, &map));
    }

    #[test]
    fn a_server_on_every_address_is_known_by_each_but_by_no_name() {
        assert!(admits("0.0.0.0:80", &[("host", "192.168.1.7")]));
        assert!(admits("[::]:7411", &[("host", "[fe80::1]:7411")]));
        assert!(admits("[::1]:7411", &[("host", "[::1]:7411")]));
        assert!(!admits("0.0.0.0:80", &[("host", "evil.test")]));
        assert!(!admits("192.168.1.7:80", &[("host", "localhost")]));
    }
}
