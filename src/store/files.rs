//! Which files came with messages or went out with answers, and what is in them?
//!
//! A file goes into the book in the same commit as the message that it came with, or before it when it has to be heard
//! first; the message is noted then. What an answer carries goes in with the answer. Files are not facts: events name
//! them, and a recording may be let go of when it is old.

use rusqlite::{Connection, OptionalExtension, Row, params};
use rust_decimal::prelude::ToPrimitive;
use sha2::{Digest, Sha256};

use super::{Error, SecretHash, facts::read_time};
use crate::{
    conversation::Media,
    replies::AttachedFile,
    units::{AccountId, Days, FileId, InboundId, MemberId, Timestamp},
};

/// Seconds of a day.
const DAY_S: i64 = 86_400;

/// Largest file kept, in bytes: a phone's photo or ten minutes of voice fit many times over.
pub const FILE_BYTES_MAX: usize = 20 * 1024 * 1024;

/// A file as it comes in with a message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Enclosed {
    /// What it is.
    pub media: Media,
    /// What it holds; `None` when it was kept before with [`super::StoreHandle::keep_file`].
    pub bytes: Option<Vec<u8>>,
}

/// A file of the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct File {
    /// Its id.
    pub id: FileId,
    /// Whether it came in; else it went out.
    pub incoming: bool,
    /// Its media type.
    pub media_type: String,
    /// Its name.
    pub name: String,
    /// SHA-256 of its content, in hexadecimal.
    pub sha256: String,
    /// Its content.
    pub bytes: Vec<u8>,
    /// When it was kept.
    pub at: Timestamp,
}

/// A file to be kept.
pub(super) struct Fresh<'a> {
    pub(super) id: &'a FileId,
    pub(super) position: Option<i64>,
    pub(super) incoming: bool,
    pub(super) media_type: &'a str,
    pub(super) name: &'a str,
    pub(super) bytes: &'a [u8],
}

pub(super) fn add(connection: &Connection, account: AccountId, file: &Fresh<'_>, at: Timestamp) -> Result<(), Error> {
    if file.bytes.len() > FILE_BYTES_MAX {
        return Err(Error::FileTooLarge {
            bytes: file.bytes.len(),
        });
    }
    connection
        .prepare_cached(include_str!("sql/file_add.sql"))?
        .execute(params![
            file.id.as_str(),
            account.get(),
            file.position,
            if file.incoming { "in" } else { "out" },
            file.media_type,
            file.name,
            sha256(file.bytes),
            file.bytes,
            at.to_string(),
        ])?;
    Ok(())
}

/// Keeps what came with a message, and notes the message on what was kept before.
pub(super) fn add_enclosed(
    connection: &Connection,
    account: AccountId,
    position: i64,
    enclosed: &[Enclosed],
    at: Timestamp,
) -> Result<(), Error> {
    for Enclosed { media, bytes } in enclosed {
        match bytes {
            Some(bytes) => {
                let fresh = Fresh {
                    id: &media.id,
                    position: Some(position),
                    incoming: true,
                    media_type: &media.media_type,
                    name: &media.name,
                    bytes,
                };
                add(connection, account, &fresh, at)?;
            }
            None => {
                connection
                    .prepare_cached(include_str!("sql/file_of_message.sql"))?
                    .execute(params![media.id.as_str(), account.get(), position])?;
            }
        }
    }
    Ok(())
}

pub(super) fn get(connection: &Connection, account: AccountId, id: &FileId) -> Result<Option<File>, Error> {
    connection
        .prepare_cached(include_str!("sql/file_get.sql"))?
        .query_row(params![id.as_str(), account.get()], |row| Ok(read(row)))
        .optional()?
        .transpose()
}

/// What an answer says of a file that it gives out again; `None` when the book has it no more.
pub(super) fn named(connection: &Connection, account: AccountId, id: &FileId) -> Option<AttachedFile> {
    let found = connection
        .prepare_cached(include_str!("sql/file_named.sql"))
        .and_then(|mut found| {
            found.query_row(params![id.as_str(), account.get()], |row| {
                Ok(AttachedFile {
                    media_type: row.get(0)?,
                    name: row.get(1)?,
                    path: format!("/files/{id}"),
                })
            })
        });
    found.ok()
}

/// The latest recording that a member sent, with the message that it came with.
pub(super) fn last_spoken(
    connection: &Connection,
    account: AccountId,
    member: MemberId,
) -> Result<Option<(File, InboundId)>, Error> {
    connection
        .prepare_cached(include_str!("sql/file_last_spoken.sql"))?
        .query_row(params![account.get(), member.get()], |row| {
            Ok((read(row), InboundId::new(row.get::<_, String>(7)?)))
        })
        .optional()?
        .map(|(file, message)| Ok((file?, message)))
        .transpose()
}

pub(super) fn by_link(connection: &Connection, link: &SecretHash, now: Timestamp) -> Result<Option<File>, Error> {
    connection
        .prepare_cached(include_str!("sql/file_by_link.sql"))?
        .query_row(params![link.0, now.to_string()], |row| Ok(read(row)))
        .optional()?
        .transpose()
}

/// Keeps the hash of a link to a file; false when the account has no such file.
pub(super) fn add_link(
    connection: &Connection,
    link: &SecretHash,
    (account, id): (AccountId, &FileId),
    now: Timestamp,
    until: Timestamp,
) -> Result<bool, Error> {
    let added = connection
        .prepare_cached(include_str!("sql/file_link_add.sql"))?
        .execute(params![
            link.0,
            id.as_str(),
            account.get(),
            now.to_string(),
            until.to_string()
        ])?;
    Ok(added == 1)
}

/// Lets go of the recordings of every account that are older than its owner wants them kept, or than the house keeps them
/// where no owner said so; gives how many went.
pub(super) fn forget_recordings(connection: &Connection, house: Days, now: Timestamp) -> Result<usize, Error> {
    let accounts: Vec<(i64, Option<String>)> = connection
        .prepare_cached(include_str!("sql/recording_days.sql"))?
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<Result<_, _>>()?;
    let mut gone = 0;
    for (account, own) in accounts {
        let days: Days = own.and_then(|days| days.parse().ok()).unwrap_or(house);
        let seconds = days.get().to_i64().unwrap_or(0) * DAY_S;
        if let Some(before) = Timestamp::from_unix_seconds(now.unix_seconds() - seconds) {
            gone += forget_before(connection, AccountId::new(account), "audio/", before)?;
        }
    }
    Ok(gone)
}

/// Lets go of what came in before a time, of media types that begin so (`audio/`); gives how many files went.
fn forget_before(connection: &Connection, account: AccountId, kind: &str, before: Timestamp) -> Result<usize, Error> {
    let gone = connection
        .prepare_cached(include_str!("sql/files_forget.sql"))?
        .execute(params![account.get(), format!("{kind}%"), before.to_string()])?;
    Ok(gone)
}

/// Ids of files whose content does not have the hash that was noted for it.
pub(super) fn spoilt(connection: &Connection) -> Result<Vec<String>, Error> {
    let mut statement = connection.prepare_cached(include_str!("sql/check_files.sql"))?;
    let mut rows = statement.query([])?;
    let mut spoilt = Vec::new();
    while let Some(row) = rows.next()? {
        let bytes: Vec<u8> = row.get(2)?;
        if sha256(&bytes) != row.get::<_, String>(1)? {
            spoilt.push(row.get(0)?);
        }
    }
    Ok(spoilt)
}

fn read(row: &Row<'_>) -> Result<File, Error> {
    Ok(File {
        id: FileId::new(row.get::<_, String>(0)?),
        incoming: row.get::<_, String>(1)? == "in",
        media_type: row.get(2)?,
        name: row.get(3)?,
        sha256: row.get(4)?,
        bytes: row.get(5)?,
        at: read_time("a time of a file", row.get(6)?)?,
    })
}

fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}
