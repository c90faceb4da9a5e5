//! What did the provider's request say, and is it really from there?
//!
//! One file for each way in. A channel turns request bytes into plain values and plain values into a request: it holds
//! signatures, formats and limits, and knows nothing of prices, books or sockets. Time is an argument.
//!
//! Invariants: nothing is read out of a body before its signature held; secrets are compared in constant time and never
//! printed; every size has a limit with a name.

mod media;
pub mod signed;
mod text;

pub use media::{media_of, media_type_of};
pub use text::{MESSAGE_BYTES_MAX, TextRefused, accept_text};
