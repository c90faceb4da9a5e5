//! A stand-in for any provider that is spoken to over HTTP: it notes every request and answers as it is told.

use std::sync::{Arc, Mutex};

use axum::{
    Router,
    body::{Body, Bytes},
    extract::State,
    http::{HeaderMap, Method, StatusCode, Uri},
    response::{IntoResponse, Response},
};

/// A request that came.
#[derive(Debug, Clone)]
pub(crate) struct Seen {
    pub(crate) method: Method,
    pub(crate) path: String,
    pub(crate) headers: HeaderMap,
    pub(crate) body: Vec<u8>,
}

impl Seen {
    /// A field of its form, or of its query.
    pub(crate) fn field(&self, name: &str) -> Option<String> {
        let query = match self.path.split_once('?') {
            Some((_, query)) => query.to_string(),
            None => String::from_utf8_lossy(&self.body).into_owned(),
        };
        let url: reqwest::Url = format!("http://form/?{query}").parse().ok()?;
        let found = url.query_pairs().find(|(key, _)| key == name)?;
        Some(found.1.into_owned())
    }

    /// Its body as JSON.
    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_slice(&self.body).unwrap_or_default()
    }
}

/// An answer: status, headers, body. With the status 0 there is none: the request is taken and never answered.
pub(crate) type Said = (u16, Vec<(&'static str, String)>, Vec<u8>);

type Answers = dyn FnMut(&Seen) -> Said + Send;

/// The stand-in; cheap to clone.
#[derive(Clone)]
pub(crate) struct FakeProvider {
    seen: Arc<Mutex<Vec<Seen>>>,
    /// Requests whose path begins so are taken and never answered, or answered with a body that never ends.
    hanging: Arc<Mutex<Option<(String, bool)>>>,
    answers: Arc<Mutex<Box<Answers>>>,
    pub(crate) url: String,
}

impl FakeProvider {
    /// Starts it in the runtime that this is called in.
    pub(crate) async fn start(answers: impl FnMut(&Seen) -> Said + Send + 'static) -> FakeProvider {
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let address = listener.local_addr().expect("an address");
        let provider = FakeProvider {
            seen: Arc::default(),
            hanging: Arc::default(),
            answers: Arc::new(Mutex::new(Box::new(answers))),
            url: format!("http://{address}"),
        };
        let app = Router::new().fallback(take).with_state(provider.clone());
        tokio::spawn(async move { axum::serve(listener, app).await });
        provider
    }

    /// Answers otherwise from now on.
    pub(crate) fn answers(&self, answers: impl FnMut(&Seen) -> Said + Send + 'static) {
        *self.answers.lock().expect("no test panics here") = Box::new(answers);
    }

    /// Takes requests whose path begins so and never answers them; with `begun`, it answers and never comes to the end.
    pub(crate) fn hangs(&self, path: &str, begun: bool) {
        *self.hanging.lock().expect("no test panics here") = Some((path.to_string(), begun));
    }

    /// Answers again.
    pub(crate) fn hangs_no_more(&self) {
        *self.hanging.lock().expect("no test panics here") = None;
    }

    /// Requests so far whose path begins so.
    pub(crate) fn seen(&self, path: &str) -> Vec<Seen> {
        let seen = self.seen.lock().expect("no test panics here");
        seen.iter().filter(|one| one.path.starts_with(path)).cloned().collect()
    }
}

/// An answer that breaks off in the middle of its body.
pub(crate) fn cut((status, mut headers, body): Said) -> Said {
    headers.push((CUT, String::new()));
    (status, headers, body)
}

/// Marks an answer that is to break off; it is not sent.
const CUT: &str = "x-cut";

/// JSON as an answer.
pub(crate) fn said(status: u16, body: &str) -> Said {
    (
        status,
        vec![("content-type", "application/json".to_string())],
        body.as_bytes().to_vec(),
    )
}

async fn take(
    State(provider): State<FakeProvider>,
    method: Method,
    uri: Uri,
    headers: HeaderMap,
    body: Bytes,
) -> Response {
    let seen = Seen {
        method,
        path: uri.path_and_query().map_or_else(String::new, ToString::to_string),
        headers,
        body: body.to_vec(),
    };
    provider.seen.lock().expect("no test panics here").push(seen.clone());
    let hanging = provider.hanging.lock().expect("no test panics here").clone();
    match hanging.filter(|(path, _)| seen.path.starts_with(path)) {
        Some((_, false)) => std::future::pending().await,
        Some((_, true)) => {
            let endless = futures_util::stream::pending::<Result<Bytes, std::convert::Infallible>>();
            return Response::new(Body::from_stream(endless));
        }
        None => {}
    }
    let (status, headers, body) = (provider.answers.lock().expect("no test panics here"))(&seen);
    if status == 0 {
        return std::future::pending().await;
    }
    if headers.iter().any(|(name, _)| *name == CUT) {
        let half = Ok(Bytes::copy_from_slice(&body[..body.len() / 2]));
        let parts = [half, Err(std::io::Error::other("the line went dead"))];
        let mut response = Response::new(Body::from_stream(futures_util::stream::iter(parts)));
        *response.status_mut() = StatusCode::from_u16(status).expect("a status");
        return response;
    }
    let mut response = (StatusCode::from_u16(status).expect("a status"), body).into_response();
    for (name, value) in headers {
        response
            .headers_mut()
            .insert(name, value.parse().expect("a header value"));
    }
    response
}
