//! Is the house alive, is it ready, and what are its numbers?
//!
//! `/health/live` answers as long as anything does; `/health/ready` (and `/health`) only when the book can be written and
//! read. Both say one word and nothing of what is inside. `/metrics` is for who may read it; to others it is not there.

use std::time::Duration;

use axum::{
    Router,
    extract::{Request, State},
    http::{HeaderMap, StatusCode, header},
    middleware::Next,
    response::{IntoResponse, Response},
    routing::get,
};

use super::{
    Deps,
    status::{Problem, line, problem_page},
    watch::MetricsFor,
};

/// How long the book may take to answer before the house counts as not ready.
const READY_WAIT: Duration = Duration::from_secs(2);

/// What the numbers are, for who reads them.
const OPEN_METRICS: &str = "application/openmetrics-text; version=1.0.0; charset=utf-8";

pub(super) fn router() -> Router<Deps> {
    Router::new()
        .route("/health", get(ready))
        .route("/health/ready", get(ready))
        .route("/health/live", get(live))
        .route("/metrics", get(metrics))
}

async fn live() -> Response {
    line(StatusCode::OK, "live")
}

async fn ready(State(deps): State<Deps>) -> Response {
    match tokio::time::timeout(READY_WAIT, deps.store.ready()).await {
        Ok(Ok(())) => line(StatusCode::OK, "ready"),
        Ok(Err(failure)) => {
            tracing::error!(error = &failure as &dyn std::error::Error, "the book is not ready");
            line(StatusCode::SERVICE_UNAVAILABLE, "not ready")
        }
        Err(_) => line(StatusCode::SERVICE_UNAVAILABLE, "not ready"),
    }
}

async fn metrics(State(deps): State<Deps>, headers: HeaderMap) -> Response {
    if may_read(deps.watch.metrics_for(), &headers) {
        ([(header::CONTENT_TYPE, OPEN_METRICS)], deps.watch.numbers(&deps.store)).into_response()
    } else {
        problem_page(Problem::NotFound)
    }
}

fn may_read(metrics_for: &MetricsFor, headers: &HeaderMap) -> bool {
    match metrics_for {
        MetricsFor::Nobody => false,
        MetricsFor::ThisMachine => true,
        MetricsFor::Token(token) => headers
            .get(header::AUTHORIZATION)
            .and_then(|value| value.to_str().ok()?.strip_prefix("Bearer "))
            .is_some_and(|given| token.is(given.trim())),
    }
}

/// Counts and logs every request: method, route, status and time, never a path (it may hold a secret), a name or a word.
pub(super) async fn watch(State(deps): State<Deps>, request: Request, next: Next) -> Response {
    let began = deps.clock.monotonic();
    let method = request.method().as_str().to_string();
    let route = request
        .extensions()
        .get::<axum::extract::MatchedPath>()
        .map_or("none", |path| path.as_str())
        .to_string();
    let response = if matches!(
        route.as_str(),
        "/health" | "/health/live" | "/health/ready" | "/metrics"
    ) {
        next.run(request).await
    } else {
        match deps.watch.place() {
            Some(_place) => next.run(request).await,
            None => problem_page(Problem::Busy),
        }
    };
    let (status, took) = (response.status().as_u16(), deps.clock.monotonic().saturating_sub(began));
    deps.watch.asked(&method, &route, status, took);
    tracing::info!(
        method,
        route,
        status,
        milliseconds = u64::try_from(took.as_millis()).unwrap_or(u64::MAX),
        "request"
    );
    response
}
