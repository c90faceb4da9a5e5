//! What is in the book, and how did it get there?
//!
//! The book is a log of facts. An [`Event`] says what was said, decided or shown; [`State`] is what the events add up to,
//! and [`replay`] folds a whole log. Messages that were taken back count as never said, at any depth. [`encode`] and
//! [`decode`] are the stored form; [`State::rows`] is the state as rows, byte for byte the same for the same log.
//!
//! Nothing here fails on a fact, whatever it says, asks a clock, or knows how a message is read or answered.

#![deny(clippy::float_arithmetic)]

mod book;
mod cards;
mod clock;
mod course;
pub mod data;
mod day;
mod diary;
mod error;
mod event;
#[cfg(test)]
mod histories;
mod index;
mod learning;
mod names;
mod price_list;
mod question;
mod quotes;
mod readers;
mod report;
mod rows;
mod settings;
mod shares;
mod starter;
mod state;
mod stored;
mod talk;

pub use book::{Book, Place};
pub use cards::{Card, Search};
pub use clock::{Clock, Mark, Stretch, Told};
pub use course::{CoursePoint, TimedFrom};
pub use error::Error;
pub use event::{DoneLine, Event, JobFinished, Recorded};
pub use index::Within;
pub use learning::{FinishReason, Learned, LearningTrend, Likely, Odd, SharedLine};
pub use price_list::{Class, Service, ServiceSet};
pub use question::{Fill, Hole, Item, OpenQuestion, Pending, Settled, Slot};
pub use quotes::{
    Client, ClientLink, ClientOffer, ClientWords, Finish, LineWorth, Loss, Payment, QuoteEntry, Status, Worth,
};
pub use readers::CalendarLink;
pub use report::{Level, Period, Report, Slice, Sums, WinShare};
pub use rows::{ProjectionRow, RowChange};
pub use settings::{Equipment, SettingSet, Settings};
pub use state::{State, Step, replay};
pub use stored::{decode, encode};
pub use talk::{GuideTalk, Talk, WhatIf};
