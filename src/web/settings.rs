//! The settings page: a line of it says words, as in the chat; and the phones that are signed in.

use axum::{
    Router,
    extract::{Form, Query, State},
    response::{Html, IntoResponse, Redirect, Response},
    routing::{get, post},
};
use serde::Deserialize;

use super::{
    Deps,
    session::SignedIn,
    status::{Problem, problem_page, store_problem},
    token,
};
use crate::{
    channels::Channel,
    pages::{PhoneShown, SettingsPage, StuckShown, day_and_time},
    store::{Delivery, EndSession, Error},
};

const CHANNEL: &str = "web";

/// The words that ask for a code for another phone.
const CODE_WORDS: &str = "sign-in code";

/// The words that send letters again.
const AGAIN_WORDS: &str = "send again";

/// Letters shown of what did not arrive.
const STUCK_CHARS_MAX: usize = 60;

pub(super) fn router() -> Router<Deps> {
    Router::new()
        .route("/settings", get(show))
        .route("/settings/set", post(set))
        .route("/sessions/end", post(end))
}

#[derive(Deserialize)]
struct After {
    said: Option<u8>,
}

async fn show(State(deps): State<Deps>, person: SignedIn, Query(after): Query<After>) -> Response {
    match page(&deps, &person, after.said.is_some()).await {
        Ok(page) => Html(page.html()).into_response(),
        Err(failure) => store_problem(&failure).into_response(),
    }
}

async fn page(deps: &Deps, person: &SignedIn, with_news: bool) -> Result<SettingsPage, Error> {
    let (account, now) = (person.member.account, deps.clock.now());
    let state = deps.store.state(account).await?;
    let zone = state.book().settings().zone().unwrap_or(deps.zone);
    let sessions = deps.store.sessions(account, person.token.hash(), now).await?;
    let phones = sessions
        .into_iter()
        .filter(|session| person.member.owner || session.member == person.member.name)
        .map(|session| PhoneShown {
            id: session.id,
            member: session.member,
            device: session.device,
            since: day_and_time(session.since, now, zone),
            own: session.own,
        })
        .collect();
    let news = match with_news {
        true => deps.store.talk(&person.member, None, 1).await?.pop(),
        false => None,
    };
    let stuck = match person.member.owner {
        true => deps.store.undelivered(account).await?,
        false => Vec::new(),
    };
    let stuck = stuck.into_iter().map(|letter| StuckShown {
        name: letter.name,
        channel: match Channel::parse(&letter.channel) {
            Some(channel) => channel.title().to_string(),
            None => letter.channel,
        },
        words: first_words(&letter.words),
        since: day_and_time(letter.queued_at, now, zone),
        why: letter.failure,
    });
    Ok(SettingsPage::of(
        state.book(),
        person.member.owner,
        stuck.collect(),
        phones,
        person.token.form_token(),
        deps.ids.inbound().as_str().to_string(),
        news.map(|said| (said.said, said.answer)),
    ))
}

/// How a letter begins.
fn first_words(words: &str) -> String {
    let line = words.lines().next().unwrap_or_default();
    let mut shown: String = line.chars().take(STUCK_CHARS_MAX).collect();
    if shown.len() < line.len() {
        shown.push_str("...");
    }
    shown
}

#[derive(Deserialize)]
struct SetForm {
    form: String,
    key: String,
    line: String,
    value: String,
}

async fn set(State(deps): State<Deps>, person: SignedIn, Form(set): Form<SetForm>) -> Response {
    if !person.token.allows(&set.form) {
        return problem_page(Problem::ForeignForm);
    }
    if deps.watch.admit(person.member.id, deps.clock.monotonic()).is_err() {
        return problem_page(Problem::TooFast);
    }
    match say(&deps, &person, &set).await {
        Ok(true) => Redirect::to("/settings?said=1#news").into_response(),
        Ok(false) => Redirect::to("/settings").into_response(),
        Err(failure) => store_problem(&failure).into_response(),
    }
}

/// Says the words of a line; false when there are none.
async fn say(deps: &Deps, person: &SignedIn, set: &SetForm) -> Result<bool, Error> {
    let account = person.member.account;
    let text = match set.line.as_str() {
        "code" => Some(CODE_WORDS.to_string()),
        "again" => Some(AGAIN_WORDS.to_string()),
        line => SettingsPage::words(deps.store.state(account).await?.book(), line, &set.value),
    };
    let Some(text) = text else { return Ok(false) };
    let delivery = Delivery {
        account,
        member: person.member.id,
        external_id: token::message_key(&set.key, &text),
        id: deps.ids.inbound(),
        channel: CHANNEL.to_string(),
        text,
        heard: None,
        media: Vec::new(),
        answer_to: None,
        sent_at: None,
        at: deps.clock.now(),
    };
    deps.store.take(delivery).await?;
    Ok(true)
}

#[derive(Deserialize)]
struct EndForm {
    form: String,
    id: String,
}

/// Ends a session, or all others. The owner may end anybody's; others only their own.
async fn end(State(deps): State<Deps>, person: SignedIn, Form(end): Form<EndForm>) -> Response {
    if !person.token.allows(&end.form) {
        return problem_page(Problem::ForeignForm);
    }
    let which = match end.id.as_str() {
        "others" => EndSession::AllBut(person.token.hash()),
        id => match id.parse() {
            Ok(id) => EndSession::One(id),
            Err(_) => return problem_page(Problem::BadForm),
        },
    };
    let whose = (!person.member.owner).then_some(person.member.id);
    match deps.store.end_sessions(person.member.account, whose, which).await {
        Ok(()) => Redirect::to("/settings").into_response(),
        Err(failure) => store_problem(&failure).into_response(),
    }
}
