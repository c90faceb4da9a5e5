//! Tallyhand: a field hand that lives in a yard-care owner's messages.
//!
//! A message goes one way through the house: `channels` turn bytes into an inbound message, `language` turns its text
//! into meanings, `conversation` turns meanings and the book's state into events and an answer, `store` commits both at
//! once, `replies` and `pages` put the answer into words. A part may use only parts on floors below its own:
//!
//! | floor | parts |
//! |---|---|
//! | 0 | `units` |
//! | 1 | `guide`, `language`, `pricing`, `timing` |
//! | 2 | `journal` |
//! | 3 | `conversation` |
//! | 4 | `replies`, `exports`, `pages`, `channels` |
//! | 5 | `store`, `speech` |
//! | 6 | `web` |
//! | 7 | `runtime` |
//!
//! Floors 0 to 4 are pure: same input, same output, no clock, no disk, no waiting. Money never touches a float.

pub mod units;

pub mod guide;
pub mod language;
pub mod pricing;
pub mod timing;

pub mod journal;

pub mod conversation;

pub mod exports;
pub mod replies;

pub mod channels;
pub mod pages;

pub mod speech;
pub mod store;

pub mod web;

pub mod runtime;
