//! The webhooks of messengers: verify, claim and keep, acknowledge.
//!
//! Nothing is read out of a body before its signature held, and nothing is acknowledged before it is kept; what the message
//! means is worked off later. A provider learns only whether to send it again: a stranger's message is acknowledged like any
//! other, and a body that makes no sense too, since it would come again and hold up what is behind it.

use std::time::Duration;

use axum::{
    Router,
    body::Bytes,
    extract::{Request, State},
    http::{HeaderMap, StatusCode, header, request::Parts},
    response::{IntoResponse, Response},
    routing::{get, post},
};

use super::{
    Deps, body,
    files::link_files,
    status::{line, store_problem},
};
use crate::{
    channels::{Channel, Incoming, Piece, fit::pieces, gateway, sms, telegram, whatsapp},
    store::{Carried, Claimed, Error},
    units::Timestamp,
};

/// Seconds after which a provider may try again when there was no room.
const RETRY_AFTER: &str = "5";

pub(super) fn router() -> Router<Deps> {
    Router::new()
        .route("/hooks/telegram", post(take_telegram))
        .route("/hooks/sms", post(take_sms))
        .route("/hooks/sms/status", post(take_sms_report))
        .route("/hooks/whatsapp", get(shake_whatsapp).post(take_whatsapp))
        .route("/hooks/gateway", get(take_gateway).post(take_gateway))
}

/// No such place: what is switched off, and what is not signed, look the same.
fn nothing_here() -> Response {
    line(StatusCode::NOT_FOUND, "nothing here")
}

/// Notes why a call was not taken: whoever sets a messenger up and has a secret or an address wrong sees it nowhere else.
async fn note_refusal(deps: &Deps, channel: Channel, why: &str) {
    if !deps.watch.may_note_refusal(channel, deps.clock.monotonic()) {
        return;
    }
    tracing::warn!(channel = channel.code(), why, "a call was not taken");
    let noted = deps
        .store
        .channel_failed(channel, why.to_string(), deps.clock.now())
        .await;
    if let Err(failure) = noted {
        // Logged once, in there.
        let _ = store_problem(&failure);
    }
}

/// Answers a call that did not show who it is from. One that tried to is noted; who did not try is a stranger.
async fn unsigned(deps: &Deps, channel: Channel, headers: &HeaderMap, header: &str) -> Response {
    let why = match channel {
        Channel::Sms => "a call's signature does not fit: public_url and sms_token have to be as the provider has them",
        Channel::Whatsapp => "a call's signature does not fit: whatsapp_app_secret has to be the app's",
        Channel::Telegram => {
            "a call came with another word than telegram_webhook_secret; `serve` tells Telegram that word"
        }
        // Matrix does not call, and the gateway's key is no header.
        Channel::Matrix | Channel::Gateway => "a call is not signed",
    };
    if headers.contains_key(header) {
        note_refusal(deps, channel, why).await;
    }
    nothing_here()
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
        return unsigned(&deps, Channel::Telegram, request.headers(), telegram::SECRET_HEADER).await;
    }
    let (_, body) = match raw(request, telegram::BODY_BYTES_MAX).await {
        Ok(parts) => parts,
        Err(refusal) => return refusal,
    };
    let messages = match bot.read_call(&body) {
        Ok(message) => message.into_iter().collect(),
        Err(failure) => {
            note_refusal(&deps, Channel::Telegram, &format!("a call makes no sense: {failure}")).await;
            Vec::new()
        }
    };
    match keep(&deps, Channel::Telegram, messages).await {
        Ok(()) => StatusCode::OK.into_response(),
        Err(refusal) => refusal,
    }
}

/// How long a call waits for the answers that go into its response; the provider waits 15 seconds.
const RESPONSE_WAIT: Duration = Duration::from_secs(10);

/// How often such a call looks whether its message is handled.
const RESPONSE_LOOK: Duration = Duration::from_millis(100);

/// How long letters are in a call's hands, in seconds.
const RESPONSE_LEASE_S: i64 = 30;

/// The path and query of a call, as the provider signed it.
fn path_of(parts: &Parts) -> String {
    parts
        .uri
        .path_and_query()
        .map_or_else(String::new, |path| path.as_str().to_string())
}

fn xml(messages: &[String]) -> Response {
    ([(header::CONTENT_TYPE, "text/xml")], sms::response_xml(messages)).into_response()
}

async fn take_sms(State(deps): State<Deps>, request: Request) -> Response {
    let Some(line) = deps.lines.sms.clone() else {
        return nothing_here();
    };
    let (parts, body) = match raw(request, sms::BODY_BYTES_MAX).await {
        Ok(parts) => parts,
        Err(refusal) => return refusal,
    };
    let Ok(form) = line.verify(&path_of(&parts), &parts.headers, &body) else {
        return unsigned(&deps, Channel::Sms, &parts.headers, sms::SIGNATURE_HEADER).await;
    };
    let message = match line.read(&form) {
        Ok(message) => message,
        Err(failure) => {
            note_refusal(&deps, Channel::Sms, &format!("a call makes no sense: {failure}")).await;
            return xml(&[]);
        }
    };
    let (id, address) = (message.external_id.clone(), message.address.clone());
    if let Err(refusal) = keep(&deps, Channel::Sms, vec![message]).await {
        return refusal;
    }
    if !line.in_response {
        return xml(&[]);
    }
    match answers(&deps, &line.public_url, id, address).await {
        Ok(messages) => xml(&messages),
        Err(failure) => {
            // The message is kept; its answer goes with the next one.
            let _ = store_problem(&failure);
            xml(&[])
        }
    }
}

/// The answers that go into a response: all that is queued for the chat, once the message is handled or it took too long. A call
/// that comes again did not get its response, so it is given the same once more.
async fn answers(deps: &Deps, public_url: &str, id: String, address: String) -> Result<Vec<String>, Error> {
    let handled = async {
        while deps.store.is_waiting(Channel::Sms, id.clone()).await? {
            tokio::time::sleep(RESPONSE_LOOK).await;
        }
        Ok::<(), Error>(())
    };
    if let Ok(failed) = tokio::time::timeout(RESPONSE_WAIT, handled).await {
        failed?;
    }
    let chat = deps.store.chat_at(Channel::Sms, address).await?;
    let Some(chat) = chat.filter(|chat| !chat.silenced) else {
        return Ok(Vec::new());
    };
    let now = deps.clock.now();
    let until = Timestamp::from_unix_seconds(now.unix_seconds() + RESPONSE_LEASE_S).unwrap_or(now);
    let mut messages = Vec::new();
    let mut letters = deps.store.letters_given(chat.id, id.clone()).await?;
    letters.extend(deps.store.letters_of(chat.id, now, until).await?);
    for letter in letters {
        let mut reply = letter.reply.clone();
        link_files(
            &deps.store,
            (&*deps.clock, &*deps.ids),
            public_url,
            letter.account,
            &mut reply,
        )
        .await?;
        for piece in pieces(Channel::Sms, &reply, letter.id) {
            if let Piece::Text { text, .. } = piece {
                messages.push(text);
            }
        }
        deps.store.note_piece(letter.id, Some(id.clone()), until).await?;
        deps.store.note_carried(letter.id, Carried::Sent, now).await?;
    }
    if !messages.is_empty() {
        deps.store.channel_sent(Channel::Sms, now).await?;
    }
    Ok(messages)
}

async fn take_sms_report(State(deps): State<Deps>, request: Request) -> Response {
    let Some(line) = deps.lines.sms.clone() else {
        return nothing_here();
    };
    let (parts, body) = match raw(request, sms::BODY_BYTES_MAX).await {
        Ok(parts) => parts,
        Err(refusal) => return refusal,
    };
    let Ok(form) = line.verify(&path_of(&parts), &parts.headers, &body) else {
        return unsigned(&deps, Channel::Sms, &parts.headers, sms::SIGNATURE_HEADER).await;
    };
    if let Ok(report) = line.read_report(&form)
        && let Some(failure) = report.failure
    {
        let now = deps.clock.now();
        let noted = deps
            .store
            .note_report(Channel::Sms, report.outside_id, failure, report.opted_out, now)
            .await;
        if let Err(failure) = noted {
            let _ = store_problem(&failure);
            return again();
        }
    }
    StatusCode::NO_CONTENT.into_response()
}

async fn shake_whatsapp(State(deps): State<Deps>, request: Request) -> Response {
    let query = request.uri().query().unwrap_or_default();
    let Some(line) = deps.lines.whatsapp.as_ref() else {
        return self::line(StatusCode::FORBIDDEN, "nothing here");
    };
    match line.shake_hands(query) {
        Ok(challenge) => ([(header::CONTENT_TYPE, "text/plain")], challenge).into_response(),
        Err(_) => {
            if query.contains("hub.verify_token=") {
                let why = "the webhook was to be set up with another word than whatsapp_verify_token";
                note_refusal(&deps, Channel::Whatsapp, why).await;
            }
            self::line(StatusCode::FORBIDDEN, "nothing here")
        }
    }
}

async fn take_whatsapp(State(deps): State<Deps>, request: Request) -> Response {
    let Some(line) = deps.lines.whatsapp.clone() else {
        return nothing_here();
    };
    let (parts, body) = match raw(request, whatsapp::BODY_BYTES_MAX).await {
        Ok(parts) => parts,
        Err(refusal) => return refusal,
    };
    if line.verify(&parts.headers, &body).is_err() {
        return unsigned(&deps, Channel::Whatsapp, &parts.headers, whatsapp::SIGNATURE_HEADER).await;
    }
    let batch = match line.read(&body) {
        Ok(batch) => batch,
        Err(failure) => {
            note_refusal(&deps, Channel::Whatsapp, &format!("a call makes no sense: {failure}")).await;
            return StatusCode::OK.into_response();
        }
    };
    let now = deps.clock.now();
    for status in batch.failed {
        let noted = deps
            .store
            .note_report(Channel::Whatsapp, status.outside_id, status.failure, false, now)
            .await;
        if let Err(failure) = noted {
            let _ = store_problem(&failure);
            return again();
        }
    }
    match keep(&deps, Channel::Whatsapp, batch.incoming).await {
        Ok(()) => StatusCode::OK.into_response(),
        Err(refusal) => refusal,
    }
}

async fn take_gateway(State(deps): State<Deps>, request: Request) -> Response {
    let Some(line) = deps.lines.gateway.clone() else {
        return nothing_here();
    };
    let (parts, body) = match raw(request, gateway::BODY_BYTES_MAX).await {
        Ok(parts) => parts,
        Err(refusal) => return refusal,
    };
    let query = parts.uri.query().unwrap_or_default();
    let message = match line.read(query, &String::from_utf8_lossy(&body)) {
        Ok(message) => message,
        Err(gateway::Error::Key) => {
            if query.contains("key=") {
                note_refusal(&deps, Channel::Gateway, "a call came with another key than gateway_key").await;
            }
            return nothing_here();
        }
        Err(gateway::Error::NotAMessage) => {
            let why =
                "a call came without from or id: its get-url has to be the one that `channels test gateway` prints";
            note_refusal(&deps, Channel::Gateway, why).await;
            return StatusCode::OK.into_response();
        }
    };
    // The body of the answer would go to the phone, so there is none.
    match keep(&deps, Channel::Gateway, vec![message]).await {
        Ok(()) => StatusCode::OK.into_response(),
        Err(refusal) => refusal,
    }
}
