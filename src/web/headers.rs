//! Headers that every answer carries.

use axum::{
    http::{HeaderName, HeaderValue, header},
    response::Response,
};

/// Scripts, styles and pictures from here only; nothing inline; no frame around the page, no form to elsewhere.
const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
     media-src 'self' blob:; connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

const GUARDS: [(HeaderName, &str); 5] = [
    (header::CONTENT_SECURITY_POLICY, CONTENT_POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "same-origin"),
    (header::X_FRAME_OPTIONS, "DENY"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
];

/// Adds the guards, and keeps pages out of caches unless they said otherwise.
pub(super) async fn guard(mut response: Response) -> Response {
    let headers = response.headers_mut();
    for (name, value) in GUARDS {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    }
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    response
}
