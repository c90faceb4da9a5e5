//! Who reads the book for pages and exports?
//!
//! One thread with a connection that cannot write. It sees whole commits only, never a step half done, and never keeps
//! the writer waiting.

use std::{
    panic::{AssertUnwindSafe, catch_unwind},
    path::Path,
};

use rusqlite::{Connection, OptionalExtension, params};
use tokio::sync::mpsc;

use super::{Error, connection, facts::read_time, migrate};
use crate::units::{AccountId, InboundId, MemberId, Timestamp};

/// Work for the reader.
pub(super) enum Question {
    /// Something to look up.
    Ask(Box<dyn FnOnce(&Connection) + Send>),
    /// Nothing more.
    Stop,
}

/// Works until it is told to stop, or every handle is gone.
pub(super) fn run(connection: &Connection, mut questions: mpsc::Receiver<Question>) {
    while let Some(Question::Ask(question)) = questions.blocking_recv() {
        // A question that panics costs its asker an answer, not the others their reader.
        if catch_unwind(AssertUnwindSafe(|| question(connection))).is_err() {
            tracing::error!("a question to the book ended with a panic");
        }
    }
}

/// One message and its answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Talk {
    /// Its place in the book.
    pub position: i64,
    /// Its id.
    pub id: InboundId,
    /// The way it came.
    pub channel: String,
    /// What was said.
    pub said: String,
    /// When.
    pub at: Timestamp,
    /// The answer in words.
    pub answer: String,
    /// The answer as JSON.
    pub json: String,
}

/// The way the first message of a book came; `None` for a file that is empty or has no message.
pub fn first_channel(path: &Path) -> Result<Option<String>, Error> {
    let connection = connection::open_to_read(path)?;
    if !migrate::is_book(&connection)? {
        return Ok(None);
    }
    let channel = connection
        .prepare_cached(include_str!("sql/first_channel.sql"))?
        .query_row([], |row| row.get(0))
        .optional()?;
    Ok(channel)
}

pub(super) fn talk(
    connection: &Connection,
    account: AccountId,
    member: MemberId,
    before: Option<i64>,
    limit: u32,
) -> Result<Vec<Talk>, Error> {
    let mut statement = connection.prepare_cached(include_str!("sql/talk_before.sql"))?;
    let mut rows = statement.query(params![account.get(), member.get(), before.unwrap_or(i64::MAX), limit])?;
    let mut talk = Vec::new();
    while let Some(row) = rows.next()? {
        talk.push(Talk {
            position: row.get(0)?,
            id: InboundId::new(row.get::<_, String>(1)?),
            channel: row.get(2)?,
            said: row.get(3)?,
            at: read_time("a time of a message", row.get(4)?)?,
            answer: row.get(5)?,
            json: row.get(6)?,
        });
    }
    talk.reverse();
    Ok(talk)
}
