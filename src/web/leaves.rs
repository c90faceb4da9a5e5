//! The book, the times and the week: pages to look at. Nothing is changed by opening one.

use axum::{
    Router,
    extract::{Path, Query, State},
    response::{Html, IntoResponse, Response},
    routing::get,
};
use serde::Deserialize;

use super::{
    Deps, chat,
    session::SignedIn,
    status::{Problem, problem_page, store_problem},
};
use crate::{
    conversation::{self, Picture},
    exports, journal,
    pages::{BookAsked, BookPage, JobPage, Sees, TimesPage, WeekPage},
    store::Error,
    units::QuoteNo,
};

/// Messages of one job that are shown.
const TALK_MAX: u32 = 200;

pub(super) fn router() -> Router<Deps> {
    Router::new()
        .route("/book", get(book))
        .route("/book/{no}", get(job))
        .route("/times", get(times))
        .route("/week", get(week))
}

#[derive(Deserialize)]
struct Asked {
    season: Option<String>,
    q: Option<String>,
    show: Option<String>,
    before: Option<u32>,
}

async fn book(State(deps): State<Deps>, person: SignedIn, Query(asked): Query<Asked>) -> Response {
    let asked = BookAsked {
        season: asked.season,
        words: asked.q.unwrap_or_default().chars().take(100).collect(),
        show: asked.show,
        before: asked.before,
    };
    page(&deps, &person, |state, sees, zone| {
        BookPage::of(state.book(), &asked, sees, zone, deps.clock.now()).html()
    })
    .await
}

/// Which class is drawn over time; without one, that which was measured last.
#[derive(Deserialize)]
struct Drawn {
    kind: Option<String>,
    size: Option<String>,
}

async fn times(State(deps): State<Deps>, person: SignedIn, Query(asked): Query<Drawn>) -> Response {
    page(&deps, &person, |state, _, zone| {
        let times = conversation::times_of(state.book());
        let asked = match asked.kind {
            Some(kind) => Some((kind, asked.size)),
            None => conversation::measured_last(state.book()),
        };
        let picture =
            asked.and_then(|(kind, size)| conversation::minutes_picture(state.book(), &kind, size.as_deref(), zone));
        let svg = picture.map(|shown| {
            let (service, size) = (shown.service.clone(), shown.size.clone());
            (service, size, exports::picture::svg(&Picture::Minutes(Box::new(shown))))
        });
        let drawn = svg
            .as_ref()
            .map(|(service, size, svg)| (service.as_str(), size.as_deref(), svg.clone()));
        TimesPage::of(&times, drawn).html()
    })
    .await
}

#[derive(Deserialize)]
struct From {
    from: Option<String>,
}

async fn week(State(deps): State<Deps>, person: SignedIn, Query(asked): Query<From>) -> Response {
    page(&deps, &person, |state, sees, zone| {
        WeekPage::of(state.book(), asked.from.as_deref(), sees, zone, deps.clock.now()).html()
    })
    .await
}

/// A page made of the book as it stands.
async fn page(
    deps: &Deps,
    person: &SignedIn,
    make: impl FnOnce(&journal::State, Sees, chrono_tz::Tz) -> String,
) -> Response {
    match deps.store.state(person.member.account).await {
        Ok(state) => {
            let zone = state.book().settings().zone().unwrap_or(deps.zone);
            Html(make(&state, sees(&state, person), zone)).into_response()
        }
        Err(failure) => store_problem(&failure).into_response(),
    }
}

/// What of the book a person may see: prices are the owner's, and whose the owner shows them to.
fn sees(state: &journal::State, person: &SignedIn) -> Sees {
    if person.member.owner || state.book().shows_prices_to(&person.member.name) {
        Sees::Everything
    } else {
        Sees::NoPrices
    }
}

async fn job(State(deps): State<Deps>, person: SignedIn, Path(no): Path<u32>) -> Response {
    match job_page(&deps, &person, no).await {
        Ok(Some(page)) => Html(page.html()).into_response(),
        Ok(None) => problem_page(Problem::NotFound),
        Err(failure) => store_problem(&failure).into_response(),
    }
}

async fn job_page(deps: &Deps, person: &SignedIn, no: u32) -> Result<Option<JobPage>, Error> {
    let account = person.member.account;
    let state = deps.store.state(account).await?;
    if state.book().quote(QuoteNo::new(no)).is_none() {
        return Ok(None);
    }
    let talk = deps.store.talk_of_quote(account, QuoteNo::new(no), TALK_MAX).await?;
    let zone = state.book().settings().zone().unwrap_or(deps.zone);
    let talk = talk.iter().map(chat::entry).collect();
    Ok(JobPage::of(
        state.book(),
        no,
        talk,
        sees(&state, person),
        zone,
        deps.clock.now(),
    ))
}
