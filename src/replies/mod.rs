//! Answers in words, and as data.
//!
//! The only place where an answer gets its sentences; everything that decides is done when it comes here. [`text`] is
//! what a person reads, [`json`] the same answer for a program, by the contract's field names: decimals are strings, what
//! does not apply is not there.

mod english;
mod json;

use serde_json::Value;

use crate::{
    conversation::Answer,
    units::{InboundId, Timestamp},
};

/// The answer as a person reads it: plain ASCII apart from the account's own words, lines short enough for a phone.
pub fn text(answer: &Answer) -> String {
    english::answer(answer)
}

/// The answer as one JSON object, with the message that it answers and when that came.
pub fn json(answer: &Answer, id: &InboundId, at: Timestamp) -> Value {
    json::answer(answer, id, at)
}

/// What is said when handling a message failed inside.
pub fn failed_text() -> String {
    english::failed()
}

/// The same as one JSON object.
pub fn failed_json(id: &InboundId, at: Timestamp) -> Value {
    json::failed(id, at)
}
