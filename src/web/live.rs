//! `GET /live`: tells a page that something new is in its account's book, so that several phones stay in step.
//!
//! Only the fact is sent, not what was said: the page asks for that itself, with its session. What another process writes
//! into the book is noticed by a look at the book every few seconds.

use std::{convert::Infallible, sync::Arc, time::Duration};

use axum::{
    Extension, Router,
    extract::State,
    http::{HeaderName, HeaderValue},
    response::{
        IntoResponse, Response,
        sse::{Event, KeepAlive, Sse},
    },
    routing::get,
};
use futures_util::stream;
use tokio::sync::{OwnedSemaphorePermit, Semaphore, broadcast, watch};

use super::{
    Deps,
    session::SignedIn,
    status::{Problem, problem_page},
};
use crate::store::Member;

/// Pages that may listen at once.
const LISTENERS_MAX: usize = 512;

/// How often the book is looked at for what another process wrote.
const LOOK_EVERY: Duration = Duration::from_secs(5);

/// How long a quiet line stays quiet.
const KEEP_ALIVE: Duration = Duration::from_secs(20);

/// Room for those who listen.
#[derive(Debug, Clone)]
pub struct Listeners(Arc<Semaphore>);

impl Default for Listeners {
    fn default() -> Self {
        Listeners(Arc::new(Semaphore::new(LISTENERS_MAX)))
    }
}

/// Set when the house closes: whoever listens is let go of, else the server would wait for them.
#[derive(Debug, Clone)]
pub(super) struct Closing(pub(super) watch::Receiver<bool>);

pub(super) fn router() -> Router<Deps> {
    Router::new().route("/live", get(listen))
}

struct Line {
    deps: Deps,
    member: Member,
    news: broadcast::Receiver<crate::units::AccountId>,
    closing: Option<watch::Receiver<bool>>,
    seen: Option<i64>,
    _room: OwnedSemaphorePermit,
}

async fn listen(State(deps): State<Deps>, person: SignedIn, closing: Option<Extension<Closing>>) -> Response {
    let Ok(room) = Arc::clone(&deps.listeners.0).try_acquire_owned() else {
        return problem_page(Problem::Busy);
    };
    let news = deps.store.news();
    let mut line = Line {
        member: person.member,
        news,
        closing: closing.map(|Extension(Closing(closing))| closing),
        seen: None,
        _room: room,
        deps,
    };
    line.seen = line.newest().await;
    // An event without data is not handed on by browsers.
    let said = stream::unfold(line, |mut line| async move {
        line.next().await.then_some((
            Ok::<Event, Infallible>(Event::default().event("said").data("new")),
            line,
        ))
    });
    let mut response = Sse::new(said)
        .keep_alive(KeepAlive::new().interval(KEEP_ALIVE))
        .into_response();
    // A server between here and the phone must not collect what is sent.
    let headers = response.headers_mut();
    headers.insert(
        HeaderName::from_static("x-accel-buffering"),
        HeaderValue::from_static("no"),
    );
    response
}

impl Line {
    /// Waits for something new; false when there will be none.
    async fn next(&mut self) -> bool {
        loop {
            let heard = tokio::select! {
                heard = self.news.recv() => match heard {
                    Ok(account) => account == self.member.account,
                    Err(broadcast::error::RecvError::Lagged(_)) => true,
                    Err(broadcast::error::RecvError::Closed) => return false,
                },
                () = tokio::time::sleep(LOOK_EVERY) => true,
                () = closed(&mut self.closing) => return false,
            };
            if !heard {
                continue;
            }
            let newest = self.newest().await;
            if newest != self.seen {
                self.seen = newest;
                return true;
            }
        }
    }

    async fn newest(&self) -> Option<i64> {
        self.deps.store.newest(self.member.account).await.ok().flatten()
    }
}

async fn closed(closing: &mut Option<watch::Receiver<bool>>) {
    match closing {
        // An error means that whoever would tell is gone, which is the same.
        Some(closing) => drop(closing.wait_for(|closing| *closing).await.map(|_| ())),
        None => std::future::pending().await,
    }
}
