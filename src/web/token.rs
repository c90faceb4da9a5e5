//! Secrets that a person carries: one-time links, sessions, and the token that ties a form to its session.
//!
//! All are 256 random bits in hexadecimal, and only their SHA-256 goes into the book. A plain hash will do where a
//! password would need a slow one: there is nothing to guess from.

use sha2::{Digest, Sha256};
use subtle::ConstantTimeEq;

use super::Deps;
use crate::{
    store::{Error, SecretHash},
    units::{MemberId, Timestamp},
};

/// How long a sign-in link is good, in seconds.
pub const LINK_GOOD_S: i64 = 24 * 3600;

/// How long a session is good, in seconds.
pub(super) const SESSION_GOOD_S: i64 = 180 * 24 * 3600;

/// A secret in clear; it is given to a person and forgotten.
pub(super) struct Token(String);

impl Token {
    pub(super) fn fresh(deps: &Deps) -> Token {
        Token(hex(&deps.ids.secret()))
    }

    /// A token of bits that were made elsewhere.
    pub(super) fn of(secret: &[u8; 32]) -> Token {
        Token(hex(secret))
    }

    pub(super) fn given(text: &str) -> Token {
        Token(text.to_string())
    }

    pub(super) fn as_str(&self) -> &str {
        &self.0
    }

    /// Whether it has all its 256 bits; a code has fewer.
    pub(super) fn is_whole(&self) -> bool {
        self.0.len() == 64
    }

    /// What the book keeps of it.
    pub(super) fn hash(&self) -> SecretHash {
        SecretHash::of(&self.0)
    }

    /// The token that a form of this session has to carry.
    pub(super) fn form_token(&self) -> String {
        digest("form", &self.0)
    }

    /// Whether a form carries this session's token; in constant time.
    pub(super) fn allows(&self, form_token: &str) -> bool {
        self.form_token().as_bytes().ct_eq(form_token.as_bytes()).into()
    }
}

/// The outside id of a message from a page: the form's key and what was written. The same form sent twice is one
/// message; a form that a browser brought back and something else was written in is another.
pub(super) fn message_key(form_key: &str, text: &str) -> String {
    digest("message", &format!("{form_key}\n{text}"))
}

/// A name for content: the same bytes have the same one.
pub(super) fn content_key(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

fn digest(purpose: &str, text: &str) -> String {
    hex(&Sha256::digest(format!("tallyhand {purpose} {text}").as_bytes()))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Makes a one-time sign-in link for a member and gives its path on this server.
pub async fn new_link(deps: &Deps, member: MemberId) -> Result<String, Error> {
    let (token, now) = (Token::fresh(deps), deps.clock.now());
    deps.store
        .add_link(token.hash(), member, now, later(now, LINK_GOOD_S))
        .await?;
    Ok(format!("/in/{}", token.as_str()))
}

/// A time some seconds after another.
pub(super) fn later(now: Timestamp, seconds: i64) -> Timestamp {
    Timestamp::from_unix_seconds(now.unix_seconds() + seconds).unwrap_or(now)
}
