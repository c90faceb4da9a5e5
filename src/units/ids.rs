//! Which account, member, message or quote is meant.
//!
//! Numbers that name things are types of their own, so that a member's number cannot be handed over as an account's.
//! They are made at the edges (the store, the channels) and only carried here.

use std::fmt;

/// A business: its book is seen by nobody else.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct AccountId(i64);

/// A person who speaks for an account.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct MemberId(i64);

/// Where a person writes from and is answered, by one messenger.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ChatId(i64);

/// One message that came in: the cause of every fact that it led to.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct InboundId(String);

/// A file kept with the book: a photo that came with a message, a picture or table that went out with an answer.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FileId(String);

/// The number of a quote within its account, from 1; its job has the same number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct QuoteNo(u32);

impl AccountId {
    /// The account with this number.
    pub fn new(id: i64) -> Self {
        AccountId(id)
    }

    /// Its number.
    pub fn get(self) -> i64 {
        self.0
    }
}

impl ChatId {
    /// The chat with this number.
    pub fn new(id: i64) -> Self {
        ChatId(id)
    }

    /// Its number.
    pub fn get(self) -> i64 {
        self.0
    }
}

impl MemberId {
    /// The member with this number.
    pub fn new(id: i64) -> Self {
        MemberId(id)
    }

    /// Its number.
    pub fn get(self) -> i64 {
        self.0
    }
}

impl InboundId {
    /// The message with this id.
    pub fn new(id: impl Into<String>) -> Self {
        InboundId(id.into())
    }

    /// The id as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl FileId {
    /// The file with this id.
    pub fn new(id: impl Into<String>) -> Self {
        FileId(id.into())
    }

    /// The file that came in with a message, by its place among them from 1.
    pub fn incoming(message: &InboundId, place: usize) -> Self {
        FileId(format!("{message}_in{place}"))
    }

    /// The file that goes out with the answer to a message, by its place among them from 1.
    pub fn outgoing(message: &InboundId, place: usize) -> Self {
        FileId(format!("{message}_out{place}"))
    }

    /// The id as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl QuoteNo {
    /// The quote with this number.
    pub fn new(no: u32) -> Self {
        QuoteNo(no)
    }

    /// Its number.
    pub fn get(self) -> u32 {
        self.0
    }
}

impl fmt::Display for InboundId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl fmt::Display for FileId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl fmt::Display for QuoteNo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}
