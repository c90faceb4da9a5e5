//! What can be told of a book from outside, for whoever has to say what is wrong with it.

use std::path::Path;

use rusqlite::OptionalExtension;

use super::{Error, connection, facts::read_time, migrate};
use crate::units::Timestamp;

/// Signs of how a book is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signs {
    /// Messages in it.
    pub messages: i64,
    /// Messages whose handling failed.
    pub failures: i64,
    /// When the last message came.
    pub last_message: Option<Timestamp>,
    /// Answers that have waited since before the time given.
    pub stuck: i64,
    /// Answers that were given up.
    pub given_up: i64,
    /// Size of the file, in bytes.
    pub bytes: u64,
    /// Size of its write-ahead log, in bytes.
    pub log_bytes: u64,
}

/// Looks at a book without changing it. Answers queued before `stuck_before` count as stuck.
pub fn signs(path: &Path, stuck_before: Timestamp) -> Result<Signs, Error> {
    let connection = connection::open_to_read(path)?;
    migrate::require_up_to_date(&connection)?;
    let (failures, messages) = connection
        .prepare_cached(include_str!("sql/failures.sql"))?
        .query_row([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let (stuck, given_up) = connection
        .prepare_cached(include_str!("sql/outbox_stuck.sql"))?
        .query_row([stuck_before.to_string()], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let last: Option<Option<String>> = connection
        .prepare_cached(include_str!("sql/message_last.sql"))?
        .query_row([], |row| row.get(0))
        .optional()?;
    let last_message = last
        .flatten()
        .map(|at| read_time("a time of a message", at))
        .transpose()?;
    let mut log = path.as_os_str().to_os_string();
    log.push("-wal");
    let size = |path: &Path| std::fs::metadata(path).map_or(0, |file| file.len());
    Ok(Signs {
        messages,
        failures,
        last_message,
        stuck,
        given_up,
        bytes: size(path),
        log_bytes: size(Path::new(&log)),
    })
}
