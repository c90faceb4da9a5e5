//! What does the house answer over HTTP?
//!
//! [`app`] gives the whole router without binding a port, so that tests call what production serves. Each module exports
//! its own `router()`; handlers extract, call the store, render a page. Sizes, signatures and sessions are settled by
//! extractors before a handler runs.
//!
//! Invariants: whoever has no session and no valid signature learns nothing, not even whether a thing exists. No page
//! loads anything from elsewhere, runs inline script, or is kept in a cache. Only this part names axum.

mod assets;
mod body;
mod calendar;
mod chat;
mod client;
mod deps;
mod door;
mod files;
mod guess;
mod headers;
mod health;
mod hooks;
mod leaves;
mod listening;
mod live;
mod messengers;
mod say;
mod session;
mod settings;
mod status;
mod token;
mod watch;

use std::net::SocketAddr;

use axum::{Extension, Router, middleware};
use tokio::{net::TcpListener, sync};

pub use deps::{Clock, Deps, Ids};
pub use files::{FILE_LINK_GOOD_S, link_files, new_file_link};
pub use guess::Guesses;
pub use listening::{attend, hear};
pub use live::Listeners;
pub use token::{LINK_GOOD_S, new_link};
pub use watch::{MetricsFor, Watch};

/// Everything that is served.
pub fn app(deps: Deps) -> Router {
    Router::new()
        .merge(chat::router())
        .merge(calendar::router())
        .merge(client::router())
        .merge(door::router())
        .merge(hooks::router())
        .merge(messengers::router())
        .merge(leaves::router())
        .merge(live::router())
        .merge(settings::router())
        .merge(say::router())
        .merge(files::router())
        .merge(assets::router())
        .merge(health::router())
        .fallback(status::nothing_here)
        .layer(middleware::from_fn_with_state(deps.clone(), health::watch))
        .layer(middleware::map_response(headers::guard))
        .with_state(deps)
}

/// Serves until `stop` is done, then finishes what has begun.
pub async fn serve(
    listener: TcpListener,
    deps: Deps,
    stop: impl Future<Output = ()> + Send + 'static,
) -> std::io::Result<()> {
    let (close, closing) = sync::watch::channel(false);
    let app = app(deps).layer(Extension(live::Closing(closing)));
    let stop = async move {
        stop.await;
        // Fails when nobody listens, and then there is nobody to tell.
        let _ = close.send(true);
    };
    axum::serve(listener, app.into_make_service_with_connect_info::<SocketAddr>())
        .with_graceful_shutdown(stop)
        .await
}
