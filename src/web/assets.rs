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
    Router::new().route("/assets/{name}", get(give))
}

async fn give(Path(name): Path<String>) -> Response {
    match pages::asset(&name) {
        Some(asset) => (
            [
                (header::CONTENT_TYPE, asset.kind),
                (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
            ],
            asset.body,
        )
            .into_response(),
        None => status::nothing_here().await,
    }
}
