//! Signing in with a one-time link, and out.
//!
//! A link is used up by opening it; a look ahead by a browser or a preview does not count as opening. There is no password
//! to lose and none to guess.

use axum::{
    Router,
    extract::{Form, Path, State},
    http::{HeaderMap, Method, StatusCode, header},
    response::{Html, IntoResponse, Redirect, Response},
    routing::{get, post},
};
use serde::Deserialize;

use super::{
    Deps,
    session::{SignedIn, cookie, no_cookie},
    status::{Problem, problem_page, store_problem},
    token::{SESSION_GOOD_S, Token, later},
};
use crate::pages;

pub(super) fn router() -> Router<Deps> {
    Router::new()
        .route("/in/{token}", get(sign_in))
        .route("/out", post(sign_out))
}

async fn sign_in(State(deps): State<Deps>, method: Method, Path(link): Path<String>, headers: HeaderMap) -> Response {
    if method == Method::HEAD || looks_ahead(&headers) {
        return StatusCode::NO_CONTENT.into_response();
    }
    let (session, now) = (Token::fresh(&deps), deps.clock.now());
    let until = later(now, SESSION_GOOD_S);
    match deps
        .store
        .use_link(Token::given(&link).hash(), session.hash(), now, until)
        .await
    {
        Ok(true) => ([(header::SET_COOKIE, cookie(&session, deps.https))], inside(&headers)).into_response(),
        Ok(false) => problem_page(Problem::LinkSpent),
        Err(failure) => store_problem(&failure).into_response(),
    }
}

/// Whether a browser fetches the page before anybody asked for it.
fn looks_ahead(headers: &HeaderMap) -> bool {
    ["sec-purpose", "purpose", "x-purpose"]
        .iter()
        .filter_map(|name| headers.get(*name)?.to_str().ok())
        .any(|value| value.contains("prefetch") || value.contains("preview"))
}

/// On to the chat. From a link on another site the new cookie is not sent along with a redirect, so there the step is
/// left to the person.
fn inside(headers: &HeaderMap) -> Response {
    let from_elsewhere = headers.get("sec-fetch-site").is_some_and(|site| site == "cross-site");
    if from_elsewhere {
        Html(pages::ProblemPage::SIGNED_IN.html()).into_response()
    } else {
        Redirect::to("/").into_response()
    }
}

#[derive(Deserialize)]
struct OutForm {
    form: String,
}

async fn sign_out(State(deps): State<Deps>, person: SignedIn, Form(out): Form<OutForm>) -> Response {
    if !person.token.allows(&out.form) {
        return problem_page(Problem::ForeignForm);
    }
    match deps.store.end_session(person.token.hash()).await {
        Ok(()) => ([(header::SET_COOKIE, no_cookie(deps.https))], Redirect::to("/")).into_response(),
        Err(failure) => store_problem(&failure).into_response(),
    }
}
