//! Files of the book: `/files/ID` for who is signed in, `/f/SECRET` for a messenger or a person who was sent the link.
//!
//! A file of another account is not there, exactly as one that never was. What a browser could run is handed over to be
//! saved, never shown.

use axum::{
    Router,
    extract::{Path, State},
    http::{HeaderValue, header},
    response::{IntoResponse, Response},
    routing::get,
};

use super::{
    Clock, Deps, Ids,
    session::SignedIn,
    status::{Problem, problem_page, store_problem},
    token::{Token, later},
};
use crate::{
    channels::Reply,
    store::{Error, File, StoreHandle},
    units::{AccountId, FileId},
};

/// How long a link to a file is good, in seconds.
pub const FILE_LINK_GOOD_S: i64 = 30 * 24 * 3600;

/// Media types that are shown in place, beside all that is sound alone.
const SHOWN: [&str; 4] = ["image/png", "image/jpeg", "image/webp", "image/gif"];

pub(super) fn router() -> Router<Deps> {
    Router::new()
        .route("/files/{id}", get(own))
        .route("/f/{secret}", get(linked))
}

async fn own(State(deps): State<Deps>, person: SignedIn, Path(id): Path<String>) -> Response {
    given(deps.store.file(person.member.account, FileId::new(id)).await)
}

async fn linked(State(deps): State<Deps>, Path(secret): Path<String>) -> Response {
    let hash = Token::given(&secret).hash();
    given(deps.store.file_of_link(hash, deps.clock.now()).await)
}

fn given(found: Result<Option<File>, Error>) -> Response {
    match found {
        Ok(Some(file)) => give(file),
        Ok(None) => problem_page(Problem::NotFound),
        Err(failure) => store_problem(&failure).into_response(),
    }
}

fn give(file: File) -> Response {
    let bare = file.media_type.split(';').next().unwrap_or_default().trim();
    let (kind, place) = match SHOWN.contains(&bare) || bare.starts_with("audio/") {
        true => (file.media_type.as_str(), "inline"),
        false if bare.starts_with("text/") || bare.starts_with("application/") => {
            (file.media_type.as_str(), "attachment")
        }
        false => ("application/octet-stream", "attachment"),
    };
    let kind = HeaderValue::from_str(kind).unwrap_or(HeaderValue::from_static("application/octet-stream"));
    let place = HeaderValue::from_str(&format!("{place}; filename=\"{}\"", plain_name(&file.name)))
        .unwrap_or(HeaderValue::from_static("attachment"));
    let keep = HeaderValue::from_static("private, max-age=31536000, immutable");
    let headers = [
        (header::CONTENT_TYPE, kind),
        (header::CONTENT_DISPOSITION, place),
        (header::CACHE_CONTROL, keep),
    ];
    (headers, file.bytes).into_response()
}

/// A name that fits between quotes in a header.
fn plain_name(name: &str) -> String {
    name.chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() || " .-_".contains(c) {
                c
            } else {
                '_'
            }
        })
        .collect()
}

/// Makes a link to a file that works without a session, and gives its path on this server; nothing when the account has
/// no such file.
pub async fn new_file_link(deps: &Deps, account: AccountId, id: FileId) -> Result<Option<String>, Error> {
    let (token, now) = (Token::fresh(deps), deps.clock.now());
    let until = later(now, FILE_LINK_GOOD_S);
    let added = deps.store.add_file_link(token.hash(), account, id, now, until).await?;
    Ok(added.then(|| format!("/f/{}", token.as_str())))
}

/// Gives each file of an answer a link, for a messenger that carries no files.
pub async fn link_files(
    store: &StoreHandle,
    (clock, ids): (&dyn Clock, &dyn Ids),
    public_url: &str,
    account: AccountId,
    reply: &mut Reply,
) -> Result<(), Error> {
    for file in &mut reply.files {
        let (token, now) = (Token::of(&ids.secret()), clock.now());
        let until = later(now, FILE_LINK_GOOD_S);
        let id = FileId::new(file.file.clone());
        if store.add_file_link(token.hash(), account, id, now, until).await? {
            file.link = Some(format!("{public_url}/f/{}", token.as_str()));
        }
    }
    Ok(())
}
