//! The conversation on a page: read it, and say something.
//!
//! Works by plain form post. A form carries a key made with the page, which with the text is the message's outside id:
//! pressing twice, or sending again after a lost signal, is one message. A program with a session may ask for the answer as JSON.

use axum::{
    Router,
    extract::{FromRequest, Query, Request, State},
    http::{HeaderMap, StatusCode, header},
    response::{Html, IntoResponse, Redirect, Response},
    routing::{get, post},
};
use serde::Deserialize;

use super::{
    Deps, attend, body,
    session::SignedIn,
    status::{Problem, problem_page, store_problem},
    token,
};
use crate::{
    channels::{MESSAGE_BYTES_MAX, TextRefused, accept_text},
    pages::{ChatPage, Entry, Notice},
    store::{Delivery, Error, Talk},
};

const CHANNEL: &str = "web";

const JSON: &str = "application/json";

/// Messages on one page.
const TALK_MAX: u32 = 40;

/// Largest form taken, in bytes: a message at its limit grows at most threefold when escaped.
const FORM_BYTES_MAX: usize = 64 * 1024;

pub(super) fn router() -> Router<Deps> {
    Router::new().route("/", get(show)).route("/say", post(say))
}

#[derive(Deserialize)]
struct Back {
    before: Option<i64>,
}

async fn show(State(deps): State<Deps>, person: SignedIn, Query(back): Query<Back>) -> Response {
    page(&deps, &person, back.before, None)
        .await
        .unwrap_or_else(|failure| store_problem(&failure).into_response())
}

async fn page(
    deps: &Deps,
    person: &SignedIn,
    before: Option<i64>,
    refused: Option<(TextRefused, String)>,
) -> Result<Response, Error> {
    let talk = deps.store.talk(&person.member, before, TALK_MAX).await?;
    let earlier = (talk.len() == TALK_MAX as usize)
        .then(|| talk.first().map(|first| first.position))
        .flatten();
    let zone = deps.store.zone(person.member.account, deps.zone).await?;
    let status = if refused.is_some() {
        StatusCode::UNPROCESSABLE_ENTITY
    } else {
        StatusCode::OK
    };
    let (notice, draft) = refused.map_or((None, String::new()), |(why, text)| (Some(notice(why)), text));
    let page = ChatPage {
        entries: talk.iter().map(entry).collect(),
        earlier,
        form_token: person.token.form_token(),
        key: deps.ids.inbound().as_str().to_string(),
        notice,
        draft,
        newest: before.is_none(),
    };
    Ok((status, Html(page.html(zone, deps.clock.now()))).into_response())
}

fn notice(refused: TextRefused) -> Notice {
    match refused {
        TextRefused::Empty => Notice::Empty,
        TextRefused::TooLong { bytes } => Notice::TooLong {
            bytes,
            fit: MESSAGE_BYTES_MAX,
        },
    }
}

fn entry(talk: &Talk) -> Entry {
    Entry {
        said: talk.said.clone(),
        at: talk.at,
        answer: talk.answer.clone(),
        choices: choices(&talk.json),
    }
}

/// What may be tapped in reply: the choices of an answer's one question.
fn choices(json: &str) -> Vec<String> {
    #[derive(Deserialize)]
    struct Asking {
        #[serde(default)]
        asks: Vec<Ask>,
    }
    #[derive(Deserialize)]
    struct Ask {
        #[serde(default)]
        choices: Vec<String>,
    }
    match serde_json::from_str::<Asking>(json) {
        Ok(Asking { mut asks }) if asks.len() == 1 => asks.remove(0).choices,
        _ => Vec::new(),
    }
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
}

impl FromRequest<Deps> for OwnForm {
    type Rejection = Response;

    async fn from_request(request: Request, deps: &Deps) -> Result<Self, Response> {
        let (mut parts, raw) = request.into_parts();
        let person = <SignedIn as axum::extract::FromRequestParts<Deps>>::from_request_parts(&mut parts, deps).await;
        let body = body::read(raw, FORM_BYTES_MAX).await;
        let person = person?;
        let body = body.map_err(|refused| match refused {
            body::Refused::TooLarge => problem_page(Problem::TooLarge),
            body::Refused::Broken => problem_page(Problem::BadForm),
        })?;
        let headers = parts.headers.clone();
        let request = Request::from_parts(parts, axum::body::Body::from(body));
        let axum::Form(said) = axum::Form::<Said>::from_request(request, &())
            .await
            .map_err(|_| problem_page(Problem::BadForm))?;
        if person.token.allows(&said.form) {
            Ok(OwnForm { person, headers, said })
        } else {
            Err(problem_page(Problem::ForeignForm))
        }
    }
}

async fn say(State(deps): State<Deps>, OwnForm { person, headers, said }: OwnForm) -> Response {
    let text = match accept_text(&said.text) {
        Ok(text) => text,
        Err(TextRefused::Empty) if !wants(&headers, JSON) => return Redirect::to("/").into_response(),
        Err(refused) => {
            let page = page(&deps, &person, None, Some((refused, said.text))).await;
            return page.unwrap_or_else(|failure| store_problem(&failure).into_response());
        }
    };
    if deps.watch.admit(person.member.id, deps.clock.monotonic()).is_err() {
        return problem_page(Problem::TooFast);
    }
    let delivery = Delivery {
        account: person.member.account,
        member: person.member.id,
        external_id: token::message_key(&said.key, &text),
        id: deps.ids.inbound(),
        channel: CHANNEL.to_string(),
        text,
        heard: None,
        answer_to: None,
        media: Vec::new(),
        at: deps.clock.now(),
    };
    let taken = match attend(&deps.store, &deps.recogniser, delivery).await {
        Ok(delivery) => deps.store.take(delivery).await,
        Err(failure) => Err(failure),
    };
    match taken {
        Ok(answered) if wants(&headers, JSON) => ([(header::CONTENT_TYPE, JSON)], answered.json).into_response(),
        Ok(_) => Redirect::to("/#latest").into_response(),
        Err(failure) => store_problem(&failure).into_response(),
    }
}

fn wants(headers: &HeaderMap, kind: &str) -> bool {
    headers
        .get(header::ACCEPT)
        .and_then(|value| value.to_str().ok())
        .is_some_and(|accept| accept.contains(kind))
}
