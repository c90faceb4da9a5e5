//! Style, script and icon: embedded, named by their content, kept by the browser for good.

use axum::{
    Router,
    extract::Path,
    http::header,
    response::{IntoResponse, Response},
    routing::get,
};

use super::{Deps, status};
use crate::pages;

pub(super) fn router() -> Router<Deps> {
    Router::new()
        .route("/assets/{name}", get(give))
        .route(
            "/manifest.webmanifest",
            get(|| async { fixed("manifest.webmanifest").await }),
        )
        .route("/sw.js", get(|| async { fixed("sw.js").await }))
}

async fn give(Path(name): Path<String>) -> Response {
    match pages::asset(&name) {
        Some(asset) => (
            [
                (header::CONTENT_TYPE, asset.kind),
                (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
            ],
            asset.body.as_ref(),
        )
            .into_response(),
        None => status::nothing_here().await,
    }
}

/// The manifest or the worker: the same address for ever, so a browser asks again.
async fn fixed(name: &str) -> Response {
    match pages::fixed_asset(name) {
        Some(asset) => (
            [(header::CONTENT_TYPE, asset.kind), (header::CACHE_CONTROL, "no-cache")],
            asset.body.as_ref(),
        )
            .into_response(),
        None => status::nothing_here().await,
    }
}
