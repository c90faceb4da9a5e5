//! Who reads the book for pages and exports?
//!
//! One thread with a connection that cannot write. It sees whole commits only, never a step half done, and never keeps
//! the writer waiting.

use std::{
    panic::{AssertUnwindSafe, catch_unwind},
    path::Path,
};

use rusqlite::{Connection, OptionalExtension, Row, params};
use tokio::sync::mpsc;

use super::{Error, connection, facts::read_time, migrate};
use crate::units::{AccountId, FileId, InboundId, MemberId, QuoteNo, Timestamp};

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
    /// Files that came with it.
    pub files: Vec<TalkFile>,
}

/// A file that came with a message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TalkFile {
    /// Its id.
    pub id: FileId,
    /// Its media type.
    pub media_type: String,
    /// Its name.
    pub name: String,
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
        talk.push(read_talk(row)?);
    }
    talk.reverse();
    add_files(connection, account, &mut talk)?;
    Ok(talk)
}

/// Adds the files that came with these messages.
fn add_files(connection: &Connection, account: AccountId, talk: &mut [Talk]) -> Result<(), Error> {
    let mut statement = connection.prepare_cached(include_str!("sql/files_of_message.sql"))?;
    for said in talk {
        let files = statement.query_map(params![account.get(), said.position], |row| {
            Ok(TalkFile {
                id: FileId::new(row.get::<_, String>(0)?),
                media_type: row.get(1)?,
                name: row.get(2)?,
            })
        })?;
        said.files = files.collect::<Result<_, _>>()?;
    }
    Ok(())
}

/// The messages that a quote came of and went through, oldest first: at most `limit` of the newest.
pub(super) fn talk_of_quote(
    connection: &Connection,
    account: AccountId,
    no: QuoteNo,
    limit: u32,
) -> Result<Vec<Talk>, Error> {
    let mut statement = connection.prepare_cached(include_str!("sql/talk_of_quote.sql"))?;
    let mut rows = statement.query(params![account.get(), no.to_string(), limit])?;
    let mut talk = Vec::new();
    while let Some(row) = rows.next()? {
        talk.push(read_talk(row)?);
    }
    talk.reverse();
    add_files(connection, account, &mut talk)?;
    Ok(talk)
}

/// The place in the book of an account's newest message.
pub(super) fn newest(connection: &Connection, account: AccountId) -> Result<Option<i64>, Error> {
    let newest = connection
        .prepare_cached(include_str!("sql/message_newest.sql"))?
        .query_row([account.get()], |row| row.get(0))
        .optional()?;
    Ok(newest)
}

fn read_talk(row: &Row<'_>) -> Result<Talk, Error> {
    Ok(Talk {
        position: row.get(0)?,
        id: InboundId::new(row.get::<_, String>(1)?),
        channel: row.get(2)?,
        said: row.get(3)?,
        at: read_time("a time of a message", row.get(4)?)?,
        answer: row.get(5)?,
        json: row.get(6)?,
        files: Vec::new(),
    })
}
