//! The calendar that a phone subscribes to: one address for each member, which nobody can guess and its owner can shut.

use axum::{
    Router,
    extract::{FromRequestParts, Path, Request, State},
    http::{StatusCode, header},
    response::{IntoResponse, Response},
    routing::get,
};

use super::{
    Deps,
    guess::Caller,
    status::{Problem, problem_page, store_problem},
};
use crate::{
    conversation::calendar_hash,
    exports::{self, Prices},
};

pub(super) fn router() -> Router<Deps> {
    Router::new().route("/calendar/{file}", get(show))
}

async fn show(State(deps): State<Deps>, Path(file): Path<String>, request: Request) -> Response {
    let (mut parts, _) = request.into_parts();
    let Ok(caller) = Caller::from_request_parts(&mut parts, &deps).await;
    let now = deps.clock.now();
    let token = file.strip_suffix(".ics").unwrap_or(&file);
    match look_up(&deps, token).await {
        Ok(Some(text)) => {
            let kind = (header::CONTENT_TYPE, "text/calendar; charset=utf-8");
            (StatusCode::OK, [kind], text).into_response()
        }
        Ok(None) if deps.guesses.allows(caller, now) => {
            deps.guesses.miss(caller, now);
            problem_page(Problem::NotFound)
        }
        Ok(None) => problem_page(Problem::TooManyTries),
        Err(failure) => store_problem(&failure).into_response(),
    }
}

async fn look_up(deps: &Deps, token: &str) -> Result<Option<String>, crate::store::Error> {
    let hash = calendar_hash(token);
    let Some(account) = deps.store.of_calendar(hash.clone()).await? else {
        return Ok(None);
    };
    let state = deps.store.state(account).await?;
    let Some(member) = state.book().member_of_calendar(&hash) else {
        return Ok(None);
    };
    let members = deps.store.members(account).await?;
    let Some(reader) = members.iter().find(|known| known.id == member) else {
        return Ok(None);
    };
    let sees = reader.owner || state.book().shows_prices_to(&reader.name);
    let prices = if sees { Prices::Shown } else { Prices::Hidden };
    let owner = format!("book-{}.tallyhand", account.get());
    Ok(Some(exports::calendar(&state, &owner, prices, deps.clock.now())))
}
