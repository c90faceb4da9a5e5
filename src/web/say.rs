//! Saying something on the page: words, a photo, a voice note.
//!
//! Works by plain form post. A form carries a key made with the page, which with what it holds is the message's outside
//! id: pressing twice, or sending again after a lost signal, is one message. A voice note is heard before its message is
//! taken; until the answer comes the phone keeps it, so nothing is lost that was not acknowledged.

use std::time::Duration;

use axum::{
    Router,
    extract::{FromRequest, Multipart, Request, State},
    http::{HeaderMap, header},
    response::{IntoResponse, Redirect, Response},
    routing::post,
};
use serde::Deserialize;

use super::{
    Deps, attend, body, chat,
    session::SignedIn,
    status::{Problem, problem_page, store_problem},
    token,
};
use crate::{
    channels::{TextRefused, accept_text, media_of},
    store::{Answered, Delivery, Enclosed, Error, FILE_BYTES_MAX},
    units::Timestamp,
};

const CHANNEL: &str = "web";

const JSON: &str = "application/json";

/// Largest form of words alone, in bytes: a message at its limit grows at most threefold when escaped.
const FORM_BYTES_MAX: usize = 64 * 1024;

/// Largest form with a file in it, in bytes: the file, the words, and the lines between them.
const UPLOAD_BYTES_MAX: usize = FILE_BYTES_MAX + FORM_BYTES_MAX;

/// How long an upload may take on a weak signal.
const UPLOAD_WAIT_MAX: Duration = Duration::from_secs(120);

/// Files of one message.
const FILES_MAX: usize = 6;

pub(super) fn router() -> Router<Deps> {
    Router::new().route("/say", post(say))
}

/// A form from a page of this session; anything else is refused before the handler runs.
struct OwnForm {
    person: SignedIn,
    headers: HeaderMap,
    said: Said,
}

#[derive(Deserialize)]
struct Said {
    text: String,
    key: String,
    form: String,
    /// Seconds that it waited on the phone.
    #[serde(default)]
    waited: Option<String>,
    #[serde(skip)]
    files: Vec<Upload>,
}

/// A file as the browser sends it.
struct Upload {
    name: Option<String>,
    claimed: Option<String>,
    bytes: Vec<u8>,
}

impl FromRequest<Deps> for OwnForm {
    type Rejection = Response;

    async fn from_request(request: Request, deps: &Deps) -> Result<Self, Response> {
        let (mut parts, raw) = request.into_parts();
        let person = <SignedIn as axum::extract::FromRequestParts<Deps>>::from_request_parts(&mut parts, deps).await;
        let with_files = kind(&parts.headers).starts_with("multipart/form-data");
        // A stranger is not read at length.
        let (most, wait) = match person.is_ok() && with_files {
            true => (UPLOAD_BYTES_MAX, UPLOAD_WAIT_MAX),
            false => (FORM_BYTES_MAX, body::WAIT_MAX),
        };
        let body = body::read_within(raw, most, wait).await;
        let person = person?;
        let body = body.map_err(|refused| match refused {
            body::Refused::TooLarge => problem_page(Problem::TooLarge),
            body::Refused::Broken => problem_page(Problem::BadForm),
        })?;
        let headers = parts.headers.clone();
        let mut request = Request::from_parts(parts, axum::body::Body::from(body));
        request
            .extensions_mut()
            .insert(axum::extract::DefaultBodyLimit::disable());
        let said = match with_files {
            true => in_parts(request).await,
            false => axum::Form::<Said>::from_request(request, &())
                .await
                .ok()
                .map(|form| form.0),
        };
        let said = said.ok_or_else(|| problem_page(Problem::BadForm))?;
        if person.token.allows(&said.form) {
            Ok(OwnForm { person, headers, said })
        } else {
            Err(problem_page(Problem::ForeignForm))
        }
    }
}

fn kind(headers: &HeaderMap) -> &str {
    headers
        .get(header::CONTENT_TYPE)
        .and_then(|value| value.to_str().ok())
        .unwrap_or_default()
}

/// A form in parts; `None` when it cannot be read or a field is missing.
async fn in_parts(request: Request) -> Option<Said> {
    let mut parts = Multipart::from_request(request, &()).await.ok()?;
    let (mut text, mut key, mut form, mut waited, mut files) = (None, None, None, None, Vec::new());
    while let Some(part) = parts.next_field().await.ok()? {
        match part.name().unwrap_or_default() {
            "text" => text = Some(part.text().await.ok()?),
            "key" => key = Some(part.text().await.ok()?),
            "form" => form = Some(part.text().await.ok()?),
            "waited" => waited = Some(part.text().await.ok()?),
            "file" => {
                let (name, claimed) = (
                    part.file_name().map(str::to_string),
                    part.content_type().map(str::to_string),
                );
                let bytes = part.bytes().await.ok()?.to_vec();
                // A browser sends an empty part for a field without a file.
                if !bytes.is_empty() && files.len() < FILES_MAX {
                    files.push(Upload { name, claimed, bytes });
                }
            }
            _ => {}
        }
    }
    Some(Said {
        text: text.unwrap_or_default(),
        key: key?,
        form: form?,
        waited,
        files,
    })
}

async fn say(State(deps): State<Deps>, OwnForm { person, headers, said }: OwnForm) -> Response {
    let wants_json = wants(&headers, JSON);
    let text = match accept_text(&said.text) {
        Ok(text) => text,
        Err(TextRefused::Empty) if !said.files.is_empty() => String::new(),
        Err(TextRefused::Empty) if !wants_json => return Redirect::to("/").into_response(),
        Err(refused) => {
            let page = chat::page(&deps, &person, None, Some((refused, said.text))).await;
            return page.unwrap_or_else(|failure| store_problem(&failure).into_response());
        }
    };
    match take(&deps, &person, text, said).await {
        Ok(answered) if wants_json => ([(header::CONTENT_TYPE, JSON)], answered.json).into_response(),
        Ok(_) => Redirect::to("/#latest").into_response(),
        Err(problem) => problem_page(problem),
    }
}

/// Takes the message, after hearing what is spoken in it.
async fn take(deps: &Deps, person: &SignedIn, text: String, said: Said) -> Result<Answered, Problem> {
    let failed = |failure: Error| store_problem(&failure);
    let account = person.member.account;
    let external_id = token::message_key(&said.key, &with_files(&text, &said.files));
    if !said.files.is_empty() {
        let first = deps.store.first_answer(account, CHANNEL, external_id.clone()).await;
        if let Some(first) = first.map_err(failed)? {
            return Ok(first);
        }
    }
    if deps.watch.admit(person.member.id, deps.clock.monotonic()).is_err() {
        return Err(Problem::TooFast);
    }
    let id = deps.ids.inbound();
    let now = deps.clock.now();
    let sent_at = said.waited.as_deref().and_then(|waited| sent_before(now, waited));
    let media: Vec<Enclosed> = said
        .files
        .into_iter()
        .enumerate()
        .map(|(index, file)| Enclosed {
            media: media_of(
                &id,
                index + 1,
                &file.bytes,
                file.claimed.as_deref(),
                file.name.as_deref(),
            ),
            bytes: Some(file.bytes),
        })
        .collect();
    let delivery = Delivery {
        account,
        member: person.member.id,
        external_id,
        id,
        channel: CHANNEL.to_string(),
        text,
        heard: None,
        media,
        answer_to: None,
        sent_at,
        at: now,
    };
    let delivery = attend(&deps.store, &deps.recogniser, delivery).await.map_err(failed)?;
    deps.store.take(delivery).await.map_err(failed)
}

/// When it was said: so many seconds before now. The phone says how long it waited and not when that began, so that its
/// clock may be wrong.
fn sent_before(now: Timestamp, waited: &str) -> Option<Timestamp> {
    let waited: u32 = waited.trim().parse().ok()?;
    Timestamp::from_unix_seconds(now.unix_seconds() - i64::from(waited))
}

/// What makes the message itself: its words and the hashes of its files.
fn with_files(text: &str, files: &[Upload]) -> String {
    let mut all = text.to_string();
    for file in files {
        all.push('\n');
        all.push_str(&token::content_key(&file.bytes));
    }
    all
}

fn wants(headers: &HeaderMap, kind: &str) -> bool {
    headers
        .get(header::ACCEPT)
        .and_then(|value| value.to_str().ok())
        .is_some_and(|accept| accept.contains(kind))
}
