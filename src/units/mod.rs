//! Values with units, and only the arithmetic that makes sense.
//!
//! A number with a unit never travels as a bare number: each unit is a type of its own, with a private field and a
//! constructor that checks the range. Nothing here knows messages, prices of services, or the book.

mod ids;
mod timestamp;

pub use ids::{AccountId, InboundId, MemberId, QuoteNo};
pub use timestamp::Timestamp;
