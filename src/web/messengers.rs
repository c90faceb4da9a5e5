//! The webhooks of messengers: verify, claim and keep, acknowledge.
//!
//! Nothing is read out of a body before its signature held, and nothing is acknowledged before it is kept; what the message
//! means is worked off later. A provider learns only whether to send it again: a stranger's message is acknowledged like any
//! other, and a body that makes no sense too, since it would come again and hold up what is behind it.

use axum::{
    Router,
    body::Bytes,
    extract::{Request, State},
    http::{HeaderMap, StatusCode, header, request::Parts},
    response::{IntoResponse, Response},
    routing::post,
};

use super::{
    Deps, body,
    status::{line, store_problem},
};
use crate::{
    channels::{Channel, Incoming, telegram},
    store::Claimed,
};

/// Seconds after which a provider may try again when there was no room.
const RETRY_AFTER: &str = "5";

pub(super) fn router() -> Router<Deps> {
    Router::new().route("/hooks/telegram", post(take_telegram))
}

/// No such place: what is switched off, and what is not signed, look the same.
fn nothing_here() -> Response {
    line(StatusCode::NOT_FOUND, "nothing here")
}

/// The raw body, up to a limit.
async fn raw(request: Request, bytes_max: usize) -> Result<(Parts, Bytes), Response> {
    let (parts, body) = request.into_parts();
    let body = body::read(body, bytes_max).await.map_err(|refused| match refused {
        body::Refused::TooLarge => line(StatusCode::PAYLOAD_TOO_LARGE, "the body is too large"),
        body::Refused::Broken => line(StatusCode::BAD_REQUEST, "the body broke off; send it again"),
    })?;
    Ok((parts, body))
}

/// Keeps messages; the response when that cannot be done.
async fn keep(deps: &Deps, channel: Channel, messages: Vec<Incoming>) -> Result<(), Response> {
    let brought = messages.into_iter().map(|message| (None, message)).collect();
    match deps.store.claim(channel, brought, None, deps.clock.now()).await {
        Ok(claimed) if claimed.last() == Some(&Claimed::Full) => Err(again()),
        Ok(_) => Ok(()),
        Err(failure) => {
            // Logged once, in there.
            let _ = store_problem(&failure);
            Err(again())
        }
    }
}

/// Not taken: the provider tries again.
fn again() -> Response {
    let mut response = line(StatusCode::SERVICE_UNAVAILABLE, "not taken; send it again in a moment");
    let headers: &mut HeaderMap = response.headers_mut();
    headers.insert(header::RETRY_AFTER, header::HeaderValue::from_static(RETRY_AFTER));
    response
}

async fn take_telegram(State(deps): State<Deps>, request: Request) -> Response {
    let Some(bot) = deps.lines.telegram.clone() else {
        return nothing_here();
    };
    // The secret is a header, so a stranger's body is not even read.
    if bot.verify(request.headers()).is_err() {
        return nothing_here();
    }
    let (_, body) = match raw(request, telegram::BODY_BYTES_MAX).await {
        Ok(parts) => parts,
        Err(refusal) => return refusal,
    };
    let messages = match bot.read_call(&body) {
        Ok(message) => message.into_iter().collect(),
        Err(failure) => {
            tracing::warn!(
                error = &failure as &dyn std::error::Error,
                "a call of Telegram makes no sense"
            );
            Vec::new()
        }
    };
    match keep(&deps, Channel::Telegram, messages).await {
        Ok(()) => StatusCode::OK.into_response(),
        Err(refusal) => refusal,
    }
}
