//! The conversation on a page, newest last, forty messages at a time.

use axum::{
    Router,
    extract::{Query, State},
    http::StatusCode,
    response::{Html, IntoResponse, Response},
    routing::get,
};
use serde::Deserialize;

use super::{Deps, session::SignedIn, status::store_problem};
use crate::{
    channels::{MESSAGE_BYTES_MAX, TextRefused},
    conversation::CLIENT_CHANNEL,
    pages::{ChatPage, Entry, FileShown, Notice, Speaker},
    store::{Error, Talk},
};

/// Messages on one page.
const TALK_MAX: u32 = 40;

pub(super) fn router() -> Router<Deps> {
    Router::new().route("/", get(show))
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

pub(super) async fn page(
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
        who: person.member.id.get(),
        owner: person.member.owner,
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

pub(super) fn entry(talk: &Talk) -> Entry {
    let speaker = if talk.channel == CLIENT_CHANNEL {
        Speaker::Client
    } else {
        Speaker::Own
    };
    let mut entry = Entry::new(speaker, talk.said.clone(), talk.at, &talk.answer, &talk.json);
    entry.brought = talk
        .files
        .iter()
        .map(|file| FileShown {
            kind: file.media_type.clone(),
            name: file.name.clone(),
            path: format!("/files/{}", file.id),
        })
        .collect();
    entry.heard = talk.files.iter().any(|file| file.media_type.starts_with("audio/"));
    entry
}
