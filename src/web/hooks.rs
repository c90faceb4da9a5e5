//! `POST /hooks/signed`: another program speaks, and gets the answer as JSON.
//!
//! The signature is checked on the bytes as they came, before anything is read out of them. A second delivery of an id
//! gets the first answer again, whatever its bytes; it is counted once.

use axum::{
    Router,
    extract::{FromRequest, Request, State},
    http::{StatusCode, header},
    response::{IntoResponse, Response},
    routing::post,
};

use super::{
    Deps, attend, body,
    status::{line, signed_failure, signed_problem, too_fast},
};
use crate::{
    channels::signed,
    store::{Answered, Delivery, Error},
    units::MemberId,
};

const CHANNEL: &str = "signed";

pub(super) fn router() -> Router<Deps> {
    Router::new().route("/hooks/signed", post(take))
}

/// A call whose signature held; what its body says is not looked at yet.
struct SignedCall {
    id: String,
    body: axum::body::Bytes,
}

impl FromRequest<Deps> for SignedCall {
    type Rejection = Response;

    async fn from_request(request: Request, deps: &Deps) -> Result<Self, Response> {
        if deps.signed_secrets.is_empty() {
            return Err(line(
                StatusCode::NOT_FOUND,
                "the signed webhook is switched off; set TALLYHAND_SIGNED_SECRET",
            ));
        }
        let (parts, raw) = request.into_parts();
        let body = body::read(raw, signed::BODY_BYTES_MAX)
            .await
            .map_err(|refused| match refused {
                body::Refused::TooLarge => line(
                    StatusCode::PAYLOAD_TOO_LARGE,
                    &format!("the body is too large; {} bytes fit", signed::BODY_BYTES_MAX),
                ),
                body::Refused::Broken => line(StatusCode::BAD_REQUEST, "the body broke off; send it again"),
            })?;
        let id = signed::verify(&parts.headers, &body, &deps.signed_secrets, deps.clock.now())
            .map_err(|refused| signed_problem(&refused))?;
        Ok(SignedCall { id, body })
    }
}

async fn take(State(deps): State<Deps>, call: SignedCall) -> Response {
    let said = match signed::read(&call.body) {
        Ok(said) => said,
        Err(refused) => return first_answer_or(&deps, call.id, signed_problem(&refused)).await,
    };
    let member = match speaker(&deps, said.from).await {
        Ok(member) => member,
        Err(failure) => return first_answer_or(&deps, call.id, signed_failure(&failure)).await,
    };
    if let Err(wait_s) = deps.watch.admit(member, deps.clock.monotonic()) {
        return first_answer_or(&deps, call.id, too_fast(wait_s)).await;
    }
    let delivery = Delivery {
        account: deps.account,
        member,
        id: deps.ids.inbound(),
        channel: CHANNEL.to_string(),
        external_id: call.id,
        text: said.text,
        heard: None,
        answer_to: None,
        media: Vec::new(),
        sent_at: said.sent_at,
        at: deps.clock.now(),
    };
    let delivery = match attend(&deps.store, &deps.recogniser, delivery).await {
        Ok(delivery) => delivery,
        Err(failure) => return signed_failure(&failure),
    };
    deps.store
        .take(delivery)
        .await
        .map_or_else(|failure| signed_failure(&failure), answer)
}

async fn speaker(deps: &Deps, from: Option<String>) -> Result<MemberId, Error> {
    match from {
        None => Ok(deps.owner),
        Some(name) => Ok(deps.store.member(deps.account, name).await?.id),
    }
}

/// A body that says nothing, under an id that was answered before, is a second delivery gone wrong: same answer.
async fn first_answer_or(deps: &Deps, id: String, refusal: Response) -> Response {
    match deps.store.first_answer(deps.account, CHANNEL, id).await {
        Ok(Some(first)) => answer(first),
        Ok(None) => refusal,
        Err(failure) => signed_failure(&failure),
    }
}

fn answer(answered: Answered) -> Response {
    ([(header::CONTENT_TYPE, "application/json")], answered.json).into_response()
}
