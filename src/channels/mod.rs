//! What did the provider's request say, and is it really from there?
//!
//! One file for each way in. A channel turns request bytes into plain values and plain values into a request: it holds
//! signatures, formats and limits, and knows nothing of prices, books or sockets. Time is an argument. What all messengers
//! share is here too: an [`Incoming`] message, a [`Request`] to a provider and what its answer means, an answer fitted
//! to what a messenger can show, and how long to wait between tries.
//!
//! Invariants: nothing is read out of a body before its signature held; secrets are compared in constant time and never
//! printed; every size has a limit with a name.

pub mod backoff;
mod code;
pub mod fit;
pub mod gateway;
pub mod gsm;
mod incoming;
mod lines;
mod marks;
pub mod matrix;
mod media;
mod request;
mod secret;
pub mod signed;
pub mod sms;
pub mod telegram;
mod text;
pub mod whatsapp;
mod wish;

pub use code::{CODE_GOOD_S, CODE_TRIES_MAX, Code};
pub use fit::{Piece, Reply, Tap};
pub use incoming::{
    Channel, Incoming, MEDIA_BYTES_MAX, MEDIA_MAX, MediaRef, SENT_AGE_S_MAX, Saying, kind_code, kind_of_type,
    parse_kind, said_at,
};
pub use lines::{Fetching, Line, Lines, MediaHost, Sending, Unsent};
pub use media::{media_of, media_type_of};
pub use request::{Body, Part, Request, Response, Verdict, WHEN_THEY_WRITE};
pub use secret::Hidden;
pub use text::{MESSAGE_BYTES_MAX, TextRefused, accept_text};
pub use wish::{SILENCED, Wish};
