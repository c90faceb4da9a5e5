//! Who is asking? Cookie to member.

use axum::{
    extract::FromRequestParts,
    http::{HeaderMap, header, request::Parts},
    response::{IntoResponse, Response},
};

use super::{
    Deps,
    status::{Problem, problem_page, store_problem},
    token::{SESSION_GOOD_S, Token},
};
use crate::store::Member;

const COOKIE: &str = "tallyhand_session";

/// A person with a session.
pub(super) struct SignedIn {
    pub(super) member: Member,
    pub(super) token: Token,
}

impl FromRequestParts<Deps> for SignedIn {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, deps: &Deps) -> Result<Self, Response> {
        let Some(token) = token_of(&parts.headers) else {
            return Err(problem_page(Problem::SignedOut));
        };
        match deps.store.of_session(token.hash(), deps.clock.now()).await {
            Ok(Some(member)) => Ok(SignedIn { member, token }),
            Ok(None) => Err(problem_page(Problem::SignedOut)),
            Err(failure) => Err(store_problem(&failure).into_response()),
        }
    }
}

fn token_of(headers: &HeaderMap) -> Option<Token> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(name, _)| *name == COOKIE)
        .map(|(_, value)| Token::given(value))
}

/// The cookie that keeps a session: not readable by scripts, not sent along from other sites.
pub(super) fn cookie(token: &Token, https: bool) -> String {
    set(token.as_str(), SESSION_GOOD_S, https)
}

/// The cookie that ends it.
pub(super) fn no_cookie(https: bool) -> String {
    set("", 0, https)
}

fn set(value: &str, age_s: i64, https: bool) -> String {
    let secure = if https { "; Secure" } else { "" };
    format!("{COOKIE}={value}; Path=/; Max-Age={age_s}; HttpOnly; SameSite=Strict{secure}")
}
