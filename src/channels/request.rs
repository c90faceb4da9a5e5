//! A request to a provider as a plain value, and what its answer means.

use std::fmt;

use http::Method;

/// The body of a request.
#[derive(Clone, PartialEq, Eq)]
pub enum Body {
    /// None.
    Empty,
    /// JSON text.
    Json(String),
    /// Fields, percent-encoded as forms are.
    Form(Vec<(String, String)>),
    /// Bytes of a media type.
    Bytes {
        /// The media type.
        media_type: String,
        /// The bytes.
        bytes: Vec<u8>,
    },
    /// Fields and files.
    Multipart(Vec<Part>),
}

/// A part of a multipart body.
#[derive(Clone, PartialEq, Eq)]
pub struct Part {
    /// The field's name.
    pub field: &'static str,
    /// File name and media type, when it is a file.
    pub file: Option<(String, String)>,
    /// What it holds.
    pub bytes: Vec<u8>,
}

impl Part {
    /// A field of text.
    pub fn text(field: &'static str, text: impl Into<String>) -> Part {
        Part {
            field,
            file: None,
            bytes: text.into().into_bytes(),
        }
    }
}

/// A request to a provider. Its `Debug` shows neither address nor headers: both may hold a token.
#[derive(Clone, PartialEq, Eq)]
pub struct Request {
    /// How.
    pub method: Method,
    /// Where; may hold a token, so it is never logged.
    pub url: String,
    /// Headers by name.
    pub headers: Vec<(&'static str, String)>,
    /// What.
    pub body: Body,
    /// What may be said of it in a log.
    pub what: &'static str,
}

impl Request {
    /// A request without a body.
    pub fn get(what: &'static str, url: String) -> Request {
        Request {
            method: Method::GET,
            url,
            headers: Vec::new(),
            body: Body::Empty,
            what,
        }
    }

    /// A request that posts a body.
    pub fn post(what: &'static str, url: String, body: Body) -> Request {
        Request {
            method: Method::POST,
            url,
            headers: Vec::new(),
            body,
            what,
        }
    }

    /// The same with a header more.
    #[must_use]
    pub fn header(mut self, name: &'static str, value: String) -> Request {
        self.headers.push((name, value));
        self
    }
}

impl fmt::Debug for Request {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Request")
            .field("what", &self.what)
            .finish_non_exhaustive()
    }
}

/// What a provider answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Response {
    /// Its status.
    pub status: u16,
    /// Its `Retry-After` in seconds, when it sent one as a number.
    pub retry_after_s: Option<i64>,
    /// Its body, as far as it was read.
    pub body: Vec<u8>,
}

impl Response {
    /// The body as JSON.
    pub fn json(&self) -> Option<serde_json::Value> {
        serde_json::from_slice(&self.body).ok()
    }
}

/// Why a letter is held back that its messenger takes only after the person has written again. The book finds such letters
/// by these very words.
pub const WHEN_THEY_WRITE: &str = "too long after they last wrote; goes by itself when they write";

/// What a try to send came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Verdict {
    /// It was taken, under the provider's own id.
    Sent {
        /// That id, when it gives one.
        outside_id: Option<String>,
    },
    /// Not now.
    Later {
        /// The wait that was asked for, in seconds.
        asked_s: Option<i64>,
        /// The whole channel has to wait, not this chat alone.
        all: bool,
        /// Why, in words for the owner.
        why: String,
    },
    /// Never.
    Never {
        /// Why, in words for the owner.
        why: String,
    },
    /// Not before the person writes again.
    WhenTheyWrite,
    /// The chat has another name now; send it there.
    Moved {
        /// The new room.
        room: String,
    },
}

impl Verdict {
    /// The verdict that fits any HTTP service, for statuses that a provider gives no meaning of its own.
    pub fn of_status(response: &Response, why: String) -> Verdict {
        match response.status {
            200..=299 => Verdict::Sent { outside_id: None },
            429 => Verdict::Later {
                asked_s: response.retry_after_s,
                all: true,
                why,
            },
            408 | 425 | 500..=599 => Verdict::Later {
                asked_s: response.retry_after_s,
                all: false,
                why,
            },
            _ => Verdict::Never { why },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Request, Response, Verdict};

    #[test]
    fn a_request_shows_neither_address_nor_headers() {
        let request = Request::get("getMe", "https://api.example.com/bot123:TOKEN/getMe".into())
            .header("authorization", "Bearer TOKEN".into());
        assert!(!format!("{request:?}").contains("TOKEN"));
    }

    #[test]
    fn statuses_are_sorted_into_now_later_and_never() {
        let verdict = |status: u16| {
            let response = Response {
                status,
                retry_after_s: Some(3),
                body: Vec::new(),
            };
            Verdict::of_status(&response, "why".into())
        };
        assert_eq!(verdict(201), Verdict::Sent { outside_id: None });
        assert!(matches!(
            verdict(429),
            Verdict::Later {
                asked_s: Some(3),
                all: true,
                ..
            }
        ));
        assert!(matches!(verdict(503), Verdict::Later { all: false, .. }));
        assert!(matches!(verdict(400), Verdict::Never { .. }));
        assert!(matches!(verdict(302), Verdict::Never { .. }));
    }
}
