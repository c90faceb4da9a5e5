//! Answers in words, and as data.
//!
//! The only place where an answer gets its sentences; everything that decides is done when it comes here. [`text`] is
//! what a person reads, [`json`] the same answer for a program, by the contract's field names: decimals are strings, what
//! does not apply is not there.

mod english;
mod json;
mod season;

use serde_json::Value;

pub use english::ClientWords;

use crate::{
    conversation::{Answer, ClientQuote, ForgottenShown, MediaKind},
    units::{InboundId, Timestamp},
};

/// The answer as a person reads it: plain ASCII apart from the account's own words, lines short enough for a phone.
pub fn text(answer: &Answer) -> String {
    english::answer(answer)
}

/// A file that goes with an answer, made and kept already.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AttachedFile {
    /// Its media type.
    pub media_type: String,
    /// Its file name.
    pub name: String,
    /// Where it can be fetched.
    pub path: String,
}

/// The answer as one JSON object, with the message that it answers, when that came, and the files that were made of the
/// answer's attachments.
pub fn json(answer: &Answer, id: &InboundId, at: Timestamp, files: &[AttachedFile]) -> Value {
    json::answer(answer, id, at, files)
}

/// A client's quote in words, piece by piece.
pub fn client_words(quote: &ClientQuote) -> ClientWords {
    english::client_words(quote)
}

/// A client's quote as plain text, to be forwarded.
pub fn client_text(quote: &ClientQuote) -> String {
    english::client_text(quote)
}

/// What is said when handling a message failed inside.
pub fn failed_text() -> String {
    english::failed()
}

/// The same as one JSON object.
pub fn failed_json(id: &InboundId, at: Timestamp) -> Value {
    json::failed(id, at)
}

/// What is said to whoever sent a right code.
pub fn connected() -> String {
    english::connected()
}

/// What is asked of a clock that has run for too long.
pub fn forgotten(shown: &ForgottenShown) -> String {
    english::forgotten(shown)
}

/// What is said when answers are wanted again.
pub fn answers_again() -> String {
    english::answers_again()
}

/// The one answer to a wish for no more answers.
pub fn silenced() -> String {
    english::silenced()
}

/// What is said when an earlier message was edited.
pub fn edited() -> String {
    english::edited()
}

/// What is said when something came that is neither words nor anything that is kept.
pub fn cannot_take() -> String {
    english::cannot_take()
}

/// What is said when a text was too long; why, in words.
pub fn too_long(why: &str) -> String {
    english::too_long(why)
}

/// What is said when some of what was sent along could not be had, and the rest of the message is taken in.
pub fn not_all_fetched() -> String {
    english::not_all_fetched()
}

/// What is said when something sent along is too large.
pub fn too_large() -> String {
    english::too_large()
}

/// What is said when a button is pressed whose question is not the last one any more.
pub fn question_closed() -> String {
    english::question_closed()
}

/// What is said when something sent along could not be had.
pub fn not_fetched(kind: MediaKind) -> String {
    english::not_fetched(kind == MediaKind::Voice)
}
