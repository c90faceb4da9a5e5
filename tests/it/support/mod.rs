//! The harness: a house with a temporary book, a clock that the test moves, and ids that count.
//!
//! [`Yard`] talks to the same router that production serves, signed in through a real one-time link. Dropping it fails
//! the test when an answer was not looked at or when the book does not pass its own check.

mod binary;
mod provider;
pub(crate) mod spelled;
mod telegram;
mod yard;

pub(crate) use binary::{Output, Server, tallyhand, tallyhand_with};
pub(crate) use provider::{FakeProvider, Said, Seen, cut, said};
pub(crate) use telegram::{FakeTelegram, TOKEN};
pub(crate) use yard::{Given, SECRET, Yard, header_map, sign};
