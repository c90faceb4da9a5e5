//! Signing in with a one-time link or a code from the chat, and out.
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
    guess::Caller,
    session::{SignedIn, cookie, no_cookie},
    status::{Problem, problem_page, store_problem},
    token::{SESSION_GOOD_S, Token, later},
};
use crate::pages;

/// Digits of a code.
const CODE_DIGITS: usize = 8;

pub(super) fn router() -> Router<Deps> {
    Router::new()
        .route("/in/{token}", get(sign_in))
        .route("/in", post(sign_in_by_code))
        .route("/out", post(sign_out))
}

async fn sign_in(
    State(deps): State<Deps>,
    method: Method,
    Path(link): Path<String>,
    caller: Caller,
    headers: HeaderMap,
) -> Response {
    if method == Method::HEAD || looks_ahead(&headers) {
        return StatusCode::NO_CONTENT.into_response();
    }
    // Shorter secrets are codes, which have a door of their own.
    let link = Some(Token::given(&link)).filter(Token::is_whole);
    enter(&deps, caller, link, &headers, Problem::LinkSpent).await
}

#[derive(Deserialize)]
struct CodeForm {
    code: String,
}

/// Signing in with the code that was shown in the chat.
async fn sign_in_by_code(
    State(deps): State<Deps>,
    caller: Caller,
    headers: HeaderMap,
    Form(form): Form<CodeForm>,
) -> Response {
    if from_elsewhere(&headers) {
        return problem_page(Problem::ForeignForm);
    }
    if !deps.guesses.allows(caller, deps.clock.now()) {
        return problem_page(Problem::TooManyTries);
    }
    let digits: String = form.code.chars().filter(char::is_ascii_digit).collect();
    let code = (digits.len() == CODE_DIGITS).then(|| Token::given(&digits));
    enter(&deps, caller, code, &headers, Problem::CodeWrong).await
}

/// Turns a link or code into a session.
async fn enter(deps: &Deps, caller: Caller, given: Option<Token>, headers: &HeaderMap, otherwise: Problem) -> Response {
    let (session, now) = (Token::fresh(deps), deps.clock.now());
    let until = later(now, SESSION_GOOD_S);
    let used = match given {
        Some(given) => {
            let named = device(headers);
            deps.store
                .use_link(given.hash(), session.hash(), named, now, until)
                .await
        }
        None => Ok(false),
    };
    match used {
        Ok(true) => ([(header::SET_COOKIE, cookie(&session, deps.https))], inside(headers)).into_response(),
        Ok(false) if deps.guesses.allows(caller, now) => {
            deps.guesses.miss(caller, now);
            problem_page(otherwise)
        }
        Ok(false) => problem_page(Problem::TooManyTries),
        Err(failure) => store_problem(&failure).into_response(),
    }
}

/// What kind of device it is, so that its owner can tell it from others in a list.
fn device(headers: &HeaderMap) -> String {
    let agent = headers
        .get(header::USER_AGENT)
        .and_then(|value| value.to_str().ok())
        .unwrap_or_default();
    let kinds = [
        ("iPhone", "iPhone"),
        ("iPad", "iPad"),
        ("Android", "Android"),
        ("Windows", "Windows"),
        ("Mac OS", "Mac"),
        ("Linux", "Linux"),
    ];
    let kind = kinds
        .iter()
        .find(|(sign, _)| agent.contains(sign))
        .map_or("unknown device", |(_, name)| *name);
    kind.to_string()
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
    if from_elsewhere(headers) {
        Html(pages::ProblemPage::SIGNED_IN.html()).into_response()
    } else {
        Redirect::to("/").into_response()
    }
}

/// Whether another site led here.
fn from_elsewhere(headers: &HeaderMap) -> bool {
    headers.get("sec-fetch-site").is_some_and(|site| site == "cross-site")
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
